package check

import (
	"fmt"

	"quickthorn/planner"
	"quickthorn/planner/growth"
	"quickthorn/planner/rules"
)

func windbreakDensity() *Rule {
	return &Rule{
		ID:    "windbreak.density",
		Title: "A windbreak is as dense as its purpose wants, and closed at the base",
		Why: "Too open a belt leaves the wind as it is; too dense a one makes it tumble close behind. Under bare stems it can blow harder than in " +
			"the open. The density is an estimate from the kinds of rows, in leaf and bare: it can be a class out either way. For crops, which " +
			"stand while the belt is in leaf, a bare belt that is too open is a note; for stock and buildings, which want shelter in winter, a warning.",
		Severity: planner.Warn,
		Limits: []string{"crops_least_percent", "crops_greatest_percent", "buildings_least_percent", "buildings_greatest_percent",
			"livestock_least_percent", "livestock_greatest_percent", "row_evergreen_percent", "row_shrub_percent", "row_tree_percent",
			"bare_density_keeps_percent", "open_rows_least_percent", "open_rows_greatest_percent", "middling_rows_least_percent",
			"middling_rows_greatest_percent", "dense_rows_least_percent"},
		Sources: []planner.Source{
			{Text: "USDA National Agroforestry Center, Windbreak Design Clipboard: density by rows and kinds of plants", Confidence: planner.Published},
			{Text: "MIL-HDBK-1011/2, section 4.3.2.4: the flow under bare stems can exceed the open wind; hedges to the ground shelter better than stemmed trees", Confidence: planner.Published},
			{Text: "NIAB, apple best practice guide: wholly evergreen belts, like very dense deciduous ones, cause turbulence", Confidence: planner.Published},
		},
		Run: runWindbreakDensity,
	}
}

func runWindbreakDensity(p *Pass) {
	for i := range p.Shared.belts {
		b := &p.Shared.belts[i]
		w := b.Feature.Detail.(*planner.Windbreak)
		if b.Feature.Wrong("purpose", "rows") {
			continue
		}
		if !b.DensityKnown {
			p.Report(At(planner.Finding{Severity: planner.Note, Features: []string{b.Feature.ID}, Place: "unknown", Source: noFigure(),
				Message: fmt.Sprintf("The density of %s is not known (%s), so it was not looked at.", quoted(b.Feature), listWords(b.DensityUnknown, "and"))}, b.at(b.LengthM/2)))
			continue
		}
		least, ok1 := p.Limit(w.Purpose + "_least_percent")
		most, ok2 := p.Limit(w.Purpose + "_greatest_percent")
		if ok1 && ok2 {
			p.reportDensity(b, w.Purpose, least, most)
		}
		p.reportBase(b)
	}
}

func (p *Pass) reportDensity(b *Belt, purpose string, least, most rules.Limit) {
	f := planner.Finding{Severity: planner.Warn, Features: []string{b.Feature.ID}, Unit: "percent", Source: weaker(least.Source, b.DensitySource)}
	f = At(f, b.at(b.LengthM/2))
	band := fmt.Sprintf("%s to %s percent", figure(least.Value), figure(most.Value))
	state := fmt.Sprintf("%s is estimated to be %.0f percent dense in leaf%s and %.0f percent bare. For %s it should be %s.",
		quotedAtStart(b.Feature), b.DensityLeafOn, b.classText(), b.DensityLeafOff, purpose, band)
	switch {
	case !least.Holds(b.DensityLeafOn):
		f.Measured, f.Limit, f.Worse = planner.Figure(b.DensityLeafOn), planner.Figure(least.Value), "less"
		f.Message = state + " That is too open. Add a row, set the plants closer, or put evergreens or shrubs among them."
	case !most.Holds(b.DensityLeafOn):
		f.Measured, f.Limit, f.Source = planner.Figure(b.DensityLeafOn), planner.Figure(most.Value), weaker(most.Source, b.DensitySource)
		f.Message = state + " So dense a belt makes the wind tumble close behind it. Leave a row out, set the plants wider, or use fewer evergreens."
	case !least.Holds(b.DensityLeafOff):
		f.Measured, f.Limit, f.Worse, f.Place = planner.Figure(b.DensityLeafOff), planner.Figure(least.Value), "less", "bare"
		f.Message = state + " In winter it is too open. Put evergreens such as holly among its rows"
		if purpose == "crops" {
			f.Severity = planner.Note
			f.Message += ", if what grows behind it in winter needs the shelter."
		} else {
			f.Message += ": stock and buildings want the shelter most when it is bare."
		}
	default:
		return
	}
	p.Report(f)
}

// classText gives the published range for such rows: " (published for such rows: 25 to 50)".
func (b *Belt) classText() string {
	switch c := b.DensityClass; {
	case c[1] == 0:
		return ""
	case c[1] == 100:
		return fmt.Sprintf(" (published for such rows: %s and more)", figure(c[0]))
	default:
		return fmt.Sprintf(" (published for such rows: %s to %s)", figure(c[0]), figure(c[1]))
	}
}

// reportBase warns of a belt of deciduous trees alone: nothing in it keeps the base closed once the stems are bare.
func (p *Pass) reportBase(b *Belt) {
	for _, r := range b.rows {
		for _, s := range r.mix {
			if c := growth.ClassOf(s.species); c != growth.TreeRow {
				return
			}
		}
	}
	f := planner.Finding{Severity: planner.Warn, Features: []string{b.Feature.ID}, Place: "base", Source: p.rule.Sources[1],
		Message: fmt.Sprintf("%s has nothing but trees that go bare at the base, and wind under bare stems can blow harder than in the open. Add a row of shrubs, such as hawthorn or hazel, or keep the trees trimmed so that they stay feathered to the ground.", quotedAtStart(b.Feature))}
	p.Report(At(f, b.at(b.LengthM/2)))
}
