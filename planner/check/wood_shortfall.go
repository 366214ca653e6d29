package check

import (
	"fmt"
	"strings"

	"quickthorn/planner"
)

// shortShare is how much of the heat wanted must be lacking before it is said.
const shortShare = 0.02

func woodShortfall() *Rule {
	return &Rule{
		ID: "wood.shortfall", Title: "whether the wood heats the house", Severity: planner.Note, Slow: true,
		Why:     "No more can be cut than grows. The note says what is lacking a year, once logs of the rota are dry, and what length of hedge or area of coppice would close it, by the same yields.",
		Sources: []planner.Source{{Text: "R. Wolton, The yield and cost of harvesting wood fuel from hedges in the Tamar Valley and Blackdowns AONBs, 2012", Confidence: planner.Derived}},
		Run: func(p *Pass) {
			r := p.Shared.wood()
			if r == nil || r.Shortfall.KWh <= shortShare*r.Heat.WantedKWh || len(r.Sections) == 0 {
				return
			}
			var ways []string
			for _, c := range r.Shortfall.ClosedBy {
				ways = append(ways, fmt.Sprintf("%.0f %s of %s", c.Quantity, c.Unit, c.What))
			}
			message := fmt.Sprintf("From winter %d on %.0f kWh of heat a year are lacking of the %.0f kWh wanted. It would be closed by %s.", r.Shortfall.From, r.Shortfall.KWh, r.Heat.WantedKWh, strings.Join(ways, ", or "))
			if r.NoLogs {
				message = fmt.Sprintf("%.0f kWh of heat a year are wanted, but logs are not among the holding's uses, so none are kept for the stove: put logs among the uses.", r.Heat.WantedKWh)
			}
			s := &r.Sections[0]
			p.Report(At(planner.Finding{Severity: planner.Note, Features: []string{s.Feature.ID}, Place: "heat", Measured: planner.Figure(r.Shortfall.KWh), Limit: planner.Figure(0), Unit: "kWh", Worse: "more",
				Source:  planner.Source{Text: "R. Wolton, The yield and cost of harvesting wood fuel from hedges in the Tamar Valley and Blackdowns AONBs, 2012", Confidence: planner.Derived},
				Message: message}, s.Middle()))
		},
	}
}
