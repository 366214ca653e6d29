package wood

import (
	"math"
	"slices"
)

// best finds the best winters of a unit that has been taken, all others standing as they are: the cheapest way through the winters.
func (s *solver) best(i int) []int {
	u := &s.Units[i]
	end, scale := s.Winters, s.scale()
	bestCost, bestLast := math.Inf(1), -2
	lastPin := -1
	for w := range end {
		if s.pinned[i][w] {
			lastPin = w
		}
	}
	pinBefore := -1 // the last pin before w: a way to w may not jump over it
	for w := 0; w < end; w++ {
		s.cost[w] = math.Inf(1)
		if s.free(i, w) {
			d, n := s.off(w)
			for p := pinBefore; p < w; p++ {
				before := 0.0
				if p >= 0 {
					before = s.cost[p]
				}
				a := s.age(i, p, w)
				if a < u.Least || math.IsInf(before, 1) {
					continue
				}
				y := u.logs(a)
				if c := before + (n*y*y+2*y*d)/(scale*scale) + s.ageCost(i, a); c < s.cost[w]-1e-12 {
					s.cost[w], s.from[w] = c, p
				}
			}
			if w >= lastPin {
				if c := s.cost[w] + s.endCost(i, w); c < bestCost-1e-12 {
					bestCost, bestLast = c, w
				}
			}
		}
		if s.pinned[i][w] {
			pinBefore = w
		}
	}
	if lastPin < 0 && s.endCost(i, -1) <= bestCost {
		return nil
	}
	var cuts []int
	for w := bestLast; w >= 0; w = s.from[w] {
		cuts = append(cuts, w)
	}
	slices.Reverse(cuts)
	return cuts
}
