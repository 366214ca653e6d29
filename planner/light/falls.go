package light

import (
	"context"

	"quickthorn/planner"
	"quickthorn/planner/growth"
)

// Never stands for a year after growth.LastYear.
const Never = -1

// A Fall is a bed that falls below the hours it wants.
type Fall struct {
	Bed    *planner.Feature
	Wanted float64
	// Year is the first year in which the bed's mean is below what it wants, growth in the middle of its range. Earliest is the first
	// with growth at its high end, Latest the first from Year on with growth at its low end. Year and Latest may be Never.
	Earliest, Year, Latest int
	// Light is the bed in Year; in Earliest, with growth at its high end, where Year is Never.
	Light BedLight
	// End is the bed in growth.LastYear, growth in the middle of its range.
	End   BedLight
	Notes []Note
}

// TooMuchWanted is true where not even the open sky gives the hours wanted.
func (f Fall) TooMuchWanted() bool { return f.Light.OpenHours < f.Wanted }

// FallsBelow lists the beds, by id, whose mean (over their cells and the six days) falls below their light_hours in any year from 0
// to growth.LastYear. A bed that wants 0 hours, or whose light_hours cannot be read, is left out. The only error is that ctx ended.
// Cost: the scene of every year; then for each bed one look where it never falls, else some ten to thirty.
func FallsBelow(ctx context.Context, plan *planner.Plan, scenes Scenes, p Place, opt Options) ([]Fall, error) {
	ss := steps(p)
	var beds []bed
	for _, b := range bedsOf(plan, opt.MostBedCells) {
		if d, ok := b.feature.Detail.(*planner.Bed); ok && d.LightHours > 0 && !b.feature.Wrong("light_hours") {
			beds = append(beds, b)
		}
	}
	falls := make([]Fall, len(beds))
	look := newSearch(scenes)
	err := each(ctx, len(beds), opt.Progress, func(k int) (err error) {
		falls[k], err = beds[k].falls(ctx, look, ss)
		return err
	})
	if err != nil {
		return nil, err
	}
	var out []Fall
	for _, f := range falls {
		if f.Earliest != Never {
			out = append(out, f)
		}
	}
	return out, ctx.Err()
}

// falls looks at growth from its high end down, each only from the year on in which the one above it fell.
func (b *bed) falls(ctx context.Context, look *search, ss []step) (Fall, error) {
	f := Fall{Bed: b.feature, Wanted: b.feature.Detail.(*planner.Bed).LightHours}
	years, err := look.years(ctx, f.Wanted, func(s *Scene) (float64, error) { return b.mean(ctx, s, ss) })
	f.Earliest, f.Year, f.Latest = years[0], years[1], years[2]
	if err != nil || f.Earliest == Never {
		return f, err
	}
	when := stretch{Middling, f.Year, f.Year}
	if f.Year == Never {
		when = stretch{Most, f.Earliest, f.Earliest}
	}
	s := look.over(when)
	f.Notes = s.Notes
	if f.Light, err = b.light(ctx, s, ss); err != nil {
		return f, err
	}
	f.End, err = b.light(ctx, look.over(stretch{Middling, growth.LastYear, growth.LastYear}), ss)
	return f, err
}
