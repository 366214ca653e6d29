package setout

import "math"

// quincunx: a square with a tree in the middle of each, 0.7071 of the spacing from its corners.
//
//	o   o   o
//	  o   o
//	o   o   o
var quincunx = Pattern{
	Name: "quincunx", Title: "quincunx", Help: "a square with one more in the middle: 0.71 of the spacing apart", Kinds: blocks, Params: []string{"spacing_m"},
	Grid:       func(s, _ float64) Grid { return Grid{Along: s, Across: s / 2, Shift: s / 2, Turn: 90} },
	Least:      func(s, _ float64) float64 { return s * math.Sqrt2 / 2 },
	PerHectare: func(s, _ float64) float64 { return 20000 / (s * s) },
}
