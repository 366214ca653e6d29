package site

import (
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"

	"quickthorn/geo"
	"quickthorn/planner"
)

func boxShape(x0, y0, x1, y1 float64) planner.Shape {
	return planner.Shape{Polygons: orb.MultiPolygon{{{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}}}}}
}

// A plant half a metre outside a field's edge stands in the field's ground, the patch along that edge included; one farther out
// stands in ground that nobody drew.
func TestUnderPlantBesideTheEdge(t *testing.T) {
	wet := &planner.Feature{ID: "wet", Kind: planner.KindParcel, Sound: true, Shape: boxShape(0, 0, 100, 100), Detail: &planner.Parcel{Ground: planner.Ground{Moisture: planner.Wet, Soil: planner.Clay}}}
	wet.State("moisture", "soil")
	dry := &planner.Feature{ID: "dry", Kind: planner.KindParcel, Sound: true, Shape: boxShape(101, 0, 200, 100), Detail: &planner.Parcel{Ground: planner.Ground{Moisture: planner.Dry, Soil: planner.Loam}}}
	dry.State("moisture", "soil")
	patch := &planner.Feature{ID: "patch", Kind: planner.KindGround, Sound: true, Shape: boxShape(0, 90, 100, 100), Detail: &planner.Patch{Ground: planner.Ground{Moisture: planner.Waterlogged}}}
	patch.State("moisture")
	s := New(planner.New(planner.DefaultHolding(), geo.Frame{}, wet, dry, patch), nil)
	for _, c := range []struct {
		p     orb.Point
		known bool
		want  planner.Moisture
	}{
		{orb.Point{50, 50}, true, planner.Wet},
		{orb.Point{-0.2, 50}, true, planner.Wet},          // the outer row of a hedge on the boundary
		{orb.Point{-0.5, 50}, true, planner.Wet},          // exactly at the reach
		{orb.Point{-0.51, 50}, false, planner.Moist},      // beyond it: the default, not known
		{orb.Point{50, 100.3}, true, planner.Waterlogged}, // the patch along the edge
		{orb.Point{100.4, 50}, true, planner.Wet},         // between two fields: the nearer
		{orb.Point{100.6, 50}, true, planner.Dry},
		{orb.Point{100.5, 50}, true, planner.Dry},     // as near to both: the smaller field
		{orb.Point{-0.3, -0.3}, true, planner.Wet},    // off a corner, 0.42 m
		{orb.Point{-0.4, -0.4}, false, planner.Moist}, // off a corner, 0.57 m
	} {
		u := s.UnderPlant(c.p)
		assert.Equal(t, c.known, u.Known, "%v", c.p)
		assert.Equal(t, c.want, u.Moisture, "%v", c.p)
	}
	assert.Equal(t, s.At(orb.Point{50, 50}), s.Beside(orb.Point{50, 50}, 0.5), "inside nothing changes")
}
