package check

import (
	"fmt"
	"math"

	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

func setbackOverheadLine() *Rule {
	return &Rule{
		ID: "setback.overhead-line", Title: "No plant can grow into wires or fall on them", Severity: planner.Stop,
		Why: "A tree that grows into a conductor can kill, start a fire and cut off the parish; the operator may fell it. Its greatest listed height and the clearance " +
			"have to fit between the stem and the nearest conductor, measured on the plan. Plants that stay low may stand beside a line, not under it. A hedge counts at the height that its " +
			"species reach when nobody trims it. Plants still to be planted are looked at. Figures from memory stop here too, since wires do not wait for a better source.",
		Limits: []string{"reach_heights_least", "clearance_to_33_kv_m", "clearance_66_kv_m", "clearance_132_kv_m", "clearance_275_kv_m", "clearance_400_kv_m",
			"clearance_unknown_kv_m", "strip_least_m", "shrub_least_m", "under_height_greatest_m", "hedgerow_tree_least_m",
			"forest_half_width_110_kv_least_m", "forest_half_width_220_kv_least_m", "forest_half_width_400_kv_least_m"},
		Cautions: []string{
			"Ask the network operator for the voltage, the height of the conductors and the clearance before you plant.",
			"No work with saws, ladders, poles or machines within 10 m of a line, and no felling within two tree heights of one, without the operator (Energy Networks Association, Look Out Look Up; NIE Networks)."},
		Run: func(p *Pass) {
			w := &wires{Pass: p}
			w.look()
			w.report()
		},
	}
}

// wires holds plants against overhead lines.
type wires struct {
	*Pass
	high    []species.Num // greatest listed height by sort
	reach   tallies
	under   tallies
	strip   tallies
	tree    tallies
	forest  tallies
	unknown tallies
}

// A clearance is the room that a line wants between it and any branch.
type clearance struct {
	metres float64
	words  string
	source planner.Source
	sure   bool // the voltage, or the operator's own figure, is known
}

// clearanceOf is the operator's own figure where the plan states it, else that of the table at its voltage, the next higher where the
// voltage lies between two.
func (p *Pass) clearanceOf(f *planner.Feature) clearance {
	d, _ := f.Detail.(*planner.OverheadLine)
	if d == nil || f.Wrong("voltage_kv", "clearance_m") {
		d = &planner.OverheadLine{}
	}
	if d.ClearanceM > 0 {
		return clearance{d.ClearanceM, "the operator's clearance of " + exactly(d.ClearanceM),
			planner.Source{Text: "the operator's clearance, as the plan states it", Confidence: planner.User}, true}
	}
	steps := []struct {
		kv   float64
		name string
	}{{33, "clearance_to_33_kv_m"}, {66, "clearance_66_kv_m"}, {132, "clearance_132_kv_m"}, {275, "clearance_275_kv_m"}, {math.Inf(1), "clearance_400_kv_m"}}
	if d.VoltageKV > 0 {
		for _, s := range steps {
			if d.VoltageKV > s.kv {
				continue
			}
			if l, ok := p.Limit(s.name); ok {
				return clearance{l.Value, fmt.Sprintf("a clearance of %s at %s kV", exactly(l.Value), figure(d.VoltageKV)), l.Source, true}
			}
		}
	}
	l, _ := p.Limit("clearance_unknown_kv_m")
	return clearance{l.Value, fmt.Sprintf("a clearance of %s, the greatest in the table, since the voltage is not known", exactly(l.Value)), l.Source, false}
}

// mostWireReach bounds how far from a line plants are looked at: the tallest trees of Britain reach 70 m (common practice), and a
// clearance of 60 m is the most that a plan can state.
const mostWireReach = 130

func (w *wires) look() {
	o := w.Shared.Obstacles(planner.KindOverheadLine)
	if len(o.List) == 0 {
		return
	}
	heights, ok := w.Limit("reach_heights_least")
	if !ok {
		return
	}
	clear := make([]clearance, len(o.List))
	widest := 0.0
	for k, f := range o.List {
		clear[k] = w.clearanceOf(f)
		widest = math.Max(widest, clear[k].metres)
	}
	w.high = perSort(w.Shared, w.Shared.greatest)
	tallest := 0.0 // of the catalogue: what a plant of unknown species might reach
	for _, sp := range w.Catalogue.All() {
		tallest = math.Max(tallest, sp.GreatestHeight.V)
	}
	low, _ := w.Limit("under_height_greatest_m")
	strip, _ := w.Limit("strip_least_m")
	shrub, _ := w.Limit("shrub_least_m")
	reaches := perSort(w.Shared, func(x *setout.Plant) float64 {
		h := w.Shared.greatest(x)
		if !h.Known {
			h.V = tallest
		}
		r := math.Max(h.V*heights.Value+widest, math.Max(strip.Value, shrub.Value))
		if tree, ok := w.Limit("hedgerow_tree_least_m"); ok && x.Use == setout.UseTree {
			r = math.Max(r, tree.Value)
		}
		for _, f := range o.List {
			if l, ok := w.forestLimit(f); ok && x.Use == setout.UseGrove {
				r = math.Max(r, l.Value)
			}
		}
		return r + 0.1
	})
	reach := func(i int) float64 { return reaches[w.Shared.sortOf[i]] }
	w.EachNear(o, mostWireReach, listed, reach, func(i, k int, n Nearness) {
		x, h := w.Shared.Plants[i], w.high[w.Shared.sortOf[i]]
		w.beside(x, o.List[k], n.DistM, h, clear[k], heights, low)
	})
}

// beside holds one plant against one line. Exactly at the distance counts as clear.
func (w *wires) beside(x *setout.Plant, f *planner.Feature, d float64, h species.Num, c clearance, heights, low rules.Limit) {
	switch {
	case !h.Known:
		w.put(&w.unknown, x, f, d, d+1, rules.Limit{}, c)
	case low.Known() && low.Holds(h.V):
		if l, ok := w.Limit("shrub_least_m"); ok && !holds(l, d) {
			w.put(&w.under, x, f, d, l.Value, l, c)
		}
	default:
		need := h.V*heights.Value + c.metres
		if need-d > planner.Tolerance {
			w.put(&w.reach, x, f, d, need, heights, [2]any{c, h})
		} else if l, ok := w.Limit("strip_least_m"); ok && !holds(l, d) {
			w.put(&w.strip, x, f, d, l.Value, l, c)
		}
	}
	if l, ok := w.Limit("hedgerow_tree_least_m"); ok && x.Use == setout.UseTree && !holds(l, d) {
		w.put(&w.tree, x, f, d, l.Value, l, c)
	}
	if l, ok := w.forestLimit(f); ok && x.Use == setout.UseGrove && !holds(l, d) {
		w.put(&w.forest, x, f, d, l.Value, l, c)
	}
}

// forestLimit is half the width of the corridor that a line of that voltage keeps through new forest, where the rule set has one.
func (w *wires) forestLimit(f *planner.Feature) (rules.Limit, bool) {
	d, _ := f.Detail.(*planner.OverheadLine)
	if d == nil || d.VoltageKV <= 0 || f.Wrong("voltage_kv") {
		return rules.Limit{}, false
	}
	switch {
	case d.VoltageKV >= 400:
		return w.Limit("forest_half_width_400_kv_least_m")
	case d.VoltageKV >= 220:
		return w.Limit("forest_half_width_220_kv_least_m")
	case d.VoltageKV >= 110:
		return w.Limit("forest_half_width_110_kv_least_m")
	}
	return rules.Limit{}, false
}

func (w *wires) put(into *tallies, x *setout.Plant, f *planner.Feature, dist, need float64, l rules.Limit, data any) {
	t, worst := into.add(x, f, "", need-dist)
	if worst {
		t.dist, t.need, t.limit, t.data = dist, need, l, data
	}
}

func (w *wires) report() {
	for _, t := range w.reach.list {
		w.reportReach(t)
	}
	say := func(list []*tally, place string, severity planner.Severity, message func(t *tally) string) {
		for _, t := range list {
			f := t.finding(severity)
			f.Place, f.Message = place, message(t)
			w.Report(f)
		}
	}
	say(w.under.list, "under", planner.Warn, func(t *tally) string {
		return fmt.Sprintf("%s. It stays low enough to stand beside wires, but no planting under them: keep %s to the side, so that the operator can work there.",
			t.stands(quoted(t.other)), limitNeeded(t.limit))
	})
	say(w.strip.list, "strip", planner.Warn, func(t *tally) string {
		return fmt.Sprintf("%s, inside the strip of %s on each side that operators keep clear. What grows above 3 m is cut there. Plant it outside the strip.",
			t.stands(quoted(t.other)), exactly(t.need))
	})
	say(w.tree.list, "hedgerow tree", planner.Warn, func(t *tally) string {
		return fmt.Sprintf("%s; standard hedgerow trees keep %s from overhead wires. Leave those trees out of that stretch.",
			t.stands(quoted(t.other)), limitNeeded(t.limit))
	})
	say(w.forest.list, "forest", planner.Warn, func(t *tally) string {
		return fmt.Sprintf("%s; new forest leaves a corridor of %s on each side of a line of that voltage. Draw the grove outside it.",
			t.stands(quoted(t.other)), exactly(t.need))
	})
	for _, t := range w.unknown.list {
		f := t.finding(planner.Warn)
		f.Place, f.Limit = "unknown", nil
		f.Source = planner.Source{Text: "the catalogue has no greatest height for it", Confidence: planner.Derived}
		f.Message = fmt.Sprintf("%s. How high it can grow is not known, so whether it can reach the wires was not looked at. Name the species, or keep it away from the line.",
			t.stands(quoted(t.other)))
		w.Report(f)
	}
}

func (w *wires) reportReach(t *tally) {
	both := t.data.([2]any)
	c, h := both[0].(clearance), both[1].(species.Num)
	severity := planner.Stop
	if !c.sure {
		severity = planner.Warn
	}
	f := t.finding(severity)
	f.Source = c.source
	if h.Source.Confidence.Weaker(f.Source.Confidence) {
		f.Source.Confidence = h.Source.Confidence
	}
	f.Source.Text = "height: " + h.Source.Text + "; clearance: " + c.source.Text
	// The line drawn is the middle one of the conductors.
	verb := "within reach of"
	if t.dist < 0.5 {
		verb = "under"
	}
	f.Message = fmt.Sprintf("%s %s %s: %s from the nearest conductor, where its greatest height of %s m and %s need %s.",
		t.subject("stands", "stand"), verb, quoted(t.other), t.worstOf(), figure(h.V), c.words, exactly(t.need))
	if kept := keptHeight(t.plant); kept > 0 {
		f.Message += fmt.Sprintf(" Kept at %s the hedge stays clear only as long as it is cut, and cutting near wires is no job for one person.", metres(kept))
	}
	f.Message += " Plant it further off, or plant what stays below 3 m."
	if t.plant.Use == setout.UsePlant {
		strip, _ := w.Limit("strip_least_m")
		f.Fix = w.instead(t.plant, func(s *species.Species) bool {
			return s.GreatestHeight.V*t.limit.Value+c.metres <= t.dist && t.dist >= strip.Value
		})
	}
	if !c.sure {
		f.Message += " State the line's `voltage_kv`, or the operator's `clearance_m`."
	}
	w.Report(f)
}
