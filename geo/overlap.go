package geo

import (
	"cmp"
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// overlapBudget is the most looks at an edge that OverlapArea takes for an exact
// answer; some two seconds.
const overlapBudget = 60_000_000

// OverlapArea is the area that lies both in a and in b, square metres. Parts of
// one side that overlap count once. The common box is cut into level strips at
// every corner and every crossing of two edges. Invariant: within a strip no two
// edges cross, so the ground in both is a row of trapezoids, and the width at
// half height times the height is exact.
//
// Cost: the number of strips times the edges that each meets. Where that is too
// dear (tens of thousands of corners, much entangled) the widths are taken at
// even heights instead, up to 4,096 of them, and exact is false.
func OverlapArea(a, b orb.MultiPolygon) (m2 float64, exact bool) {
	return overlapArea(a, b, overlapBudget)
}

func overlapArea(a, b orb.MultiPolygon, budget int) (float64, bool) {
	box, ok := commonBox(a, b)
	if !ok {
		return 0, true
	}
	edges := overlapEdges(a, b, box)
	slices.SortFunc(edges, func(p, q overlapEdge) int { return cmp.Compare(p.lo[1], q.lo[1]) })
	if ys, ok := stripHeights(edges, box, budget); ok {
		if m2, ok := stripSum(edges, ys, len(a), len(b), budget); ok {
			return m2, true
		}
	}
	rows := max(64, min(4096, budget/(len(edges)+1)))
	ys := make([]float64, rows+1)
	for i := range ys {
		ys[i] = box.Min[1] + (box.Max[1]-box.Min[1])*float64(i)/float64(rows)
	}
	m2, _ := stripSum(edges, ys, len(a), len(b), math.MaxInt)
	return m2, false
}

// stripSum adds up the strips between the heights; ok is false where that takes
// more looks than the budget.
func stripSum(edges []overlapEdge, ys []float64, na, nb, budget int) (m2 float64, ok bool) {
	var active []overlapEdge
	odd := make([]bool, na+nb)
	next, looks := 0, 0
	for k := 1; k < len(ys); k++ {
		y := ys[k-1] + (ys[k]-ys[k-1])/2
		for next < len(edges) && edges[next].lo[1] <= y {
			active = append(active, edges[next])
			next++
		}
		active = slices.DeleteFunc(active, func(e overlapEdge) bool { return e.hi[1] <= y })
		if looks += len(active); looks > budget {
			return 0, false
		}
		clear(odd)
		m2 += stripWidth(active, y, odd, na) * (ys[k] - ys[k-1])
	}
	return m2, true
}

// overlapEdge goes up from lo to hi; member counts polygons, those of b after
// those of a.
type overlapEdge struct {
	lo, hi orb.Point
	member int
	x      float64 // at the height of the strip's middle
}

func commonBox(a, b orb.MultiPolygon) (orb.Bound, bool) {
	if corners(a) == 0 || corners(b) == 0 {
		return orb.Bound{}, false
	}
	p, q := a.Bound(), b.Bound()
	box := orb.Bound{
		Min: orb.Point{math.Max(p.Min[0], q.Min[0]), math.Max(p.Min[1], q.Min[1])},
		Max: orb.Point{math.Min(p.Max[0], q.Max[0]), math.Min(p.Max[1], q.Max[1])},
	}
	return box, box.Min[0] < box.Max[0] && box.Min[1] < box.Max[1]
}

// overlapEdges are the edges that matter in the box: level ones bound no
// trapezoid, and those beyond its right side are never reached from the left.
func overlapEdges(a, b orb.MultiPolygon, box orb.Bound) []overlapEdge {
	var out []overlapEdge
	for k, p := range append(slices.Clone(a), b...) {
		for _, s := range PolygonSegments(p, k) {
			lo, hi := s.A, s.B
			if lo[1] > hi[1] {
				lo, hi = hi, lo
			}
			if lo[1] == hi[1] || !finiteSeg(s) || hi[1] <= box.Min[1] || lo[1] >= box.Max[1] || math.Min(lo[0], hi[0]) > box.Max[0] {
				continue
			}
			out = append(out, overlapEdge{lo: lo, hi: hi, member: k})
		}
	}
	return out
}

// stripHeights are the heights, ascending, between which no two edges cross; ok
// is false where finding them takes more looks than the budget.
func stripHeights(edges []overlapEdge, box orb.Bound, budget int) (ys []float64, ok bool) {
	ys = []float64{box.Min[1], box.Max[1]}
	segs := make([]Segment, len(edges))
	for i, e := range edges {
		segs[i] = Segment{e.lo, e.hi, e.member}
		ys = append(ys, e.lo[1], e.hi[1])
	}
	idx := NewSegments(segs)
	looks := 0
	for i, e := range segs {
		looks += idx.Crossing(e.A, e.B, func(k int) {
			if k <= i {
				return
			}
			if x, ok := segmentsMeet(e.A, e.B, segs[k].A, segs[k].B); ok {
				ys = append(ys, x[1])
			}
		})
		// A look here is dearer than one in a strip, by some ten times.
		if looks > budget/10 {
			return nil, false
		}
	}
	slices.Sort(ys)
	ys = slices.Compact(ys)
	return slices.DeleteFunc(ys, func(y float64) bool { return y < box.Min[1] || y > box.Max[1] }), true
}

// stripWidth is the width at height y of the ground that lies in a polygon of a
// and in one of b. odd is scratch, one per polygon, all false.
func stripWidth(active []overlapEdge, y float64, odd []bool, na int) float64 {
	for i := range active {
		e := &active[i]
		t := (y - e.lo[1]) / (e.hi[1] - e.lo[1])
		e.x = e.lo[0] + t*(e.hi[0]-e.lo[0])
		// The order of the strip below nearly holds: sink each to its place.
		for k := i; k > 0 && active[k].x < active[k-1].x; k-- {
			active[k], active[k-1] = active[k-1], active[k]
		}
	}
	var in [2]int
	var sum, from float64
	for _, e := range active {
		both := in[0] > 0 && in[1] > 0
		side := 0
		if e.member >= na {
			side = 1
		}
		if odd[e.member] = !odd[e.member]; odd[e.member] {
			in[side]++
		} else {
			in[side]--
		}
		switch now := in[0] > 0 && in[1] > 0; {
		case now && !both:
			from = e.x
		case both && !now:
			sum += e.x - from
		}
	}
	return sum
}
