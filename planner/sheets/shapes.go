package sheets

import (
	"github.com/paulmach/orb"
	"github.com/paulmach/orb/clip"

	"quickthorn/planner"
)

// halfWidth is half the width that a feature has on the ground, beyond what is drawn of it.
func halfWidth(f *planner.Feature) float64 { return widthOf(f) / 2 }

// widthOf is the width of a line on the ground in metres; 0 where it has none or none is known.
func widthOf(f *planner.Feature) float64 {
	switch d := f.Detail.(type) {
	case *planner.Watercourse:
		return d.WidthM
	case *planner.Ditch:
		return d.WidthM
	case *planner.Way:
		return d.WidthM
	case *planner.Hedge:
		return d.WidthM
	}
	return 0
}

// reaches tells whether a shape, widened by half, has a part in a box. Areas count with their inside.
func reaches(s planner.Shape, b orb.Bound, half float64) bool {
	b = b.Pad(half)
	for _, p := range s.Points {
		if b.Contains(p) {
			return true
		}
	}
	for _, l := range s.Lines {
		if len(clip.LineString(b, append(orb.LineString(nil), l...))) > 0 {
			return true
		}
	}
	for _, g := range s.Polygons {
		if len(g) == 0 {
			continue
		}
		// A copy, since clipping works in place.
		if r := clip.Ring(b, append(orb.Ring(nil), g[0]...)); len(r) > 2 {
			return true
		}
	}
	return false
}

// clipLine is what of a line lies in a box.
func clipLine(l orb.LineString, b orb.Bound) []orb.LineString {
	return clip.LineString(b, append(orb.LineString(nil), l...))
}
