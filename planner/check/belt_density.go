package check

import (
	"fmt"
	"math"

	"quickthorn/planner"
	"quickthorn/planner/species"
)

// A rowClass is the kind of a row as the National Agroforestry Center's table of densities knows it.
type rowClass int

const (
	unknownRow   rowClass = iota
	evergreenRow          // conifers and evergreens, leaf on all year
	shrubRow              // deciduous shrubs
	treeRow               // deciduous trees, larch too
)

// rowFigure is the limit that holds the optical density of one closed row in leaf, by class.
var rowFigure = map[rowClass]string{evergreenRow: "row_evergreen_percent", shrubRow: "row_shrub_percent", treeRow: "row_tree_percent"}

// beltDensity estimates the optical density in leaf and bare. A closed row has the figure of its class, a mixed row the mean of
// its species' by share; a row whose plants stand further apart than their crowns are wide at year 20 covers only that share of
// its length. Rows in line multiply their porosities. The three figures are chosen so that every combination of rows for which
// the National Agroforestry Center gives a range falls into that range; the tests show it. Bare, the deciduous part keeps 50/90
// of its density (belts measured in Moravia: 90 percent in leaf, down to 50 without); evergreens keep all.
func beltDensity(in Input, b *Belt) {
	keeps, ok := in.Set.Get("windbreak.density", "bare_density_keeps_percent")
	if !ok {
		b.DensityUnknown = append(b.DensityUnknown, "how much of its density a bare belt keeps")
		return
	}
	deciduous, evergreen := 1.0, 1.0
	var classes []rowClass
	for i, r := range b.rows {
		on, ever, class, why := rowDensity(in, r)
		if why != "" {
			b.DensityUnknown = append(b.DensityUnknown, fmt.Sprintf("row %d: %s", i+1, why))
			continue
		}
		classes = append(classes, class)
		evergreen *= 1 - ever
		if ever < 1 {
			deciduous *= (1 - on) / (1 - ever)
		}
	}
	if len(b.DensityUnknown) > 0 {
		return
	}
	b.DensityKnown = true
	b.DensityLeafOn = 100 * (1 - deciduous*evergreen)
	b.DensityLeafOff = 100 * (1 - (1-(1-deciduous)*keeps.Value/100)*evergreen)
	b.DensityClass = publishedClass(in, classes)
	b.DensitySource = planner.Source{
		Text: "density estimated by the kinds of its rows (the same source); bare: belts in Moravia, Contributions to Geophysics and Geodesy", Confidence: planner.Derived}
}

// rowDensity is the share of a row's face that is closed in leaf, the part of it that is evergreen, and the class that most of
// its plants are of; why says what is missing.
func rowDensity(in Input, r beltRow) (on, evergreen float64, class rowClass, why string) {
	if len(r.mix) == 0 {
		return 0, 0, unknownRow, "no species is stated"
	}
	shares := map[rowClass]float64{}
	for _, s := range r.mix {
		c := classOf(s.species)
		if c == unknownRow {
			return 0, 0, unknownRow, "whether " + s.label() + " keeps its leaves is not known"
		}
		figure, ok := in.Set.Get("windbreak.density", rowFigure[c])
		if !ok {
			return 0, 0, unknownRow, "no figure for such a row"
		}
		d := s.share * figure.Value / 100 * cover(s.species, r.spacingM)
		on += d
		if c == evergreenRow {
			evergreen += d
		}
		shares[c] += s.share
	}
	for _, c := range []rowClass{evergreenRow, shrubRow, treeRow} {
		if shares[c] > shares[class] {
			class = c
		}
	}
	return math.Min(on, 1), math.Min(evergreen, 1), class, ""
}

func classOf(s *species.Species) rowClass {
	switch {
	case s == nil || !s.Evergreen.Known:
		return unknownRow
	case s.Evergreen.Yes():
		return evergreenRow
	case s.Layer == species.TreeLayer:
		return treeRow
	case s.Layer == species.ShrubLayer:
		return shrubRow
	}
	return unknownRow
}

// cover is the share of a row's length that crowns cover at year 20: the crown's width over the spacing, 1 at most. The width is
// the mature spread in proportion to the height then (derived); where it or the spacing is not known the row counts as closed.
func cover(s *species.Species, spacingM float64) float64 {
	if !s.Spread.Known || spacingM <= 0 {
		return 1
	}
	width := s.Spread.Usual
	if h := heightAtYear20(s); h.Known && s.Height.Known && s.Height.Usual > 0 {
		width *= math.Min(1, h.Usual/s.Height.Usual)
	}
	return math.Min(1, width/spacingM)
}

// publishedClass is the range that the National Agroforestry Center gives for such rows; zeros where it gives none.
func publishedClass(in Input, rows []rowClass) [2]float64 {
	count := map[rowClass]int{}
	for _, c := range rows {
		count[c]++
	}
	e, s, t, n := count[evergreenRow], count[shrubRow], count[treeRow], len(rows)
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
