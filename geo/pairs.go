package geo

import (
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"github.com/paulmach/orb"
)

// Pairs calls f once for each pair i < j of points whose distance d is less than
// the mean of their reaches, (reach[i]+reach[j])/2. The order is fixed by the
// points and their reaches, and is not sorted. Points or reaches that are not
// finite are in no pair; a reach below 0 counts as 0.
//
// Points are put into grids by the size of their reach, each grid of cells no
// smaller than the reach of what it holds. A point is compared with its own
// grid and those of greater reach, with 3 x 3 cells at most, so one reach of 50 m
// among a hundred thousand of 0.3 m costs one more look per point. The search is
// shared between up to four goroutines; f is called from the caller's alone.
func Pairs(pts []orb.Point, reach []float64, f func(i, j int, d float64)) {
	levels := pairLevels(pts, reach)
	emit := func(found []pair) {
		for _, p := range found {
			f(int(p.i), int(p.j), p.d)
		}
	}
	tasks := pairTasks(levels)
	if workers := min(4, runtime.GOMAXPROCS(0), len(tasks)/2); workers > 1 {
		shareTasks(tasks, workers, emit)
		return
	}
	var buf []pair
	for _, t := range tasks {
		buf = t.run(buf[:0])
		emit(buf)
	}
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

// level is the grid of the points whose reach is above half the cell, or a
// quarter where the next level was taken in, and at most the cell (below it too,
// for the lowest level).
type level struct {
	reach float64 // the greatest that it may hold
	c     *cells
	spots []spot // in slot order
}

// maxLevels bounds the number of grids: reaches below 2^-11 of the greatest
// share the lowest one.
const maxLevels = 12

func pairLevels(pts []orb.Point, reach []float64) []level {
	n := min(len(pts), len(reach))
	top := 0.0
	for _, r := range reach[:n] {
		if finite(r) && r > top {
			top = r
		}
	}
	if top == 0 {
		return nil
	}
	var count [maxLevels]int
	of := make([]int8, n)
	for i, r := range reach[:n] {
		of[i] = -1
		if finite(r) && finite(pts[i][0]) && finite(pts[i][1]) {
			of[i] = levelOf(r, top)
			count[of[i]]++
		}
	}
	var out []level
	place := mergeLevels(&count)
	for l, m := range count {
		if m > 0 {
			out = append(out, level{reach: math.Ldexp(top, -l), spots: make([]spot, 0, m)})
			count[l] = len(out) - 1 // from now on the number of the level
		}
	}
	for i, l := range of {
		if l >= 0 {
			lv := &out[count[place[l]]]
			lv.spots = append(lv.spots, spot{pts[i][0], pts[i][1], max(0, reach[i]) / 2, int32(i)})
		}
	}
	var wg sync.WaitGroup
	for l := range out {
		wg.Go(func() { out[l].sort(4*n + 1024) })
	}
	wg.Wait()
	return out
}

// mergeLevels lets a level take in the next finer one where that has no more
// members, once, and tells where each level went. A finer grid of few points is
// mostly empty cells; with cells twice as wide they cost at most four times the
// looks, and no more than the coarser level's own points do.
func mergeLevels(count *[maxLevels]int) (place [maxLevels]int8) {
	for l := range place {
		place[l] = int8(l)
	}
	for l := maxLevels - 1; l > 0; l-- {
		if count[l] > 0 && count[l] <= count[l-1] {
			place[l] = int8(l - 1)
			count[l-1] += count[l]
			count[l] = 0
			l-- // the level that took it in stays
		}
	}
	return place
}

// sort puts the spots in the order of their cells.
func (l *level) sort(budget int) {
	at := make([]orb.Point, len(l.spots))
	for k, s := range l.spots {
		at[k] = orb.Point{s.x, s.y}
	}
	// A hair wider than the reach, so that rounding cannot hide a pair.
	l.c = newCells(at, l.reach*(1+1e-6), budget)
	sorted := make([]spot, len(l.spots))
	for k, slot := range l.c.slot {
		sorted[slot] = l.spots[k]
	}
	l.spots = sorted
}

// levelOf is the level l with top/2^(l+1) < r <= top/2^l.
func levelOf(r, top float64) int8 {
	l := int8(0)
	for l < maxLevels-1 && r <= top/2 {
		top /= 2
		l++
	}
	return l
}

// pairTask is a run of slots of one level, to be compared with a level of the
// same or greater reach.
type pairTask struct {
	from, with *level
	lo, hi     int
}

const pairChunk = 8192

func pairTasks(levels []level) []pairTask {
	var tasks []pairTask
	for a := range levels {
		for b := 0; b <= a; b++ {
			for lo := 0; lo < len(levels[a].spots); lo += pairChunk {
				tasks = append(tasks, pairTask{&levels[a], &levels[b], lo, min(lo+pairChunk, len(levels[a].spots))})
			}
		}
	}
	return tasks
}

// shareTasks runs the tasks on several goroutines and emits their results in the
// order of the tasks. Memory: a few results are in flight at a time.
func shareTasks(tasks []pairTask, workers int, emit func([]pair)) {
	results := make([]chan []pair, len(tasks))
	for i := range results {
		results[i] = make(chan []pair, 1)
	}
	spare := make(chan []pair, 8*workers)
	for range cap(spare) {
		spare <- nil
	}
	stop := make(chan struct{})
	defer close(stop) // also where emit panics
	var next atomic.Int64
	for range workers {
		go func() {
			for {
				// Take the buffer before the task: the lowest task not done then
				// always has one, so the caller never waits in vain.
				var buf []pair
				select {
				case buf = <-spare:
				case <-stop:
					return
				}
				k := int(next.Add(1)) - 1
				if k >= len(tasks) {
					return
				}
				results[k] <- tasks[k].run(buf[:0])
			}
		}()
	}
	for _, r := range results {
		buf := <-r
		emit(buf)
		spare <- buf
	}
}

// run appends the pairs of the task.
func (t pairTask) run(buf []pair) []pair {
	c, own := t.with.c, t.from == t.with
	for k := t.lo; k < t.hi; k++ {
		s := &t.from.spots[k]
		// No other half reaches further than half a cell.
		x0, x1, y0, y1, ok := c.within(orb.Point{s.x, s.y}, s.half+c.size/2)
		if !ok {
			continue
		}
		later := 0
		if own { // later slots only: each pair once
			later = k + 1
			_, y0 = c.cell(orb.Point{s.x, s.y})
		}
		for y := y0; y <= y1; y++ {
			lo, hi := c.span(y, x0, x1)
			if lo = max(lo, later); lo < hi {
				buf = s.meet(t.with.spots[lo:hi], buf)
			}
		}
	}
	return buf
}

// meet appends the pairs of s with the others.
func (s *spot) meet(others []spot, buf []pair) []pair {
	for q := range others {
		o := &others[q]
		dx, dy, m := o.x-s.x, o.y-s.y, o.half+s.half
		if d2 := dx*dx + dy*dy; d2 < m*m {
			buf = append(buf, pair{min(s.i, o.i), max(s.i, o.i), math.Sqrt(d2)})
		}
	}
	return buf
}
