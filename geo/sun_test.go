package geo_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/geo"
)

const nrel = "Reda & Andreas, NREL/TP-560-34302 (2008), table A5.1"

// The report's worked example: 2003-10-17 12:30:30 at UTC-7, 39.742476 N 105.1786 W, 820 mbar, 11 C. Its elevation of 1830 m
// changes the sun's parallax by less than a millionth of a degree.
func TestSunAtOfTheReport(t *testing.T) {
	at := time.Date(2003, 10, 17, 19, 30, 30, 0, time.UTC)
	s := geo.SunAt(at, 39.742476, -105.1786)
	for _, c := range []struct {
		what      string
		got, want float64
		tol       float64
		source    string
	}{
		{"zenith with refraction", s.ApparentZenithDeg(820, 11), 50.111622, 0.001, nrel},
		{"azimuth", s.AzimuthDeg, 194.340241, 0.001, nrel},
		{"altitude without refraction", s.AltitudeDeg, 39.872046, 0.001, nrel},
		{"altitude with refraction", s.Apparent(820, 11), 39.888378, 0.001, nrel},
		{"zenith without refraction", s.ZenithDeg(), 90 - 39.872046, 0.001, nrel},
	} {
		assert.InDelta(t, c.want, c.got, c.tol, "%s (%s)", c.what, c.source)
	}
}

func TestSunAtPlaces(t *testing.T) {
	const spa = "output of the NREL algorithm printed in a public test file"
	for _, c := range []struct {
		place         string
		at            time.Time
		lat, lon      float64
		azimuth, alt  float64
		azTol, altTol float64
		refracted     float64 // 0: not given
		refractedTol  float64
		source        string
	}{
		{"Berlin", utc(2021, 6, 21, 12, 0, 0), 52.52, 13.405, 203.723, 59.286, 0.01, 0.01, 0, 0, spa},
		{"Berlin", utc(2021, 12, 21, 9, 30, 0), 52.52, 13.405, 157.983, 11.293, 0.02, 0.02, 11.373, 0.02, spa},
		{"Reykjavik", utc(2021, 6, 21, 12, 0, 0), 64.1466, -21.9426, 149.338, 46.702, 0.01, 0.01, 0, 0, spa},
		{"53 N 8 W", utc(2026, 12, 21, 14, 0, 0), 53, -8, 200.9, 11.1, 0.1, 0.1, 0, 0, "worked out from Meeus, Astronomical Algorithms"},
	} {
		s := geo.SunAt(c.at, c.lat, c.lon)
		assert.InDelta(t, c.azimuth, s.AzimuthDeg, c.azTol, "%s %v azimuth (%s)", c.place, c.at, c.source)
		assert.InDelta(t, c.alt, s.AltitudeDeg, c.altTol, "%s %v altitude (%s)", c.place, c.at, c.source)
		if c.refracted != 0 {
			assert.InDelta(t, c.refracted, s.Apparent(1010, 10), c.refractedTol, "%s %v refracted (%s)", c.place, c.at, c.source)
		}
	}
	// A 10 m tree at 53 N 8 W on 2026-12-21 at 14:00 UT shades 51 m towards 020.9: height over tan(altitude), azimuth + 180.
	s := geo.SunAt(utc(2026, 12, 21, 14, 0, 0), 53, -8)
	assert.InDelta(t, 51, 10/math.Tan(s.AltitudeDeg*math.Pi/180), 1)
	assert.InDelta(t, 20.9, geo.NormBearing(s.AzimuthDeg+180), 0.1)
}

func utc(y int, m time.Month, d, h, min, s int) time.Time {
	return time.Date(y, m, d, h, min, s, 0, time.UTC)
}

func TestSunRisesAndSets(t *testing.T) {
	const (
		almanac = "Astronomical Almanac as printed in NREL/TP-560-34302 (2008), table A2.1"
		usno    = "US Naval Observatory, table for Golden, Colorado, 2015"
		second  = "published sunrise table, at second hand"
		ours    = "worked out from Meeus, Astronomical Algorithms"
	)
	z := time.Time{}
	for _, c := range []struct {
		place     string
		y         int
		m         time.Month
		d         int
		lat, lon  float64
		rise, set time.Time // UT; zero: not given
		noon      time.Time
		tol       time.Duration
		source    string
	}{
		{"35 N", 1994, 1, 2, 35, 0, utc(1994, 1, 2, 7, 8, 13), utc(1994, 1, 2, 16, 59, 56), z, 5 * time.Second, almanac},
		{"35 S", 1996, 7, 5, -35, 0, utc(1996, 7, 5, 7, 8, 15), utc(1996, 7, 5, 17, 1, 4), z, 5 * time.Second, almanac},
		{"35 S", 2004, 12, 4, -35, 0, utc(2004, 12, 4, 4, 38, 57), utc(2004, 12, 4, 19, 2, 2), z, 5 * time.Second, almanac},
		// The report keeps to the day of universal time, so its sunset of 17 October, 00:20:19, is that of the evening before.
		{"Golden", 2003, 10, 17, 39.742476, -105.1786, utc(2003, 10, 17, 13, 12, 43), z, z, 5 * time.Second, nrel},
		{"Golden", 2003, 10, 16, 39.742476, -105.1786, z, utc(2003, 10, 17, 0, 20, 19), z, 5 * time.Second, nrel},
		{"Golden", 2015, 1, 2, 39.7425, -105.1786, utc(2015, 1, 2, 14, 22, 0), utc(2015, 1, 2, 23, 48, 0), utc(2015, 1, 2, 19, 5, 0), time.Minute, usno},
		{"Golden", 2015, 8, 2, 39.7425, -105.1786, utc(2015, 8, 2, 12, 0, 0), utc(2015, 8, 3, 2, 13, 0), utc(2015, 8, 2, 19, 7, 0), time.Minute, usno},
		{"London", 2026, 6, 21, 51.48, 0, utc(2026, 6, 21, 3, 43, 0), utc(2026, 6, 21, 20, 21, 0), z, time.Minute, second},
		{"Dublin", 2021, 12, 12, 53.35, -6.26, z, utc(2021, 12, 12, 16, 6, 20), z, time.Minute, second},
		{"Dublin", 2021, 12, 29, 53.35, -6.26, utc(2021, 12, 29, 8, 40, 17), z, z, time.Minute, second},
		{"Edinburgh", 2015, 12, 18, 55.95, -3.19, utc(2015, 12, 18, 8, 39, 0), utc(2015, 12, 18, 15, 39, 0), z, time.Minute, second},
		{"Lerwick", 2015, 12, 18, 60.155, -1.145, utc(2015, 12, 18, 9, 6, 0), utc(2015, 12, 18, 14, 56, 0), z, time.Minute, second},
		{"53 N 8 W", 2026, 6, 21, 53, -8, utc(2026, 6, 21, 4, 5, 48), utc(2026, 6, 21, 21, 1, 50), z, time.Minute, ours},
	} {
		day := geo.SunDayOf(c.y, c.m, c.d, c.lat, c.lon)
		for _, x := range []struct {
			what      string
			want, got time.Time
		}{{"sunrise", c.rise, day.Rise}, {"sunset", c.set, day.Set}, {"noon", c.noon, day.Noon}} {
			if !x.want.IsZero() {
				assert.WithinDuration(t, x.want, x.got, c.tol, "%s %s (%s)", c.place, x.what, c.source)
			}
		}
		assert.Equal(t, day.Set.Sub(day.Rise), day.Length)
	}
	day := geo.SunDayOf(2021, 12, 21, 53.35, -6.26)
	assert.InDelta(t, (7*time.Hour + 30*time.Minute + 6*time.Second).Seconds(), day.Length.Seconds(), 60, "Dublin, shortest day (%s)", second)
}

// Noon shadows per metre of height: 1 / tan(90 - latitude + declination), Meeus, Astronomical Algorithms.
func TestNoonShadows(t *testing.T) {
	for _, c := range []struct {
		lat              float64
		m                time.Month
		d                int
		shadow, altitude float64
	}{
		{53, 6, 21, 0.57, 60.44}, {53, 12, 21, 4.15, 13.56}, {57, 12, 21, 5.94, 9.56},
	} {
		s := geo.SunAt(geo.SunDayOf(2026, c.m, c.d, c.lat, -8).Noon, c.lat, -8)
		assert.InDelta(t, c.altitude, s.AltitudeDeg, 0.01, "%v N month %d", c.lat, c.m)
		assert.InDelta(t, c.shadow, 1/math.Tan(s.AltitudeDeg*math.Pi/180), 0.01, "%v N month %d", c.lat, c.m)
		assert.InDelta(t, 180, s.AzimuthDeg, 0.01)
	}
	// At the equinox the declination passes zero within the day, so the shadow at noon lies between those of the days on either side.
	var last float64
	for i, d := range []int{20, 21} {
		s := geo.SunAt(geo.SunDayOf(2026, 3, d, 53, -8).Noon, 53, -8)
		alt := s.AltitudeDeg
		assert.InDelta(t, 37.00, alt, 0.4)
		if i == 1 {
			assert.True(t, last < 37.00 && alt > 37.00, "the noon altitude passes 37 degrees: %v to %v", last, alt)
			assert.True(t, 1/math.Tan(last*math.Pi/180) > 1.327 && 1/math.Tan(alt*math.Pi/180) < 1.327)
		}
		last = alt
	}
}

func TestPolarDayAndNight(t *testing.T) {
	summer := geo.SunDayOf(2026, 6, 21, 70, 20)
	assert.True(t, summer.PolarDay())
	assert.Equal(t, 24*time.Hour, summer.Length)
	assert.True(t, summer.Rise.IsZero() && summer.Set.IsZero())
	require.Len(t, summer.Up, 1)
	winter := geo.SunDayOf(2026, 12, 21, 70, 20)
	assert.True(t, winter.PolarNight())
	assert.Empty(t, winter.Up)
	assert.True(t, geo.SunDayOf(2026, 12, 21, -70, 20).PolarDay())
	assert.True(t, geo.SunDayOf(2026, 6, 21, -70, 20).PolarNight())
	assert.True(t, geo.SunDayOf(2026, 6, 21, 90, 0).PolarDay())
	assert.True(t, geo.SunDayOf(2026, 6, 21, -90, 0).PolarNight())
	// Just inside the circle the sun's upper edge still shows at noon: -0.833 is met up to 67.4 degrees in December.
	assert.False(t, geo.SunDayOf(2026, 12, 21, 67.2, 20).PolarNight())
	assert.True(t, geo.SunDayOf(2026, 12, 21, 67.6, 20).PolarNight())
	// In June it no longer sets from 65.73 degrees on.
	assert.False(t, geo.SunDayOf(2026, 6, 21, 65.6, 20).PolarDay())
	assert.True(t, geo.SunDayOf(2026, 6, 21, 65.9, 20).PolarDay())
}

// At the equator the day is 12 hours and what refraction and half the sun add: 2 x 0.8333 degrees over the sine of the angle at
// which the sun goes down, at most 1 / cos(23.44) of 6.67 minutes; half a minute either way, because the sun's day is not the clock's.
func TestDayAtTheEquator(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.IntRange(0, 365*100).Draw(t, "day")
		at := time.Date(1950, 1, 1+d, 0, 0, 0, 0, time.UTC)
		lon := rapid.Float64Range(-180, 180).Draw(t, "lon")
		got := geo.SunDayOf(at.Year(), at.Month(), at.Day(), 0, lon).Length.Minutes()
		assert.GreaterOrEqual(t, got, 720+6.67-0.5)
		assert.LessOrEqual(t, got, 720+6.67/math.Cos(23.45*math.Pi/180)+0.5)
	})
}

// The sky of the south is that of the north for the opposite declination; half a year on is not exactly that, so the test uses the
// altitude's own symmetry: sin(alt) at latitude p and at -p add up to 2 cos p cos d cos H, the same at both, and differ by 2 sin p sin d.
func TestSunMirrorsAtTheEquator(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := time.Unix(rapid.Int64Range(-1_500_000_000, 4_000_000_000).Draw(t, "at"), 0)
		lat, lon := rapid.Float64Range(0, 89).Draw(t, "lat"), rapid.Float64Range(-180, 180).Draw(t, "lon")
		sin := func(p float64) float64 { return math.Sin(geo.SunAt(at, p, lon).AltitudeDeg * math.Pi / 180) }
		pole := sin(90)
		assert.InDelta(t, 2*math.Sin(lat*math.Pi/180)*pole, sin(lat)-sin(-lat), 3e-4)
		assert.InDelta(t, 2*math.Cos(lat*math.Pi/180)*sin(0), sin(lat)+sin(-lat), 3e-4)
		n, s := geo.SunAt(at, lat, lon).AzimuthDeg, geo.SunAt(at, -lat, lon).AzimuthDeg
		east := func(az float64) bool { return az < 180 }
		if geo.AngleBetweenDeg(n, 0) > 1 && geo.AngleBetweenDeg(n, 180) > 1 && geo.AngleBetweenDeg(s, 0) > 1 && geo.AngleBetweenDeg(s, 180) > 1 {
			assert.Equal(t, east(n), east(s), "the sun is on the same side of the meridian in both")
		}
	})
}

// In a minute the sun moves a quarter of a degree and no more, and from one day to the next neither its noon nor the day's length jumps.
func TestSunMovesSteadily(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := time.Unix(rapid.Int64Range(-2_200_000_000, 4_100_000_000).Draw(t, "at"), 0)
		lat, lon := rapid.Float64Range(-90, 90).Draw(t, "lat"), rapid.Float64Range(-180, 180).Draw(t, "lon")
		a, b := geo.SunAt(at, lat, lon), geo.SunAt(at.Add(time.Minute), lat, lon)
		assert.InDelta(t, 0.25, apart(a, b), 0.022, "from %v to %v", a, b)
		assert.Equal(t, a, geo.SunAt(at.In(time.FixedZone("", 3600)), lat, lon), "the zone does not matter")
		p := math.Mod(lat, 60)
		d1 := geo.SunDayOf(at.Year(), at.Month(), at.Day(), p, lon)
		next := at.AddDate(0, 0, 1)
		d2 := geo.SunDayOf(next.Year(), next.Month(), next.Day(), p, lon)
		assert.InDelta(t, 86400, d2.Noon.Sub(d1.Noon).Seconds(), 31)
		assert.InDelta(t, d1.Length.Minutes(), d2.Length.Minutes(), 6)
	})
}

// apart is the angle between two places in the sky, degrees.
func apart(a, b geo.SunPosition) float64 {
	unit := func(s geo.SunPosition) [3]float64 {
		se, ce := math.Sincos(s.AltitudeDeg * math.Pi / 180)
		sa, ca := math.Sincos(s.AzimuthDeg * math.Pi / 180)
		return [3]float64{ce * sa, ce * ca, se}
	}
	u, v := unit(a), unit(b)
	return 2 * math.Asin(math.Hypot(math.Hypot(u[0]-v[0], u[1]-v[1]), u[2]-v[2])/2) * 180 / math.Pi
}

// The shorter series of Meeus (Astronomical Algorithms, chapter 25, "low accuracy", 0.01 degrees) is worked out here apart, from
// its own constants: the two agree over two centuries, so a slip in a row of the long one would show.
func TestSunAgainstTheShortSeries(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := time.Unix(rapid.Int64Range(-2_200_000_000, 4_100_000_000).Draw(t, "at"), 0)
		T := (float64(at.Unix()-946728000)/86400 + 65.0/86400) / 36525
		rad := math.Pi / 180
		l0 := 280.46646 + 36000.76983*T + 0.0003032*T*T
		m := (357.52911 + 35999.05029*T - 0.0001537*T*T) * rad
		c := (1.914602-0.004817*T-0.000014*T*T)*math.Sin(m) + (0.019993-0.000101*T)*math.Sin(2*m) + 0.000289*math.Sin(3*m)
		node := (125.04 - 1934.136*T) * rad
		lambda := (l0 + c - 0.00569 - 0.00478*math.Sin(node)) * rad
		eps := (23.439291 - 0.013004*T + 0.00256*math.Cos(node)) * rad
		declination := math.Asin(math.Sin(eps)*math.Sin(lambda)) / rad
		// Straight above a pole the altitude is the declination.
		assert.InDelta(t, declination, geo.SunAt(at, 90, 0).AltitudeDeg, 0.01)
	})
}

func BenchmarkSunDay(b *testing.B) {
	for range b.N {
		geo.SunDayOf(2026, 6, 21, 53, -8)
	}
}
