package setout

import (
	"math"
	"sort"

	"quickthorn/planner"
)

// treePlaces are the hedge plants in whose places trees stand: the first tree at half of trees_every_m, then one every
// trees_every_m along the drawn line, each in place of the nearest hedge plant that is not a tree already. The plants come by
// chainage; the places are given in rising order.
func (h *hedger) treePlaces(plants []Plant) []int {
	every := h.d.TreesEveryM
	f := h.l.Feature
	if every <= 0 || len(plants) == 0 || f.Wrong("trees_every_m", "tree_mix") {
		return nil
	}
	if len(h.d.TreeMix) == 0 {
		h.l.Remarks = append(h.l.Remarks, Remark{Rule: "hedge.trees", Severity: planner.Note, At: plants[0].At, Place: "tree_mix",
			Message: f.Label() + " is to have trees, but not of which species. Give its tree_mix; until then hedge plants stand in their places."})
		return nil
	}
	at := make([]float64, len(plants))
	index := make([]int, len(plants))
	for i := range plants {
		at[i], index[i] = plants[i].Chainage, i
	}
	sort.SliceStable(index, func(a, b int) bool { return at[index[a]] < at[index[b]] })
	taken := map[int]bool{}
	var out []int
	for s := every / 2; s < h.t.length; s += every {
		k := nearestFree(index, at, taken, s, every/2)
		if k < 0 {
			continue
		}
		taken[k] = true
		out = append(out, k)
	}
	sort.Ints(out)
	return out
}

// nearestFree is the plant nearest to chainage s that is not taken, the earlier of two as near; -1 where none is within reach.
func nearestFree(index []int, at []float64, taken map[int]bool, s, reach float64) int {
	k := sort.Search(len(index), func(i int) bool { return at[index[i]] >= s })
	best, gap := -1, reach+1e-9
	for i := k - 1; i >= 0; i-- {
		d := s - at[index[i]]
		if d > gap {
			break
		}
		if !taken[index[i]] {
			best, gap = index[i], d
			break
		}
	}
	for i := k; i < len(index); i++ {
		d := math.Abs(at[index[i]] - s)
		if d > gap-1e-9 && best >= 0 || d > gap {
			break
		}
		if !taken[index[i]] {
			best = index[i]
			break
		}
	}
	return best
}
