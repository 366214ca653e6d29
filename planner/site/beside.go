package site

import (
	"github.com/paulmach/orb"

	"quickthorn/geo"
)

// past is how far beyond an edge the ground is read for a point outside it, in metres: enough to be inside in spite of rounding.
const past = 0.01

// Beside is At, except that a point outside every parcel and patch, but at most reach metres from a parcel's edge, has the ground
// just inside that edge: the outer row of a hedge on a boundary stands in the field's ground. The nearest parcel counts, the
// smaller of two as near. Cost: as At; for points outside, a look at the parcels whose box is within reach.
func (s *Site) Beside(p orb.Point, reach float64) Under {
	u := s.At(p)
	if u.Known {
		return u
	}
	best, inside, found := reach, orb.Point{}, false
	for i := range s.parcels {
		a := &s.parcels[i]
		if !a.Region.Box().Pad(reach).Contains(p) {
			continue
		}
		k, d := a.Region.Edges().Nearest(p)
		if k < 0 || d > best || found && d == best {
			continue
		}
		g := a.Region.Edges().At(k)
		_, t := geo.DistToSegment(p, g.A, g.B)
		q := orb.Point{g.A[0] + t*(g.B[0]-g.A[0]), g.A[1] + t*(g.B[1]-g.A[1])}
		if d > 0 {
			q = orb.Point{q[0] + past*(q[0]-p[0])/d, q[1] + past*(q[1]-p[1])/d}
		}
		best, inside, found = d, q, true
	}
	if !found {
		return u
	}
	if in := s.At(inside); in.Known {
		return in
	}
	return u
}

// parcelReach is how far beyond a parcel's edge a plant may stand and still have its ground, in metres: the same as for the list
// of what counts to a field.
const parcelReach = 0.5

// UnderPlant is the ground that a plant at p stands in: At, half a metre beyond a parcel's edge forgiven.
func (s *Site) UnderPlant(p orb.Point) Under { return s.Beside(p, parcelReach) }
