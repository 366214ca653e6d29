package geo

import (
	"fmt"

	"github.com/paulmach/orb"
	sf "github.com/peterstace/simplefeatures/geom"
)

// MaxClip is the most corners of short edges that Clip takes: bands of a field, cut along the edge of a few hectares, take about a
// second for 45,000.
const MaxClip = 50_000

// Clip is the ground of fine that lies in land. It is for grounds of many corners whose edges are short and do not cross, such as
// Bands gives: what lies wholly on one side of the land's edge is kept or left out as it is, and the cost is little more than
// proportional to the corners of the rest. The land has at most MaxOverlay corners, and what crosses its edge at most MaxClip.
func Clip(fine, land orb.MultiPolygon) (orb.MultiPolygon, error) {
	if n := corners(land); n > MaxOverlay {
		return nil, fmt.Errorf("%w: %d of the land, the most is %d", ErrTooManyCorners, n, MaxOverlay)
	}
	region := NewRegion(land)
	var segs []Segment
	for _, p := range land {
		segs = append(segs, PolygonSegments(p, 0)...)
	}
	var out, crossing orb.MultiPolygon
	for _, p := range fine {
		if len(p) == 0 || len(p[0]) == 0 {
			continue
		}
		box, near := p.Bound().Pad(overlaySnap), false
		for _, s := range segs {
			if near = box.Intersects(orb.LineString{s.A, s.B}.Bound()); near {
				break
			}
		}
		switch {
		case near:
			crossing = append(crossing, p)
		case region.Contains(p[0][0]):
			out = append(out, p)
		}
	}
	if n := corners(crossing); n > MaxClip {
		return nil, fmt.Errorf("%w: %d, the most is %d", ErrTooManyCorners, n, MaxClip)
	}
	if len(crossing) == 0 {
		return out, nil
	}
	cut, err := overlaid(crossing, land, sf.Intersection)
	if err != nil {
		return nil, err
	}
	return append(out, cut...), nil
}
