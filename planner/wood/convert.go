package wood

import (
	"fmt"
	"math"
)

// DryBasis turns moisture in percent of the wet mass into percent of the dry mass. It refuses 100 and more, and less than 0.
func DryBasis(m float64) (float64, error) {
	if err := moisture(m); err != nil {
		return 0, err
	}
	return 100 * m / (100 - m), nil
}

// WetBasis turns moisture in percent of the dry mass into percent of the wet mass.
func WetBasis(u float64) float64 { return 100 * u / (100 + u) }

// moisture says what is wrong with a moisture in percent of the wet mass.
func moisture(m float64) error {
	if !(m >= 0 && m < 100) {
		return fmt.Errorf("a moisture of %g percent of the wet mass cannot be: it lies from 0 to under 100", m)
	}
	return nil
}

// MassAt is what a mass at moisture from weighs at moisture to: the dry wood in it stays.
func MassAt(mass, from, to float64) (float64, error) {
	if err := moisture(from); err != nil {
		return 0, err
	}
	if err := moisture(to); err != nil {
		return 0, err
	}
	return mass * (100 - from) / (100 - to), nil
}

// NetCalorific is the net calorific value as received, MJ per kg of wet wood, of wood of dry MJ per kg at moisture m percent of
// the wet mass: dry (100-m)/100 - 2.443 m/100 (EN ISO 17225 and 18125). It may fall below 0 for very wet wood.
func NetCalorific(dry, m float64) float64 { return dry*(100-m)/100 - figure("water_heat").Mid*m/100 }

// KWhPerKg is the same in kWh per kg of wet wood.
func KWhPerKg(dry, m float64) float64 { return NetCalorific(dry, m) / 3.6 }

// KWhPerDryTonne is the net energy in kWh of the wood that holds one tonne of dry mass, burnt at moisture m.
func KWhPerDryTonne(dry, m float64) float64 { return 1000 / (1 - m/100) * KWhPerKg(dry, m) }

// Volume forms of volumes.csv.
const (
	Round     = "round"       // solid
	Split1m   = "split_1m"    // 1 m billets, stacked
	Stack33   = "stack_33"    // stove lengths of 33 cm, stacked
	LooseLogs = "loose_logs"  // stove lengths, tipped
	ChipFine  = "chip_fine"   // up to 30 mm
	ChipThick = "chip_coarse" // 30 to 150 mm
)

// Convert turns m3 of one form into another by the table of a source ("FHP", "TFZ beech", "TFZ spruce"); false where that table
// has no such figure.
func Convert(table string, m3 float64, from, to string) (float64, bool) {
	for _, r := range rows("volumes.csv") {
		if r["source"] == table && r["of"] == from && r[to] != "" {
			return m3 * number(r[to]), true
		}
	}
	return 0, false
}

// StackedShare is how much of a stack of crooked hedge wood is wood, by the length of its logs in metres: 0.60 up to 0.5 m, 0.50
// at 1 m and over, straight between (measured on beech and spruce, Straubing 2006).
func StackedShare(logM float64) float64 {
	short, long := figure("stack_short").Mid, figure("stack_long").Mid
	return short + (long-short)*math.Max(0, math.Min(1, (logM-0.5)/0.5))
}

// MulchCovers is the square metres that m3 of mulch cover at a depth in metres; 0 for no depth.
func MulchCovers(m3, depth float64) float64 {
	if depth <= 0 {
		return 0
	}
	return m3 / depth
}

// Left is the share of something that decays by k a year left after years.
func Left(k, years float64) float64 { return math.Exp(-k * years) }

// HalfLife is the years after which half is left.
func HalfLife(k float64) float64 { return math.Ln2 / k }

// DecayFor is the k a year at which share of a thing is gone after years.
func DecayFor(share, years float64) float64 { return -math.Log(1-share) / years }
