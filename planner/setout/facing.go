package setout

import (
	"math"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// facingDeg is how far the direction of each end may lie off the joining line where two hedges face each other.
const facingDeg = 45.0

// A join is an opening between the free ends of two existing hedges that still counts as a gap in one hedge.
type join struct {
	low, high       string // ids, in order of text
	lowEnd, highEnd bool   // at the end of that hedge (else at its start)
	length          float64
	a, b            orb.Point // at the lower id's end, at the other's
}

// joins are the openings between hedges by the hedge they touch: each is in the lists of both.
type joins map[string][]join

type freeEnd struct {
	id      string
	end     bool
	at      orb.Point
	bearing float64
}

// facing finds the pairs of free ends that face each other: each end's direction within 45 degrees of the joining line,
// across a distance at which the rule set still counts one hedge. The nearest pair counts first, and an end is used once.
func facing(hedges []*planner.Feature, lim *limits) joins {
	ends := freeEnds(hedges)
	reach := lim.splitReach()
	pts := make([]orb.Point, len(ends))
	for i, e := range ends {
		pts[i] = e.at
	}
	grid := geo.NewPoints(pts, math.Max(1, reach))
	var found []join
	for i, e := range ends {
		grid.Within(e.at, reach, func(k int, d float64) bool {
			o := ends[k]
			if k <= i || o.id == e.id || d <= planner.Tolerance || lim.splits(d) {
				return true
			}
			way := geo.BearingDeg(e.at, o.at)
			if geo.AngleBetweenDeg(e.bearing, way) > facingDeg || geo.AngleBetweenDeg(o.bearing, geo.NormBearing(way+180)) > facingDeg {
				return true
			}
			lo, hi := e, o
			if hi.id < lo.id {
				lo, hi = hi, lo
			}
			found = append(found, join{low: lo.id, high: hi.id, lowEnd: lo.end, highEnd: hi.end, length: d, a: lo.at, b: hi.at})
			return true
		})
	}
	slices.SortFunc(found, compareJoins)
	type key struct {
		id  string
		end bool
	}
	used := map[key]bool{}
	out := joins{}
	for _, j := range found {
		a, b := key{j.low, j.lowEnd}, key{j.high, j.highEnd}
		if used[a] || used[b] {
			continue
		}
		used[a], used[b] = true, true
		out[j.low] = append(out[j.low], j)
		out[j.high] = append(out[j.high], j)
	}
	return out
}

func compareJoins(a, b join) int {
	switch {
	case a.length < b.length-1e-6:
		return -1
	case a.length > b.length+1e-6:
		return 1
	case a.low != b.low:
		return strings.Compare(a.low, b.low)
	case a.high != b.high:
		return strings.Compare(a.high, b.high)
	case a.lowEnd != b.lowEnd:
		return boolOrder(a.lowEnd)
	case a.highEnd != b.highEnd:
		return boolOrder(a.highEnd)
	}
	return 0
}

func boolOrder(first bool) int {
	if first {
		return 1
	}
	return -1
}

// freeEnds are the ends of hedges that neither close on themselves nor touch another hedge.
func freeEnds(hedges []*planner.Feature) []freeEnd {
	var all []geo.Segment
	for i, f := range hedges {
		for _, l := range f.Shape.Lines {
			all = append(all, geo.LineSegments(l, i)...)
		}
	}
	index := geo.NewSegments(all)
	var out []freeEnd
	for i, f := range hedges {
		t := newTrace(f.Shape.Lines)
		if t.closed || t.length <= planner.Tolerance {
			continue
		}
		first, last := f.Shape.Lines[0], f.Shape.Lines[len(f.Shape.Lines)-1]
		for _, e := range []freeEnd{{f.ID, false, first[0], endBearing(first, false)}, {f.ID, true, last[len(last)-1], endBearing(last, true)}} {
			free := true
			index.Within(e.at, planner.Tolerance, func(k int, _ float64) bool {
				free = all[k].Tag == i
				return free
			})
			if free {
				out = append(out, e)
			}
		}
	}
	return out
}

// neighbours gives the joins before a hedge's start and beyond its end.
func (js joins) neighbours(id string) (before, after *join) {
	list := js[id]
	for k := range list {
		j := &list[k]
		atEnd := j.lowEnd
		if j.high == id {
			atEnd = j.highEnd
		}
		if atEnd {
			after = j
		} else {
			before = j
		}
	}
	return before, after
}

// carryOn lengthens the chain across the openings to the hedges that this one faces. What lies in them belongs to the hedge
// with the lower id; the other only sees that a gateway there is not in itself.
func (t *trace) carryOn(id string, js joins) {
	before, after := js.neighbours(id)
	if before == nil && after == nil {
		return
	}
	line := t.chain.Line()
	if before != nil {
		far := before.a
		if before.low == id {
			far, t.lead = before.b, before.length
		}
		line = append(orb.LineString{far}, line...)
		t.zero = before.length
	}
	if after != nil {
		far := after.a
		if after.low == id {
			far, t.tail = after.b, after.length
		}
		line = append(line, far)
	}
	t.chain = geo.NewChain(line)
}
