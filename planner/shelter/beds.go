package shelter

import (
	"context"
	"math"
	"sort"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// fewest is the least number of points that stand for a bed.
const fewest = 9

// A Bed is the wind left on one bed, percent of the open wind; not a number in a sliver that no cell's middle falls into.
type Bed struct {
	Feature               *planner.Feature
	Mean, Least, Greatest float64
	Points                int     // that it was worked out at
	CellM                 float64 // how far apart they lie
	By                    []Share // what shelters it, the most first, then by id
}

// A Share is how much of a bed's shelter one feature gives.
type Share struct {
	Feature *planner.Feature
	Takes   float64 // off the open wind, percent of it, mean over the bed
	Percent float64 // of all that is taken
}

// Beds are the sound beds of the plan by id with the wind left on them: mean, least and greatest over the middles of cells of 1 m,
// smaller ones in a small bed until there are nine. Where several barriers lie across a ray, the one that leaves least has given
// the shelter.
func Beds(ctx context.Context, plan *planner.Plan, barriers []Barrier, winds []Wind) ([]Bed, error) {
	views := newViews(barriers, winds)
	var out []Bed
	for _, f := range plan.Of(planner.KindBed) {
		if len(f.Shape.Polygons) == 0 {
			continue
		}
		b, err := bed(ctx, f, barriers, views)
		if err != nil {
			return nil, err
		}
		out = append(out, b)
	}
	return out, nil
}

func bed(ctx context.Context, f *planner.Feature, barriers []Barrier, views []*view) (Bed, error) {
	pts, cell := cells(f)
	b := Bed{Feature: f, Least: math.Inf(1), Greatest: math.Inf(-1), Points: len(pts), CellM: cell}
	var weight float64
	for _, w := range views {
		weight += w.weight
	}
	takes := make([]float64, len(barriers))
	var hits []hit
	var sum float64
	for i, p := range pts {
		if i%256 == 0 && ctx.Err() != nil {
			return b, ctx.Err()
		}
		left := 0.0
		for _, w := range views {
			share, by := w.left(p, &hits)
			left += w.weight * share
			if by >= 0 {
				takes[by] += w.weight * (1 - share)
			}
		}
		percent := 100.0
		if weight > 0 {
			percent = 100 * min(1, left/weight)
		}
		sum += percent
		b.Least, b.Greatest = math.Min(b.Least, percent), math.Max(b.Greatest, percent)
	}
	if len(pts) == 0 { // a sliver that no cell's middle falls into
		b.Mean, b.Least, b.Greatest = math.NaN(), math.NaN(), math.NaN()
		return b, nil
	}
	b.Mean = math.Min(b.Greatest, math.Max(b.Least, sum/float64(len(pts))))
	if weight > 0 {
		b.By = shares(barriers, takes, 100/(weight*float64(len(pts))))
	}
	return b, nil
}

// cells are the middles of the cells that lie in a bed, and how far apart they lie.
func cells(f *planner.Feature) (pts []orb.Point, cell float64) {
	region := geo.NewRegion(f.Shape.Polygons)
	for edge := CellM; edge > CellM/1024; edge /= 2 {
		g := geo.GridOver(region.Box(), edge, MostCells)
		pts, cell = pts[:0], g.Cell
		for j := range g.Ny {
			for i := range g.Nx {
				if p := g.Middle(i, j); region.Contains(p) {
					pts = append(pts, p)
				}
			}
		}
		if len(pts) >= fewest || g.Cell > edge {
			break
		}
	}
	return pts, cell
}

// shares adds up by feature what the barriers take; times turns it into percent of the open wind.
func shares(barriers []Barrier, takes []float64, times float64) []Share {
	var out []Share
	var all float64
	for i := range barriers {
		if takes[i] <= 0 {
			continue
		}
		all += takes[i]
		if f := barriers[i].Feature; len(out) > 0 && out[len(out)-1].Feature == f { // barriers stand by id
			out[len(out)-1].Takes += takes[i]
		} else {
			out = append(out, Share{Feature: f, Takes: takes[i]})
		}
	}
	for i := range out {
		out[i].Percent = 100 * out[i].Takes / all
		out[i].Takes *= times
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Takes > out[j].Takes })
	return out
}
