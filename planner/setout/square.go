package setout

// square: rows as far apart as the trees in them.
//
//	o   o   o
//
//	o   o   o
var square = Pattern{
	Name: "square", Title: "square", Help: "trees and rows the same distance apart", Kinds: blocks, Params: []string{"spacing_m"},
	Grid:       func(s, _ float64) Grid { return Grid{Along: s, Across: s, Turn: 90} },
	Least:      func(s, _ float64) float64 { return s },
	PerHectare: func(s, _ float64) float64 { return 10000 / (s * s) },
}
