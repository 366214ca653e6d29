package check

import (
	"fmt"

	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

func hedgeTrees() *Rule {
	return &Rule{
		ID:    "hedge.trees",
		Title: "hedgerow trees stand neither too close nor too far apart",
		Why: "A tree in the hedge feeds and houses what the hedge cannot, but trees too close shade it out. Bodies differ widely, from a tree every 6 m to one " +
			"in 50 m. The number is an average over all hedges of the holding, and some stretches may have none; trees that stand within 2 m of a " +
			"hedge count. Trees near wires and buried services are looked at by the rules for those.",
		Severity: planner.Note,
		Limits:   []string{"tree_spacing_least_m", "tree_spacing_greatest_m", "trees_per_100_m_least", "tree_height_least_m"},
		Run:      runHedgeTrees,
	}
}

// besideHedgeM is how near to a hedge's line a single tree still counts as a tree of the hedge.
const besideHedgeM = 2.0

func runHedgeTrees(p *Pass) {
	p.remarks(planFile())
	least, lk := p.Limit("tree_spacing_least_m")
	most, mk := p.Limit("tree_spacing_greatest_m")
	tall, tk := p.Limit("tree_height_least_m")
	for i := range p.Shared.hedgerow.list {
		h := &p.Shared.hedgerow.list[i]
		every := h.detail.TreesEveryM
		if every <= 0 || !h.feature.IsPlanned() || h.feature.Wrong("trees_every_m") {
			continue
		}
		switch {
		case lk && !least.Holds(every):
			end := "."
			if tk {
				end = fmt.Sprintf(" with trees of %s at planting, staked.", tall)
			}
			p.treeSpacing(h, least, "less", "closer together than "+metres(least.Value)+": their crowns will shade the hedge out. Set trees_every_m to "+figure(least.Value)+end)
		case mk && !most.Holds(every):
			p.treeSpacing(h, most, "more", "further apart than "+metres(most.Value)+". Set trees_every_m to "+figure(most.Value)+" or less.")
		}
	}
	p.treesOnAverage()
}

func (p *Pass) treeSpacing(h *hedge, l rules.Limit, worse, say string) {
	every := h.detail.TreesEveryM
	f := h.finding(planner.Note)
	f.Measured, f.Limit, f.Unit, f.Worse, f.Source = planner.Figure(every), planner.Figure(l.Value), "m", worse, l.Source
	f.Message = fmt.Sprintf("%s has a tree every %s, %s", quotedAtStart(h.feature), metresBeside(every, l.Value), say)
	f.Fix = p.edit(h.feature, fmt.Sprintf("A tree every %s", metres(l.Value)), map[string]any{"trees_every_m": l.Value})
	p.Report(f)
}

// treesOnAverage counts the trees of all hedges against their length.
func (p *Pass) treesOnAverage() {
	l, known := p.Limit("trees_per_100_m_least")
	length := 0.0
	var ids []string
	for i := range p.Shared.hedgerow.list {
		h := &p.Shared.hedgerow.list[i]
		length += h.line.LengthM
		if len(ids) < MostPlaces {
			ids = append(ids, h.feature.ID)
		}
	}
	if len(ids) == 0 || length <= 0 {
		return
	}
	if !known {
		f := planner.Finding{Severity: planner.Note, Place: "average", Source: unknownSource(l),
			Message: "How many trees hedges are to have on average is not known under this rule set, so it was not looked at." + noteText(l)}
		p.Report(f)
		return
	}
	trees := p.treesInHedges()
	per := 100 * float64(trees) / length
	// The tolerance of a length makes no difference of its own.
	if l.Holds(per) || l.Holds(100*float64(trees)/(length-planner.Tolerance*float64(len(p.Shared.hedgerow.list)))) {
		return
	}
	need := int(l.Value*length/100 + 0.999)
	f := planner.Finding{Severity: planner.Note, Features: ids, Place: "average", Measured: planner.Figure(per), Limit: planner.Figure(l.Value), Unit: l.Unit,
		Worse: "less", Source: l.Source}
	f.Message = fmt.Sprintf("The hedges, %s in all, have %s: %.1f in 100 m, where it takes at least %s. Pick straight saplings out of the hedge and mark them, or plant trees, until there %s; they need not stand evenly.",
		metres(length), countOf(trees, "tree"), per, figure(l.Value), thereAre(need))
	p.Report(pointTo(f, p.Plan.Feature(ids[0])))
}

// treesInHedges counts hedgerow trees set out in hedges, and single trees that stand on a hedge's line or close to it.
func (p *Pass) treesInHedges() int {
	n := 0
	for _, x := range p.Shared.Plants {
		switch {
		case x.Use == setout.UseTree:
			n++
		case x.Use == setout.UsePlant && p.Shared.layerOf(x) == species.TreeLayer:
			beside := false
			p.Shared.hedgerow.segs.Within(x.At, besideHedgeM, func(int, float64) bool {
				beside = true
				return false
			})
			if beside {
				n++
			}
		}
	}
	return n
}

// thereAre says a number after "there": "is 1", "are 4".
func thereAre(n int) string {
	if n == 1 {
		return "is 1"
	}
	return fmt.Sprintf("are %d", n)
}
