package light

import (
	"context"
	"runtime"
	"sync"

	"github.com/paulmach/orb"

	"quickthorn/geo"
)

// MostCells is the greatest number of cells that a field is worked out for; GridFor makes its cells larger beyond.
const MostCells = 4_000_000

// FairBedCells is a bound for Options.MostBedCells that keeps a bed's hours within 1 percent; the tests show it.
const FairBedCells = 800

// bandRows is how many rows are worked on in one go: between two bands ctx is looked at and progress told.
const bandRows = 16

// Options are the caller's wishes.
type Options struct {
	// Progress is told how much is done, from one goroutine at a time; nil for nobody.
	Progress func(done, total int)
	// MostBedCells is about how many cells a bed is cut into at most; 0 is no bound, in cells of 1 m.
	MostBedCells int
}

// A Result is the hours of direct sun a day over a grid, in one year.
type Result struct {
	Months [6]*geo.Raster // on the 21st of each of Months(lat)
	Mean   *geo.Raster    // over the six days
	Day    [6]float64     // hours without anything in the way: the day lengths
	Notes  []Note
}

// GridFor covers a box with cells of 1 m, or the least doubling of it that makes at most MostCells; coarser tells which.
func GridFor(b orb.Bound) (g geo.Grid, coarser bool) {
	g = geo.GridOver(b, 1, MostCells)
	return g, g.Cell > 1
}

// Field works out the hours of sun at the middle of every cell. The work is shared among the cores; the result does not depend on how
// many. The only error is that ctx ended. Cost: some 370 positions of the sun, each drawing the shadow of every crown and wall onto
// the cells that it covers.
func Field(ctx context.Context, s *Scene, g geo.Grid, p Place, opt Options) (*Result, error) {
	ss := steps(p)
	r := &Result{Mean: geo.NewRaster(g), Day: dayHours(ss), Notes: s.Notes}
	for m := range r.Months {
		r.Months[m] = geo.NewRaster(g)
	}
	bands := (g.Ny + bandRows - 1) / bandRows
	if g.Nx == 0 {
		bands = 0
	}
	err := each(ctx, bands, opt.Progress, func(band int) error {
		from := band * bandRows
		c := newCanvas(g, from, min(bandRows, g.Ny-from), s, false)
		at := from * g.Nx
		for k := range ss {
			if k%32 == 0 && ctx.Err() != nil {
				return ctx.Err()
			}
			c.draw(&ss[k])
			hours := r.Months[ss[k].month].Values[at : at+len(c.pass)]
			for i, pass := range c.pass {
				hours[i] += pass * ss[k].hours
			}
		}
		for i := at; i < at+len(c.pass); i++ {
			var sum float64
			for m := range r.Months {
				sum += r.Months[m].Values[i]
			}
			r.Mean.Values[i] = sum / 6
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return r, nil
}

// each does n pieces of work on the cores and tells progress. It returns the error of ctx, or the first of do in order.
func each(ctx context.Context, n int, progress func(done, total int), do func(k int) error) error {
	var (
		mu   sync.Mutex
		done int
		wg   sync.WaitGroup
	)
	errs := make([]error, n)
	next := make(chan int)
	for range min(n, runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			for k := range next {
				errs[k] = do(k)
				mu.Lock()
				done++
				if progress != nil {
					progress(done, n)
				}
				mu.Unlock()
			}
		})
	}
	for k := 0; k < n && ctx.Err() == nil; k++ {
		next <- k
	}
	close(next)
	wg.Wait()
	if err := ctx.Err(); err != nil {
		return err
	}
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
