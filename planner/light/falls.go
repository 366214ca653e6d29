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
	Notes []Note
}

// TooMuchWanted is true where not even the open sky gives the hours wanted.
func (f Fall) TooMuchWanted() bool { return f.Light.OpenHours < f.Wanted }

// FallsBelow lists the beds, by id, whose mean (over their cells and the six days) falls below their light_hours in any year from 0
// to growth.LastYear. A bed that wants 0 hours, or whose light_hours cannot be read, is left out. The only error is that ctx ended. Cost: each bed in every
// year until it falls.
func FallsBelow(ctx context.Context, plan *planner.Plan, scenes Scenes, p Place, opt Options) ([]Fall, error) {
	ss := steps(p)
	var beds []bed
	for _, b := range bedsOf(plan) {
		if d, ok := b.feature.Detail.(*planner.Bed); ok && d.LightHours > 0 && !b.feature.Wrong("light_hours") {
			beds = append(beds, b)
		}
	}
	falls := make([]Fall, len(beds))
	for k, b := range beds {
		falls[k] = Fall{Bed: b.feature, Wanted: b.feature.Detail.(*planner.Bed).LightHours, Earliest: Never, Year: Never, Latest: Never}
	}
	for year := 0; year <= growth.LastYear && len(beds) > 0; year++ {
		if err := fallsIn(ctx, year, beds, falls, scenes, ss); err != nil {
			return nil, err
		}
		if opt.Progress != nil {
			opt.Progress(year+1, growth.LastYear+1)
		}
	}
	var out []Fall
	for _, f := range falls {
		if f.Earliest != Never {
			out = append(out, f)
		}
	}
	return out, ctx.Err()
}

// fallsIn looks at one year. Growth is looked at from its high end down, each only from the year on in which the one above it fell.
func fallsIn(ctx context.Context, year int, beds []bed, falls []Fall, scenes Scenes, ss []step) error {
	var open []int
	for k := range falls {
		if falls[k].Latest == Never {
			open = append(open, k)
		}
	}
	if len(open) == 0 {
		return nil
	}
	for _, g := range []Growth{Most, Middling, Least} {
		var now []int
		for _, k := range open {
			f := &falls[k]
			if g == Most && f.Earliest == Never || g == Middling && f.Earliest != Never && f.Year == Never || g == Least && f.Year != Never {
				now = append(now, k)
			}
		}
		if len(now) == 0 {
			continue
		}
		s := scenes(year, g)
		err := each(ctx, len(now), nil, func(i int) error {
			f := &falls[now[i]]
			l, err := beds[now[i]].light(ctx, s, ss)
			if err != nil || l.MeanHours >= f.Wanted-1e-9 {
				return err
			}
			switch g {
			case Most:
				f.Earliest, f.Light, f.Notes = year, l, s.Notes
			case Middling:
				f.Year, f.Light, f.Notes = year, l, s.Notes
			default:
				f.Latest = year
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}
