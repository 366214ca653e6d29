package sheets

import (
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/paper"
	"quickthorn/planner/setout"
)

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
