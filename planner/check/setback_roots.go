package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

// rootClasses are the classes of the sewer operator's table as limits name them, greediest first. Soft fruit is not among them: it may
// stand nearer than a metre, as long as a path is kept clear (Severn Trent Water, Tree planting restrictions).
func rootClasses() []string { return []string{"willow_poplar", "large_tree", "medium_tree", "shrub"} }

// rootClass is the class of what a plant may be, the greediest where its name fits several; "" where none is known or wanted.
func (s *Shared) rootClass(x *setout.Plant) string {
	best := len(rootClasses())
	for _, sp := range s.May(x) {
		for i, c := range []species.ServiceClass{species.WillowPoplar, species.LargeTree, species.MediumTree, species.ShrubClass} {
			if sp.Service == c {
				best = min(best, i)
			}
		}
	}
	if best == len(rootClasses()) {
		return ""
	}
	return rootClasses()[best]
}

// classWords names a class in a sentence.
func classWords(class string) string {
	return map[string]string{"willow_poplar": "willow and poplar", "large_tree": "large trees", "medium_tree": "medium trees", "shrub": "large shrubs and hedges",
		"alder": "alder"}[class]
}

func classLimits(prefixes ...string) []string {
	var out []string
	for _, pre := range prefixes {
		for _, c := range rootClasses() {
			out = append(out, pre+c+"_least_m")
		}
	}
	return out
}

// rootRule is what the four rules about roots and what lies in the ground have in common.
type rootRule struct {
	*Pass
	class   []string // by sort
	figures map[string]ownAndOthers
	found   tallies
	others  tallies // clear of the limit, inside another body's figure
	consent tallies
	trees   tallies
	mass    tallies
	unknown tallies
}

// widestRoots bounds how far from drains and services plants are looked at: 30.5 m, the widest figure of any body, and what a holding
// might set for itself.
const widestRoots = 100

// ownAndOthers is a limit and the wider figures of other bodies.
type ownAndOthers struct {
	own   rules.Limit
	known bool
	wider []rules.Limit
}

func newRootRule(p *Pass) *rootRule {
	return &rootRule{Pass: p, class: perSort(p.Shared, p.Shared.rootClass), figures: map[string]ownAndOthers{}}
}

// figuresOf looks a limit up once.
func (r *rootRule) figuresOf(name string) ownAndOthers {
	f, done := r.figures[name]
	if done {
		return f
	}
	f.own, f.known = r.Limit(name)
	for _, o := range r.Set.Others(r.rule.ID, name) {
		if o.Known() && o.Value > f.own.Value {
			f.wider = append(f.wider, o)
		}
	}
	r.figures[name] = f
	return f
}

// look holds planned plants against the obstacles of one kind. names are the limits that may hold for a sort of plant: beyond the
// widest of them, and of what other bodies have, nothing is looked at.
func (r *rootRule) look(k planner.Kind, names func(x *setout.Plant, class string) []string, each func(i int, f *planner.Feature, n Nearness)) {
	o := r.Shared.Obstacles(k)
	if len(o.List) == 0 {
		return
	}
	reaches := make([]float64, len(r.class))
	for i, x := range r.Shared.sorts {
		for _, name := range names(x, r.class[i]) {
			fig := r.figuresOf(name)
			reaches[i] = math.Max(reaches[i], fig.own.Value+0.1)
			for _, w := range fig.wider {
				reaches[i] = math.Max(reaches[i], w.Value+0.1)
			}
		}
	}
	r.EachNear(o, widestRoots, listed, func(i int) float64 { return reaches[r.Shared.sortOf[i]] },
		func(i, n int, near Nearness) { each(i, o.List[n], near) })
}

// byClass names the limit for a class, the greediest one where the class is not known.
func byClass(_ *setout.Plant, class string) []string {
	if class == "" {
		class = "willow_poplar"
	}
	return []string{class + "_least_m"}
}

// hold counts a plant that stands too near by the limit of that name, or else by another body's figure; it reports whether it is too
// near by the limit.
func (r *rootRule) hold(x *setout.Plant, f *planner.Feature, d float64, name, class string) bool {
	fig := r.figuresOf(name)
	l := fig.own
	if !fig.known {
		return false
	}
	if !holds(l, d) {
		t, worst := r.found.add(x, f, "", l.Value-d)
		if worst {
			t.dist, t.need, t.limit, t.data = d, l.Value, l, class
		}
		return true
	}
	for _, o := range fig.wider {
		if !holds(o, d) {
			t, worst := r.others.add(x, f, "", o.Value-d)
			if worst {
				t.dist, t.need, t.limit, t.data = d, o.Value, o, class
			}
			return false
		}
	}
	return false
}

// otherOpinions writes the figures of other bodies for a limit: "Others publish 10 m (Dee Valley Water ...)".
func (p *Pass) otherOpinions(l rules.Limit) string {
	var out []string
	for _, o := range p.Set.Others(l.Rule, l.Name) {
		if o.Known() && o.Value != l.Value {
			out = append(out, fmt.Sprintf("%s m (%s)", figure(o.Value), o.Source))
		}
	}
	if len(out) == 0 {
		return ""
	}
	return " Others publish " + strings.Join(out, "; ") + "."
}

// report writes the tallies. what names the thing in the ground, ask the body to ask.
func (r *rootRule) report(what func(f *planner.Feature) string, ask string) {
	for _, t := range r.found.list {
		f := t.finding(planner.Warn)
		f.Message = fmt.Sprintf("%s; for %s it is %s.%s Roots find pipes and block or lift them. Plant further off. %s",
			t.stands(what(t.other)+" "+quoted(t.other)), classWords(t.data.(string)), limitNeeded(t.limit), r.otherOpinions(t.limit), ask)
		if t.plant.Use == setout.UsePlant {
			f.Fix = r.instead(t.plant, func(s *species.Species) bool { return r.mayStand(t, s) })
		}
		r.Report(f)
	}
	for _, t := range r.others.list {
		f := t.finding(planner.Note)
		f.Place = "other opinion"
		f.Message = fmt.Sprintf("%s. That satisfies this rule set, but %s asks for %s for %s.",
			t.stands(what(t.other)+" "+quoted(t.other)), t.limit.Source, limitNeeded(t.limit), classWords(t.data.(string)))
		r.Report(f)
	}
	for _, t := range r.unknown.list {
		f := t.finding(planner.Note)
		f.Place, f.Limit = "unknown", nil
		f.Source = planner.Source{Text: "the catalogue has no root class for it", Confidence: planner.Derived}
		f.Message = fmt.Sprintf("%s. How far its roots reach is not known, so this was not looked at. Name the species.",
			t.stands(what(t.other)+" "+quoted(t.other)))
		r.Report(f)
	}
}

// mayStand reports whether a species may stand where a plant stands too near: by the limit for its class under the same name.
func (r *rootRule) mayStand(t *tally, s *species.Species) bool {
	rank := rootRank(s)
	if rank >= len(rootClasses()) || s.Genus() == "Alnus" {
		return false
	}
	class, name := t.data.(string), t.limit.Name
	if class != "alder" {
		class += "_least_m"
	} else {
		class = "alder_least_m"
	}
	fig := r.figuresOf(strings.TrimSuffix(name, class) + rootClasses()[rank] + "_least_m")
	return fig.known && holds(fig.own, t.dist)
}

// unclassed counts a plant whose class is not known, within the distance for the greediest.
func (r *rootRule) unclassed(x *setout.Plant, f *planner.Feature, d float64, name string) {
	if r.Shared.softFruit(x) {
		return
	}
	fig := r.figuresOf(name)
	if l := fig.own; fig.known && !holds(l, d) {
		t, worst := r.unknown.add(x, f, "", l.Value-d)
		if worst {
			t.dist, t.need, t.limit = d, l.Value, l
		}
	}
}

func (s *Shared) softFruit(x *setout.Plant) bool {
	for _, sp := range s.May(x) {
		if sp.Service != species.SoftFruit {
			return false
		}
	}
	return len(s.May(x)) > 0
}

func setbackService() *Rule {
	limits := append(classLimits("sewer_", "water_", "gas_", "electricity_", "telecoms_", "unknown_"), "gas_mass_planting_least_m", "hedgerow_tree_least_m")
	return &Rule{
		ID: "setback.service", Title: "Roots stay clear of buried pipes and cables", Severity: planner.Warn,
		Why: "Roots enter leaking joints, lift shallow pipes and wrap cables, and the owner may dig up what stands in the way. The distance depends on what the service carries and on how " +
			"far the species roots. Operators differ, so theirs comes before any table. Plants still to be planted are looked at.",
		Limits:   limits,
		Cautions: []string{"Get plans of what is buried before you dig, and the owner's consent before you plant. Never drive a stake or a bar where a gas or electricity service may lie."},
		Run: func(p *Pass) {
			r := newRootRule(p)
			r.look(planner.KindService, r.serviceLimits, r.service)
			r.report(func(f *planner.Feature) string { return "the " + carries(f) }, "Ask the owner of the service, whose own figure comes first.")
			r.reportService()
		},
	}
}

// carried is what a service carries, as limits name it.
func carried(f *planner.Feature) string {
	if d, ok := f.Detail.(*planner.Service); ok && d.Carries != "" && !f.Wrong("carries") {
		return d.Carries
	}
	return "unknown"
}

func carries(f *planner.Feature) string {
	return map[string]string{"sewer": "sewer", "water": "water main", "gas": "gas main", "electricity": "electricity cable", "telecoms": "telephone cable"}[carried(f)] +
		map[bool]string{true: "buried service", false: ""}[carried(f) == "unknown"]
}

// serviceLimits names the limits of a sort of plant beside any of the services drawn.
func (r *rootRule) serviceLimits(x *setout.Plant, class string) []string {
	var out []string
	for _, f := range r.Shared.Obstacles(planner.KindService).List {
		out = append(out, carried(f)+"_"+byClass(x, class)[0])
		if carried(f) == "gas" {
			out = append(out, "gas_mass_planting_least_m")
		}
	}
	if x.Use == setout.UseTree {
		out = append(out, "hedgerow_tree_least_m")
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func (r *rootRule) service(i int, f *planner.Feature, n Nearness) {
	x, class := r.Shared.Plants[i], r.class[r.Shared.sortOf[i]]
	if l, ok := r.Limit("hedgerow_tree_least_m"); ok && x.Use == setout.UseTree && !holds(l, n.DistM) {
		t, worst := r.trees.add(x, f, "", l.Value-n.DistM)
		if worst {
			t.dist, t.need, t.limit = n.DistM, l.Value, l
		}
	}
	kind := carried(f)
	if class == "" {
		r.unclassed(x, f, n.DistM, kind+"_willow_poplar_least_m")
		return
	}
	near := r.hold(x, f, n.DistM, kind+"_"+class+"_least_m", class)
	l, ok := r.Limit("gas_mass_planting_least_m")
	if kind != "gas" || !ok || holds(l, n.DistM) || near {
		return
	}
	into := &r.consent
	if r.massPlanted(x, class) {
		into = &r.mass
	}
	t, worst := into.add(x, f, "", l.Value-n.DistM)
	if worst {
		t.dist, t.need, t.limit = n.DistM, l.Value, l
	}
}

// massPlanted reports trees in a block or in a belt of more than one row.
func (r *rootRule) massPlanted(x *setout.Plant, class string) bool {
	if class == "shrub" {
		return false
	}
	switch d := x.Feature.Detail.(type) {
	case *planner.Block:
		return true
	case *planner.Windbreak:
		return len(d.Rows) > 1
	}
	return false
}

func (r *rootRule) reportService() {
	for _, t := range r.trees.list {
		f := t.finding(planner.Warn)
		f.Place = "hedgerow tree"
		f.Message = fmt.Sprintf("%s; standard hedgerow trees keep %s from services. Leave those trees out of that stretch.",
			t.stands("the "+carries(t.other)+" "+quoted(t.other)), limitNeeded(t.limit))
		r.Report(f)
	}
	for _, t := range r.mass.list {
		f := t.finding(planner.Warn)
		f.Place = "mass planting"
		f.Message = fmt.Sprintf("%s; blocks and belts of trees keep %s from a high-pressure pipeline, only single trees and one row may stand nearer. Plant one row, or further off.",
			t.stands("the gas main "+quoted(t.other)), limitNeeded(t.limit))
		r.Report(f)
	}
	for _, t := range r.consent.list {
		f := t.finding(planner.Note)
		f.Place = "consent"
		f.Message = fmt.Sprintf("%s. That can be allowed, but within %s of a high-pressure pipeline the operator's written consent comes first.",
			t.stands("the gas main "+quoted(t.other)), exactly(t.need))
		r.Report(f)
	}
}
