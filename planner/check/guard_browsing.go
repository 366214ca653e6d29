package check

import (
	"fmt"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/lists"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
)

func guardBrowsing() *Rule {
	return &Rule{
		ID:    "guard.browsing",
		Title: "guards keep off what eats young plants",
		Why: "One night's browsing undoes a winter's planting. What browses on the holding, and what grazes in the field where a plant stands, is held " +
			"against the guards that the planting list will hold. Hedges in grazed fields are left to hedge.fence. A windbreak, row, orchard or grove in a " +
			"grazed field counts as fenced where a stockproof fence or wall stands within 5 m all along it. Plants that stand there already have outgrown it.",
		Severity: planner.Warn,
		Limits: []string{"rabbits_least_m", "hares_least_m", "roe_least_m", "red_least_m", "fallow_least_m", "sheep_least_m", "cattle_least_m", "horses_least_m",
			"goats_least_m", "pigs_least_m", "poultry_least_m", "stem_clear_least_m", "vole_mulch_greatest_m"},
		Run: runGuardBrowsing,
	}
}

// unguarded gathers the plants of one feature that the same animals reach.
type unguarded struct {
	feature *planner.Feature
	animals []string // in the order of the vocabulary
	guard   string   // what is listed, in words
	kind    string   // of the guard listed, "" for none
	height  float64  // of the guard listed, 0 for none
	plants  []*setout.Plant
	parcel  *planner.Feature // where stock grazes, nil for wild animals
}

type unguardedKey struct {
	feature *planner.Feature
	parcel  *planner.Feature
	guard   *lists.GuardSpec
	bare    string
	animals *passed
}

// passed are the animals that get past the guards of a plant: the same for all plants with the same guards in the same field.
type passed struct{ animals []string }

type passedKey struct {
	browse, stock *lists.GuardSpec
	parcel        *planner.Feature
}

// guardWork gathers in the order in which plants come.
type guardWork struct {
	*Pass
	by     map[unguardedKey]*unguarded
	list   []*unguarded
	past   map[passedKey]*passed
	fenced map[*planner.Feature]bool
	bars   *geo.Segments
}

func runGuardBrowsing(p *Pass) {
	w := &guardWork{Pass: p, by: map[unguardedKey]*unguarded{}, past: map[passedKey]*passed{}, fenced: map[*planner.Feature]bool{}}
	browsing := inOrder(planner.Browsers, p.Plan.Holding.Browsing)
	if len(browsing) > 0 || w.anyGrazed() {
		for i, g := range lists.GuardsFor(p.Plan, p.Site, p.Out, p.Set) {
			x := p.Shared.Plants[i]
			if !x.Listed {
				continue
			}
			w.wild(x, g, browsing)
			w.stock(x, g, p.Shared.Under[i].Parcel)
		}
	}
	for _, u := range w.list {
		if u.parcel == nil {
			w.reportWild(u)
		} else {
			w.reportStock(u)
		}
	}
	if slices.Contains(browsing, "voles") {
		w.volesUnderMulch()
	}
}

// pastGuards gives the animals that a plant's guards do not stop.
func (w *guardWork) pastGuards(k passedKey, g lists.Guard, animals []string) *passed {
	p := w.past[k]
	if p == nil {
		p = &passed{}
		for _, a := range animals {
			if a != "poultry" && !g.Stops(a) {
				p.animals = append(p.animals, a)
			}
		}
		p.animals = inOrder(append(append([]string(nil), planner.Browsers...), planner.GrazingStock...), p.animals)
		w.past[k] = p
	}
	return p
}

func (w *guardWork) anyGrazed() bool {
	for _, f := range w.Plan.Of(planner.KindParcel) {
		if grazedByEaters(f) {
			return true
		}
	}
	return false
}

// inOrder sorts words by their place in all, and drops what is not there.
func inOrder(all, words []string) []string {
	var out []string
	for _, a := range all {
		if slices.Contains(words, a) {
			out = append(out, a)
		}
	}
	return out
}

// wild holds a plant's guard against what browses. A thorn that is pruned and sheeted is left bare on purpose.
func (w *guardWork) wild(x *setout.Plant, g lists.Guard, browsing []string) {
	if g.Browse == nil && strings.Contains(g.Bare, "sheeted") {
		return
	}
	if not := w.pastGuards(passedKey{g.Browse, g.Stock, nil}, g, browsing); len(not.animals) > 0 {
		w.add(x, nil, not, g.Browse, g.Bare)
	}
}

// stock holds a plant's guard against what grazes where it stands. Hedges are left to hedge.fence, and poultry eat no trees.
func (w *guardWork) stock(x *setout.Plant, g lists.Guard, parcel *planner.Feature) {
	if parcel == nil || x.Use == setout.UseHedge || x.Use == setout.UseFill || x.Use == setout.UseTree {
		return
	}
	d, ok := parcel.Detail.(*planner.Parcel)
	if !ok || len(d.GrazedBy) == 0 {
		return
	}
	not := w.pastGuards(passedKey{g.Browse, g.Stock, parcel}, g, d.GrazedBy)
	if len(not.animals) == 0 || w.isFenced(x.Feature) || w.inBedOrBuilding(x.At) {
		return
	}
	w.add(x, parcel, not, g.Stock, "")
}

func (w *guardWork) inBedOrBuilding(at orb.Point) bool {
	for _, k := range []planner.Kind{planner.KindBed, planner.KindBuilding} {
		for _, a := range w.Site.Areas(k) {
			if a.Region.Box().Contains(at) && a.Region.Contains(at) {
				return true
			}
		}
	}
	return false
}

func (w *guardWork) add(x *setout.Plant, parcel *planner.Feature, animals *passed, g *lists.GuardSpec, bare string) {
	k := unguardedKey{x.Feature, parcel, g, bare, animals}
	u := w.by[k]
	if u == nil {
		u = &unguarded{feature: x.Feature, parcel: parcel, animals: animals.animals, guard: "no guard"}
		switch {
		case g != nil:
			u.kind, u.height = g.Kind, g.HeightM
			u.guard = g.Kind + " of " + metres(g.HeightM)
		case bare != "":
			u.guard = "no guard (" + bare + ")"
		}
		w.by[k] = u
		w.list = append(w.list, u)
	}
	u.plants = append(u.plants, x)
}

// guards says what guards the plants will have: "a spiral of 0.60 m", "spirals of 0.60 m", "no guard".
func (u *unguarded) guards() string {
	switch {
	case u.kind == "":
		return u.guard
	case len(u.plants) == 1:
		return "a " + u.guard
	case u.kind == "mesh":
		return u.guard
	}
	return u.kind + "s" + strings.TrimPrefix(u.guard, u.kind)
}

func (u *unguarded) finding(place string) planner.Finding {
	f := At(planner.Finding{Severity: planner.Warn, Features: []string{u.feature.ID}, Place: place + strings.Join(u.animals, "+"), Count: len(u.plants),
		Measured: planner.Figure(u.height), Unit: "m", Worse: "less"}, u.plants[0].At)
	if u.height == 0 {
		f.Place += "-bare"
	}
	if len(u.plants) > 1 {
		for _, x := range u.plants[:min(len(u.plants), MostPlaces)] {
			f.Places = append(f.Places, x.At)
		}
	}
	return f
}

// who begins the sentence: what the plants are.
func (u *unguarded) who() string {
	if u.feature.Kind == planner.KindPlant {
		return quotedAtStart(u.feature)
	}
	return upperFirst(countOf(len(u.plants), "plant")) + " of " + quoted(u.feature)
}

// tallestOf is the greatest height that the animals ask for, and those whose height is not known.
func (p *Pass) tallestOf(animals []string) (top rules.Limit, of string, unknown []string) {
	for _, a := range animals {
		if a == "voles" {
			continue
		}
		l, known := p.Limit(a + "_least_m")
		switch {
		case !known:
			unknown = append(unknown, a)
		case of == "" || l.Value > top.Value:
			top, of = l, a
		}
	}
	return top, of, unknown
}

func (w *guardWork) reportWild(u *unguarded) {
	f := u.finding("")
	top, of, _ := w.tallestOf(u.animals)
	say := fmt.Sprintf("%s will have %s, which %s not keep off %s.", u.who(), u.guards(), verb(len(u.plants) > 1 && u.kind != "" && u.kind != "mesh", "does", "do"), listWords(u.animals, "and"))
	if of != "" {
		f.Limit, f.Source = planner.Figure(top.Value), top.Source
		say += fmt.Sprintf(" Against %s it takes guards of %s, or a fence round the whole.", of, metres(top.Value))
	} else { // voles alone
		f.Measured = nil
		f.Unit, f.Source = "", planner.Source{Text: "guards against voles: a collar pushed 5 cm into the ground, short grass", Confidence: planner.CommonPractice}
		say += " Push a collar 5 cm into the ground round each stem, and keep the grass short and the mulch off the stem."
	}
	f.Message = say
	w.Report(f)
}

func (w *guardWork) reportStock(u *unguarded) {
	f := u.finding("stock:")
	f.Features = append(f.Features, u.parcel.ID)
	top, of, unknown := w.tallestOf(u.animals)
	say := fmt.Sprintf("%s %s in '%s' where %s graze, with %s against them.", u.who(), verb(len(u.plants) > 1, "stands", "stand"),
		u.parcel.Label(), listWords(u.animals, "and"), u.guards())
	if of != "" {
		f.Limit, f.Source = planner.Figure(top.Value), top.Source
		clear := ""
		if l, ok := w.Limit("stem_clear_least_m"); ok {
			clear = fmt.Sprintf(" that keep stock %s from the stem", metres(l.Value))
		}
		say += fmt.Sprintf(" Against %s it takes stock guards of %s%s, or a stockproof fence round the planting.", of, metres(top.Value), clear)
	} else {
		f.Measured, f.Unit = nil, ""
		f.Source = planner.Source{Text: "no height of guard is known against these animals", Confidence: planner.Derived}
		say += " Fence the planting off."
	}
	if len(unknown) > 0 {
		say += fmt.Sprintf(" What height keeps off %s is not known.", listWords(unknown, "and"))
	}
	f.Message = say
	w.Report(f)
}

// volesUnderMulch looks at the depth of mulch, for which no limit is published: it notes that, or holds the depth against the
// user's own.
func (w *guardWork) volesUnderMulch() {
	depth := 0.075
	if c := w.Plan.Holding.ChipUse; c != nil && c.MulchDepthM > 0 {
		depth = c.MulchDepthM
	}
	if w.Out.Listed() == 0 {
		return
	}
	l, known := w.Limit("vole_mulch_greatest_m")
	f := planner.Finding{Severity: planner.Note, Place: "mulch", Measured: planner.Figure(depth), Unit: "m", Source: unknownSource(l)}
	if known {
		if l.Holds(depth) {
			return
		}
		f.Severity, f.Limit = planner.Warn, planner.Figure(l.Value)
		f.Message = fmt.Sprintf("The mulch is to lie %s m deep, where voles are about and it may be %s m at most. Lay it thinner, and clear of the stems.", figure(depth), figure(l.Value))
	} else {
		f.Message = fmt.Sprintf("Voles shelter in deep mulch and gnaw stems under it. No published depth is known, so the %s m of mulch was not held against one. Keep it 0.1 m clear of every stem, and look under it in winter.", figure(depth))
	}
	w.Report(f)
}
