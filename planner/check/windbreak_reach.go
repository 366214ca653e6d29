package check

import (
	"fmt"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/growth"
	"quickthorn/planner/rules"
)

func windbreakReach() *Rule {
	return &Rule{
		ID:    "windbreak.reach",
		Title: "What a windbreak protects lies in its lee",
		Why: "The calmest ground lies from about 2 to 10 heights behind a belt, along the wind. Nearer it is shaded, rooted and gusty; farther the " +
			"wind has come back. The height is that of the tallest row at year 20, and the distance is measured along the troublesome wind from that row. " +
			"Told is in which years the belt is as tall as that takes.",
		Severity: planner.Warn,
		Limits:   []string{"heights_least", "heights_greatest", "inside_least_percent", "height_year"},
		Run:      runWindbreakReach,
	}
}

func runWindbreakReach(p *Pass) {
	near, ok1 := p.Limit("heights_least")
	far, ok2 := p.Limit("heights_greatest")
	inside, ok3 := p.Limit("inside_least_percent")
	if !ok1 || !ok2 || !ok3 || p.Plan.Holding.Wrong("wind_from_deg") || p.Plan.Holding.Wrong("wind_rose") {
		return
	}
	p.heightYear()
	for i := range p.Shared.belts {
		b := &p.Shared.belts[i]
		if len(b.Protects) == 0 {
			continue
		}
		if !b.HeightYear20.Known {
			p.beltUnknown(b, "height at year 20", "whether it reaches what it protects was not looked at")
			continue
		}
		for _, s := range b.Protects {
			p.reportReach(b, s, near, far, inside)
		}
	}
}

func (p *Pass) reportReach(b *Belt, s Protect, near, far, inside rules.Limit) {
	f := planner.Finding{Severity: planner.Warn, Features: []string{b.Feature.ID, s.ID}, Place: s.ID, Unit: "percent", Worse: "less", Source: weaker(far.Source, b.HeightYear20.Source)}
	if !s.Known {
		f.Severity, f.Features, f.Worse, f.Unit = planner.Note, []string{b.Feature.ID}, "", ""
		f.Source = notStated()
		f.Message = fmt.Sprintf("%s is to protect \"%s\", but nothing sound with that id is drawn, so it was not looked at.", quotedAtStart(b.Feature), s.ID)
		p.Report(At(f, b.at(b.LengthM/2)))
		return
	}
	if share := s.InsidePercent; inside.Holds(share) || inside.Holds(share+1e-6) {
		return
	}
	h := b.HeightYear20.V
	f.Measured, f.Limit = planner.Figure(s.InsidePercent), planner.Figure(inside.Value)
	if at, ok := s.feature.Shape.First(); ok {
		f = At(f, at)
	}
	where := "does not lie behind it in the wind from " + figure(p.Plan.Holding.WorstWindDeg()) + " degrees"
	mend := "Draw the belt on the side that the wind comes from."
	if s.Behind {
		where = fmt.Sprintf("lies %s to %s behind it, which is %.1f to %.1f heights", metres(s.NearestH*h), metres(s.FarthestH*h), s.NearestH, s.FarthestH)
		switch {
		case s.FarthestH < near.Value || s.NearestH < near.Value && s.FarthestH <= far.Value:
			mend = fmt.Sprintf("Plant the belt farther off, at least %s from it, or of lower plants.", metres(near.Value*h))
		case s.NearestH > far.Value || s.FarthestH > far.Value && s.NearestH >= near.Value:
			mend = fmt.Sprintf("Plant the belt nearer, at most %s from its far side, or of taller plants.", metres(far.Value*h))
		default:
			mend = "Lengthen the belt so that all of it lies behind, or move it."
		}
	}
	reaches := ""
	if s.Behind {
		reaches = p.reachesText(b, s, near, far, inside, &f)
	}
	f.Message = fmt.Sprintf("%s protects %s, which %s. %.1f percent of it lies within %s to %s heights of %s; at least %s percent should.%s %s",
		quotedAtStart(b.Feature), quoted(s.feature), where, s.InsidePercent, figure(near.Value), figure(far.Value), b.heightText(), figure(inside.Value), reaches, mend)
	p.Report(f)
}

// reachesText says in which years enough of what is protected lies within reach, by the height of the tallest row in each.
func (p *Pass) reachesText(b *Belt, s Protect, near, far, inside rules.Limit, f *planner.Finding) string {
	d := geo.Direction(p.Plan.Holding.WorstWindDeg() + 180)
	runs := b.tallestRuns()
	row := max(0, b.tallest)
	share := map[float64]bool{} // by height: the three ends and the years often agree
	reaches := func(y *beltAt, of func(ends) float64) bool {
		if row >= len(y.rows) || of(y.rows[row]) <= 0 {
			return false
		}
		h := of(y.rows[row])
		if holds, ok := share[h]; ok {
			return holds
		}
		in := 100 * shareInside(s.feature.Shape, windZone(runs, d, near.Value*h, far.Value*h))
		share[h] = inside.Holds(in) || inside.Holds(in+1e-6)
		return share[h]
	}
	from := firstYear(b.years, firstOf{}, reaches)
	years := from.years()
	if years.From == planner.Never {
		return fmt.Sprintf(" Within %d years it is never as tall as that takes.", growth.LastYear)
	}
	f.Years = &years
	say := " It is first as tall as that takes " + yearsText(years)
	if years.To == 0 {
		say = " It is as tall as that takes from the start"
	}
	until := firstYear(b.years, from, func(y *beltAt, of func(ends) float64) bool { return !reaches(y, of) }).years()
	if until.From != planner.Never {
		say += ", and no longer so " + yearsText(until)
	}
	return say + "."
}
