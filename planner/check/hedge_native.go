package check

import (
	"fmt"

	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
)

func hedgeNative() *Rule {
	return &Rule{
		ID:    "hedge.native",
		Title: "a hedge is made of natives",
		Why: "Insects and birds live on the shrubs that they grew up with, and the schemes pay for natives only: of Ireland under the rule sets of " +
			"Ireland, of Britain under every other. Where the catalogue does not know whether a species is native it is counted neither way, and said. " +
			"Hedges that stand there are asked for less; hedgerow trees are not counted.",
		Severity: planner.Warn,
		Limits:   []string{"native_share_percent", "existing_native_share_percent", "hedge.mix/greatest_share_percent"},
		Run: func(p *Pass) {
			for i := range p.Shared.hedgerow.list {
				h := &p.Shared.hedgerow.list[i]
				if len(h.detail.Mix) > 0 && !h.feature.Wrong("mix", "species") {
					limit := "native_share_percent"
					if !h.feature.IsPlanned() {
						limit = "existing_native_share_percent"
					}
					p.natives(&mixed{hedge: h, property: "mix", parts: partsOf(p.Catalogue, h.detail.Mix), use: setout.UseHedge, severity: planner.Warn}, limit)
				}
				if !h.feature.IsPlanned() && len(h.detail.FillMix) > 0 && !h.feature.Wrong("fill_mix") {
					p.natives(&mixed{hedge: h, property: "fill_mix", parts: partsOf(p.Catalogue, h.detail.FillMix), use: setout.UseFill, severity: planner.Warn}, "native_share_percent")
				}
			}
		},
	}
}

func (p *Pass) natives(m *mixed, limit string) {
	m.total = count(m.parts, m.hedge.layout, m.use)
	if m.use == setout.UseFill && m.total == 0 {
		return
	}
	place, _, of := nativeTo(p.Set.Name())
	var aliens, unsure []string
	native, alien := 0.0, 0.0
	for _, q := range m.parts {
		switch {
		case q.species == nil:
			continue // input.species speaks
		case of(q.species).Yes():
			native += q.percent
		case of(q.species).No():
			alien += q.percent
			aliens = append(aliens, q.name)
		default:
			unsure = append(unsure, q.name)
		}
	}
	l, known := p.Limit(limit)
	if !known {
		p.notLookedAt(m.hedge, l, "The least share of natives")
		return
	}
	if len(unsure) > 0 {
		f := m.finding("unsure", native, l, "less")
		f.Severity, f.Measured, f.Limit = planner.Note, nil, nil
		f.Message = fmt.Sprintf("%s holds %s. Whether it is native in %s is not known, so it was counted neither way.", m.what(), listWords(unsure, "and"), place)
		p.Report(f)
	}
	share := 100 - alien // what is not known to be alien
	if alien == 0 || l.Holds(share) {
		return
	}
	f := m.finding("native", share, l, "less")
	f.Message = fmt.Sprintf("%s holds %s, not native in %s: natives make up %s percent, where %s.", m.what(), listWords(aliens, "and"), place, figure(share), takes(l))
	if more := p.hedgeSpecies(m.hedge, false, m.parts, 4); len(more) > 0 && !(m.use == setout.UseHedge && !m.hedge.feature.IsPlanned()) {
		f.Message += " Plant instead: " + listWords(more, "or") + "."
	}
	if m.use == setout.UseHedge && !m.hedge.feature.IsPlanned() {
		f.Message += " Fill its gaps and renew it with natives."
	} else {
		f.Fix = p.nativeFix(m, func(q part) bool { return q.species == nil || !of(q.species).No() })
	}
	p.Report(f)
}

// takes says how much of a share it takes.
func takes(l rules.Limit) string {
	if l.Value >= 100 {
		return "all are to be native"
	}
	return "it takes " + l.String()
}

// nativeFix leaves out what is not native and gives its share to the others, where the greatest share allows it.
func (p *Pass) nativeFix(m *mixed, keep func(part) bool) *planner.Fix {
	most := 100.0
	if l, ok := p.Limit("hedge.mix/greatest_share_percent"); ok && m.use == setout.UseHedge {
		most = l.Value
	}
	var left []part
	for _, q := range m.parts {
		if keep(q) {
			left = append(left, q)
		}
	}
	parts, ok := scaled(left, func(part) bool { return true }, 100, most)
	if !ok {
		return nil
	}
	mix := sharesOf(parts)
	return p.edit(m.hedge.feature, "Mix "+mixText(mix), map[string]any{m.property: mix}, m.unset()...)
}
