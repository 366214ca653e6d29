package check

import (
	"fmt"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/rules"
)

func groundProtected() *Rule {
	return &Rule{
		ID:    "ground.protected",
		Title: "Nothing is planted on a protected place",
		Why: "Roots and digging harm what lies under a monument, and planting harms what grows on species-rich ground; on designated land it can be an " +
			"offence. Planting inside stops, and so does a grove drawn over it or a line drawn across it. Round a monument 20 m are kept clear as " +
			"practice (a warning).",
		Severity: planner.Stop,
		Limits:   []string{"monument_buffer_m"},
		Sources: []planner.Source{
			{Text: "National Farmers' Union, notes on free trees for farms: avoid all known archaeology", Confidence: planner.Published},
			{Text: "Forestry guidance on the historic environment, England, 23 April 2024, in force 1 October 2024", Confidence: planner.Published},
		},
		Run: runGroundProtected,
	}
}

// protectedPair is one planting and one protected place.
type protectedPair struct {
	feature, place *planner.Feature
}

// protectedHit is what of a planting lies in or near a protected place.
type protectedHit struct {
	protectedPair
	inside, near []int
	nearest      float64
	across       bool // what is drawn meets it, though no plant stands in it
}

func runGroundProtected(p *Pass) {
	list := p.Shared.Obstacles(planner.KindProtected)
	if len(list.List) == 0 {
		return
	}
	buffer, known := p.Limit("monument_buffer_m")
	reach := planner.Tolerance
	if known {
		reach = max(reach, buffer.Value)
	}
	hits := map[protectedPair]*protectedHit{}
	var order []*protectedHit
	get := func(f, place *planner.Feature) *protectedHit {
		k := protectedPair{f, place}
		if hits[k] == nil {
			hits[k] = &protectedHit{protectedPair: k}
			order = append(order, hits[k])
		}
		return hits[k]
	}
	p.EachNear(list, reach, listed, func(int) float64 { return reach }, func(i, k int, n Nearness) {
		f, place := p.Shared.Plants[i].Feature, list.List[k]
		switch {
		case n.Inside || n.DistM <= planner.Tolerance:
			h := get(f, place)
			h.inside = append(h.inside, i)
		case known && because(place) == "monument" && !holds(buffer, n.DistM):
			h := get(f, place)
			if h.near = append(h.near, i); len(h.near) == 1 || n.DistM < h.nearest {
				h.nearest = n.DistM
			}
		}
	})
	marks := marksOf(list)
	for _, f := range p.Plan.Of(planner.KindHedge, planner.KindWindbreak, planner.KindOrchard, planner.KindGrove, planner.KindRow) {
		if f.IsPlanned() {
			for _, k := range drawnOver(f, list, marks) {
				get(f, list.List[k]).across = true
			}
		}
	}
	for _, h := range order {
		p.reportProtected(h, buffer)
	}
}

func because(f *planner.Feature) string {
	if d, ok := f.Detail.(*planner.Protected); ok {
		return d.Because
	}
	return ""
}

// A mark is a protected place without an area: a point or a line, and the box round it.
type mark struct {
	k   int
	box orb.Bound
}

// marksOf lists the protected points and lines.
func marksOf(list *Obstacles) []mark {
	var out []mark
	for k, f := range list.List {
		if list.areas[k] == nil {
			out = append(out, mark{k, f.Shape.Bound()})
		}
	}
	return out
}

// drawnOver lists the protected points and lines that a planned feature is drawn over: a block that holds one, a line that crosses
// one. Protected ground is left to the plants that stand in it.
func drawnOver(f *planner.Feature, list *Obstacles, marks []mark) []int {
	if len(marks) == 0 {
		return nil
	}
	var out []int
	box := f.Shape.Bound()
	var region *geo.Region
	if len(f.Shape.Polygons) > 0 {
		region = geo.NewRegion(f.Shape.Polygons)
	}
	box = box.Pad(planner.Tolerance)
	for _, m := range marks {
		if !box.Intersects(m.box) {
			continue
		}
		k, place := m.k, list.List[m.k]
		if region != nil && regionMeets(region, place.Shape) || region == nil && linesMeet(f.Shape, place.Shape) {
			out = append(out, k)
		}
	}
	return out
}

func regionMeets(r *geo.Region, s planner.Shape) bool {
	for _, q := range s.Points {
		if r.Contains(q) {
			return true
		}
	}
	for _, l := range s.Lines {
		if len(r.LineInside(geo.NewChain(l))) > 0 {
			return true
		}
	}
	return false
}

// linesMeet reports whether lines cross, or pass a point within the tolerance. Cost: the corners of one side, times a look into an
// index of the other.
func linesMeet(a, b planner.Shape) bool {
	own := geo.NewSegments(lineEdges(a.Lines))
	for _, q := range b.Points {
		if i, d := own.Nearest(q); i >= 0 && d <= planner.Tolerance {
			return true
		}
	}
	meet := false
	for _, g := range lineEdges(b.Lines) {
		own.Crossing(g.A, g.B, func(i int) {
			s := own.At(i)
			if _, ok := crossAt(g.A, g.B, s.A, s.B); ok {
				meet = true
			}
		})
	}
	return meet
}

// protectedWords says why a place is protected, and whom to ask.
func protectedWords(f *planner.Feature) (what, ask string) {
	switch because(f) {
	case "monument":
		return "a monument", "the historic environment record and the state body for monuments"
	case "designated":
		return "a designated place", "the nature conservation body that designated it"
	case "species-rich":
		return "species-rich ground", "an ecologist, or the nature conservation body"
	}
	return "a protected place", "the body that protects it"
}

func (p *Pass) reportProtected(h *protectedHit, buffer rules.Limit) {
	what, ask := protectedWords(h.place)
	f := planner.Finding{Severity: planner.Stop, Features: []string{h.feature.ID, h.place.ID}, Cautions: []string{"Not legal advice: ask " + ask + " before any digging or planting."},
		Source: planner.Source{Text: "the plan says that it is protected", Confidence: planner.User}}
	subject := func(which []int) string { return p.Shared.plantsOf(h.feature, which) }
	switch {
	case len(h.inside) > 0:
		f.Count, f.Measured, f.Unit, f.Places = len(h.inside), planner.Figure(float64(len(h.inside))), "plants", p.Shared.places(h.inside)
		f = At(f, p.Shared.At[h.inside[0]])
		f.Message = fmt.Sprintf("%s on %s, which is %s. Do not plant there: move or shorten it, and ask %s.", subject(h.inside), quoted(h.place), what, ask)
	case h.across:
		if q, ok := h.place.Shape.First(); ok {
			f = At(f, q)
		}
		f.Message = fmt.Sprintf("%s is drawn over %s, which is %s. Do not plant there: redraw it so that it keeps clear, and ask %s.", quotedAtStart(h.feature), quoted(h.place), what, ask)
	default:
		f.Severity, f.Place, f.Source = planner.Warn, "near", buffer.Source
		f.Count, f.Measured, f.Limit, f.Unit, f.Worse, f.Places = len(h.near), planner.Figure(h.nearest), planner.Figure(buffer.Value), "m", "less", p.Shared.places(h.near)
		f = At(f, p.Shared.At[h.near[0]])
		f.Message = fmt.Sprintf("%s %s from %s, which is %s; %s are kept clear from its outermost visible edge. Move it off, and ask %s.", subject(h.near),
			metresBeside(h.nearest, buffer.Value), quoted(h.place), what, metres(buffer.Value), ask)
	}
	p.Report(f)
}
