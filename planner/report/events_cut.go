package report

import (
	"cmp"
	"fmt"
	"slices"

	"quickthorn/planner"
	"quickthorn/planner/growth"
)

// statedCuts are the winters in which a hedge or grove is to be coppiced, or a hedge laid, in order; none where it is kept in another way.
func statedCuts(f *planner.Feature) (cuts []planner.Cut, manage string) {
	switch d := f.Detail.(type) {
	case *planner.Hedge:
		manage, cuts = d.Manage, d.CutIn
	case *planner.Block:
		manage, cuts = d.Manage, d.CutIn
	}
	if manage != "coppice" && manage != "lay" || f.Wrong("manage", "cut_in") {
		return nil, manage
	}
	cuts = slices.Clone(cuts)
	slices.SortStableFunc(cuts, func(a, b planner.Cut) int {
		return cmp.Or(cmp.Compare(a.Winter, b.Winter), cmp.Compare(a.FromM, b.FromM), cmp.Compare(a.ToM, b.ToM))
	})
	return cuts, manage
}

// cutBack is when a hedge is laid or a coppiced planting is cut to the stool; and, where all of it is cut at once, when it is as high again as it was the
// year before.
func (r *Report) cutBack(f *planner.Feature) []SheetEvent {
	winter, _ := r.Stand.Winter()
	cuts, manage := statedCuts(f)
	if winter <= 0 {
		return nil
	}
	var out []SheetEvent
	for i, c := range cuts {
		year := c.Winter - winter
		if year <= 0 || year > growth.LastYear {
			continue
		}
		where := ""
		switch {
		case c.ToM > 0:
			where = fmt.Sprintf(" from %s m to %s m", figure(c.FromM), figure(c.ToM))
		case c.FromM > 0:
			where = fmt.Sprintf(" from %s m to its end", figure(c.FromM))
		}
		done := "cut to the stool"
		if manage == "lay" {
			done = "laid"
		}
		out = append(out, inYear(f, year, fmt.Sprintf("%s is %s%s, winter %d/%02d.", f.Label(), done, where, c.Winter, (c.Winter+1)%100)))
		if where != "" || manage == "lay" {
			continue
		}
		next := growth.LastYear + 1
		if i+1 < len(cuts) {
			next = cuts[i+1].Winter - winter
		}
		if e, ok := r.regrown(f, year, next); ok {
			out = append(out, e)
		}
	}
	return out
}

// regrown is when a planting that was cut in one year has its height of the year before again, ahead of the next cut.
func (r *Report) regrown(f *planner.Feature, cut, next int) (SheetEvent, bool) {
	at := r.tallest(f, cut-1)
	if at == nil {
		return SheetEvent{}, false
	}
	before := at(cut - 1)
	years := reaching(before.Height.Mid, func(year int) growth.Span {
		if year <= cut || year >= next {
			return growth.Span{}
		}
		return at(year).Height
	})
	if !before.Height.Known || before.Height.Mid <= at(cut).Height.Mid+planner.Tolerance || years.From >= planner.Never {
		return SheetEvent{}, false
	}
	text := fmt.Sprintf("%s is as high again as before its cut, %s m.", f.Label(), figure(round(before.Height.Mid, 1)))
	return r.grown(f, years, text, at(min(cut+1, growth.LastYear))), true
}

// tallest is the growth of a hedge, or of that plant of a block that is tallest in a year; nil where none is known.
func (r *Report) tallest(f *planner.Feature, year int) func(year int) growth.Size {
	if f.Kind == planner.KindHedge {
		return func(year int) growth.Size { return r.Stand.Line(f, 0, year) }
	}
	l := r.Out.Of(f.ID)
	if l == nil {
		return nil
	}
	var best *[growth.LastYear + 1]growth.Size
	for i := range l.Plants {
		if s := r.Stand.Sizes(&l.Plants[i]); s[year].Height.Known && (best == nil || s[year].Height.Mid > best[year].Height.Mid) {
			best = s
		}
	}
	if best == nil {
		return nil
	}
	return func(year int) growth.Size { return best[year] }
}
