package wood

import (
	"fmt"
	"slices"
)

// The uses of wood, as holding.uses names them.
const (
	UseLogs    = "logs"
	UseMulch   = "mulch"
	UseCompost = "compost"
	UseBedding = "bedding"
	UsePaths   = "paths"
)

// chipUses are the uses of chip, in the order in which they are listed.
var chipUses = []string{UseMulch, UseCompost, UseBedding, UsePaths}

// An Ingredient is a mass of something that goes into a heap.
type Ingredient struct {
	Kg               float64 // wet
	Carbon, Nitrogen float64 // percent of dry mass
	Moisture         float64 // percent of wet mass
}

// MixOf is the carbon to nitrogen ratio and the moisture of a heap: sum(Q C (100-M)) / sum(Q N (100-M)), and sum(Q M)/sum(Q)
// (Cornell University, Getting the right mix).
func MixOf(of ...Ingredient) (cn, moisture float64) {
	var c, n, w, q float64
	for _, i := range of {
		c += i.Kg * i.Carbon * (100 - i.Moisture)
		n += i.Kg * i.Nitrogen * (100 - i.Moisture)
		w += i.Kg * i.Moisture
		q += i.Kg
	}
	return c / n, w / q
}

// ForMoisture is how many kg of b go with a to reach a moisture, which must lie between theirs.
func ForMoisture(a, b Ingredient, goal float64) (float64, error) {
	if !between(goal, a.Moisture, b.Moisture) {
		return 0, fmt.Errorf("a moisture of %g percent cannot be reached by mixing %g and %g percent", goal, a.Moisture, b.Moisture)
	}
	return a.Kg * (goal - a.Moisture) / (b.Moisture - goal), nil
}

// ForRatio is how many kg of b go with a to reach a ratio of carbon to nitrogen, which must lie between theirs.
func ForRatio(a, b Ingredient, goal float64) (float64, error) {
	ra, rb := a.Carbon/a.Nitrogen, b.Carbon/b.Nitrogen
	if !between(goal, ra, rb) {
		return 0, fmt.Errorf("a ratio of %g cannot be reached by mixing %.0f and %.0f", goal, ra, rb)
	}
	return a.Kg * a.Nitrogen * (goal - ra) * (100 - a.Moisture) / (b.Nitrogen * (rb - goal) * (100 - b.Moisture)), nil
}

func between(v, a, b float64) bool { return v > min(a, b) && v < max(a, b) }

// MaterialNamed is a row of compost.csv.
func MaterialNamed(name string) (Material, bool) {
	for _, m := range data().materials {
		if m.Name == name {
			return m, true
		}
	}
	return Material{}, false
}

// Of is a mass of the material.
func (m Material) Of(kg float64) Ingredient {
	return Ingredient{Kg: kg, Carbon: m.Carbon, Nitrogen: m.N, Moisture: m.Moisture}
}

// Browns is the chip that goes with green stuff in the compost, both ways.
type Browns struct {
	GreenM3    float64 `json:"green_m3"`
	PracticeM3 float64 `json:"practice_m3"` // two parts to one by volume
	FormulaM3  float64 `json:"formula_m3"`  // to a ratio of 30
	// What the two heaps come to.
	PracticeCN, PracticeMoisture float64
	FormulaCN, FormulaMoisture   float64
}

// BrownsFor reckons the chip for a volume of green stuff, taken for grass clippings, with chip of one's own hedges.
func BrownsFor(greenM3 float64) Browns {
	b := Browns{GreenM3: greenM3}
	if greenM3 <= 0 {
		return b
	}
	green, _ := MaterialNamed("Grass clippings")
	chip, _ := MaterialNamed("Own hedge chip")
	g := green.Of(greenM3 * green.KgM3)
	b.PracticeM3 = greenM3 * figure("browns_per_green").Mid
	b.PracticeCN, b.PracticeMoisture = MixOf(g, chip.Of(b.PracticeM3*chip.KgM3))
	if kg, err := ForRatio(g, chip.Of(0), figure("compost_cn").Mid); err == nil {
		b.FormulaM3 = kg / chip.KgM3
		b.FormulaCN, b.FormulaMoisture = MixOf(g, chip.Of(kg))
	}
	return b
}

// keptOut tells which uses a part's chip is kept out of, and whether chip with any of it in is kept out as a whole.
func keptOut(p Part) (rules []useRule) {
	for _, u := range data().uses {
		if is(p.Species, u.species) {
			rules = append(rules, u)
		}
	}
	return rules
}

// chipOf shares the brash of a section out by the uses it may go to: the key has one letter y or n for each of chipUses.
func chipOf(s *Section) map[string]float64 {
	parts := s.Mix
	if len(parts) == 0 {
		parts = []Part{{Name: "mixed wood", Share: 1}}
	}
	banned := map[string]bool{}
	for _, p := range parts {
		for _, r := range keptOut(p) {
			if r.whole && p.Share > 0 {
				for _, u := range r.out {
					banned[u] = true
				}
			}
		}
	}
	out := map[string]float64{}
	for _, p := range parts {
		not := []string{}
		for _, r := range keptOut(p) {
			not = append(not, r.out...)
		}
		key := ""
		for _, u := range chipUses {
			if banned[u] || slices.Contains(not, u) {
				key += "n"
			} else {
				key += "y"
			}
		}
		out[key] += p.Share
	}
	return out
}

// A pool is dry tonnes that may go to some uses.
type pool struct {
	may string // as the keys of chipOf
	t   float64
}

// pools are kept in a fixed order, those with the fewest uses first, so that what fits little is given out first.
type pools []pool

func (p *pools) add(may string, t float64) {
	for i := range *p {
		if (*p)[i].may == may {
			(*p)[i].t += t
			return
		}
	}
	*p = append(*p, pool{may, t})
	slices.SortFunc(*p, func(a, b pool) int {
		if x, y := open(a.may), open(b.may); x != y {
			return x - y
		}
		if a.may < b.may {
			return -1
		}
		return 1
	})
}

func open(may string) int {
	n := 0
	for _, c := range may {
		if c == 'y' {
			n++
		}
	}
	return n
}

// take gives up to want tonnes to a use, and says how much that was.
func (p pools) take(use string, want float64) float64 {
	k, got := slices.Index(chipUses, use), 0.0
	for i := range p {
		if k < 0 || p[i].may[k] != 'y' {
			continue
		}
		t := min(want-got, p[i].t)
		p[i].t -= t
		got += t
	}
	return got
}

func (p pools) sum() float64 {
	s := 0.0
	for _, q := range p {
		s += q.t
	}
	return s
}
