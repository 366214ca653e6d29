package check

import (
	"encoding/json"
	"fmt"
	"slices"

	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

// moistureFix is the edit that mends a planting on ground that it does not bear: a mound where that brings a better verdict and
// harms nothing else in the feature (groups are its plantings), else another species where the plan names this one in one place.
func (p *Pass) moistureFix(fit groundFit, groups []*planting, others []*species.Species) *planner.Fix {
	if fix := p.raiseFix(fit, groups); fix != nil {
		return fix
	}
	if isFruit(fit.group) {
		return nil // which cultivar, on which stock, is for the grower to choose
	}
	for _, o := range others {
		if fix := p.swapFix(fit.group, o); fix != nil {
			return fix
		}
	}
	return nil
}

func (p *Pass) raiseFix(fit groundFit, groups []*planting) *planner.Fix {
	g := fit.group
	mound, known := p.Limit("mound_m")
	raised, why := p.raisedFit(fit)
	if !known || why != "" || !g.feature.IsPlanned() || gravity(raised.worst) <= gravity(fit.worst) || raised.worst == species.NoVerdict {
		return nil
	}
	for _, o := range groups {
		if o != g && gravity(p.Shared.fitRaised(o, mound.Value).worst) < gravity(p.Shared.fitOf(o).worst) {
			return nil
		}
	}
	return p.raised(g.feature, mound.Value)
}

// raised is the edit that puts a feature on a mound or ridge.
func (p *Pass) raised(f *planner.Feature, byM float64) *planner.Fix {
	put, err := p.Plan.Change(f, map[string]any{"raised_m": byM})
	if err != nil {
		return nil
	}
	return &planner.Fix{Say: fmt.Sprintf("Raise %s by %s", quoted(f), centimetres(byM)), Put: []json.RawMessage{put}, Delete: []string{}}
}

// swapFix puts another species in the place of a planting's where the plan names it as a species or in a mix.
func (p *Pass) swapFix(g *planting, to *species.Species) *planner.Fix {
	set, unset := p.swapped(g, to)
	if set == nil {
		return nil
	}
	put, err := p.Plan.Change(g.feature, set, unset...)
	if err != nil {
		return nil
	}
	return &planner.Fix{Say: fmt.Sprintf("Plant %s instead of %s in %s", to.Name(), g.species.Name(), quoted(g.feature)), Put: []json.RawMessage{put}, Delete: []string{}}
}

func (p *Pass) swapped(g *planting, to *species.Species) (set map[string]any, unset []string) {
	switch d := g.feature.Detail.(type) {
	case *planner.Plant:
		return map[string]any{"species": to.Botanical}, []string{"cultivar", "rootstock", "form", "stock"}
	case *planner.Hedge:
		switch g.use {
		case setout.UseFill:
			return p.swapMix("fill_mix", "", d.FillMix, g.species, to)
		case setout.UseTree:
			return p.swapMix("tree_mix", "", d.TreeMix, g.species, to)
		}
		return p.swapMix("mix", stateOf(g.feature, "species"), d.Mix, g.species, to)
	case *planner.Block:
		if len(d.Trees) == 0 {
			return p.swapMix("mix", stateOf(g.feature, "species"), d.Mix, g.species, to)
		}
	case *planner.Windbreak:
		return p.swapRows(d, g.species, to), nil
	}
	return nil, nil
}

func stateOf(f *planner.Feature, property string) string {
	if f.Stated(property) {
		return property
	}
	return ""
}

// swapMix is the property with one species changed; single is the property that names a species alone, "" where the plan has a mix.
func (p *Pass) swapMix(property, single string, mix []planner.Share, from, to *species.Species) (map[string]any, []string) {
	out, ok := p.swapShares(mix, from, to)
	switch {
	case !ok:
		return nil, nil
	case single != "" && len(out) == 1:
		return map[string]any{single: to.Botanical}, nil
	}
	return map[string]any{property: out}, nil
}

// swapShares changes one species of a mix; where the other is in it already the two shares are put together.
func (p *Pass) swapShares(mix []planner.Share, from, to *species.Species) ([]planner.Share, bool) {
	out := slices.Clone(mix)
	hit := -1
	for i, s := range out {
		if p.Catalogue.Find(s.Species).Species == from {
			if hit >= 0 {
				return nil, false // named twice: not one place to change
			}
			hit = i
		}
	}
	if hit < 0 {
		return nil, false
	}
	for i, s := range out {
		if i != hit && p.Catalogue.Find(s.Species).Species == to {
			out[i].SharePercent += out[hit].SharePercent
			return slices.Delete(out, hit, hit+1), true
		}
	}
	out[hit].Species = to.Botanical
	return out, true
}

// swapRows changes a species in the one row of a windbreak that names it; nil where several do.
func (p *Pass) swapRows(w *planner.Windbreak, from, to *species.Species) map[string]any {
	var rows []map[string]any
	hits := 0
	for _, r := range w.Rows {
		mix := r.Mix
		if m, ok := p.swapShares(r.Mix, from, to); ok {
			mix = m
			hits++
		}
		row := map[string]any{"mix": mix}
		if len(mix) == 1 {
			row = map[string]any{"species": mix[0].Species}
		}
		if r.SpacingM > 0 {
			row["spacing_m"] = r.SpacingM
		}
		rows = append(rows, row)
	}
	if hits != 1 {
		return nil
	}
	return map[string]any{"rows": rows}
}
