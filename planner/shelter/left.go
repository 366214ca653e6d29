package shelter

import "math"

// How far the function reaches, in heights along the wind, and the greatest porosity it is published for (US Department of
// Agriculture, Agricultural Research Service, Wind Erosion Prediction System, barriers).
const (
	LeewardHeights   = 35.0
	WindwardHeights  = 5.0
	GreatestPorosity = 0.9
)

// Left is the share of the open wind, 0 to 1, that is left at a distance of x heights behind a barrier (negative: before it),
// measured along the wind. xw is the barrier's width in heights; porosity is the share of its face that is open, looked at through
// the whole width, 0 for solid to 0.9. Beyond 35 heights behind and 5 before, and for a porosity above 0.9, where nothing is
// published, it is 1. Source: Wind Erosion Prediction System, barriers, function fu (US Department of Agriculture, Agricultural
// Research Service); the same family of models in Vigiak, Sterk, Warren and Hagen 2003, Catena 52.
func Left(x, xw, porosity float64) float64 {
	k := newCurve(xw, porosity)
	return k.at(x)
}

// A curve is the function for one width and porosity.
type curve struct {
	a, b, c, d float64
	none       bool // too open: no shelter
}

func newCurve(xw, porosity float64) curve {
	if porosity > GreatestPorosity || math.IsNaN(porosity) {
		return curve{none: true}
	}
	te := effective(xw, math.Max(0, porosity))
	return curve{
		a: 0.008 - 0.17*te + 0.17*math.Pow(te, 1.05),
		b: 1.35 * math.Exp(-0.5*math.Pow(te, 0.2)),
		c: 10 * (1 - 0.5*te),
		d: 3 - te,
	}
}

// effective is the porosity that a barrier of a width has for the wind.
func effective(xw, porosity float64) float64 {
	return porosity + 0.3*(1-porosity)*(1-math.Exp(-0.5*math.Max(0, xw)))
}

func (k *curve) at(x float64) float64 {
	if k.none || !(x >= -WindwardHeights && x <= LeewardHeights) {
		return 1
	}
	f := 1 - math.Exp(-k.a*x*x) + k.b*math.Exp(-0.003*math.Pow(x+k.c, k.d))
	return math.Min(f, 1)
}

// A bounded curve also knows the least that it comes to in every half height, so that most barriers on a ray are passed over without
// working the function out.
type bounded struct {
	curve
	least []float64
}

const boundsPerHeight = 2

func bound(c curve) bounded {
	b := bounded{curve: c}
	if c.none {
		return b
	}
	// The function falls to one least value and rises from there, so the least of a half height is at one of its ends, or at most one
	// step of the slope below: the slack is far more than that at any porosity.
	const slack = 0.01
	for i := range int((LeewardHeights + WindwardHeights) * boundsPerHeight) {
		x := float64(i)/boundsPerHeight - WindwardHeights
		b.least = append(b.least, math.Min(c.at(x), c.at(x+1.0/boundsPerHeight))-slack)
	}
	return b
}

// below is at(x), or some figure that is no less than share where at(x) is none.
func (b *bounded) below(x, share float64) float64 {
	if i := (x + WindwardHeights) * boundsPerHeight; i >= 0 && i < float64(len(b.least)) && b.least[int(i)] >= share {
		return 1
	}
	return b.at(x)
}
