package check

import (
	"fmt"
	"slices"

	"quickthorn/planner"
	"quickthorn/planner/growth"
)

// ends is a figure with growth at its low end, in the middle and at its high end.
type ends struct{ low, mid, high float64 }

// A beltAt is a belt in one year after planting. All is 0 before it is planted.
type beltAt struct {
	rows    []ends // height of each row
	height  ends   // of the tallest
	on, off ends   // optical density in percent, in leaf and bare, as beltDensity reckons it with that year's crowns
}

// beltYears is a belt in every year from 0 to growth.LastYear. Heights of rows that are not known are 0; densities count only where
// DensityKnown. Cost: a few dozen microseconds a row.
func beltYears(in Input, b *Belt) []beltAt {
	keeps, _ := growth.BareKeeps(in.Set)
	out := make([]beltAt, growth.LastYear+1)
	for year := range out {
		y := &out[year]
		leak := [3]beltLeak{newLeak(), newLeak(), newLeak()}
		age, aged := in.Stand.Age(b.Feature, year)
		for i, r := range b.rows {
			size, low, mid, high := in.Stand.BeltRow(b.Feature, i, year)
			h := ends{}
			if size.Height.Known {
				h = ends{size.Height.Low, size.Height.Mid, size.Height.High}
			}
			y.rows = append(y.rows, h)
			y.height = ends{max(y.height.low, h.low), max(y.height.mid, h.mid), max(y.height.high, h.high)}
			for k, parts := range [3][]growth.Part{low, mid, high} {
				leak[k].add(growth.RowDensity(in.Set, parts, r.spacingM))
			}
		}
		if aged && age < 0 {
			continue
		}
		y.on = ends{leak[0].leafOn(), leak[1].leafOn(), leak[2].leafOn()}
		y.off = ends{leak[0].leafOff(keeps), leak[1].leafOff(keeps), leak[2].leafOff(keeps)}
	}
	return out
}

// A beltLeak is what rows in line let through, their deciduous and evergreen parts apart: porosities multiply.
type beltLeak struct{ deciduous, evergreen float64 }

func newLeak() beltLeak { return beltLeak{1, 1} }

func (l *beltLeak) add(d growth.Density) {
	l.evergreen *= 1 - d.Evergreen
	if d.Evergreen < 1 {
		l.deciduous *= (1 - d.LeafOn) / (1 - d.Evergreen)
	}
}

// leafOn and leafOff are the density in percent.
func (l *beltLeak) leafOn() float64 { return 100 * (1 - l.deciduous*l.evergreen) }

func (l *beltLeak) leafOff(keeps float64) float64 {
	return 100 * (1 - (1-(1-l.deciduous)*keeps)*l.evergreen)
}

// A firstOf is the first year in which something holds, with growth at its high end, in the middle and at its low end.
type firstOf [3]int

// firstYear finds it, each from a year on. Never where it holds in none.
func firstYear(years []beltAt, from firstOf, holds func(y *beltAt, of func(ends) float64) bool) firstOf {
	out := firstOf{planner.Never, planner.Never, planner.Never}
	for i, of := range [3]func(ends) float64{atHigh, atMid, atLow} {
		for year := from[i]; year < len(years); year++ {
			if holds(&years[year], of) {
				out[i] = year
				break
			}
		}
	}
	return out
}

// years are the earliest, the middle and the latest of the three.
func (f firstOf) years() planner.Years {
	slices.Sort(f[:])
	return planner.Years{From: f[0], Mid: f[1], To: f[2]}
}

func atLow(e ends) float64  { return e.low }
func atMid(e ends) float64  { return e.mid }
func atHigh(e ends) float64 { return e.high }

// yearsText says when something comes: "from the start", "in year 9", "in years 7 to 12, most likely in year 9", "in year 25 or
// later, most likely after year 30".
func yearsText(y planner.Years) string {
	switch {
	case y.To == 0:
		return "from the start"
	case y.From >= planner.Never:
		return fmt.Sprintf("not within %d years", growth.LastYear)
	case y.Mid >= planner.Never:
		return fmt.Sprintf("in %s, most likely after year %d", y.String(), growth.LastYear)
	case y.From == y.To:
		return "in " + y.String()
	}
	return fmt.Sprintf("in %s, most likely in year %d", y.String(), y.Mid)
}

// A Band is when a belt is as dense as its purpose wants.
type Band struct {
	In  planner.Years // it comes into its band: dense enough in leaf, and bare too where it is for stock or buildings
	Out planner.Years // it grows too dense in leaf
}

// band is when the belt is within its band.
func (b *Belt) band(purpose string, least, most float64) Band {
	in := firstYear(b.years, firstOf{}, func(y *beltAt, of func(ends) float64) bool {
		return of(y.on) >= least-1e-9 && (purpose == "crops" || of(y.off) >= least-1e-9)
	})
	out := firstYear(b.years, firstOf{}, func(y *beltAt, of func(ends) float64) bool { return of(y.on) > most+1e-9 })
	return Band{in.years(), out.years()}
}
