package check

import (
	"fmt"
	"math"

	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

func setbackRoad() *Rule {
	return &Rule{
		ID: "setback.road", Title: "Planting stands clear of public roads", Severity: planner.Warn,
		Why: "In England and Wales no tree or shrub may be planted within 15 feet of the centre of a made-up carriageway without a licence, on your own land too and in place of an old one. " +
			"Elsewhere that is good manners. Branches over a road are kept above the traffic, and that falls to the owner. Roads that are not public are left to spacing.obstructed, as are tracks; " +
			"plants still to be planted are looked at, the fills of old roadside hedges among them.",
		Limits: []string{"centre_least_m", "forest_broadleaf_least_m", "forest_conifer_least_m", "headroom_least_m"},
		Sources: []planner.Source{
			{Text: "Highways Act 1980, sections 79, 141 and 154 (England and Wales)", Confidence: planner.Published},
			{Text: "Roads Act 1993, section 70 (Ireland): trees and hedges are not to be a hazard to road users", Confidence: planner.Published}},
		Cautions: []string{"Not legal advice: check with the highway authority (in Ireland the county council, in Northern Ireland the Department for Infrastructure). Ask it about bends and corners too, and before you work beside a road."},
		Run:      besideRoads,
	}
}

func besideRoads(p *Pass) {
	o := p.Shared.Obstacles(planner.KindRoad)
	centre, centreKnown := p.Limit("centre_least_m")
	headroom, headroomKnown := p.Limit("headroom_least_m")
	spreads := perSort(p.Shared, func(x *setout.Plant) species.Num { return p.Shared.grownSpread(p.Catalogue, x) })
	layers := perSort(p.Shared, p.Shared.layerOf)
	most := forestBuffer + widestHalf(o)
	var near, over, woods tallies
	forests := perSort(p.Shared, func(x *setout.Plant) rules.Limit {
		if l, ok := p.forestRoad(x); ok {
			return l
		}
		return rules.Limit{}
	})
	half := widestHalf(o)
	reach := func(i int) float64 {
		n := p.Shared.sortOf[i]
		r := math.Max(ownSpread(p.Shared.Plants[i], spreads[n]).V/2, forests[n].Value)
		return math.Max(centre.Value, r+half) + 0.1
	}
	p.EachNear(o, most, listed, reach, func(i, k int, n Nearness) {
		f, x := o.List[k], p.Shared.Plants[i]
		if d, ok := f.Detail.(*planner.Way); !ok || !d.Public || f.Wrong("public", "width_m") {
			return
		}
		if centreKnown && !holds(centre, n.DistM) {
			t, worst := near.add(x, f, "", centre.Value-n.DistM)
			if worst {
				t.dist, t.need, t.limit = n.DistM, centre.Value, centre
			}
		}
		edge := n.DistM - bodyHalf(f)
		if l := forests[p.Shared.sortOf[i]]; l.Known() && !holds(l, edge) {
			t, worst := woods.add(x, f, "", l.Value-edge)
			if worst {
				t.dist, t.need, t.limit = edge, l.Value, l
			}
		}
		crown := ownSpread(x, spreads[p.Shared.sortOf[i]])
		if headroomKnown && crown.Known && layers[p.Shared.sortOf[i]] == species.TreeLayer && keptHeight(x) == 0 && edge >= 0 && crown.V/2-edge > planner.Tolerance {
			t, worst := over.add(x, f, "", crown.V/2-edge)
			if worst {
				t.dist, t.need, t.limit = edge, crown.V/2, headroom
			}
		}
	})
	p.reportRoads(near, woods, over, headroom)
}

// forestRoad is what new forest keeps from the edge of a road, where the rule set has it: conifers more than broad-leaved trees.
func (p *Pass) forestRoad(x *setout.Plant) (rules.Limit, bool) {
	if x.Use != setout.UseGrove {
		return rules.Limit{}, false
	}
	for _, sp := range p.Shared.May(x) {
		if sp.Habit == species.Conifer {
			return p.Limit("forest_conifer_least_m")
		}
	}
	return p.Limit("forest_broadleaf_least_m")
}

func (p *Pass) reportRoads(near, woods, over tallies, headroom rules.Limit) {
	for _, t := range near.list {
		f := t.finding(planner.Warn)
		f.Place = "centre"
		f.Message = fmt.Sprintf("%s; %s is the least. %s Plant further back, or ask for a licence.",
			t.stands("the middle of "+quoted(t.other)), exactly(t.need), upperFirst(p.roadLaw(t.limit)))
		p.Report(f)
	}
	for _, t := range woods.list {
		f := t.finding(planner.Warn)
		f.Place = "forest"
		f.Message = fmt.Sprintf("%s; new forest keeps %s from the edge of a public road (%s). It binds planting under grant or licence.",
			t.stands("the edge of "+quoted(t.other)), limitNeeded(t.limit), plantName(t.plant))
		p.Report(f)
	}
	for _, t := range over.list {
		f := t.finding(planner.Note)
		f.Place, f.Measured, f.Limit = "headroom", planner.Figure(t.gap), planner.Figure(0)
		f.Worse = "more"
		f.Message = fmt.Sprintf("%s and will reach %s over it when grown. Branches are kept %s above the carriageway: prune them up in time.",
			t.stands("the edge of "+quoted(t.other)), metres(t.gap), exactly(headroom.Value))
		p.Report(f)
	}
}

// roadLaw says where the distance is law and where manners.
func (p *Pass) roadLaw(l rules.Limit) string {
	if p.Set.Name() == "england" || p.Set.Name() == "wales" {
		return "that is 15 feet, and law in England and Wales."
	}
	if l.Set == "general" {
		return "that is 15 feet, law in England and Wales and good manners elsewhere."
	}
	if l.Note != "" {
		return l.Note + "."
	}
	return "that is the limit of " + l.Source.String() + "."
}

func setbackPath() *Rule {
	return &Rule{
		ID: "setback.path", Title: "Public paths keep their width when the planting has grown", Severity: planner.Warn,
		Why: "A hedge or shrub planted at the edge of a path narrows it for ever after. It stands back by half of its grown width, a hedge by half of the width it is kept at. Trees may " +
			"lean over as long as there is headroom. Where the plan states no width, a path is taken to be as wide as the vocabulary's default; plants still to be planted are looked at, and paths that are public.",
		Limits:   []string{"footpath_edge_width_least_m", "bridleway_edge_width_least_m", "headroom_least_m"},
		Cautions: []string{"Not legal advice: check the line, the width and the status of the path with the council's rights of way officer."},
		Run:      besidePaths,
	}
}

func besidePaths(p *Pass) {
	o := p.Shared.Obstacles(planner.KindPath)
	least, known := p.Limit("footpath_edge_width_least_m")
	spreads := perSort(p.Shared, func(x *setout.Plant) species.Num { return p.Shared.grownSpread(p.Catalogue, x) })
	widest := 1.0
	for _, w := range spreads {
		widest = math.Max(widest, w.V/2)
	}
	most := widest + widestHalf(o) + least.Value + 10
	var near, trees tallies
	p.EachNear(o, most, listed, func(int) float64 { return most }, func(i, k int, n Nearness) {
		f, x := o.List[k], p.Shared.Plants[i]
		if d, ok := f.Detail.(*planner.Way); !ok || !d.Public || f.Wrong("public", "width_m") {
			return
		}
		half, what := p.bodyBeside(x, ownSpread(x, spreads[p.Shared.sortOf[i]]))
		edge := n.DistM - bodyHalf(f)
		if half <= 0 || edge < 0 {
			return
		}
		if what == "tree" {
			if half-edge > planner.Tolerance {
				trees.add(x, f, "", half-edge)
			}
			return
		}
		way := math.Max(bodyHalf(f), least.Value/2)
		if need := way + half; need-n.DistM > planner.Tolerance {
			t, worst := near.add(x, f, "", need-n.DistM)
			if worst {
				t.dist, t.need, t.limit, t.data = n.DistM, need, least, [2]float64{way, half}
			}
		}
	})
	for _, t := range near.list {
		f := t.finding(planner.Warn)
		f.Place = "width"
		parts := t.data.([2]float64)
		f.Message = fmt.Sprintf("%s and will grow into it: %s is needed, half of the path's %s and the plant's half width of %s. Plant further back.",
			t.stands("the middle of "+quoted(t.other)), exactly(t.need), metres(2*parts[0]), metres(parts[1]))
		if !known {
			f.Source = planner.Source{Text: "the width of the path as drawn; no width in law was read for this rule set", Confidence: planner.Derived}
			f.Message += " What width the law wants here is not known."
		} else if bridle, ok := p.Limit("bridleway_edge_width_least_m"); ok {
			f.Message += fmt.Sprintf(" Along a field edge a footpath is at least %s wide, a bridleway %s.", exactly(least.Value), exactly(bridle.Value))
		}
		p.Report(f)
	}
	head, ok := p.Limit("headroom_least_m")
	for _, t := range trees.list {
		if !ok {
			break
		}
		f := t.finding(planner.Note)
		f.Place, f.Source, f.Measured, f.Limit, f.Worse = "headroom", head.Source, planner.Figure(t.gap), planner.Figure(0), "more"
		f.Message = fmt.Sprintf("%s so near to %s that the crown will reach %s over it when grown. Keep %s clear above the path; a bridleway wants 3 m (from memory).",
			t.subject("stands", "stand"), quoted(t.other), metres(t.gap), exactly(head.Value))
		p.Report(f)
	}
}

// bodyBeside is half the width that a plant takes up beside a way, and whether it is a hedge, a shrub or a tree under which one can
// walk; 0 where it is not known.
func (p *Pass) bodyBeside(x *setout.Plant, spread species.Num) (half float64, what string) {
	if d, ok := x.Feature.Detail.(*planner.Hedge); ok && x.Use != setout.UseTree {
		if d.WidthM > 0 && !x.Feature.Wrong("width_m") {
			// The outer row stands off the middle of the hedge by its offset; half the width counts from the middle.
			return math.Max(0, d.WidthM/2-math.Abs(x.Offset)), "hedge"
		}
		return 0, "hedge"
	}
	what = "shrub"
	if p.Shared.layerOf(x) == species.TreeLayer {
		what = "tree"
	}
	if !spread.Known {
		return 0, what
	}
	return spread.V / 2, what
}
