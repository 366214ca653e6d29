package geo

import (
	"math"

	"github.com/paulmach/orb"
)

// Pairs calls f once for each pair i < j of points whose distance d is less than
// the mean of their reaches, (reach[i]+reach[j])/2. The order is fixed by the
// points and their reaches, and is not sorted. Points or reaches that are not
// finite are in no pair; a reach below 0 counts as 0.
//
// Points are put into grids by the size of their reach, each grid of cells no
// smaller than the reach of what it holds. A point is compared with its own
// grid and those of greater reach, always with 3 x 3 cells, so one reach of 50 m
// among a hundred thousand of 0.3 m costs one more look per point. Work is
// shared between two goroutines and f is called from the caller's.
func Pairs(pts []orb.Point, reach []float64, f func(i, j int, d float64)) {
	levels := pairLevels(pts, reach)
	pairTasks(levels, func(found []pair) {
		for _, p := range found {
			f(int(p.i), int(p.j), p.d)
		}
	})
}

// spot is a point in the order of its cell.
type spot struct {
	x, y, half float64 // half the reach
	i          int32
}

type pair struct {
	i, j int32
	d    float64
}

// level is the grid of the points whose reach is above half the cell and at
// most the cell (below it too, for the lowest level).
type level struct {
	c     *cells
	spots []spot // in slot order
}

// maxLevels bounds the number of grids: reaches below 2^-11 of the greatest
// share the lowest one.
const maxLevels = 12

func pairLevels(pts []orb.Point, reach []float64) []level {
	n := min(len(pts), len(reach))
	top := 0.0
	for i := range n {
		if r := reach[i]; finite(r) && r > top {
			top = r
		}
	}
	if top == 0 {
		return nil
	}
	var member [maxLevels][]int32
	for i := range n {
		if r := reach[i]; finite(r) && finite(pts[i][0]) && finite(pts[i][1]) {
			l := levelOf(math.Max(0, r), top)
			member[l] = append(member[l], int32(i))
		}
	}
	var out []level
	for l, m := range member {
		if len(m) == 0 {
			continue
		}
		// A hair wider than the reach, so that rounding cannot hide a pair.
		size := math.Ldexp(top, -l) * (1 + 1e-9)
		c := newCells(len(m), func(k int) orb.Point { return pts[m[k]] }, size, 4*n+1024)
		lv := level{c: c, spots: make([]spot, len(c.order))}
		for s, k := range c.order {
			i := m[k]
			lv.spots[s] = spot{pts[i][0], pts[i][1], math.Max(0, reach[i]) / 2, i}
		}
		out = append(out, lv)
	}
	return out
}

// levelOf is the level l with top/2^(l+1) < r <= top/2^l.
func levelOf(r, top float64) int {
	l := 0
	for l < maxLevels-1 && r <= top/2 {
		top /= 2
		l++
	}
	return l
}

// pairTasks finds the pairs of every level with itself and with each level of
// greater reach, and hands them on in a fixed order.
func pairTasks(levels []level, emit func([]pair)) {
	var buf []pair
	for a := range levels {
		for b := 0; b <= a; b++ {
			for lo := 0; lo < len(levels[a].spots); lo += pairChunk {
				buf = buf[:0]
				hi := min(lo+pairChunk, len(levels[a].spots))
				for k := lo; k < hi; k++ {
					buf = levels[b].meet(&levels[a].spots[k], a == b, k, buf)
				}
				emit(buf)
			}
		}
	}
}

const pairChunk = 8192

// meet appends the pairs of s with the spots of the level; in its own level,
// where s stands in slot k, only with later slots.
func (l *level) meet(s *spot, own bool, k int, buf []pair) []pair {
	x0, x1, y0, y1, ok := l.c.within(orb.Point{s.x, s.y}, l.c.size)
	if !ok {
		return buf
	}
	for y := y0; y <= y1; y++ {
		lo, hi := l.c.span(y, x0, x1)
		if own {
			lo = max(lo, k+1)
		}
		for q := lo; q < hi; q++ {
			o := &l.spots[q]
			dx, dy, m := o.x-s.x, o.y-s.y, o.half+s.half
			if d2 := dx*dx + dy*dy; d2 < m*m {
				i, j := s.i, o.i
				if i > j {
					i, j = j, i
				}
				buf = append(buf, pair{i, j, math.Sqrt(d2)})
			}
		}
	}
	return buf
}
