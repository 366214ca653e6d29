package check

import (
	"fmt"
	"slices"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
	"quickthorn/planner/species"
)

func groundMoisture() *Rule {
	return &Rule{
		ID:    "ground.moisture",
		Title: "Each plant bears the wetness of the ground it is to stand on",
		Why: "Roots that stand in water drown, and some kinds stand more of it than others. Each plant that is " +
			"to be planted is held against the ground under it, one class drier where it is raised by 0.1 m and more (not on peat, nor where water " +
			"stands). What stands there already has shown what it bears and is not looked at. The verdicts are a rule of ours on published scores.",
		Severity: planner.Warn,
		Limits:   []string{"raised_least_m", "mound_m"},
		Sources: []planner.Source{
			{Text: "Hill, Preston and Roy 2004, PLANTATT: Ellenberg F of each species", Confidence: planner.Published},
			{Text: "Niinemets and Valladares 2006, Ecological Monographs 76:521, appendix A: waterlogging and drought scores", Confidence: planner.Published},
			{Text: "Royal Horticultural Society, wet soils and planting on clay, profile 152: a slightly raised mound", Confidence: planner.Published},
		},
		Cautions: []string{"Change the plant, not the ground: a new drain, and work on a wetland, need consents of their own. Ask before you dig."},
		Run:      runGroundMoisture,
	}
}

// A groundFit is how the plants of a planting do on the ground under them.
type groundFit struct {
	group   *planting
	worst   species.Verdict
	which   []int              // the plants with that verdict
	classes []planner.Moisture // the ground they meet, driest first, after any mound
	ease    []planner.Moisture // the ground that all plants of the planting meet
	also    int                // plants of the planting that are marginal besides
	source  planner.Source
}

// moistureWork is what the rule keeps while it runs: what suits is looked up once for each kind of place, and no more edits are made
// than findings are shown, so that a plan of 100,000 plants on the wrong ground costs no more than it must.
type moistureWork struct {
	*Pass
	suits map[string][]*species.Species
	fixes map[planner.Severity]int
	of    map[*planner.Feature][]*planting
}

// gravity orders verdicts, worst first.
func gravity(v species.Verdict) int {
	return slices.Index([]species.Verdict{species.Unsuitable, species.Marginal, species.NoVerdict, species.Suitable}, v)
}

func runGroundMoisture(p *Pass) {
	groups := p.Shared.plantings()
	m := &moistureWork{Pass: p, suits: map[string][]*species.Species{}, fixes: map[planner.Severity]int{}, of: map[*planner.Feature][]*planting{}}
	for _, g := range groups {
		m.of[g.feature] = append(m.of[g.feature], g)
	}
	var outside []string
	for _, g := range groups {
		fit := p.Shared.fitOf(g)
		if fit.worst != species.Suitable {
			m.report(fit)
		}
		for _, i := range g.plants {
			if !p.Shared.Under[i].Known {
				if n := len(outside); n == 0 || outside[n-1] != g.feature.ID {
					outside = append(outside, g.feature.ID)
				}
				break
			}
		}
	}
	if len(outside) > 0 {
		p.Report(planner.Finding{Severity: planner.Note, Features: outside, Place: "outside", Count: len(outside), Source: notStated(),
			Message: fmt.Sprintf("%s wholly or partly outside every field and patch of ground, so how wet it is there is not known; moist ground was taken. Draw the field.",
				countOf(len(outside), "planting")+verb(len(outside) > 1, " lies", " lie"))})
	}
}

// fitOf holds the plants of a planting against the ground.
func (s *Shared) fitOf(g *planting) groundFit { return s.fitRaised(g, 0) }

// fitRaised is fitOf as if each plant were raised by so much at least.
func (s *Shared) fitRaised(g *planting, raisedM float64) groundFit {
	fit := groundFit{group: g, worst: species.Suitable}
	for _, i := range g.plants {
		if wrongMoisture(s.Under[i]) {
			continue
		}
		m := Moisture(s.Under[i], max(raisedM, s.Plants[i].RaisedM))
		if !slices.Contains(fit.ease, m) {
			fit.ease = append(fit.ease, m)
		}
		v := g.species.Suits(m)
		if v.Verdict == species.Marginal {
			fit.also++
		}
		switch a, b := gravity(v.Verdict), gravity(fit.worst); {
		case a < b:
			fit.worst, fit.which, fit.classes, fit.source = v.Verdict, []int{i}, []planner.Moisture{m}, v.Source
		case a == b:
			fit.which = append(fit.which, i)
			if !slices.Contains(fit.classes, m) {
				fit.classes = append(fit.classes, m)
			}
		}
	}
	if fit.worst == species.Marginal || fit.worst == species.NoVerdict {
		fit.also = 0
	}
	byRank := func(a, b planner.Moisture) int { return a.Rank() - b.Rank() }
	slices.SortFunc(fit.classes, byRank)
	slices.SortFunc(fit.ease, byRank)
	return fit
}

// wrongMoisture reports whether the ground says how wet it is in a form that cannot be used: that has its own finding, and nothing
// is taken in its place.
func wrongMoisture(u site.Under) bool {
	return u.Basis == site.Assumed && u.Parcel != nil && u.Parcel.Wrong("moisture", "sward")
}

func (p *moistureWork) report(fit groundFit) {
	g, s := fit.group, p.Shared
	severity := planner.Note
	if fit.worst == species.Unsuitable {
		severity = planner.Warn
	}
	f := s.groundFinding(g, fit.which, severity)
	f.Source = fit.source
	who, many := s.who(g, fit.which)
	ground := moistureText(fit.classes) + " ground " + groundText(s.Under[fit.which[0]])
	if s.Plants[fit.which[0]].RaisedM > 0 && Moisture(s.Under[fit.which[0]], s.Plants[fit.which[0]].RaisedM) != s.Under[fit.which[0]].Moisture {
		ground += ", its mound counted"
	}
	if b := s.Under[fit.which[0]].Basis; b == site.FromPlan {
		ground += " (so judged by the plants that grow there)"
	} else if b == site.Assumed {
		ground += " (taken so, since nothing is stated)"
	}
	word := string(fit.worst)
	switch fit.worst {
	case species.Unsuitable:
		f.Message = fmt.Sprintf("%s %s on %s and %s not bear it.", who, verb(many, "stands", "stand"), ground, verb(many, "does", "do"))
		if fit.also > 0 {
			f.Message += fmt.Sprintf(" For %d more the ground is marginal.", fit.also)
		}
	case species.Marginal:
		f.Message = fmt.Sprintf("%s %s on %s, which is marginal for %s.", who, verb(many, "stands", "stand"), ground, verb(many, "it", "them"))
	default:
		word = "unknown"
		f.Source = noFigure()
		f.Message = fmt.Sprintf("%s %s on %s. How this species does there is not known, so it was not looked at. Ask a grower who has it on such ground.", who, verb(many, "stands", "stand"), ground)
	}
	f.Place = g.place(word)
	if fit.worst != species.NoVerdict {
		others := p.whatSuits(fit)
		f.Message += " " + p.moistureAdvice(fit, others)
		if p.fixes[severity]++; p.fixes[severity] <= MostPerRule {
			f.Fix = p.moistureFix(fit, p.of[g.feature], others)
		}
	}
	p.Report(f)
}

// moistureText names one class, or the range from the driest to the wettest: "wet", "damp to wet".
func moistureText(classes []planner.Moisture) string {
	words := make([]string, len(classes))
	for i, m := range classes {
		words[i] = string(m)
	}
	if len(words) > 1 {
		return words[0] + " to " + words[len(words)-1]
	}
	return strings.Join(words, "")
}

// moistureAdvice says what to do: raise it first, then what would suit.
func (p *moistureWork) moistureAdvice(fit groundFit, others []*species.Species) string {
	var say []string
	raised, why := p.raisedFit(fit)
	mound, _ := p.Limit("mound_m")
	switch {
	case fit.classes[0] == planner.Dry:
		say = append(say, fmt.Sprintf("Mulch and water %s in the first summers", verb(len(fit.which) > 1, "it", "them")))
	case why != "":
		say = append(say, why)
	case raised.worst == species.Suitable:
		say = append(say, fmt.Sprintf("Raise %s on a mound or ridge of %s", verb(len(fit.which) > 1, "it", "them"), centimetres(mound.Value)))
	case gravity(raised.worst) > gravity(fit.worst):
		say = append(say, fmt.Sprintf("Raise %s on a mound or ridge of %s, where the ground is %s and %s for %s",
			verb(len(fit.which) > 1, "it", "them"), centimetres(mound.Value), moistureText(raised.classes), raised.worst, verb(len(fit.which) > 1, "it", "them")))
	default:
		say = append(say, "A mound is not enough here")
	}
	if len(others) > 0 {
		names := make([]string, len(others))
		for i, o := range others {
			names[i] = o.Name()
		}
		if len(names) == 1 {
			say = append(say, "plant "+names[0])
		} else {
			say = append(say, "plant one of: "+strings.Join(names, ", "))
		}
	} else {
		say = append(say, fmt.Sprintf("choose drier ground for %s: nothing in the catalogue for this purpose suits here", verb(len(fit.which) > 1, "it", "them")))
	}
	return upperFirst(say[0]) + ", or " + say[1] + "."
}

func centimetres(m float64) string { return figure(m*100) + " cm" }

// raisedFit is how a planting would do on a mound, and why no mound is offered, "" where one is.
func (p *Pass) raisedFit(fit groundFit) (groundFit, string) {
	least, known := p.Limit("raised_least_m")
	for _, i := range fit.which {
		switch u := p.Shared.Under[i]; {
		case u.Moisture == planner.Waterlogged:
			return fit, "no mound helps where water stands"
		case u.Soil == planner.Peat:
			return fit, "no mound helps on peat"
		case p.Shared.Plants[i].RaisedM >= least.Value:
			return fit, "choose drier ground"
		}
	}
	if !known {
		return fit, "choose drier ground"
	}
	return p.Shared.fitRaised(fit.group, least.Value), ""
}

// mostSuggested is how many species a message names.
const mostSuggested = 5

// whatSuits lists species that suit all the ground that a planting meets, for the same purpose, best first. What the law of the
// place forbids, what should not be planted and what poisons the stock that grazes there is left out. Fruit is held against fruit of the same kind of planting.
func (p *moistureWork) whatSuits(fit groundFit) []*species.Species {
	g := fit.group
	u := p.Shared.Under[fit.which[0]]
	want := species.Want{Ground: fit.classes[len(fit.classes)-1], Soil: u.Soil, PH: u.PH, Exposure: u.Exposure, Use: catalogueUse(g.use), Country: p.Set.Name(),
		Stock: p.stockNear(fit.which)}
	fruit := isFruit(g)
	switch {
	case fruit && slices.Contains(g.species.Purposes, "row"):
		want.Purpose = "row"
	case fruit:
		want.Purpose = "orchard"
	case g.use == setout.UsePlant || g.use == setout.UseTree:
		want.Layer = g.species.Layer
	}
	key := fmt.Sprint(want, fit.ease, g.species.ID)
	if known, ok := p.suits[key]; ok {
		return known
	}
	var out []*species.Species
	for _, r := range p.Catalogue.Rank(want) {
		if r.Barred || r.Species == g.species || unwanted(r.Species) || r.Species.Crop != fruit {
			continue
		}
		if slices.ContainsFunc(fit.ease, func(m planner.Moisture) bool { return r.Species.Suits(m).Verdict != species.Suitable }) {
			continue
		}
		if want.Use == species.Single && !fruit && !slices.Contains(r.Species.Purposes, "grove") && !slices.Contains(r.Species.Purposes, "hedge") {
			continue // a single tree is sought among what is planted at all in field and wood
		}
		if out = append(out, r.Species); len(out) == mostSuggested {
			break
		}
	}
	p.suits[key] = out
	return out
}

// unwanted is what is never suggested: regulated anywhere, invasive, diseased, or with a warning against planting it.
func unwanted(s *species.Species) bool {
	return len(s.Regulated) > 0 || s.Invasive.Known || s.PlantingAdvice.Known
}

// isFruit reports whether a planting is there for its crop: an orchard's or row's, or a single one of a species that is planted for
// nothing else.
func isFruit(g *planting) bool {
	if !g.species.Crop {
		return false
	}
	if g.use == setout.UseOrchard || g.use == setout.UseRow {
		return true
	}
	return g.use == setout.UsePlant && !slices.Contains(g.species.Purposes, "grove") && !slices.Contains(g.species.Purposes, "hedge")
}

// stockNear lists the animals that graze where the plants stand, or within 2 m of it.
func (p *Pass) stockNear(which []int) []string {
	var out []string
	last := site.Under{}
	for n, i := range which {
		if u := p.Shared.Under[i]; n > 0 && u.Parcel == last.Parcel {
			continue
		} else {
			last = u
		}
		for _, g := range p.Site.Grazed(p.Shared.At[i], 2) {
			for _, animal := range g.Stock {
				if !slices.Contains(out, animal) {
					out = append(out, animal)
				}
			}
		}
	}
	slices.Sort(out)
	return out
}
