package check

import (
	"fmt"

	"quickthorn/planner"
	"quickthorn/planner/setout"
)

func obstructed() *Rule {
	return &Rule{
		ID: "spacing.obstructed", Title: "Nothing is planted in a building, in water, on a way, in a gateway or on protected ground", Severity: planner.Stop,
		Why:     "Such a place cannot be planted at all: either the drawing is wrong or the plant is. What stands there already is not looked at. Up to 20 mm over an edge is let be.",
		Sources: []planner.Source{{Text: "Quickthorn, its own rule: a fault of the drawing", Confidence: planner.Derived}},
		Run: func(p *Pass) {
			var found tallies
			for _, k := range []planner.Kind{planner.KindBuilding, planner.KindWatercourse, planner.KindDitch, planner.KindRoad, planner.KindTrack,
				planner.KindPath, planner.KindGateway, planner.KindProtected} {
				p.inTheWay(k, &found)
			}
			for _, t := range found.list {
				f := t.finding(planner.Stop)
				f.Measured, f.Limit, f.Worse = planner.Figure(t.gap), planner.Figure(0), "more"
				f.Source = planner.Source{Text: "Quickthorn, its own rule: a fault of the drawing", Confidence: planner.Derived}
				where := whereIs(t.plant)
				if t.count > 1 {
					where = "the one furthest in" + spaced(where)
				}
				f.Message = fmt.Sprintf("%s %s %s, %s over its edge%s. Move %s, or mend the drawing.", t.subject("stands", "stand"), t.data, quoted(t.other),
					metres(t.gap), comma(t, where), map[bool]string{true: "it", false: "them"}[t.count == 1])
				p.Report(f)
			}
		},
	}
}

// comma adds where the worst stands, unless the sentence has said it.
func comma(t *tally, where string) string {
	if where == "" || t.count == 1 {
		return ""
	}
	return " (" + where + ")"
}

// bodyHalf is half the width of what a line stands for; 0 for polygons, whose edge is drawn.
func bodyHalf(f *planner.Feature) float64 {
	if f.Wrong("width_m") {
		return 0
	}
	switch d := f.Detail.(type) {
	case *planner.Way:
		return d.WidthM / 2
	case *planner.Watercourse:
		if len(f.Shape.Lines) > 0 {
			return d.WidthM / 2
		}
	case *planner.Ditch:
		return d.WidthM / 2
	case *planner.Gateway:
		// A gateway drawn as a line is the opening itself: the half metre that is kept clear of it on either side.
		if len(f.Shape.Lines) > 0 {
			return gatewayClear
		}
		return d.WidthM / 2
	}
	return 0
}

// gatewayClear is how far from a gateway nothing is planted, in metres, as setting out has it.
const gatewayClear = 0.5

// inTheWay finds planned plants that stand in a thing of one kind.
func (p *Pass) inTheWay(k planner.Kind, found *tallies) {
	o := p.Shared.Obstacles(k)
	most := widestHalf(o)
	// A plant inside a polygon is found however small the reach.
	p.EachNear(o, most+1e-6, listed, func(int) float64 { return most + 1e-6 }, func(i, n int, near Nearness) {
		f, x := o.List[n], p.Shared.Plants[i]
		in := bodyHalf(f) - near.DistM
		if near.Inside {
			in = near.DeepM
		}
		if in <= planner.Tolerance || k == planner.KindGateway && p.opens(x, f) {
			return
		}
		t, worst := found.add(x, f, "", in)
		if worst {
			t.data = standsWhere(f)
		}
	})
}

// opens reports whether a gateway cuts the plant's own line: setting out has then kept clear of it along the line, and a bend
// cannot bring a plant into the way.
func (p *Pass) opens(x *setout.Plant, gate *planner.Feature) bool {
	l := p.Out.Of(x.Feature.ID)
	if l == nil || l.Line == nil {
		return false
	}
	for _, o := range l.Line.Openings {
		if o.Gateway == gate.ID {
			return true
		}
	}
	return false
}

func standsWhere(f *planner.Feature) string {
	switch f.Kind {
	case planner.KindBuilding:
		return "inside the building"
	case planner.KindWatercourse:
		return "in the water of"
	case planner.KindDitch:
		return "in the ditch"
	case planner.KindGateway:
		return "in the gateway"
	case planner.KindProtected:
		return "on the protected ground"
	}
	return "on the " + string(f.Kind)
}
