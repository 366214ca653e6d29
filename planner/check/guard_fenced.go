package check

import (
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// fencedWithinM is how far out a fence may stand and still count as the planting's own: as for hedges, since beyond it the ground
// between would be grazed as a field (common practice).
const fencedWithinM = 5.0

// isFenced reports whether stock is kept off a whole feature: looking outward from points all round it, a stockproof fence or
// wall stands within 5 m (and the width of a belt), or the ground a metre out is not grazed. At most some 200 points are looked at for each feature.
//
//	fence - - - - - - - - - - -
//	         ^     ^     ^          5 m outward from the plants
//	    o  o  o  o  o  o  o  o
//	         v     v     v
func (w *guardWork) isFenced(f *planner.Feature) bool {
	if done, ok := w.fenced[f]; ok {
		return done
	}
	if w.bars == nil {
		w.bars = barriers(w.Plan)
	}
	open, all := 0, 0
	width := 0.0 // of a belt, whose drawn line is its outer row
	if l := w.Out.Of(f.ID); l != nil {
		for _, r := range l.Rows {
			width = math.Max(width, math.Abs(r.OffsetM))
		}
	}
	for _, r := range outwards(f, fencedWithinM+width) {
		all++
		if w.lies(r.from, r.to) {
			open++
		}
	}
	w.fenced[f] = all > 0 && open == 0
	return w.fenced[f]
}

// lies reports whether a place lies open along a ray: nothing stockproof across it, and stock grazing a metre out.
func (w *guardWork) lies(from, to orb.Point) bool {
	shut := false
	w.bars.Crossing(from, to, func(i int) {
		g := w.bars.At(i)
		_, meets := crossAt(from, to, g.A, g.B)
		shut = shut || meets
	})
	if shut {
		return false
	}
	near := drawnOn(to, from, -math.Min(1, geo.Dist(from, to)))
	field := w.Site.ParcelAt(near)
	return field != nil && grazedByEaters(field)
}

func barriers(plan *planner.Plan) *geo.Segments {
	var segs []geo.Segment
	for _, f := range plan.Of(planner.KindFence, planner.KindWall) {
		if d, ok := f.Detail.(*planner.Fence); ok && d.Stockproof {
			for _, line := range f.Shape.Lines {
				segs = append(segs, geo.LineSegments(line, 0)...)
			}
		}
	}
	return geo.NewSegments(segs)
}

type ray struct{ from, to orb.Point }

// outwards are rays from a feature's edge into the ground round it: square to lines on both sides and on from their ends, outward
// from the edges of polygons, to eight sides from points. Rays from a polygon's edge start a little inside it.
func outwards(f *planner.Feature, reach float64) []ray {
	var out []ray
	for _, p := range f.Shape.Points {
		for k := range 8 {
			u := geo.Direction(float64(k) * 45)
			out = append(out, ray{p, moved(p, u, reach)})
		}
	}
	for _, l := range f.Shape.Lines {
		c := geo.NewChain(l)
		n := min(90, max(2, int(math.Ceil(c.Length()/2))))
		for i := range n {
			s := c.Length() * (float64(i) + 0.5) / float64(n)
			for _, d := range []float64{reach, -reach} {
				out = append(out, ray{c.At(s), c.Offset(s, d)})
			}
		}
		if m := len(l); m > 1 {
			out = append(out, ray{l[0], drawnOn(l[1], l[0], reach)}, ray{l[m-1], drawnOn(l[m-2], l[m-1], reach)})
		}
	}
	for _, g := range f.Shape.Polygons {
		for _, r := range g {
			c := geo.NewChain(orb.LineString(r))
			n := min(180, max(4, int(math.Ceil(c.Length()/2))))
			for i := range n { // outer rings run anticlockwise and holes clockwise, so that outward is to the right
				s := c.Length() * (float64(i) + 0.5) / float64(n)
				out = append(out, ray{c.Offset(s, planner.Tolerance), c.Offset(s, -reach)})
			}
		}
	}
	return out
}
