package growth

import (
	"math"

	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

// A plantKey is all that the size of a plant hangs on: plants of one key are alike.
type plantKey struct {
	feature                      *planner.Feature
	species                      *species.Species
	name, rootstock, form, stock string
	use                          setout.Use
	part                         int // of a hedge that is cut in parts
}

func (s *Stand) keyOf(p *setout.Plant) plantKey {
	k := plantKey{feature: p.Feature, species: p.Species, rootstock: p.Rootstock, form: p.Form, stock: p.Stock, use: p.Use}
	if p.Species == nil {
		k.name = p.Name
	}
	if h := s.hedges[p.Feature.ID]; h != nil {
		k.part = h.partAt(p.Chainage)
	}
	return k
}

// Plant is the size of a plant in a year; 0 before it is planted. Cost: one look-up from year 0 to LastYear.
func (s *Stand) Plant(p *setout.Plant, year int) Size {
	if year >= 0 && year <= LastYear {
		if sizes := s.plants[s.keyOf(p)]; sizes != nil {
			return sizes[year]
		}
	}
	return s.plantSize(p, year)
}

// Sizes is the size of a plant in every year from 0 to LastYear. Plants that are alike share one list, which must not be altered.
func (s *Stand) Sizes(p *setout.Plant) *[LastYear + 1]Size {
	if sizes := s.plants[s.keyOf(p)]; sizes != nil {
		return sizes
	}
	return s.plantSizes(p)
}

func (s *Stand) plantSizes(p *setout.Plant) *[LastYear + 1]Size {
	var sizes [LastYear + 1]Size
	for year := range sizes {
		sizes[year] = s.plantSize(p, year)
	}
	return &sizes
}

func (s *Stand) plantSize(p *setout.Plant, year int) Size {
	k := s.kind(p.Species, p.Name, p.Rootstock)
	h := s.hedges[p.Feature.ID]
	if h != nil && p.Use != setout.UseTree {
		return s.hedgePlant(h, k, p, year)
	}
	l := s.lifeOfPlant(p)
	height, spread, rests := sizeOf(k, &l, year)
	out := Size{Height: height, Spread: spread, Source: sourceOf(k, &l), Rests: s.assumed(rests)}
	if height.Known {
		out.BaseM = math.Min(crownBase(p, height.Mid), height.Mid)
	}
	return out
}

// lifeOfPlant is the life of a plant that does not stand in a hedge's body.
func (s *Stand) lifeOfPlant(p *setout.Plant) life {
	f := p.Feature
	l := s.life(f)
	switch d := f.Detail.(type) {
	case *planner.Block:
		l.cuts = s.cutYears(f, d.Manage, -1)
	case *planner.Plant:
		if !f.IsPlanned() && d.SpreadM > 0 {
			l.spread = d.SpreadM
		}
	case *planner.Hedge: // a hedgerow tree is not cut with its hedge
		if l.from == fromHeight {
			l = life{from: fromGrown, said: "a tree in a hedge that stands; its own height is not stated, so it counts as grown"}
			if age, known := s.Age(f, 0); known {
				l = life{planted: -age}
			}
		}
	}
	l.stockM = stockHeight(p.Stock)
	return l
}

func sourceOf(k *kind, l *life) planner.Source {
	if l.from == fromHeight && (l.fixed || !k.growth.Known) {
		return planner.Source{Text: l.said, Confidence: planner.User}
	}
	return k.growth.Source
}

// Clear stems in metres of the forms of fruit trees: standard 1.8 to 2.1, half-standard 1.2 to 1.5 (Royal Horticultural Society on
// medlars; the British orchard scheme has 2.0 m), bush 0.6 to 0.9, spindle 0.5 to 0.6, stepover 0.45 (common practice).
var clearStem = map[string]float64{"standard": 2, "half-standard": 1.35, "bush": 0.75, "spindle": 0.55, "stepover": 0.45,
	"cordon": 0.4, "espalier": 0.4, "fan": 0.4, "dwarf pyramid": 0.45}

// crownBase is the height of the lowest leaves of a plant that stands for itself (common practice): the clear stem of a fruit tree's
// form, a bush where none is stated; a third of the height in a grove, whose trees lose their lower branches; a quarter and at most
// 2 m for other trees; the ground for shrubs and lone conifers.
func crownBase(p *setout.Plant, height float64) float64 {
	if stem, ok := clearStem[p.Form]; ok {
		return math.Min(stem, 0.7*height)
	}
	sp := p.Species
	switch {
	case sp == nil || sp.Layer != species.TreeLayer:
		return 0
	case sp.Crop && (p.Use == setout.UseOrchard || p.Rootstock != ""):
		return math.Min(clearStem["bush"], 0.5*height)
	case p.Use == setout.UseGrove:
		return height / 3
	case sp.Evergreen.Yes():
		return 0
	}
	return math.Min(2, height/4)
}

// Crowns are the plants that do not stand in a body, by plant order of setout, in a year: those of orchards and groves, single
// plants, and hedgerow trees once they stand above their hedge, whose crown then begins at its top. Those still to be planted, and
// those whose height is not known, are left out; a crown whose width is not known has Spread.Known false.
func (s *Stand) Crowns(year int) []Crown {
	var out []Crown
	s.out.Each(func(p *setout.Plant) bool {
		switch p.Use {
		case setout.UseOrchard, setout.UseGrove, setout.UsePlant, setout.UseTree:
		default:
			return true
		}
		c := Crown{Plant: p, Size: s.Plant(p, year)}
		if !c.Height.Known || c.Height.Mid <= 0 {
			return true
		}
		if h := s.hedges[p.Feature.ID]; h != nil && p.Use == setout.UseTree {
			top := h.size(s, h.partAt(p.Chainage), year).Height
			if top.Known && c.Height.Mid <= top.Mid {
				return true
			}
			c.BaseM = math.Max(c.BaseM, top.Mid)
		}
		c.DensityLeafOn, c.DensityLeafOff, c.DensityKnown = crownDensity(p.Species)
		out = append(out, c)
		return true
	})
	return out
}
