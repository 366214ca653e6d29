package light

import (
	"math"
	"time"

	"github.com/paulmach/orb"

	"quickthorn/geo"
)

const (
	// calendarYear is the year whose sun is taken for every year: within the four years of the leap cycle the sun of a date stands
	// up to 0.3 degrees otherwise, which must not look like a change of the light.
	calendarYear = 2026
	stepLength   = 15 * time.Minute
	// lowestRayDeg is the least altitude of a beam, half the sun's width: while the sun's middle is lower its upper part still shines
	// about level.
	lowestRayDeg = 0.27
)

// Months are the months of a place's season, April to September, or October to March south of the equator. Result keys stay 4 to 9
// in both: month k of the result is Months(lat)[k-4].
func Months(lat float64) [6]time.Month {
	if lat < 0 {
		return [6]time.Month{time.October, time.November, time.December, time.January, time.February, time.March}
	}
	return [6]time.Month{time.April, time.May, time.June, time.July, time.August, time.September}
}

// Season says the same in words.
func Season(lat float64) string {
	if lat < 0 {
		return "October to March"
	}
	return "April to September"
}

// A step is a stretch of one of the six days, and the sun halfway through it.
type step struct {
	month   int // 0 to 5
	hours   float64
	shadow  orb.Point  // where the shadow of a point 1 m up falls, from that point
	towards [3]float64 // unit vector to the sun: east, north, up on the frame
}

// steps follow the sun of a place. The hours of a month's steps add up to its day length.
func steps(p Place) []step {
	var out []step
	for m, month := range Months(p.LatDeg) {
		year := calendarYear
		if month < time.April {
			year++
		}
		day := geo.SunDayOf(year, month, 21, p.LatDeg, p.LonDeg)
		for _, span := range day.Up {
			for k := floorDiv(span.From.Sub(day.Noon), stepLength); ; k++ {
				from, to := day.Noon.Add(time.Duration(k)*stepLength), day.Noon.Add(time.Duration(k+1)*stepLength)
				if !from.Before(span.To) {
					break
				}
				from, to = later(from, span.From), earlier(to, span.To)
				if to.After(from) {
					out = append(out, stepAt(m, to.Sub(from), geo.SunAt(from.Add(to.Sub(from)/2), p.LatDeg, p.LonDeg), p.ConvergenceDeg))
				}
			}
		}
	}
	return out
}

func stepAt(month int, length time.Duration, s geo.SunPosition, convergence float64) step {
	alt := math.Max(s.AltitudeDeg, lowestRayDeg) * math.Pi / 180
	dir := geo.Direction(s.AzimuthDeg - convergence)
	sin, cos := math.Sincos(alt)
	return step{month: month, hours: length.Hours(), shadow: orb.Point{-dir[0] * cos / sin, -dir[1] * cos / sin},
		towards: [3]float64{dir[0] * cos, dir[1] * cos, sin}}
}

func floorDiv(a, b time.Duration) int64 {
	q := int64(a / b)
	if a%b < 0 {
		q--
	}
	return q
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

// dayHours are the hours of sun of each month without anything in the way.
func dayHours(ss []step) (months [6]float64) {
	for _, s := range ss {
		months[s.month] += s.hours
	}
	return months
}

func meanOf(months [6]float64) float64 {
	var sum float64
	for _, h := range months {
		sum += h
	}
	return sum / 6
}
