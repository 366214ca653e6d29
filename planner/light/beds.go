package light

import (
	"context"
	"math"
	"sort"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// leastCells is how many cells a bed has at least: a small one is looked at more finely.
const leastCells = 9

// A Taken is the light that one feature takes: hours a day, mean over the six days and all points, and its percent of all that is
// taken.
type Taken struct {
	Feature      *planner.Feature
	Hours        float64
	SharePercent float64
}

// A BedLight is the sun on one bed in one year. What a plant in the bed itself takes counts too.
type BedLight struct {
	Bed        *planner.Feature
	Months     [6]float64 // mean over its cells on the 21st of each of Months(lat)
	MeanHours  float64    // mean of the six
	WorstHours float64    // of its darkest cell, mean over the six days
	WorstAt    orb.Point  // the middle of that cell, the southmost and then westmost of several
	OpenHours  float64    // mean day length: the hours with nothing in the way
	TakenBy    []Taken    // the greatest first, then by id; their shares add up to 100, their hours to OpenHours - MeanHours
	Cells      int
	CellM      float64
}

// A BedYear is all beds in one year, by id.
type BedYear struct {
	Year  int
	Beds  []BedLight
	Notes []Note
}

// A bed is a bed cut into cells.
type bed struct {
	feature *planner.Feature
	grid    geo.Grid
	cells   []int32
}

// bedsOf are the sound beds of a plan, by id, in cells of 1 m, or smaller where that makes fewer than leastCells; where most is above
// 0 and a bed is larger than so many cells, in cells as large as make about that many.
func bedsOf(p *planner.Plan, most int) []bed {
	var out []bed
	for _, f := range p.Of(planner.KindBed) {
		if len(f.Shape.Polygons) > 0 {
			if b := cut(f, most); len(b.cells) > 0 {
				out = append(out, b)
			}
		}
	}
	return out
}

func cut(f *planner.Feature, most int) bed {
	region := geo.NewRegion(f.Shape.Polygons)
	var b bed
	first := 1.0
	if area := geo.MultiArea(f.Shape.Polygons); most > 0 && area > float64(most) {
		first = math.Sqrt(area / float64(most))
	}
	for cell := first; cell > 1.0/1024; cell /= 2 {
		b = bed{feature: f, grid: geo.GridOver(region.Box(), cell, MostCells)}
		for j := range b.grid.Ny {
			for i := range b.grid.Nx {
				if region.Contains(b.grid.Middle(i, j)) {
					b.cells = append(b.cells, int32(j*b.grid.Nx+i))
				}
			}
		}
		if len(b.cells) >= leastCells || b.grid.Cell > cell {
			break
		}
	}
	return b
}

// Beds works out every bed in every one of the years, growth in the middle of its range. The only error is that ctx ended.
func Beds(ctx context.Context, plan *planner.Plan, years []int, scenes Scenes, p Place, opt Options) ([]BedYear, error) {
	ss, beds := steps(p), bedsOf(plan, opt.MostBedCells)
	out := make([]BedYear, len(years))
	for y, year := range years {
		s := scenes(year, Middling)
		out[y] = BedYear{Year: year, Beds: make([]BedLight, len(beds)), Notes: s.Notes}
		var progress func(int, int)
		if opt.Progress != nil {
			progress = func(done, _ int) { opt.Progress(y*len(beds)+done, len(years)*len(beds)) }
		}
		err := each(ctx, len(beds), progress, func(k int) (err error) {
			out[y].Beds[k], err = beds[k].light(ctx, s, ss)
			return err
		})
		if err != nil {
			return nil, err
		}
	}
	return out, ctx.Err()
}

// light is the sun on the bed.
func (b *bed) light(ctx context.Context, s *Scene, ss []step) (BedLight, error) {
	out := BedLight{Bed: b.feature, Cells: len(b.cells), CellM: b.grid.Cell, OpenHours: meanOf(dayHours(ss))}
	c := newCanvas(b.grid, 0, b.grid.Ny, s, true)
	c.around = sectorsOf(s, c.box)
	in := make([]bool, b.grid.Len())
	for _, i := range b.cells {
		in[i] = true
	}
	hours, lost := make([]float64, len(b.cells)), make([]float64, len(s.features))
	for k := range ss {
		if k%32 == 0 && ctx.Err() != nil {
			return out, ctx.Err()
		}
		st := &ss[k]
		c.draw(st)
		var sum float64
		for n, i := range b.cells {
			hours[n] += c.pass[i] * st.hours
			sum += c.pass[i]
		}
		out.Months[st.month] += sum * st.hours / float64(len(b.cells))
		c.share(func(cell, feature int32, part float64) {
			if in[cell] {
				lost[feature] += part * st.hours
			}
		})
	}
	out.MeanHours = meanOf(out.Months)
	out.WorstHours = math.Inf(1)
	for n, h := range hours {
		if h/6 < out.WorstHours {
			i := int(b.cells[n])
			out.WorstHours, out.WorstAt = h/6, b.grid.Middle(i%b.grid.Nx, i/b.grid.Nx)
		}
	}
	for i := range lost {
		lost[i] /= 6 * float64(len(b.cells))
	}
	out.TakenBy = takenBy(s, lost)
	return out, nil
}

// mean is MeanHours alone, at a third of the cost.
func (b *bed) mean(ctx context.Context, s *Scene, ss []step) (float64, error) {
	c := newCanvas(b.grid, 0, b.grid.Ny, s, false)
	c.around = sectorsOf(s, c.box)
	var months [6]float64
	for k := range ss {
		if k%32 == 0 && ctx.Err() != nil {
			return 0, ctx.Err()
		}
		c.draw(&ss[k])
		var sum float64
		for _, i := range b.cells {
			sum += c.pass[i]
		}
		months[ss[k].month] += sum * ss[k].hours / float64(len(b.cells))
	}
	return meanOf(months), nil
}

// takenBy lists who takes light, the greatest first.
func takenBy(s *Scene, lost []float64) []Taken {
	var all float64
	for _, h := range lost {
		all += h
	}
	var out []Taken
	for i, h := range lost {
		if h > 0 {
			out = append(out, Taken{s.features[i], h, 100 * h / all})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Hours > out[j].Hours })
	return out
}
