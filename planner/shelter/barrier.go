package shelter

import (
	"fmt"
	"math"
	"sort"

	"github.com/paulmach/orb"

	"quickthorn/planner"
	"quickthorn/planner/growth"
)

// Leaf says whether deciduous plants are in leaf.
type Leaf int

// In leaf is what counts in a bed's growing season; bare is the winter.
const (
	InLeaf Leaf = iota
	Bare
)

func (l Leaf) String() string {
	if l == Bare {
		return "bare"
	}
	return "in leaf"
}

// Height says which of a plant's range of heights is taken.
type Height int

// The three figures of a range.
const (
	Middle Height = iota
	Lowest
	Highest
)

func (h Height) of(s growth.Span) float64 {
	switch h {
	case Lowest:
		return s.Low
	case Highest:
		return s.High
	}
	return s.Mid
}

// A Stand is what grows: growth.Stand is one.
type Stand interface {
	Bodies(year int) []growth.Body
	Age(f *planner.Feature, year int) (years int, known bool)
}

// A Barrier is one thing that the wind meets in one year: all rows of a windbreak, a run of a hedge or row, a screen, a wall, or a
// building.
type Barrier struct {
	Feature *planner.Feature
	Rows    []Row
	RowGapM float64          // between the rows of a windbreak
	Solid   orb.MultiPolygon // of a building: its outline; its depth along the wind is its width
	HeightM float64          // of a building; rows have their own
}

// A Row is one line of a barrier.
type Row struct {
	Row      int // number in its windbreak, from the windward side in
	Runs     []orb.LineString
	HeightM  float64
	WidthM   float64
	Porosity float64 // 0 to 1, looked at square on
	BaseM    float64 // height of its lowest leaves
}

// Tallest is the height of the tallest row, or of the building.
func (b *Barrier) Tallest() float64 {
	h := b.HeightM
	for i := range b.Rows {
		h = math.Max(h, b.Rows[i].HeightM)
	}
	return h
}

// Unknown is what could not be taken into account, and why.
type Unknown struct {
	Feature *planner.Feature
	Row     int // number of the row of a windbreak, from 0; -1 for the whole feature
	Reason  string
	LeftOut bool // the barrier gives no shelter in the figures; otherwise it does, without what is not known
}

// Say is the unknown in words.
func (u Unknown) Say() string {
	who := u.Feature.Label()
	if u.Row >= 0 {
		who = fmt.Sprintf("row %d of %s", u.Row+1, who)
	}
	if u.LeftOut {
		return fmt.Sprintf("%s is left out of the shelter: %s", who, u.Reason)
	}
	return fmt.Sprintf("%s: %s", who, u.Reason)
}

// Options choose among what is known of the plants. The zero value is in leaf, at the middle of the range of heights.
type Options struct {
	Leaf   Leaf
	Height Height
}

// Barriers are the things that the wind meets in a year, ordered by feature id and row, and what had to be left out because its
// height or density is not known. What is not planted yet or was taken away is in neither. Planned buildings count as standing.
func Barriers(plan *planner.Plan, stand Stand, year int, o Options) ([]Barrier, []Unknown) {
	var out []Barrier
	var unknown []Unknown
	has := map[*planner.Feature]int{} // bodies
	belts := map[*planner.Feature]int{}
	for _, body := range stand.Bodies(year) {
		f := body.Feature
		has[f]++
		row, un := rowOf(body, o)
		unknown = append(unknown, un...)
		if row == nil {
			continue
		}
		if d, ok := f.Detail.(*planner.Windbreak); ok {
			at, seen := belts[f]
			if !seen {
				at = len(out)
				belts[f] = at
				out = append(out, Barrier{Feature: f, RowGapM: d.RowGapM})
			}
			out[at].Rows = append(out[at].Rows, *row)
			continue
		}
		out = append(out, Barrier{Feature: f, Rows: []Row{*row}})
	}
	for i := range out {
		if p := out[i].porosity(); p > GreatestPorosity {
			unknown = append(unknown, Unknown{Feature: out[i].Feature, Row: -1, Reason: tooOpen(p), LeftOut: true})
		}
	}
	for _, f := range plan.Features {
		if b, un := other(f, has[f], stand, year); b != nil {
			out = append(out, *b)
		} else if un != nil {
			unknown = append(unknown, *un)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Feature.ID < out[j].Feature.ID })
	sort.SliceStable(unknown, func(i, j int) bool { return unknown[i].Feature.ID < unknown[j].Feature.ID })
	return out, unknown
}

// rowOf is a body as the wind meets it, or nil where that is not known.
func rowOf(b growth.Body, o Options) (*Row, []Unknown) {
	number := -1
	if b.Feature.Kind == planner.KindWindbreak {
		number = b.Row
	}
	leftOut := func(reason string) (*Row, []Unknown) {
		return nil, []Unknown{{Feature: b.Feature, Row: number, Reason: reason, LeftOut: true}}
	}
	height := o.Height.of(b.Height)
	density := b.DensityLeafOn
	if o.Leaf == Bare {
		density = b.DensityLeafOff
	}
	switch {
	case !b.Height.Known:
		return leftOut("its height is not known")
	case !b.DensityKnown && b.DensityUnknown != "":
		return leftOut("its density is not known (" + b.DensityUnknown + ")")
	case !b.DensityKnown:
		return leftOut("its density is not known")
	case !(height > 0):
		return nil, nil
	}
	r := &Row{Row: b.Row, Runs: b.Runs, HeightM: height, Porosity: math.Min(1, math.Max(0, 1-density)), BaseM: b.BaseM}
	if number < 0 && r.Porosity > GreatestPorosity {
		return leftOut(tooOpen(r.Porosity))
	}
	if b.Spread.Known {
		r.WidthM = o.Height.of(b.Spread)
		return r, nil
	}
	return r, []Unknown{{Feature: b.Feature, Row: number, Reason: "its width is not known and counts as none"}}
}

// other is what the plan tells by itself: a building, or a planting or wall that stands but has no body because its height is not known.
func other(f *planner.Feature, has int, stand Stand, year int) (*Barrier, *Unknown) {
	leftOut := func(reason string) (*Barrier, *Unknown) {
		return nil, &Unknown{Feature: f, Row: -1, Reason: reason, LeftOut: true}
	}
	switch d := f.Detail.(type) {
	case *planner.Building:
		switch {
		case !f.Sound:
			return leftOut("its outline cannot be used")
		case f.Wrong("height_m") || d.HeightM <= 0:
			return leftOut("its height is not known")
		}
		return &Barrier{Feature: f, Solid: f.Shape.Polygons, HeightM: d.HeightM}, nil
	case *planner.Hedge, *planner.Windbreak, *planner.Row:
		belt, _ := d.(*planner.Windbreak)
		if has > 0 && (belt == nil || has >= len(belt.Rows)) {
			return nil, nil
		}
		if !f.Sound {
			return leftOut("its line cannot be used")
		}
		if years, known := stand.Age(f, year); known && years <= 0 { // not planted yet, or as small as it came
			return nil, nil
		}
		if has > 0 {
			return nil, &Unknown{Feature: f, Row: -1, Reason: fmt.Sprintf("the height of %d of its %d rows is not known, and only the others count", len(belt.Rows)-has, len(belt.Rows))}
		}
		return leftOut("its height is not known")
	case *planner.Fence:
		switch {
		case has > 0 || f.Kind != planner.KindWall: // a fence lets the wind through
		case !f.Sound:
			return leftOut("its line cannot be used")
		default:
			return leftOut("its height is not stated")
		}
	case *planner.Screen:
		switch {
		case has > 0:
		case !f.Sound:
			return leftOut("its line cannot be used")
		case f.Wrong("height_m", "density_percent", "until"):
			return leftOut("its height, density or last winter is not known")
		}
	}
	return nil, nil
}

// porosity is that of all rows together, 0 for a building.
func (b *Barrier) porosity() float64 {
	if len(b.Rows) == 0 {
		return 0
	}
	p := 1.0
	for i := range b.Rows {
		p *= b.Rows[i].Porosity
	}
	return p
}

func tooOpen(porosity float64) string {
	return fmt.Sprintf("%.0f %% of its face is open, and nothing is published above %.0f %%", 100*porosity, 100*GreatestPorosity)
}
