package geo

import (
	"math"

	"github.com/paulmach/orb"
)

// Points finds the points near a place. It is built once and then only read, so
// several goroutines may ask it. A query costs the cells that it touches.
type Points struct {
	pts   []orb.Point
	c     *cells
	order []int32 // slot -> point
}

// NewPoints indexes the points in square cells of the given size in metres; a
// size of 0 is chosen from their number and extent. Points that are not finite
// are never found. The points are not copied and must not change.
func NewPoints(pts []orb.Point, cell float64) *Points {
	c := newCells(pts, cell, 4*len(pts)+1024)
	return &Points{pts: pts, c: c, order: c.order()}
}

// Within calls f with each point at most r from p and its distance, until f
// returns false. The order is fixed by the grid, not by the distance.
func (g *Points) Within(p orb.Point, r float64, f func(i int, d float64) bool) {
	x0, x1, y0, y1, ok := g.c.within(p, r)
	if !ok {
		return
	}
	for y := y0; y <= y1; y++ {
		lo, hi := g.c.span(y, x0, x1)
		for _, i := range g.order[lo:hi] {
			if d := Dist(p, g.pts[i]); d <= r && !f(int(i), d) {
				return
			}
		}
	}
}

// Nearest is the point nearest to p, other than number skip (-1 skips none), and
// its distance; the lowest number where several are as near. Where there is
// none it gives -1 and +Inf.
func (g *Points) Nearest(p orb.Point, skip int) (i int, d float64) {
	i, d = -1, math.Inf(1)
	if g.c.nx == 0 || !finite(p[0]) || !finite(p[1]) {
		return i, d
	}
	take := func(lo, hi int) {
		for _, k := range g.order[lo:hi] {
			if int(k) == skip {
				continue
			}
			if e := Dist(p, g.pts[k]); e < d || (e == d && int(k) < i) {
				i, d = int(k), e
			}
		}
	}
	g.c.outward(p, take, func(gap float64) bool { return d < gap })
	return i, d
}

// outward visits the cells round p ring by ring. Invariant: when done(gap) is
// asked, nothing in a cell not yet visited is nearer to p than gap.
func (c *cells) outward(p orb.Point, visit func(lo, hi int), done func(gap float64) bool) {
	x, y := c.cell(p)
	if c.keys != nil {
		// Few cells are in use: widen the block by doubling instead, and take
		// everything once the block has more rows than there are things.
		for k := 1; ; k *= 2 {
			all := 2*k+1 > c.used || (k >= c.nx && k >= c.ny)
			if all {
				visit(0, c.used)
				return
			}
			for yy := max(0, y-k); yy <= min(c.ny-1, y+k); yy++ {
				visit(c.span(yy, max(0, x-k), min(c.nx-1, x+k)))
			}
			if done(float64(k) * c.size * (1 - 1e-6)) {
				return
			}
		}
	}
	for k := 0; ; k++ {
		// The point of the box nearest to p lies in cell (x, y), and nothing in
		// the box is nearer to p than it is to that point.
		if k > 0 && done(float64(k-1)*c.size*(1-1e-6)) {
			return
		}
		if !c.ring(x, y, k, visit) {
			return
		}
	}
}
