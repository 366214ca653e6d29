package geo

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"
	sf "github.com/peterstace/simplefeatures/geom"
)

// MaxOverlay is the most corners, of both sides together, that Intersection,
// Difference and Union take: their cost grows with the square, and 5,000 take
// about a second.
const MaxOverlay = 5000

// ErrTooManyCorners says that an overlay was refused for its size.
var ErrTooManyCorners = errors.New("too many corners to overlay")

// Intersection is the ground in both a and b.
func Intersection(a, b orb.MultiPolygon) (orb.MultiPolygon, error) {
	return overlay(a, b, sf.Intersection)
}

// Difference is the ground in a that is not in b.
func Difference(a, b orb.MultiPolygon) (orb.MultiPolygon, error) { return overlay(a, b, sf.Difference) }

// Union is the ground in a or b or both.
func Union(a, b orb.MultiPolygon) (orb.MultiPolygon, error) { return overlay(a, b, sf.Union) }

func overlay(a, b orb.MultiPolygon, op func(a, b sf.Geometry) (sf.Geometry, error)) (orb.MultiPolygon, error) {
	if n := corners(a) + corners(b); n > MaxOverlay {
		return nil, fmt.Errorf("%w: %d, the most is %d", ErrTooManyCorners, n, MaxOverlay)
	}
	return overlaid(a, b, op)
}

// overlaid is overlay without a bound on the corners.
func overlaid(a, b orb.MultiPolygon, op func(a, b sf.Geometry) (sf.Geometry, error)) (orb.MultiPolygon, error) {
	g, err := op(toSF(snapped(a)).AsGeometry(), toSF(snapped(b)).AsGeometry())
	if err != nil {
		return nil, fmt.Errorf("overlay: %w", err)
	}
	return fromSF(g), nil
}

// overlaySnap is what corners are moved to before an overlay: where edges lie closer than that the computed crossings no longer tell
// which comes first, and the overlay fails or, worse, loses ground. A nanometre is a hundred-thousandth of what the 9 decimals of a
// degree hold.
const overlaySnap = 1e-9

// snapped moves every corner to the nearest whole multiple of overlaySnap.
func snapped(mp orb.MultiPolygon) orb.MultiPolygon {
	out := mp.Clone()
	for _, p := range out {
		for _, r := range p {
			for i, q := range r {
				r[i] = orb.Point{math.Round(q[0]/overlaySnap) * overlaySnap, math.Round(q[1]/overlaySnap) * overlaySnap}
			}
		}
	}
	return out
}

func corners(mp orb.MultiPolygon) int {
	n := 0
	for _, p := range mp {
		for _, r := range p {
			n += len(r)
		}
	}
	return n
}

func toSF(mp orb.MultiPolygon) sf.MultiPolygon {
	var polys []sf.Polygon
	for _, p := range mp {
		polys = append(polys, polygonToSF(p))
	}
	return sf.NewMultiPolygon(polys)
}

func polygonToSF(p orb.Polygon) sf.Polygon {
	var rings []sf.LineString
	for _, r := range p {
		if len(r) == 0 {
			continue
		}
		var xy []float64
		for _, q := range r {
			xy = append(xy, q[0], q[1])
		}
		if r[0] != r[len(r)-1] {
			xy = append(xy, r[0][0], r[0][1])
		}
		rings = append(rings, sf.NewLineString(sf.NewSequence(xy, sf.DimXY)))
	}
	return sf.NewPolygon(rings)
}

// fromSF keeps the polygons of a geometry; lines and points have no area.
func fromSF(g sf.Geometry) orb.MultiPolygon {
	var out orb.MultiPolygon
	switch g.Type() {
	case sf.TypePolygon:
		if p := g.MustAsPolygon(); !p.IsEmpty() {
			out = append(out, polygonFromSF(p))
		}
	case sf.TypeMultiPolygon:
		m := g.MustAsMultiPolygon()
		for i := range m.NumPolygons() {
			out = append(out, polygonFromSF(m.PolygonN(i)))
		}
	case sf.TypeGeometryCollection:
		c := g.MustAsGeometryCollection()
		for i := range c.NumGeometries() {
			out = append(out, fromSF(c.GeometryN(i))...)
		}
	}
	return out
}

func polygonFromSF(p sf.Polygon) orb.Polygon {
	p = p.ForceCCW()
	var out orb.Polygon
	for i := range p.NumRings() {
		ring := p.ExteriorRing()
		if i > 0 {
			ring = p.InteriorRingN(i - 1)
		}
		seq := ring.Coordinates()
		r := make(orb.Ring, seq.Length())
		for k := range r {
			xy := seq.GetXY(k)
			r[k] = orb.Point{xy.X, xy.Y}
		}
		out = append(out, r)
	}
	return out
}

// Span is a stretch of a line between two chainages.
type Span struct{ From, To float64 }

// Length is the length of the stretch.
func (s Span) Length() float64 { return s.To - s.From }

// LineInside gives the stretches of a line that lie in the ground, by chainage,
// ascending; a stretch along an edge counts as inside. Stretches shorter than a
// micrometre are left out.
func LineInside(ls orb.LineString, mp orb.MultiPolygon) []Span {
	return NewRegion(mp).LineInside(NewChain(ls))
}

// LineInside is LineInside for a region already indexed.
func (r *Region) LineInside(c Chain) []Span {
	var out []Span
	for i := 0; i+1 < len(c.line); i++ {
		a, b := c.line[i], c.line[i+1]
		l := c.at[i+1] - c.at[i]
		cuts := []float64{0, 1}
		r.edges.Crossing(a, b, func(k int) {
			cuts = append(cuts, cutShares(a, b, r.edges.segs[k])...)
		})
		slices.Sort(cuts)
		for k := 1; k < len(cuts); k++ {
			f, t := cuts[k-1], cuts[k]
			if (t-f)*l < 1e-9 || !r.holdsMiddle(a, b, (f+t)/2) {
				continue
			}
			s := Span{c.at[i] + f*l, c.at[i] + t*l}
			if n := len(out); n > 0 && s.From-out[n-1].To < 1e-6 {
				out[n-1].To = s.To
			} else {
				out = append(out, s)
			}
		}
	}
	return slices.DeleteFunc(out, func(s Span) bool { return s.Length() < 1e-6 })
}

// holdsMiddle tells whether the point at share t is inside, or so near an edge
// that the stretch runs along it.
func (r *Region) holdsMiddle(a, b orb.Point, t float64) bool {
	p := lerp(a, b, t)
	return r.Contains(p) || r.DistToEdge(p) < 1e-7
}

// cutShares are the shares of a-b at which the segment meets it.
func cutShares(a, b orb.Point, s Segment) []float64 {
	x, ok := segmentsMeet(a, b, s.A, s.B)
	if !ok {
		return nil
	}
	shares := []float64{shareOf(a, b, x)}
	for _, e := range []orb.Point{s.A, s.B} {
		if OnSegment(e, a, b) {
			shares = append(shares, shareOf(a, b, e))
		}
	}
	return shares
}

func shareOf(a, b, p orb.Point) float64 {
	_, t := DistToSegment(p, a, b)
	return t
}
