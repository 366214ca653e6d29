package geo

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"
)

// Projection is a transverse Mercator grid on an ellipsoid. The zero value is
// not usable; make one with NewProjection.
//
// The series is Krüger's in the third flattening to order 6, as given by
// C. F. F. Karney, "Transverse Mercator with an accuracy of a few nanometers",
// Journal of Geodesy 85 (2011), equations 7 to 9, 23 to 25, 35 and 36. It is
// good to about 5 nm within some 35 degrees of the central meridian, and loses its
// meaning near 90 degrees from it.
type Projection struct {
	ell         Ellipsoid
	lon0, lat0  float64 // degrees
	k0          float64
	falseE      float64
	falseN      float64
	e           float64 // eccentricity
	rect        float64 // rectifying radius, metres
	xi0         float64 // rectifying latitude of the true origin, radians
	alpha, beta [7]float64
}

// NewProjection makes a transverse Mercator grid: ellipsoid, true origin
// (longitude, latitude in degrees), scale on the central meridian, and the
// false easting and northing of the true origin in metres.
func NewProjection(ell Ellipsoid, origin orb.Point, scale, falseEast, falseNorth float64) (Projection, error) {
	lon, lat := origin[0], origin[1]
	switch {
	case !finite(lon) || !finite(lat):
		return Projection{}, fmt.Errorf("origin %v: longitude and latitude must be finite numbers", origin)
	case lat < -90 || lat > 90:
		return Projection{}, fmt.Errorf("origin latitude %g is outside -90 to 90 degrees", lat)
	case lon < -180 || lon > 180:
		return Projection{}, fmt.Errorf("origin longitude %g is outside -180 to 180 degrees", lon)
	case !(ell.A > 0) || !finite(ell.A) || !(ell.F >= 0 && ell.F < 0.1):
		return Projection{}, fmt.Errorf("ellipsoid with a %g m and flattening %g is not usable", ell.A, ell.F)
	case !(scale > 0) || !finite(scale) || !finite(falseEast) || !finite(falseNorth):
		return Projection{}, fmt.Errorf("scale %g and false origin (%g, %g) must be finite, the scale above 0", scale, falseEast, falseNorth)
	}
	p := Projection{ell: ell, lon0: lon, lat0: lat, k0: scale, falseE: falseEast, falseN: falseNorth}
	p.e = math.Sqrt(ell.E2())
	p.setSeries()
	_, tc := p.conformal(lat)
	p.xi0 = p.rectifying(math.Atan(tc))
	if lat == 90 || lat == -90 {
		p.xi0 = math.Copysign(math.Pi/2, lat)
	}
	return p, nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// setSeries fills the coefficients of the two series and the rectifying radius.
func (p *Projection) setSeries() {
	n := p.ell.N()
	n2, n3 := n*n, n*n*n
	n4, n5, n6 := n2*n2, n2*n3, n3*n3
	p.rect = p.ell.A / (1 + n) * (1 + n2/4 + n4/64 + n6/256)
	p.alpha = [7]float64{0,
		n/2 - 2*n2/3 + 5*n3/16 + 41*n4/180 - 127*n5/288 + 7891*n6/37800,
		13*n2/48 - 3*n3/5 + 557*n4/1440 + 281*n5/630 - 1983433*n6/1935360,
		61*n3/240 - 103*n4/140 + 15061*n5/26880 + 167603*n6/181440,
		49561*n4/161280 - 179*n5/168 + 6601661*n6/7257600,
		34729*n5/80640 - 3418889*n6/1995840,
		212378941 * n6 / 319334400,
	}
	p.beta = [7]float64{0,
		n/2 - 2*n2/3 + 37*n3/96 - n4/360 - 81*n5/512 + 96199*n6/604800,
		n2/48 + n3/15 - 437*n4/1440 + 46*n5/105 - 1118711*n6/3870720,
		17*n3/480 - 37*n4/840 - 209*n5/4480 + 5569*n6/90720,
		4397*n4/161280 - 11*n5/504 - 830251*n6/7257600,
		4583*n5/161280 - 108847*n6/3991680,
		20648693 * n6 / 638668800,
	}
}

// conformal gives the tangents of the latitude and of the conformal latitude.
func (p *Projection) conformal(latDeg float64) (t, tc float64) {
	t = math.Tan(latDeg * math.Pi / 180)
	h := math.Sqrt(1 + t*t)
	s := math.Sinh(p.e * math.Atanh(p.e*t/h))
	return t, t*math.Sqrt(1+s*s) - s*h
}

// rectifying turns a conformal latitude into a rectifying one, radians.
func (p *Projection) rectifying(chi float64) float64 {
	xi := chi
	for j := 1; j <= 6; j++ {
		xi += p.alpha[j] * math.Sin(2*float64(j)*chi)
	}
	return xi
}

// wrapDeg brings a difference of longitude into -180 to 180.
func wrapDeg(d float64) float64 {
	if d >= -180 && d <= 180 {
		return d
	}
	return math.Remainder(d, 360)
}

// Forward turns longitude and latitude (degrees) into easting and northing.
func (p Projection) Forward(lonlat orb.Point) orb.Point {
	xi, eta, _, _ := p.forward(lonlat)
	return orb.Point{
		p.falseE + p.k0*p.rect*eta,
		p.falseN + p.k0*p.rect*(xi-p.xi0),
	}
}

// ScaleConvergence gives, at a longitude and latitude in degrees, the point
// scale of the grid and its convergence: the bearing of grid north from true
// north in degrees, positive clockwise.
func (p Projection) ScaleConvergence(lonlat orb.Point) (scale, convergenceDeg float64) {
	_, _, scale, convergenceDeg = p.forward(lonlat)
	return scale, convergenceDeg
}

func (p Projection) forward(lonlat orb.Point) (xi, eta, scale, convDeg float64) {
	lam := wrapDeg(lonlat[0]-p.lon0) * math.Pi / 180
	t, tc := p.conformal(lonlat[1])
	sl, cl := math.Sincos(lam)
	r := math.Hypot(tc, cl)
	xip, etap := math.Atan2(tc, cl), math.Asinh(sl/r)
	xi, eta = xip, etap
	re, im := 1.0, 0.0
	for j := 1; j <= 6; j++ {
		f := 2 * float64(j)
		s, c := math.Sincos(f * xip)
		sh, ch := math.Sinh(f*etap), math.Cosh(f*etap)
		xi += p.alpha[j] * s * ch
		eta += p.alpha[j] * c * sh
		re += f * p.alpha[j] * c * ch
		im += f * p.alpha[j] * s * sh
	}
	conv := math.Atan2(tc*sl, cl*math.Sqrt(1+tc*tc)) + math.Atan2(im, re)
	sp := math.Sin(lonlat[1] * math.Pi / 180)
	k := math.Sqrt(1-p.ell.E2()*sp*sp) * math.Sqrt(1+t*t) / r
	k *= p.rect / p.ell.A * math.Hypot(re, im)
	return xi, eta, p.k0 * k, conv * 180 / math.Pi
}

// Inverse turns easting and northing into longitude and latitude in degrees.
// The longitude is brought into -180 to 180.
func (p Projection) Inverse(en orb.Point) orb.Point {
	xi := (en[1]-p.falseN)/(p.k0*p.rect) + p.xi0
	eta := (en[0] - p.falseE) / (p.k0 * p.rect)
	xip, etap := xi, eta
	for j := 1; j <= 6; j++ {
		f := 2 * float64(j)
		s, c := math.Sincos(f * xi)
		xip -= p.beta[j] * s * math.Cosh(f*eta)
		etap -= p.beta[j] * c * math.Sinh(f*eta)
	}
	sx, cx := math.Sincos(xip)
	sh := math.Sinh(etap)
	tc := sx / math.Hypot(sh, cx)
	lam := math.Atan2(sh, cx)
	lat := math.Atan(p.tangent(tc)) * 180 / math.Pi
	return orb.Point{wrapDeg(p.lon0 + lam*180/math.Pi), lat}
}

// tangent solves for the tangent of the latitude from that of the conformal
// latitude, by Newton's method as in Karney's equations 19 to 21. It settles in
// two or three steps.
func (p *Projection) tangent(tc float64) float64 {
	e2m := 1 - p.ell.E2()
	t := tc / e2m
	if math.Abs(tc) < 70 {
		t = tc
	}
	for range 8 {
		h := math.Sqrt(1 + t*t)
		s := math.Sinh(p.e * math.Atanh(p.e*t/h))
		got := t*math.Sqrt(1+s*s) - s*h
		d := (tc - got) / math.Sqrt(1+got*got) * (1 + e2m*t*t) / (e2m * h)
		t += d
		if math.Abs(d) <= 1e-16*math.Max(1, math.Abs(t)) {
			break
		}
	}
	return t
}
