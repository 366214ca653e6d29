package wood

import "math"

// The curves of two French inventories of chestnut coppice, t dry per hectare: A (1 - exp(-k t))^p.
type curve struct{ a, k, p float64 }

var (
	ch88 = curve{124, 0.078, 1.40} // Annales des sciences forestières 1988; p fitted to the maxima it states
	ch93 = curve{67, 0.19, 6.09}   // Bédéneau 1993
)

func (c curve) at(age float64) float64 {
	if age <= 0 {
		return 0
	}
	return c.a * math.Pow(1-math.Exp(-c.k*age), c.p)
}

// fullAge is the age in years at which curve and straight line agree: the rotation that yields are stated for.
const fullAge = 15.0

// Relative is how much stands at an age in proportion to what stands at 15 years, by the shape of chestnut coppice (Annales des
// sciences forestières 1988). It is 1 at 15 years.
func Relative(age float64) float64 { return ch88.at(age) / ch88.at(fullAge) }

// Standing is the dry wood at an age, per unit of a yield (100 m or hectare). The middle follows the curve; low is the lesser of
// curve and straight line at the low yield, high the greater at the high one (Wolton 2012 reckons with a straight line).
func (y Yield) Standing(age float64) Range {
	age = math.Max(0, age)
	bent, straight := fullAge*Relative(age), age
	return Range{Low: y.Low * math.Min(bent, straight), Mid: y.Mid * bent, High: y.High * math.Max(bent, straight)}
}

// LogShare is the share of the dry mass that makes logs, by age in years: none under 5, 0.35 under 10, 0.60 from 12 on, straight
// between 10 and 12.
func LogShare(age float64) float64 {
	young, old := figure("log_share_young").Mid, figure("log_share").Mid
	switch {
	case age < figure("log_age_least").Mid:
		return 0
	case age < 10:
		return young
	case age < 12:
		return young + (old-young)*(age-10)/2
	}
	return old
}

// Range is a figure with its low and high. Sums and products keep the order low, mid, high.
type Range struct {
	Low  float64 `json:"low"`
	Mid  float64 `json:"mid"`
	High float64 `json:"high"`
}

func (r Range) plus(o Range) Range    { return Range{r.Low + o.Low, r.Mid + o.Mid, r.High + o.High} }
func (r Range) minus(o Range) Range   { return Range{r.Low - o.Low, r.Mid - o.Mid, r.High - o.High} }
func (r Range) times(k float64) Range { return Range{r.Low * k, r.Mid * k, r.High * k} }
func (r Range) least(limit float64) Range {
	return Range{math.Min(r.Low, limit), math.Min(r.Mid, limit), math.Min(r.High, limit)}
}
func (r Range) positive() Range {
	return Range{math.Max(0, r.Low), math.Max(0, r.Mid), math.Max(0, r.High)}
}
func same(v float64) Range { return Range{v, v, v} }

// each changes each of the three.
func (r Range) each(f func(float64) float64) Range { return Range{f(r.Low), f(r.Mid), f(r.High)} }
