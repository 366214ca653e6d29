package setout

import (
	"quickthorn/planner"
	"quickthorn/planner/rules"
)

// A DefaultUse is a figure that the plan leaves open and that was used in its place, and the features for which it was.
type DefaultUse struct {
	Value    any
	Features []string
}

// Defaults lists the figures that setting out took from the rule set or the catalogue because the plan does not state them,
// by kind and property, such as "hedge.row_gap_m". Where features differ in the figure used, each figure has its own entry,
// with the feature's id behind the property.
func Defaults(p *planner.Plan, r *Result, set *rules.Set) map[string]DefaultUse {
	out := map[string]DefaultUse{}
	add := func(f *planner.Feature, property string, value float64) {
		if value <= 0 || f.Stated(property) || f.Wrong(property) {
			return
		}
		key := string(f.Kind) + "." + property
		if had, ok := out[key]; ok && had.Value != value {
			key += " " + f.ID
		}
		u := out[key]
		u.Value, u.Features = value, append(u.Features, f.ID)
		out[key] = u
	}
	lim := limits{set}
	for _, l := range r.Layouts {
		f := l.Feature
		if l.Failed != "" {
			continue
		}
		switch d := f.Detail.(type) {
		case *planner.Hedge:
			if d.RowGapM <= 0 {
				add(f, "row_gap_m", lim.rowGap())
			}
			if d.PerMetre <= 0 {
				add(f, "per_metre", lim.perMetre())
			}
			if d.FillPerM <= 0 && l.fills() {
				add(f, "fill_per_metre", lim.fillPerMetre())
			}
		case *planner.Windbreak:
			for i, row := range l.Rows {
				if i < len(d.Rows) && d.Rows[i].SpacingM <= 0 {
					add(f, "rows["+itoa(i)+"].spacing_m", row.SpacingM)
				}
			}
		case *planner.Row:
			if d.SpacingM <= 0 {
				add(f, "spacing_m", l.SpacingM)
			}
		case *planner.Block:
			if d.SpacingM <= 0 {
				add(f, "spacing_m", l.SpacingM)
			}
			if d.RowSpacingM <= 0 && usesRowSpacing(l.Pattern) {
				add(f, "row_spacing_m", l.RowSpaceM)
			}
			add(f, "margin_m", l.MarginM)
		}
	}
	return out
}

// fills tells whether an existing hedge has a gap that takes plants.
func (l *Layout) fills() bool {
	if l.Line == nil || l.Feature.Status != planner.Existing {
		return false
	}
	for _, o := range l.Line.Openings {
		if o.Would > 0 {
			return true
		}
	}
	return false
}

func usesRowSpacing(pattern string) bool {
	for _, p := range Patterns() {
		if p.Name == pattern {
			for _, name := range p.Params {
				if name == "row_spacing_m" {
					return true
				}
			}
		}
	}
	return false
}
