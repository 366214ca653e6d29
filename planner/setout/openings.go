package setout

import (
	"math"

	"quickthorn/planner"
)

// cutLine is a line cut by its openings: what is open, and what stands between.
type cutLine struct {
	openings []Opening // in order
	runs     []span    // stretches of planting, clear of gateways
}

// cutting holds what decides about the openings of one line.
type cutting struct {
	gateClear float64
	// action says what is done about a gap of that length.
	action func(length float64) Action
}

// cut divides a line. Gateways open it; what is left of a break or gap beside a gateway is a gap of its own. A run ends
// gateClear short of a gateway. All chainages are from the drawn start; openings before it are below 0.
//
//	living      gap       gateway    rest   living
//	========o . . . . . o|       |o . . . o==========
func (c *cutting) cut(t *trace, gaps, gates []span) cutLine {
	gaps = c.merge(t, gaps)
	gates = separate(gates)
	snap(gates, gaps)
	var out cutLine
	lo, hi := -t.lead, t.length+t.tail
	for _, g := range gates {
		// Of a gateway that reaches past the end, what lies within the line counts.
		from, to := g.from, g.to
		if !t.closed {
			from, to = math.Max(lo, from), math.Min(hi, to)
		}
		if to-from > planner.Tolerance {
			out.openings = append(out.openings, Opening{FromM: from, ToM: to, Action: LeaveOpen, Gateway: g.id})
		}
	}
	for _, g := range gaps {
		for _, r := range without(g, gates, t) {
			if r.length() > planner.Tolerance {
				out.openings = append(out.openings, Opening{FromM: r.from, ToM: r.to, Action: c.action(r.length()), Drawn: r.id})
			}
		}
	}
	sortOpenings(out.openings)
	for i := range out.openings {
		o := &out.openings[i]
		if math.Abs(o.FromM) < 1e-9 {
			o.FromM = 0 // never a negative zero
		}
		o.A, o.B = t.at(o.FromM), t.at(o.ToM)
	}
	out.runs = c.runs(t, gaps, gates)
	return out
}

// merge joins gaps that touch or overlap, within the tolerance; the first keeps its name.
func (c *cutting) merge(t *trace, gaps []span) []span {
	sorted := append([]span(nil), gaps...)
	sortSpans(sorted)
	var out []span
	for _, g := range sorted {
		if !t.closed {
			g.from, g.to = math.Max(-t.lead, g.from), math.Min(t.length+t.tail, g.to)
		}
		if g.length() <= planner.Tolerance {
			continue
		}
		if n := len(out); n > 0 && g.from <= out[n-1].to+planner.Tolerance {
			out[n-1].to = math.Max(out[n-1].to, g.to)
			continue
		}
		out = append(out, g)
	}
	return out
}

// separate cuts gateways that overlap so that none counts twice: the earlier keeps its width.
func separate(gates []span) []span {
	var out []span
	for _, g := range gates {
		if n := len(out); n > 0 && g.from < out[n-1].to {
			g.from = out[n-1].to
		}
		if g.length() > 1e-9 {
			out = append(out, g)
		}
	}
	return out
}

// snap takes the end of a gap for the end of a gateway where the two differ by no more than the tolerance, so that no sliver
// is left between them.
func snap(gates, gaps []span) {
	for i := range gates {
		for _, g := range gaps {
			if math.Abs(gates[i].from-g.from) <= planner.Tolerance {
				gates[i].from = g.from
			}
			if math.Abs(gates[i].to-g.to) <= planner.Tolerance {
				gates[i].to = g.to
			}
		}
	}
}

// without is what is left of a gap when the gateways are taken out of it.
func without(g span, gates []span, t *trace) []span {
	left := []span{g}
	take := func(s span) {
		var next []span
		for _, l := range left {
			if s.to <= l.from || s.from >= l.to {
				next = append(next, l)
				continue
			}
			if s.from > l.from {
				next = append(next, span{l.from, s.from, l.id})
			}
			if s.to < l.to {
				next = append(next, span{s.to, l.to, l.id})
			}
		}
		left = next
	}
	for _, s := range gates {
		take(s)
		if t.closed { // a stretch that passes the start of a closed line shows at both of its ends
			take(span{s.from + t.length, s.to + t.length, s.id})
			take(span{s.from - t.length, s.to - t.length, s.id})
		}
	}
	return left
}

// runs are the stretches of planting: all that is neither gap nor within gateClear of a gateway. A line that nothing cuts is
// one run. Of a line that something cuts, stretches no longer than the tolerance are none.
func (c *cutting) runs(t *trace, gaps, gates []span) []span {
	blocked := append([]span(nil), gaps...)
	for _, g := range gates {
		blocked = append(blocked, span{g.from - c.gateClear, g.to + c.gateClear, g.id})
	}
	if t.closed {
		return closedRuns(t, blocked)
	}
	sortSpans(blocked)
	var out []span
	at := 0.0
	cut := false
	for _, b := range blocked {
		if b.to <= 0 || b.from >= t.length {
			continue
		}
		cut = true
		if b.from-at > planner.Tolerance {
			out = append(out, span{from: at, to: b.from})
		}
		at = math.Max(at, b.to)
	}
	if !cut {
		return []span{{from: 0, to: t.length}}
	}
	if t.length-at > planner.Tolerance {
		out = append(out, span{from: at, to: t.length})
	}
	return out
}

// closedRuns walks once round a closed line from the end of one opening, so that the place where the ring was begun cuts
// nothing. Runs that pass it have chainages beyond the length.
func closedRuns(t *trace, blocked []span) []span {
	if len(blocked) == 0 {
		return []span{{from: 0, to: t.length}}
	}
	for i := range blocked {
		turn := math.Floor(blocked[i].from/t.length) * t.length
		blocked[i].from, blocked[i].to = blocked[i].from-turn, blocked[i].to-turn
	}
	sortSpans(blocked)
	// Begin where the first stretch ends, and go past all that overlap it, also from beyond the start of the ring.
	start := blocked[0].to
	for grown := true; grown; {
		grown = false
		for _, b := range blocked {
			for _, s := range []span{b, {from: b.from - t.length, to: b.to - t.length}} {
				if s.from <= start && s.to > start {
					start, grown = s.to, true
				}
			}
		}
		if start >= blocked[0].from+t.length {
			return nil // nothing stands
		}
	}
	end := blocked[0].from + t.length
	var out []span
	at := start
	for _, b := range blocked {
		if b.to <= at {
			continue
		}
		if b.from-at > planner.Tolerance {
			out = append(out, span{from: at, to: b.from})
		}
		at = b.to
	}
	if end-at > planner.Tolerance {
		out = append(out, span{from: at, to: end})
	}
	for i := range out {
		if out[i].from >= t.length {
			out[i].from, out[i].to = out[i].from-t.length, out[i].to-t.length
		}
	}
	sortSpans(out)
	return out
}

func sortOpenings(list []Opening) {
	for i := 1; i < len(list); i++ {
		for k := i; k > 0 && list[k].FromM < list[k-1].FromM; k-- {
			list[k], list[k-1] = list[k-1], list[k]
		}
	}
}
