package setout

import "math"

// rectangle: spacing along the row, row spacing between.
//
//	o  o  o  o
//
//
//	o  o  o  o
var rectangle = Pattern{
	Name: "rectangle", Title: "rectangle", Help: "rows farther apart than the trees in them", Kinds: blocks, Params: []string{"spacing_m", "row_spacing_m"},
	Grid:       func(s, r float64) Grid { return Grid{Along: s, Across: r, Turn: 180} },
	Least:      math.Min,
	PerHectare: func(s, r float64) float64 { return 10000 / (s * r) },
}
