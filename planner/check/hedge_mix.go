package check

import (
	"fmt"
	"slices"

	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
)

func hedgeMix() *Rule {
	return &Rule{
		ID:    "hedge.mix",
		Title: "a hedge is mixed enough",
		Why: "A hedge of one kind falls to one disease, flowers in one fortnight and feeds few. The schemes cap the share of one species and set a least " +
			"number; they differ, so the rule set decides. The shares count, and again the plants as set out, where rounding to whole plants is a note. " +
			"Fills are a note at most, since the hedge around them has its own kinds. Hedgerow trees count apart.",
		Severity: planner.Warn,
		Limits:   []string{"greatest_share_percent", "species_least", "listed"},
		Run: func(p *Pass) {
			for i := range p.Shared.hedgerow.list {
				h := &p.Shared.hedgerow.list[i]
				switch {
				case h.feature.IsPlanned() && len(h.detail.Mix) > 0:
					p.mixture(&mixed{hedge: h, property: "mix", parts: partsOf(p.Catalogue, h.detail.Mix), use: setout.UseHedge, severity: planner.Warn})
				case h.feature.IsPlanned():
					f := h.finding(planner.Note)
					f.Place, f.Source = "mix", planFile()
					f.Message = fmt.Sprintf("%s has no mix, so its shares, natives and thorns were not looked at. Give it a mix or a species.", quotedAtStart(h.feature))
					p.Report(f)
				case len(h.detail.FillMix) > 0 && !h.feature.Wrong("fill_mix"):
					p.mixture(&mixed{hedge: h, property: "fill_mix", parts: partsOf(p.Catalogue, h.detail.FillMix), use: setout.UseFill, severity: planner.Note})
				}
			}
		},
	}
}

// mixed is a mix as it is looked at: a new hedge's own, or a fill's.
type mixed struct {
	hedge    *hedge
	property string
	parts    []part
	total    int // plants set out of it
	use      setout.Use
	severity planner.Severity
}

// what begins a sentence about the mix.
func (m *mixed) what() string {
	if m.use == setout.UseFill {
		return "The fill of " + quoted(m.hedge.feature)
	}
	return quotedAtStart(m.hedge.feature)
}

func (m *mixed) finding(place string, measured float64, l rules.Limit, worse string) planner.Finding {
	f := m.hedge.finding(m.severity)
	if m.use == setout.UseFill {
		place = "fill-" + place
	}
	f.Place, f.Measured, f.Limit, f.Unit, f.Worse, f.Source = place, planner.Figure(measured), planner.Figure(l.Value), l.Unit, worse, l.Source
	return f
}

func (p *Pass) mixture(m *mixed) {
	m.total = count(m.parts, m.hedge.layout, m.use)
	if m.use == setout.UseFill && m.total == 0 {
		return // nothing is filled
	}
	if !p.greatestShare(m) || m.use == setout.UseHedge {
		p.numberOfSpecies(m)
	}
	p.listedSpecies(m)
}

// greatestShare holds the mix, and then the plants as set out, against the greatest share of one species; true where it is over.
func (p *Pass) greatestShare(m *mixed) bool {
	l, known := p.Limit("greatest_share_percent")
	if !known {
		p.notLookedAt(m.hedge, l, "The greatest share of one species")
		return false
	}
	top := greatestPart(m.parts)
	if top == nil {
		return false
	}
	if !l.Holds(top.percent) {
		f := m.finding("share", top.percent, l, "more")
		f.Message = fmt.Sprintf("%s is %s percent %s; one species may make up %s.%s", m.what(), figure(top.percent), top.name, l, p.moreKinds(m))
		f.Fix = p.mixFix(m, l)
		p.Report(f)
		return true
	}
	most := m.parts[0]
	for _, q := range m.parts {
		if q.plants > most.plants {
			most = q
		}
	}
	share := 100 * float64(most.plants) / float64(max(1, m.total))
	if m.total == 0 || l.Holds(share) {
		return false
	}
	f := m.finding("count", share, l, "more")
	if over := float64(most.plants) - l.Value*float64(m.total)/100; over < 1 {
		f.Severity = planner.Note // rounding to whole plants
	}
	f.Message = fmt.Sprintf("Of the %d plants of %s %d are %s: %.1f percent, where one species may make up %s. Plant one of them as another species.",
		m.total, quoted(m.hedge.feature), most.plants, most.name, share, l)
	p.Report(f)
	return true
}

// moreKinds says what could be added: natives that suit the ground.
func (p *Pass) moreKinds(m *mixed) string {
	more := p.hedgeSpecies(m.hedge, false, m.parts, 4)
	if len(more) == 0 {
		return " Give the others more."
	}
	if len(m.parts) > 1 {
		return " Give the others more, or add one of: " + listWords(more, "or") + "."
	}
	return " Add one or more of: " + listWords(more, "or") + "."
}

// mixFix lowers the greatest share to the cap and gives the rest to the species that are there.
func (p *Pass) mixFix(m *mixed, l rules.Limit) *planner.Fix {
	parts, ok := capped(m.parts, l.Value, m.total)
	if !ok {
		return nil
	}
	mix := sharesOf(parts)
	return p.edit(m.hedge.feature, "Mix "+mixText(mix), map[string]any{m.property: mix}, m.unset()...)
}

// unset is what goes when the mix is written: a `species` alone is a mix of one.
func (m *mixed) unset() []string {
	if m.property == "mix" && m.hedge.feature.Stated("species") {
		return []string{"species"}
	}
	return nil
}

func (p *Pass) numberOfSpecies(m *mixed) {
	l, known := p.Limit("species_least")
	if !known {
		p.notLookedAt(m.hedge, l, "The least number of species")
		return
	}
	n := 0
	for _, q := range m.parts {
		if q.percent > 0 {
			n++
		}
	}
	if l.Holds(float64(n)) {
		return
	}
	f := m.finding("species", float64(n), l, "less")
	say := " Add one or more."
	if more := p.hedgeSpecies(m.hedge, false, m.parts, 4); len(more) > 0 {
		say = " Add one or more of: " + listWords(more, "or") + "."
	}
	f.Message = fmt.Sprintf("%s holds %d species (%s); it takes %s.%s", m.what(), n, listWords(partNames(m.parts), "and"), l, say)
	p.Report(f)
}

// listedSpecies holds the mix against the rule set's list, where it has one.
func (p *Pass) listedSpecies(m *mixed) {
	l, known := p.Limit("listed")
	if !known {
		return // no body of that country has a list that was read
	}
	words := l.Words()
	var not, allowed []string
	percent := 0.0
	for _, q := range m.parts {
		if q.species != nil && !slices.Contains(words, q.species.Botanical) {
			not = append(not, q.name)
			percent += q.percent
		}
	}
	if len(not) == 0 {
		return
	}
	for _, w := range words {
		if s := p.Catalogue.Find(w).Species; s != nil {
			w = s.Name()
		}
		allowed = append(allowed, w)
	}
	f := m.finding("listed", percent, l, "more")
	f.Limit, f.Unit = planner.Figure(0), "percent"
	f.Message = fmt.Sprintf("%s holds %s, which the list of the scheme does not have: %s percent. The list is %s. Keep to it where you want the payment.",
		m.what(), listWords(not, "and"), figure(percent), listWords(allowed, "and"))
	p.Report(f)
}
