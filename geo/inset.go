package geo

import (
	"math"

	"github.com/paulmach/orb"
)

// Inside tells whether p lies in the polygon or on its edge (shell or hole).
// The test of side is exact. Cost: the number of corners; for many points make a
// Region.
func Inside(poly orb.Polygon, p orb.Point) bool {
	odd := false
	for _, r := range poly {
		for i := range r {
			on, cross := rayMeets(r[i], r[(i+1)%len(r)], p)
			if on {
				return true
			}
			odd = odd != cross
		}
	}
	return odd
}

// rayMeets tells whether p lies on the edge from a to b, and whether a ray from
// p to the east crosses it. An edge owns its lower end, so a corner counts once.
func rayMeets(a, b, p orb.Point) (on, cross bool) {
	if a[1] > b[1] {
		a, b = b, a
	}
	if p[1] < a[1] || p[1] > b[1] || p[0] > math.Max(a[0], b[0]) {
		return false, false
	}
	if a[1] == b[1] {
		return p[0] >= math.Min(a[0], b[0]), false
	}
	switch Orientation(a, b, p) {
	case 0:
		return true, false
	case 1: // left of an edge that goes up: the ray meets it
		return false, p[1] < b[1]
	}
	return false, false
}

// Region is a piece of ground asked many times whether it holds a point. Its
// edges are indexed; it is only read after NewRegion.
type Region struct {
	mp    orb.MultiPolygon
	polys []bands
	box   orb.Bound
	edges *Segments
}

// bands hold the edges of one polygon by the horizontal strips that they reach.
type bands struct {
	box    orb.Bound
	height float64
	strip  [][]Segment
}

// NewRegion indexes polygons, holes taken off. The polygons are not copied and
// must not change. Members that overlap count once.
func NewRegion(mp orb.MultiPolygon) *Region {
	r := &Region{mp: mp}
	var all []Segment
	for i, p := range mp {
		segs := PolygonSegments(p, i)
		if len(segs) == 0 {
			continue
		}
		b := newBands(segs)
		if len(r.polys) == 0 {
			r.box = b.box
		}
		r.box = r.box.Union(b.box)
		r.polys = append(r.polys, b)
		all = append(all, segs...)
	}
	r.edges = NewSegments(all)
	return r
}

func newBands(segs []Segment) bands {
	box, _, _ := segBox(segs)
	// About eight entries per edge at most, however far the edges climb.
	var climb float64
	for _, s := range segs {
		climb += math.Abs(s.B[1] - s.A[1])
	}
	n := min(4096, len(segs)/2+1)
	if most := 8 * float64(len(segs)) * (box.Max[1] - box.Min[1]) / climb; most < float64(n) {
		n = int(most) + 1
	}
	b := bands{box: box, height: (box.Max[1] - box.Min[1]) / float64(n), strip: make([][]Segment, n)}
	for _, s := range segs {
		if !finiteSeg(s) {
			continue
		}
		lo, hi := b.index(math.Min(s.A[1], s.B[1])), b.index(math.Max(s.A[1], s.B[1]))
		for k := lo; k <= hi; k++ {
			b.strip[k] = append(b.strip[k], s)
		}
	}
	return b
}

func (b *bands) index(y float64) int {
	if b.height <= 0 {
		return 0
	}
	return clampCell((y-b.box.Min[1])/b.height, len(b.strip))
}

func (b *bands) contains(p orb.Point) bool {
	if !b.box.Contains(p) {
		return false
	}
	odd := false
	for _, s := range b.strip[b.index(p[1])] {
		on, cross := rayMeets(s.A, s.B, p)
		if on {
			return true
		}
		odd = odd != cross
	}
	return odd
}

// Polygons is the ground that the region was made from.
func (r *Region) Polygons() orb.MultiPolygon { return r.mp }

// Edges is the index of all edges; the tag is the number of the polygon.
func (r *Region) Edges() *Segments { return r.edges }

// Box is the bounding box; empty at (0, 0) for a region without edges.
func (r *Region) Box() orb.Bound { return r.box }

// Contains tells whether p lies in the region or on an edge of it.
func (r *Region) Contains(p orb.Point) bool {
	for i := range r.polys {
		if r.polys[i].contains(p) {
			return true
		}
	}
	return false
}

// DistToEdge is the distance from p to the nearest edge, inside or out; +Inf
// for a region without edges.
func (r *Region) DistToEdge(p orb.Point) float64 {
	_, d := r.edges.Nearest(p)
	return d
}

// ContainsBy tells whether p lies inside by the margin, tol forgiven: at least
// margin-tol from every edge, holes too. Where tol exceeds the margin, a point
// as far outside as the difference still counts.
func (r *Region) ContainsBy(p orb.Point, margin, tol float64) bool {
	need := margin - tol
	near := false
	r.edges.Within(p, math.Abs(need), func(_ int, d float64) bool {
		near = near || d < need || (need <= 0 && d <= -need)
		return !near
	})
	if need > 0 {
		return !near && r.Contains(p)
	}
	return near || r.Contains(p)
}

// InsetEdges are the edges of the polygon, each moved inward by the margin along
// its own normal and not shortened: the lines that a row of trees may stand on.
// The tag numbers the edges ring by ring. Holes move away from their middle.
func InsetEdges(poly orb.Polygon, margin float64) []Segment {
	var out []Segment
	tag := 0
	for k, r := range poly {
		in := inward(r, k > 0)
		for i := range r {
			a, b := r[i], r[(i+1)%len(r)]
			if l := Dist(a, b); l > 0 {
				dx, dy := -(b[1]-a[1])/l*margin*in, (b[0]-a[0])/l*margin*in
				out = append(out, Segment{orb.Point{a[0] + dx, a[1] + dy}, orb.Point{b[0] + dx, b[1] + dy}, tag})
				tag++
			}
		}
	}
	return out
}

// inward is +1 where the ground lies to the left of the ring as drawn, else -1.
func inward(r orb.Ring, hole bool) float64 {
	if (RingArea(r) < 0) != hole {
		return -1
	}
	return 1
}

// InsetCorners are the corners of the polygon moved inward so that they stand
// the margin from both of their edges: the places that a tree at the end of a
// row may stand on. Corners where the edges run straight on, or straight back,
// move along the normal of the edge before.
func InsetCorners(poly orb.Polygon, margin float64) []orb.Point {
	var out []orb.Point
	for k, r := range poly {
		c := distinctCorners(r)
		if len(c) < 3 {
			continue
		}
		in := inward(r, k > 0)
		for i, v := range c {
			a, b := c[(i+len(c)-1)%len(c)], c[(i+1)%len(c)]
			out = append(out, mitre(a, v, b, margin*in))
		}
	}
	return out
}

// distinctCorners drops repeats of the corner before and the closing position.
func distinctCorners(r orb.Ring) []orb.Point {
	var c []orb.Point
	for _, p := range r {
		if len(c) == 0 || c[len(c)-1] != p {
			c = append(c, p)
		}
	}
	for len(c) > 1 && c[0] == c[len(c)-1] {
		c = c[:len(c)-1]
	}
	return c
}

// mitre is where the lines through a-v and v-b, both moved d to the left, meet.
func mitre(a, v, b orb.Point, d float64) orb.Point {
	n, m := leftNormal(a, v), leftNormal(v, b)
	s := 1 + n[0]*m[0] + n[1]*m[1]
	if s < 1e-9 {
		return orb.Point{v[0] + d*n[0], v[1] + d*n[1]}
	}
	return orb.Point{v[0] + d*(n[0]+m[0])/s, v[1] + d*(n[1]+m[1])/s}
}

// leftNormal is the unit vector to the left of a to b, which must differ.
func leftNormal(a, b orb.Point) orb.Point {
	l := Dist(a, b)
	return orb.Point{-(b[1] - a[1]) / l, (b[0] - a[0]) / l}
}
