package report

import (
	"fmt"
	"slices"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/light"
	"quickthorn/planner/setout"
)

// unknown is what is not known of single features in the years that are told.
func (l *Light) unknown() []jsonUnknown {
	var years []int
	var notes []light.Note
	for _, y := range l.Years {
		years = append(years, y.Year)
		notes = append(notes, y.Notes...)
	}
	return l.report.withoutLight(years, notes, l.report.unusedBeds()...)
}

// withoutLight is what was noted of single features, each once, and what stands in one of the years but takes no light in the figures
// because its height is not known in any of them; and what was assumed of the rest; by feature id.
func (r *Report) withoutLight(years []int, notes []light.Note, more ...jsonUnknown) []jsonUnknown {
	out := append([]jsonUnknown{}, more...)
	noted := map[string]bool{}
	for _, n := range notes {
		if u := (jsonUnknown{ID: n.Feature.ID, Name: n.Feature.Label(), Why: sentence(n.Message)}); !slices.Contains(out, u) {
			noted[u.ID] = true
			out = append(out, u)
		}
	}
	type line struct {
		id  string
		row int
	}
	bodies := map[line]bool{}
	for _, y := range years {
		for _, b := range r.Stand.Bodies(y) {
			bodies[line{b.Feature.ID, b.Row}] = true
		}
	}
	for _, f := range r.Plan.Features {
		if noted[f.ID] {
			continue
		}
		if why := r.noLightOf(f, years, func(row int) bool { return bodies[line{f.ID, row}] }); why != "" {
			out = append(out, jsonUnknown{ID: f.ID, Name: f.Label(), Why: sentence(why)})
		}
	}
	for _, u := range r.assumed() {
		if !slices.Contains(out, u) {
			out = append(out, u)
		}
	}
	slices.SortStableFunc(out, func(a, b jsonUnknown) int { return strings.Compare(a.ID, b.ID) })
	return out
}

// noLightOf says why a feature takes no light, or only some of it, in years in which it stands; "" where all of it does or nothing should.
// has tells which of its rows stand as a wall in any of the years.
func (r *Report) noLightOf(f *planner.Feature, years []int, has func(row int) bool) string {
	none := func(why string) string { return f.Label() + " takes no light in these figures: " + why }
	missing, all, what := 0, 0, "rows"
	switch d := f.Detail.(type) {
	case *planner.Building:
		if !f.Sound {
			return none("its outline cannot be used.")
		}
		return ""
	case *planner.Screen:
		switch {
		case !f.Sound:
			return none("its line cannot be used.")
		case f.Wrong("height_m", "density_percent", "until"):
			return none("its height, density or last winter is not known.")
		}
		return ""
	case *planner.Fence:
		switch {
		case f.Kind != planner.KindWall || has(0):
			return ""
		case !f.Sound:
			return none("its line cannot be used.")
		}
		return none("its height is not known. State height_m.")
	case *planner.Hedge, *planner.Row:
		all = 1
	case *planner.Windbreak:
		all = max(1, len(d.Rows))
	}
	standing := slices.DeleteFunc(slices.Clone(years), func(y int) bool {
		age, known := r.Stand.Age(f, y)
		return known && age < 0
	})
	if len(standing) == 0 {
		return ""
	}
	for row := range all {
		if !has(row) {
			missing++
		}
	}
	if l := r.Out.Of(f.ID); l != nil && l.Failed != "" && missing == all { // what could not be set out has no crowns either
		return none(l.WhyNot())
	}
	if missing == 0 {
		missing, all = r.unknownCrowns(f, standing)
		what = "plants"
	}
	if missing == 0 {
		return ""
	}
	return noLight(f, missing, all, what)
}

// unknownCrowns is how many of a feature's plants that stand for themselves have a height that is not known in any of the years.
func (r *Report) unknownCrowns(f *planner.Feature, years []int) (missing, all int) {
	l := r.Out.Of(f.ID)
	if l == nil {
		return 0, 0
	}
	for i := range l.Plants {
		p := &l.Plants[i]
		switch p.Use {
		case setout.UseOrchard, setout.UseGrove, setout.UsePlant, setout.UseTree:
			all++
			sizes := r.Stand.Sizes(p)
			if !slices.ContainsFunc(years, func(y int) bool { return sizes[y].Height.Known }) {
				missing++
			}
		}
	}
	return missing, all
}

func noLight(f *planner.Feature, missing, all int, what string) string {
	if missing == all {
		return fmt.Sprintf("%s takes no light in these figures: its height is not known. State height_m, or name a species of the catalogue.", f.Label())
	}
	return fmt.Sprintf("%d of the %d %s of %s take no light in these figures: their height is not known. Name species of the catalogue.", missing, all, what, f.Label())
}
