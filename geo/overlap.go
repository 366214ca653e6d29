package geo

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// overlapBudget is the most edge visits that OverlapArea makes before it samples
// instead; about a second.
const overlapBudget = 60_000_000

// overlapSamples is the number of grid points of the sampled answer.
const overlapSamples = 250_000

// overlapArea cuts the common box into horizontal strips at every corner and
// every crossing of an edge of a with an edge of b. Invariant: within a strip no
// two edges cross, so the ground in both is a row of trapezoids, and the width
// at half height times the height is exact.
func overlapArea(a, b orb.MultiPolygon, budget int) (float64, bool) {
	box, ok := commonBox(a, b)
	if !ok {
		return 0, true
	}
	edges := overlapEdges(a, b, box)
	ys, ok := stripHeights(edges, box, budget)
	if !ok {
		return sampledOverlap(a, b, box), false
	}
	slices.SortFunc(edges, func(p, q overlapEdge) int { return sign(p.lo[1] - q.lo[1]) })
	var active []overlapEdge
	next, visits := 0, 0
	var sum float64
	for k := 1; k < len(ys); k++ {
		y0, y1 := ys[k-1], ys[k]
		for next < len(edges) && edges[next].lo[1] <= y0 {
			active = append(active, edges[next])
			next++
		}
		active = slices.DeleteFunc(active, func(e overlapEdge) bool { return e.hi[1] <= y0 })
		if visits += len(active); visits > budget {
			return sampledOverlap(a, b, box), false
		}
		sum += stripWidth(active, (y0+y1)/2, len(a), len(b)) * (y1 - y0)
	}
	return sum, true
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

// stripHeights are the heights, ascending, between which no two edges cross.
func stripHeights(edges []overlapEdge, box orb.Bound, budget int) ([]float64, bool) {
	ys := []float64{box.Min[1], box.Max[1]}
	segs := make([]Segment, len(edges))
	for i, e := range edges {
		segs[i] = Segment{e.lo, e.hi, e.member}
		ys = append(ys, e.lo[1], e.hi[1])
	}
	idx := NewSegments(segs)
	visits := 0
	for i, e := range segs {
		idx.Crossing(e.A, e.B, func(k int) {
			visits++
			if k <= i {
				return
			}
			if x, ok := segmentsMeet(e.A, e.B, segs[k].A, segs[k].B); ok {
				ys = append(ys, x[1])
			}
		})
		if visits > budget {
			return nil, false
		}
	}
	slices.Sort(ys)
	ys = slices.Compact(ys)
	ys = slices.DeleteFunc(ys, func(y float64) bool { return y < box.Min[1] || y > box.Max[1] })
	return ys, true
}

// stripWidth is the width at height y of the ground that lies in a polygon of a
// and in one of b.
func stripWidth(active []overlapEdge, y float64, na, nb int) float64 {
	for i := range active {
		e := &active[i]
		t := (y - e.lo[1]) / (e.hi[1] - e.lo[1])
		e.x = e.lo[0] + t*(e.hi[0]-e.lo[0])
	}
	slices.SortFunc(active, func(p, q overlapEdge) int { return sign(p.x - q.x) })
	odd := make([]bool, na+nb)
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

// sampledOverlap counts the middles of equal cells that lie in both.
func sampledOverlap(a, b orb.MultiPolygon, box orb.Bound) float64 {
	ra, rb := NewRegion(a), NewRegion(b)
	w, h := box.Max[0]-box.Min[0], box.Max[1]-box.Min[1]
	cell := math.Sqrt(w * h / overlapSamples)
	nx, ny := max(1, min(overlapSamples, int(w/cell))), max(1, min(overlapSamples, int(h/cell)))
	hits := 0
	for j := range ny {
		for i := range nx {
			p := orb.Point{box.Min[0] + (float64(i)+0.5)*w/float64(nx), box.Min[1] + (float64(j)+0.5)*h/float64(ny)}
			if ra.Contains(p) && rb.Contains(p) {
				hits++
			}
		}
	}
	return float64(hits) / float64(nx*ny) * w * h
}
