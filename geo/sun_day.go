package geo

import "time"

// SunUpDeg is the altitude of the sun's middle at which almanacs count it as up: 50 minutes of arc below the horizon, 34 for
// refraction and 16 for half the sun's width.
const SunUpDeg = -50.0 / 60

// A SunSpan is a stretch of time in which the sun is up.
type SunSpan struct{ From, To time.Time }

// A SunDay is one solar day of a place: from twelve hours before the sun's noon to twelve after.
type SunDay struct {
	Noon time.Time // the sun crosses the meridian; towards the equator of the two crossings the higher
	// Rise and Set are zero where the sun does not rise or set on that day.
	Rise, Set time.Time
	Up        []SunSpan     // when the sun is up, in order; the whole day in the polar day, nothing in the polar night
	Length    time.Duration // of all of Up: the day length
}

// PolarDay is true where the sun stays up for the whole day.
func (d SunDay) PolarDay() bool { return d.Length >= 24*time.Hour }

// PolarNight is true where the sun stays down for the whole day.
func (d SunDay) PolarNight() bool { return d.Length == 0 }

// SunDayOf is the solar day whose noon falls on a date by the place's own mean solar time (which is within the date of its clocks
// wherever they keep to their zone). Latitude and longitude in degrees, north and east positive. Times are UTC, right to a second
// or two in middle latitudes by the almanacs' convention (SunUpDeg, sea level); near the polar circles, where the sun
// grazes the horizon, a real sunrise can differ by many minutes. Cost: about two hundred evaluations of the series.
func SunDayOf(year int, month time.Month, day int, lat, lon float64) SunDay {
	noon := time.Date(year, month, day, 12, 0, 0, 0, time.UTC).Add(seconds(-240 * lon))
	for range 4 {
		noon = noon.Add(seconds(-240 * sunOnEquator(daysFromJ2000(noon)).hourAngle(lon)))
	}
	d := SunDay{Noon: noon}
	const half = 12 * time.Hour
	up := func(t time.Time) bool {
		return sunOnEquator(daysFromJ2000(t)).seenFrom(lat, lon).AltitudeDeg >= SunUpDeg
	}
	add := func(from, to time.Time) {
		d.Length += to.Sub(from)
		if n := len(d.Up); n > 0 && d.Up[n-1].To.Equal(from) {
			d.Up[n-1].To = to
			return
		}
		d.Up = append(d.Up, SunSpan{from, to})
	}
	for _, from := range []time.Time{noon.Add(-half), noon} {
		to := from.Add(half)
		switch before, after := up(from), up(to); {
		case before && after:
			add(from, to)
		case after:
			d.Rise = turnsAt(from, to, up)
			add(d.Rise, to)
		case before:
			d.Set = turnsAt(from, to, up)
			add(from, d.Set)
		}
	}
	return d
}

// turnsAt is the moment between two at which what differs at them changes, to a microsecond.
func turnsAt(from, to time.Time, is func(time.Time) bool) time.Time {
	at := is(from)
	for to.Sub(from) > time.Microsecond {
		mid := from.Add(to.Sub(from) / 2)
		if is(mid) == at {
			from = mid
		} else {
			to = mid
		}
	}
	return to
}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }
