package report

import (
	"quickthorn/planner"
	"quickthorn/planner/growth"
	"quickthorn/planner/setout"
)

// years is the number of years of a series: 0 to growth.LastYear.
const years = growth.LastYear + 1

// A SheetYears is a length in metres, to the centimetre, for each year from planting, from 0.
type SheetYears [years]float64

// SheetSizes is how plants grow: many plants share one series. A width or height that is not known is null; 0 is not planted yet.
type SheetSizes struct {
	Spread *SheetYears `json:"spread"`
	Height *SheetYears `json:"height"`
	Rests  string      `json:"rests"` // what it rests on, in words
}

// SheetGrowth is how a hedge or row grows, full width; null where it is not known.
type SheetGrowth struct {
	Height *SheetYears `json:"height"`
	Width  *SheetYears `json:"width"`
}

// series gives plants their series, each series once.
type series struct {
	sheet *Sheet
	stand *growth.Stand
	at    map[seriesKey]int
	known map[*[years]growth.Size]int // the same, by the list of sizes that plants share
}

// A seriesKey is a series as values, so that equal ones are found.
type seriesKey struct {
	spread, height           SheetYears
	knowsSpread, knowsHeight bool
	rests                    string
}

func newSeries(s *Sheet, stand *growth.Stand) *series {
	return &series{sheet: s, stand: stand, at: map[seriesKey]int{}, known: map[*[years]growth.Size]int{}}
}

// of is the place of a plant's series in the sheet's list.
func (s *series) of(p *setout.Plant) int {
	sizes := s.stand.Sizes(p)
	if at, ok := s.known[sizes]; ok {
		return at
	}
	height, spread, rests := byYear(func(year int) growth.Size { return sizes[year] })
	key := seriesKey{rests: rests}
	if key.knowsHeight = height != nil; height != nil {
		key.height = *height
	}
	if key.knowsSpread = spread != nil; spread != nil {
		key.spread = *spread
	}
	at, ok := s.at[key]
	if !ok {
		at = len(s.sheet.Sizes)
		s.at[key] = at
		s.sheet.Sizes = append(s.sheet.Sizes, SheetSizes{Spread: spread, Height: height, Rests: rests})
	}
	s.known[sizes] = at
	return at
}

// byYear is the height and width of something in every year, nil where they are not known, and what they rest on once it is grown.
func byYear(at func(year int) growth.Size) (height, spread *SheetYears, rests string) {
	last := at(growth.LastYear)
	var h, w SheetYears
	for year := range years {
		size := at(year)
		h[year], w[year] = round(size.Height.Mid, 2), round(size.Spread.Mid, 2)
	}
	if last.Height.Known {
		height = &h
	}
	if last.Spread.Known {
		spread = &w
	}
	return height, spread, last.Rests
}

// sheetGrows is how a hedge, a windbreak by row, or a row grows; nil for all else.
func sheetGrows(stand *growth.Stand, l *setout.Layout) any {
	if l == nil || l.Line == nil {
		return nil
	}
	grow := func(row int) *SheetGrowth {
		height, width, _ := byYear(func(year int) growth.Size { return stand.Line(l.Feature, row, year) })
		return &SheetGrowth{Height: height, Width: width}
	}
	switch l.Feature.Detail.(type) {
	case *planner.Hedge, *planner.Row:
		return grow(0)
	case *planner.Windbreak:
		out := []*SheetGrowth{}
		for _, row := range l.Rows {
			out = append(out, grow(row.Row))
		}
		return out
	}
	return nil
}
