package setout

import (
	"math"

	"quickthorn/geo"
	"quickthorn/planner"
)

// hedge sets out a hedge: a new one run by run between its openings, an existing one where its mix is known; and the fills
// of an existing one's gaps.
func (m *maker) hedge(l *Layout, d *planner.Hedge) {
	f := l.Feature
	t, ok := l.trace()
	if !ok {
		return
	}
	h := m.measureHedge(l, d, t)
	if l.fail("rows", "row_gap_m", "per_metre", "species", "mix", "status", "planted") || m.tooMany(l) {
		if f.Wrong("per_metre") {
			l.Line.PerMetre = 0
		}
		return
	}
	next := 0
	if f.IsPlanned() || len(d.Mix) > 0 {
		next = h.plantRuns()
	}
	h.fillGaps(next)
	h.finish()
}

// A hedger sets out one hedge.
type hedger struct {
	*maker
	l    *Layout
	d    *planner.Hedge
	t    trace
	cut  cutLine
	rows int
	gap  float64 // between rows
	per  float64 // plants per metre
	// fill: what fills the gaps, how many per metre.
	fillPer float64
	fillMix []planner.Share
	fillOf  *planner.Hedge // whose mix it is
}

// measureHedge measures the line and cuts it by its openings.
func (m *maker) measureHedge(l *Layout, d *planner.Hedge, t trace) *hedger {
	f := l.Feature
	h := &hedger{maker: m, l: l, d: d, t: t, rows: max(1, d.Rows)}
	h.gap = firstPositive(d.RowGapM, m.lim.rowGap())
	h.per = firstPositive(d.PerMetre, m.lim.perMetre())
	h.fillPer, h.fillMix, h.fillOf = firstPositive(d.FillPerM, m.lim.fillPerMetre()), d.FillMix, d
	gaps := append([]span(nil), h.t.breaks...)
	existing := f.Status == planner.Existing
	if existing {
		gaps = append(gaps, opensIn(&h.t, m.gaps[f.ID], f.Shape.Bound().Pad(1e9))...)
		gaps = append(gaps, h.openingsToOthers()...)
		h.vagueGaps()
	}
	bound := h.t.chain.Line().Bound()
	c := cutting{gateClear: m.lim.gateClear(), action: h.action}
	h.cut = c.cut(&h.t, gaps, opensIn(&h.t, m.gates, bound))
	h.line()
	return h
}

// openingsToOthers lengthens the trace to the hedges that this one faces and gives the openings between as gaps.
func (h *hedger) openingsToOthers() []span {
	id := h.l.Feature.ID
	before, after := h.joins.neighbours(id)
	h.t.carryOn(id, h.joins)
	var out []span
	for _, j := range []*join{before, after} {
		if j == nil || j.low != id {
			continue
		}
		s := span{from: h.t.length, to: h.t.length + j.length, id: j.high}
		if j == before {
			s.from, s.to = -j.length, 0
		}
		out = append(out, s)
		if len(h.fillMix) == 0 && !h.l.Feature.Wrong("fill_mix") {
			h.borrowFill(j.high)
		}
	}
	return out
}

// vagueGaps remarks upon gaps drawn as a point of which nobody says how wide they are: they count as no gap.
func (h *hedger) vagueGaps() {
	for _, g := range h.vague[h.l.Feature.ID] {
		name := h.plan.Feature(g.id).Label()
		h.l.Remarks = append(h.l.Remarks, Remark{Rule: "input.property", Severity: planner.Stop, At: g.at, Place: g.id,
			Message: name + " is a gap in " + h.l.Feature.Label() + " drawn as a point, and does not say how wide it is, so it is left out. State its width_m, or draw it as a line."})
	}
}

// borrowFill takes the other hedge's fill for an opening between two, where this one says nothing.
func (h *hedger) borrowFill(id string) {
	o := h.plan.Feature(id)
	d, ok := o.Detail.(*planner.Hedge)
	if !ok || len(d.FillMix) == 0 || o.Wrong("fill_mix", "fill_per_metre") {
		return
	}
	h.fillOf = d
}

// action says what is done about a gap of that length.
func (h *hedger) action(length float64) Action {
	switch {
	case h.lim.splits(length):
		return NewHedge
	case h.l.Feature.Status != planner.Existing:
		return LeaveOpen
	case h.lim.closesByLaying(length):
		return CloseByLaying
	}
	return Fill
}

// line writes what is measured. Openings that split the hedge count neither in its length nor in its gaps.
func (h *hedger) line() {
	line := &Line{Path: h.t.path(), Openings: h.cut.openings, PerMetre: h.per, RowGapM: h.gap, Rows: h.rows,
		Closed: h.t.closed, Backwards: h.t.backwards}
	line.LengthM = h.t.length + h.t.lead + h.t.tail
	for _, o := range line.Openings {
		if o.Action == NewHedge {
			line.LengthM -= o.Length()
		} else {
			line.GapM += o.Length()
		}
	}
	for _, j := range h.joins[h.l.Feature.ID] {
		other := j.low
		if other == h.l.Feature.ID {
			other = j.high
		}
		line.Continues = append(line.Continues, other)
	}
	if h.t.backwards {
		at, _ := h.l.Feature.Shape.First()
		h.l.Remarks = append(h.l.Remarks, Remark{Rule: "hedge.gap", Severity: planner.Note, At: at, Place: "parts",
			Message: "The parts of " + h.l.Feature.Label() + " cross or run against one another, so its gaps are measured along the line as drawn. Draw the parts in order, all in one direction."})
	}
	if !h.l.Feature.IsPlanned() { // what stands, stands, whether or not it is known what of
		line.Runs = runsOf(h.cut.runs)
	}
	h.l.Line = line
}

// runsOf are stretches as runs without plants.
func runsOf(spans []span) []Run {
	out := make([]Run, len(spans))
	for i, r := range spans {
		out[i] = Run{FromM: r.from, ToM: r.to}
	}
	return out
}

// hedgeCount is the number of plants in a stretch at d per metre: the least that the standards pay for. The tolerance is
// forgiven, and so is a billionth for rounding.
func hedgeCount(length, perMetre float64) int {
	return int(math.Ceil(perMetre*(length-planner.Tolerance) - 1e-9))
}

// offset is the distance of a row from the drawn line: row 0 is the leftmost.
func (h *hedger) offset(row int) float64 { return (float64(h.rows-1)/2 - float64(row)) * h.gap }

// stand is the i-th of n positions spread evenly over a stretch.
func (h *hedger) stand(from, to float64, i, n, number int) Plant {
	s := from + (float64(i)+0.5)*(to-from)/float64(n)
	row := i % h.rows
	o := h.offset(row)
	return Plant{Feature: h.l.Feature, Row: row, Number: number, At: h.t.beside(s, o, h.gap/2), Chainage: h.t.home(s), Offset: o,
		RaisedM: h.d.RaisedM}
}

// plantRuns sets out the hedge itself and gives the number after its last plant.
func (h *hedger) plantRuns() int {
	total := 0
	h.l.Line.Runs = runsOf(h.cut.runs)
	for i, r := range h.cut.runs {
		h.l.Line.Runs[i].Plants = max(1, hedgeCount(r.length(), h.per))
		total += h.l.Line.Runs[i].Plants
	}
	plants := make([]Plant, 0, total)
	for _, r := range h.l.Line.Runs {
		for i := range r.Plants {
			plants = append(plants, h.stand(r.FromM, r.ToM, i, r.Plants, len(plants)))
		}
	}
	trees := h.treePlaces(plants)
	m := h.kinds(h.d.Mix, UseHedge, h.d.Stock)
	order := m.order(len(plants) - len(trees))
	treeKinds := h.kinds(h.d.TreeMix, UseTree, "")
	treeOrder := treeKinds.spread(len(trees))
	k, tr := 0, 0
	for i := range plants {
		p := &plants[i]
		p.Listed = h.l.Feature.IsPlanned()
		if tr < len(trees) && trees[tr] == i {
			treeKinds.name(p, treeOrder[tr])
			tr++
			continue
		}
		m.name(p, order[k])
		k++
	}
	h.l.Plants = plants
	return len(plants)
}

// fillGaps fills the gaps of an existing hedge, numbering on. The count is over the whole opening, as the standards have it; the
// plants stand in the part of it that is clear of living ends and gateways.
func (h *hedger) fillGaps(next int) {
	if h.l.Feature.Status != planner.Existing {
		return
	}
	openings := h.l.Line.Openings
	for i := range openings {
		o := &openings[i]
		if o.Action != Fill && o.Action != NewHedge {
			continue
		}
		per, mix, stock := h.fillPer, h.fillMix, h.d.Stock
		if len(mix) == 0 && h.fillOf != h.d && (o.FromM < 0 || o.ToM > h.t.length) && !h.t.closed {
			per, mix, stock = firstPositive(h.fillOf.FillPerM, h.lim.fillPerMetre()), h.fillOf.FillMix, h.fillOf.Stock
		}
		o.Would = max(1, hedgeCount(o.Length(), per))
		if o.Action == NewHedge || len(mix) == 0 || h.l.Feature.Wrong("fill_mix", "fill_per_metre") {
			continue
		}
		stem := h.lim.stemClear() * float64(h.rows) / per
		from, to := o.FromM+h.clear(openings, o.FromM, stem), o.ToM-h.clear(openings, o.ToM, stem)
		if to <= from {
			o.Action, o.Would = LeaveOpen, 0 // no room beside the gateways
			continue
		}
		o.Plants = o.Would
		m := h.kinds(mix, UseFill, stock)
		order := m.order(o.Plants)
		for k := range o.Plants {
			p := h.stand(from, to, k, o.Plants, next)
			p.Listed = true
			m.name(&p, order[k])
			h.l.Plants = append(h.l.Plants, p)
			next++
		}
	}
}

// clear is how far a fill keeps from the end of a gap at that chainage: a gateway's clearance where a gateway begins or ends
// there, else half an in-row spacing from the living stem.
func (h *hedger) clear(openings []Opening, at, stem float64) float64 {
	for _, o := range openings {
		if o.Gateway == "" {
			continue
		}
		for _, edge := range []float64{o.FromM, o.ToM} {
			d := math.Abs(edge - at)
			if d < 1e-6 || h.t.closed && math.Abs(d-h.t.length) < 1e-6 {
				return h.lim.gateClear()
			}
		}
	}
	return stem
}

// finish orders the plants by row and writes the rows as they are pegged out.
func (h *hedger) finish() {
	if len(h.l.Plants) == 0 {
		return
	}
	path := h.l.Line.Path
	count := make([]int, h.rows)
	for i := range h.l.Plants {
		count[h.l.Plants[i].Row]++
	}
	byRow := make([]Plant, 0, len(h.l.Plants)) // they come by number
	for r := range h.rows {
		for i := range h.l.Plants {
			if h.l.Plants[i].Row == r {
				byRow = append(byRow, h.l.Plants[i])
			}
		}
	}
	h.l.Plants = byRow
	for r := range h.rows {
		row := RowLine{Row: r, OffsetM: h.offset(r), SpacingM: float64(h.rows) / h.per, Plants: count[r]}
		row.Path, row.Trimmed = geo.Parallel(path, row.OffsetM)
		h.l.Rows = append(h.l.Rows, row)
	}
}

func firstPositive(vs ...float64) float64 {
	for _, v := range vs {
		if v > 0 {
			return v
		}
	}
	return 0
}
