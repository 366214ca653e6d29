package setout

import (
	"math"
	"slices"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// The search for the best lattice is bounded: this many bearings, this many places for the first row with each, and fewer of
// both where there are so many rows and edges that it would take long. For each row place the best place along the rows is
// found exactly, so few row places are enough.
const (
	greatestBearings = 48
	leastBearings    = 4
	greatestRowFits  = 36
	leastRowFits     = 3
	greatestWork     = 4_000_000 // rows and edges looked at
	evenRowFits      = 8         // of them spread evenly over the distance between rows
	greatestEdgeFits = 20
	sampleRows       = 64
)

// A fit is a lattice laid on a piece of ground.
type fit struct {
	bearing float64
	u, v    orb.Point // along the rows, and to their left
	y0, x0  float64   // a row of even number at y0, a tree of it at x0
	count   int
	uneven  float64 // how far the margins differ from end to end and from side to side, m
}

// better tells whether f is to be preferred: more trees, then the more even margins, then the smaller bearing, then the lower
// first row. Differences below a hundredth of a millimetre are rounding and decide nothing.
func (f *fit) better(o *fit) bool {
	const eps = 1e-5
	switch {
	case f.count != o.count:
		return f.count > o.count
	case math.Abs(f.uneven-o.uneven) > eps:
		return f.uneven < o.uneven
	case math.Abs(f.bearing-o.bearing) > 1e-9:
		return f.bearing < o.bearing
	case math.Abs(f.y0-o.y0) > eps:
		return f.y0 < o.y0
	}
	return f.x0 < o.x0-eps
}

// A plot is a piece of ground to be filled with a lattice, in coordinates from its own box.
type plot struct {
	mp     orb.MultiPolygon
	margin float64
	grid   Grid
	// inner are the corners of the ground moved in by the margin, those that stand clear of every edge; worked out once.
	inner   []orb.Point
	cleared bool
	fits    int // row places tried for each bearing
	// scratch for the sweep
	arcs  []arc
	spans []rowSpan
}

// search finds the lattice that holds the most trees.
func (p *plot) search(bearings []float64) fit {
	p.fits = max(leastRowFits, min(greatestRowFits, greatestWork/(len(bearings)*p.oneFit())))
	var best fit
	for i, b := range bearings {
		f := p.alongBearing(b)
		if i == 0 || f.better(&best) {
			best = f
		}
	}
	return best
}

// bearings are those tried where the plan leaves the bearing open: north and south, and each edge's, the longest first where
// there are too many. Bearings that bring the same lattice, or differ by less than a thousandth of a degree, count once.
func (p *plot) bearings() []float64 {
	type way struct{ deg, length float64 }
	var ways []way
	for _, poly := range p.mp {
		for _, r := range poly {
			for i := range r {
				a, b := r[i], r[(i+1)%len(r)]
				if l := geo.Dist(a, b); l > 0 {
					ways = append(ways, way{fold(geo.BearingDeg(a, b), p.grid.Turn), l})
				}
			}
		}
	}
	slices.SortFunc(ways, func(a, b way) int {
		switch {
		case a.length > b.length+1e-6:
			return -1
		case a.length < b.length-1e-6:
			return 1
		case a.deg < b.deg:
			return -1
		case a.deg > b.deg:
			return 1
		}
		return 0
	})
	limit := max(leastBearings, min(greatestBearings, greatestWork/(leastRowFits*p.oneFit())))
	out := []float64{0}
	for _, w := range ways {
		if len(out) == limit {
			break
		}
		known := slices.ContainsFunc(out, func(d float64) bool {
			off := math.Abs(d - w.deg)
			return math.Min(off, p.grid.Turn-off) < 1e-3
		})
		if !known {
			out = append(out, w.deg)
		}
	}
	slices.Sort(out)
	return out
}

// oneFit is about how many rows and edges one fit looks at.
func (p *plot) oneFit() int {
	b := p.mp.Bound()
	n := 1 + int(geo.Dist(b.Min, b.Max)/p.grid.Across)
	for _, poly := range p.mp {
		for _, r := range poly {
			n += len(r)
		}
	}
	return n
}

// fold brings a bearing into 0 up to turn, and what is within a millionth of a degree of turn to 0.
func fold(deg, turn float64) float64 {
	d := math.Mod(geo.NormBearing(deg), turn)
	if turn-d < 1e-6 {
		return 0
	}
	return d
}

// alongBearing finds the best fit with rows along a bearing.
func (p *plot) alongBearing(bearing float64) fit {
	base := fit{bearing: bearing, u: geo.Direction(bearing), v: geo.Direction(bearing - 90)}
	s := newScanner(p.mp, base.u, base.v, p.margin-planner.Tolerance)
	low, high, edges := p.rowEdges(s, &base)
	if high < low {
		return base
	}
	var best fit
	first := true
	for _, y := range p.rowFits(low, high, edges) {
		f := p.fitRow(s, base, y, low, high)
		if first || f.better(&best) {
			best, first = f, false
		}
	}
	return best
}

// A rowSpan is a stretch of a row where trees may stand.
type rowSpan struct {
	row  int
	a, b float64
}

// An arc is the range of places for the first tree (modulo the spacing) at which a stretch holds one tree more than it always does.
type arc struct {
	at   float64
	open int // +1 where it begins, -1 where it ends
}

// fitRow finds the best place along the rows where a row lies at y: the one that the most stretches agree on.
func (p *plot) fitRow(s *scanner, base fit, y, low, high float64) fit {
	p.collect(s, y, low, high)
	f := base
	f.y0 = y
	g := p.grid
	// A stretch of length n*along + rest holds n trees wherever they begin, and one more where the first begins in its first
	// rest. Count how many such arcs cover each place on the circle of length along.
	p.arcs = p.arcs[:0]
	count, cover := 0, 0
	for _, r := range p.spans {
		n := math.Floor((r.b - r.a) / g.Along)
		rest := (r.b - r.a) - n*g.Along
		count += int(n)
		from := positiveMod(r.a-p.shift(r.row), g.Along)
		to := from + rest
		p.arcs = append(p.arcs, arc{from, 1})
		if to >= g.Along {
			cover++
			to -= g.Along
		}
		p.arcs = append(p.arcs, arc{to, -1})
	}
	if len(p.arcs) == 0 {
		return f
	}
	slices.SortFunc(p.arcs, func(a, b arc) int {
		switch {
		case a.at < b.at:
			return -1
		case a.at > b.at:
			return 1
		}
		return b.open - a.open // begin before end, so that an arc of no length counts
	})
	best := p.bestPlaces(cover)
	first := true
	for _, place := range best {
		c := f
		c.count = count + place.cover
		c.x0, c.uneven = p.even(place.from, place.to, y, low, high)
		if first || c.better(&f) {
			f, first = c, false
		}
	}
	return f
}

// place is a range of x0 over which the count is the same.
type place struct {
	from, to float64
	cover    int
}

// bestPlaces are the ranges that the most arcs cover, the first few of them in order round the circle.
func (p *plot) bestPlaces(cover int) []place {
	const most = 4
	var out []place
	best := -1
	n := len(p.arcs)
	for i, a := range p.arcs {
		cover += a.open
		if a.open < 0 || cover < best {
			continue
		}
		to := p.arcs[(i+1)%n].at
		if i+1 == n {
			to += p.grid.Along
		}
		if p.arcs[(i+1)%n].open > 0 && i+1 < n && cover+1 >= best {
			continue // one more begins before any ends
		}
		if cover > best {
			best, out = cover, out[:0]
		}
		if len(out) < most {
			out = append(out, place{a.at, to, cover})
		}
	}
	return out
}

// collect lists the stretches of all rows where a row lies at y.
func (p *plot) collect(s *scanner, y, low, high float64) {
	p.spans = p.spans[:0]
	b := s.rows()
	a := p.grid.Across
	from := int(math.Floor((low - planner.Tolerance - y) / a))
	to := int(math.Ceil((high + planner.Tolerance - y) / a))
	for r := from; r <= to; r++ {
		for _, st := range b.at(y + float64(r)*a) {
			p.spans = append(p.spans, rowSpan{r, st.a, st.b})
		}
	}
}

// shift is how far a row is moved along itself.
func (p *plot) shift(row int) float64 {
	if row%2 != 0 {
		return p.grid.Shift
	}
	return 0
}

// even chooses x0 within a range so that the margins at both ends of the rows are as even as can be, and gives how uneven they
// then are: the mean difference between the two ends of a row, and the difference between the first and the last row's way to
// the outermost lines.
func (p *plot) even(from, to, y, low, high float64) (x0, uneven float64) {
	x0 = (from + to) / 2
	along := p.grid.Along
	var sum float64
	n := 0
	first, last := 0, 0
	for _, r := range p.spans {
		o := x0 + p.shift(r.row)
		k0, k1 := math.Ceil((r.a-o)/along-1e-9), math.Floor((r.b-o)/along+1e-9)
		if k1 < k0 {
			continue
		}
		if n == 0 {
			first = r.row
		}
		last = r.row
		sum += (o + k0*along - r.a) - (r.b - o - k1*along)
		n++
	}
	if n == 0 {
		return x0, math.Inf(1)
	}
	mean := sum / float64(n)
	moved := math.Max(from, math.Min(to, x0-mean/2))
	mean += 2 * (moved - x0)
	below := y + float64(first)*p.grid.Across - low
	above := high - y - float64(last)*p.grid.Across
	return moved, math.Abs(mean) + math.Abs(below-above)
}

// lay gives the trees of a fit, row by row from the lowest (the rightmost of the bearing), along the bearing.
func (p *plot) lay(f *fit) []spot {
	s := newScanner(p.mp, f.u, f.v, p.margin-planner.Tolerance)
	low, high, _ := p.rowEdges(s, f)
	p.collect(s, f.y0, low, high)
	var out []spot
	along := p.grid.Along
	row, started := -1, 0
	for _, r := range p.spans {
		o := f.x0 + p.shift(r.row)
		k0, k1 := math.Ceil((r.a-o)/along-1e-9), math.Floor((r.b-o)/along+1e-9)
		if k1 < k0 {
			continue
		}
		if row < 0 || r.row != started {
			row, started = row+1, r.row
		}
		y := f.y0 + float64(r.row)*p.grid.Across
		for k := k0; k <= k1; k++ {
			x := o + k*along
			out = append(out, spot{row: row, x: x, y: y, p: orb.Point{x*f.u[0] + y*f.v[0], x*f.u[1] + y*f.v[1]}})
		}
	}
	return out
}

// A spot is a place of a lattice: x along the rows, y to their left.
type spot struct {
	row  int
	x, y float64
	p    orb.Point
}

func dot(a, b orb.Point) float64 { return a[0]*b[0] + a[1]*b[1] }

// positiveMod is v modulo m, from 0 up to m.
func positiveMod(v, m float64) float64 {
	r := math.Mod(v, m)
	if r < 0 {
		r += m
	}
	if r >= m {
		r = 0
	}
	return r
}
