package check

import (
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

// May is what a plant may be: its species; for a name that fits several, all of them, so that a safety rule can take the worst
// (NHBC Standards 2006, chapter 4.2, appendix A, note 3: the greatest height listed for that name); nothing for a name that is
// unknown. The slice must not be altered.
func (s *Shared) May(p *setout.Plant) []*species.Species {
	if p.Species != nil {
		return s.single[p.Species]
	}
	return s.several[p.Name]
}

// A sortKey is what plants of one sort have in common.
type sortKey struct {
	species *species.Species
	name    string // where the species is not known
	stock   string // the rootstock
	form    string
	use     setout.Use
}

// addMay sorts the plants: most rules need a figure for each sort, not for each plant.
func (s *Shared) addMay(in Input) {
	s.single, s.several = map[*species.Species][]*species.Species{}, map[string][]*species.Species{}
	s.sortOf = make([]int32, len(s.Plants))
	known := map[sortKey]int32{}
	for i, p := range s.Plants {
		k := sortKey{species: p.Species, stock: p.Rootstock, form: p.Form, use: p.Use}
		if p.Species == nil {
			k.name = p.Name
		}
		n, ok := known[k]
		if !ok {
			n = int32(len(s.sorts))
			known[k] = n
			s.sorts = append(s.sorts, p)
			s.remember(in.Catalogue, p)
		}
		s.sortOf[i] = n
	}
}

func (s *Shared) remember(cat *species.Catalogue, p *setout.Plant) {
	if p.Species != nil {
		if s.single[p.Species] == nil {
			s.single[p.Species] = []*species.Species{p.Species}
		}
		return
	}
	if _, done := s.several[p.Name]; !done {
		s.several[p.Name] = nil
		if m := cat.Find(p.Name); m.Ambiguous != nil {
			s.several[p.Name] = m.Ambiguous.Species
		}
	}
}

// perSort works something out once for each sort of plant; index the result by s.sortOf.
func perSort[T any](s *Shared, f func(p *setout.Plant) T) []T {
	out := make([]T, len(s.sorts))
	for i, p := range s.sorts {
		out[i] = f(p)
	}
	return out
}

// plantName is what a message calls a plant's species: its English name, with the rootstock where it has one, else the name
// as the plan has it.
func plantName(p *setout.Plant) string {
	switch {
	case p.Species == nil && strings.TrimSpace(p.Name) == "":
		return "a plant without a species"
	case p.Species == nil:
		return "\"" + p.Name + "\""
	case p.Rootstock != "":
		return p.Species.Name() + " on " + p.Rootstock
	}
	return p.Species.Name()
}

// greatest is the greatest height listed for anything the plant may be; unknown where none is listed.
func (s *Shared) greatest(p *setout.Plant) species.Num {
	var out species.Num
	for _, sp := range s.May(p) {
		if h := sp.GreatestHeight; h.Known && (!out.Known || h.V > out.V) {
			out = h
		}
	}
	return out
}

// grownHeight is the usual mature height of a plant: that of its rootstock where it is known, else of its species, the greatest
// where the name fits several, else the greatest listed.
func (s *Shared) grownHeight(cat *species.Catalogue, p *setout.Plant) species.Num {
	if p.Species != nil && p.Rootstock != "" {
		if r, _ := cat.Rootstock(p.Species, p.Rootstock); r != nil && r.Height.Known {
			return species.Num{V: r.Height.Usual, Known: true, Source: r.Height.Source}
		}
	}
	var out species.Num
	for _, sp := range s.May(p) {
		h := species.Num{V: sp.Height.Usual, Known: sp.Height.Known, Source: sp.Height.Source}
		if !h.Known {
			h = sp.GreatestHeight
		}
		if h.Known && (!out.Known || h.V > out.V) {
			out = h
		}
	}
	return out
}

// grownSpread is the usual width of a grown crown of that sort: that of its rootstock where it is known, else of its species, the
// widest where the name fits several.
func (s *Shared) grownSpread(cat *species.Catalogue, p *setout.Plant) species.Num {
	if p.Species != nil && p.Rootstock != "" {
		if r, _ := cat.Rootstock(p.Species, p.Rootstock); r != nil && r.Spread.Known {
			return species.Num{V: r.Spread.Usual, Known: true, Source: r.Spread.Source}
		}
	}
	var out species.Num
	for _, sp := range s.May(p) {
		if w := sp.Spread; w.Known && (!out.Known || w.Usual > out.V) {
			out = species.Num{V: w.Usual, Known: true, Source: w.Source}
		}
	}
	return out
}

// ownSpread is the grown width of one plant: where the plan states a width it counts for a plant still to be planted, and the wider
// of the two for one that stands there.
func ownSpread(p *setout.Plant, sort species.Num) species.Num {
	d, ok := p.Feature.Detail.(*planner.Plant)
	if !ok || d.SpreadM <= 0 || p.Feature.Wrong("spread_m") {
		return sort
	}
	if p.Feature.Status == planner.Existing && sort.Known && sort.V > d.SpreadM {
		return sort
	}
	return species.Num{V: d.SpreadM, Known: true, Source: planner.Source{Text: "the width stated in the plan", Confidence: planner.User}}
}

// layerOf is the layer of a plant's crown: its species', the tree layer where the name fits several and one of them is a tree;
// "" where nothing is known.
func (s *Shared) layerOf(p *setout.Plant) species.Layer {
	var out species.Layer
	for _, sp := range s.May(p) {
		if out == "" || sp.Layer == species.TreeLayer {
			out = sp.Layer
		}
	}
	return out
}

// keptHeight is the height that a plant of a hedge is kept at, 0 where it is not part of a hedge or nothing is stated.
func keptHeight(p *setout.Plant) float64 {
	if d, ok := p.Feature.Detail.(*planner.Hedge); ok && p.Use != setout.UseTree && !p.Feature.Wrong("height_m") {
		return d.HeightM
	}
	return 0
}
