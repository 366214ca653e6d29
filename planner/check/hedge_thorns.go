package check

import (
	"fmt"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/setout"
)

func hedgeThorns() *Rule {
	return &Rule{
		ID:    "hedge.thorns",
		Title: "a hedge beside stock is thorny enough",
		Why: "Stock pushes through and eats a soft hedge. A new hedge that borders grazed ground is taken to be meant stockproof one day, whatever fence " +
			"keeps stock off it while it is young; where every grazed side is fenced it is only a note. Three thorns in four agree with a greatest " +
			"share of 70 percent only if there are two thorny kinds, such as hawthorn and blackthorn.",
		Severity: planner.Warn,
		Limits:   []string{"thorny_share_percent", "hedge.fence/fence_least_m", "hedge.mix/greatest_share_percent"},
		Run: func(p *Pass) {
			for i := range p.Shared.hedgerow.list {
				h := &p.Shared.hedgerow.list[i]
				if h.feature.IsPlanned() && len(h.detail.Mix) > 0 {
					p.thorns(h)
				}
			}
		},
	}
}

func (p *Pass) thorns(h *hedge) {
	reach := planner.Tolerance
	if l, ok := p.Limit("hedge.fence/fence_least_m"); ok {
		reach = l.Value
	}
	fields, stock := p.grazers(h, reach)
	if len(fields) == 0 {
		return
	}
	l, known := p.Limit("thorny_share_percent")
	if !known {
		p.notLookedAt(h, l, "The least share of thorns")
		return
	}
	m := &mixed{hedge: h, property: "mix", parts: partsOf(p.Catalogue, h.detail.Mix), use: setout.UseHedge, severity: planner.Note}
	m.total = count(m.parts, h.layout, m.use)
	thorny, soft := 0.0, 0.0
	var unsure []string
	for _, q := range m.parts {
		switch {
		case q.species == nil: // input.species speaks
		case q.species.Thorny.Yes():
			thorny += q.percent
		case q.species.Thorny.No():
			soft += q.percent
		default:
			unsure = append(unsure, q.name)
		}
	}
	if l.Holds(thorny) {
		return
	}
	if len(unsure) > 0 && l.Holds(100-soft) {
		f := h.finding(planner.Note)
		f.Place, f.Source = "unsure", unknownSource(l)
		f.Message = fmt.Sprintf("Whether %s is thorny is not known, so whether %s will hold %s is not known either.", listWords(unsure, "and"), quoted(h.feature), listWords(stock, "and"))
		p.Report(f)
		return
	}
	for _, side := range p.Shared.hedgerow.fences {
		if side.Feature == h.feature {
			m.severity = planner.Warn
		}
	}
	f := m.finding("", thorny, l, "less")
	f.Message = fmt.Sprintf("%s borders '%s', grazed by %s, and is %s percent thorny. To be stockproof it takes %s.%s", quotedAtStart(h.feature),
		fields[0].Label(), listWords(stock, "and"), figure(thorny), l, p.moreThorns(m))
	f.Features = append(f.Features, fields[0].ID)
	f.Fix = p.thornFix(m, l.Value)
	p.Report(f)
}

func (p *Pass) moreThorns(m *mixed) string {
	var have []string
	for _, q := range m.parts {
		if q.species != nil && q.species.Thorny.Yes() {
			have = append(have, q.name)
		}
	}
	say := ""
	if len(have) > 0 {
		say = " Give more to " + listWords(have, "and")
	}
	if more := p.hedgeSpecies(m.hedge, true, m.parts, 3); len(more) > 0 {
		if say == "" {
			say = " Add"
		} else {
			say += ", or add"
		}
		say += " one of: " + listWords(more, "or")
	}
	if say == "" {
		return ""
	}
	if m.severity == planner.Note {
		say += ". The fence serves as long as it stands"
	}
	return strings.TrimSuffix(say, ".") + "."
}

// thornFix gives the thorns of the mix the least share together, where the greatest share of one species allows it.
func (p *Pass) thornFix(m *mixed, least float64) *planner.Fix {
	most := 100.0
	if l, ok := p.Limit("hedge.mix/greatest_share_percent"); ok {
		most = l.Value
	}
	parts, ok := scaled(m.parts, func(q part) bool { return q.species != nil && q.species.Thorny.Yes() }, least, most)
	if !ok {
		return nil
	}
	// Written in tenths of a percent, rounding must not take the thorns below the least share again.
	mix := sharesOf(parts)
	sum := 0.0
	for i, s := range mix {
		if sp := p.Catalogue.Find(s.Species).Species; sp != nil && sp.Thorny.Yes() {
			sum += mix[i].SharePercent
		}
	}
	if sum < least-1e-9 {
		return nil
	}
	return p.edit(m.hedge.feature, "Mix "+mixText(mix), map[string]any{m.property: mix}, m.unset()...)
}
