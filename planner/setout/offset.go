package setout

import "math"

// offset: a rectangle with every other row moved by half a spacing.
//
//	o   o   o
//
//	  o   o
//
//	o   o   o
var offset = Pattern{
	Name: "offset", Title: "offset rows", Help: "every other row moved by half a spacing", Kinds: blocks, Params: []string{"spacing_m", "row_spacing_m"},
	Grid:       func(s, r float64) Grid { return Grid{Along: s, Across: r, Shift: s / 2, Turn: 180} },
	Least:      func(s, r float64) float64 { return math.Min(math.Min(s, math.Hypot(r, s/2)), 2*r) },
	PerHectare: func(s, r float64) float64 { return 10000 / (s * r) },
}
