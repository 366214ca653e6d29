package setout

import (
	"math"

	"quickthorn/planner"
	"quickthorn/planner/rules"
)

// limits are the figures that setting out reads from the rule set.
type limits struct {
	set *rules.Set
}

// figure is a limit's value, or 0 where the rule set does not know it.
func (l *limits) figure(rule, limit string) float64 {
	v, ok := l.set.Get(rule, limit)
	if !ok || v.IsText() {
		return 0
	}
	return v.Value
}

func (l *limits) perMetre() float64     { return l.figure("hedge.density", "per_metre") }
func (l *limits) rowGap() float64       { return l.figure("hedge.layout", "row_gap_m") }
func (l *limits) fillPerMetre() float64 { return l.figure("hedge.fill", "fill_per_metre") }

// stemClear is how far a fill keeps from a living stool, in in-row spacings.
func (l *limits) stemClear() float64 { return l.figure("hedge.fill", "stem_clear_spacings") }

// gateClear is how far planting keeps from a gateway, in metres.
func (l *limits) gateClear() float64 {
	if v, ok := l.set.Get("hedge.fill", "gateway_clear_m"); ok {
		return v.Value
	}
	return gateClearM
}

// splits tells whether an opening is so long that the rule set counts two hedges. A length within the tolerance of the limit
// counts as exactly on it, so that coordinates rounded by another editor decide nothing.
func (l *limits) splits(length float64) bool {
	v, ok := l.set.Get("hedge.split", "gap_m")
	return ok && !v.Holds(onLimit(length, v.Value))
}

// splitReach is the greatest distance at which two hedges can still be one.
func (l *limits) splitReach() float64 { return l.figure("hedge.split", "gap_m") + planner.Tolerance }

// closesByLaying tells whether an opening is so short that the neighbours laid across close it.
func (l *limits) closesByLaying(length float64) bool {
	v, ok := l.set.Get("hedge.fill", "close_by_laying_below_m")
	return ok && v.Holds(onLimit(length, v.Value))
}

// partnerReach is how far pollen is carried, in metres.
func (l *limits) partnerReach() float64 { return l.figure("orchard.pollination", "partner_within_m") }

func onLimit(v, limit float64) float64 {
	if math.Abs(v-limit) <= planner.Tolerance {
		return limit
	}
	return v
}
