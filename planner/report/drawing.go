package report

import (
	"fmt"

	"quickthorn/planner/growth"
	"quickthorn/planner/setout"
	"quickthorn/planner/sheets"
)

// DrawingInput is what drawings and field sheets need of a report, with crowns as in a year. SetOut comes first; Check, where the
// findings are to stand on the drawing.
func (r *Report) DrawingInput(year int) sheets.Input {
	in := sheets.Input{Plan: r.Plan, Out: r.Out, Site: r.Site, Findings: r.Findings, RuleSet: r.SetName,
		Crown: func(p *setout.Plant) (float64, bool) {
			size := r.Stand.Plant(p, min(year, growth.LastYear))
			return size.Spread.Mid, size.Spread.Known
		}}
	for _, l := range r.Loosened {
		if l.Applied {
			in.Loosened = append(in.Loosened, fmt.Sprintf("The plan loosens a limit: %s, %s instead of %s, because: %s", l.Limit.Rule, l.Limit.String(), l.Was.String(), l.Reason))
		}
	}
	return in
}
