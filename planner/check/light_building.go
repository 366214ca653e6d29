package check

import (
	"fmt"

	"quickthorn/planner"
	"quickthorn/planner/light"
	"quickthorn/planner/rules"
)

func lightBuilding() *Rule {
	return &Rule{
		ID: "light.building", Title: "Buildings that want light keep it", Severity: planner.Note, Slow: true,
		Why: "The walls that face the noon sun are looked at 1.5 m up, the middle of a window on the ground floor. Told is the year in which less is left of their direct " +
			"sun of year 0, mean of the 21st of each month from April to September (October to March south of the equator), than those who live there would let pass " +
			"unnoticed. That share is from memory, so this is never more than a note.",
		Limits:  []string{"keeps_least_percent"},
		Sources: []planner.Source{sunSource, {Text: "1.5 m as the middle of a window on the ground floor", Confidence: planner.CommonPractice}},
		Run: func(p *Pass) {
			limit, ok := p.Limit("keeps_least_percent")
			if !ok {
				return
			}
			place := light.OnLand(p.Plan)
			losses, err := light.LosesLight(p.ctx, p.Plan, light.Through(p.Plan, p.Stand), place, limit.Value/100, light.Options{})
			if err != nil {
				return // the asker has gone: Run says so
			}
			for _, l := range losses {
				p.reportLoss(l, limit, light.Season(place.LatDeg))
			}
		},
	}
}

func (p *Pass) reportLoss(l light.Loss, limit rules.Limit, season string) {
	years := lightYears(l.Earliest, l.Year, l.Latest)
	f := planner.Finding{Severity: planner.Note, Features: []string{l.Building.ID}, Unit: "hours", Worse: "less", Years: &years,
		Measured: planner.Figure(l.Hours), Limit: planner.Figure(l.Before * limit.Value / 100), Source: p.takersSource(weaker(limit.Source, sunSource), l.TakenBy, years)}
	when := "in " + years.String()
	switch {
	case years.Mid == planner.Never:
		when += " at the earliest, with the strongest growth that is known"
	case years.From != years.To:
		when += fmt.Sprintf(", most likely in year %d", years.Mid)
	}
	f.Message = fmt.Sprintf("%s wants light and will lose it: %s less than %s percent is left of the sun on its walls that face noon, %s a day of %s in year 0 (mean of %s). %s",
		quotedAtStart(l.Building), when, figure(limit.Value), hours(l.Hours), hours(l.Before), season, takersText(l.TakenBy))
	f.Message += lightNotes(l.Notes, l.TakenBy)
	if limit.Source.Confidence == planner.FromMemory {
		f.Message += fmt.Sprintf(" That a loss is noticed below %s percent is from memory and was not looked up.", figure(limit.Value))
	}
	f.Message += " Keep what stands before the windows lower, or plant it farther off."
	p.Report(pointTo(f, l.Building))
}
