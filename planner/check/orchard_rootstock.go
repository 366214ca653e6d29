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

func orchardRootstock() *Rule {
	return &Rule{
		ID:    "orchard.rootstock",
		Title: "rootstocks suit the ground and the form of the tree",
		Why: "On wet clay it is the roots that die: crown and collar rot take MM106 where M9 lives. Wet ground and heavy soil (clay) are told apart, and " +
			"a mound or ridge counts as one step better: wet as heavy, heavy as free. Sources differ on several stocks, and for many no test in wet " +
			"ground was found; then the rule says so. A tree form that the stock is not used for grows too big or too weak for it.",
		Severity: planner.Warn,
		Limits:   []string{"standing_water_greatest_days", "standing_water_fail_days", "ground.moisture/raised_least_m", "ground.moisture/mound_m"},
		Sources: []planner.Source{
			{Text: "NIAB, Crown rot and collar rot of apple", URL: "https://niab.com/node/2141", Confidence: planner.Published},
			{Text: "Browne and Mircetich 1993, Phytopathology 83, 744-749; Journal of the American Society for Horticultural Science 118, 63", Confidence: planner.Published},
			{Text: "apples.extension.org and West Virginia University, rootstock susceptibility to Phytophthora", Confidence: planner.Published}},
		Run: runRootstock,
	}
}

// A footing is ground as a rootstock meets it.
type footing int

const (
	freeGround footing = iota
	heavyGround
	wetGround
)

func (f footing) words() string {
	return map[footing]string{freeGround: "free ground", heavyGround: "heavy ground", wetGround: "wet ground"}[f]
}

// footingOf sorts the ground under a plant: wet or waterlogged; heavy where it is clay; else free. A mound or ridge counts as one
// step better, but not on peat or where water stands.
func footingOf(u site.Under, raisedM, raisedLeast float64) footing {
	out := freeGround
	switch {
	case u.Moisture.Rank() >= planner.Wet.Rank():
		out = wetGround
	case u.Soil == planner.Clay:
		out = heavyGround
	}
	if raisedM >= raisedLeast && raisedLeast > 0 && out > freeGround && u.Soil != planner.Peat && u.Moisture != planner.Waterlogged {
		out--
	}
	return out
}

// verdictOn is what the tables say of a rootstock on that ground.
func verdictOn(r *species.Rootstock, on footing) species.Word {
	switch on {
	case wetGround:
		return r.WetGround
	case heavyGround:
		return r.Heavy
	}
	return species.Word{V: "pass", Known: true}
}

// rooted gathers plants of one feature that share species, rootstock and ground, or an unfit form.
type rooted struct {
	feature *planner.Feature
	species *species.Species
	stock   *species.Rootstock // nil where none is stated
	on      footing
	form    string // set where the form is what is wrong
	plants  []*setout.Plant
	under   site.Under
}

type rootedKey struct {
	feature *planner.Feature
	species *species.Species
	stock   string
	on      footing
	form    string
}

func runRootstock(p *Pass) {
	least := 0.0
	if l, ok := p.Limit("ground.moisture/raised_least_m"); ok {
		least = l.Value
	}
	by := map[rootedKey]*rooted{}
	var list []*rooted
	add := func(k rootedKey, stock *species.Rootstock, i int) {
		g := by[k]
		if g == nil {
			g = &rooted{feature: k.feature, species: k.species, stock: stock, on: k.on, form: k.form, under: p.Shared.Under[i]}
			by[k] = g
			list = append(list, g)
		}
		g.plants = append(g.plants, p.Shared.Plants[i])
	}
	stocks := perSort(p.Shared, func(x *setout.Plant) *species.Rootstock {
		if x.Species == nil || x.Rootstock == "" {
			return nil
		}
		r, _ := p.Catalogue.Rootstock(x.Species, x.Rootstock)
		return r
	})
	grafted := perSort(p.Shared, func(x *setout.Plant) bool { return x.Species != nil && len(p.Catalogue.Rootstocks(x.Species)) > 0 })
	for i, x := range p.Shared.Plants {
		sort := p.Shared.sortOf[i]
		if !x.Listed || !grafted[sort] || x.Use != setout.UseOrchard && x.Use != setout.UseRow && x.Use != setout.UsePlant {
			continue
		}
		r := stocks[sort]
		if r == nil && (x.Rootstock != "" || x.Cultivar == "") {
			continue // input.species speaks of an unknown stock; a tree without cultivar and stock may stand on its own roots
		}
		on := footingOf(p.Shared.Under[i], x.RaisedM, least)
		name := ""
		if r != nil {
			name = r.Name
		}
		if on != freeGround && (r == nil || !passes(verdictOn(r, on))) {
			add(rootedKey{x.Feature, x.Species, name, on, ""}, r, i)
		}
		if form := formOf(x.Form); r != nil && form != "" && len(r.Forms) > 0 && !slices.Contains(r.Forms, form) {
			add(rootedKey{x.Feature, x.Species, name, 0, form}, r, i)
		}
	}
	for _, g := range list {
		if g.form != "" {
			p.reportForm(g)
		} else {
			p.reportFooting(g, least)
		}
	}
}

func passes(w species.Word) bool { return w.Known && w.V == "pass" }

// formOf is a tree form as the tables write it.
func formOf(s string) string {
	s = strings.Join(strings.Fields(strings.ToLower(s)), " ")
	if s == "half standard" {
		return "half-standard"
	}
	return s
}

func (g *rooted) finding(severity planner.Severity, place string) planner.Finding {
	f := At(planner.Finding{Severity: severity, Features: []string{g.feature.ID}, Place: g.species.ID + ":" + place, Count: len(g.plants)}, g.plants[0].At)
	if len(g.plants) > 1 {
		for _, x := range g.plants[:min(len(g.plants), MostPlaces)] {
			f.Places = append(f.Places, x.At)
		}
	}
	return f
}

func (g *rooted) who() string {
	name := fruitName(g.species)
	if g.stock != nil {
		name += " on " + g.stock.Name
	}
	if len(g.plants) == 1 {
		return upperFirst(name) + " in " + quoted(g.feature)
	}
	return fmt.Sprintf("%d plants of %s in %s", len(g.plants), name, quoted(g.feature))
}

func (p *Pass) reportFooting(g *rooted, raisedLeast float64) {
	if g.stock == nil {
		f := g.finding(planner.Note, "none:"+g.on.words())
		f.Source = planner.Source{Text: "not stated in the plan", Confidence: planner.User}
		f.Message = fmt.Sprintf("%s %s on %s, and no rootstock is stated, so how it bears that was not looked at. State the rootstock.", g.who(), verb(len(g.plants) > 1, "stands", "stand"), g.on.words())
		p.Report(f)
		return
	}
	w := verdictOn(g.stock, g.on)
	place := g.stock.Name + ":" + g.on.words()
	ground := ""
	if g.stock.Ground.Known {
		ground = " " + strings.TrimSuffix(g.stock.Ground.V, ".") + "."
	}
	if !w.Known {
		f := g.finding(planner.Note, place)
		f.Source = planner.Source{Text: "no test of this rootstock on such ground was found", Confidence: planner.Derived}
		if g.stock.Ground.Known {
			f.Source = g.stock.Ground.Source
		}
		if strings.Contains(ground, "o test") {
			ground = "" // it says the same
		}
		if ground != "" {
			ground = " Of it is said:" + ground
		}
		f.Message = fmt.Sprintf("%s %s on %s. No test of %s there was found.%s", g.who(), verb(len(g.plants) > 1, "stands", "stand"), g.on.words(), g.stock.Name, ground)
		p.Report(f)
		return
	}
	f := g.finding(planner.Warn, place)
	f.Source = w.Source
	what := "there is a risk of crown and collar rot"
	if w.V == "fail" {
		what = "crown and collar rot kill it there"
	}
	f.Message = fmt.Sprintf("%s %s on %s: %s.%s%s%s", g.who(), verb(len(g.plants) > 1, "stands", "stand"), g.on.words(), what, upperSentence(ground), p.waterDays(), p.betterStocks(g))
	f.Fix = p.rootMound(g, raisedLeast)
	p.Report(f)
}

// upperSentence starts a sentence that has a space before it.
func upperSentence(s string) string {
	if len(s) < 2 {
		return s
	}
	return " " + upperFirst(s[1:])
}

// waterDays says how long water may stand.
func (p *Pass) waterDays() string {
	look, ok1 := p.Limit("standing_water_greatest_days")
	fail, ok2 := p.Limit("standing_water_fail_days")
	if !ok1 || !ok2 {
		return ""
	}
	return fmt.Sprintf(" Dig a test hole: water that stands over %s h after rain is a warning, over %s h it takes a drain or a mound.", figure(24*look.Value), figure(24*fail.Value))
}

// betterStocks names the stocks for the species that pass on that ground.
func (p *Pass) betterStocks(g *rooted) string {
	var names []string
	for _, r := range p.Catalogue.Rootstocks(g.species) {
		if passes(verdictOn(r, g.on)) {
			name := r.Name
			if r.Vigour != "" {
				name += " (" + r.Vigour + ")"
			}
			names = append(names, name)
		}
	}
	if len(names) == 0 {
		return " No stock that passes there is known: plant on a mound, or elsewhere."
	}
	return " These pass there: " + listWords(names, "and") + "."
}

// rootMound raises the feature where every plant of it then stands on ground that its stock bears.
func (p *Pass) rootMound(g *rooted, raisedLeast float64) *planner.Fix {
	mound, ok := p.Limit("ground.moisture/mound_m")
	if !ok || !g.feature.IsPlanned() || mound.Value < raisedLeast {
		return nil
	}
	for _, x := range g.plants {
		if x.RaisedM >= raisedLeast {
			return nil
		}
		on := footingOf(p.Site.At(x.At), mound.Value, raisedLeast)
		if on == g.on || on != freeGround && !passes(verdictOn(g.stock, on)) {
			return nil
		}
	}
	return p.raised(g.feature, mound.Value)
}

func (p *Pass) reportForm(g *rooted) {
	f := g.finding(planner.Warn, g.stock.Name+":form:"+g.form)
	f.Source = planner.Source{Text: "Royal Horticultural Society, Rootstocks for fruit: forms of tree by rootstock", Confidence: planner.Published}
	if !slices.Contains(species.Forms, g.form) {
		f.Severity = planner.Note
		f.Source = planFile()
		f.Message = fmt.Sprintf("%s: the form %q is not known, so it was not held against the rootstock. The forms are %s.", g.who(), g.form, listWords(species.Forms, "and"))
		p.Report(f)
		return
	}
	var other []string
	for _, r := range p.Catalogue.Rootstocks(g.species) {
		if slices.Contains(r.Forms, g.form) {
			other = append(other, r.Name)
		}
	}
	f.Message = fmt.Sprintf("%s: %s is not used for the form %s, but for %s.", g.who(), g.stock.Name, g.form, listWords(g.stock.Forms, "and"))
	if len(other) > 0 {
		f.Message += " For that form take " + listWords(other, "or") + "."
	}
	p.Report(f)
}
