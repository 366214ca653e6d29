package check

import (
	"fmt"
	"math"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
	"quickthorn/planner/species"
)

func setbackBuilding() *Rule {
	return &Rule{
		ID: "setback.building", Title: "Trees and hedges stand clear of dwellings", Severity: planner.Warn,
		Why: "On clay that shrinks, roots dry the ground under a house and it settles. The zone of influence is the mature height times a factor for the water that the species " +
			"draws, both as one standard's table gives them: trimming or pollarding does not shorten it. On wet ground a shallow-rooted tree can be blown over, and should miss the " +
			"house. Buildings marked `dwelling: yes` and plants still to be planted are looked at. Several alike are one finding, for the species of greatest effect.",
		Limits: []string{"zone_factor_high", "zone_factor_moderate", "zone_factor_low", "unknown_demand", "unlisted_broadleaf_demand",
			"unlisted_conifer_demand", "windthrow_heights_least", "climber_least_m", "forest_dwelling_least_m"},
		Sources: []planner.Source{
			{Text: "NHBC Standards 2006, chapter 4.2, Tables 3 and 12 (zone of influence, water demand, mature height)", Confidence: planner.Published},
			{Text: "Association of British Insurers, safe planting guide as republished 2020 (shown beside it)", Confidence: planner.Published},
			{Text: "Arboricultural Association, frequently asked questions 2023: no fixed distances by species, decide by mature size and position", Confidence: planner.Published}},
		Cautions: []string{"A caution, not a survey: foundations, old drains and removed trees decide too. Ask a chartered structural engineer or an arboriculturist before you plant near a house, and your insurer."},
		Run: func(p *Pass) {
			b := &builder{Pass: p}
			b.zones = perSort(p.Shared, func(x *setout.Plant) zone { return b.zoneOf(x, 0) })
			b.look()
			b.report()
		},
	}
}

// A zone is how far a plant's roots are reckoned to reach on shrinkable clay: the zone of influence.
type zone struct {
	known    bool
	species  *species.Species // the one of greatest effect, nil where the name is unknown
	heightM  float64
	heightOf planner.Source
	demand   string
	demandOf planner.Source
	factor   rules.Limit
	metres   float64
	listed   bool // both figures are of the standard's own table
	insurer  rules.Limit
}

// builder holds plants against dwellings.
type builder struct {
	*Pass
	zones    []zone
	roots    tallies // inside the zone, on ground that shrinks
	maybe    tallies // inside the zone, and whether the ground shrinks is not known
	insurers tallies // outside the zone, inside the insurers' figure
	wind     tallies
	climbers tallies
	forests  tallies
	unstated tallies // the building does not say whether people live in it; one tally for each building
	unknown  tallies // the zone is not known
}

// demandOf is the water demand of a species in words of the standard, and where that comes from. A species that its table does
// not list takes the limit for broad-leaved plants or conifers.
func (p *Pass) demandOf(sp *species.Species) (string, planner.Source, bool) {
	if sp == nil {
		l, ok := p.Limit("unknown_demand")
		return l.Text, l.Source, ok
	}
	if sp.WaterDemand.Known {
		return sp.WaterDemand.V, sp.WaterDemand.Source, true
	}
	name := "unlisted_broadleaf_demand"
	if sp.Habit == species.Conifer {
		name = "unlisted_conifer_demand"
	}
	l, ok := p.Limit(name)
	return l.Text, l.Source, ok
}

// zoneFor is the zone of one species, or of an unknown one where sp is nil. ownHeight is what the plan states, and counts for a
// species that the standard's table does not list by name; 0 where it states none.
func (p *Pass) zoneFor(sp *species.Species, ownHeight float64) zone {
	z := zone{species: sp}
	var ok bool
	if z.demand, z.demandOf, ok = p.demandOf(sp); !ok {
		return z
	}
	if z.factor, ok = p.Limit("zone_factor_" + z.demand); !ok {
		return z
	}
	switch {
	case sp != nil && sp.NHBCHeight.Known && (ownHeight <= 0 || sp.NHBCHeight.Source.Confidence == planner.Published):
		z.heightM, z.heightOf, z.listed = sp.NHBCHeight.V, sp.NHBCHeight.Source, sp.WaterDemand.Known
	case ownHeight > 0:
		z.heightM, z.heightOf = ownHeight, planner.Source{Text: "the height stated in the plan", Confidence: planner.User}
	case sp != nil && sp.Height.Known:
		z.heightM, z.heightOf = sp.Height.High, sp.Height.Source
	case sp != nil && sp.GreatestHeight.Known:
		z.heightM, z.heightOf = sp.GreatestHeight.V, sp.GreatestHeight.Source
	default:
		return z
	}
	z.known, z.metres = true, z.heightM*z.factor.Value
	z.insurer = p.insurersFigure(sp)
	return z
}

// zoneOf is the zone of a plant: the widest of what its name may be.
func (b *builder) zoneOf(x *setout.Plant, own float64) zone {
	may := b.Shared.May(x)
	if len(may) == 0 {
		return b.zoneFor(nil, own)
	}
	out := b.zoneFor(may[0], own)
	for _, sp := range may[1:] {
		z := b.zoneFor(sp, own)
		if z.known && (!out.known || z.metres > out.metres) {
			if out.insurer.Value > z.insurer.Value {
				z.insurer = out.insurer
			}
			out = z
		}
	}
	return out
}

// zoneAt is the zone of one plant: that of its sort, unless the plan states its height.
func (b *builder) zoneAt(i int) zone {
	x := b.Shared.Plants[i]
	if d, ok := x.Feature.Detail.(*planner.Plant); ok && d.HeightM > 0 && !x.Feature.Wrong("height_m") {
		return b.zoneOf(x, d.HeightM)
	}
	return b.zones[b.Shared.sortOf[i]]
}

// look holds every planned plant against every building.
func (b *builder) look() {
	o := b.Shared.Obstacles(planner.KindBuilding)
	forest, forestKnown := b.Limit("forest_dwelling_least_m")
	climber, _ := b.Limit("climber_least_m")
	fall, _ := b.Limit("windthrow_heights_least")
	sorts := make([]float64, len(b.zones)) // what the sort itself reaches, its roots apart
	for i, x := range b.Shared.sorts {
		if h := b.Shared.greatest(x); h.Known {
			sorts[i] = h.V * fall.Value
		}
		if isClimber(b.Shared, x) {
			sorts[i] = math.Max(sorts[i], climber.Value)
		}
		if forestKnown && x.Use == setout.UseGrove {
			sorts[i] = math.Max(sorts[i], forest.Value)
		}
	}
	b.EachNear(o, mostBuildingReach, listed, func(i int) float64 {
		z := b.zoneAt(i)
		r := math.Max(sorts[b.Shared.sortOf[i]], math.Max(z.metres, z.insurer.Value))
		if !z.known {
			r = math.Max(r, unknownReach)
		}
		return r + 1
	}, func(i, k int, n Nearness) { b.beside(i, o.List[k], n) })
}

// mostBuildingReach bounds how far from a building plants are looked at: 60 m for new forest in Ireland, and 1.25 heights of 60 m, the
// greatest height that a plan can state.
const mostBuildingReach = 80

// unknownReach is how far from a dwelling a plant of unknown size is still spoken of: the widest zone in the standard's table,
// 28 m x 1.25 for hybrid black poplar.
const unknownReach = 35

func isClimber(s *Shared, x *setout.Plant) bool {
	for _, sp := range s.May(x) {
		if wallPlant(sp) {
			return true
		}
	}
	return false
}

// wallPlant reports the plants that the builders' householder guide names for 3 m on clay: pyracantha, cotoneaster, ivy, Virginia
// creeper, wisteria (NHBC Guidance, Planting trees near your home).
func wallPlant(sp *species.Species) bool {
	switch sp.Genus() {
	case "Pyracantha", "Cotoneaster", "Hedera", "Parthenocissus", "Wisteria":
		return true
	}
	return false
}

// beside holds one plant against one building. Exactly on the edge of the zone counts as outside it.
func (b *builder) beside(i int, house *planner.Feature, n Nearness) {
	x, z := b.Shared.Plants[i], b.zoneAt(i)
	d, ok := house.Detail.(*planner.Building)
	if !ok || house.Wrong("dwelling") {
		return
	}
	if !d.Dwelling {
		if !house.Stated("dwelling") && z.known && n.DistM < z.metres-planner.Tolerance {
			t, worst := b.unstated.addTo(x, house, z.metres-n.DistM)
			if worst {
				t.dist, t.need, t.limit, t.data = n.DistM, z.metres, z.factor, z
			}
		}
		return
	}
	b.rootsBeside(i, x, house, n, z)
	b.windBeside(i, x, house, n)
	if l, ok := b.Limit("climber_least_m"); ok && isClimber(b.Shared, x) && b.shrinks(i, n.At) == "yes" && !holds(l, n.DistM) {
		t, worst := b.climbers.add(x, house, "", l.Value-n.DistM)
		if worst {
			t.dist, t.need, t.limit = n.DistM, l.Value, l
		}
	}
	if l, ok := b.Limit("forest_dwelling_least_m"); ok && x.Use == setout.UseGrove && !holds(l, n.DistM) {
		t, worst := b.forests.add(x, house, "", l.Value-n.DistM)
		if worst {
			t.dist, t.need, t.limit = n.DistM, l.Value, l
		}
	}
}

func (b *builder) put(into *tallies, x *setout.Plant, house *planner.Feature, tag string, dist, need float64, z zone) {
	t, worst := into.add(x, house, tag, need-dist)
	if worst {
		t.dist, t.need, t.limit, t.data = dist, need, z.factor, z
	}
}

func (b *builder) rootsBeside(i int, x *setout.Plant, house *planner.Feature, n Nearness, z zone) {
	ground := b.shrinks(i, n.At)
	if ground == "no" {
		return
	}
	if !z.known {
		if n.DistM < unknownReach {
			b.put(&b.unknown, x, house, "", n.DistM, unknownReach, z)
		}
		return
	}
	inside := n.DistM < z.metres-planner.Tolerance
	switch {
	case inside && ground == "yes":
		b.put(&b.roots, x, house, "", n.DistM, z.metres, z)
	case inside:
		b.put(&b.maybe, x, house, "", n.DistM, z.metres, z)
	case ground == "yes" && z.insurer.Known() && n.DistM < z.insurer.Value-planner.Tolerance:
		b.put(&b.insurers, x, house, "", n.DistM, z.insurer.Value, z)
	}
}

// shrinks says whether the ground between a plant and a house shrinks as it dries: yes, no or unknown. The ground at the house
// decides where it is drawn, else that under the plant. Clay counts as shrinkable unless the plan says that it is not.
func (b *builder) shrinks(i int, atHouse orb.Point) string {
	u := b.Site.At(atHouse)
	if !u.Known {
		u = b.Shared.Under[i]
	}
	return shrinkable(u)
}

func shrinkable(u site.Under) string {
	switch {
	case u.Shrinkable == "yes" || u.Shrinkable == "no":
		return u.Shrinkable
	case u.Soil == planner.Clay:
		return "yes"
	}
	return "unknown"
}

// windBeside holds a plant on wet ground against its own height: that at which a hedge is kept, the species' otherwise.
func (b *builder) windBeside(i int, x *setout.Plant, house *planner.Feature, n Nearness) {
	l, ok := b.Limit("windthrow_heights_least")
	m := b.Shared.Under[i].Moisture
	if !ok || m != planner.Wet && m != planner.Waterlogged {
		return
	}
	h := b.Shared.grownHeight(b.Catalogue, x)
	if kept := keptHeight(x); kept > 0 {
		h = species.Num{V: kept, Known: true}
	}
	need := h.V * l.Value
	if !h.Known || need-n.DistM <= planner.Tolerance {
		return
	}
	t, worst := b.wind.add(x, house, "", need-n.DistM)
	if worst {
		t.dist, t.need, t.limit, t.data = n.DistM, need, l, string(m)
	}
}

// insurersFigure is the insurers' distance for a species, an unknown limit where they list none.
func (p *Pass) insurersFigure(sp *species.Species) rules.Limit {
	name := insurersName(sp)
	if name == "" {
		return rules.Limit{}
	}
	for _, l := range p.Set.Others("setback.building", "insurer_"+name+"_m") {
		if l.Known() {
			return l
		}
	}
	return rules.Limit{}
}

// insurersName is the row of the insurers' list that a species falls under, "" where none does.
func insurersName(sp *species.Species) string {
	if sp == nil {
		return ""
	}
	byID := map[string]string{
		"aesculus-hippocastanum": "horse_chestnut", "acer-pseudoplatanus": "sycamore", "prunus-laurocerasus": "holly_laurel",
		"prunus-lusitanica": "holly_laurel", "ilex-aquifolium": "holly_laurel", "prunus-spinosa": "",
	}
	if n, ok := byID[sp.ID]; ok {
		return n
	}
	byGenus := map[string]string{
		"Salix": "willow", "Populus": "poplar", "Quercus": "oak", "Ulmus": "elm", "Platanus": "plane", "Fraxinus": "ash", "Tilia": "lime", "Acer": "maple",
		"Cuprocyparis": "cypress", "Cupressus": "cypress", "Chamaecyparis": "cypress", "Fagus": "beech", "Juglans": "walnut", "Crataegus": "hawthorn",
		"Prunus": "cherry_plum", "Sorbus": "whitebeam_rowan", "Malus": "apple_pear", "Pyrus": "apple_pear", "Betula": "birch", "Laburnum": "laburnum",
		"Pinus": "pine", "Picea": "spruce", "Magnolia": "magnolia",
	}
	return byGenus[sp.Genus()]
}

// zoneWords says how a zone comes about: "10 m x 1.25 for high water demand (hawthorn)".
func (z zone) words() string {
	who := ""
	if z.species != nil {
		who = " (" + z.species.Name() + ")"
	}
	s := fmt.Sprintf("mature height %s m x %s for %s water demand%s", figure(z.heightM), figure(z.factor.Value), z.demand, who)
	if !z.listed {
		s += ", the standard's table does not list it"
	}
	return s
}

// beside the standard's figure stands the insurers'.
func (z zone) insurerWords() string {
	if !z.insurer.Known() {
		return ""
	}
	return fmt.Sprintf(" Insurers publish %s m.", figure(z.insurer.Value))
}

func (z zone) source() planner.Source {
	s := z.factor.Source
	for _, o := range []planner.Source{z.demandOf, z.heightOf} {
		if o.Confidence.Weaker(s.Confidence) {
			s = planner.Source{Code: s.Code, URL: s.URL, Confidence: o.Confidence, Text: s.Text + "; " + strings.TrimSpace(o.Text)}
		}
	}
	return s
}
