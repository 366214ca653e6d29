package setout

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// A scanner finds, for rows that run in one direction, the stretches of each row where trees may stand: at least need from
// every edge of the ground. Where need is below 0, as far outside as -need still counts.
//
// Invariant: the ground nearer than need to an edge is a disc about each end and a rectangle between; that shape is convex,
// so a row meets it in one stretch. What is allowed on a row is the stretches inside the ground less those; nothing is
// approximated, and inner corners and holes are kept clear by a round margin.
type scanner struct {
	edges []edge // by lowest y
	need  float64
	// scratch, reused from row to row
	cross []float64
	near  []stretch
	out   []stretch
}

// An edge in the turned frame: x along the rows, y to their left. (ux, uy) is its direction.
type edge struct{ x1, y1, x2, y2, low, high, ux, uy, length float64 }

type stretch struct{ a, b float64 }

// newScanner turns the edges of polygons into the frame of rows that run along u; v is to their left.
func newScanner(mp orb.MultiPolygon, u, v orb.Point, need float64) *scanner {
	s := &scanner{need: need}
	turn := func(p orb.Point) (x, y float64) { return p[0]*u[0] + p[1]*u[1], p[0]*v[0] + p[1]*v[1] }
	for _, poly := range mp {
		for _, r := range poly {
			for i := range r {
				a, b := r[i], r[(i+1)%len(r)]
				if a == b {
					continue
				}
				var e edge
				e.x1, e.y1 = turn(a)
				e.x2, e.y2 = turn(b)
				e.low, e.high = min(e.y1, e.y2), max(e.y1, e.y2)
				e.length = math.Hypot(e.x2-e.x1, e.y2-e.y1)
				e.ux, e.uy = (e.x2-e.x1)/e.length, (e.y2-e.y1)/e.length
				s.edges = append(s.edges, e)
			}
		}
	}
	slices.SortFunc(s.edges, func(a, b edge) int {
		switch {
		case a.low < b.low:
			return -1
		case a.low > b.low:
			return 1
		}
		return 0
	})
	return s
}

// band are the edges that rows from y0 on can meet, as rows are asked for in rising order: those that end below are dropped.
type band struct {
	s      *scanner
	active []int
	next   int
}

// rows starts a walk up the rows.
func (s *scanner) rows() *band { return &band{s: s} }

// at gives the stretches of the row at y, in order; y must not fall from call to call. The slice is reused.
func (b *band) at(y float64) []stretch {
	s := b.s
	reach := math.Abs(s.need)
	for b.next < len(s.edges) && s.edges[b.next].low <= y+reach {
		b.active = append(b.active, b.next)
		b.next++
	}
	s.cross, s.near = s.cross[:0], s.near[:0]
	kept := b.active[:0]
	for _, i := range b.active {
		e := &s.edges[i]
		if e.high < y-reach {
			continue
		}
		kept = append(kept, i)
		if (e.y1 <= y) != (e.y2 <= y) {
			s.cross = append(s.cross, e.x1+(e.x2-e.x1)*(y-e.y1)/(e.y2-e.y1))
		}
		if n, ok := e.within(y, reach); ok {
			s.near = append(s.near, n)
		}
	}
	b.active = kept
	slices.Sort(s.cross)
	byStart := func(p, q stretch) int {
		switch {
		case p.a < q.a:
			return -1
		case p.a > q.a:
			return 1
		}
		return 0
	}
	slices.SortFunc(s.near, byStart)
	if s.need >= 0 {
		return s.less()
	}
	for i := 0; i+1 < len(s.cross); i += 2 {
		s.near = append(s.near, stretch{s.cross[i], s.cross[i+1]})
	}
	slices.SortFunc(s.near, byStart)
	return s.joined()
}

// less is what is inside less what is near an edge.
func (s *scanner) less() []stretch {
	s.out = s.out[:0]
	k := 0
	for i := 0; i+1 < len(s.cross); i += 2 {
		at, end := s.cross[i], s.cross[i+1]
		for k < len(s.near) && s.near[k].a < end {
			n := s.near[k]
			if n.a > at {
				s.out = append(s.out, stretch{at, n.a})
			}
			at = max(at, n.b)
			if n.b >= end {
				break // it may reach into the next stretch too
			}
			k++
		}
		if at < end {
			s.out = append(s.out, stretch{at, end})
		}
	}
	return s.out
}

// joined is the union of the sorted stretches.
func (s *scanner) joined() []stretch {
	s.out = s.out[:0]
	for _, n := range s.near {
		if k := len(s.out); k > 0 && n.a <= s.out[k-1].b {
			s.out[k-1].b = max(s.out[k-1].b, n.b)
			continue
		}
		s.out = append(s.out, n)
	}
	return s.out
}

// within is the stretch of the row at y that is no farther than r from the edge: the hull of what lies in the discs about its
// ends and in the rectangle between.
func (e *edge) within(y, r float64) (stretch, bool) {
	out := stretch{math.Inf(1), math.Inf(-1)}
	if d := math.Abs(y - e.y1); d <= r {
		w := math.Sqrt((r - d) * (r + d))
		out = stretch{e.x1 - w, e.x1 + w}
	}
	if d := math.Abs(y - e.y2); d <= r {
		w := math.Sqrt((r - d) * (r + d))
		out.a, out.b = min(out.a, e.x2-w), max(out.b, e.x2+w)
	}
	// Of the rectangle: from 0 to length along the edge, and from -r to r across it.
	h := y - e.y1
	lo, hi := slab(e.ux, h*e.uy-e.x1*e.ux, 0, e.length)
	if a, b := slab(-e.uy, h*e.ux+e.x1*e.uy, -r, r); a > lo {
		lo, hi = a, min(hi, b)
	} else {
		hi = min(hi, b)
	}
	if lo <= hi {
		out.a, out.b = min(out.a, lo), max(out.b, hi)
	}
	return out, out.a <= out.b
}

// slab is the range of x for which least <= k*x + c <= most.
func slab(k, c, least, most float64) (lo, hi float64) {
	if math.Abs(k) < 1e-12 {
		if c < least || c > most {
			return math.Inf(1), math.Inf(-1)
		}
		return math.Inf(-1), math.Inf(1)
	}
	a, b := (least-c)/k, (most-c)/k
	if a > b {
		return b, a
	}
	return a, b
}
