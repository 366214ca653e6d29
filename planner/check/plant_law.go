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

// A sortCount is how many plants of one species a feature is to have.
type sortCount struct {
	feature *planner.Feature
	species *species.Species
	count   int
	first   *setout.Plant
	maybe   bool // the plan's name fits several species, this one among them
}

// plannedSpecies lists every planned species of every feature with its number of plants, in the order of features and plants.
func (p *Pass) plannedSpecies() []*sortCount {
	var out []*sortCount
	for _, sp := range p.Shared.spans {
		by := map[*species.Species]*sortCount{}
		for i := sp.lo; i < sp.hi; i++ {
			x := p.Shared.Plants[i]
			if !x.Listed {
				continue
			}
			for _, s := range p.Shared.May(x) {
				c := by[s]
				if c == nil {
					c = &sortCount{feature: sp.feature, species: s, first: x, maybe: x.Species == nil}
					by[s] = c
					out = append(out, c)
				}
				c.count++
			}
		}
	}
	return out
}

// speciesFinding starts a finding about one species of one feature.
func (c *sortCount) finding(severity planner.Severity, source planner.Source) planner.Finding {
	return At(planner.Finding{Severity: severity, Features: []string{c.feature.ID}, Place: c.species.ID, Count: c.count, Source: source}, c.first.At)
}

func plantRegulated() *Rule {
	return &Rule{
		ID: "plant.regulated", Title: "Nothing that the law forbids to plant", Severity: planner.Stop,
		Why: "Some species spread so far that planting them outside a garden is an offence. The lists differ from country to country: the rule set's own decides, and the general one takes England's and " +
			"says which others differ. A list that was only recalled is a warning.",
		Cautions: []string{"Not legal advice: check the list in force with the nature conservation body (Natural England, Natural Resources Wales, NatureScot, NIEA, NPWS)."},
		Run: func(p *Pass) {
			for _, c := range p.plannedSpecies() {
				p.law(c)
			}
		},
	}
}

// countriesOf are the countries whose law a rule set stands for: its own; for `general` and for a user's own file England's.
func countriesOf(set string) string {
	switch set {
	case "ireland", "scotland", "northern-ireland", "wales", "england":
		return set
	}
	return "england"
}

func (p *Pass) law(c *sortCount) {
	here, elsewhere := []species.Law{}, []species.Law{}
	for _, l := range c.species.Regulated {
		if slices.Contains(l.Countries, countriesOf(p.Set.Name())) {
			here = append(here, l)
		} else {
			elsewhere = append(elsewhere, l)
		}
	}
	maybe := ""
	if c.maybe {
		maybe = fmt.Sprintf(" %q may mean it.", c.first.Name)
	}
	for _, l := range here {
		severity := planner.Stop
		if weak(l.Source) || c.maybe {
			severity = planner.Warn
		}
		f := c.finding(severity, l.Source)
		f.Message = fmt.Sprintf("%s (%s) is regulated: %s. %s %s.%s Plant something else.", upperFirst(c.species.Name()), c.species.Botanical, l.Text,
			quoted(c.feature), "has "+countOf(c.count, "plant")+" of it", maybe)
		if !c.maybe {
			f.Fix = p.instead(c.first, func(*species.Species) bool { return true })
		}
		p.Report(f)
	}
	if len(here) > 0 {
		return
	}
	for _, l := range elsewhere {
		f := c.finding(planner.Note, l.Source)
		f.Place += ":elsewhere"
		f.Message = fmt.Sprintf("%s (%s) is regulated in %s: %s. That law does not hold under the rule set %s, but think where its seed will go. %s has %s of it.%s",
			upperFirst(c.species.Name()), c.species.Botanical, listWords(countryNames(l.Countries), "and"), l.Text, p.Set.Name(), quoted(c.feature), countOf(c.count, "plant"), maybe)
		p.Report(f)
	}
}

func countryNames(list []string) []string {
	var out []string
	for _, c := range list {
		var words []string
		for _, w := range strings.Split(c, "-") {
			words = append(words, upperFirst(w))
		}
		out = append(out, strings.Join(words, " "))
	}
	return out
}

func plantDisease() *Rule {
	return &Rule{
		ID: "plant.disease", Title: "No planting of what a disease will take", Severity: planner.Warn,
		Why: "Ash planted today dies of dieback, and some others should come from clean stock only. Where planting is advised against that is a warning; a disease that a species is open to is a " +
			"note, so that you buy from a nursery with passports and know what to look for.",
		Cautions: []string{"Keep the plant passports with the planting list, and report a notifiable disease to the plant health service."},
		Run: func(p *Pass) {
			var open []*sortCount
			for _, c := range p.plannedSpecies() {
				switch {
				case c.species.PlantingAdvice.Known:
					p.advisedAgainst(c)
				case c.species.Disease.Known && !c.maybe:
					open = append(open, c)
				}
			}
			p.openTo(open)
		},
	}
}

// advisedAgainst reports a species that should not be planted, or from clean stock only.
func (p *Pass) advisedAgainst(c *sortCount) {
	advice, severity, maybe := c.species.PlantingAdvice, planner.Warn, ""
	if c.maybe {
		severity, maybe = planner.Note, fmt.Sprintf(" %q may mean it.", c.first.Name)
	}
	f := c.finding(severity, advice.Source)
	f.Message = fmt.Sprintf("%s of %s in %s: %s.%s", countOf(c.count, "plant"), c.species.Name(), quoted(c.feature), strings.TrimSuffix(advice.V, "."), maybe)
	if strings.HasPrefix(advice.V, "do not plant") {
		f.Message += " Choose another species; `quickthorn species` ranks what suits the ground."
		if !c.maybe {
			f.Fix = p.instead(c.first, func(*species.Species) bool { return true })
		}
	} else {
		f.Message += " Ask the nursery for the plant passport and where the stock was raised, or choose another species."
	}
	p.Report(f)
}

// openTo notes which diseases are on record: one note for each species over the whole plan, and a single one for all of which they
// were only recalled.
func (p *Pass) openTo(list []*sortCount) {
	sort.SliceStable(list, func(i, j int) bool { return list[i].species.ID < list[j].species.ID })
	var recalled []*sortCount
	for len(list) > 0 {
		n := 1
		for n < len(list) && list[n].species == list[0].species {
			n++
		}
		if weak(list[0].species.Disease.Source) {
			recalled = append(recalled, list[:n]...)
		} else {
			f := openFinding(list[:n])
			var in []string
			for _, c := range list[:n] {
				in = append(in, quoted(c.feature))
			}
			if len(in) > 6 {
				in = append(in[:5:5], fmt.Sprintf("%d more", len(in)-5))
			}
			f.Message = fmt.Sprintf("On record for %s (%s in %s): %s. Buy certified stock, and look at it each summer.",
				list[0].species.Name(), countOf(f.Count, "plant"), listWords(in, "and"), diseases(list[0].species))
			p.Report(f)
		}
		list = list[n:]
	}
	if len(recalled) == 0 {
		return
	}
	f := openFinding(recalled)
	f.Place = "recalled"
	var of []string
	for i, c := range recalled {
		if i == 0 || c.species != recalled[i-1].species {
			of = append(of, c.species.Name()+" ("+diseases(c.species)+")")
		}
	}
	f.Message = fmt.Sprintf("Diseases recalled from handbooks, not read again, for plants of this plan: %s. Buy certified stock, and look at it each summer.", listWords(of, "and"))
	p.Report(f)
}

// openFinding is a note on all that is counted.
func openFinding(list []*sortCount) planner.Finding {
	f := list[0].finding(planner.Note, list[0].species.Disease.Source)
	f.Features, f.Count = nil, 0
	for _, c := range list {
		f.Count += c.count
		if !slices.Contains(f.Features, c.feature.ID) {
			f.Features = append(f.Features, c.feature.ID)
		}
	}
	sort.Strings(f.Features)
	return f
}

func diseases(s *species.Species) string {
	return strings.ReplaceAll(strings.TrimSuffix(s.Disease.V, "."), ";", ",")
}

func plantSuckers() *Rule {
	return &Rule{
		ID: "plant.suckers", Title: "What suckers stands clear of beds", Severity: planner.Note,
		Why: "Blackthorn, aspen, grey alder and others send up shoots from the root metres away, and in a bed they are there for ever. No distance has been published; looked at is what is planted nearer " +
			"to a bed than its own grown width, or nearer than the holding's own limit.",
		Limits: []string{"bed_least_m"},
		Run:    suckersBesideBeds,
	}
}

func suckersBesideBeds(p *Pass) {
	own, known := p.Limit("bed_least_m")
	type sucker struct {
		yes    bool
		spread species.Num
	}
	sorts := perSort(p.Shared, func(x *setout.Plant) sucker {
		s := sucker{spread: p.Shared.grownSpread(p.Catalogue, x)}
		for _, sp := range p.Shared.May(x) {
			s.yes = s.yes || sp.Suckers.Yes()
		}
		return s
	})
	reach := func(i int) float64 {
		s := sorts[p.Shared.sortOf[i]]
		switch {
		case !s.yes:
			return 0
		case known:
			return own.Value + planner.Tolerance
		}
		return s.spread.V + planner.Tolerance
	}
	most := own.Value
	for _, s := range sorts {
		most = math.Max(most, s.spread.V)
	}
	o := p.Shared.Obstacles(planner.KindBed)
	var found tallies
	p.EachNear(o, most+1, listed, reach, func(i, k int, n Nearness) {
		x, need := p.Shared.Plants[i], own.Value
		if !known {
			need = sorts[p.Shared.sortOf[i]].spread.V
		}
		if need-n.DistM <= planner.Tolerance {
			return
		}
		t, worst := found.add(x, o.List[k], "", need-n.DistM)
		if worst {
			t.dist, t.need, t.limit = n.DistM, need, own
		}
	})
	for _, t := range found.list {
		f := t.finding(planner.Note)
		name := plantName(t.plant)
		if !known {
			f.Source = planner.Source{Text: "no distance published; its own grown width is used (Quickthorn, its own rule)", Confidence: planner.Derived}
		}
		f.Message = fmt.Sprintf("%s. %s suckers, and nearer than %s its shoots will come up among the crops. Leave a mown strip between, or plant what does not sucker.",
			t.stands("the bed "+quoted(t.other)), upperFirst(name), exactly(t.need))
		p.Report(f)
	}
}
