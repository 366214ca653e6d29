package geo

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// mitreLimit is how far a corner may reach, in multiples of the offset: 4, the
// default of SVG's stroke-miterlimit. Corners sharper than 28.96 degrees are cut
// square there.
const mitreLimit = 4

// clearance is how much nearer to the line than |d| a parallel may come: a
// hundredth of a millimetre, for rounding.
const clearance = 1e-5

// Parallel is the line d to the left of ls (to the right where d is below 0),
// drawn in the same direction. Corners are mitred, to at most 4 |d| from the
// corner. Where the parallel would fold over itself at a sharp inner corner, or
// would come nearer than |d| to another part of the line, it is trimmed; if that
// breaks it, the longest part is kept (the first, of equals). It never crosses
// itself. trimmed tells that something was cut away; a line that leaves no
// parallel gives nil and true. A line without length gives nil and false. A closed
// line is one whose ends happen to meet: its parallel has no corner there.
//
// Cost: the number of corners times those within |d| of each.
func Parallel(ls orb.LineString, d float64) (line orb.LineString, trimmed bool) {
	c := NewChain(ls)
	if len(c.line) < 2 || !finite(d) {
		return nil, false
	}
	if d == 0 {
		return c.Line(), false
	}
	raw, cut := rawParallel(c, d)
	runs, clipped := clipNear(raw, c, math.Abs(d)-clearance)
	if len(runs) == 0 {
		return nil, true
	}
	var best orb.LineString
	for _, r := range linkRuns(runs) {
		if best == nil || Length(r) > Length(best)+1e-9 {
			best = r
		}
	}
	best, looped := cutLoops(best)
	return straighten(best), cut || clipped || looped || len(runs) > 1
}

// rawParallel offsets every segment and joins them where the corner lets it:
// with a mitre on the outside, and on the inside where both segments are long
// enough. Otherwise both offset segments are left whole, as separate pieces.
func rawParallel(c Chain, d float64) (pieces []orb.LineString, cut bool) {
	n := len(c.line) - 1
	cur := orb.LineString{move(c.line[0], c.left(0), d)}
	for i := 1; i < n; i++ {
		a, v, b := c.line[i-1], c.line[i], c.line[i+1]
		nl, nr := c.left(i-1), c.left(i)
		turn := float64(Orientation(a, v, b)) // +1 turns left
		cos := nl[0]*nr[0] + nl[1]*nr[1]
		if turn == 0 && cos > 0 {
			continue // straight on
		}
		if turn*d < 0 || turn == 0 { // the parallel goes round the outside
			cur = append(cur, outerCorner(v, nl, nr, cos, d)...)
			continue
		}
		reach := math.Abs(d) * math.Sqrt((1-cos)/(1+cos)) // |d| tan(turn/2)
		last := cur[len(cur)-1]
		m := mitre(a, v, b, d)
		room := (m[0]-last[0])*(v[0]-a[0]) + (m[1]-last[1])*(v[1]-a[1])
		if cos > -1+1e-12 && room > 0 && reach < Dist(v, b) {
			cur = append(cur, m)
			continue
		}
		cut = true
		cur = append(cur, move(v, nl, d))
		pieces = append(pieces, cur)
		cur = orb.LineString{move(v, nr, d)}
	}
	cur = append(cur, move(c.line[n], c.left(n-1), d))
	return append(pieces, cur), cut
}

func move(p, n orb.Point, d float64) orb.Point { return orb.Point{p[0] + d*n[0], p[1] + d*n[1]} }

// outerCorner is the mitre on the outside of a corner, cut square at the limit.
func outerCorner(v, nl, nr orb.Point, cos, d float64) orb.LineString {
	half := math.Sqrt(math.Max(0, (1+cos)/2)) // cosine of half the turn
	if half > 1/float64(mitreLimit) {
		s := d / (1 + cos)
		return orb.LineString{{v[0] + s*(nl[0]+nr[0]), v[1] + s*(nl[1]+nr[1])}}
	}
	// Cut by the line square to the bisector at mitreLimit*|d|: each side runs on
	// from its normal by e along its own segment, where half*d + sin*e = limit*d.
	sin := math.Sqrt(1 - half*half)
	e := math.Abs(d) * (mitreLimit - half) / sin
	ahead := orb.Point{nl[1], -nl[0]} // along the segment before
	back := orb.Point{-nr[1], nr[0]}  // against the segment after
	return orb.LineString{move(move(v, nl, d), ahead, e), move(move(v, nr, d), back, e)}
}

// clipNear cuts away what lies nearer than r to the line and joins what is left
// into runs.
func clipNear(pieces []orb.LineString, c Chain, r float64) (runs []orb.LineString, cut bool) {
	idx := NewSegments(LineSegments(c.line, 0))
	for _, p := range pieces {
		for i := 1; i < len(p); i++ {
			keep := farParts(p[i-1], p[i], idx, r)
			if len(keep) != 1 || keep[0] != [2]float64{0, 1} {
				cut = true
			}
			for _, k := range keep {
				a, b := lerp(p[i-1], p[i], k[0]), lerp(p[i-1], p[i], k[1])
				if Dist(a, b) > 1e-9 {
					runs = joinRun(runs, a, b)
				}
			}
		}
	}
	return runs, cut
}

// joinRun adds the piece a to b to the last run where the two meet: end to end,
// or crossing (both are then cut at the crossing). Otherwise it starts a run.
func joinRun(runs []orb.LineString, a, b orb.Point) []orb.LineString {
	if len(runs) == 0 {
		return append(runs, orb.LineString{a, b})
	}
	k := len(runs) - 1
	run := runs[k]
	n := len(run)
	p, q := run[n-2], run[n-1]
	if q == a {
		runs[k] = append(run, b)
		return runs
	}
	if x, ok := meetNear(p, q, a, b); ok {
		run[n-1] = x
		runs[k] = append(run, b)
		return runs
	}
	return append(runs, orb.LineString{a, b})
}

// joinGap is how far the ends of two trimmed pieces may lie apart and still be
// the two sides of one corner.
const joinGap = 1e-3

// meetNear is where p-q runs into a-b: their crossing, or, where q and a are
// within a millimetre, the crossing of the two drawn on, or their middle.
func meetNear(p, q, a, b orb.Point) (orb.Point, bool) {
	dx, dy, ex, ey := q[0]-p[0], q[1]-p[1], b[0]-a[0], b[1]-a[1]
	den := dx*ey - dy*ex
	near := Dist(q, a) <= joinGap
	if math.Abs(den) > 1e-9*math.Hypot(dx, dy)*math.Hypot(ex, ey) {
		t := ((a[0]-p[0])*ey - (a[1]-p[1])*ex) / den
		u := ((a[0]-p[0])*dy - (a[1]-p[1])*dx) / den
		x := lerp(p, q, t)
		inside := t >= 0 && t <= 1 && u >= 0 && u <= 1
		if inside || (near && t > 0 && u < 1 && Dist(x, q) <= 2*joinGap) {
			return x, true
		}
	}
	return lerp(q, a, 0.5), near
}

// linkRuns joins runs that run into one another, in the order of the line: each
// run is added to the latest chain that it meets, both cut where they meet.
func linkRuns(runs []orb.LineString) []orb.LineString {
	var chains []orb.LineString
next:
	for _, r := range runs {
		for k := len(chains) - 1; k >= 0; k-- {
			if j, ok := link(chains[k], r); ok {
				chains[k] = j
				continue next
			}
		}
		chains = append(chains, r)
	}
	return chains
}

// link cuts a and b where they meet, as late on a and as early on b as can be,
// and joins them there.
func link(a, b orb.LineString) (orb.LineString, bool) {
	for i := len(a) - 2; i >= 0; i-- {
		for j := 0; j+1 < len(b); j++ {
			if x, ok := segmentsMeet(a[i], a[i+1], b[j], b[j+1]); ok {
				out := append(orb.LineString{}, a[:i+1]...)
				return append(append(out, x), b[j+1:]...), true
			}
		}
	}
	return nil, false
}

// straighten drops corners that repeat the one before, and those that lie within
// the clearance of the straight way past them; every corner so dropped is held
// against the whole way, so that a slow curve keeps its shape.
func straighten(ls orb.LineString) orb.LineString {
	out := orb.LineString{ls[0]}
	from := 0 // where the last corner kept stands in ls
	for i := 1; i < len(ls); i++ {
		if i+1 < len(ls) && i-from < 100 && onWay(ls[from], ls[i+1], ls[from+1:i+1]) {
			continue
		}
		out, from = append(out, ls[i]), i
	}
	return out
}

func onWay(a, b orb.Point, between []orb.Point) bool {
	last := 0.0
	for _, p := range between {
		d, t := DistToSegment(p, a, b)
		if d > clearance || t < last {
			return false
		}
		last = t
	}
	return true
}

// farParts are the stretches of a-b (as shares) that are at least r from every
// segment. Invariant: the distance to a segment is a convex function along a
// line, so each segment takes away one stretch.
func farParts(a, b orb.Point, idx *Segments, r float64) [][2]float64 {
	l := Dist(a, b)
	if l == 0 || r <= 0 {
		return [][2]float64{{0, 1}}
	}
	var bad [][2]float64
	for _, i := range idx.candidates(lerp(a, b, 0.5), l/2+r) {
		if lo, hi, ok := nearStretch(a, b, idx.segs[i], r); ok {
			bad = append(bad, [2]float64{lo, hi})
		}
	}
	slices.SortFunc(bad, func(x, y [2]float64) int {
		if x[0] != y[0] {
			return sign(x[0] - y[0])
		}
		return sign(x[1] - y[1])
	})
	var keep [][2]float64
	at := 0.0
	for _, s := range bad {
		if s[0] > at {
			keep = append(keep, [2]float64{at, s[0]})
		}
		at = math.Max(at, s[1])
	}
	if at < 1 {
		keep = append(keep, [2]float64{at, 1})
	}
	return keep
}

// nearStretch is the stretch of a-b (shares, within 0 to 1) nearer than r to s.
func nearStretch(a, b orb.Point, s Segment, r float64) (lo, hi float64, ok bool) {
	lo, hi = math.Inf(1), math.Inf(-1)
	widen := func(l, h float64) {
		if l < h {
			lo, hi = math.Min(lo, l), math.Max(hi, h)
		}
	}
	// The ground within r of s is two discs and a rectangle; all are convex and
	// so is their union, so the three stretches make one.
	widen(inDisc(a, b, s.A, r))
	widen(inDisc(a, b, s.B, r))
	widen(inBelt(a, b, s, r))
	lo, hi = math.Max(lo, 0), math.Min(hi, 1)
	return lo, hi, lo < hi
}

func inDisc(a, b, c orb.Point, r float64) (lo, hi float64) {
	l := Dist(a, b)
	ux, uy := (b[0]-a[0])/l, (b[1]-a[1])/l
	px, py := c[0]-a[0], c[1]-a[1]
	h := px*uy - py*ux
	if math.Abs(h) >= r {
		return 0, 0
	}
	w := math.Sqrt((r - h) * (r + h))
	m := px*ux + py*uy
	return (m - w) / l, (m + w) / l
}

// inBelt is the stretch of a-b within the rectangle r to either side of s.
func inBelt(a, b orb.Point, s Segment, r float64) (lo, hi float64) {
	l := s.Length()
	ux, uy := (s.B[0]-s.A[0])/l, (s.B[1]-s.A[1])/l
	lo, hi = math.Inf(-1), math.Inf(1)
	slab := func(p, q, min, max float64) { // min < value < max, value p at a, q at b
		if d := q - p; d != 0 {
			x, y := (min-p)/d, (max-p)/d
			lo, hi = math.Max(lo, math.Min(x, y)), math.Min(hi, math.Max(x, y))
		} else if p <= min || p >= max {
			lo, hi = 0, 0
		}
	}
	along := func(p orb.Point) float64 { return (p[0]-s.A[0])*ux + (p[1]-s.A[1])*uy }
	aside := func(p orb.Point) float64 { return (p[1]-s.A[1])*ux - (p[0]-s.A[0])*uy }
	slab(along(a), along(b), 0, l)
	if lo < hi {
		slab(aside(a), aside(b), -r, r)
	}
	return lo, hi
}

// cutLoops removes what lies between the two passes of a line through each
// crossing with itself, so that none is left.
func cutLoops(ls orb.LineString) (orb.LineString, bool) {
	cut := false
	segs := chainSegments(ls)
	idx := NewSegments(segs)
	for i := 0; i+1 < len(ls); i++ {
		last, at := -1, orb.Point{}
		idx.Crossing(ls[i], ls[i+1], func(j int) {
			if j > i+1 {
				if x, ok := segmentsMeet(ls[i], ls[i+1], ls[j], ls[j+1]); ok {
					last, at = j, x
				}
			}
		})
		if last < 0 {
			continue
		}
		out := append(orb.LineString{}, ls[:i+1]...)
		ls = append(append(out, at), ls[last+1:]...)
		segs = chainSegments(ls)
		idx = NewSegments(segs)
		cut = true
	}
	return ls, cut
}

// chainSegments are the segments of a line in order, those of no length too.
func chainSegments(ls orb.LineString) []Segment {
	segs := make([]Segment, 0, len(ls))
	for i := 1; i < len(ls); i++ {
		segs = append(segs, Segment{ls[i-1], ls[i], i - 1})
	}
	return segs
}

// segmentsMeet tells whether two closed segments share a point, and one such
// point. Whether they meet is exact; the place is rounded.
func segmentsMeet(a, b, c, d orb.Point) (orb.Point, bool) {
	o1, o2 := Orientation(a, b, c), Orientation(a, b, d)
	o3, o4 := Orientation(c, d, a), Orientation(c, d, b)
	if o1*o2 < 0 && o3*o4 < 0 {
		return crossingPoint(a, b, c, d), true
	}
	switch {
	case o1 == 0 && OnSegment(c, a, b):
		return c, true
	case o2 == 0 && OnSegment(d, a, b):
		return d, true
	case o3 == 0 && OnSegment(a, c, d):
		return a, true
	case o4 == 0 && OnSegment(b, c, d):
		return b, true
	}
	return orb.Point{}, false
}

// crossingPoint is where two segments that cross do so, kept within the box of
// the first.
func crossingPoint(a, b, c, d orb.Point) orb.Point {
	ex, ey := d[0]-c[0], d[1]-c[1]
	den := (b[0]-a[0])*ey - (b[1]-a[1])*ex
	t := ((c[0]-a[0])*ey - (c[1]-a[1])*ex) / den
	if !(t >= 0) {
		t = 0
	}
	return lerp(a, b, math.Min(1, t))
}
