package check

import (
	"fmt"
	"math"

	"quickthorn/planner"
	"quickthorn/planner/growth"
	"quickthorn/planner/species"
)

// beltDensity estimates the optical density in leaf and bare. A closed row has the figure of its class, a mixed row the mean of
// its species' by share; a row whose plants stand further apart than their crowns are wide at year 20 covers only that share of
// its length. Rows in line multiply their porosities. The three figures are chosen so that every combination of rows for which
// the National Agroforestry Center gives a range falls into that range; the tests show it. Bare, the deciduous part keeps 50/90
// of its density (belts measured in Moravia: 90 percent in leaf, down to 50 without); evergreens keep all.
func beltDensity(in Input, b *Belt) {
	keeps, ok := growth.BareKeeps(in.Set)
	if !ok {
		b.DensityUnknown = append(b.DensityUnknown, "how much of its density a bare belt keeps")
		return
	}
	leak := newLeak()
	var classes []growth.RowClass
	for i, r := range b.rows {
		d := rowDensity(in, r)
		if d.Unknown != "" {
			b.DensityUnknown = append(b.DensityUnknown, fmt.Sprintf("row %d: %s", i+1, d.Unknown))
			continue
		}
		classes = append(classes, d.Class)
		leak.add(d)
	}
	if len(b.DensityUnknown) > 0 {
		return
	}
	b.DensityKnown, b.DensityYear = true, beltYear
	b.DensityLeafOn, b.DensityLeafOff = leak.leafOn(), leak.leafOff(keeps)
	b.DensityClass = publishedClass(in, classes)
	b.DensitySource = planner.Source{
		Text: "density estimated by the kinds of its rows (Windbreak Design Clipboard); bare: belts in Moravia, Contributions to Geophysics and Geodesy", Confidence: planner.Derived}
}

// rowDensity is the density of one row at year 20.
func rowDensity(in Input, r beltRow) growth.Density {
	var parts []growth.Part
	for _, s := range r.mix {
		parts = append(parts, growth.Part{Name: s.name, Species: s.species, Share: s.share, WidthM: widthAtYear20(s.species)})
	}
	return growth.RowDensity(in.Set, parts, r.spacingM)
}

// widthAtYear20 is the width of a crown at year 20 in metres: the mature spread in proportion to the height then (derived); 0 where
// it is not known.
func widthAtYear20(s *species.Species) float64 {
	if s == nil || !s.Spread.Known {
		return 0
	}
	width := s.Spread.Usual
	if h := heightAtYear20(s); h.Known && s.Height.Known && s.Height.Usual > 0 {
		width *= math.Min(1, h.Usual/s.Height.Usual)
	}
	return width
}

// publishedClass is the range that the National Agroforestry Center gives for such rows; zeros where it gives none.
func publishedClass(in Input, rows []growth.RowClass) [2]float64 {
	count := map[growth.RowClass]int{}
	for _, c := range rows {
		count[c]++
	}
	e, s, t, n := count[growth.EvergreenRow], count[growth.ShrubRow], count[growth.TreeRow], len(rows)
	figure := func(name string, or float64) float64 {
		if l, ok := in.Set.Get("windbreak.density", name); ok {
			return l.Value
		}
		return or
	}
	switch {
	case n >= 3 && e > 0 && s > 0, n == 2 && e == 2:
		return [2]float64{figure("dense_rows_least_percent", 0), 100}
	case n == 1 && e == 1, n == 2 && e == 1 && t == 1, n == 2 && s == 2, n == 3 && e == 0 && s > 0 && t > 0:
		return [2]float64{figure("middling_rows_least_percent", 0), figure("middling_rows_greatest_percent", 0)}
	case n == 1 && s == 1, n == 2 && s == 1 && t == 1:
		return [2]float64{figure("open_rows_least_percent", 0), figure("open_rows_greatest_percent", 0)}
	}
	return [2]float64{}
}

// bandIn says when the belt is within its band, and takes the densities of the year that is asked for in the place of those at
// year 20.
func (b *Belt) bandIn(in Input, purpose string) {
	if !b.DensityKnown {
		return
	}
	least, ok1 := in.Set.Get("windbreak.density", purpose+"_least_percent")
	most, ok2 := in.Set.Get("windbreak.density", purpose+"_greatest_percent")
	if ok1 && ok2 {
		band := b.band(purpose, least.Value, most.Value)
		b.Band = &band
	}
	if in.Year > 0 {
		b.DensityYear = min(in.Year, growth.LastYear)
		y := &b.years[b.DensityYear]
		b.DensityLeafOn, b.DensityLeafOff = y.on.mid, y.off.mid
	}
}
