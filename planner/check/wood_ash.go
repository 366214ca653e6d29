package check

import (
	"fmt"

	"quickthorn/planner"
	"quickthorn/planner/wood"
)

func woodAsh() *Rule {
	return &Rule{
		ID: "wood.ash", Title: "ash is looked at before it is cut", Severity: planner.Stop, Slow: true,
		Why:     "Ash with dieback is brittle: limbs and whole stems break without warning. Most ash has it. It stands here as a stop so that it is read; accept it once a qualified person has looked.",
		Sources: []planner.Source{{Text: "forestry safety guidance on ash dieback", Confidence: planner.CommonPractice}},
		Cautions: []string{"No chainsaw work alone. Trees with dieback are for a qualified tree surgeon, by machine where it can be.",
			"Hedgerow trees may hold bats, and a felling licence may be needed."},
		Run: func(p *Pass) {
			type ash struct {
				first *wood.Section
				cuts  []int
				n     int
			}
			by := map[string]*ash{}
			var order []string
			p.woodSections(func(s *wood.Section, cuts []int) {
				if len(cuts) == 0 || !wood.HasAsh(s) {
					return
				}
				a := by[s.Feature.ID]
				if a == nil {
					a = &ash{first: s, cuts: cuts}
					by[s.Feature.ID] = a
					order = append(order, s.Feature.ID)
				}
				a.n++
				if cuts[0] < a.cuts[0] {
					a.first, a.cuts = s, cuts
				}
			})
			for _, id := range order {
				a := by[id]
				share := 100 * wood.AshShare(a.first)
				p.Report(At(planner.Finding{Severity: planner.Stop, Features: []string{id}, Count: a.n, Source: planner.Source{Confidence: planner.CommonPractice},
					Measured: planner.Figure(share), Unit: "percent", Worse: "more",
					Message: fmt.Sprintf("Ash with dieback is brittle and drops limbs and stems without warning: it is no job for one person with a saw. %s is %.0f percent ash and first cut in %s; have a qualified tree surgeon look first.",
						upperFirst(quoted(a.first.Feature)), share, firstCut(a.cuts))}, a.first.Middle()))
			}
		},
	}
}
