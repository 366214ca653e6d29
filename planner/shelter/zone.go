package shelter

import "math"

// A Zone is the ground behind a straight belt that is sheltered in every wind of a swing, in closed form: a trapezoid with the belt
// for its base, or a triangle where the swing lets the wind in round both ends before the reach is spent. Geometry (derived); the
// single leg's triangle to leeward also University of Florida, EDIS FOR227.
type Zone struct {
	LengthM  float64
	ReachM   float64 // n heights, square to the belt
	SwingDeg float64 // to either side of square on
}

// ApexM is how far behind the belt the winds from either end meet; infinite for a wind that does not swing.
func (z Zone) ApexM() float64 {
	if z.SwingDeg <= 0 {
		return math.Inf(1)
	}
	return z.LengthM / (2 * z.tan())
}

// WidthAtM is how wide the zone is so far behind the belt; 0 beyond its reach or apex.
func (z Zone) WidthAtM(behind float64) float64 {
	if behind < 0 || behind > z.ReachM {
		return 0
	}
	return math.Max(0, z.LengthM-2*behind*z.tan())
}

// AreaM2 is the area of the zone.
func (z Zone) AreaM2() float64 {
	deep := math.Min(z.ReachM, z.ApexM())
	return deep * (z.LengthM - deep*z.tan())
}

func (z Zone) tan() float64 { return math.Tan(z.SwingDeg * math.Pi / 180) }

// Strip is the ground that a straight belt shelters in one wind that comes so many degrees off square: how deep it is at right
// angles to the belt for a reach along the wind, how long the belt is as the wind sees it, and the area. Geometry (derived).
func Strip(lengthM, reachM, offSquareDeg float64) (deepM, seenM, areaM2 float64) {
	c := math.Cos(offSquareDeg * math.Pi / 180)
	return reachM * c, lengthM * c, lengthM * reachM * c
}
