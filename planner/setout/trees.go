package setout

import (
	"fmt"

	"quickthorn/geo"
	"quickthorn/planner"
)

// treeKinds reads the trees of an orchard or row.
func (m *maker) treeKinds(trees []planner.Tree, use Use, stock string) kinds {
	var k kinds
	for _, t := range trees {
		k.add(m.kind(t, use, stock), t.SharePercent)
	}
	return k
}

// treeCounts is how many of each are planted where there is room for n: stated counts first, then the shares of what is left.
// Entries with neither share what is left evenly, where no entry has a share.
func treeCounts(trees []planner.Tree, n int) (counts []int, wanted int) {
	counts = make([]int, len(trees))
	weights := make([]float64, len(trees))
	shares := false
	for i, t := range trees {
		counts[i] = max(0, t.Count)
		wanted += counts[i]
		if t.Count == 0 {
			weights[i] = t.SharePercent
			shares = shares || t.SharePercent > 0
		}
	}
	for i, t := range trees {
		if !shares && t.Count == 0 {
			weights[i] = 1
		}
	}
	for i, c := range geo.LargestRemainder(weights, n-wanted) {
		counts[i] += c
		wanted += c
	}
	return counts, wanted
}

// placeTrees names the plants of an orchard or row. Where the counts are fewer than the places, the last places stay empty;
// where they are more, each is cut in proportion and the remark says so.
func (m *maker) placeTrees(l *Layout, plants []Plant, trees []planner.Tree, k *kinds) []Plant {
	counts, wanted := treeCounts(trees, len(plants))
	f := l.Feature
	remark := Remark{Rule: "input.property", Place: "trees", Measured: planner.Figure(float64(wanted)), Limit: planner.Figure(float64(len(plants))), Unit: "trees"}
	remark.At, _ = f.Shape.First()
	switch {
	case wanted > len(plants):
		remark.Severity = planner.Stop
		remark.Message = fmt.Sprintf("%s is to hold %s, but there is room for %d at %.2f m. Plant fewer, set a closer spacing_m or a smaller margin_m, or draw it larger.", f.Label(), counted(wanted, "tree", "trees"), len(plants), l.SpacingM)
		l.Remarks = append(l.Remarks, remark)
		weights := make([]float64, len(counts))
		for i, c := range counts {
			weights[i] = float64(c)
		}
		counts = geo.LargestRemainder(weights, len(plants))
	case wanted < len(plants):
		remark.Severity = planner.Note
		remark.Message = fmt.Sprintf("%s names %s and has room for %d: %s empty.", f.Label(), counted(wanted, "tree", "trees"), len(plants), counted(len(plants)-wanted, "place stays", "places stay"))
		l.Remarks = append(l.Remarks, remark)
		plants = plants[:wanted]
	}
	order := evenly(counts, func(int) (int, int) { return 1, 1 })
	at := thereAndBack(plants)
	kindAt := make([]int, len(plants))
	for n, i := range at {
		kindAt[i] = order[n]
	}
	m.pollinate(plants, kindAt, k)
	for i := range plants {
		k.name(&plants[i], kindAt[i])
	}
	return plants
}

// thereAndBack is the order of plants along one row and back along the next, so that kinds that take turns along the rows
// also take turns across them.
func thereAndBack(plants []Plant) []int {
	out := make([]int, 0, len(plants))
	for i := 0; i < len(plants); {
		k := i
		for k < len(plants) && plants[k].Row == plants[i].Row {
			k++
		}
		for j := range k - i {
			if plants[i].Row%2 == 1 {
				out = append(out, k-1-j)
			} else {
				out = append(out, i+j)
			}
		}
		i = k
	}
	return out
}

// counted is a number with its noun.
func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
