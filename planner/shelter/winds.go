package shelter

import (
	"quickthorn/geo"
	"quickthorn/planner"
)

// A Wind is one direction that is looked into and what it weighs against the others.
type Wind struct {
	FromDeg float64 // bearing it blows from
	Percent float64
}

// The fan that stands in for a wind rose: so many equal rays, so far to either side of the direction (common practice).
const (
	fanRays    = 9
	fanHalfDeg = 22.5
)

// Winds are the directions of a holding with their weights: the arms of its wind rose by their percent, or, without one, nine equal
// rays from 22.5 degrees left to 22.5 degrees right of wind_from_deg. Calms are not counted: where the arms add up to less than 100
// percent, they are weighed against each other alone. Arms of no percent are left out; their order is that of the rose.
func Winds(h *planner.Holding) []Wind {
	var out []Wind
	for _, a := range h.WindRose {
		if a.Percent > 0 {
			out = append(out, Wind{FromDeg: geo.NormBearing(a.FromDeg), Percent: a.Percent})
		}
	}
	if len(out) == 0 {
		return Fan(h.WindFromDeg)
	}
	return out
}

// Fan is nine equal rays from 22.5 degrees left to 22.5 degrees right of a bearing.
func Fan(fromDeg float64) []Wind {
	out := make([]Wind, fanRays)
	for i := range out {
		turn := fanHalfDeg * (2*float64(i)/(fanRays-1) - 1)
		out[i] = Wind{FromDeg: geo.NormBearing(fromDeg + turn), Percent: 100.0 / fanRays}
	}
	return out
}
