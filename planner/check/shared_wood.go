package check

import (
	"fmt"

	"quickthorn/planner"
	"quickthorn/planner/wood"
)

// woodOf is the rota and balance of the plan, worked out when a rule first asks for it; nil where nothing is coppiced or laid.
func woodOf(in Input) *wood.Result {
	for _, f := range in.Plan.Features {
		if !f.Sound {
			continue
		}
		managed := false
		switch d := f.Detail.(type) {
		case *planner.Hedge:
			managed = d.Manage == wood.Coppice || d.Manage == wood.Lay
		case *planner.Block:
			managed = f.Kind == planner.KindGrove && d.Manage == wood.Coppice
		}
		if managed {
			return wood.Plan(wood.Input{Plan: in.Plan, Site: in.Site, Out: in.Out, Catalogue: in.Catalogue, Set: in.Set})
		}
	}
	return nil
}

// woodSections calls f for every section of the rota, with the winters in which it is cut.
func (p *Pass) woodSections(f func(s *wood.Section, cuts []int)) {
	r := p.Shared.wood()
	if r == nil {
		return
	}
	for i := range r.Sections {
		f(&r.Sections[i], r.Cuts[i])
	}
}

// firstCut says in which winter a section is cut first.
func firstCut(cuts []int) string {
	if len(cuts) == 0 {
		return "not in the rota's time"
	}
	return winterWords(cuts[0])
}

// confident is a source with its confidence filled in where a limit has none.
func confident(s planner.Source) planner.Source {
	if s.Confidence == "" {
		s.Confidence = planner.CommonPractice
	}
	return s
}

func winterWords(winter int) string { return fmt.Sprintf("winter %d", winter) }
