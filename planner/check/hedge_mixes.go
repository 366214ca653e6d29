package check

import (
	"math"
	"slices"
	"strings"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
	"quickthorn/planner/species"
)

// A part is one kind of plant in a mix: shares of one species under several names are added up.
type part struct {
	species *species.Species // nil where the name is unknown or fits several
	name    string           // English, else as the plan writes it
	percent float64
	plants  int // set out, hedgerow trees aside
}

// partsOf reads a mix.
func partsOf(cat *species.Catalogue, mix []planner.Share) []part {
	var out []part
	for _, s := range mix {
		one := part{species: cat.Find(s.Species).Species, name: strings.TrimSpace(s.Species), percent: s.SharePercent}
		if one.species != nil {
			one.name = one.species.Name()
		}
		k := slices.IndexFunc(out, func(p part) bool {
			return p.species == one.species && (p.species != nil || strings.EqualFold(p.name, one.name))
		})
		if k < 0 {
			out = append(out, one)
			continue
		}
		out[k].percent += one.percent
	}
	return out
}

// count counts the plants of a layout that have that use, and how many there are in all.
func count(parts []part, l *setout.Layout, use setout.Use) (total int) {
	at := map[string]int{}
	for i, q := range parts {
		if q.species == nil {
			at[strings.ToLower(q.name)] = i + 1
		}
	}
	of := map[*species.Species]int{}
	for i, q := range parts {
		if q.species != nil {
			of[q.species] = i + 1
		}
	}
	for i := range l.Plants {
		x := &l.Plants[i]
		if x.Use != use {
			continue
		}
		total++
		k := of[x.Species]
		if x.Species == nil {
			k = at[strings.ToLower(strings.TrimSpace(x.Name))]
		}
		if k > 0 {
			parts[k-1].plants++
		}
	}
	return total
}

// greatestPart is the part with the greatest share, the first of equals; nil for an empty mix.
func greatestPart(parts []part) *part {
	var best *part
	for i := range parts {
		if best == nil || parts[i].percent > best.percent+1e-9 {
			best = &parts[i]
		}
	}
	return best
}

// sharesOf writes parts back as a mix in tenths of a percent that add up to 100 exactly.
func sharesOf(parts []part) []planner.Share {
	weights := make([]float64, len(parts))
	for i, q := range parts {
		weights[i] = q.percent
	}
	var out []planner.Share
	for i, n := range geo.LargestRemainder(weights, 1000) {
		if n > 0 {
			out = append(out, planner.Share{Species: parts[i].name, SharePercent: float64(n) / 10})
		}
	}
	return out
}

// scaled gives the parts that in selects the share percent together, and the others the rest; false where one of the two is
// empty or the greatest share would then be over cap.
func scaled(parts []part, in func(part) bool, percent, cap float64) ([]part, bool) {
	var inside, outside float64
	for _, q := range parts {
		if in(q) {
			inside += q.percent
		} else {
			outside += q.percent
		}
	}
	if inside <= 0 || percent < 100 && outside <= 0 {
		return nil, false
	}
	var out []part
	for _, q := range parts {
		if in(q) {
			q.percent *= percent / inside
		} else {
			q.percent *= (100 - percent) / outside
		}
		if q.percent > cap+1e-9 {
			return nil, false
		}
		if q.percent > 1e-9 {
			out = append(out, q)
		}
	}
	return out, true
}

// capped lowers the greatest share to the cap and gives what is left to the others in proportion, so that of n plants none is
// over it either; false where there is nothing to give it to.
func capped(parts []part, cap float64, n int) ([]part, bool) {
	top := greatestPart(parts)
	if top == nil || len(parts) < 2 {
		return nil, false
	}
	name := top.name
	is := func(q part) bool { return q.name == name }
	for want := cap; want > 0; want -= 0.1 {
		out, ok := scaled(parts, is, want, cap)
		if !ok {
			return nil, false
		}
		weights := make([]float64, len(out))
		for i, q := range out {
			weights[i] = q.percent
		}
		most := 0
		for _, k := range geo.LargestRemainder(weights, n) {
			most = max(most, k)
		}
		if n == 0 || float64(most) <= cap*float64(n)/100+1e-9 {
			return out, true
		}
		if cap-want > math.Max(2, 200/float64(n)) {
			break
		}
	}
	return nil, false
}

// nativeTo is the country whose natives the rule set asks for, and how the catalogue answers for it. Ireland's rule sets ask for
// Ireland, every other for Britain.
func nativeTo(set string) (place, key string, of func(*species.Species) species.Word) {
	if strings.Contains(set, "ireland") {
		return "Ireland", "ireland", func(s *species.Species) species.Word { return s.NativeIreland }
	}
	return "Britain", "britain", func(s *species.Species) species.Word { return s.NativeBritain }
}

// hedgeSpecies names up to most native species for a hedge that suit the ground in its middle, best first; none of them in but.
func (p *Pass) hedgeSpecies(h *hedge, thorny bool, but []part, most int) []string {
	u := p.Site.At(h.middle())
	_, native, _ := nativeTo(p.Set.Name())
	want := species.Want{Ground: Moisture(u, h.detail.RaisedM), Soil: u.Soil, PH: u.PH, Exposure: u.Exposure, Use: species.Hedge,
		Native: native, Thorny: thorny, Country: p.Set.Name()}
	_, want.Stock = p.grazers(h, 5)
	ranked := p.Catalogue.Rank(want)
	fits := map[*species.Species]bool{}
	for _, r := range ranked {
		fits[r.Species] = !r.Barred && !slices.ContainsFunc(but, func(q part) bool { return q.species == r.Species })
	}
	var out []string
	add := func(s *species.Species) {
		if s != nil && fits[s] && len(out) < most {
			out, fits[s] = append(out, s.Name()), false
		}
	}
	// What hedges on such ground are made of comes first, then whatever else bears it.
	for _, s := range mixFor(u, want.Ground, p.Set.Name()).mix {
		add(p.Catalogue.Find(s.Species).Species)
	}
	for _, r := range ranked {
		add(r.Species)
	}
	return out
}

// A workingMix is a mix put together for a kind of ground, and what that ground is called.
type workingMix struct {
	name string
	mix  []planner.Share
}

// mixFor is a mix for a hedge on that ground. No percentages have been published for such ground; these are put together from the
// species' tolerances, each within a greatest share of 70 percent.
func mixFor(u site.Under, m planner.Moisture, set string) workingMix {
	shares := func(list ...any) []planner.Share {
		var out []planner.Share
		for i := 0; i+1 < len(list); i += 2 {
			out = append(out, planner.Share{Species: list[i].(string), SharePercent: float64(list[i+1].(int))})
		}
		return out
	}
	switch {
	case m.Rank() >= planner.Wet.Rank():
		return workingMix{"wet clay", shares("grey willow", 25, "common alder", 15, "blackthorn", 20, "hawthorn", 20, "guelder rose", 10, "alder buckthorn", 5, "dog rose", 5)}
	case u.Exposure == planner.Coastal:
		return workingMix{"the coast", shares("blackthorn", 45, "hawthorn", 25, "gorse", 15, "grey willow", 10, "dog rose", 5)}
	case u.Exposure == planner.Exposed:
		return workingMix{"exposed ground", shares("hawthorn", 50, "blackthorn", 25, "rowan", 10, "grey willow", 10, "dog rose", 5)}
	case m == planner.Dry || u.Soil == planner.Sand || u.Soil == planner.Chalk:
		if place, _, _ := nativeTo(set); place == "Ireland" { // field maple is no native there
			return workingMix{"dry, light ground", shares("hawthorn", 50, "blackthorn", 15, "hazel", 20, "holly", 5, "spindle", 5, "dog rose", 5)}
		}
		return workingMix{"dry, light ground", shares("hawthorn", 50, "blackthorn", 15, "hazel", 10, "field maple", 10, "holly", 5, "spindle", 5, "dog rose", 5)}
	}
	return workingMix{"heavy, moist ground", shares("hawthorn", 45, "blackthorn", 20, "hazel", 15, "guelder rose", 10, "spindle", 5, "dog rose", 5)}
}

// mixText writes a mix in words: "hawthorn 45, blackthorn 20".
func mixText(mix []planner.Share) string {
	var out []string
	for _, s := range mix {
		out = append(out, s.Species+" "+figure(s.SharePercent))
	}
	return strings.Join(out, ", ")
}

// partNames are the names of parts.
func partNames(parts []part) []string {
	var out []string
	for _, q := range parts {
		out = append(out, q.name)
	}
	return out
}
