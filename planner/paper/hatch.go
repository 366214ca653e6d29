package paper

import (
	"math"
	"slices"
)

// A Hatch fills an area with lines: what a tint is on a screen.
type Hatch struct {
	Gap    float64 // mm between lines
	Deg    float64 // of the lines, clockwise on the page; 0 lies along x
	Dash   float64 // mm of each stroke; 0 draws whole lines
	Space  float64 // mm between strokes; every other line is set off by half
	Pen    Pen
	Within *Box // lines are only made where they can be seen; nil is everywhere
}

// Lines is the area's hatch as one path. The chains are rings; inside is by the even-odd rule. Lines stand at multiples of Gap from the
// page's origin, so that neighbouring areas and tiles match. Cost: lines times corners.
func (h Hatch) Lines(rings [][]Point) Path {
	out := Path{Pen: h.Pen}
	sin, cos := sincos(h.Deg)
	// u runs along the lines, v across them.
	uv := func(p Point) Point { return Point{p.X*cos + p.Y*sin, -p.X*sin + p.Y*cos} }
	xy := func(u, v float64) Point { return Point{u*cos - v*sin, u*sin + v*cos} }
	turned := make([][]Point, len(rings))
	least, most := math.Inf(1), math.Inf(-1)
	for i, r := range rings {
		for _, p := range r {
			q := uv(p)
			turned[i] = append(turned[i], q)
			least, most = min(least, q.Y), max(most, q.Y)
		}
	}
	if h.Within != nil {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, c := range h.Within.Corners(Point{}, 0) {
			q := uv(c)
			lo, hi = min(lo, q.Y), max(hi, q.Y)
		}
		least, most = max(least, lo), min(most, hi)
	}
	if !(h.Gap > 0) || least > most {
		return out
	}
	for n := int(math.Ceil(least / h.Gap)); float64(n)*h.Gap <= most; n++ {
		// A hair off the multiple, so that no line runs exactly through corners.
		v := float64(n)*h.Gap + 1e-7
		cross := crossings(turned, v)
		for i := 0; i+1 < len(cross); i += 2 {
			h.strokes(cross[i], cross[i+1], n, func(a, b float64) {
				p, q := xy(a, v), xy(b, v)
				if h.Within == nil || h.Within.Holds(p) || h.Within.Holds(q) || h.Dash == 0 {
					out.Chains = append(out.Chains, []Point{p, q})
				}
			})
		}
	}
	return out
}

// crossings are where the line at v crosses the rings, in order.
func crossings(rings [][]Point, v float64) []float64 {
	var out []float64
	for _, r := range rings {
		for i, a := range r {
			b := r[(i+1)%len(r)]
			if (a.Y > v) != (b.Y > v) {
				out = append(out, a.X+(v-a.Y)/(b.Y-a.Y)*(b.X-a.X))
			}
		}
	}
	slices.Sort(out)
	return out
}

// strokes cuts the span from a to b of line n into strokes.
func (h Hatch) strokes(a, b float64, n int, f func(a, b float64)) {
	if h.Dash <= 0 {
		f(a, b)
		return
	}
	step := h.Dash + h.Space
	from := 0.0
	if n%2 != 0 {
		from = step / 2
	}
	for k := math.Floor((a - from) / step); ; k++ {
		s, e := from+k*step, from+k*step+h.Dash
		if s >= b {
			return
		}
		// A stub at the edge says nothing.
		if s, e = max(s, a), min(e, b); e-s > min(0.3, h.Dash/2) {
			f(s, e)
		}
	}
}
