package geo

import (
	"math"
	"time"
)

// Where the sun stands, after the series of Meeus, Astronomical Algorithms (2nd edition), chapters 12, 13, 22, 25 and 27, with the
// earth's place from VSOP87 as in his appendix III: the method of the solar position report of Reda & Andreas,
// NREL/TP-560-34302 (2008). Held against that report's worked example and almanacs it is right to 0.001 degrees; from 1900 to
// 2100 it stays well within 0.01 degrees, whose greatest part is that the difference between clock and even time is estimated.

const (
	j2000       = 946728000 // Unix seconds of 2000 January 1.5 UTC
	daySeconds  = 86400
	parallaxDeg = 8.794 / 3600 // of the sun at one astronomical unit
	toRad       = math.Pi / 180
	toDeg       = 180 / math.Pi
)

// A SunPosition is where the middle of the sun stands in the sky of one place at one moment.
type SunPosition struct {
	AltitudeDeg float64 // above the flat horizon at sea level, without refraction; negative below it
	AzimuthDeg  float64 // bearing from true north, 0 up to 360
}

// ZenithDeg is the angle from straight overhead, without refraction.
func (s SunPosition) ZenithDeg() float64 { return 90 - s.AltitudeDeg }

// Apparent is the altitude as refraction lifts it, for air of the given pressure (millibars) and temperature (degrees Celsius),
// after NREL/TP-560-34302, equation 42. It lifts nothing where the sun's upper edge stays below the horizon even so.
func (s SunPosition) Apparent(pressure, celsius float64) float64 {
	const radius, atHorizon = 0.26667, 0.5667
	if s.AltitudeDeg < -(radius + atHorizon) {
		return s.AltitudeDeg
	}
	return s.AltitudeDeg + pressure/1010*283/(273+celsius)*1.02/(60*math.Tan(toRad*(s.AltitudeDeg+10.3/(s.AltitudeDeg+5.11))))
}

// ApparentZenithDeg is the angle from straight overhead with refraction.
func (s SunPosition) ApparentZenithDeg(pressure, celsius float64) float64 {
	return 90 - s.Apparent(pressure, celsius)
}

// SunAt is the sun's position at a moment, for a latitude (north positive) and longitude (east positive) in degrees.
// At a pole the bearing is the one found on coming towards it along that longitude.
func SunAt(t time.Time, lat, lon float64) SunPosition {
	e := sunOnEquator(daysFromJ2000(t))
	s := e.seenFrom(lat, lon)
	s.AltitudeDeg -= parallaxDeg / e.distance * math.Cos(toRad*s.AltitudeDeg)
	return s
}

// daysFromJ2000 counts days of universal time.
func daysFromJ2000(t time.Time) float64 {
	return (float64(t.Unix()-j2000) + float64(t.Nanosecond())/1e9) / daySeconds
}

// equatorial is the sun as seen from the middle of the earth: degrees, and the distance in astronomical units.
type equatorial struct {
	ascension, declination float64
	distance               float64
	sidereal               float64 // apparent sidereal time at Greenwich
	longitude, obliquity   float64 // apparent
}

// sunOnEquator is the apparent place of the sun, days of universal time from J2000.
func sunOnEquator(days float64) equatorial {
	even := days + clockLag(2000+days/365.2425)/daySeconds
	t := even / 36525 // Julian centuries
	longitude := series(earthLongitude, t/10)*toDeg + 180
	latitude := -series(earthLatitude, t/10) * toDeg
	e := equatorial{distance: series(earthDistance, t/10)}

	// Nutation, the terms that Meeus gives for half a second of arc (chapter 22).
	node := toRad * (125.04452 - 1934.136261*t)
	sun, moon := toRad*(280.4665+36000.7698*t), toRad*(218.3165+481267.8813*t)
	nutation := (-17.20*math.Sin(node) - 1.32*math.Sin(2*sun) - 0.23*math.Sin(2*moon) + 0.21*math.Sin(2*node)) / 3600
	nod := (9.20*math.Cos(node) + 0.57*math.Cos(2*sun) + 0.10*math.Cos(2*moon) - 0.09*math.Cos(2*node)) / 3600
	e.obliquity = 23 + (26*60+21.448-46.8150*t-0.00059*t*t+0.001813*t*t*t)/3600 + nod
	e.longitude = NormBearing(longitude + nutation - 20.4898/3600/e.distance)

	sinL, cosL := math.Sincos(toRad * e.longitude)
	sinE, cosE := math.Sincos(toRad * e.obliquity)
	sinB, cosB := math.Sincos(toRad * latitude)
	e.ascension = NormBearing(toDeg * math.Atan2(sinL*cosE-sinB/cosB*sinE, cosL))
	e.declination = toDeg * math.Asin(sinB*cosE+cosB*sinE*sinL)

	u := days / 36525
	e.sidereal = NormBearing(280.46061837 + 360.98564736629*days + 0.000387933*u*u - u*u*u/38710000 + nutation*cosE)
	return e
}

// clockLag is how many seconds universal time lags behind even time in a year: the polynomials of Espenak & Meeus (NASA
// TP-2006-214141, 2006). Ten seconds wrong move the sun by 0.0001 degrees.
func clockLag(year float64) float64 {
	t := year - 2000
	switch {
	case year >= 2005 && year < 2050:
		return 62.92 + 0.32217*t + 0.005589*t*t
	case year >= 1986 && year < 2005:
		return 63.86 + t*(0.3345+t*(-0.060374+t*(0.0017275+t*(0.000651814+t*0.00002373599))))
	case year >= 1961 && year < 1986:
		s := year - 1975
		return 45.45 + 1.067*s - s*s/260 - s*s*s/718
	case year >= 1941 && year < 1961:
		s := year - 1950
		return 29.07 + 0.407*s - s*s/233 + s*s*s/2547
	}
	c := (year - 1820) / 100
	lag := -20 + 32*c*c
	if year >= 2050 && year < 2150 {
		lag -= 0.5628 * (2150 - year)
	}
	return lag
}

// hourAngle is how far the sun is past the meridian of a longitude, -180 up to 180 degrees.
func (e equatorial) hourAngle(lon float64) float64 {
	return NormBearing(e.sidereal+lon-e.ascension+180) - 180
}

// seenFrom turns the place on the sky into altitude and bearing, as if from the middle of the earth.
func (e equatorial) seenFrom(lat, lon float64) SunPosition {
	sinH, cosH := math.Sincos(toRad * e.hourAngle(lon))
	sinD, cosD := math.Sincos(toRad * e.declination)
	sinP, cosP := math.Sincos(toRad * lat)
	east := -cosD * sinH
	north := sinD*cosP - cosD*cosH*sinP
	up := sinD*sinP + cosD*cosH*cosP
	return SunPosition{
		AltitudeDeg: toDeg * math.Atan2(up, math.Hypot(east, north)),
		AzimuthDeg:  NormBearing(toDeg * math.Atan2(east, north)),
	}
}
