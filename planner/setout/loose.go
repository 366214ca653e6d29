package setout

import (
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// LooseGaps are the gaps of the plan that open nothing, in the order of the plan: further than 3 m from every standing hedge, or
// drawn across it instead of along it. A gap that is remarked upon elsewhere, for want of its width or because of
// what is written in it, is left out. Cost: gaps times openings.
func LooseGaps(p *planner.Plan, r *Result) []*planner.Feature {
	var standing []*Layout
	for _, l := range r.Layouts {
		if l.Feature.Kind == planner.KindHedge && !l.Feature.IsPlanned() {
			standing = append(standing, l)
		}
	}
	var out []*planner.Feature
	for _, f := range p.Of(planner.KindGap) {
		if f.Sound && !f.Shape.Empty() && !f.Wrong("width_m") && !opened(f, standing) {
			out = append(out, f)
		}
	}
	return out
}

// opened tells whether a gap is an opening of one of the hedges, or part of one, or remarked upon.
func opened(gap *planner.Feature, standing []*Layout) bool {
	_, at, ok := drawnAt(gap)
	if !ok {
		return true
	}
	const reach = reachM + planner.Tolerance
	for _, l := range standing {
		for _, m := range l.Remarks {
			if m.Place == gap.ID {
				return true
			}
		}
		if l.Line == nil { // nothing of it is known
			if toLines(at, l.Feature.Shape.Lines) <= reach {
				return true
			}
			continue
		}
		for _, o := range l.Line.Openings {
			if d, _ := geo.DistToSegment(at, o.A, o.B); o.Drawn == gap.ID || d <= reach {
				return true
			}
		}
	}
	return false
}

func toLines(at orb.Point, lines []orb.LineString) float64 {
	least := math.Inf(1)
	for _, l := range lines {
		for i := 1; i < len(l); i++ {
			d, _ := geo.DistToSegment(at, l[i-1], l[i])
			least = min(least, d)
		}
	}
	return least
}
