package interchange

import (
	"bytes"
	"fmt"

	"github.com/paulmach/orb"
)

// A Geometry is a GeoJSON geometry in longitude and latitude, mended for computing: rings are closed, wound outer
// anticlockwise and holes clockwise, begin at their westernmost position, and no position follows itself. Exactly one of the
// lists is used; none by an empty geometry and by a GeometryCollection, whose parts are only checked.
type Geometry struct {
	Type     string
	Points   []orb.Point
	Lines    []orb.LineString
	Polygons orb.MultiPolygon
	Mended   Mended
	Heights  bool // some position has a third number
	Size     int  // number of positions as written
}

// Empty reports whether nothing is drawn.
func (g *Geometry) Empty() bool {
	return len(g.Points) == 0 && len(g.Lines) == 0 && len(g.Polygons) == 0
}

// Mended counts what was put right while reading.
type Mended struct {
	Closed   int // rings that did not end where they began
	Rewound  int // rings that ran the wrong way round
	Repeated int // positions that followed themselves
}

// Any reports whether anything was mended.
func (m Mended) Any() bool { return m != Mended{} }

// A GeometryFault is a geometry that cannot be read. Path is where, such as coordinates[0][3].
type GeometryFault struct {
	Offset int // in the text of the geometry
	Path   string
	What   string
	// Range is true where the position is not on the globe: the whole file is then not in longitude and latitude.
	Range    bool
	Position orb.Point
	// CRS names another reference system that the geometry claims.
	CRS string
}

// Error says where and what.
func (f *GeometryFault) Error() string { return f.Path + ": " + f.What }

// typeName is the type of a geometry, without a copy where it is one that is known.
func typeName(v []byte) string {
	for _, name := range []string{"Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon", "GeometryCollection"} {
		if len(v) == len(name)+2 && string(v[1:len(v)-1]) == name {
			return name
		}
	}
	s, _ := Text(v)
	return s
}

// rank is how many arrays lie around a position in the coordinates of each type (RFC 7946, 3.1).
var rank = map[string]int{"Point": 0, "MultiPoint": 1, "LineString": 1, "MultiLineString": 2, "Polygon": 2, "MultiPolygon": 3}

// ReadGeometry reads the text of one geometry object, which Check must have passed. It refuses one of more than most positions,
// lines and rings in all, before any memory is spent on it. O(bytes).
func ReadGeometry(raw []byte, most int) (Geometry, *GeometryFault) {
	return readGeometry(raw, most, nil)
}

// ReadGridGeometry is ReadGeometry for coordinates of a grid, whatever reference system the geometry itself names.
func ReadGridGeometry(raw []byte, most int, g Grid) (Geometry, *GeometryFault) {
	return readGeometry(raw, most, &g)
}

func readGeometry(raw []byte, most int, grid *Grid) (Geometry, *GeometryFault) {
	var g Geometry
	if !IsObject(raw) {
		return g, &GeometryFault{Path: "geometry", What: "a geometry is an object with a type and coordinates."}
	}
	var kind, coords Member
	for m := range Members(raw) {
		switch string(m.Name) {
		case "type":
			kind = m
		case "coordinates":
			coords = m
		case "crs":
			if name, ok := LonLatCRS(m.Value.Of(raw)); !ok && grid == nil {
				return g, &GeometryFault{Offset: m.Value.From, Path: "crs", What: "the geometry is in another reference system: " + name + ".", CRS: name}
			}
		}
	}
	g.Type = typeName(kind.Value.Of(raw))
	if g.Type == "GeometryCollection" {
		return g, readParts(raw, most)
	}
	n, known := rank[g.Type]
	if !known {
		return g, &GeometryFault{Offset: kind.Value.From, Path: "type", What: fmt.Sprintf("%q is not a type of GeoJSON geometry.", Shorten(g.Type))}
	}
	r := reader{text: raw, kind: g.Type, g: &g, grid: grid}
	if v := coords.Value.Of(raw); !IsArray(v) {
		return g, r.fault(coords.Value.From, "the coordinates of a %s are a list.", g.Type)
	}
	if lists := bytes.Count(coords.Value.Of(raw), []byte{'['}); lists > most {
		return g, r.fault(coords.Value.From, "it has %d positions, lines and rings; at most %d are worked with. Thin it out, or draw it in parts.", lists, most)
	}
	r.read(n, coords.Value)
	if r.bad != nil {
		return Geometry{Type: g.Type}, r.bad
	}
	return g, nil
}

// readParts checks the positions of a GeometryCollection. Nesting is bounded by MaxDepth.
func readParts(raw []byte, most int) *GeometryFault {
	list := Find(raw, "geometries")
	if !IsArray(list) {
		return &GeometryFault{Path: "geometries", What: "a GeometryCollection has a list of geometries."}
	}
	i := 0
	for s := range Elements(list) {
		if _, f := ReadGeometry(s.Of(list), most); f != nil {
			f.Path = fmt.Sprintf("geometries[%d].%s", i, f.Path)
			return f
		}
		i++
	}
	return nil
}

// reader reads coordinates. After the first fault it reads nothing more.
type reader struct {
	text []byte
	kind string
	g    *Geometry
	path [3]int
	deep int
	grid *Grid // nil: longitude and latitude
	bad  *GeometryFault
}

func (r *reader) fault(offset int, format string, args ...any) *GeometryFault {
	if r.bad == nil {
		path := "coordinates"
		for _, i := range r.path[:r.deep] {
			path += fmt.Sprintf("[%d]", i)
		}
		r.bad = &GeometryFault{Offset: offset, Path: path, What: fmt.Sprintf(format, args...)}
	}
	return r.bad
}

func (r *reader) read(rank int, s Span) {
	g := r.g
	switch {
	case rank == 0:
		if p, ok := r.position(s); ok {
			g.Points = []orb.Point{p}
		}
	case rank == 1 && r.kind == "MultiPoint":
		g.Points = r.positions(s, 0)
	case rank == 1:
		if l := r.line(s); len(l) > 0 {
			g.Lines = []orb.LineString{l}
		}
	case rank == 2 && r.kind == "MultiLineString":
		g.Lines = make([]orb.LineString, 0, r.count(s))
		r.each(s, func(e Span) { g.Lines = append(g.Lines, r.line(e)) })
	case rank == 2:
		if p := r.polygon(s); len(p) > 0 {
			g.Polygons = orb.MultiPolygon{p}
		}
	default:
		g.Polygons = make(orb.MultiPolygon, 0, r.count(s))
		r.each(s, func(e Span) { g.Polygons = append(g.Polygons, r.polygon(e)) })
	}
}

func (r *reader) count(s Span) int { return Count(s.Of(r.text)) }

// each visits the elements of the array at s, keeping the path; it refuses what is no array.
func (r *reader) each(s Span, visit func(Span)) {
	arr := s.Of(r.text)
	if !IsArray(arr) {
		r.fault(s.From, "a list should stand here: the coordinates do not have the shape of a %s.", r.kind)
		return
	}
	r.deep++
	r.path[r.deep-1] = 0
	for e := range Elements(arr) {
		visit(Span{s.From + e.From, s.From + e.To})
		if r.bad != nil {
			break
		}
		r.path[r.deep-1]++
	}
	r.deep--
}

func (r *reader) line(s Span) orb.LineString {
	ps := r.positions(s, 0)
	return orb.LineString(ps[:r.dropRepeats(ps)])
}

func (r *reader) polygon(s Span) orb.Polygon {
	p := make(orb.Polygon, 0, r.count(s))
	r.each(s, func(e Span) { p = append(p, r.ring(e, len(p) == 0)) })
	return p
}

func (r *reader) ring(s Span, outer bool) orb.Ring { return r.mendRing(r.positions(s, 1), outer) }

// mendRing closes and winds a ring, drops repeats, and turns it to begin in the west. It works in place where there is room.
func (r *reader) mendRing(ps []orb.Point, outer bool) orb.Ring {
	if n := len(ps); n > 1 && ps[0] != ps[n-1] {
		ps = append(ps, ps[0])
		r.g.Mended.Closed++
	}
	ring := orb.Ring(ps[:r.dropRepeats(ps)])
	if a := windingArea(ring); a != 0 && a > 0 != outer {
		reverse(ring)
		r.g.Mended.Rewound++
	}
	startWest(ring)
	return ring
}

// positions reads a list of positions, with room for spare more.
func (r *reader) positions(s Span, spare int) []orb.Point {
	n := 0
	if IsArray(s.Of(r.text)) {
		n = r.count(s)
	}
	ps := make([]orb.Point, 0, n+spare)
	r.each(s, func(e Span) {
		if p, ok := r.position(e); ok {
			ps = append(ps, p)
		}
	})
	return ps
}

// position reads one position: two or more finite numbers, longitude first (RFC 7946, 3.1.1).
func (r *reader) position(s Span) (p orb.Point, ok bool) {
	v := s.Of(r.text)
	if !IsArray(v) {
		r.fault(s.From, "a position should stand here, such as [-2.6, 54.2], but there is %s (RFC 7946, 3.1.1).", Shorten(string(v)))
		return p, false
	}
	n := 0
	for e := range Elements(v) {
		x, isNumber := Number(e.Of(v))
		if !isNumber {
			r.fault(s.From+e.From, "%s", notFinite(e.Of(v)))
			return p, false
		}
		if n < 2 {
			p[n] = x
		}
		n++
	}
	switch {
	case n < 2:
		r.fault(s.From, "the position %s has %d of the two numbers it needs, longitude and latitude (RFC 7946, 3.1.1).", Shorten(string(v)), n)
		return p, false
	case n > 2:
		r.g.Heights = true
	}
	r.g.Size++
	if r.grid != nil && r.grid.Flat {
		return r.placed(s, p)
	}
	if p[0] < -180 || p[0] > 180 || p[1] < -90 || p[1] > 90 {
		f := r.fault(s.From, "the position %s is not on the globe: longitude runs from -180 to 180 and latitude from -90 to 90.", Shorten(string(v)))
		f.Range, f.Position = true, p
		return p, false
	}
	return p, true
}

// placed takes a position of the grid to longitude and latitude.
func (r *reader) placed(s Span, p orb.Point) (orb.Point, bool) {
	ll, ok := r.grid.ToLonLat(p)
	if !ok {
		b := r.grid.Bounds()
		f := r.fault(s.From, "the position %s is not in %s, where numbers run from %.0f to %.0f east and from %.0f to %.0f north.",
			Shorten(string(s.Of(r.text))), r.grid.Name, b.Min[0], b.Max[0], b.Min[1], b.Max[1])
		f.Range, f.Position = true, p
	}
	return ll, ok
}

func notFinite(v []byte) string {
	if IsNumber(v) {
		return fmt.Sprintf("%s is too large for a number of degrees (RFC 7946, 3.1.1).", Shorten(string(v)))
	}
	return fmt.Sprintf("%s stands where a number of degrees should (RFC 7946, 3.1.1).", Shorten(string(v)))
}
