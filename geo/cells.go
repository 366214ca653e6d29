package geo

import (
	"cmp"
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
	inv    float64 // 1/size
	nx, ny int
	start  []int32  // dense: first slot of each cell, nx*ny+1 long
	keys   []uint64 // sparse: key of each slot, ascending
	slot   []int32  // thing -> slot, -1 for one that is not finite
	used   int      // number of slots
}

// maxCells is the most cells along one side.
const maxCells = 1 << 30

// newCells sorts the points. Those that are not finite are left out. The cell is
// chosen from the number and extent where the size is not above 0, and enlarged
// where the box would need too many. A grid of more than budget cells is kept by
// its keys.
func newCells(pts []orb.Point, size float64, budget int) *cells {
	c := &cells{size: size, slot: make([]int32, len(pts))}
	box, used := pointBox(pts)
	c.used = used
	if used == 0 {
		c.start = []int32{0}
		for i := range c.slot {
			c.slot[i] = -1
		}
		return c
	}
	c.min = box.Min
	w, h := box.Max[0]-box.Min[0], box.Max[1]-box.Min[1]
	if !(c.size > 0) || !finite(c.size) {
		c.size = math.Sqrt(w * h / float64(used))
		c.size = math.Max(c.size, math.Max(w, h)/float64(4*used+16))
	}
	c.size = math.Max(c.size, math.Max(w, h)/(maxCells-2))
	if !(c.size > 0) || !finite(c.size) { // all in one place, or an endless box
		c.size = math.MaxFloat64 / 4
	}
	c.inv = 1 / c.size
	c.nx, c.ny = int(w*c.inv)+1, int(h*c.inv)+1
	if c.nx <= budget && c.ny <= budget && c.nx*c.ny <= budget {
		c.fillDense(pts)
	} else {
		c.fillSparse(pts)
	}
	return c
}

// pointBox is the box of the finite points, and how many there are.
func pointBox(pts []orb.Point) (box orb.Bound, used int) {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range pts {
		if finite(p[0]) && finite(p[1]) {
			x0, y0 = min(x0, p[0]), min(y0, p[1])
			x1, y1 = max(x1, p[0]), max(y1, p[1])
			used++
		}
	}
	return orb.Bound{Min: orb.Point{x0, y0}, Max: orb.Point{x1, y1}}, used
}

func (c *cells) fillDense(pts []orb.Point) {
	c.start = make([]int32, c.nx*c.ny+1)
	for i, p := range pts {
		c.slot[i] = -1
		if finite(p[0]) && finite(p[1]) {
			x, y := c.cell(p)
			k := int32(y*c.nx + x)
			c.slot[i] = k
			c.start[k+1]++
		}
	}
	for k := 1; k < len(c.start); k++ {
		c.start[k] += c.start[k-1]
	}
	// Fill by moving the starts on, then move them back by one cell.
	for i, k := range c.slot {
		if k >= 0 {
			c.slot[i] = c.start[k]
			c.start[k]++
		}
	}
	copy(c.start[1:], c.start[:len(c.start)-1])
	c.start[0] = 0
}

func (c *cells) fillSparse(pts []orb.Point) {
	type entry struct {
		key uint64
		i   int32
	}
	entries := make([]entry, 0, c.used)
	for i, p := range pts {
		c.slot[i] = -1
		if finite(p[0]) && finite(p[1]) {
			x, y := c.cell(p)
			entries = append(entries, entry{uint64(y)<<32 | uint64(x), int32(i)})
		}
	}
	slices.SortFunc(entries, func(a, b entry) int {
		return cmp.Or(cmp.Compare(a.key, b.key), cmp.Compare(a.i, b.i))
	})
	c.keys = make([]uint64, len(entries))
	for k, e := range entries {
		c.keys[k], c.slot[e.i] = e.key, int32(k)
	}
}

// order lists the things by slot.
func (c *cells) order() []int32 {
	out := make([]int32, c.used)
	for i, k := range c.slot {
		if k >= 0 {
			out[k] = int32(i)
		}
	}
	return out
}

// cell is the cell of a point, brought into the grid.
func (c *cells) cell(p orb.Point) (x, y int) {
	return clampCell((p[0]-c.min[0])*c.inv, c.nx), clampCell((p[1]-c.min[1])*c.inv, c.ny)
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
	lx, hx := (p[0]-r-c.min[0])*c.inv, (p[0]+r-c.min[0])*c.inv
	ly, hy := (p[1]-r-c.min[1])*c.inv, (p[1]+r-c.min[1])*c.inv
	// One part in a million of a cell, for rounding.
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
