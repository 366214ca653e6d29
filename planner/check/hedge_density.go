package check

import (
	"fmt"

	"quickthorn/planner"
	"quickthorn/planner/rules"
)

func hedgeDensity() *Rule {
	return &Rule{
		ID:    "hedge.density",
		Title: "a hedge is planted densely enough",
		Why: "A hedge that is planted thin stays thin at the base: neither stock nor wind is stopped by what was never there, and gaps cost more to " +
			"fill than to plant. What is asked for per metre counts, not the number of plants over the length, since rounding and gateways " +
			"change that. Hedges that stand there are not looked at; the fills of their gaps are.",
		Severity: planner.Warn,
		Limits:   []string{"per_metre_least", "single_row_per_metre_least", "hedge.fill/fill_per_metre_least"},
		Run: func(p *Pass) {
			for i := range p.Shared.hedgerow.list {
				h := &p.Shared.hedgerow.list[i]
				if h.feature.IsPlanned() {
					p.newDensity(h)
				} else {
					p.fillDensity(h)
				}
			}
		},
	}
}

func (p *Pass) newDensity(h *hedge) {
	name := "per_metre_least"
	if h.rows() == 1 {
		name = "single_row_per_metre_least"
	}
	rows := "in " + countOf(h.rows(), "row")
	l, known := p.Limit(name)
	if !known {
		p.notLookedAt(h, l, "The least number of plants per metre of a hedge "+rows)
		return
	}
	if l.Holds(h.line.PerMetre) {
		return
	}
	f := h.finding(planner.Warn)
	f.Measured, f.Limit, f.Unit, f.Worse, f.Source = planner.Figure(h.line.PerMetre), planner.Figure(l.Value), "plants per m", "less", l.Source
	f.Message = fmt.Sprintf("%s is planted %s at %s per metre, one every %.2f m in the row. It takes %s per metre, one every %.2f m. Set per_metre to %s.",
		quotedAtStart(h.feature), rows, figure(h.line.PerMetre), float64(h.rows())/h.line.PerMetre, figure(l.Value), float64(h.rows())/l.Value, figure(l.Value))
	f.Fix = p.edit(h.feature, fmt.Sprintf("Plant %s per metre in %s", figure(l.Value), quoted(h.feature)), map[string]any{"per_metre": l.Value})
	p.Report(f)
}

func (p *Pass) fillDensity(h *hedge) {
	l, known := p.Limit("hedge.fill/fill_per_metre_least")
	n := 0
	for _, o := range h.line.Openings {
		n += o.Plants
	}
	per := h.detail.FillPerM
	if n == 0 || per <= 0 || h.feature.Wrong("fill_per_metre") {
		return // nothing is filled, or at the rule set's own density
	}
	if !known {
		p.notLookedAt(h, l, "The least number of plants per metre in a gap")
		return
	}
	if l.Holds(per) {
		return
	}
	f := h.finding(planner.Warn)
	f.Place, f.Measured, f.Limit, f.Unit, f.Worse, f.Source = "fill", planner.Figure(per), planner.Figure(l.Value), "plants per m", "less", l.Source
	f.Message = fmt.Sprintf("The gaps of %s are filled with %s plants per metre. It takes %s per metre beside old plants that take the light and the water. Set fill_per_metre to %s.",
		quoted(h.feature), figure(per), figure(l.Value), figure(l.Value))
	f.Fix = p.edit(h.feature, fmt.Sprintf("Fill with %s per metre", figure(l.Value)), map[string]any{"fill_per_metre": l.Value})
	p.Report(f)
}

// notLookedAt notes that a limit is not known, with what is said of it.
func (p *Pass) notLookedAt(h *hedge, l rules.Limit, what string) {
	f := h.finding(planner.Note)
	f.Place, f.Source = "unknown", unknownSource(l)
	f.Message = fmt.Sprintf("%s is not known under the rule set %s, so %s was not looked at for it.%s", what, p.Set.Name(), quoted(h.feature), noteText(l))
	p.Report(f)
}

// unknownSource is the source of a limit that is declared but unknown.
func unknownSource(l rules.Limit) planner.Source {
	if l.Source.Text == "" {
		return planner.Source{Text: "no figure is known", Confidence: planner.Derived}
	}
	return l.Source
}

// noteText is a limit's note as a sentence of its own, with a space before it; "" where it has none.
func noteText(l rules.Limit) string {
	if l.Note == "" {
		return ""
	}
	return " " + upperFirst(l.Note) + "."
}

// edit is a fix that changes properties of one feature; nil where the feature cannot be changed.
func (p *Pass) edit(f *planner.Feature, say string, set map[string]any, unset ...string) *planner.Fix {
	put, err := p.Plan.Change(f, set, unset...)
	if err != nil {
		return nil
	}
	return &planner.Fix{Say: say, Put: rawList(put), Delete: []string{}}
}
