package check

import (
	"fmt"
	"slices"

	"quickthorn/planner"
	"quickthorn/planner/wood"
)

func woodShare() *Rule {
	return &Rule{
		ID: "wood.share", Title: "not too much of the hedge is cut in one winter", Severity: planner.Warn, Slow: true,
		Why:    "Whatever lives in the hedges needs the others while one stretch grows back. The rota keeps to the share by itself; this speaks where pinned winters would break it.",
		Limits: []string{"greatest_share_percent"},
		Run: func(p *Pass) {
			r := p.Shared.wood()
			limit, ok := p.Limit("greatest_share_percent")
			if r == nil || !ok || r.Rota.HedgeM <= 0 {
				return
			}
			for _, c := range r.Conflicts {
				if c.Constraint != wood.ShareCut {
					continue
				}
				sum := 0.0
				for i := range r.Sections {
					if slices.Contains(r.Sections[i].Pins, c.Winter) {
						sum += r.Sections[i].LengthM
					}
				}
				s := &r.Sections[c.Unit]
				share := 100 * sum / r.Rota.HedgeM
				p.Report(At(planner.Finding{Severity: planner.Warn, Features: []string{s.Feature.ID}, Place: fmt.Sprintf("%d-%d", c.Winter, s.Number), Source: limit.Source,
					Measured: planner.Figure(share), Limit: planner.Figure(limit.Value), Unit: "percent", Worse: "more",
					Message: fmt.Sprintf("%.0f m are pinned to be cut in winter %d, %.1f percent of all %.0f m of hedge, where %g percent is the limit. %s is left out of that winter: pin it for another.",
						sum, c.Winter, share, r.Rota.HedgeM, limit.Value, s.Label())}, s.Middle()))
			}
		},
	}
}
