package sheets

import (
	"math"
	"slices"

	"github.com/paulmach/orb"

	"quickthorn/geo"
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

func (s *sketch) drawLayout(l *setout.Layout) {
	f := l.Feature
	if f.Kind == planner.KindHedge {
		s.drawHedge(l)
	}
	// A windbreak or row of which no plants are known is there all the same: without a line of its own it would be missing from the drawing.
	if len(l.Plants) == 0 && (f.Kind == planner.KindWindbreak || f.Kind == planner.KindRow) {
		for _, line := range f.Shape.Lines {
			s.used["unplanted"] = true
			s.lines = append(s.lines, named(string(f.Kind), f.ID, lineSign("", s.v.line(line), 0, "")))
		}
	}
	if l.Line != nil {
		s.drawOpenings(l)
	}
	s.drawPlants(l)
}

// drawLooseGap draws a gap that opens no hedge where it lies, so that it can be seen and moved.
func (s *sketch) drawLooseGap(f *planner.Feature) {
	if !s.sees(f) {
		return
	}
	var items []paper.Item
	for _, l := range f.Shape.Lines {
		pts := s.v.line(l)
		items = append(items, bracket(pts[0], pts[len(pts)-1], false, 0)...)
	}
	for _, p := range f.Shape.Points {
		at := s.v.at(p)
		half := 1.5 // mm, where its width is not known
		if d, ok := f.Detail.(*planner.Gap); ok && d.WidthM > 0 {
			half = d.WidthM / 2 * s.v.k
		}
		items = append(items, bracket(paper.Point{X: at.X - half, Y: at.Y}, paper.Point{X: at.X + half, Y: at.Y}, false, 0)...)
	}
	s.used["gap"] = true
	s.openings = append(s.openings, named("gap", f.ID, items))
}

// drawHedge draws the beads of a hedge between its openings.
func (s *sketch) drawHedge(l *setout.Layout) {
	f := l.Feature
	standing := !f.IsPlanned()
	width := widthOf(f) * s.v.k
	var items []paper.Item
	for _, run := range runsOf(l) {
		if !run.Bound().Pad(2 / s.v.k).Intersects(s.v.bound) {
			continue
		}
		items = append(items, beads(chainOf(s.v.line(run)), width, standing)...)
	}
	if len(items) == 0 {
		return
	}
	s.used[map[bool]string{true: "hedge-old", false: "hedge-new"}[standing]] = true
	s.growing = append(s.growing, named("hedge", f.ID, items))
	for _, i := range items {
		if r, ok := i.(paper.Ring); ok {
			s.busy = append(s.busy, paper.Box{X: r.At.X - r.R, Y: r.At.Y - r.R, W: 2 * r.R, H: 2 * r.R})
		}
	}
}

// runsOf is the line of a hedge without its openings; as drawn where it could not be measured.
func runsOf(l *setout.Layout) []orb.LineString {
	if l.Line == nil {
		return l.Feature.Shape.Lines
	}
	c := geo.NewChain(l.Line.Path)
	var out []orb.LineString
	from := 0.0
	for _, o := range l.Line.Openings {
		if o.FromM > from && o.FromM <= c.Length()+planner.Tolerance {
			out = append(out, c.Sub(from, min(o.FromM, c.Length())))
		}
		from = math.Max(from, o.ToM)
	}
	if from < c.Length() {
		out = append(out, c.Sub(from, c.Length()))
	}
	return out
}

func (s *sketch) drawOpenings(l *setout.Layout) {
	width := widthOf(l.Feature) * s.v.k
	for _, o := range l.Line.Openings {
		if o.Length() < planner.Tolerance || !(orb.MultiPoint{o.A, o.B}).Bound().Pad(2/s.v.k).Intersects(s.v.bound) {
			continue
		}
		a, b := s.v.at(o.A), s.v.at(o.B)
		key, items := "gap", bracket(a, b, false, width)
		switch {
		case o.Gateway != "":
			key, items = "gateway", posts(a, b)
		case o.Plants > 0:
			key, items = "gap-filled", bracket(a, b, true, width)
		}
		s.used[key] = true
		s.openings = append(s.openings, named(key, l.Feature.ID, items))
		s.busy = append(s.busy, around(a, b).Inset(-1.8))
	}
}

// leastApart is the least distance on the paper between two signs of plants, mm.
const leastApart = 1.5

// drawPlants draws the plants of a layout, those of hedges left out: beads stand for them. Where signs would run into each other,
// one stands for several; crowns are drawn of all.
func (s *sketch) drawPlants(l *setout.Layout) {
	var items []paper.Item
	var last *paper.Point
	lastRow := -1
	for i := range l.Plants {
		p := &l.Plants[i]
		if p.Use == setout.UseHedge || p.Use == setout.UseFill {
			continue
		}
		r := 0.0
		if s.in.Crown != nil {
			if d, known := s.in.Crown(p); known {
				r = d / 2 * s.v.k
			}
		}
		if !s.v.bound.Pad(r / s.v.k).Contains(p.At) {
			continue
		}
		at := s.v.at(p.At)
		if last != nil && p.Row == lastRow && math.Hypot(at.X-last.X, at.Y-last.Y) < leastApart {
			s.thinned = true
			continue
		}
		last, lastRow = &at, p.Row
		sign := signOf(p)
		standing := !p.Listed
		if standing {
			s.used["tree-old"] = true
		} else {
			s.used[sign] = true
		}
		items = append(items, plantSign(sign, at, r, s.room(l, p), standing)...)
		s.busy = append(s.busy, paper.Box{X: at.X - 1.2, Y: at.Y - 1.2, W: 2.4, H: 2.4})
		if l.Feature.Kind == planner.KindPlant {
			s.lone = append(s.lone, s.busy[len(s.busy)-1])
		}
	}
	if len(items) > 0 {
		s.growing = append(s.growing, named(string(l.Feature.Kind), l.Feature.ID, items))
	}
}

// room is the radius that a plant's sign may take so that it does not run into its neighbours'.
func (s *sketch) room(l *setout.Layout, p *setout.Plant) float64 {
	gap := l.SpacingM
	for _, r := range l.Rows {
		if r.Row == p.Row && r.SpacingM > 0 {
			gap = r.SpacingM
		}
	}
	if gap <= 0 {
		return 1.3
	}
	return gap * s.v.k * 0.45
}

// around is the box round points.
func around(pts ...paper.Point) paper.Box {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range pts {
		x0, y0, x1, y1 = min(x0, p.X), min(y0, p.Y), max(x1, p.X), max(y1, p.Y)
	}
	return paper.Box{X: x0, Y: y0, W: x1 - x0, H: y1 - y0}
}
