package growth

import (
	"math"

	"quickthorn/planner"
)

// Line is the size in a year of a hedge, a row, or one row of a windbreak (from 0, from the windward side in). Of a hedge that is cut
// in stretches it is the longest stretch's. Not known for other features, nor where nothing tells.
func (s *Stand) Line(f *planner.Feature, row, year int) Size {
	l := s.out.Of(f.ID)
	if l == nil || l.Line == nil {
		return Size{}
	}
	switch d := f.Detail.(type) {
	case *planner.Hedge:
		if h := s.hedges[f.ID]; h != nil {
			return h.size(s, h.longest(), year)
		}
	case *planner.Windbreak:
		if row >= 0 && (row < len(d.Rows) || row == 0 && len(d.Rows) == 0) {
			mix, life := s.beltRow(f, l, d, row)
			size, _ := s.reached(mix, &life, year)
			return size
		}
	case *planner.Row:
		mix, life := s.rowOf(f, l, d)
		size, _ := s.reached(mix, &life, year)
		return size
	}
	return Size{}
}

// longest is the part of the hedge that is longest, the first of several as long.
func (h *hedge) longest() int {
	best, longest := 0, -1.0
	for i := range h.lives {
		from, to := 0.0, h.line.LengthM
		if i > 0 {
			from = h.edges[i-1]
		}
		if i < len(h.edges) {
			to = h.edges[i]
		}
		if l := math.Max(0, to-from); l > longest+1e-9 {
			best, longest = i, l
		}
	}
	return best
}
