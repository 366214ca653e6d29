package light

import (
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo"
)

// A canvas is a band of rows of a grid onto which shadows are drawn, one position of the sun after the other.
//
// It knows two ways of counting. Without shares every group multiplies straight into pass. With shares the groups of a feature
// multiply into feat first, so that what each feature takes is known.
type canvas struct {
	grid   geo.Grid
	from   int // first row
	rows   int
	box    orb.Bound // of the middles of its cells
	scene  *Scene
	dark   [][]int32 // by group: cells inside a building
	shares bool
	around *sectors // nil to ask every group

	pass []float64 // of each cell, for the present position

	// One group that has several pieces.
	once    []float64
	stamp   []uint32
	epoch   uint32
	touched []int32
	// One feature.
	feat      []float64
	featStamp []uint32
	featEpoch uint32
	featCells []int32

	taken  []taking // of the present position
	weight []float64

	lo, hi []float64 // reach of a convex shadow in each row
}

// A taking is what one feature holds back at one cell in the present position, as if it stood alone.
type taking struct {
	cell    int32
	feature int32
	closed  float64
}

func newCanvas(g geo.Grid, from, rows int, s *Scene, shares bool) *canvas {
	n := g.Nx * rows
	c := &canvas{grid: g, from: from, rows: rows, scene: s, shares: shares, pass: make([]float64, n), once: make([]float64, n),
		stamp: make([]uint32, n), lo: make([]float64, rows), hi: make([]float64, rows)}
	if shares {
		c.feat, c.featStamp, c.weight = make([]float64, n), make([]uint32, n), make([]float64, n)
	}
	c.box = orb.Bound{Min: g.Middle(0, from), Max: g.Middle(g.Nx-1, from+rows-1)}
	c.dark = make([][]int32, len(s.groups))
	for k := range s.groups {
		if gr := &s.groups[k]; len(gr.footprint) > 0 && gr.box.Intersects(c.box) {
			c.dark[k] = c.inside(gr.footprint)
		}
	}
	for i := range c.lo {
		c.lo[i], c.hi[i] = math.Inf(1), math.Inf(-1)
	}
	return c
}

// inside lists the cells of the band whose middles lie in a shape.
func (c *canvas) inside(mp orb.MultiPolygon) []int32 {
	region := geo.NewRegion(mp)
	var out []int32
	for j := range c.rows {
		for i := range c.grid.Nx {
			if p := c.grid.Middle(i, c.from+j); region.Box().Contains(p) && region.Contains(p) {
				out = append(out, int32(j*c.grid.Nx+i))
			}
		}
	}
	return out
}

// draw works out pass for one position of the sun; with shares also taken.
func (c *canvas) draw(st *step) {
	for i := range c.pass {
		c.pass[i] = 1
	}
	c.taken = c.taken[:0]
	at := -1
	one := func(k int) {
		g := &c.scene.groups[k]
		if !g.mayShade(st, c.box) {
			return
		}
		if c.shares && g.feature != at {
			c.flush(at)
			at = g.feature
			c.featEpoch++
		}
		c.group(g, c.dark[k], st)
	}
	if c.around == nil {
		for k := range c.scene.groups {
			one(k)
		}
	} else {
		for _, k := range c.around.towards(st) {
			one(int(k))
		}
	}
	if c.shares {
		c.flush(at)
	}
}

// mayShade is false where no part of the group's shadow can reach the box.
func (g *group) mayShade(st *step, box orb.Bound) bool {
	for d := range 2 {
		s := st.shadow[d]
		a, b := s*g.low, s*g.high
		if len(g.footprint) > 0 {
			a = 0
		}
		if g.box.Min[d]+min(a, b) > box.Max[d] || g.box.Max[d]+max(a, b) < box.Min[d] {
			return false
		}
	}
	// The shadow runs straight away from the sun: it cannot reach a box beside its track.
	dx, dy := (box.Min[0]+box.Max[0])/2-g.mid[0], (box.Min[1]+box.Max[1])/2-g.mid[1]
	reach := g.radius + (box.Max[0]-box.Min[0]+box.Max[1]-box.Min[1])/2
	off := st.towards[0]*dy - st.towards[1]*dx // from the track, times the cosine of the altitude
	return off*off <= reach*reach*(st.towards[0]*st.towards[0]+st.towards[1]*st.towards[1])
}

func (c *canvas) group(g *group, dark []int32, st *step) {
	switch {
	case g.crown != nil:
		c.ellipse(g.crown, st)
		return
	case len(g.pieces) == 1 && len(dark) == 0:
		if j0, j1, ok := c.sweep(&g.pieces[0], st); ok {
			c.fill(j0, j1, g.pieces[0].pass)
		}
		return
	}
	c.epoch++
	c.touched = c.touched[:0]
	for _, i := range dark {
		c.least(i, 0)
	}
	for k := range g.pieces {
		p := &g.pieces[k]
		j0, j1, ok := c.sweep(p, st)
		if !ok {
			continue
		}
		for j := j0; j <= j1; j++ {
			a, b := c.cells(j)
			for i := a; i <= b; i++ {
				c.least(int32(j*c.grid.Nx+i), p.pass)
			}
		}
	}
	for _, i := range c.touched {
		c.multiply(i, c.once[i])
	}
}

// least keeps the least share that any part of the present group passes at a cell.
func (c *canvas) least(i int32, pass float64) {
	if c.stamp[i] != c.epoch {
		c.stamp[i], c.once[i] = c.epoch, pass
		c.touched = append(c.touched, i)
	} else if pass < c.once[i] {
		c.once[i] = pass
	}
}

func (c *canvas) multiply(i int32, pass float64) {
	switch {
	case !c.shares:
		c.pass[i] *= pass
	case c.featStamp[i] != c.featEpoch:
		c.featStamp[i], c.feat[i] = c.featEpoch, pass
		c.featCells = append(c.featCells, i)
	default:
		c.feat[i] *= pass
	}
}

// flush puts what the present feature passes into pass.
func (c *canvas) flush(feature int) {
	for _, i := range c.featCells {
		c.pass[i] *= c.feat[i]
		c.taken = append(c.taken, taking{i, int32(feature), 1 - c.feat[i]})
	}
	c.featCells = c.featCells[:0]
}

// share splits the light lost at each cell among the features by what each would hold back alone, and hands it on.
func (c *canvas) share(to func(cell, feature int32, lost float64)) {
	for _, t := range c.taken {
		c.weight[t.cell] += t.closed
	}
	for _, t := range c.taken {
		if w := c.weight[t.cell]; w > 0 {
			to(t.cell, t.feature, (1-c.pass[t.cell])*t.closed/w)
		}
	}
	for _, t := range c.taken {
		c.weight[t.cell] = 0
	}
}

// rowsOf is the rows whose middles lie from y0 to y1.
func (c *canvas) rowsOf(y0, y1 float64) (j0, j1 int, ok bool) {
	g := c.grid
	a := max(math.Ceil((y0-g.Min[1])/g.Cell-0.5)-float64(c.from), 0)
	b := min(math.Floor((y1-g.Min[1])/g.Cell-0.5)-float64(c.from), float64(c.rows-1))
	if !(a <= b) {
		return 0, 0, false
	}
	return int(a), int(b), true
}

// cells is the cells of a row whose middles lie within lo and hi, and clears the two.
func (c *canvas) cells(j int) (a, b int) {
	lo, hi := c.lo[j], c.hi[j]
	c.lo[j], c.hi[j] = math.Inf(1), math.Inf(-1)
	return c.span(lo, hi)
}

func (c *canvas) span(lo, hi float64) (a, b int) {
	g := c.grid
	x := max(math.Ceil((lo-g.Min[0])/g.Cell-0.5), 0)
	y := min(math.Floor((hi-g.Min[0])/g.Cell-0.5), float64(g.Nx-1))
	if !(x <= y) {
		return 0, -1
	}
	return int(x), int(y)
}

func (c *canvas) fill(j0, j1 int, pass float64) {
	for j := j0; j <= j1; j++ {
		a, b := c.cells(j)
		c.fillRow(j, a, b, pass)
	}
}

func (c *canvas) fillRow(j, a, b int, pass float64) {
	if c.shares {
		for i := a; i <= b; i++ {
			c.multiply(int32(j*c.grid.Nx+i), pass)
		}
		return
	}
	if a > b {
		return
	}
	row := c.pass[j*c.grid.Nx+a : j*c.grid.Nx+b+1]
	for i := range row {
		row[i] *= pass
	}
}

// ellipse draws the shadow of a crown: an ellipse about the shadow of its middle, as wide as the crown across the beam, and
// sqrt(across^2 + (tall cot altitude)^2) long from middle to end along it.
func (c *canvas) ellipse(e *ellipsoid, st *step) {
	u, v := st.shadow[0], st.shadow[1] // its length is cot altitude
	x0, y0 := e.at[0]+u*e.middle, e.at[1]+v*e.middle
	// The shadow is {q : q'M^-1 q <= 1} with M = across^2 I + tall^2 s s', which holds for a sun straight above too.
	mxx, mxy, myy := e.across*e.across+e.tall*e.tall*u*u, e.tall*e.tall*u*v, e.across*e.across+e.tall*e.tall*v*v
	reach := math.Sqrt(myy)
	j0, j1, ok := c.rowsOf(y0-reach, y0+reach)
	if !ok {
		return
	}
	slope, rest := mxy/myy, max(0, mxx-mxy*mxy/myy)
	for j := j0; j <= j1; j++ {
		dy := c.grid.Min[1] + (float64(c.from+j)+0.5)*c.grid.Cell - y0
		left := 1 - dy*dy/myy
		if left < 0 {
			continue
		}
		half := math.Sqrt(rest * left)
		mid := x0 + slope*dy
		a, b := c.span(mid-half, mid+half)
		c.fillRow(j, a, b, e.pass)
	}
}

// sweep puts the reach of a prism's shadow into lo and hi of the rows from j0 to j1; false where it meets none.
func (c *canvas) sweep(p *piece, st *step) (j0, j1 int, ok bool) {
	ax, ay := st.shadow[0]*p.low, st.shadow[1]*p.low
	bx, by := st.shadow[0]*p.high, st.shadow[1]*p.high
	y0, y1, x0, x1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, v := range p.base {
		y0, y1 = min(y0, v[1]), max(y1, v[1])
		x0, x1 = min(x0, v[0]), max(x1, v[0])
	}
	if x0+min(ax, bx) > c.box.Max[0] || x1+max(ax, bx) < c.box.Min[0] {
		return 0, 0, false
	}
	if j0, j1, ok = c.rowsOf(y0+min(ay, by), y1+max(ay, by)); !ok {
		return 0, 0, false
	}
	// Every edge of the shadow is an edge of the base at its foot or its top, or joins a corner's foot and top; the others of
	// these lie inside and do not matter.
	for i, v := range p.base {
		w := p.base[(i+1)%len(p.base)]
		c.edge(v[0]+ax, v[1]+ay, w[0]+ax, w[1]+ay)
		c.edge(v[0]+bx, v[1]+by, w[0]+bx, w[1]+by)
		c.edge(v[0]+ax, v[1]+ay, v[0]+bx, v[1]+by)
	}
	return j0, j1, true
}

// edge widens lo and hi by one straight line.
func (c *canvas) edge(xa, ya, xb, yb float64) {
	if ya > yb {
		xa, ya, xb, yb = xb, yb, xa, ya
	}
	j0, j1, ok := c.rowsOf(ya, yb)
	if !ok {
		return
	}
	slope := 0.0
	if yb > ya {
		slope = (xb - xa) / (yb - ya)
	}
	for j := j0; j <= j1; j++ {
		y := c.grid.Min[1] + (float64(c.from+j)+0.5)*c.grid.Cell
		x := xa + (y-ya)*slope
		c.lo[j], c.hi[j] = min(c.lo[j], x), max(c.hi[j], x)
		if ya == yb {
			c.lo[j], c.hi[j] = min(c.lo[j], xb), max(c.hi[j], xb)
		}
	}
}
