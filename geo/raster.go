package geo

import (
	"math"

	"github.com/paulmach/orb"
)

// A Grid is square cells over a box: Nx columns from west to east and Ny rows from south to north, the first cell's south-west
// corner at Min. Cell (i, j) covers Min + (i..i+1, j..j+1) times Cell.
type Grid struct {
	Min    orb.Point
	Cell   float64 // edge of a cell
	Nx, Ny int
}

// GridOver covers a box with cells of the given edge, their corners on whole multiples of it, so that a grid does not shift when
// its box grows. Where that would take more than most cells the edge is doubled until it does not (most <= 0: no bound). An empty
// box gives a grid without cells.
func GridOver(b orb.Bound, cell float64, most int) Grid {
	if !(cell > 0) || b.Min[0] > b.Max[0] || b.Min[1] > b.Max[1] {
		return Grid{Cell: cell}
	}
	for {
		x0, y0 := math.Floor(b.Min[0]/cell), math.Floor(b.Min[1]/cell)
		nx, ny := math.Max(1, math.Ceil(b.Max[0]/cell)-x0), math.Max(1, math.Ceil(b.Max[1]/cell)-y0)
		if most <= 0 || nx*ny <= float64(most) {
			return Grid{Min: orb.Point{x0 * cell, y0 * cell}, Cell: cell, Nx: int(nx), Ny: int(ny)}
		}
		cell *= 2
	}
}

// Len is the number of cells.
func (g Grid) Len() int { return g.Nx * g.Ny }

// Middle is the middle of cell (i, j).
func (g Grid) Middle(i, j int) orb.Point {
	return orb.Point{g.Min[0] + (float64(i)+0.5)*g.Cell, g.Min[1] + (float64(j)+0.5)*g.Cell}
}

// Box is the ground that the grid covers.
func (g Grid) Box() orb.Bound {
	return orb.Bound{Min: g.Min, Max: orb.Point{g.Min[0] + float64(g.Nx)*g.Cell, g.Min[1] + float64(g.Ny)*g.Cell}}
}

// A Raster is one figure for every cell of a grid; NaN where there is none. Values holds row after row from the south.
type Raster struct {
	Grid
	Values []float64
}

// NewRaster is a raster of zeros.
func NewRaster(g Grid) *Raster { return &Raster{Grid: g, Values: make([]float64, g.Len())} }

// At is the figure of cell (i, j).
func (r *Raster) At(i, j int) float64 { return r.Values[j*r.Nx+i] }
