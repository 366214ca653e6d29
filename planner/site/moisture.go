package site

import (
	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// MoistureAreas splits a shape's area by ground class, in square metres. The parts add up to the shape's area: patches
// count from the wettest down, then parcels (the smaller first), and what lies outside both has the default class. The
// second result is false where an overlap had to be sampled because the shapes have too many corners.
func (s *Site) MoistureAreas(shape orb.MultiPolygon) (map[planner.Moisture]float64, bool) {
	out := map[planner.Moisture]float64{}
	rest, exact := geo.MultiArea(shape), true
	left := shape
	take := func(m planner.Moisture, by orb.MultiPolygon) {
		if rest <= 0 || len(left) == 0 || !boxOf(left).Intersects(boxOf(by)) {
			return
		}
		a, ok := geo.OverlapArea(left, by)
		exact = exact && ok
		if a <= 0 {
			return
		}
		a = min(a, rest)
		out[m] += a
		rest -= a
		if d, ok := geo.Difference(left, by); ok {
			left = d
		} else {
			exact = false
		}
	}
	for r := len(planner.Moistures) - 1; r >= 0; r-- {
		for i := range s.patches {
			f := s.patches[i].Feature
			m, basis := patchMoisture(f, f.Detail.(*planner.Patch).Ground)
			if basis != Assumed && m == planner.Moistures[r] {
				take(m, s.patches[i].Shape)
			}
		}
	}
	for i := range s.parcels {
		f := s.parcels[i].Feature
		m, _ := moistureOf(f, f.Detail.(*planner.Parcel).Ground)
		take(m, s.parcels[i].Shape)
	}
	if rest > 0.005 {
		out[planner.Moist] += rest
	}
	return out, exact
}

func boxOf(m orb.MultiPolygon) orb.Bound { return m.Bound() }
