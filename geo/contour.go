package geo

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// A Band is the ground where a raster's figure lies from From up to, not including, To; the last band holds its To as well. Outlines
// run anticlockwise and holes clockwise. Polygons is empty where there is no such ground.
type Band struct {
	From, To float64
	Polygons orb.MultiPolygon
}

// Bands cuts a raster into bands at the edges, n+1 edges making n bands; edges are taken in ascending order, each once. Lines between
// bands run straight from cell to cell, where the figure interpolated between the middles of cells reaches the edge (moved by less
// than a millionth of a cell, so that no two ever meet); the outer half of the outer cells has the figure of its cell. Where two
// edges meet a saddle, the mean of its four corners decides. Cells without a figure are left out by their square; those beside them
// keep theirs whole.
//
// The bands share their corners exactly and fill the grid without cracks, as far as its figures lie between the first and last edge;
// beyond those is no band. Each polygon is valid by ValidateMultiPolygon, and so are all of a band together. Cost: proportional to
// the cells, four times that where a cell has no figure, plus the corners found.
func Bands(r *Raster, edges []float64) []Band {
	levels := slices.DeleteFunc(slices.Clone(edges), math.IsNaN)
	slices.Sort(levels)
	levels = slices.Compact(levels)
	if len(levels) < 2 {
		return nil
	}
	out := make([]Band, len(levels)-1)
	for k := range out {
		out[k].From, out[k].To = levels[k], levels[k+1]
	}
	if r.Len() == 0 {
		return out
	}
	levels[len(levels)-1] = math.Nextafter(levels[len(levels)-1], math.Inf(1)) // the last edge is in the last band
	t := newTracer(newMesh(r), levels)
	t.trace()
	for k := range out {
		out[k].Polygons = t.polygons(k + 1)
	}
	return out
}

// A mesh is the figures of a raster at the corners of faces that fill the grid: at the middles of cells and on the rim; where a cell
// has no figure, also halfway between all of them, so that faces fall into single cells.
type mesh struct {
	xs, ys []float64
	v      []float64 // at corner j*len(xs)+i
	open   []bool    // face j*(len(xs)-1)+i has no figure; nil: all have one
}

func newMesh(r *Raster) *mesh {
	if slices.ContainsFunc(r.Values, math.IsNaN) {
		return halved(r)
	}
	m := &mesh{xs: middles(r.Min[0], r.Cell, r.Nx), ys: middles(r.Min[1], r.Cell, r.Ny)}
	m.v = make([]float64, 0, len(m.xs)*len(m.ys))
	for j := range m.ys {
		row := r.Values[min(max(j-1, 0), r.Ny-1)*r.Nx:][:r.Nx]
		m.v = append(m.v, row[0])
		m.v = append(m.v, row...)
		m.v = append(m.v, row[r.Nx-1])
	}
	return m
}

// middles are the near edge of n cells, their middles, and the far edge.
func middles(from, cell float64, n int) []float64 {
	out := make([]float64, n+2)
	out[0], out[n+1] = from, from+float64(n)*cell
	for i := range n {
		out[i+1] = from + (float64(i)+0.5)*cell
	}
	return out
}

// halved is the mesh with four faces to a cell. A corner between cells has the mean of those of them that have a figure.
func halved(r *Raster) *mesh {
	nx, ny := 2*r.Nx+1, 2*r.Ny+1
	m := &mesh{xs: make([]float64, nx), ys: make([]float64, ny), v: make([]float64, nx*ny), open: make([]bool, (nx-1)*(ny-1))}
	for i := range m.xs {
		m.xs[i] = r.Min[0] + float64(i)*r.Cell/2
	}
	for j := range m.ys {
		m.ys[j] = r.Min[1] + float64(j)*r.Cell/2
	}
	for j := range ny {
		for i := range nx {
			// Corner i lies on cells (i-1)/2 and i/2: the same one in the middle of a cell.
			sum, n := 0.0, 0.0
			for b := max(0, (j-1)>>1); b <= min(r.Ny-1, j/2); b++ {
				for a := max(0, (i-1)>>1); a <= min(r.Nx-1, i/2); a++ {
					if v := r.At(a, b); !math.IsNaN(v) {
						sum, n = sum+v, n+1
					}
				}
			}
			if n > 0 {
				m.v[j*nx+i] = sum / n
			}
		}
	}
	for j := range ny - 1 {
		for i := range nx - 1 {
			m.open[j*(nx-1)+i] = math.IsNaN(r.At(i/2, j/2))
		}
	}
	return m
}

// filled tells whether there is a face at column i and row j and it has a figure.
func (m *mesh) filled(i, j int) bool {
	w := len(m.xs) - 1
	return i >= 0 && j >= 0 && i < w && j < len(m.ys)-1 && (m.open == nil || !m.open[j*w+i])
}
