package setout

import (
	"fmt"

	"quickthorn/geo"
	"quickthorn/planner"
)

// A plan that would hold more is a slip of the pen in a spacing or a scale; it is said, and nothing is laid out.
const (
	mostInFeature = 500_000
	mostInPlan    = 2_000_000
)

// tooMany tells whether a feature would hold more plants than can be meant, and then says so.
func (m *maker) tooMany(l *Layout) bool {
	n := m.size(l.Feature)
	switch {
	case n > mostInFeature:
		l.cannot("size", fmt.Sprintf("it would hold about %.0f plants, and %d is the most for one feature.", n, mostInFeature), "Space them wider, or see whether it is drawn too large.")
	case m.over[l.Feature.ID]:
		l.cannot("size", fmt.Sprintf("the plan would hold over %d plants with it.", mostInPlan), "Space them wider, or see whether something is drawn too large.")
	default:
		return false
	}
	return true
}

// overFull names the features, by id, with which the plan would hold more plants than can be meant.
func (m *maker) overFull() map[string]bool {
	over := map[string]bool{}
	total := 0.0
	for _, f := range m.plan.Features {
		if !f.Sound || !grows(f.Kind) {
			continue
		}
		n := m.size(f)
		if n > mostInFeature {
			continue // said of the feature itself
		}
		if total+n > mostInPlan {
			over[f.ID] = true
			continue
		}
		total += n
	}
	return over
}

// size is about how many plants a feature would hold, from its length or area and its spacing; 0 where it cannot be told.
func (m *maker) size(f *planner.Feature) float64 {
	length := 0.0
	for _, l := range f.Shape.Lines {
		length += geo.Length(l)
	}
	per := func(spacing float64, k kinds, use Use) float64 {
		if s := firstPositive(spacing, m.rowSpacing(k, use)); s > 0 {
			return 1 / s
		}
		return 0
	}
	switch d := f.Detail.(type) {
	case *planner.Hedge:
		return length * max(firstPositive(d.PerMetre, m.lim.perMetre()), firstPositive(d.FillPerM, m.lim.fillPerMetre()))
	case *planner.Windbreak:
		n := 0.0
		for _, r := range d.Rows {
			n += length * per(r.SpacingM, m.kinds(r.Mix, UseWindbreak, ""), UseWindbreak)
		}
		return n
	case *planner.Row:
		k := m.kinds(d.Mix, UseRow, "")
		if len(d.Trees) > 0 {
			k = m.treeKinds(d.Trees, UseRow, "")
		}
		return length * per(d.SpacingM, k, UseRow)
	case *planner.Block:
		return geo.MultiArea(f.Shape.Polygons) * m.density(f, d)
	}
	return 0
}

// density is how many trees of a block stand on a square metre.
func (m *maker) density(f *planner.Feature, d *planner.Block) float64 {
	use := UseOrchard
	if f.Kind == planner.KindGrove {
		use = UseGrove
	}
	k := m.kinds(d.Mix, use, "")
	if len(d.Trees) > 0 {
		k = m.treeKinds(d.Trees, use, "")
	}
	s := firstPositive(d.SpacingM, m.rowSpacing(k, use))
	p, ok := PatternOf(d.Pattern, f.Kind)
	if s <= 0 || !ok {
		return 0
	}
	if n := p.PerHectare(s, firstPositive(d.RowSpacingM, s)); n > 0 {
		return n / 10000
	}
	return 1 / (s * s)
}
