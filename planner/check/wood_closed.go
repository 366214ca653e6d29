package check

import (
	"fmt"

	"quickthorn/planner"
	"quickthorn/planner/wood"
)

func woodClosed() *Rule {
	return &Rule{
		ID: "wood.closed", Title: "every cut of the rota falls in the open season", Severity: planner.Stop, Slow: true,
		Why:    "What is to be coppiced or laid needs days between leaf fall and the closed season. Where the limits in force leave none, nothing can be cut at all.",
		Limits: []string{"season.cut/closed_until", "season.cut/dormant_from", "season.cut/dormant_until", "season.cut/coppice_until", "season.cut/lay_until"},
		Run: func(p *Pass) {
			calendar := wood.CalendarFor(p.Plan, p.Set)
			if calendar.Says != "" {
				return // no date is known there; season.cut says so
			}
			said := map[string]bool{}
			p.woodSections(func(s *wood.Section, cuts []int) {
				if len(cuts) == 0 || said[s.Feature.ID] || calendar.Of(s.Method).From != "" {
					return
				}
				said[s.Feature.ID] = true
				name := map[string]string{wood.Coppice: "season.cut/coppice_until", wood.Lay: "season.cut/lay_until"}[s.Method]
				l, _ := p.Limit(name)
				p.Report(At(planner.Finding{Severity: planner.Stop, Features: []string{s.Feature.ID}, Source: confident(l.Source),
					Message: fmt.Sprintf("%s is to be cut in %s, but the dates in force leave no day open to %s it. Look at the limits of season.cut, the holding's own first.", upperFirst(quoted(s.Feature)), firstCut(cuts), s.Method)}, s.Middle()))
			})
		},
	}
}
