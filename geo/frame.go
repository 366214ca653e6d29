package geo

import "github.com/paulmach/orb"

// Frame is the flat ground that a holding is measured on: a transverse Mercator
// projection on WGS 84 with scale 1 on the meridian of its origin, and the
// origin at (0, 0). Points are [east, north] in metres.
//
// Within 5 km of the origin a length differs from the geodesic by less than 1
// part per million and an area by less than 2; Scale tells how much further
// out. Grid north is true north on the meridian of the origin; ConvergenceDeg
// tells the difference elsewhere.
type Frame struct {
	origin orb.Point
	proj   Projection
}

// NewFrame makes the frame with its origin at a longitude and latitude in
// degrees. It refuses an origin that is not a place on earth.
func NewFrame(origin orb.Point) (Frame, error) {
	p, err := NewProjection(WGS84, origin, 1, 0, 0)
	if err != nil {
		return Frame{}, err
	}
	return Frame{origin: origin, proj: p}, nil
}

// Origin is the longitude and latitude of (0, 0), degrees.
func (f Frame) Origin() orb.Point { return f.origin }

// ToLocal turns longitude and latitude (degrees) into metres east and north of
// the origin.
func (f Frame) ToLocal(lonlat orb.Point) orb.Point { return f.proj.Forward(lonlat) }

// ToLonLat turns metres east and north of the origin into longitude and
// latitude in degrees. Round trips return within 0.1 mm.
func (f Frame) ToLonLat(p orb.Point) orb.Point { return f.proj.Inverse(p) }

// Scale is the point scale at a local point: a length on the frame divided by
// the same length on the ellipsoid. It is 1 on the meridian of the origin and
// grows with the square of the distance east or west, to 1.0000003 at 5 km.
func (f Frame) Scale(p orb.Point) float64 {
	k, _ := f.proj.ScaleConvergence(f.proj.Inverse(p))
	return k
}

// ConvergenceDeg is the bearing of the frame's north at a local point, degrees
// clockwise from true north. Add it to a bearing on the frame to have the true
// bearing.
func (f Frame) ConvergenceDeg(p orb.Point) float64 {
	_, c := f.proj.ScaleConvergence(f.proj.Inverse(p))
	return c
}
