package planner

import (
	"slices"
)

// A DefaultUse is a default that something was worked out with, and the features that it was used for.
type DefaultUse struct {
	Value    any      `json:"value"`
	Features []string `json:"features"`
}

// AddDefault notes in a list of defaults that one was used for a feature ("" for the whole holding). It is for defaults that are
// not fixed in the table of kinds, such as those of the rule set. Features are kept in the order of their ids.
func AddDefault(to map[string]DefaultUse, key string, value any, feature string) {
	use, ok := to[key]
	if !ok {
		use = DefaultUse{Value: value, Features: []string{}}
	}
	if feature != "" {
		at, there := slices.BinarySearch(use.Features, feature)
		if !there {
			use.Features = slices.Insert(use.Features, at, feature)
		}
	}
	to[key] = use
}

// Defaults lists the fixed defaults that a plan makes use of: "hedge.rows" for a property that hedges do not state, with their
// ids, "hedge.status" for plantings that count as planned without saying so and "hedge.status.existing" for the other ones,
// "holding.bundle" for a member of the holding. Features that cannot be worked with use none. A patch of ground has none: it
// takes after its parcel.
func Defaults(p *Plan) map[string]DefaultUse {
	out := map[string]DefaultUse{}
	for _, m := range HoldingProps() {
		if m.Default != nil && !p.Holding.Stated(m.Name) && !p.Holding.Wrong(m.Name) {
			AddDefault(out, "holding."+m.Name, m.Default, "")
		}
	}
	for _, f := range p.Features {
		info := vocabulary.kinds[string(f.Kind)]
		if info == nil || !f.Sound {
			continue
		}
		for _, prop := range info.props {
			if prop.Default != nil && !f.Stated(prop.Name) && !f.Wrong(prop.Name) {
				AddDefault(out, string(f.Kind)+"."+prop.Name, prop.Default, f.ID)
			}
		}
		f.otherDefaults(info, out)
	}
	return out
}

// otherDefaults adds those that hang on the feature: its status, and what a planned hedge will be kept at.
func (f *Feature) otherDefaults(info *kindInfo, out map[string]DefaultUse) {
	if info.spec.Grows && !f.Stated("status") && f.Status != "" {
		key := string(f.Kind) + ".status"
		if f.Status == Existing {
			key += ".existing"
		}
		AddDefault(out, key, string(f.Status), f.ID)
	}
	if f.Kind != KindHedge || f.Status != Planned {
		return
	}
	for name, value := range map[string]float64{"height_m": plannedHedgeHeight, "width_m": plannedHedgeWidth} {
		if !f.Stated(name) && !f.Wrong(name) {
			AddDefault(out, "hedge."+name, value, f.ID)
		}
	}
}
