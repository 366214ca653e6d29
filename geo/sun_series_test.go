package geo

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// The steps of the worked example of Reda & Andreas, NREL/TP-560-34302 (2008), table A5.1. Nutation is of the short form, good to
// half a second of arc (0.00014 degrees).
func TestSunStepsOfTheReport(t *testing.T) {
	days := daysFromJ2000(time.Date(2003, 10, 17, 19, 30, 30, 0, time.UTC))
	assert.InDelta(t, 2452930.312847, days+2451545, 1e-6, "Julian day")
	millennia := (days + 67.0/daySeconds) / 365250
	assert.InDelta(t, 24.01826, NormBearing(series(earthLongitude, millennia)*toDeg), 2e-5, "L")
	assert.InDelta(t, -0.0001011219, series(earthLatitude, millennia)*toDeg, 1e-6, "B")
	assert.InDelta(t, 0.996542, series(earthDistance, millennia), 2e-5, "R")
	e := sunOnEquator(days)
	assert.InDelta(t, 23.440465, e.obliquity, 2e-4, "obliquity")
	assert.InDelta(t, 202.22741, e.ascension, 3e-4, "right ascension")
	assert.InDelta(t, -9.31434, e.declination, 3e-4, "declination")
	assert.InDelta(t, 11.105902, e.hourAngle(-105.1786), 5e-3, "hour angle, there as seen from the ground")
}

// Universal time lagged behind even time by 63.83 s at the start of 2000 and by 69.36 s at that of 2020 (International Earth
// Rotation Service, as in the Astronomical Almanac); the estimate is within 3 s of both, and nowhere jumps by more than 3 s.
func TestClockLag(t *testing.T) {
	assert.InDelta(t, 63.83, clockLag(2000), 0.1)
	assert.InDelta(t, 69.36, clockLag(2020), 3)
	for _, at := range []float64{1941, 1961, 1986, 2005, 2050, 2150} {
		assert.InDelta(t, clockLag(math.Nextafter(at, 0)), clockLag(at), 3, "%v", at)
	}
}
