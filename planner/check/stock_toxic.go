package check

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

func stockToxic() *Rule {
	return &Rule{
		ID: "stock.toxic", Title: "Nothing poisonous within reach of stock", Severity: planner.Stop,
		Why: "A few mouthfuls of yew kill a horse, and cut branches kill more than growing ones: wilted and dead clippings are eaten where the hedge was not. A planting in a grazed field, or as near " +
			"to it as that stock reaches over a fence, is held against what grazes there. The class in the first list decides (extreme and high stop, lower ones are a note); a second list speaks only of plants on " +
			"which the first is silent, and its `severe` counts as high. What stands there already is not looked at: walk the field.",
		Limits: []string{"stop_classes", "reach_cattle_m", "reach_horses_m", "reach_sheep_m", "reach_goats_m", "reach_pigs_m", "reach_poultry_m"},
		Sources: []planner.Source{
			{Text: "Lorgue, veterinary toxicology (plant pages); Massey University; Colorado State University; Purdue University 1997", Confidence: planner.Published}},
		Cautions: []string{
			"Keep clippings, prunings and windfalls away from stock, fresh or dead, and off the muck heap.",
			"No list is complete. If an animal may have eaten something, ring the vet at once and keep a piece of the plant."},
		Run: func(p *Pass) {
			g := &grazed{Pass: p, reach: map[string]float64{}}
			g.look()
		},
	}
}

// A harm is what the lists say that a plant does to one kind of stock.
type harm struct {
	species *species.Species
	toxic   species.Toxicity
	class   string // of the first list, or "high" and "low-medium" for `severe` and `mild` of the second
	stops   bool
	rank    int // the greater the worse
}

// harmful are the classes that say something, mildest first; "accepted" and "none" say that nothing is known against the plant.
func harmful() []string { return []string{"low-medium", "medium", "medium-high", "high", "extreme"} }

// harmTo is the worst that the lists say of a species for one kind of stock; false where they say nothing against it. known is
// false where no list speaks of the species at all.
func harmTo(sp *species.Species, stock string, stops []string) (h harm, found, known bool) {
	first := false
	for _, t := range sp.Toxic {
		first = first || t.First()
	}
	h.rank = -1
	for _, t := range sp.Toxic {
		if t.First() != first || t.Stock != "" && t.Stock != stock {
			continue
		}
		class := t.Class
		switch class {
		case "severe":
			class = "high"
		case "mild":
			class = "low-medium"
		}
		if r := slices.Index(harmful(), class); r > h.rank {
			h = harm{species: sp, toxic: t, class: class, rank: r, stops: slices.Contains(stops, class)}
		}
	}
	return h, h.rank >= 0, len(sp.Toxic) > 0
}

// grazed holds plants against what grazes within reach of them.
type grazed struct {
	*Pass
	reach   map[string]float64
	stops   []string
	found   []*poison
	by      map[poisonKey]*poison
	unknown tallies
}

type poisonKey struct {
	feature, parcel *planner.Feature
	species         *species.Species
}

// A poison is what one species of one planting does beside one parcel.
type poison struct {
	tally
	harms     []harm // one for each kind of stock hurt, as `stock` names them
	stock     []string
	plantLast *setout.Plant // so that a plant counts once, however many kinds of stock it hurts
}

func (g *grazed) look() {
	l, _ := g.Limit("stop_classes")
	g.stops = l.Words()
	widest := 0.0
	for _, s := range planner.GrazingStock {
		if l, ok := g.Limit("reach_" + s + "_m"); ok {
			g.reach[s] = l.Value
			widest = math.Max(widest, l.Value)
		}
	}
	g.by = map[poisonKey]*poison{}
	parcels := g.grazedParcels()
	if len(parcels.List) == 0 {
		return
	}
	said := perSort(g.Shared, g.saidOf)
	g.EachNear(parcels, widest+0.1, listed, func(i int) float64 {
		if len(said[g.Shared.sortOf[i]]) == 0 {
			return 0 // most plants have nothing against them
		}
		return widest + 0.1
	}, func(i, k int, n Nearness) {
		f := parcels.List[k]
		g.beside(g.Shared.Plants[i], said[g.Shared.sortOf[i]], f, n.DistM)
	})
	g.report()
}

// A saying is what the lists say of one species for one kind of stock.
type saying struct {
	species *species.Species
	stock   string
	harm    harm
	known   bool // false where no list speaks of the species
}

// saidOf is all that the lists hold against a sort of plant, and the species on which they are silent.
func (g *grazed) saidOf(x *setout.Plant) []saying {
	var out []saying
	for _, sp := range g.Shared.May(x) {
		for _, s := range planner.GrazingStock {
			if h, found, known := harmTo(sp, s, g.stops); found || !known {
				out = append(out, saying{sp, s, h, known})
			}
		}
	}
	return out
}

// grazedParcels are the fields that something grazes.
func (g *grazed) grazedParcels() *Obstacles {
	var list []*planner.Feature
	for _, f := range g.Plan.Of(planner.KindParcel) {
		if d, ok := f.Detail.(*planner.Parcel); ok && len(d.GrazedBy) > 0 && !f.Wrong("grazed_by") {
			list = append(list, f)
		}
	}
	return newObstacles(list)
}

// beside holds a plant against one grazed field. The reach is a "more than" limit: a plant exactly as far away as the stock reaches is
// eaten.
func (g *grazed) beside(x *setout.Plant, said []saying, parcel *planner.Feature, dist float64) {
	var silent *species.Species
	for i := range said {
		s := &said[i]
		if dist > g.reach[s.stock]+planner.Tolerance || !slices.Contains(parcel.Detail.(*planner.Parcel).GrazedBy, s.stock) {
			continue
		}
		if s.known {
			g.count(x, parcel, dist, s)
			continue
		}
		if silent == s.species {
			continue
		}
		silent = s.species
		if t, worst := g.unknown.add(x, parcel, silent.ID, -dist); worst {
			t.dist, t.data = dist, silent
		}
	}
}

func (g *grazed) count(x *setout.Plant, parcel *planner.Feature, dist float64, s *saying) {
	k := poisonKey{feature: x.Feature, parcel: parcel, species: s.species}
	p := g.by[k]
	if p == nil && len(g.found) >= mostTallies {
		return
	}
	if p == nil {
		p = &poison{tally: tally{feature: x.Feature, other: parcel, plant: x, at: x.At, dist: dist}}
		g.by[k] = p
		g.found = append(g.found, p)
	}
	if !slices.Contains(p.stock, s.stock) {
		p.stock, p.harms = append(p.stock, s.stock), append(p.harms, s.harm)
	}
	if p.plantLast != x {
		p.plantLast = x
		p.count++
		if len(p.places) < MostPlaces {
			p.places = append(p.places, x.At)
		}
	}
	if dist < p.dist-1e-9 {
		p.dist, p.plant, p.at = dist, x, x.At
	}
}

func (g *grazed) report() {
	for _, p := range g.found {
		g.reportPoison(p)
	}
	for _, t := range g.unknown.list {
		f := t.finding(planner.Note)
		sp := t.data.(*species.Species)
		f.Place, f.Limit, f.Measured = sp.ID, nil, nil
		f.Source = planner.Source{Text: "no list of poisonous plants that was read speaks of it", Confidence: planner.Derived}
		f.Message = fmt.Sprintf("Whether %s is poisonous to the %s in %s is not known, so %s in %s was not looked at. Ask your vet, or choose another kind.",
			sp.Name(), listWords(t.other.Detail.(*planner.Parcel).GrazedBy, "and"), quoted(t.other), countOf(t.count, "plant"), quoted(t.feature))
		g.Report(f)
	}
}

func (g *grazed) reportPoison(p *poison) {
	worst := p.harms[0]
	var hurt []string
	for i, h := range p.harms {
		if h.rank > worst.rank {
			worst = h
		}
		hurt = append(hurt, fmt.Sprintf("%s (%s)", p.stock[i], classSays(h.class)))
	}
	severity := planner.Note
	if worst.stops {
		severity = planner.Stop
		if weak(worst.toxic.Source) {
			severity = planner.Warn
		}
	}
	f := p.finding(severity)
	f.Place, f.Source = worst.species.ID, worst.toxic.Source
	f.Measured, f.Limit = planner.Figure(p.dist), planner.Figure(g.widestReach(p.stock))
	where := "in " + quoted(p.other)
	if p.dist > planner.Tolerance {
		where = metres(p.dist) + " from " + quoted(p.other) + ", within reach over a fence"
	}
	who := quoted(p.feature) + " stands"
	if p.plant.Use != setout.UsePlant {
		who = countOf(p.count, "plant") + " of it in " + quoted(p.feature) + map[bool]string{true: " stands", false: " stand"}[p.count == 1]
	}
	f.Message = fmt.Sprintf("%s is poisonous to %s. %s %s%s.", upperFirst(worst.species.Name()), listWords(hurt, "and"), who, where, spaced(placeOf(p)))
	if part := worst.toxic.Part; part != "" {
		f.Message += " " + upperFirst(strings.TrimSuffix(part, ".")) + "."
	}
	if severity == planner.Note {
		f.Message += " Keep clippings out of the field."
	} else {
		f.Message += " Plant something else there, or keep the stock out for good with a second fence out of reach, and never leave clippings."
		if p.plant.Species == worst.species {
			f.Fix = g.instead(p.plant, g.harmless(p.stock))
		}
	}
	g.Report(f)
}

func placeOf(p *poison) string {
	if p.plant.Use == setout.UsePlant {
		return ""
	}
	if p.count == 1 {
		return whereIs(p.plant)
	}
	return "(the nearest " + whereIs(p.plant) + ")"
}

func classSays(class string) string {
	switch class {
	case "low-medium":
		return "low to medium"
	case "medium-high":
		return "medium to high"
	}
	return class
}

func (g *grazed) widestReach(stock []string) float64 {
	list := append([]string(nil), stock...)
	sort.Strings(list)
	w := 0.0
	for _, s := range list {
		w = math.Max(w, g.reach[s])
	}
	return w
}

// harmless accepts species against which nothing is known for any of the stock.
func (g *grazed) harmless(stock []string) func(*species.Species) bool {
	return func(s *species.Species) bool {
		for _, k := range stock {
			if _, found, known := harmTo(s, k, g.stops); found || !known {
				return false
			}
		}
		return true
	}
}
