package report

import (
	"fmt"
	"slices"

	"quickthorn/planner"
	"quickthorn/planner/shelter"
)

// assumed is what the shelter and the light take for granted of what stands there and does not say how high or of what it is, by
// feature in the order of the file; what is left out of the figures for that is not in it.
func (r *Report) assumed() []jsonUnknown {
	out := []jsonUnknown{}
	for _, f := range r.Plan.Features {
		for _, why := range r.assumedOf(f) {
			out = append(out, jsonUnknown{ID: f.ID, Name: f.Label(), Why: sentence(why)})
		}
	}
	return out
}

// assumedBut is what the shelter takes for granted, without what is left out of it altogether.
func (r *Report) assumedBut(unknown []shelter.Unknown) []jsonUnknown {
	return slices.DeleteFunc(r.assumed(), func(a jsonUnknown) bool {
		return slices.ContainsFunc(unknown, func(u shelter.Unknown) bool { return u.Feature.ID == a.ID && u.LeftOut && u.Row < 0 })
	})
}

func (r *Report) assumedOf(f *planner.Feature) (out []string) {
	if !f.Sound || f.Wrong("height_m") {
		return nil
	}
	say := func(format string, args ...any) {
		out = append(out, f.Label()+" "+fmt.Sprintf(format, args...)+fmt.Sprintf(" (%s).", planner.CommonPractice))
	}
	switch d := f.Detail.(type) {
	case *planner.Building:
		if !f.Stated("height_m") && d.HeightM > 0 {
			say("states no height_m and is taken as %g m high", d.HeightM)
		}
	case *planner.Screen:
		if f.Wrong("density_percent", "until") || d.HeightM <= 0 {
			return nil
		}
		if !f.Stated("height_m") {
			say("states no height_m and is taken as %g m high", d.HeightM)
		}
		if !f.Stated("density_percent") {
			say("states no density_percent and is taken as %g percent closed", d.DensityPercent)
		}
		if winter, _ := r.Stand.Winter(); d.Until > 0 && winter <= 0 {
			out = append(out, f.Label()+" is never taken away in these figures: the plan names no winter that could be year 0. State planting_winter.")
		}
	case *planner.Hedge, *planner.Windbreak, *planner.Row:
		size := r.Stand.Line(f, 0, 0)
		if f.IsPlanned() || !size.Height.Known {
			return nil
		}
		hedge, isHedge := d.(*planner.Hedge)
		_, aged := r.Stand.Age(f, 0)
		switch kept := isHedge && hedge.Manage != "coppice" && hedge.Manage != "leave"; {
		case f.Stated("height_m") || aged:
		case kept:
			say("states neither height_m nor planted, and is taken as %g m high", size.Height.Mid)
		default:
			say("states neither height_m nor planted, and counts as grown")
		}
		if isHedge && len(hedge.Mix) == 0 && !f.Wrong("mix", "species") {
			say("states no species, and counts as deciduous shrubs")
		}
	}
	return out
}

// unusedBeds are the beds that nothing is said of, because what is drawn cannot be used.
func (r *Report) unusedBeds() []jsonUnknown {
	out := []jsonUnknown{}
	for _, f := range r.Plan.Features {
		if f.Kind == planner.KindBed && len(f.Shape.Polygons) == 0 || f.Kind == planner.KindBed && !f.Sound {
			out = append(out, jsonUnknown{ID: f.ID, Name: f.Label(), Why: sentence(f.Label() + " is not looked at: its outline cannot be used.")})
		}
	}
	return out
}

// noBeds says that there are no beds to say anything of.
func (r *Report) noBeds() string {
	if len(r.unusedBeds()) > 0 {
		return "No bed has an outline that can be used, so nothing is said of beds."
	}
	return "No bed is drawn, so nothing is said of beds."
}
