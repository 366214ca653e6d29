package check

import (
	"slices"

	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

// instead is the fix that puts another species in a plant's place, all through its feature: the best for the same ground and
// purpose that fits and that is in no way graver than what it replaces. Nil where there is none, where the plan names the species
// in more than one place, or where the plant is there for its crop, since which fruit is for the grower to choose.
func (p *Pass) instead(x *setout.Plant, fits func(*species.Species) bool) *planner.Fix {
	if x.Species == nil || !x.Listed || !x.Feature.IsPlanned() {
		return nil
	}
	g := &planting{feature: x.Feature, species: x.Species, use: x.Use}
	if isFruit(g) {
		return nil
	}
	u := p.Site.At(x.At)
	want := species.Want{Ground: Moisture(u, x.RaisedM), Soil: u.Soil, PH: u.PH, Exposure: u.Exposure, Use: catalogueUse(x.Use), Country: p.Set.Name(),
		Stock: planner.GrazingStock}
	if x.Use == setout.UsePlant || x.Use == setout.UseTree {
		want.Layer = x.Species.Layer
	}
	for _, r := range p.rank(want) {
		if r.Barred || r.Fit.Verdict != species.Suitable || r.Species == x.Species || r.Species.Crop || unwanted(r.Species) || !r.Species.GreatestHeight.Known {
			continue
		}
		if !planted(r.Species) || graver(x.Species, r.Species) || !fits(r.Species) {
			continue
		}
		if fix := p.swapFix(g, r.Species); fix != nil {
			return fix
		}
	}
	return nil
}

// planted reports a species that is planted at all in field, hedge and wood.
func planted(s *species.Species) bool {
	return slices.Contains(s.Purposes, "grove") || slices.Contains(s.Purposes, "hedge") || slices.Contains(s.Purposes, "windbreak")
}

// graver reports a substitute that could bring what the plant itself did not: more height or width, greedier roots, a higher water
// demand, poison.
func graver(from, to *species.Species) bool {
	if from.GreatestHeight.Known && to.GreatestHeight.V > from.GreatestHeight.V || rootRank(to) < rootRank(from) {
		return true
	}
	if from.Spread.Known && (!to.Spread.Known || to.Spread.Usual > from.Spread.Usual) {
		return true
	}
	demands := []string{"low", "moderate", "high"}
	if slices.Index(demands, to.WaterDemand.V) > slices.Index(demands, from.WaterDemand.V) && from.WaterDemand.Known || !to.WaterDemand.Known {
		return true
	}
	for _, stock := range planner.GrazingStock {
		if h, found, known := harmTo(to, stock, []string{"high", "extreme"}); !known || found && h.stops {
			return true
		}
	}
	return false
}

// rootRank is 0 for the greediest roots; the classes are those of the sewer operator's table.
func rootRank(s *species.Species) int {
	order := []species.ServiceClass{species.WillowPoplar, species.LargeTree, species.MediumTree, species.ShrubClass, species.SoftFruit}
	if i := slices.Index(order, s.Service); i >= 0 {
		return i
	}
	return len(order)
}
