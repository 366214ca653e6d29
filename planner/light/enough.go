package light

import (
	"context"

	"quickthorn/planner"
	"quickthorn/planner/growth"
)

// enoughMargin is what a bed must have more than it wants for Enough, in hours: less would hang on the rounding of its corners.
const enoughMargin = 0.01

// Enough is the first of some beds, perhaps one bed in several places, that has the hours it wants in every year with the most growth
// that is known of what stands round it; -1 where none has. Beds whose light_hours are 0 have enough. The only error is that ctx
// ended. Cost: the scenes of the years, once; then one look for a bed in the last year, and a few more for one that passes it.
func Enough(ctx context.Context, beds []*planner.Feature, scenes Scenes, p Place, opt Options) (int, error) {
	look, ss := newSearch(scenes), steps(p)
	for i, f := range beds {
		d, ok := f.Detail.(*planner.Bed)
		if !ok || len(f.Shape.Polygons) == 0 {
			continue
		}
		b := cut(f, opt.MostBedCells)
		mean := func(s *Scene) (float64, error) { return b.mean(ctx, s, ss) }
		// Most things are tallest in the last year: most beds that have not enough show it there.
		last, err := mean(look.over(stretch{Most, growth.LastYear, growth.LastYear}))
		if err != nil {
			return -1, err
		}
		if last < d.LightHours+enoughMargin {
			continue
		}
		year, err := look.first(ctx, Most, 0, growth.LastYear, d.LightHours+enoughMargin, mean)
		if err != nil {
			return -1, err
		}
		if year == Never {
			return i, nil
		}
	}
	return -1, ctx.Err()
}
