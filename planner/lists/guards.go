package lists

import (
	"fmt"
	"slices"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
	"quickthorn/planner/species"
)

// A GuardSpec is one kind of guard: how high it is, what of the animals at hand it keeps off, and what it does not.
type GuardSpec struct {
	Kind    string  // spiral, tube, mesh, stock guard
	HeightM float64 // above the ground
	Stops   []string
	Misses  []string
	Source  planner.Source
	How     string // how it is put up, in a few words
}

// A Guard is what the list holds to keep animals off one plant.
type Guard struct {
	Browse *GuardSpec // against what browses; nil where none is listed
	Stock  *GuardSpec // against what grazes; nil where none is listed
	Bare   string     // why no guard is listed although something browses, "" otherwise
}

// Stops reports whether the plant's guards keep the animal off.
func (g Guard) Stops(animal string) bool {
	return g.Browse != nil && slices.Contains(g.Browse.Stops, animal) || g.Stock != nil && slices.Contains(g.Stock.Stops, animal)
}

var fromPractice = planner.Source{Code: "PRACTICE", Confidence: planner.CommonPractice}

// voleCollarM is the height of a collar against voles, which gnaw at the ground. Common practice.
const voleCollarM = 0.2

// usualHeights are the heights of guards where there is no rule set: forestry guidance, from memory, for what browses;
// Countryside Stewardship TE8 (sheep) and TE7 (cattle, read in a copy) and Scottish guidance of 2015-16 (horses, goats) for stock.
var usualHeights = map[string]float64{"rabbits": 0.6, "hares": 0.75, "roe": 1.2, "red": 1.8, "fallow": 1.8, "sheep": 1.5, "cattle": 2.0, "horses": 1.8, "goats": 1.8}

// GuardHeight is how high a guard has to be against an animal of planner.Browsers or planner.GrazingStock, in metres, and where
// that is from: the rule set's limit of guard.browsing, else the usual height. It is false where none is known: pigs, poultry.
func GuardHeight(set *rules.Set, animal string) (float64, planner.Source, bool) {
	if animal == "voles" {
		return voleCollarM, fromPractice, true
	}
	if set != nil {
		if l, ok := set.Get("guard.browsing", animal+"_least_m"); ok && l.Value > 0 {
			return l.Value, l.Source, true
		}
	}
	h, ok := usualHeights[animal]
	src := planner.Source{Text: "Forestry guidance on the height of guards by animal", Confidence: planner.FromMemory}
	if slices.Contains(planner.GrazingStock, animal) {
		src = planner.Source{Text: "Countryside Stewardship TE7 and TE8, and Scottish guidance on post and rail tree guards, 2015-16", Confidence: planner.Published}
	}
	return h, src, ok
}

// class is what kind of plant is guarded, staked and mulched alike.
type class int

const (
	hedgeClass class = iota
	treeClass        // transplants that grow to trees, or are planted as such
	graftClass       // grafted trees: they come with a head
	bushClass        // bush and cane fruit, nuts
	herbClass        // strawberries, rhubarb
)

// classOf sorts a plant by its use and habit. Windbreaks and groves are planted as trees, whatever they are. A plant of unknown
// habit in a row counts as a bush, anywhere else as a tree.
func classOf(p *setout.Plant) class {
	switch p.Use {
	case setout.UseHedge, setout.UseFill:
		return hedgeClass
	case setout.UseWindbreak, setout.UseGrove, setout.UseTree:
		if p.Rootstock != "" {
			return graftClass
		}
		return treeClass
	}
	if p.Rootstock != "" || StockKind(p.Stock) == Grafted {
		return graftClass
	}
	if p.Species == nil {
		if p.Use == setout.UseRow {
			return bushClass
		}
		return treeClass
	}
	switch p.Species.Habit {
	case species.Herb:
		return herbClass
	case species.Shrub, species.Climber:
		return bushClass
	}
	return treeClass
}

// classKey is all of a plant that its class hangs on.
type classKey struct {
	use              setout.Use
	species          *species.Species
	rootstock, stock string
}

// classes remembers the class of plants that are alike.
type classes map[classKey]class

func (c classes) of(p *setout.Plant) class {
	k := classKey{p.Use, p.Species, p.Rootstock, p.Stock}
	v, ok := c[k]
	if !ok {
		v = classOf(p)
		c[k] = v
	}
	return v
}

// IsFruitTree reports whether a plant is a tree grown for its fruit: grafted, or a crop tree in an orchard, a row or on its own.
func IsFruitTree(p *setout.Plant) bool {
	if p.Rootstock != "" {
		return true
	}
	switch p.Use {
	case setout.UseOrchard, setout.UseRow, setout.UsePlant:
		return p.Species != nil && p.Species.Crop && (p.Species.Habit == species.Tree || p.Species.Habit == species.Conifer)
	}
	return false
}

// GuardsFor gives the guards that the list holds for each plant, in the order of out.Each, existing plants too (none is listed
// for them). Hedge plants have spirals, trees tubes (mesh where they are grafted, or as much as 1.8 m is needed), bushes mesh, as
// high as the tallest animal of `browsing` asks for trees and bushes. A spiral is as high as rabbits or hares ask: it does not
// stop deer, and its Misses say so; where nothing smaller than deer browses, a hedge has guards of their height instead. Thorns
// of a hedge that is pruned to the ground and sheeted have none (Teagasc). Fruit trees and single trees in a grazed parcel have
// a stock guard as well, orchards that are fenced off aside. Heights are the rule set's; set may be nil. Cost: one look at the parcels for each tree.
func GuardsFor(p *planner.Plan, s *site.Site, out *setout.Result, set *rules.Set) []Guard {
	g := newGuarding(p.Holding.Browsing, s, set)
	g.fenced = fencedOff(p)
	var list []Guard
	out.Each(func(q *setout.Plant) bool {
		var of Guard
		if q.Listed {
			of = g.browse(q)
			of.Stock = g.stock(q)
		}
		list = append(list, of)
		return true
	})
	return list
}

// guarding is what eats on a holding and the guards against it.
type guarding struct {
	site    *site.Site
	set     *rules.Set
	animals []string // that browse
	byClass map[class]*GuardSpec
	byStock map[string]*GuardSpec // by what grazes together
	made    map[string]*GuardSpec // one for each kind, height and list of animals
	classes classes
	fenced  map[string]bool // orchards and groves with a fence or wall all round, by id
}

func newGuarding(browsing []string, s *site.Site, set *rules.Set) *guarding {
	g := &guarding{site: s, set: set, byClass: map[class]*GuardSpec{}, byStock: map[string]*GuardSpec{}, made: map[string]*GuardSpec{}, classes: classes{}}
	tallest, small := 0.0, 0.0
	for _, a := range planner.Browsers {
		h, _, known := GuardHeight(set, a)
		if !known || !slices.Contains(browsing, a) {
			continue
		}
		g.animals = append(g.animals, a)
		tallest = max(tallest, h)
		if a == "voles" || a == "rabbits" || a == "hares" {
			small = max(small, h)
		}
	}
	if len(g.animals) == 0 {
		return g
	}
	rabbit, _, _ := GuardHeight(set, "rabbits")
	tree := "tube"
	if tallest >= 1.8 {
		tree = "mesh"
	}
	g.byClass[treeClass] = g.spec(tree, tallest, g.animals)
	g.byClass[graftClass] = g.spec("mesh", tallest, g.animals)
	g.byClass[bushClass] = g.byClass[graftClass]
	g.byClass[hedgeClass] = g.byClass[treeClass]
	if small > 0 {
		g.byClass[hedgeClass] = g.spec("spiral", max(small, rabbit), g.animals)
	}
	if tallest == voleCollarM {
		collar := g.spec("tube", tallest, g.animals)
		g.byClass[hedgeClass], g.byClass[graftClass], g.byClass[bushClass] = collar, collar, nil
	}
	return g
}

// spec is a guard of a kind and height against animals; the same one for the same request. Mesh lets voles through.
func (g *guarding) spec(kind string, height float64, animals []string) *GuardSpec {
	key := fmt.Sprint(kind, height, animals)
	if s := g.made[key]; s != nil {
		return s
	}
	s := &GuardSpec{Kind: kind, HeightM: height, Source: fromPractice}
	for _, a := range animals {
		h, src, known := GuardHeight(g.set, a)
		if !known || h > height || a == "voles" && kind == "mesh" {
			s.Misses = append(s.Misses, a)
			continue
		}
		s.Stops = append(s.Stops, a)
		if h == height {
			s.Source = src
		}
	}
	switch kind {
	case "mesh":
		s.How = "of fine mesh"
	case "stock guard":
		s.How = "posts, rails and netting, stock kept 0.5 m from the stem"
	}
	if kind != "mesh" && slices.Contains(s.Stops, "voles") {
		s.How = strings.TrimPrefix(s.How+", pushed 5 cm into the ground against voles", ", ")
	}
	g.made[key] = s
	return s
}

// browse is the guard against browsing of one plant.
func (g *guarding) browse(q *setout.Plant) Guard {
	if len(g.animals) == 0 {
		return Guard{}
	}
	c := g.classes.of(q)
	if c == hedgeClass && sheeted(q) {
		return Guard{Bare: "thorns pruned to the ground and sheeted need none (Teagasc)"}
	}
	if c == herbClass {
		return Guard{Bare: "too low for guards of their own: net or fence the row (common practice)"}
	}
	s := g.byClass[c]
	if s == nil {
		return Guard{Bare: "no guard keeps voles off a bush: keep the grass short and the mulch thin round it (common practice)"}
	}
	return Guard{Browse: s}
}

// sheeted reports whether the plant is a thorn of a hedge that is pruned to the ground and covered with a sheet after planting.
// Holly keeps its leaves and is not pruned.
func sheeted(q *setout.Plant) bool {
	h, ok := q.Feature.Detail.(*planner.Hedge)
	return ok && h.Sheeted && q.Use == setout.UseHedge && q.Species != nil && q.Species.Thorny.Yes() && !q.Species.Evergreen.Yes()
}

// stock is the guard that a fruit tree or single tree needs in the parcel where it stands, nil where none grazes. It is as high
// as the tallest of the animals asks. Poultry need none, and no height is known that keeps pigs off.
func (g *guarding) stock(q *setout.Plant) *GuardSpec {
	if !IsFruitTree(q) && !(q.Use == setout.UsePlant && g.classes.of(q) == treeClass) {
		return nil
	}
	f := g.site.ParcelAt(q.At)
	if f == nil || g.fenced[q.Feature.ID] {
		return nil
	}
	animals := eaters(f)
	key := strings.Join(animals, " ")
	if s, ok := g.byStock[key]; ok {
		return s
	}
	tallest := 0.0
	for _, a := range animals {
		if h, _, ok := GuardHeight(g.set, a); ok {
			tallest = max(tallest, h)
		}
	}
	var s *GuardSpec
	if tallest > 0 {
		s = g.spec("stock guard", tallest, animals)
	}
	g.byStock[key] = s
	return s
}
