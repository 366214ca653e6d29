package site

import (
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// sampleCells is how many cells a shape's box is cut into where its overlap with the ground has to be sampled.
const sampleCells = 40000

// MoistureAreas splits a shape's area by ground class, in square metres. The parts add up to the shape's area: patches
// count from the wettest down, then parcels (the smaller first), and what lies outside both has the default class. The
// second result is false where the areas are sampled on a grid, because the shapes have more corners than an overlay takes
// (geo.MaxOverlay): each class is then right to about the outline's length times the side of a cell.
func (s *Site) MoistureAreas(shape orb.MultiPolygon) (map[planner.Moisture]float64, bool) {
	out := map[planner.Moisture]float64{}
	rest := geo.MultiArea(shape)
	left := shape
	box := shape.Bound()
	for _, g := range s.classes() {
		if rest <= 0 || len(left) == 0 {
			break
		}
		if !box.Intersects(g.shape.Bound()) {
			continue
		}
		after, err := geo.Difference(left, g.shape)
		if err != nil {
			return s.sampled(shape), false
		}
		remaining := geo.MultiArea(after)
		out[g.class] += max(0, rest-remaining)
		rest, left = min(rest, remaining), after
	}
	if rest > 0 {
		out[planner.Moist] += rest
	}
	return out, true
}

// classed is a polygon with the ground class that holds in it unless one before it in the list does.
type classed struct {
	class planner.Moisture
	shape orb.MultiPolygon
}

// classes lists patches from the wettest down, then parcels from the smallest up.
func (s *Site) classes() []classed {
	var out []classed
	for r := len(planner.Moistures) - 1; r >= 0; r-- {
		for i := range s.patches {
			if c := s.moisture[s.patches[i].Feature]; c.basis != Assumed && c.moisture == planner.Moistures[r] {
				out = append(out, classed{c.moisture, s.patches[i].Shape})
			}
		}
	}
	for i := range s.parcels {
		m, _ := s.parcelMoisture(s.parcels[i].Feature)
		out = append(out, classed{m, s.parcels[i].Shape})
	}
	return out
}

// sampled asks for the ground at the middle of every cell of a grid over the shape, and shares the shape's area out by the
// answers.
func (s *Site) sampled(shape orb.MultiPolygon) map[planner.Moisture]float64 {
	box := shape.Bound()
	w, h := box.Max[0]-box.Min[0], box.Max[1]-box.Min[1]
	side := math.Sqrt(w * h / sampleCells)
	region := geo.NewRegion(shape)
	count, total := map[planner.Moisture]float64{}, 0.0
	for y := box.Min[1] + side/2; y < box.Max[1]; y += side {
		for x := box.Min[0] + side/2; x < box.Max[0]; x += side {
			p := orb.Point{x, y}
			if region.Contains(p) {
				count[s.At(p).Moisture]++
				total++
			}
		}
	}
	if total == 0 {
		return map[planner.Moisture]float64{planner.Moist: geo.MultiArea(shape)}
	}
	for m := range count {
		count[m] *= geo.MultiArea(shape) / total
	}
	return count
}
