package geo

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// Segment is a straight piece from A to B with a number of its owner's choosing.
type Segment struct {
	A, B orb.Point
	Tag  int
}

// Length is the length of the segment.
func (s Segment) Length() float64 { return Dist(s.A, s.B) }

// Meets reports whether two segments have a point in common, their ends included. It is exact.
func (s Segment) Meets(t Segment) bool {
	if max(s.A[0], s.B[0]) < min(t.A[0], t.B[0]) || max(t.A[0], t.B[0]) < min(s.A[0], s.B[0]) ||
		max(s.A[1], s.B[1]) < min(t.A[1], t.B[1]) || max(t.A[1], t.B[1]) < min(s.A[1], s.B[1]) {
		return false
	}
	return Orientation(s.A, s.B, t.A)*Orientation(s.A, s.B, t.B) <= 0 && Orientation(t.A, t.B, s.A)*Orientation(t.A, t.B, s.B) <= 0
}

// LineSegments are the segments of a line, each with the tag given; those of no
// length are left out.
func LineSegments(ls orb.LineString, tag int) []Segment {
	var out []Segment
	for i := 1; i < len(ls); i++ {
		if ls[i-1] != ls[i] {
			out = append(out, Segment{ls[i-1], ls[i], tag})
		}
	}
	return out
}

// PolygonSegments are the edges of all rings of a polygon, each with the tag
// given; an open ring is closed and edges of no length are left out.
func PolygonSegments(p orb.Polygon, tag int) []Segment {
	var out []Segment
	for _, r := range p {
		for i := range r {
			a, b := r[i], r[(i+1)%len(r)]
			if a != b {
				out = append(out, Segment{a, b, tag})
			}
		}
	}
	return out
}

// Segments finds the segments near a place. It is built once and then only
// read. A long segment stands in every cell that it passes, and the cells are
// enlarged until there are no more than a few entries per segment.
type Segments struct {
	segs []Segment
	c    *cells
	own  []int32 // slot of the grid -> segment
}

// NewSegments indexes segments; those that are not finite are never found. The
// slice is not copied and must not change.
func NewSegments(segs []Segment) *Segments {
	s := &Segments{segs: segs}
	box, total, n := segBox(segs)
	if n == 0 {
		s.c = newCells(nil, 1, 0)
		return s
	}
	w, h := box.Max[0]-box.Min[0], box.Max[1]-box.Min[1]
	size := math.Max(total/float64(2*n), math.Sqrt(w*h/float64(4*n)))
	size = math.Max(size, math.Max(w, h)/float64(4*n+16))
	if !(size > 0) {
		size = 1
	}
	var at []orb.Point
	var own []int32
	for i, g := range segs {
		if !finiteSeg(g) {
			continue
		}
		steps := max(1, int(math.Ceil(g.Length()/size)))
		for k := range steps {
			// The middle of each step, at most half a cell from all of it.
			at = append(at, lerp(g.A, g.B, (float64(k)+0.5)/float64(steps)))
			own = append(own, int32(i))
		}
	}
	s.c = newCells(at, size, 4*len(at)+1024)
	s.own = make([]int32, len(own))
	for k, slot := range s.c.slot {
		s.own[slot] = own[k]
	}
	return s
}

func finiteSeg(g Segment) bool {
	return finite(g.A[0]) && finite(g.A[1]) && finite(g.B[0]) && finite(g.B[1]) && finite(g.Length())
}

func segBox(segs []Segment) (box orb.Bound, total float64, n int) {
	for _, g := range segs {
		if !finiteSeg(g) {
			continue
		}
		if n == 0 {
			box = orb.Bound{Min: g.A, Max: g.A}
		}
		box = box.Extend(g.A).Extend(g.B)
		total += g.Length()
		n++
	}
	return box, total, n
}

// Len is the number of segments.
func (s *Segments) Len() int { return len(s.segs) }

// At is segment i.
func (s *Segments) At(i int) Segment { return s.segs[i] }

// Within calls f with each segment at most r from p and its distance, by rising
// number, until f returns false.
func (s *Segments) Within(p orb.Point, r float64, f func(i int, d float64) bool) {
	for _, i := range s.candidates(p, r) {
		if d, _ := DistToSegment(p, s.segs[i].A, s.segs[i].B); d <= r && !f(int(i), d) {
			return
		}
	}
}

// candidates are the segments that may come within r of p, ascending, each once.
func (s *Segments) candidates(p orb.Point, r float64) []int32 {
	// Every place on a segment is within half a cell of one of its entries.
	x0, x1, y0, y1, ok := s.c.within(p, r+s.c.size/2)
	if !ok || !(r >= 0) {
		return nil
	}
	var out []int32
	for y := y0; y <= y1; y++ {
		lo, hi := s.c.span(y, x0, x1)
		out = append(out, s.own[lo:hi]...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Crossing calls f with each segment whose box meets the box of a to b, by
// rising number: the candidates for a crossing. It gives the number of segments
// looked at.
func (s *Segments) Crossing(a, b orb.Point, f func(i int)) (looks int) {
	lo := orb.Point{math.Min(a[0], b[0]), math.Min(a[1], b[1])}
	hi := orb.Point{math.Max(a[0], b[0]), math.Max(a[1], b[1])}
	found := s.along(a, b)
	for _, i := range found {
		g := s.segs[i]
		if math.Max(g.A[0], g.B[0]) >= lo[0] && math.Min(g.A[0], g.B[0]) <= hi[0] &&
			math.Max(g.A[1], g.B[1]) >= lo[1] && math.Min(g.A[1], g.B[1]) <= hi[1] {
			f(int(i))
		}
	}
	return len(found)
}

// along are the segments that may meet a-b, ascending, each once. A long a-b is
// looked up piece by piece, so that it does not gather the whole disc about it.
func (s *Segments) along(a, b orb.Point) []int32 {
	l := Dist(a, b)
	n := 1
	if s.c.used > 0 && l > 4*s.c.size {
		n = int(min(l/(2*s.c.size), float64(s.c.used)+1)) + 1
	}
	if n == 1 {
		return s.candidates(lerp(a, b, 0.5), l/2)
	}
	var out []int32
	for k := range n {
		out = append(out, s.candidates(lerp(a, b, (float64(k)+0.5)/float64(n)), l/float64(2*n))...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Nearest is the segment nearest to p and its distance; the lowest number where
// several are as near; -1 and +Inf where there is none.
func (s *Segments) Nearest(p orb.Point) (i int, d float64) {
	i, d = -1, math.Inf(1)
	if s.c.nx == 0 || !finite(p[0]) || !finite(p[1]) {
		return i, d
	}
	take := func(lo, hi int) {
		for _, k := range s.own[lo:hi] {
			o := int(k)
			if e, _ := DistToSegment(p, s.segs[o].A, s.segs[o].B); e < d || (e == d && o < i) {
				i, d = o, e
			}
		}
	}
	s.c.outward(p, take, func(gap float64) bool { return d < gap-s.c.size/2 })
	return i, d
}
