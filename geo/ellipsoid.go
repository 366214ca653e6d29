package geo

import "math"

// Ellipsoid is a figure of the earth: the semi-major axis in metres and the
// flattening.
type Ellipsoid struct {
	A float64 // semi-major axis, metres
	F float64 // flattening, (a-b)/a
}

// The ellipsoids of the grids that plans of Britain and Ireland come in.
// Sources: WGS 84, NGA TR8350.2; GRS 80, Moritz 1980; Airy, Ordnance Survey
// "A guide to coordinate systems in Great Britain", annexe A, and EPSG 7001,
// 7002; Clarke and International, Snyder, USGS Professional Paper 1395, 1987.
var (
	WGS84             = Ellipsoid{A: 6378137, F: 1 / 298.257223563}
	GRS80             = Ellipsoid{A: 6378137, F: 1 / 298.257222101}
	Airy1830          = fromAxes(6377563.396, 6356256.909)
	AiryModified1849  = Ellipsoid{A: 6377340.189, F: 1 / 299.3249646}
	Clarke1866        = fromAxes(6378206.4, 6356583.8)
	International1924 = Ellipsoid{A: 6378388, F: 1.0 / 297}
)

func fromAxes(a, b float64) Ellipsoid { return Ellipsoid{A: a, F: (a - b) / a} }

// E2 is the first eccentricity squared.
func (e Ellipsoid) E2() float64 { return e.F * (2 - e.F) }

// N is the third flattening (a-b)/(a+b).
func (e Ellipsoid) N() float64 { return e.F / (2 - e.F) }

// RadiusM is the radius of curvature in the meridian, metres, at a latitude in
// degrees.
func (e Ellipsoid) RadiusM(latDeg float64) float64 {
	s := math.Sin(latDeg * math.Pi / 180)
	return e.A * (1 - e.E2()) / math.Pow(1-e.E2()*s*s, 1.5)
}

// RadiusN is the radius of curvature in the prime vertical, metres, at a
// latitude in degrees.
func (e Ellipsoid) RadiusN(latDeg float64) float64 {
	s := math.Sin(latDeg * math.Pi / 180)
	return e.A / math.Sqrt(1-e.E2()*s*s)
}
