package lists

import (
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
	"quickthorn/planner/species"
)

// A GuardSpec is one kind of guard: how high it is and what it keeps off.
type GuardSpec struct {
	Kind    string  // spiral, tube, mesh, stock guard
	HeightM float64 // above the ground
	Stops   []string
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
	for _, s := range []*GuardSpec{g.Browse, g.Stock} {
		if s == nil {
			continue
		}
		for _, a := range s.Stops {
			if a == animal {
				return true
			}
		}
	}
	return false
}

var (
	fromForestry = planner.Source{Code: "FORGUARD", Text: "forestry guidance on tree guards: rabbit 0.6 m, hare 0.75 m, roe 1.2 m, red and fallow 1.8 m", Confidence: planner.FromMemory}
	fromPractice = planner.Source{Code: "PRACTICE", Confidence: planner.CommonPractice}
	fromTE8      = planner.Source{Code: "TE8", Text: "Countryside Stewardship (England), TE8 Tree guard (wood post and wire): at least 1.5 m, stock kept 0.5 m from the stem",
		URL: "https://www.gov.uk/countryside-stewardship-grants/tree-guard-wood-post-and-wire-te8", Confidence: planner.Published}
	fromTE7 = planner.Source{Code: "TE7", Text: "Countryside Stewardship (England), TE7 Tree guard (wood post and rail), read in a copy: at least 2.0 m, stock kept 0.5 m from the stem",
		Confidence: planner.Published}
	fromScotGuard = planner.Source{Code: "SCOTGUARD", Text: "Scottish rural payments, guidance for post and rail tree guards, 2015-16: goats 1.8 m, horses and cattle 1.8 m", Confidence: planner.Published}
)

// browseHeights are the heights that keep an animal off the leaves, in metres. Voles gnaw at the ground; a collar of 0.2 m
// is common practice.
var browseHeights = map[string]float64{"voles": 0.2, "rabbits": 0.6, "hares": 0.75, "roe": 1.2, "red": 1.8, "fallow": 1.8}

// BrowseHeight is how high a guard has to be against one of planner.Browsers, in metres, and where that is from. It is false
// for any other animal.
func BrowseHeight(animal string) (float64, planner.Source, bool) {
	h, ok := browseHeights[animal]
	if animal == "voles" {
		return h, fromPractice, ok
	}
	return h, fromForestry, ok
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
// for them). Hedge plants have spirals, trees tubes (mesh where they are grafted, or 1.8 m is needed), bushes mesh, as high as
// the tallest animal of `browsing` asks for trees and bushes. A spiral is 0.6 m, or 0.75 m where hares browse: it does not stop
// deer, and Stops says so; where nothing smaller than deer browses, a hedge has guards of their height instead. Thorns of a
// hedge that is pruned to the ground and sheeted have none (Teagasc). Fruit trees and single trees in a grazed parcel have a
// stock guard as well. Cost: one look at the parcels for each tree.
func GuardsFor(p *planner.Plan, s *site.Site, out *setout.Result) []Guard {
	b := newBrowse(p.Holding.Browsing)
	var list []Guard
	out.Each(func(q *setout.Plant) bool {
		var g Guard
		if q.Listed {
			g = b.guard(q)
			g.Stock = stockGuardAt(s, q)
		}
		list = append(list, g)
		return true
	})
	return list
}

// browse is what browses on a holding and the guards against it, one per class of plant.
type browse struct {
	any     bool
	byClass map[class]*GuardSpec
}

func newBrowse(animals []string) *browse {
	b := &browse{byClass: map[class]*GuardSpec{}}
	has := map[string]bool{}
	tallest, small := 0.0, 0.0
	for _, a := range animals {
		h, known := browseHeights[a]
		if !known {
			continue
		}
		b.any, has[a] = true, true
		tallest = max(tallest, h)
		if h < browseHeights["roe"] {
			small = max(small, h)
		}
	}
	if !b.any {
		return b
	}
	tall := func(kind string) *GuardSpec { return newGuard(kind, tallest, has) }
	b.byClass[hedgeClass] = newGuard("spiral", max(small, browseHeights["rabbits"]), has)
	b.byClass[treeClass], b.byClass[graftClass], b.byClass[bushClass] = tall("tube"), tall("mesh"), tall("mesh")
	if tallest >= browseHeights["red"] {
		b.byClass[treeClass] = tall("mesh")
	}
	if small == 0 {
		b.byClass[hedgeClass] = b.byClass[treeClass]
	}
	if tallest == browseHeights["voles"] {
		collar := newGuard("tube", tallest, has)
		b.byClass[hedgeClass], b.byClass[treeClass], b.byClass[graftClass] = collar, collar, collar
		b.byClass[bushClass] = nil
	}
	return b
}

// newGuard is a guard of a kind and height, with those of the animals that it stops. Mesh lets voles through.
func newGuard(kind string, height float64, has map[string]bool) *GuardSpec {
	g := &GuardSpec{Kind: kind, HeightM: height, Source: fromForestry}
	if height == browseHeights["voles"] {
		g.Source = fromPractice
	}
	for _, a := range planner.Browsers {
		if has[a] && browseHeights[a] <= height && !(a == "voles" && kind == "mesh") {
			g.Stops = append(g.Stops, a)
		}
	}
	switch {
	case kind == "spiral":
		g.How = "with a cane"
	case kind == "mesh":
		g.How = "fine mesh, on canes or stakes"
	case has["voles"]:
		g.How = "pushed 5 cm into the ground against voles"
	}
	return g
}

// guard is the guard against browsing of one plant.
func (b *browse) guard(q *setout.Plant) Guard {
	if !b.any {
		return Guard{}
	}
	c := classOf(q)
	if c == hedgeClass && sheeted(q) {
		return Guard{Bare: "a thorn pruned to the ground and sheeted"}
	}
	if c == herbClass {
		return Guard{Bare: "too low for a guard of its own: net or fence the row"}
	}
	g := b.byClass[c]
	if g == nil {
		return Guard{Bare: "no guard of its own keeps voles off a bush: keep the grass short and the mulch thin round it"}
	}
	return Guard{Browse: g}
}

// sheeted reports whether the plant is a thorn of a hedge that is pruned to the ground and covered with a sheet after planting.
// Holly keeps its leaves and is not pruned.
func sheeted(q *setout.Plant) bool {
	h, ok := q.Feature.Detail.(*planner.Hedge)
	return ok && h.Sheeted && q.Species != nil && q.Species.Thorny.Yes() && !q.Species.Evergreen.Yes()
}

// stockGuards are the guards against grazing animals, the tallest first.
var stockGuards = []struct {
	animals []string
	spec    GuardSpec
}{
	{[]string{"cattle"}, GuardSpec{Kind: "stock guard", HeightM: 2.0, Stops: []string{"cattle", "horses", "goats", "sheep"}, Source: fromTE7, How: "4 posts and rails, stock kept 0.5 m from the stem"}},
	{[]string{"horses", "goats"}, GuardSpec{Kind: "stock guard", HeightM: 1.8, Stops: []string{"horses", "goats", "sheep"}, Source: fromScotGuard, How: "4 posts and rails"}},
	{[]string{"sheep"}, GuardSpec{Kind: "stock guard", HeightM: 1.5, Stops: []string{"sheep"}, Source: fromTE8, How: "3 posts or more and netting, stock kept 0.5 m from the stem"}},
}

// stockGuardAt is the guard that a fruit tree or single tree needs in the parcel where it stands, nil where none grazes. Poultry
// need none, and no guard of posts and netting is known to keep pigs off.
func stockGuardAt(s *site.Site, q *setout.Plant) *GuardSpec {
	if c := classOf(q); !IsFruitTree(q) && !(q.Use == setout.UsePlant && c == treeClass) {
		return nil
	}
	f := s.ParcelAt(q.At)
	if f == nil {
		return nil
	}
	grazed := " " + strings.Join(f.Detail.(*planner.Parcel).GrazedBy, " ") + " "
	for i := range stockGuards {
		for _, a := range stockGuards[i].animals {
			if strings.Contains(grazed, " "+a+" ") {
				return &stockGuards[i].spec
			}
		}
	}
	return nil
}
