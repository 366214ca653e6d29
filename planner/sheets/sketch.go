package sheets

import (
	"math"
	"slices"

	"quickthorn/planner"
	"quickthorn/planner/paper"
	"quickthorn/planner/setout"
)

// A sketch is the map of one sheet being drawn: layers from the ground up, the signs it used, and what lies where texts should not.
type sketch struct {
	in       Input
	v        view
	used     map[string]bool
	land     []paper.Item
	lines    []paper.Item
	growing  []paper.Item
	openings []paper.Item
	top      []paper.Item // findings and texts
	busy     []paper.Box  // what texts keep off where they can
	lone     []paper.Box  // of them the signs of single plants, wells and tanks, which markers keep off where they can
	strokes  []band       // lines, which they keep off where they still can
	inner    []paper.Box  // beds and blocks: what the names of fields keep off as well
	labels   labels
	thinned  bool            // one sign stands for several plants
	sparse   bool            // names are left out where they would lie over signs
	about    string          // id of the feature whose name comes first
	pegged   map[string]bool // ids of features that pegs stand for: not named
}

// sketchOf draws the map of a view, without findings and texts.
func sketchOf(in Input, v view) *sketch {
	s := &sketch{in: in, v: v, used: map[string]bool{}}
	s.drawLand()
	for _, f := range in.Plan.Features {
		if s.sees(f) {
			s.drawLines(f)
			s.drawSpots(f)
		}
	}
	if in.Out != nil {
		for _, l := range in.Out.Layouts {
			s.drawLayout(l)
		}
		for _, f := range setout.LooseGaps(in.Plan, in.Out) {
			s.drawLooseGap(f)
		}
	}
	return s
}

// items are the layers in order, cut off at the frame.
func (s *sketch) items() []paper.Item {
	frame := s.v.frame
	return []paper.Item{paper.Group{Class: "map", Clip: &frame, Items: []paper.Item{
		paper.Group{Class: "land", Items: s.land}, paper.Group{Class: "lines", Items: s.lines},
		paper.Group{Class: "growing", Items: s.growing}, paper.Group{Class: "openings", Items: s.openings}, paper.Group{Class: "texts", Items: s.top},
	}}}
}

func (s *sketch) sees(f *planner.Feature) bool {
	return !f.Shape.Empty() && f.Shape.Bound().Pad(halfWidth(f)).Intersects(s.v.bound)
}

func named(kind, id string, items []paper.Item) paper.Item {
	return paper.Group{Class: kind, ID: id, Items: items}
}

// layers are the kinds of areas in the order in which they lie on each other.
var layers = []planner.Kind{planner.KindParcel, planner.KindGround, planner.KindProtected, planner.KindBed, planner.KindOrchard, planner.KindGrove,
	planner.KindWatercourse, planner.KindSeptic, planner.KindBuilding}

func (s *sketch) drawLand() {
	byKind := map[planner.Kind][]*planner.Feature{}
	var strange []*planner.Feature
	for _, f := range s.in.Plan.Features {
		if len(f.Shape.Polygons) == 0 || !s.sees(f) {
			continue
		}
		if _, known := planner.SpecOf(f.Kind); known {
			byKind[f.Kind] = append(byKind[f.Kind], f)
		} else {
			strange = append(strange, f)
		}
	}
	for _, f := range strange {
		s.area(f, "strange")
	}
	for _, k := range layers {
		for _, f := range byKind[k] {
			switch k {
			case planner.KindParcel:
				s.area(f, s.moisture(f))
			case planner.KindGround:
				s.area(f, s.moisture(f), "patch")
			case planner.KindOrchard, planner.KindGrove:
				s.area(f, "block")
			case planner.KindWatercourse:
				s.area(f, "pond")
			default:
				s.area(f, string(k))
			}
		}
	}
	// A field's boundary lies over the patches in it.
	for _, f := range byKind[planner.KindParcel] {
		s.area(f, "parcel")
	}
}

// area draws an area under one or more keys; a key that has nothing to draw is left out.
func (s *sketch) area(f *planner.Feature, keys ...string) {
	rings := s.v.rings(f.Shape.Polygons)
	for _, k := range keys {
		if k == "" || k == "moist" {
			continue
		}
		if k != "patch" {
			s.used[k] = true
		}
		s.land = append(s.land, named(string(f.Kind), f.ID, areaSign(k, rings, s.v.frame)))
	}
	if keys[0] != "parcel" { // drawn once more, at the same place
		for _, r := range rings {
			s.strike(append(slices.Clone(r), r[0]), 0.5)
		}
	}
	switch f.Kind {
	case planner.KindBed, planner.KindOrchard, planner.KindGrove, planner.KindProtected:
		s.inner = append(s.inner, around(slices.Concat(rings...)...))
	}
	if f.Kind == planner.KindBuilding {
		for _, r := range rings {
			s.busy = append(s.busy, around(r...))
		}
	}
}

// moisture is the ground class of a field or patch: what it states, else for a field whose plants were noted the class of most of
// it; "" where it says nothing.
func (s *sketch) moisture(f *planner.Feature) string {
	var g planner.Ground
	switch d := f.Detail.(type) {
	case *planner.Parcel:
		g = d.Ground
	case *planner.Patch:
		g = d.Ground
	}
	if f.Stated("moisture") {
		return string(g.Moisture)
	}
	if len(g.Sward) > 0 && s.in.Site != nil && f.Sound {
		areas, _ := s.in.Site.MoistureAreas(f.Shape.Polygons)
		best := planner.Moist
		for _, m := range planner.Moistures {
			if areas[m] > areas[best] {
				best = m
			}
		}
		return string(best)
	}
	return ""
}

// growsFromLayout are the kinds whose lines are drawn from what was set out.
func growsFromLayout(k planner.Kind) bool {
	switch k {
	case planner.KindHedge, planner.KindWindbreak, planner.KindRow, planner.KindGap:
		return true
	}
	return false
}

func (s *sketch) drawLines(f *planner.Feature) {
	if growsFromLayout(f.Kind) {
		return
	}
	mark := ""
	if d, ok := f.Detail.(*planner.Service); ok {
		mark = serviceMarks[d.Carries]
		if mark == "" {
			mark = "?"
		}
	}
	for _, l := range f.Shape.Lines {
		if f.Kind == planner.KindGateway {
			if len(l) > 1 {
				s.used["gateway"] = true
				s.openings = append(s.openings, named("gateway", f.ID, posts(s.v.at(l[0]), s.v.at(l[len(l)-1]))))
			}
			continue
		}
		key := string(f.Kind)
		if _, known := planner.SpecOf(f.Kind); !known {
			key = "strange"
		}
		s.used[key] = true
		pts := s.v.line(l)
		s.lines = append(s.lines, named(string(f.Kind), f.ID, lineSign(f.Kind, pts, widthOf(f)*s.v.k, mark)))
		if f.Kind != planner.KindRoad { // its name stands on it where it is wide
			s.strike(pts, max(0.8, widthOf(f)*s.v.k))
		}
	}
}

func (s *sketch) drawSpots(f *planner.Feature) {
	for _, p := range f.Shape.Points {
		at := s.v.at(p)
		switch f.Kind {
		case planner.KindPlant, planner.KindGap:
			continue
		case planner.KindGateway:
			if s.cuts(f.ID) {
				continue // drawn where it cuts a line
			}
			half := 1.8 * s.v.k
			if d, ok := f.Detail.(*planner.Gateway); ok {
				half = d.WidthM / 2 * s.v.k
			}
			s.used["gateway"] = true
			s.openings = append(s.openings, named("gateway", f.ID, posts(paper.Point{X: at.X - half, Y: at.Y}, paper.Point{X: at.X + half, Y: at.Y})))
		default:
			key := string(f.Kind)
			if key != "well" && key != "septic" && key != "protected" {
				key = "strange"
			}
			s.used[key] = true
			s.lines = append(s.lines, named(string(f.Kind), f.ID, spotSign(key, at)))
			s.busy = append(s.busy, paper.Box{X: at.X - 1.5, Y: at.Y - 1.5, W: 3, H: 3})
			s.lone = append(s.lone, s.busy[len(s.busy)-1])
		}
	}
}

// cuts tells whether a gateway makes an opening in some line.
func (s *sketch) cuts(gateway string) bool {
	if s.in.Out == nil {
		return false
	}
	for _, l := range s.in.Out.Layouts {
		if l.Line == nil {
			continue
		}
		for _, o := range l.Line.Openings {
			if o.Gateway == gateway {
				return true
			}
		}
	}
	return false
}

// around is the box round points.
func around(pts ...paper.Point) paper.Box {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range pts {
		x0, y0, x1, y1 = min(x0, p.X), min(y0, p.Y), max(x1, p.X), max(y1, p.Y)
	}
	return paper.Box{X: x0, Y: y0, W: x1 - x0, H: y1 - y0}
}
