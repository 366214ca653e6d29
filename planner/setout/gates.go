package setout

import (
	"math"
	"slices"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// Figures of the vocabulary: how near a gateway or gap lies to the line that it belongs to, and how far planting keeps clear
// of a gateway.
const (
	reachM     = 3.0
	gateClearM = 0.5
)

// A gate is a gateway or a gap as drawn.
type gate struct {
	id    string
	line  orb.LineString // of one drawn as a line
	at    orb.Point      // its middle
	width float64        // 0 for a line without a width: what is drawn counts
}

// drawnAt is where a gate or gap lies: its line, nil for a point, and its middle.
func drawnAt(f *planner.Feature) (line orb.LineString, at orb.Point, ok bool) {
	switch {
	case len(f.Shape.Lines) > 0 && len(f.Shape.Lines[0]) > 1:
		c := geo.NewChain(f.Shape.Lines[0])
		return f.Shape.Lines[0], c.At(c.Length() / 2), true
	case len(f.Shape.Points) > 0:
		return nil, f.Shape.Points[0], true
	}
	return nil, orb.Point{}, false
}

// gatesOf lists the usable features of a kind as gates, by id, and those drawn as a point without a width.
func gatesOf(p *planner.Plan, kind planner.Kind) (out, vague []gate) {
	for _, f := range p.Of(kind) {
		if f.Wrong("width_m") {
			continue
		}
		g := gate{id: f.ID}
		switch d := f.Detail.(type) {
		case *planner.Gateway:
			g.width = d.WidthM
		case *planner.Gap:
			g.width = d.WidthM
		default:
			continue
		}
		var ok bool
		if g.line, g.at, ok = drawnAt(f); !ok {
			continue
		}
		if len(g.line) > 0 && !f.Stated("width_m") {
			g.width = 0
		}
		if len(g.line) == 0 && g.width <= 0 {
			vague = append(vague, g)
			continue
		}
		out = append(out, g)
	}
	return out, vague
}

// dist is how far the gate lies from a line.
func (g *gate) dist(c geo.Chain) float64 {
	_, _, d := c.Project(g.at)
	for _, p := range g.line {
		_, _, e := c.Project(p)
		d = math.Min(d, e)
	}
	return d
}

// across is the stretch of the line that the gate opens, by chainage of the chain, and may reach beyond its ends. A gate that
// is drawn as a line and lies more along its own way than along this one is not across it.
func (g *gate) across(c geo.Chain, closed bool) (span, bool) {
	if c.Length() <= 0 {
		return span{}, false
	}
	if len(g.line) == 0 {
		m := alongOf(c, g.at, closed)
		return span{m - g.width/2, m + g.width/2, g.id}, true
	}
	a, b := alongOf(c, g.line[0], closed), alongOf(c, g.line[len(g.line)-1], closed)
	drawn := geo.Dist(g.line[0], g.line[len(g.line)-1])
	if math.Abs(b-a) < drawn/2 {
		return span{}, false
	}
	if g.width > 0 {
		m := alongOf(c, g.at, closed)
		return span{m - g.width/2, m + g.width/2, g.id}, true
	}
	return span{math.Min(a, b), math.Max(a, b), g.id}, true
}

// alongOf is the chainage of the point of the line nearest to p, carried on straight beyond the ends: below 0 before the start.
// A closed line has no ends.
func alongOf(c geo.Chain, p orb.Point, closed bool) float64 {
	s, offset, d := c.Project(p)
	if closed {
		return s
	}
	beyond := math.Sqrt(math.Max(0, d*d-offset*offset))
	switch {
	case beyond < 1e-9:
		return s
	case s <= 0:
		return -beyond
	case s >= c.Length():
		return s + beyond
	}
	return s
}

// opensIn lists the stretches that gates open in a traced line, by chainage from its drawn start, in order. On a closed line a
// stretch that passes the start runs on beyond the length.
func opensIn(t *trace, gates []gate, bound orb.Bound) []span {
	var out []span
	near := bound.Pad(reachM + planner.Tolerance)
	chain := t.chain
	if t.closed {
		chain = geo.NewChain(t.path())
	}
	for i := range gates {
		g := &gates[i]
		if !near.Contains(g.at) && !(len(g.line) > 0 && near.Intersects(g.line.Bound())) {
			continue
		}
		if g.dist(chain) > reachM+planner.Tolerance {
			continue
		}
		s, ok := g.across(chain, t.closed)
		if !ok {
			continue
		}
		if t.closed {
			s = wrap(s, t.length)
		} else {
			s.from, s.to = s.from-t.zero, s.to-t.zero
		}
		out = append(out, s)
	}
	sortSpans(out)
	return out
}

// wrap puts a stretch of a closed line where it starts within 0 to length. Where its ends were found on either side of the
// start, so that it seems to take more than half of the line, it is the other part that is meant.
func wrap(s span, length float64) span {
	if s.length() > length/2 {
		s.from, s.to = s.to, s.from+length
	}
	if s.from < 0 {
		s.from, s.to = s.from+length, s.to+length
	}
	if s.from >= length {
		s.from, s.to = s.from-length, s.to-length
	}
	return s
}

func sortSpans(s []span) {
	slices.SortStableFunc(s, func(a, b span) int {
		switch {
		case a.from != b.from && a.from < b.from:
			return -1
		case a.from != b.from:
			return 1
		case a.to < b.to:
			return -1
		case a.to > b.to:
			return 1
		}
		return 0
	})
}
