package check

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
)

func setbackBoundary() *Rule {
	return &Rule{
		ID: "setback.boundary", Title: "Lines on and beside the boundary", Severity: planner.Warn,
		Why: "A hedge on the boundary is half the neighbour's unless a deed says otherwise, so agree whose it is before you plant. A hedge just inside it can only be cut from its own side if " +
			"there is room. A line of evergreens kept above the height in law can be complained of where it harms a dwelling. The boundary is every edge of a field with none of your fields on its other side. " +
			"Planned hedges, windbreaks and rows are looked at where they run along it; neither British nor Irish law has a planting distance for single trees.",
		Limits:   []string{"beyond_half_width_least_m", "clear_of_line_least_m", "high_hedge_greatest_m", "high_hedge_below_plants", "high_hedge_of"},
		Cautions: []string{"Not legal advice: check the deeds and ask the neighbour; for high hedges ask the council, and a solicitor where you cannot agree."},
		Run: func(p *Pass) {
			b := &bounds{Pass: p, edges: p.Shared.Obstacles(planner.KindParcel)}
			for _, l := range p.Out.Layouts {
				if l.Line != nil && l.Feature.IsPlanned() && len(l.Line.Path) > 1 && l.Line.LengthM > 0 {
					b.line(l)
				}
			}
		},
	}
}

// bounds holds lines against the boundary of the holding.
type bounds struct {
	*Pass
	edges *Obstacles
}

// beyond is how far across an edge the next field of the holding is looked for, in metres (ours: fields are drawn with a
// lane or a ditch between them, or none).
const beyond = 1.0

// along is how a line runs beside the boundary.
type along struct {
	onM       float64 // length that stands on it
	onAt      float64 // chainage where that begins
	tightM    float64 // length that leaves too little room
	tightAt   float64
	nearest   float64 // least distance of the tight part
	need      float64
	at        orb.Point
	tightSpot orb.Point
}

// line looks at places a metre apart along one line.
func (b *bounds) line(l *setout.Layout) {
	on, ok := b.Limit("clear_of_line_least_m")
	if !ok {
		return
	}
	room, roomKnown := b.Limit("beyond_half_width_least_m")
	half := b.halfWidth(l)
	need := on.Value
	if roomKnown && half > 0 {
		need = math.Max(need, half+room.Value)
	}
	c := geo.NewChain(l.Line.Path)
	n := min(max(1, int(math.Ceil(c.Length()))), mostSamples)
	step := c.Length() / float64(n)
	a := along{nearest: math.Inf(1), need: need}
	for i := range n {
		s := (float64(i) + 0.5) * step
		d, place, beside := b.outer(c.At(s), c.BearingAtDeg(s), need+planner.Tolerance)
		if !beside {
			continue
		}
		switch {
		case !holds(on, d):
			if a.onM == 0 {
				a.onAt, a.at = s-step/2, place
			}
			a.onM += step
		case roomKnown && half > 0 && need-d > planner.Tolerance:
			if a.tightM == 0 {
				a.tightAt = s - step/2
			}
			if d < a.nearest {
				a.nearest, a.tightSpot = d, c.At(s)
			}
			a.tightM += step
		}
	}
	b.say(l, a, on, room)
	b.high(l, a)
}

// halfWidth is half the width that a line takes up when grown; 0 where it is not known.
func (b *bounds) halfWidth(l *setout.Layout) float64 {
	if d, ok := l.Feature.Detail.(*planner.Hedge); ok {
		if l.Feature.Wrong("width_m") {
			return 0
		}
		return d.WidthM / 2
	}
	widest := 0.0
	for i := range l.Plants {
		if x := &l.Plants[i]; x.Row == 0 && (i == 0 || x.Species != l.Plants[i-1].Species) {
			if w := b.Shared.grownSpread(b.Catalogue, x); w.Known {
				widest = math.Max(widest, w.V/2)
			}
		}
	}
	return widest
}

// outer is the distance to the nearest outer edge that runs within 45 degrees of the line, at most reach away.
func (b *bounds) outer(p orb.Point, bearing, reach float64) (d float64, at orb.Point, ok bool) {
	d = math.Inf(1)
	b.edges.segs.Within(p, reach, func(i int, near float64) bool {
		s := b.edges.segs.At(i)
		turn := geo.AngleBetweenDeg(geo.BearingDeg(s.A, s.B), bearing)
		if turn > 90 {
			turn = 180 - turn
		}
		if near >= d || turn > 45 {
			return true
		}
		q := nearestOn(s, p)
		if b.inner(s, q) {
			return true
		}
		d, at, ok = near, q, true
		return true
	})
	return d, at, ok
}

// inner reports whether the holding lies on both sides of an edge.
func (b *bounds) inner(s geo.Segment, q orb.Point) bool {
	u := geo.Direction(geo.BearingDeg(s.A, s.B) + 90)
	for _, side := range []float64{-beyond, beyond} {
		if b.Site.ParcelAt(orb.Point{q[0] + side*u[0], q[1] + side*u[1]}) == nil {
			return false
		}
	}
	return true
}

func (b *bounds) say(l *setout.Layout, a along, on, room rules.Limit) {
	if a.onM > 0 {
		stretch := fmt.Sprintf("for %.0f m of its %.0f m, from %.1f m on", a.onM, l.Line.LengthM, math.Abs(a.onAt))
		if a.onM >= l.Line.LengthM-1 {
			stretch = fmt.Sprintf("with all its %.1f m", l.Line.LengthM)
		}
		b.Report(At(planner.Finding{Severity: planner.Note, Features: []string{l.Feature.ID}, Place: "on the line", Measured: planner.Figure(a.onM), Limit: planner.Figure(0), Unit: "m",
			Source: on.Source, Message: fmt.Sprintf("%s stands on the boundary %s. Agree with the neighbour whose it is and who cuts it, in writing; or set its middle back by half of its grown width and %s.",
				quoted(l.Feature), stretch, exactly(room.Value))}, a.at))
	}
	if a.tightM > 0 {
		b.Report(At(planner.Finding{Severity: planner.Warn, Features: []string{l.Feature.ID}, Place: "room", Measured: planner.Figure(a.nearest), Limit: planner.Figure(a.need), Unit: "m",
			Worse: "less", Source: room.Source, Message: fmt.Sprintf("%s runs beside the boundary for %.0f m, from %.1f m on, the nearest %s from it. To be cut from its own side it needs %s: half of its grown width of %s and %s. Set it back, or agree with the neighbour.",
				quoted(l.Feature), a.tightM, math.Abs(a.tightAt), metresBeside(a.nearest, a.need), exactly(a.need), exactly(2*(a.need-room.Value)), exactly(room.Value))}, a.tightSpot))
	}
}

// high notes a line of plants beside the boundary that falls under the law on high hedges.
func (b *bounds) high(l *setout.Layout, a along) {
	if a.onM+a.tightM == 0 {
		return
	}
	tall, ok := b.Limit("high_hedge_greatest_m")
	few, _ := b.Limit("high_hedge_below_plants")
	of, _ := b.Limit("high_hedge_of")
	height := lineHeight(l, b.Shared, b.Pass)
	if !ok || tall.Holds(height) {
		return
	}
	n := 0
	for i := range l.Plants {
		if of.Text == "any" || b.evergreen(&l.Plants[i]) {
			n++
		}
	}
	if n == 0 || few.Known() && few.Holds(float64(n)) {
		return
	}
	what := "evergreens"
	if of.Text == "any" {
		what = "trees or shrubs"
	}
	b.Report(At(planner.Finding{Severity: planner.Note, Features: []string{l.Feature.ID}, Place: "high hedge", Measured: planner.Figure(height), Limit: planner.Figure(tall.Value), Unit: "m", Count: n,
		Source: tall.Source, Message: fmt.Sprintf("%s holds %d %s by the boundary and will stand %s high. A line of two or more above %s that harms a dwelling or its garden can be complained of, and the council can order it cut. Keep it at %s where a neighbour lives near.",
			quoted(l.Feature), n, what, metres(height), exactly(tall.Value), exactly(tall.Value))}, pickPoint(a)))
}

func pickPoint(a along) orb.Point {
	if a.onM > 0 {
		return a.at
	}
	return a.tightSpot
}

// lineHeight is the height at which a line is kept or, where it is not kept at any, to which it grows.
func lineHeight(l *setout.Layout, s *Shared, p *Pass) float64 {
	if d, ok := l.Feature.Detail.(*planner.Hedge); ok && d.HeightM > 0 && !l.Feature.Wrong("height_m") {
		return d.HeightM
	}
	tallest := 0.0
	for i := range l.Plants {
		if x := &l.Plants[i]; i == 0 || x.Species != l.Plants[i-1].Species {
			if h := s.grownHeight(p.Catalogue, x); h.Known {
				tallest = math.Max(tallest, h.V)
			}
		}
	}
	return tallest
}

func (b *bounds) evergreen(x *setout.Plant) bool {
	for _, sp := range b.Shared.May(x) {
		if sp.Evergreen.Yes() {
			return true
		}
	}
	return false
}
