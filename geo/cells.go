package geo

import (
	"math"
	"slices"
	"sort"

	"github.com/paulmach/orb"
)

// cells is a counting grid: things sorted by the square cell that they lie in,
// row by row, so that a run of neighbouring cells in one row is one run of
// memory. Where the box is large for the number of things (a plan with one
// corner a hundred kilometres off) the counts are replaced by the sorted keys
// of the cells in use, so that memory stays within a few words per thing.
type cells struct {
	min    orb.Point
	size   float64
	nx, ny int
	start  []int32  // dense: first slot of each cell, nx*ny+1 long
	keys   []uint64 // sparse: key of each slot, ascending
	order  []int32  // slot -> thing
}

// maxCells is the most cells along one side.
const maxCells = 1 << 30

// newCells sorts n things at the given points. Things that are not finite are
// left out. The cell is enlarged where the box would need too many.
func newCells(n int, at func(i int) orb.Point, size float64, budget int) *cells {
	c := &cells{size: size}
	box := orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)}, Max: orb.Point{math.Inf(-1), math.Inf(-1)}}
	used := 0
	for i := range n {
		if p := at(i); finite(p[0]) && finite(p[1]) {
			box.Min = orb.Point{math.Min(box.Min[0], p[0]), math.Min(box.Min[1], p[1])}
			box.Max = orb.Point{math.Max(box.Max[0], p[0]), math.Max(box.Max[1], p[1])}
			used++
		}
	}
	if used == 0 {
		c.start = []int32{0}
		return c
	}
	c.min = box.Min
	w, h := box.Max[0]-box.Min[0], box.Max[1]-box.Min[1]
	if !(c.size > 0) || !finite(c.size) {
		c.size = math.Max(1e-9, math.Sqrt(w*h/float64(used)))
		if !finite(c.size) {
			c.size = math.Max(w, h) / 1024
		}
	}
	c.size = math.Max(c.size, math.Max(w, h)/(maxCells-2))
	c.nx, c.ny = int(w/c.size)+1, int(h/c.size)+1
	if c.nx <= budget && c.ny <= budget && c.nx*c.ny <= budget {
		c.fillDense(n, used, at)
	} else {
		c.fillSparse(n, used, at)
	}
	return c
}

func (c *cells) fillDense(n, used int, at func(i int) orb.Point) {
	c.start = make([]int32, c.nx*c.ny+1)
	where := make([]int32, n)
	for i := range n {
		where[i] = -1
		if p := at(i); finite(p[0]) && finite(p[1]) {
			x, y := c.cell(p)
			where[i] = int32(y*c.nx + x)
			c.start[where[i]+1]++
		}
	}
	for k := 1; k < len(c.start); k++ {
		c.start[k] += c.start[k-1]
	}
	c.order = make([]int32, used)
	// Fill by moving the starts on, then move them back by one cell.
	for i := range n {
		if k := where[i]; k >= 0 {
			c.order[c.start[k]] = int32(i)
			c.start[k]++
		}
	}
	copy(c.start[1:], c.start[:len(c.start)-1])
	c.start[0] = 0
}

func (c *cells) fillSparse(n, used int, at func(i int) orb.Point) {
	type slot struct {
		key uint64
		i   int32
	}
	slots := make([]slot, 0, used)
	for i := range n {
		if p := at(i); finite(p[0]) && finite(p[1]) {
			x, y := c.cell(p)
			slots = append(slots, slot{uint64(y)<<32 | uint64(x), int32(i)})
		}
	}
	slices.SortFunc(slots, func(a, b slot) int {
		switch {
		case a.key != b.key && a.key < b.key:
			return -1
		case a.key != b.key:
			return 1
		}
		return int(a.i - b.i)
	})
	c.keys, c.order = make([]uint64, len(slots)), make([]int32, len(slots))
	for k, s := range slots {
		c.keys[k], c.order[k] = s.key, s.i
	}
}

// cell is the cell of a point, brought into the grid.
func (c *cells) cell(p orb.Point) (x, y int) {
	return clampCell((p[0]-c.min[0])/c.size, c.nx), clampCell((p[1]-c.min[1])/c.size, c.ny)
}

func clampCell(v float64, n int) int {
	if !(v > 0) {
		return 0
	}
	if v >= float64(n) {
		return n - 1
	}
	return int(v)
}

// span is the run of slots in row y from column x0 to x1, all within the grid.
func (c *cells) span(y, x0, x1 int) (lo, hi int) {
	if c.start != nil {
		return int(c.start[y*c.nx+x0]), int(c.start[y*c.nx+x1+1])
	}
	k0, k1 := uint64(y)<<32|uint64(x0), uint64(y)<<32|uint64(x1)+1
	lo = sort.Search(len(c.keys), func(i int) bool { return c.keys[i] >= k0 })
	hi = lo + sort.Search(len(c.keys)-lo, func(i int) bool { return c.keys[lo+i] >= k1 })
	return lo, hi
}

// within is the block of cells that a disc about p can touch; ok is false where
// it touches none.
func (c *cells) within(p orb.Point, r float64) (x0, x1, y0, y1 int, ok bool) {
	if c.nx == 0 || !(r >= 0) {
		return 0, 0, 0, 0, false
	}
	lx, hx := (p[0]-r-c.min[0])/c.size, (p[0]+r-c.min[0])/c.size
	ly, hy := (p[1]-r-c.min[1])/c.size, (p[1]+r-c.min[1])/c.size
	// One part in a million of a cell, for the rounding of the divisions.
	const eps = 1e-6
	if !(hx >= -eps) || !(hy >= -eps) || !(lx <= float64(c.nx)+eps) || !(ly <= float64(c.ny)+eps) {
		return 0, 0, 0, 0, false
	}
	return clampCell(lx-eps, c.nx), clampCell(hx+eps, c.nx), clampCell(ly-eps, c.ny), clampCell(hy+eps, c.ny), true
}

// ring calls f for each run of slots in the cells at Chebyshev distance k from
// cell (x, y), as far as they lie in the grid; any is false where none does.
func (c *cells) ring(x, y, k int, f func(lo, hi int)) (any bool) {
	for yy := max(0, y-k); yy <= min(c.ny-1, y+k); yy++ {
		if yy == y-k || yy == y+k {
			x0, x1 := max(0, x-k), min(c.nx-1, x+k)
			if x0 <= x1 {
				any = true
				f(c.span(yy, x0, x1))
			}
			continue
		}
		if x-k >= 0 {
			any = true
			f(c.span(yy, x-k, x-k))
		}
		if x+k < c.nx {
			any = true
			f(c.span(yy, x+k, x+k))
		}
	}
	return any
}
