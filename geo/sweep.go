package geo

import (
	"cmp"
	"slices"
	"sort"

	"github.com/paulmach/orb"
)

// The sweep finds whether edges cross, and where they touch, after M. I. Shamos
// and D. Hoey, "Geometric intersection problems", 17th Symposium on Foundations
// of Computer Science, 1976. A vertical line goes from west to east and keeps the
// edges that it meets in order from south to north. Invariant: until the first
// crossing or overlap that order holds, because edges only change places where
// they cross, and two edges that cross become neighbours before they do. Touches
// change no order. All comparisons are exact.

// sweepEdge goes from l to r in order of x, then y.
type sweepEdge struct {
	l, r orb.Point
	ring int // number of the ring among all
}

// touch is a place where corners or edges of several rings meet.
type touch struct {
	at    orb.Point
	rings []int // each once, ascending
}

type sweep struct {
	edges   []sweepEdge
	status  []int32
	touches []touch
	// selfAt are the places where a ring touches itself.
	selfAt []touch
	// bad are the two edges of the first crossing or overlap, if any.
	bad   [2]int32
	stops bool
}

type sweepEvent struct {
	at    orb.Point
	edge  int32
	start bool
}

func lexCmp(a, b orb.Point) int {
	if c := cmp.Compare(a[0], b[0]); c != 0 {
		return c
	}
	return cmp.Compare(a[1], b[1])
}

// runSweep goes over the edges until the end or the first crossing or overlap.
func runSweep(edges []sweepEdge) *sweep {
	s := &sweep{edges: edges}
	ev := make([]sweepEvent, 0, 2*len(edges))
	for i, e := range edges {
		ev = append(ev, sweepEvent{e.l, int32(i), true}, sweepEvent{e.r, int32(i), false})
	}
	slices.SortFunc(ev, func(a, b sweepEvent) int {
		if c := lexCmp(a.at, b.at); c != 0 {
			return c
		}
		return cmp.Compare(a.edge, b.edge)
	})
	for i := 0; i < len(ev) && !s.stops; {
		j := i
		for j < len(ev) && ev[j].at == ev[i].at {
			j++
		}
		s.point(ev[i].at, ev[i:j])
		i = j
	}
	return s
}

func (s *sweep) stop(a, b int32) { s.bad, s.stops = [2]int32{a, b}, true }

// side is where p lies of edge i: above +1, on it 0, below -1.
func (s *sweep) side(i int32, p orb.Point) int { return Orientation(s.edges[i].l, s.edges[i].r, p) }

// point handles everything that happens at p.
func (s *sweep) point(p orb.Point, ev []sweepEvent) {
	lo := sort.Search(len(s.status), func(k int) bool { return s.side(s.status[k], p) <= 0 })
	hi := lo + sort.Search(len(s.status)-lo, func(k int) bool { return s.side(s.status[lo+k], p) < 0 })
	var through []int32
	for _, i := range s.status[lo:hi] {
		if s.edges[i].r != p {
			through = append(through, i)
		}
	}
	if len(through) > 1 {
		s.stop(through[0], through[1])
		return
	}
	s.note(p, ev, through)
	group := through
	for _, e := range ev {
		if e.start {
			group = append(group, e.edge)
		}
	}
	slices.SortFunc(group, func(a, b int32) int {
		if c := Orientation(p, s.edges[a].r, s.edges[b].r); c != 0 {
			return -c
		}
		return cmp.Compare(a, b)
	})
	for k := 1; k < len(group); k++ {
		if Orientation(p, s.edges[group[k-1]].r, s.edges[group[k]].r) == 0 {
			s.stop(group[k-1], group[k])
			return
		}
	}
	s.status = slices.Replace(s.status, lo, hi, group...)
	s.meet(lo-1, lo)
	if len(group) > 0 {
		s.meet(lo+len(group)-1, lo+len(group))
	}
}

// meet stops the sweep if two neighbours cross.
func (s *sweep) meet(k, l int) {
	if k < 0 || l >= len(s.status) || s.stops {
		return
	}
	a, b := s.edges[s.status[k]], s.edges[s.status[l]]
	if properCross(a.l, a.r, b.l, b.r) {
		s.stop(s.status[k], s.status[l])
	}
}

// properCross tells whether two segments cross at a point inside both.
func properCross(a, b, c, d orb.Point) bool {
	return Orientation(a, b, c)*Orientation(a, b, d) < 0 && Orientation(c, d, a)*Orientation(c, d, b) < 0
}

// note records the rings that meet at p.
func (s *sweep) note(p orb.Point, ev []sweepEvent, through []int32) {
	if len(ev) == 2 && len(through) == 0 && s.edges[ev[0].edge].ring == s.edges[ev[1].edge].ring {
		return // an ordinary corner
	}
	var ends []int // the ring of every edge end at p, twice for an edge through it
	for _, e := range ev {
		ends = append(ends, s.edges[e.edge].ring)
	}
	for _, i := range through {
		ends = append(ends, s.edges[i].ring, s.edges[i].ring)
	}
	slices.Sort(ends)
	var self []int
	for k := 2; k < len(ends); k++ {
		if ends[k] == ends[k-2] {
			self = append(self, ends[k])
		}
	}
	if len(self) > 0 {
		s.selfAt = append(s.selfAt, touch{p, slices.Compact(self)})
	}
	if rings := slices.Compact(ends); len(rings) > 1 {
		s.touches = append(s.touches, touch{p, rings})
	}
}
