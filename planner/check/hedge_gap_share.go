package check

import (
	"fmt"
	"math"
	"slices"

	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
)

func hedgeGapShare() *Rule {
	return &Rule{
		ID:    "hedge.gap-share",
		Title: "a hedge is whole for most of its length",
		Why: "Many short gaps thin a hedge as one long one does. Gateways count in the share; gaps that the plan fills, or that another hedge is drawn " +
			"across, do not. At exactly 10 percent the survey handbook and the biodiversity metric fail a hedge and the English payment scheme passes it. " +
			"Hedges that face each other across a gap count as one.",
		Severity: planner.Warn,
		Limits:   []string{"gap_share_percent"},
		Run:      runHedgeGapShare,
	}
}

func runHedgeGapShare(p *Pass) {
	l, known := p.Limit("gap_share_percent")
	at := map[string]int{}
	for i := range p.Shared.hedgerow.list {
		at[p.Shared.hedgerow.list[i].feature.ID] = i
	}
	seen := map[string]bool{}
	for i := range p.Shared.hedgerow.list {
		h := &p.Shared.hedgerow.list[i]
		if h.feature.Status != planner.Existing || seen[h.feature.ID] {
			continue
		}
		row := []*hedge{h}
		seen[h.feature.ID] = true
		for k := 0; k < len(row); k++ {
			for _, id := range row[k].line.Continues {
				if n, ok := at[id]; ok && !seen[id] {
					seen[id] = true
					row = append(row, &p.Shared.hedgerow.list[n])
				}
			}
		}
		p.gapShare(row, l, known)
	}
}

// gapShare looks at a hedge, or several that face one another; the first has the lowest id.
func (p *Pass) gapShare(row []*hedge, l rules.Limit, known bool) {
	length, open, gates, shut, would := 0.0, 0.0, 0.0, 0.0, 0
	for _, h := range row {
		length += h.line.LengthM
		for _, o := range h.line.Openings {
			switch {
			case o.Action == setout.NewHedge:
			case o.Plants > 0 || p.Shared.hedgerow.besides(h, o):
				shut += o.Length()
			default:
				open += o.Length()
				would += o.Would
				if o.Gateway != "" {
					gates += o.Length()
				}
			}
		}
	}
	h := row[0]
	if length <= 0 || open <= 0 {
		return
	}
	if !known {
		p.notLookedAt(h, l, "The greatest share of gaps")
		return
	}
	share := 100 * open / length
	if math.Abs(open-l.Value*length/100) <= planner.Tolerance {
		share = l.Value // exactly on the limit, as far as the drawing can tell
	}
	if l.Holds(share) {
		return
	}
	f := h.finding(planner.Warn)
	for _, o := range row[1:] {
		f.Features = append(f.Features, o.feature.ID)
	}
	f.Measured, f.Limit, f.Unit, f.Worse, f.Source = planner.Figure(share), planner.Figure(l.Value), "percent", "more", l.Source
	what := quotedAtStart(h.feature)
	if len(row) > 1 {
		what = fmt.Sprintf("%s and %s that it faces", what, countOf(len(row)-1, "hedge"))
	}
	f.Message = fmt.Sprintf("%s: openings take up %s of %s, %.1f percent, where it takes %s.", what, metres(open), metres(length), share, l)
	if gates > 0 {
		f.Message += fmt.Sprintf(" Gateways are %s of it.", metres(gates))
	}
	if shut > 0 {
		f.Message += fmt.Sprintf(" The %s that the plan fills are not counted.", metres(shut))
	}
	if would > 0 {
		f.Message += fmt.Sprintf(" Filling what can be filled would take %s: give the hedge a fill_mix.", countOf(would, "plant"))
	}
	f.Fix = p.shareFix(row, l, open, length)
	p.Report(f)
}

// shareFix fills the gaps of one hedge where that alone brings the share under the limit.
func (p *Pass) shareFix(row []*hedge, l rules.Limit, open, length float64) *planner.Fix {
	for _, h := range row {
		left := open
		first := slices.IndexFunc(h.line.Openings, func(o setout.Opening) bool { return o.Action == setout.Fill && o.Plants == 0 })
		if first < 0 {
			continue
		}
		for _, o := range h.line.Openings {
			if o.Action == setout.Fill && o.Plants == 0 && !p.Shared.hedgerow.besides(h, o) {
				left -= o.Length()
			}
		}
		if l.Holds(100*left/length) || left <= planner.Tolerance {
			if fix := p.fillFix(h, h.line.Openings[first]); fix != nil {
				return fix
			}
		}
	}
	return nil
}
