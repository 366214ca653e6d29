package interchange

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo"
)

// A Grid is a reference system that places come in: a flat grid in metres, or longitude and latitude. The zero value is not usable;
// GridByCode and GridNamed give those that are known.
type Grid struct {
	Code      int    // EPSG Geodetic Parameter Dataset
	Name      string // in words
	Flat      bool   // eastings and northings in metres; else longitude and latitude in degrees
	AccuracyM float64
	// Datum says how far the shift to WGS 84 can be trusted, and after whom; "" where there is none.
	Datum string

	proj  geo.Projection
	ell   geo.Ellipsoid
	shift *shift
	web   bool
	box   orb.Bound // what it is meant for, with room to spare; in its own numbers
}

// A shift takes one geodetic datum to another in space: translations in metres, rotations in seconds of arc, a scale in parts per
// million, in the position vector form (EPSG method 9606).
type shift struct{ tx, ty, tz, rx, ry, rz, ppm float64 }

// The datum shifts. Figures and accuracies: EPSG Geodetic Parameter Dataset v10.076 (31 August 2022), transformations 1314, 1641,
// 1954 and 1149. The first is Ordnance Survey's own ("A guide to coordinate systems in Great Britain", section 6.6) with the signs turned.
var (
	fromOSGB36 = shift{446.448, -125.157, 542.06, 0.15, 0.247, 0.842, -20.489}
	fromTM     = shift{482.5, -130.6, 564.6, -1.042, -0.214, -0.631, 8.15}
)

const (
	datumOSGB36 = "The shift from OSGB36 to WGS 84 is good to about 2 m and may be some metres out locally (EPSG dataset v10.076, transformation 1314); the Ordnance Survey's own grid of shifts is finer. The whole plan moves as one: lengths and areas do not suffer."
	datumTM65   = "The shift from TM65 to WGS 84 is good to about 1 m (EPSG dataset v10.076, transformation 1641). The whole plan moves as one: lengths and areas do not suffer."
	datumTM75   = "The shift from TM75 to WGS 84 is good to about 1 m (EPSG dataset v10.076, transformation 1954). The whole plan moves as one: lengths and areas do not suffer."
	datumETRS   = "ETRS89 is taken for WGS 84: they agree within about 1 m (EPSG dataset v10.076, transformation 1149). The whole plan moves as one: lengths and areas do not suffer."
)

// GridByCode is the grid of an EPSG code. Known are longitude and latitude (4326, 4258), British National Grid (27700), Irish Grid
// (29900, 29902, 29903), Irish Transverse Mercator (2157), UTM on WGS 84 (32601 to 32660, 32701 to 32760) and on ETRS89 (25828 to
// 25838), and Web Mercator (3857). Parameters of the projections: the same dataset.
func GridByCode(code int) (Grid, bool) {
	globe := orb.Bound{Min: orb.Point{-180, -90}, Max: orb.Point{180, 90}}
	switch {
	case code == 4326:
		return Grid{Code: code, Name: "longitude and latitude on WGS 84", box: globe}, true
	case code == 4258:
		return Grid{Code: code, Name: "longitude and latitude on ETRS89", AccuracyM: 1, Datum: datumETRS, box: globe}, true
	case code == 3857:
		return Grid{Code: code, Name: "Web Mercator", Flat: true, web: true, box: box(-20037509, -20048967, 20037509, 20048967)}, true
	case code == 27700:
		return grid(Grid{Code: code, Name: "British National Grid", AccuracyM: 2, Datum: datumOSGB36, ell: geo.Airy1830, shift: &fromOSGB36, box: box(-100000, -100000, 800000, 1400000)},
			orb.Point{-2, 49}, 0.9996012717, 400000, -100000)
	case code == 29900 || code == 29902 || code == 29903:
		g := Grid{Code: code, Name: "Irish Grid (TM65)", AccuracyM: 1, Datum: datumTM65, ell: geo.AiryModified1849, shift: &fromTM, box: box(-100000, -100000, 500000, 600000)}
		if code == 29903 {
			g.Name, g.Datum = "Irish Grid (TM75)", datumTM75
		}
		return grid(g, orb.Point{-8, 53.5}, 1.000035, 200000, 250000)
	case code == 2157:
		return grid(Grid{Code: code, Name: "Irish Transverse Mercator", AccuracyM: 1, Datum: datumETRS, ell: geo.GRS80, box: box(300000, 400000, 900000, 1100000)},
			orb.Point{-8, 53.5}, 0.99982, 600000, 750000)
	case code > 32600 && code <= 32660:
		return utm(Grid{Code: code, ell: geo.WGS84}, code-32600, "north", "WGS 84")
	case code > 32700 && code <= 32760:
		return utm(Grid{Code: code, ell: geo.WGS84}, code-32700, "south", "WGS 84")
	case code >= 25828 && code <= 25838:
		return utm(Grid{Code: code, ell: geo.GRS80, AccuracyM: 1, Datum: datumETRS}, code-25800, "north", "ETRS89")
	}
	return Grid{}, false
}

// KnownGrids lists in words what GridByCode knows.
const KnownGrids = "27700 (British National Grid), 29902 and 29903 (Irish Grid), 2157 (Irish Transverse Mercator), 32601 to 32660 and 32701 to 32760 (UTM), 25828 to 25838 (UTM on ETRS89), 3857 (Web Mercator), 4326 and 4258 (longitude and latitude)"

func box(w, s, e, n float64) orb.Bound {
	return orb.Bound{Min: orb.Point{w, s}, Max: orb.Point{e, n}}
}

func grid(g Grid, origin orb.Point, scale, east, north float64) (Grid, bool) {
	p, err := geo.NewProjection(g.ell, origin, scale, east, north)
	g.proj, g.Flat = p, true
	return g, err == nil
}

// utm is a zone of the Universal Transverse Mercator grid (NGA.SIG.0012, 2014): central meridian 6 zone - 183 degrees.
func utm(g Grid, zone int, half, datum string) (Grid, bool) {
	north := 0.0
	if half == "south" {
		north = 10_000_000
	}
	g.Name = fmt.Sprintf("UTM zone %d %s on %s", zone, half, datum)
	g.box = box(-500_000, -100_000, 1_500_000, 10_100_000)
	return grid(g, orb.Point{float64(6*zone - 183), 0}, 0.9996, 500_000, north)
}

var codeAlone = regexp.MustCompile(`^(?i:EPSG\s*:?\s*)?(\d{4,6})$`)

// GridNamed is the grid that a text names: a code (27700, EPSG:27700), or the name of a reference system as files have it (a URN or
// an address of OGC, CRS84).
func GridNamed(s string) (Grid, bool) {
	s = strings.TrimSpace(s)
	if lonLatNames.MatchString(s) {
		return GridByCode(4326)
	}
	m := codeAlone.FindStringSubmatch(s)
	if m == nil {
		m = codeOfCRS.FindStringSubmatch(s)
	}
	if m == nil {
		return Grid{}, false
	}
	code, err := strconv.Atoi(m[1])
	if err != nil {
		return Grid{}, false
	}
	return GridByCode(code)
}

// Bounds is what the grid is meant for, with room to spare, in its own numbers.
func (g Grid) Bounds() orb.Bound { return g.box }

// ToLonLat takes a position of the grid to longitude and latitude on WGS 84, degrees. It is false where the position is not finite or
// lies outside Bounds. The height is taken to be 0, which moves nothing sideways by more than a few millimetres.
func (g Grid) ToLonLat(p orb.Point) (orb.Point, bool) {
	if !(p[0] >= g.box.Min[0] && p[0] <= g.box.Max[0] && p[1] >= g.box.Min[1] && p[1] <= g.box.Max[1]) {
		return orb.Point{}, false
	}
	switch {
	case !g.Flat:
		return p, true
	case g.web:
		// EPSG method 1024 (Guidance Note 7-2, 2021, 3.2.1.2): a sphere of the ellipsoid's semi-major axis.
		return orb.Point{p[0] / geo.WGS84.A * 180 / math.Pi, math.Atan(math.Sinh(p[1]/geo.WGS84.A)) * 180 / math.Pi}, true
	}
	ll := g.proj.Inverse(p)
	if g.shift != nil {
		ll = toGeodetic(geo.WGS84, g.shift.apply(toSpace(g.ell, ll)))
	}
	ok := !slices.ContainsFunc(ll[:], func(v float64) bool { return math.IsNaN(v) || math.IsInf(v, 0) })
	return ll, ok
}

// apply is the shift of a point in space, metres.
func (s *shift) apply(p [3]float64) [3]float64 {
	const second = math.Pi / 180 / 3600
	k := 1 + s.ppm*1e-6
	rx, ry, rz := s.rx*second, s.ry*second, s.rz*second
	return [3]float64{
		s.tx + k*(p[0]-rz*p[1]+ry*p[2]),
		s.ty + k*(rz*p[0]+p[1]-rx*p[2]),
		s.tz + k*(-ry*p[0]+rx*p[1]+p[2]),
	}
}

// toSpace is longitude and latitude (degrees, height 0) in space: metres from the middle of the ellipsoid.
func toSpace(e geo.Ellipsoid, ll orb.Point) [3]float64 {
	sinLat, cosLat := math.Sincos(ll[1] * math.Pi / 180)
	sinLon, cosLon := math.Sincos(ll[0] * math.Pi / 180)
	n := e.RadiusN(ll[1])
	return [3]float64{n * cosLat * cosLon, n * cosLat * sinLon, n * (1 - e.E2()) * sinLat}
}

// toGeodetic is a point in space as longitude and latitude in degrees, by Bowring's formula ("Transformation from spatial to
// geographical coordinates", Survey Review 23, 1976), which near the ground is good to far less than 0.1 mm.
func toGeodetic(e geo.Ellipsoid, p [3]float64) orb.Point {
	b := e.A * (1 - e.F)
	r := math.Hypot(p[0], p[1])
	st, ct := math.Sincos(math.Atan2(p[2]*e.A, r*b))
	lat := math.Atan2(p[2]+e.E2()/(1-e.E2())*b*st*st*st, r-e.E2()*e.A*ct*ct*ct)
	return orb.Point{math.Atan2(p[1], p[0]) * 180 / math.Pi, lat * 180 / math.Pi}
}
