package check

import (
	"fmt"

	"quickthorn/planner"
	"quickthorn/planner/wood"
)

func woodWires() *Rule {
	return &Rule{
		ID: "wood.wires", Title: "no cutting near power lines without asking", Severity: planner.Stop, Slow: true,
		Why:    "Current jumps, and a stem can fall as far as it is high. Any part of a tree within 10 m of a line, and felling within two tree heights, needs the operator's word first.",
		Limits: []string{"work_least_m", "fell_tree_heights"},
		Cautions: []string{"Ask the line's operator before work; they may switch it off or cut it themselves, some free of charge. Give two weeks for small works, a month for large ones (Energy Networks Association).",
			"Never stack, tip or chip under a line, nor within 10 m of it."},
		Run: func(p *Pass) {
			_, ok := p.Limit("work_least_m")
			_, also := p.Limit("fell_tree_heights")
			if !ok || !also {
				return
			}
			p.woodSections(func(s *wood.Section, cuts []int) {
				if len(cuts) == 0 {
					return
				}
				near, reach, says, src := wood.NearWires(p.Set, s)
				if !near {
					return
				}
				p.Report(At(planner.Finding{Severity: planner.Stop, Features: []string{s.Feature.ID}, Place: sectionPlace(s), Source: src,
					Measured: planner.Figure(s.WiresM), Limit: planner.Figure(reach), Unit: "m", Worse: "less",
					Message: fmt.Sprintf("Power line: ask its operator before you cut. %s lies %.1f m from an overhead line, nearer than %.1f m (%s), and is first cut in %s.", s.Label(), s.WiresM, reach, says, firstCut(cuts))}, s.Middle()))
			})
		},
	}
}

// sectionPlace is the chainage at which a section begins, to the metre.
func sectionPlace(s *wood.Section) string { return fmt.Sprintf("%.0f", s.FromM) }
