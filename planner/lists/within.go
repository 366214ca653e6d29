package lists

import (
	"math"
	"slices"

	"github.com/paulmach/orb"

	"quickthorn/geo"
)

// A span is a stretch of a segment, by shares of its length from 0 to 1.
type span struct{ from, to float64 }

// merge puts spans in order and joins those that touch.
func merge(spans []span) []span {
	spans = slices.Clone(spans)
	slices.SortFunc(spans, func(x, y span) int {
		switch {
		case x.from < y.from:
			return -1
		case x.from > y.from:
			return 1
		}
		return 0
	})
	var out []span
	for _, s := range spans {
		if n := len(out); n > 0 && s.from <= out[n-1].to {
			out[n-1].to = math.Max(out[n-1].to, s.to)
			continue
		}
		out = append(out, s)
	}
	return out
}

// total is the length of spans that do not overlap.
func total(spans []span) float64 {
	sum := 0.0
	for _, s := range spans {
		sum += s.to - s.from
	}
	return sum
}

// within is the part of the segment a-b that lies in the region or no more than r outside it, exactly, as merged spans.
//
// Near each edge of the region the segment runs within r of it on one stretch, because the ground within r of an edge is
// convex. Between those stretches the segment crosses no edge, so each piece lies wholly inside or wholly outside, and its
// middle tells which.
//
//	         ______________
//	a ==r==|==r====in====r==|==r== ------ b
//	       |______________|
//
// Cost: proportional to the edges near the segment, plus one inside test for each stretch between them.
func within(a, b orb.Point, region *geo.Region, r float64) []span {
	l := geo.Dist(a, b)
	mid := orb.Point{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2}
	var near []span
	region.Edges().Within(mid, l/2+r, func(i int, _ float64) bool {
		if s, ok := besideEdge(a, b, region.Edges().At(i), r); ok {
			near = append(near, s)
		}
		return true
	})
	near = merge(near)
	out, at := slices.Clone(near), 0.0
	try := func(from, to float64) {
		if to <= from {
			return
		}
		t := (from + to) / 2
		if region.Contains(orb.Point{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])}) {
			out = append(out, span{from, to})
		}
	}
	for _, s := range near {
		try(at, s.from)
		at = s.to
	}
	try(at, 1)
	return merge(out)
}

// besideEdge is the stretch of a-b within r of an edge.
func besideEdge(a, b orb.Point, e geo.Segment, r float64) (span, bool) {
	lo, hi := math.Inf(1), math.Inf(-1)
	widen := func(s span) {
		if s.from <= s.to {
			lo, hi = math.Min(lo, s.from), math.Max(hi, s.to)
		}
	}
	widen(inDisc(a, b, e.A, r))
	widen(inDisc(a, b, e.B, r))
	widen(inBelt(a, b, e, r))
	lo, hi = math.Max(lo, 0), math.Min(hi, 1)
	return span{lo, hi}, lo < hi
}

var nowhere = span{1, 0}

// inDisc is the stretch of the line through a and b that lies within r of c, its ends not clipped.
func inDisc(a, b, c orb.Point, r float64) span {
	l := geo.Dist(a, b)
	ux, uy := (b[0]-a[0])/l, (b[1]-a[1])/l
	px, py := c[0]-a[0], c[1]-a[1]
	h := px*uy - py*ux
	if math.Abs(h) > r {
		return nowhere
	}
	m, w := px*ux+py*uy, math.Sqrt((r-h)*(r+h))
	return span{(m - w) / l, (m + w) / l}
}

// inBelt is the stretch of the line through a and b in the rectangle that reaches r to either side of an edge.
func inBelt(a, b orb.Point, e geo.Segment, r float64) span {
	l := e.Length()
	ux, uy := (e.B[0]-e.A[0])/l, (e.B[1]-e.A[1])/l
	along := func(p orb.Point) float64 { return (p[0]-e.A[0])*ux + (p[1]-e.A[1])*uy }
	aside := func(p orb.Point) float64 { return (p[1]-e.A[1])*ux - (p[0]-e.A[0])*uy }
	s := slab(span{math.Inf(-1), math.Inf(1)}, along(a), along(b), 0, l)
	return slab(s, aside(a), aside(b), -r, r)
}

// slab cuts a span to where a value that is p at its 0 and q at its 1 lies between least and most.
func slab(s span, p, q, least, most float64) span {
	d := q - p
	if d == 0 {
		if p < least || p > most {
			return nowhere
		}
		return s
	}
	x, y := (least-p)/d, (most-p)/d
	return span{math.Max(s.from, math.Min(x, y)), math.Min(s.to, math.Max(x, y))}
}
