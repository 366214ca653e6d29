package setout

import (
	"math"
	"slices"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// rowEdges gives the lowest and highest row that can hold a tree at the full margin, and the places of rows that lie on an
// edge moved in by the margin, longest edge first.
func (p *plot) rowEdges(s *scanner, f *fit) (low, high float64, on []float64) {
	low, high = math.Inf(1), math.Inf(-1)
	type side struct{ y, length float64 }
	var sides []side
	for _, poly := range p.mp {
		for _, e := range geo.InsetEdges(poly, p.margin) {
			ya, yb := dot(e.A, f.v), dot(e.B, f.v)
			if math.Abs(ya-yb) < planner.Tolerance {
				sides = append(sides, side{(ya + yb) / 2, e.Length()})
			}
		}
	}
	for _, c := range p.innerCorners() {
		low, high = math.Min(low, dot(c, f.v)), math.Max(high, dot(c, f.v))
	}
	p.widen(s, &low, &high)
	slices.SortFunc(sides, func(a, b side) int {
		switch {
		case a.length > b.length+1e-6:
			return -1
		case a.length < b.length-1e-6:
			return 1
		case a.y < b.y:
			return -1
		case a.y > b.y:
			return 1
		}
		return 0
	})
	for _, d := range sides[:min(len(sides), greatestEdgeFits)] {
		on = append(on, d.y)
	}
	return low, high, on
}

func (p *plot) innerCorners() []orb.Point {
	if p.cleared {
		return p.inner
	}
	p.cleared = true
	region := geo.NewRegion(p.mp)
	for _, poly := range p.mp {
		for _, c := range geo.InsetCorners(poly, p.margin) {
			if region.ContainsBy(c, p.margin, 1e-6) {
				p.inner = append(p.inner, c)
			}
		}
	}
	return p.inner
}

// widen looks at rows spread over the whole ground, for shapes whose inner ground has no corner (thin or rounded ones).
func (p *plot) widen(s *scanner, low, high *float64) {
	if len(s.edges) == 0 {
		return
	}
	y0, y1 := s.edges[0].low, s.edges[0].high
	for _, e := range s.edges {
		y1 = math.Max(y1, e.high)
	}
	b := s.rows()
	for i := range sampleRows {
		y := y0 + (y1-y0)*(float64(i)+0.5)/sampleRows
		if len(b.at(y)) > 0 {
			*low, *high = math.Min(*low, y), math.Max(*high, y)
		}
	}
}

// rowFits are the places tried for a row, each within one distance between rows from low: on the outermost lines, on the
// lines along edges, centred between the outermost lines, and spread evenly.
func (p *plot) rowFits(low, high float64, edges []float64) []float64 {
	a := p.grid.Across
	var out []float64
	add := func(y float64) {
		y = low + positiveMod(y-low, a)
		if a-(y-low) < 1e-6 {
			y = low
		}
		for _, o := range out {
			if math.Abs(o-y) < 1e-6 {
				return
			}
		}
		if len(out) < p.fits {
			out = append(out, y)
		}
	}
	room := high - low + 2*planner.Tolerance
	add(low - planner.Tolerance + (room-math.Floor(room/a+1e-9)*a)/2)
	add(low)
	add(high)
	for _, y := range edges {
		add(y)
	}
	for i := range evenRowFits {
		add(low + a*float64(i)/evenRowFits)
	}
	return out
}
