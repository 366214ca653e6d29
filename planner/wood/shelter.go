package wood

import (
	"fmt"
	"slices"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/growth"
)

// What counts as shelter: a section upwind of a bed within so many heights, for so much of it.
const (
	shelterHeights = 10.0
	shelterShare   = 0.25 // of the places looked at in the bed
	bedSide        = 6    // places along each side of a bed's box
)

// bed is a bed with the places looked at in it.
type bed struct {
	label string
	at    []orb.Point
}

// hold keeps sections that shelter a bed out of the winters in which nothing else would. The simple rule: a section shelters a bed
// where it stands upwind within 10 of its heights of a quarter of the bed or more; something else does where a windbreak, a hedge
// outside the rota, a screen, a row or a wall stands upwind of half of that within 10 of its heights of that winter.
func (in *Input) hold(list []Section, stand *growth.Stand, first, winters int) {
	beds := in.beds()
	if len(beds) == 0 {
		return
	}
	cutting := map[*planner.Feature]bool{}
	for i := range list {
		cutting[list[i].Feature] = true
	}
	others := make([][]wall, winters)
	for y := range winters {
		others[y] = walls(stand, cutting, min(y, growth.LastYear))
	}
	up := geo.Direction(in.Plan.Holding.WorstWindDeg())
	for i := range list {
		s := &list[i]
		own := wall{segs: s.segments(0), height: s.HeightM}
		if own.height == 0 {
			if h := stand.Line(s.Feature, 0, 0).Height; h.Known {
				own.height = h.Mid
			}
		}
		if own.height <= 0 {
			continue
		}
		for _, b := range beds {
			var held []orb.Point
			for _, p := range b.at {
				if own.shelters(p, up) {
					held = append(held, p)
				}
			}
			if float64(len(held)) < shelterShare*float64(len(b.at)) {
				continue
			}
			for y := range winters {
				bare := 0
				for _, p := range held {
					if !anyShelters(others[y], p, up) {
						bare++
					}
				}
				if 2*bare > len(held) {
					s.shelter(b.label, first+y)
				}
			}
		}
	}
	for i := range list {
		list[i].whole(first, winters)
	}
}

// shelter bars one winter for the sake of a bed.
func (s *Section) shelter(bed string, winter int) {
	if !slices.Contains(s.Shelters, bed) {
		s.Shelters = append(s.Shelters, bed)
	}
	if slices.ContainsFunc(s.bars, func(b Bar) bool { return b.Winter == winter && b.Constraint == Sheltering }) {
		return
	}
	s.bars = append(s.bars, Bar{Winter: winter, Constraint: Sheltering, Why: fmt.Sprintf("it shelters %s and nothing else does in %d", bed, winter)})
}

// whole says it once where a section is held back all the time.
func (s *Section) whole(first, winters int) {
	n := 0
	for _, b := range s.bars {
		if b.Constraint == Sheltering {
			n++
		}
	}
	switch {
	case n == 0:
	case n == winters:
		s.Notes = append(s.Notes, fmt.Sprintf("it shelters %s and nothing else comes to, so it is never cut: plant or raise another shelter first", s.Shelters[0]))
	default:
		last := first
		for _, b := range s.bars {
			if b.Constraint == Sheltering {
				last = max(last, b.Winter)
			}
		}
		s.Notes = append(s.Notes, fmt.Sprintf("it shelters %s and is held back until something else does, after winter %d", s.Shelters[0], last))
	}
}

// beds lists the beds with places in them on a grid; one in the middle where none of the grid lies inside.
func (in *Input) beds() []bed {
	var out []bed
	for _, f := range in.Plan.Of(planner.KindBed) {
		r, box := geo.NewRegion(f.Shape.Polygons), f.Shape.Bound()
		b := bed{label: f.Label()}
		for i := range bedSide {
			for k := range bedSide {
				p := orb.Point{box.Min[0] + (float64(i)+0.5)/bedSide*(box.Max[0]-box.Min[0]), box.Min[1] + (float64(k)+0.5)/bedSide*(box.Max[1]-box.Min[1])}
				if r.Contains(p) {
					b.at = append(b.at, p)
				}
			}
		}
		if len(b.at) == 0 && len(f.Shape.Polygons) > 0 {
			b.at = append(b.at, geo.Centroid(f.Shape.Polygons[0]))
		}
		if len(b.at) > 0 {
			out = append(out, b)
		}
	}
	return out
}

// A wall is something that stands in the wind.
type wall struct {
	segs   []geo.Segment
	height float64
}

// walls are what stands in a year besides what the rota cuts.
func walls(stand *growth.Stand, cutting map[*planner.Feature]bool, year int) []wall {
	var out []wall
	for _, b := range stand.Bodies(year) {
		if cutting[b.Feature] || !b.Height.Known {
			continue
		}
		w := wall{height: b.Height.Mid}
		for _, r := range b.Runs {
			w.segs = append(w.segs, geo.LineSegments(r, 0)...)
		}
		out = append(out, w)
	}
	return out
}

// shelters reports whether the wall stands within 10 of its heights of p, along the way up the wind.
func (w *wall) shelters(p, up orb.Point) bool {
	reach := shelterHeights * w.height
	way := geo.Segment{A: p, B: orb.Point{p[0] + reach*up[0], p[1] + reach*up[1]}}
	return slices.ContainsFunc(w.segs, way.Meets)
}

func anyShelters(list []wall, p, up orb.Point) bool {
	for i := range list {
		if list[i].shelters(p, up) {
			return true
		}
	}
	return false
}
