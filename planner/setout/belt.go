package setout

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// parallelDeg is how near a belt may lie to the way of the wind before neither side is the lee.
const parallelDeg = 10.0

// windbreak sets out a belt: the drawn line is the windward row, each other row a true parallel to leeward.
func (m *maker) windbreak(l *Layout, d *planner.Windbreak) {
	f := l.Feature
	t, ok := l.trace()
	if !ok {
		return
	}
	path := t.path()
	if l.fail("rows", "row_gap_m", "side", "status", "planted") || m.tooMany(l) {
		l.Line = &Line{Path: path, LengthM: t.length, Closed: t.closed, Backwards: t.backwards}
		return
	}
	side := m.leeSide(l, d, path)
	var rows []RowLine
	for i := range d.Rows {
		offset := 0.0
		if i > 0 {
			offset = side * float64(i) * d.RowGapM
		}
		p, trimmed := geo.Parallel(path, offset)
		rows = append(rows, RowLine{Row: i, Path: p, OffsetM: offset, Trimmed: trimmed})
	}
	l.Line = &Line{Path: path, LengthM: t.length, RowGapM: d.RowGapM, Rows: len(rows), Closed: t.closed, Backwards: t.backwards}
	cut := m.beltOpenings(&t, rows)
	l.openLine(cut)
	if len(rows) == 0 {
		if f.IsPlanned() {
			l.cannot("rows", "it says nothing of its rows.", "Give each row its species and spacing_m, from the windward side in.")
		}
		return
	}
	spacings := make([]float64, len(rows))
	for i := range rows {
		k := m.kinds(d.Rows[i].Mix, UseWindbreak, d.Stock)
		s := firstPositive(d.Rows[i].SpacingM, m.rowSpacing(k, UseWindbreak))
		if s <= 0 {
			l.Plants, l.Rows = nil, nil
			l.noSpacing(fmt.Sprintf("row-%d", i+1), fmt.Sprintf("row %d", i+1))
			return
		}
		spacings[i] = s
		stagger := i%2 == 1 && math.Abs(spacings[i-1]-s) < 1e-9
		r := rows[i]
		r.SpacingM = s
		runs := rowRuns(&t, cut.runs, r.Path)
		pl := placeRow(r.Path, runs, s, stagger)
		order := k.order(len(pl))
		for n, at := range pl {
			p := Plant{Feature: f, Row: i, Number: n, At: at.p, Chainage: at.s, Offset: r.OffsetM, RaisedM: d.RaisedM, Listed: f.IsPlanned()}
			k.name(&p, order[n])
			l.Plants = append(l.Plants, p)
		}
		r.Plants = len(pl)
		l.Line.PerMetre += 1 / s
		l.Rows = append(l.Rows, r)
	}
	l.countRuns(&t)
}

// leeSide is +1 where the further rows lie to the left of the drawn line, -1 to the right: away from the wind, unless the plan
// says which. A belt within 10 degrees of the way of the wind has no lee; its rows lie to the right, and a note says so.
func (m *maker) leeSide(l *Layout, d *planner.Windbreak, path orb.LineString) float64 {
	switch d.Side {
	case "left":
		return 1
	case "right":
		return -1
	}
	wind := m.plan.Holding.WorstWindDeg()
	chord := geo.BearingDeg(path[0], path[len(path)-1])
	off := geo.AngleBetweenDeg(chord, wind)
	off = math.Min(off, 180-off)
	if geo.Dist(path[0], path[len(path)-1]) > planner.Tolerance && off > parallelDeg+1e-9 {
		if to := geo.NormBearing(wind + 180 - chord); to > 180 {
			return 1
		}
		return -1
	}
	if len(d.Rows) > 1 {
		l.Remarks = append(l.Remarks, Remark{Rule: "windbreak.angle", Severity: planner.Note, At: path[0], Place: "side",
			Measured: planner.Figure(off), Limit: planner.Figure(parallelDeg), Unit: "deg",
			Message: fmt.Sprintf("%s runs within %.0f degrees of the way the wind blows, so it has no lee side. Its rows are set out to the right of the line as drawn; state its side to choose.", l.Feature.Label(), parallelDeg)})
	}
	return -1
}

// beltOpenings cuts a belt by the gateways within reach of any of its rows; each opens all rows.
func (m *maker) beltOpenings(t *trace, rows []RowLine) cutLine {
	chain := geo.NewChain(t.path())
	bound := chain.Line().Bound()
	var chains []geo.Chain
	for _, r := range rows {
		if len(r.Path) > 1 {
			chains = append(chains, geo.NewChain(r.Path))
			bound = bound.Union(r.Path.Bound())
		}
	}
	bound = bound.Pad(reachM + planner.Tolerance)
	var spans []span
	for i := range m.gates {
		g := &m.gates[i]
		if !bound.Contains(g.at) && !(len(g.line) > 0 && bound.Intersects(g.line.Bound())) {
			continue
		}
		near := g.dist(chain)
		for _, c := range chains {
			near = math.Min(near, g.dist(c))
		}
		s, ok := g.across(chain, t.closed)
		if near > reachM+planner.Tolerance || !ok {
			continue
		}
		if t.closed {
			s = wrap(s, t.length)
		}
		spans = append(spans, s)
	}
	sortSpans(spans)
	c := cutting{gateClear: m.lim.gateClear(), action: func(float64) Action { return LeaveOpen }}
	return c.cut(t, t.breaks, spans)
}

// openLine writes the openings of a belt or row, all of them left open.
func (l *Layout) openLine(cut cutLine) {
	l.Line.Openings = cut.openings
	for _, o := range cut.openings {
		l.Line.GapM += o.Length()
	}
	for _, r := range cut.runs {
		l.Line.Runs = append(l.Line.Runs, Run{FromM: r.from, ToM: r.to})
	}
}

// rowRuns are the runs of the drawn line as stretches of one of its parallels: each end is carried over square to the line.
func rowRuns(t *trace, runs []span, path orb.LineString) []span {
	c := geo.NewChain(path)
	if c.Length() <= 0 {
		return nil
	}
	var out []span
	for _, r := range runs {
		s := span{from: 0, to: c.Length()}
		if r.from > 1e-9 {
			s.from, _, _ = c.Project(t.at(r.from))
		}
		if r.to < t.length-1e-9 || r.to > t.length+1e-9 {
			s.to, _, _ = c.Project(t.at(r.to))
		}
		if s.to < s.from && t.closed { // passes the start of a closed line
			out = append(out, span{from: s.from, to: c.Length()}, span{from: 0, to: s.to})
			continue
		}
		if s.to >= s.from {
			out = append(out, s)
		}
	}
	return out
}

type standing struct {
	s float64
	p orb.Point
}

// rowCount is how many plants stand s apart in a stretch, the first at its start; staggered rows hold what fits between the
// midpoints of such a row. The tolerance is forgiven.
func rowCount(length, s float64, stagger bool) int {
	length += planner.Tolerance
	if stagger {
		length -= s
	}
	return max(0, int(math.Floor(length/s+1e-9))+1)
}

// placeRow sets out plants exactly s apart along a row, run by run, centred in each.
func placeRow(path orb.LineString, runs []span, s float64, stagger bool) []standing {
	c := geo.NewChain(path)
	var out []standing
	for _, r := range runs {
		n := rowCount(r.length(), s, stagger)
		if stagger && r.length()+planner.Tolerance < s {
			n = 0
		}
		first := r.from + (r.length()-float64(n-1)*s)/2
		for i := range n {
			at := first + float64(i)*s
			out = append(out, standing{at, straightOn(c, at)})
		}
	}
	return out
}

// straightOn is the point at a chainage, carried on straight where it lies beyond an end: the first and last plant may stand
// out by half the tolerance, so that the spacing is exact.
func straightOn(c geo.Chain, s float64) orb.Point {
	over := math.Max(0, s-c.Length()) + math.Min(0, s)
	p := c.At(s)
	if over != 0 {
		u := geo.Direction(c.BearingAtDeg(s))
		p[0], p[1] = p[0]+over*u[0], p[1]+over*u[1]
	}
	return p
}

// countRuns writes how many plants stand in each run of a belt or row, over all rows.
func (l *Layout) countRuns(t *trace) {
	if len(l.Line.Runs) == 1 {
		l.Line.Runs[0].Plants = len(l.Plants)
		return
	}
	c := geo.NewChain(l.Line.Path)
	for i := range l.Plants {
		s, _, _ := c.Project(l.Plants[i].At)
		for k := range l.Line.Runs {
			r := &l.Line.Runs[k]
			if s >= r.FromM-planner.Tolerance && s <= r.ToM+planner.Tolerance || t.closed && s+t.length <= r.ToM+planner.Tolerance {
				r.Plants++
				break
			}
		}
	}
}
