package species

import (
	"math"
	"slices"
	"strings"

	"quickthorn/planner"
)

// A Curve is height in metres against age in years: H(t) = Max (1 - exp(-K t))^P, 0 up to age 0. The zero Curve is 0 always.
type Curve struct{ Max, K, P float64 }

// At is the height at an age.
func (c Curve) At(age float64) float64 {
	if age <= 0 || c.Max <= 0 {
		return 0
	}
	return c.Max * math.Pow(-math.Expm1(-c.K*age), c.P)
}

// AgeAt is the age at which the curve has a height; false where it never comes to it.
func (c Curve) AgeAt(height float64) (float64, bool) {
	if height <= 0 {
		return 0, true
	}
	if height >= c.Max {
		return 0, false
	}
	return -math.Log1p(-math.Pow(height/c.Max, 1/c.P)) / c.K, true
}

// A point is a height at an age.
type point struct{ age, height float64 }

// fit finds the curve nearest to some heights, in shares of them (least squares of their logarithms), whose Max is at least the
// greatest of them and at least least, and at most most. For a given K it is a straight line in ln(1 - exp(-K t)), so that only K
// has to be searched. Cost: 80 times two logarithms for each point.
func fit(points []point, least, most float64) Curve {
	for _, p := range points {
		least = math.Max(least, p.height)
	}
	most = math.Max(most, least)
	try := func(lnK float64) (Curve, float64) {
		return fitWith(points, math.Exp(lnK), math.Log(least), math.Log(most))
	}
	from, to := math.Log(leastK), math.Log(mostK)
	const steps = 48
	best, bestAt := math.Inf(1), from
	for i := range steps + 1 {
		at := from + (to-from)*float64(i)/steps
		if _, off := try(at); off < best-1e-15 {
			best, bestAt = off, at
		}
	}
	lo, hi := math.Max(from, bestAt-(to-from)/steps), math.Min(to, bestAt+(to-from)/steps)
	golden := (math.Sqrt(5) - 1) / 2
	a, b := hi-golden*(hi-lo), lo+golden*(hi-lo)
	_, x := try(a)
	_, y := try(b)
	for range 28 {
		if x < y {
			hi, b, y = b, a, x
			a = hi - golden*(hi-lo)
			_, x = try(a)
		} else {
			lo, a, x = a, b, y
			b = lo + golden*(hi-lo)
			_, y = try(b)
		}
	}
	c, _ := try((lo + hi) / 2)
	return c
}

// What holds the shape where the heights leave it open, as those of a bush that is grown at 5 years do: the published curves all have
// powers from 1 to 2.1 and a K below 0.12. At a K of 0.6 and a power of 0.8 a bush is half grown after one year and grown after five.
const (
	leastPower, mostPower = 0.8, 3.0
	leastK, mostK         = 1e-3, 0.6
)

// fitWith is the best curve for one K, and the sum of squares that is left.
func fitWith(points []point, k, lnLeast, lnMost float64) (Curve, float64) {
	var n, sx, sy, sxx, sxy float64
	var lnShape, lnHeight [3]float64 // as many as Ages
	for i, p := range points {
		x, y := math.Log(-math.Expm1(-k*p.age)), math.Log(p.height)
		lnShape[i], lnHeight[i] = x, y
		n, sx, sy, sxx, sxy = n+1, sx+x, sy+y, sxx+x*x, sxy+x*y
	}
	power := 1.0
	if den := n*sxx - sx*sx; den > 1e-12 {
		power = (n*sxy - sx*sy) / den
	}
	power = math.Min(mostPower, math.Max(leastPower, power))
	lnMax := (sy - power*sx) / n
	if lnMax < lnLeast || lnMax > lnMost {
		lnMax = math.Min(lnMost, math.Max(lnLeast, lnMax))
		if sxx > 1e-12 {
			power = (sxy - lnMax*sx) / sxx
		}
		power = math.Min(mostPower, math.Max(leastPower, power))
	}
	off := 0.0
	for i := range points {
		d := lnMax + power*lnShape[i] - lnHeight[i]
		off += d * d
	}
	return Curve{Max: math.Exp(lnMax), K: k, P: power}, off
}

// joined is several sources as one: each text once, and the weakest confidence of them.
func joined(list ...planner.Source) planner.Source {
	var out planner.Source
	var texts, codes []string
	for _, s := range list {
		if slices.Contains(texts, s.Text) {
			continue
		}
		if len(texts) == 0 || s.Confidence.Weaker(out.Confidence) {
			out.Confidence = s.Confidence
		}
		if out.URL == "" {
			out.URL = s.URL
		}
		texts, codes = append(texts, s.Text), append(codes, s.Code)
	}
	out.Text, out.Code = strings.Join(texts, "; "), strings.Join(codes, "+")
	return out
}
