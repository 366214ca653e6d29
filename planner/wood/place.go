package wood

import (
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// ground looks how wet a section lies: wet where half of the places looked at are wet or waterlogged.
func (d *sectioner) ground(s *Section) {
	if d.Site == nil {
		return
	}
	var at []orb.Point
	if s.Hedge() {
		c := geo.NewChain(s.Path)
		for k := range 5 {
			at = append(at, c.At(c.Length()*(float64(k)+0.5)/5))
		}
	} else {
		at = append(at, s.Middle())
	}
	wet := 0
	for _, p := range at {
		if m := d.Site.UnderPlant(p).Moisture; m == planner.Wet || m == planner.Waterlogged {
			wet++
		}
	}
	s.Wet = 2*wet >= len(at)
}

// wires measures how far each section lies from overhead lines.
func (d *sectioner) wires(list []Section) {
	var segs []geo.Segment
	for k, f := range d.Plan.Of(planner.KindOverheadLine) {
		for _, l := range f.Shape.Lines {
			segs = append(segs, geo.LineSegments(l, k)...)
		}
	}
	for i := range list {
		list[i].WiresM = math.Inf(1)
		for _, a := range list[i].segments(i) {
			for _, b := range segs {
				list[i].WiresM = math.Min(list[i].WiresM, apart(a, b))
			}
		}
	}
}

// segments are the pieces of a section's line or outline.
func (s *Section) segments(tag int) []geo.Segment {
	if s.Hedge() {
		return geo.LineSegments(s.Path, tag)
	}
	var out []geo.Segment
	for _, p := range s.Shape {
		out = append(out, geo.PolygonSegments(p, tag)...)
	}
	return out
}

// apart is the distance between two segments; 0 where they cross.
func apart(a, b geo.Segment) float64 {
	if geo.Orientation(a.A, a.B, b.A)*geo.Orientation(a.A, a.B, b.B) < 0 && geo.Orientation(b.A, b.B, a.A)*geo.Orientation(b.A, b.B, a.B) < 0 {
		return 0
	}
	d1, _ := geo.DistToSegment(a.A, b.A, b.B)
	d2, _ := geo.DistToSegment(a.B, b.A, b.B)
	d3, _ := geo.DistToSegment(b.A, a.A, a.B)
	d4, _ := geo.DistToSegment(b.B, a.A, a.B)
	return math.Min(math.Min(d1, d2), math.Min(d3, d4))
}
