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
			"the open. The density counts in the year that is asked for, at year 20 where none is; told is when the belt comes into its band and when " +
			"it grows out of it. It is an estimate from the kinds of rows, in leaf and bare: it can be a class out either way. For crops, which " +
			"stand while the belt is in leaf, a bare belt that is too open is a note; for stock and buildings, which want shelter in winter, a warning.",
		Severity: planner.Warn,
		Limits: []string{"crops_least_percent", "crops_greatest_percent", "buildings_least_percent", "buildings_greatest_percent",
			"livestock_least_percent", "livestock_greatest_percent", "row_evergreen_percent", "row_shrub_percent", "row_tree_percent",
			"bare_density_keeps_percent", "open_rows_least_percent", "open_rows_greatest_percent", "middling_rows_least_percent",
			"middling_rows_greatest_percent", "dense_rows_least_percent", "base_greatest_m"},
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
	state := fmt.Sprintf("%s is estimated to be %.0f percent dense in leaf%s and %.0f percent bare%s. For %s it should be %s.",
		quotedAtStart(b.Feature), b.DensityLeafOn, b.classText(), b.DensityLeafOff, p.inYear(), purpose, band)
	switch {
	case !least.Holds(b.DensityLeafOn):
		f.Measured, f.Limit, f.Worse = planner.Figure(b.DensityLeafOn), planner.Figure(least.Value), "less"
		f.Message = state + " That is too open. " + b.comesText(purpose) + " Add a row, set the plants closer, or put evergreens or shrubs among them."
		f.Years = b.comes()
	case !most.Holds(b.DensityLeafOn):
		f.Measured, f.Limit, f.Source = planner.Figure(b.DensityLeafOn), planner.Figure(most.Value), weaker(most.Source, b.DensitySource)
		f.Years = b.leaves()
		f.Message = state + " So dense a belt makes the wind tumble close behind it. " + b.leavesText() + "Leave a row out, set the plants wider, or use fewer evergreens."
	case !least.Holds(b.DensityLeafOff):
		f.Measured, f.Limit, f.Worse, f.Place = planner.Figure(b.DensityLeafOff), planner.Figure(least.Value), "less", "bare"
		if purpose != "crops" {
			f.Years = b.comes()
		}
		f.Message = state + " In winter it is too open. " + b.bareText(purpose) + "Put evergreens such as holly among its rows"
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

// inYear is " in year 7" where a year is asked for.
func (p *Pass) inYear() string {
	if p.Year == 0 {
		return ""
	}
	return fmt.Sprintf(" in year %d", min(p.Year, growth.LastYear))
}

// comes is when the belt comes into its band, nil where that is not known or never.
func (b *Belt) comes() *planner.Years {
	if b.Band == nil || b.Band.In.From == planner.Never {
		return nil
	}
	years := b.Band.In
	return &years
}

// leaves is when it grows too dense for its band, nil where that is not known or never.
func (b *Belt) leaves() *planner.Years {
	if b.Band == nil || b.Band.Out.From == planner.Never {
		return nil
	}
	years := b.Band.Out
	return &years
}

// comesText says whether and when a belt that is too open comes into its band.
func (b *Belt) comesText(purpose string) string {
	in := b.comes()
	switch {
	case b.Band == nil:
		return ""
	case in == nil:
		return fmt.Sprintf("It does not become dense enough within %d years.", growth.LastYear)
	case in.To == 0:
		return "With growth in the middle of what is known it was dense enough from the start."
	}
	say := "It becomes dense enough " + yearsText(*in)
	if purpose != "crops" {
		say += ", bare too"
	}
	if out := b.leaves(); out != nil {
		say += ", and too dense " + yearsText(*out)
	}
	return say + "."
}

// leavesText says when a belt grows too dense.
func (b *Belt) leavesText() string {
	out := b.leaves()
	if out == nil {
		return ""
	}
	if out.To == 0 {
		return "It is too dense from the start. "
	}
	return "It grows too dense " + yearsText(*out) + ". "
}

// bareText says when a belt for stock or buildings is dense enough without leaves.
func (b *Belt) bareText(purpose string) string {
	if purpose == "crops" || b.Band == nil {
		return ""
	}
	if in := b.comes(); in != nil {
		return "It becomes dense enough without leaves " + yearsText(*in) + ". "
	}
	return fmt.Sprintf("It does not become dense enough without leaves within %d years. ", growth.LastYear)
}

// classText gives the published range for such rows: " (published for such rows: 25 to 50)".
func (b *Belt) classText() string {
	switch c := b.DensityClass; {
	case c[1] == 0, b.DensityYear != beltYear: // the rows of the table are grown
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
	f := planner.Finding{Severity: planner.Warn, Features: []string{b.Feature.ID}, Place: "base", Source: p.rule.Sources[1]}
	opens := ""
	if l, ok := p.Limit("base_greatest_m"); ok {
		years := firstYear(b.years, firstOf{}, func(y *beltAt, of func(ends) float64) bool { return !l.Holds(growth.OpenBase(of(y.height))) }).years()
		switch {
		case years.From == planner.Never:
		case years.To == 0:
			opens = fmt.Sprintf(" It is open by more than %s from the start (a fifth of its height, 2 m at most, %s).", exactly(l.Value), planner.CommonPractice)
			f.Years = &years
		default:
			opens = fmt.Sprintf(" It opens by more than %s %s (a fifth of its height, 2 m at most, %s).", exactly(l.Value), yearsText(years), planner.CommonPractice)
			f.Years = &years
		}
		if p.Year > 0 && p.Year < years.Mid {
			f.Severity = planner.Note // not yet
		}
	}
	f.Message = fmt.Sprintf("%s has nothing but trees that go bare at the base, and wind under bare stems can blow harder than in the open.%s Add a row of shrubs, such as hawthorn or hazel, or keep the trees trimmed so that they stay feathered to the ground.", quotedAtStart(b.Feature), opens)
	p.Report(At(f, b.at(b.LengthM/2)))
}
