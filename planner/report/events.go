package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/planner"
	"quickthorn/planner/check"
	"quickthorn/planner/growth"
)

// A SheetEvent is something that changes in a year: from the earliest to the latest, null where that is not reached in thirty.
type SheetEvent struct {
	jsonYears
	Text       string   `json:"text"`
	Features   []string `json:"features"`
	X          *float64 `json:"x"`
	Y          *float64 `json:"y"`
	Rests      string   `json:"rests"`
	Confidence string   `json:"confidence"`
}

// events are what changes when: what is planted, cut to the stool and taken away, hedges that come to the height they are kept at, windbreaks that come
// to half of their height at year 20 and to the density their purpose wants, and the findings that hang on time. By the likely year, then
// the earliest, then text. Nothing here computes a field.
func (r *Report) events() []SheetEvent {
	var out []SheetEvent
	for _, f := range r.Plan.Features {
		if !f.Sound {
			continue
		}
		out = append(out, r.comesAndGoes(f)...)
		out = append(out, r.cutBack(f)...)
		if f.Kind == planner.KindHedge {
			out = append(out, r.hedgeGrows(f)...)
		}
	}
	for _, b := range check.Belts(r.Input()) {
		out = append(out, r.beltGrows(&b)...)
	}
	for i := range r.Findings {
		if f := &r.Findings[i]; f.Years != nil && f.Accepted == nil {
			e := SheetEvent{jsonYears: *yearsJSON(f.Years), Text: f.Message, Features: append([]string{}, f.Features...), Rests: f.Source.Text, Confidence: string(f.Source.Confidence)}
			if f.HasAt {
				e.place(f.At)
			}
			out = append(out, e)
		}
	}
	slices.SortStableFunc(out, func(a, b SheetEvent) int {
		return cmp.Or(a.order()-b.order(), strings.Compare(a.Text, b.Text), slices.Compare(a.Features, b.Features))
	})
	return append([]SheetEvent{}, out...)
}

// order is the likely year, then the earliest; what is not reached comes last.
func (e *SheetEvent) order() int {
	year := func(y *int) int {
		if y == nil {
			return growth.LastYear + 1
		}
		return *y
	}
	return 100*year(e.Mid) + year(e.From)
}

func (e *SheetEvent) place(p orb.Point) {
	x, y := round(p[0], 3), round(p[1], 3)
	e.X, e.Y = &x, &y
}

// inYear is an event of one feature in one year that is not in doubt.
func inYear(f *planner.Feature, year int, text string) SheetEvent {
	e := SheetEvent{jsonYears: jsonYears{&year, &year, &year}, Text: text, Features: []string{f.ID}, Rests: "the plan", Confidence: string(planner.User)}
	if p, ok := f.Shape.First(); ok {
		e.place(p)
	}
	return e
}

// comesAndGoes is what is planted after year 0, and screens that are taken away.
func (r *Report) comesAndGoes(f *planner.Feature) []SheetEvent {
	winter, _ := r.Stand.Winter()
	if winter <= 0 {
		return nil
	}
	var out []SheetEvent
	within := func(year int) bool { return year > 0 && year <= growth.LastYear }
	if year := f.Planted - winter; f.Planted > 0 && within(year) {
		out = append(out, inYear(f, year, fmt.Sprintf("%s is planted.", f.Label())))
	}
	if d, ok := f.Detail.(*planner.Screen); ok && d.Until > 0 && within(d.Until-winter) {
		out = append(out, inYear(f, d.Until-winter, fmt.Sprintf("%s is taken away.", f.Label())))
	}
	return out
}

// reaching is when a height is come to, by the high end, the middle and the low end of what is known.
func reaching(want float64, at func(year int) growth.Span) planner.Years {
	out := planner.Years{From: planner.Never, Mid: planner.Never, To: planner.Never}
	for year := growth.LastYear; year >= 0; year-- {
		s := at(year)
		if !s.Known {
			continue
		}
		for _, v := range []struct {
			h  float64
			to *int
		}{{s.High, &out.From}, {s.Mid, &out.Mid}, {s.Low, &out.To}} {
			if v.h >= want-planner.Tolerance {
				*v.to = year
			}
		}
	}
	return out
}

// hedgeGrows is when a hedge that is to be planted comes to the height that it is kept at.
func (r *Report) hedgeGrows(f *planner.Feature) []SheetEvent {
	d, ok := f.Detail.(*planner.Hedge)
	if !ok || !f.IsPlanned() || d.HeightM <= 0 || d.Manage == "leave" {
		return nil
	}
	size := r.Stand.Line(f, 0, growth.LastYear)
	years := reaching(d.HeightM, func(year int) growth.Span { return r.Stand.Line(f, 0, year).Height })
	if years.From >= planner.Never || years.To == 0 {
		return nil
	}
	return []SheetEvent{r.grown(f, years, fmt.Sprintf("%s comes to the %s m that it is kept at.", f.Label(), figure(d.HeightM)), size)}
}

// beltGrows is when a windbreak that is to be planted comes to half of its height at year 20, from when on it does much of its work,
// and when it is as dense as its purpose wants.
func (r *Report) beltGrows(b *check.Belt) []SheetEvent {
	f := b.Feature
	if !f.IsPlanned() || !b.HeightYear20.Known {
		return nil
	}
	var out []SheetEvent
	row := b.Tallest()
	size := r.Stand.Line(f, row, growth.LastYear)
	half := b.HeightYear20.V / 2
	if years := reaching(half, func(year int) growth.Span { return r.Stand.Line(f, row, year).Height }); years.From < planner.Never && years.From > 0 {
		out = append(out, r.grown(f, years, fmt.Sprintf("%s is %s m high, half of its height at year 20.", f.Label(), figure(round(half, 1))), size))
	}
	if b.Band != nil && b.Band.In.From < planner.Never && b.Band.In.To > 0 {
		e := r.grown(f, b.Band.In, fmt.Sprintf("%s is as dense as its purpose wants.", f.Label()), size)
		e.Rests, e.Confidence = b.DensitySource.Text, string(b.DensitySource.Confidence)
		out = append(out, e)
	}
	return out
}

func (r *Report) grown(f *planner.Feature, years planner.Years, text string, size growth.Size) SheetEvent {
	e := SheetEvent{jsonYears: *yearsJSON(&years), Text: text, Features: []string{f.ID}, Rests: size.Rests, Confidence: string(size.Source.Confidence)}
	if p, ok := f.Shape.First(); ok {
		e.place(p)
	}
	return e
}
