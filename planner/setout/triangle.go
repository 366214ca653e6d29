package setout

import "math"

// triangle: every tree the same distance from its six neighbours; rows 0.8660 of the spacing apart.
//
//	o   o   o
//	  o   o
//	o   o   o
var triangle = Pattern{
	Name: "triangle", Title: "triangle", Help: "every tree the same distance from its six neighbours", Kinds: blocks, Params: []string{"spacing_m"},
	Grid:       func(s, _ float64) Grid { return Grid{Along: s, Across: s * math.Sqrt(3) / 2, Shift: s / 2, Turn: 180} },
	Least:      func(s, _ float64) float64 { return s },
	PerHectare: func(s, _ float64) float64 { return 10000 / (s * s * math.Sqrt(3) / 2) },
}
