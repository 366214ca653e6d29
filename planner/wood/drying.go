package wood

import "math"

// EMC is the moisture, in percent of the dry mass, that wood comes to in air of t degrees Celsius and relative humidity h (0 to
// 1): Hailwood and Horrobin's equation as the USDA Wood Handbook has it.
func EMC(t, h float64) float64 {
	w := 349 + 1.29*t + 0.0135*t*t
	k := 0.805 + 0.000736*t - 0.00000273*t*t
	k1 := 6.27 - 0.00938*t - 0.000303*t*t
	k2 := 1.91 + 0.0407*t - 0.000293*t*t
	kh := k * h
	return 1800 / w * (kh/(1-kh) + (k1*kh+2*k1*k2*kh*kh)/(1+k1*kh+k1*k2*kh*kh))
}

// Dry is the moisture (percent of the dry mass) of wood that starts at u0, after weeks in air that would bring it to emc, at a
// rate of k a week: emc + (u0 - emc) exp(-k weeks).
func Dry(u0, emc, k, weeks float64) float64 { return emc + (u0-emc)*math.Exp(-k*weeks) }

// DryingRate is the k a week that brings wood from moisture from to moisture to (percent of the wet mass) in so many weeks.
func DryingRate(from, to, emc, weeks float64) float64 {
	a, b := 100*from/(100-from), 100*to/(100-to)
	return math.Log((a-emc)/(b-emc)) / weeks
}

// Stacking says how logs are dried.
type Stacking string

// The two ways: Safe is thick, uncovered, badly aired or late; Good is split to 10 cm, roofed, open-sided and stacked by 30 April.
const (
	Safe Stacking = "safe"
	Good Stacking = "good practice"
)

// halfYear is the weeks of a summer and of a winter of the drying model.
const halfYear = 26.0

// DryingCurve is the moisture, percent of the wet mass, of logs cut in a winter and stacked in April: after the first summer, the
// next winter, the second summer, and so on for so many half years. Slow wood (oak) dries at 0.6 of the rate.
func DryingCurve(fresh float64, how Stacking, slow bool, halves int) []float64 {
	ks, kw := figure("k_summer").Mid, figure("k_winter").Mid
	if how == Good {
		ks = figure("k_summer_good").Mid
	}
	if slow {
		ks, kw = ks*figure("k_oak").Mid, kw*figure("k_oak").Mid
	}
	u, out := 100*fresh/(100-fresh), make([]float64, 0, halves)
	for i := range halves {
		if i%2 == 0 {
			u = Dry(u, figure("emc_summer").Mid, ks, halfYear)
		} else {
			u = Dry(u, figure("emc_winter").Mid, kw, halfYear)
		}
		out = append(out, WetBasis(u))
	}
	return out
}

// mostWinters is how far the drying curve is followed.
const mostWinters = 6

// ReadyAfter is how many winters after its own winter a cut is first at or below 20 percent moisture when the heating begins,
// at the end of a summer: 2 for most woods stacked the safe way, 3 for oak.
func ReadyAfter(fresh float64, how Stacking, slow bool) int {
	curve := DryingCurve(fresh, how, slow, 2*mostWinters)
	for i := 0; i < len(curve); i += 2 {
		if curve[i] <= figure("ready_moisture").Mid+1e-9 {
			return i/2 + 1
		}
	}
	return mostWinters
}
