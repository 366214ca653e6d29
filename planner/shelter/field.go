package shelter

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// Cell sizes and the greatest number of cells of a holding's field.
const (
	CellM     = 1.0
	MostCells = 4_000_000
)

// BelowPercent is the share of the open wind that counts as sheltered where nothing else is said (common practice).
const BelowPercent = 60.0

// Years are the years that are shown where nothing else is asked for.
var Years = []int{0, 5, 10, 20, 30}

// Progress is told how much of the whole is done. Calls come one after another, from any goroutine.
type Progress func(done, total int)

// Ground is the land that shelter is counted on: all parcels, or everything drawn where there is none.
func Ground(plan *planner.Plan) (parcels orb.MultiPolygon, box orb.Bound) {
	empty := true
	add := func(b orb.Bound) {
		switch {
		case b.IsEmpty():
		case empty:
			box, empty = b, false
		default:
			box = box.Union(b)
		}
	}
	for _, f := range plan.Of(planner.KindParcel) {
		parcels = append(parcels, f.Shape.Polygons...)
		add(f.Shape.Bound())
	}
	if empty {
		for _, f := range plan.Features {
			if f.Sound && !f.Shape.Empty() {
				add(f.Shape.Bound())
			}
		}
	}
	if empty {
		box = orb.Bound{Min: orb.Point{1, 1}, Max: orb.Point{-1, -1}}
	}
	return parcels, box
}

// Grid is the holding's field of cells: 1 m, or coarser where that takes more than 4 million of them; then coarser is true.
func Grid(plan *planner.Plan) (g geo.Grid, coarser bool) {
	_, box := Ground(plan)
	g = geo.GridOver(box, CellM, MostCells)
	return g, g.Cell > CellM
}

// Field is the percent of the open wind left in the middle of every cell, averaged over the winds by their weight: 100 where nothing
// shelters. It runs on all cores, gives the same on any number of them, and stops with the context's error when that is done.
// Cost: cells times winds times the barriers that lie across one ray.
func Field(ctx context.Context, barriers []Barrier, winds []Wind, g geo.Grid, progress Progress) (*geo.Raster, error) {
	out := geo.NewRaster(g)
	views := newViews(barriers, winds)
	var next atomic.Int64
	var done int
	var lock sync.Mutex
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), max(1, g.Ny)) {
		wait.Add(1)
		go func() {
			defer wait.Done()
			var hits []hit
			for {
				j := int(next.Add(1)) - 1
				if j >= g.Ny || ctx.Err() != nil {
					return
				}
				for i := range g.Nx {
					out.Values[j*g.Nx+i] = 100 * average(views, g.Middle(i, j), &hits)
				}
				if progress != nil {
					lock.Lock()
					done++
					progress(done, g.Ny)
					lock.Unlock()
				}
			}
		}()
	}
	wait.Wait()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return out, nil
}

// average is the share of the wind left at a point over all winds; 1 where there is no wind to weigh.
func average(views []*view, p orb.Point, hits *[]hit) float64 {
	var sum, weight float64
	for _, w := range views {
		f, _ := w.left(p, hits)
		sum += w.weight * f
		weight += w.weight
	}
	if weight <= 0 {
		return 1
	}
	return min(1, sum/weight)
}

// AreaBelow is the area, square metres, of the cells whose figure is below a percent and whose middle lies in the region. Cells
// without a figure are not counted.
func AreaBelow(r *geo.Raster, percent float64, within *geo.Region) float64 {
	n := 0
	for j := range r.Ny {
		for i := range r.Nx {
			if r.At(i, j) < percent && within.Contains(r.Middle(i, j)) {
				n++
			}
		}
	}
	return float64(n) * r.Cell * r.Cell
}
