package setout

import (
	"math"
	"sort"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/species"
)

// A kind is one thing that is planted: a species, perhaps a cultivar on a rootstock.
type kind struct {
	name      string
	species   *species.Species
	cultivar  string
	rootstock string
	form      string
	stock     string
	use       Use
}

// kinds are what a planting is made of, with the weight of each.
type kinds struct {
	list    []kind
	weights []float64
}

// catalogueUse is a use of ours as the catalogue's stock and spacing know it.
func catalogueUse(u Use) species.Use {
	switch u {
	case UseHedge, UseFill:
		return species.Hedge
	case UseWindbreak:
		return species.Windbreak
	case UseOrchard:
		return species.Orchard
	case UseGrove:
		return species.Grove
	case UseRow:
		return species.Row
	}
	return species.Single
}

// kinds reads a mix. A planting that names no species is of one kind without a name, so that its plants are still counted.
func (m *maker) kinds(mix []planner.Share, use Use, stock string) kinds {
	var k kinds
	for _, s := range mix {
		k.add(m.kind(planner.Tree{Species: s.Species}, use, stock), s.SharePercent)
	}
	if len(k.list) == 0 {
		k.add(kind{use: use, stock: stock}, 1)
	}
	return k
}

func (k *kinds) add(one kind, weight float64) {
	k.list = append(k.list, one)
	k.weights = append(k.weights, weight)
}

// kind looks a tree up. An unknown name, or one that fits several species, keeps its name and has no species.
func (m *maker) kind(t planner.Tree, use Use, stock string) kind {
	k := kind{name: t.Species, cultivar: t.Cultivar, rootstock: t.Rootstock, form: t.Form, use: use, stock: stock}
	if t.Species == "" {
		return k
	}
	k.species = m.find(t.Species)
	if k.stock == "" && k.species != nil {
		if w := k.species.Stock[catalogueUse(use)]; w.Known {
			k.stock = w.V
		}
	}
	return k
}

// find looks a name up, each name once: an unknown one is compared with all names, and a plan can hold many of the same.
func (m *maker) find(name string) *species.Species {
	if s, ok := m.known.Load(name); ok {
		return s.(*species.Species)
	}
	s := m.cat.Find(name).Species
	m.known.Store(name, s)
	return s
}

// name writes the i-th kind into a plant.
func (k *kinds) name(p *Plant, i int) {
	o := &k.list[i]
	p.Name, p.Species, p.Cultivar, p.Rootstock, p.Form, p.Stock, p.Use = o.name, o.species, o.cultivar, o.rootstock, o.form, o.stock, o.use
}

// Blocks that a hedge repeats hold 20 to 40 plants: as many as a person can plant from memory.
const (
	leastBlock, greatestBlock = 20, 40
	leastClump, greatestClump = 3, 5
)

// order is the kind of each of n plants of a hedge or belt. One block is planted again and again; the last takes up the
// rounding, so that the counts over the whole are those of the largest remainder.
func (k *kinds) order(n int) []int {
	counts := geo.LargestRemainder(k.weights, n)
	out := make([]int, 0, n)
	block, times := k.block(counts, n)
	if times > 0 {
		one := k.arrange(block)
		for range times {
			out = append(out, one...)
		}
		for i := range counts {
			counts[i] -= times * block[i]
		}
	}
	return append(out, k.arrange(counts)...)
}

// spread is the kind of each of n plants that stand far apart: each kind as evenly as can be.
func (k *kinds) spread(n int) []int {
	return evenly(geo.LargestRemainder(k.weights, n), func(int) (int, int) { return 1, 1 })
}

// block chooses the block: of all sizes from 20 to 40 the one that leaves the fewest plants to the last block, a kind that the
// block leaves out counting as left as well; of equals the shortest. times is how often it is planted whole.
func (k *kinds) block(counts []int, n int) (best []int, times int) {
	if n < 2*leastBlock || len(counts) == 1 {
		return nil, 0
	}
	least := math.MaxInt
	for size := leastBlock; size <= greatestBlock; size++ {
		b := geo.LargestRemainder(k.weights, size)
		often, missing := n, 0
		for i, c := range counts {
			if b[i] > 0 {
				often = min(often, c/b[i])
			} else {
				missing += 4 * c
			}
		}
		if left := n - often*size + missing; often > 0 && left < least {
			best, times, least = b, often, left
		}
	}
	return best, times
}

// arrange puts the plants of one block in order: each kind spread evenly, slow and shade-shy kinds in clumps of 3 to 5, where
// their neighbours do not smother them. The kind that there is most of is the ground for the rest and is never clumped.
func (k *kinds) arrange(counts []int) []int {
	most := 0
	for i, c := range counts {
		if c > counts[most] {
			most = i
		}
	}
	return evenly(counts, func(i int) (int, int) {
		if i != most && clumps(k.list[i].species) {
			return leastClump, greatestClump
		}
		return 1, 1
	})
}

// clumps tells whether a species is planted in clumps: slow to grow, or with little tolerance of shade (a score of 2 or less
// of 5). Nothing is said of a species that the catalogue does not know.
func clumps(s *species.Species) bool {
	if s == nil {
		return false
	}
	return s.GrowthClass.Known && s.GrowthClass.V == "slow" || s.ShadeTolerance.Known && s.ShadeTolerance.V <= 2
}

// evenly spreads kinds over a line: each kind is cut into groups between the least and greatest size that group gives for it
// (fewer where there are fewer plants), and the groups of a kind with g of them stand at shares (j+1/2)/g of the line. Where
// two stand at the same share, the kind with more groups goes first, then the one named first.
func evenly(counts []int, group func(kind int) (least, greatest int)) []int {
	type unit struct {
		kind, size, groups int
		at                 float64
	}
	var units []unit
	total := 0
	for i, c := range counts {
		if c == 0 {
			continue
		}
		total += c
		least, greatest := group(i)
		g := groupsOf(c, least, greatest)
		for j := range g {
			size := c*(j+1)/g - c*j/g
			units = append(units, unit{i, size, g, (float64(j) + 0.5) / float64(g)})
		}
	}
	sort.SliceStable(units, func(a, b int) bool {
		switch d := units[a].at - units[b].at; {
		case d < -1e-12:
			return true
		case d > 1e-12:
			return false
		case units[a].groups != units[b].groups:
			return units[a].groups > units[b].groups
		}
		return units[a].kind < units[b].kind
	})
	out := make([]int, 0, total)
	for _, u := range units {
		for range u.size {
			out = append(out, u.kind)
		}
	}
	return out
}

// groupsOf is into how many groups c plants are cut so that each holds from least to greatest, about the middle of the two.
// Fewer than least make one group; a number that cannot be cut so (such as 8 by 5 to 7) makes groups as near as can be.
func groupsOf(c, least, greatest int) int {
	middle := float64(least+greatest) / 2
	g := max(1, int(math.Round(float64(c)/middle)))
	for g > 1 && c/g < least {
		g--
	}
	for (c+g-1)/g > greatest && c/(g+1) >= least {
		g++
	}
	return g
}
