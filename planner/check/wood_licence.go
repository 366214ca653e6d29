package check

import (
	"fmt"

	"quickthorn/planner"
)

func woodLicence() *Rule {
	return &Rule{
		ID: "wood.licence", Title: "what a felling licence begins at", Severity: planner.Note, Slow: true,
		Why:      "Small amounts, thin coppice and hedge laying are free; more needs a licence, and felling without one is an offence. The note compares the heaviest winter of the rota with the amount that is free.",
		Limits:   []string{"quarter_greatest_m3", "sold_greatest_m3", "coppice_stem_greatest_m", "year_greatest_m3", "tree_greatest_m3", "removal_least_m"},
		Cautions: []string{"Not legal advice: ask the forestry authority of your country before you fell. Preservation orders, conservation areas, protected sites and bats count besides."},
		Run:      (*Pass).woodLicence,
	}
}

func (p *Pass) woodLicence() {
	r := p.Shared.wood()
	if r == nil {
		return
	}
	worst := -1
	for i, w := range r.Winters {
		if w.Stems.Mid > 0 && (worst < 0 || w.Stems.Mid > r.Winters[worst].Stems.Mid+1e-9) {
			worst = i
		}
	}
	if worst < 0 {
		return
	}
	w := r.Winters[worst]
	s := &r.Sections[w.Cut[0].Section]
	f := At(planner.Finding{Severity: planner.Note, Features: []string{s.Feature.ID}, Place: "licence", Unit: "m3", Worse: "more", Measured: planner.Figure(w.Stems.Mid)}, s.Middle())
	quarter, known := p.Limit("quarter_greatest_m3")
	span := "a calendar quarter"
	if !known {
		if quarter, known = p.Limit("year_greatest_m3"); known {
			span = "12 months"
		}
	}
	if !known {
		f.Source = confident(quarter.Source)
		f.Message = fmt.Sprintf("Some %.1f m3 of stems are cut in winter %d, and how much may be felled without a licence is not known for this rule set: ask the forestry authority.", w.Stems.Mid, w.Winter)
		p.Report(f)
		return
	}
	if quarter.Holds(w.Stems.Mid) {
		return
	}
	f.Limit, f.Source = planner.Figure(quarter.Value), quarter.Source
	f.Message = fmt.Sprintf("Some %.1f m3 of stems (%.1f to %.1f) are cut in winter %d, most of them in one quarter; more than %g m3 in %s needs a felling licence", w.Stems.Mid, w.Stems.Low, w.Stems.High, w.Winter, quarter.Value, span)
	if l, ok := p.Limit("coppice_stem_greatest_m"); ok {
		f.Message += fmt.Sprintf(", but for coppice stems of at most %.0f cm at 1.3 m from the ground", 100*l.Value)
	}
	f.Message += ". Measure the stems and ask the forestry authority before that winter."
	p.Report(f)
}
