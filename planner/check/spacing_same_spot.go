package check

import (
	"fmt"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
)

func sameSpot() *Rule {
	return &Rule{
		ID: "spacing.same-spot", Title: "No two plants on one spot", Severity: planner.Stop,
		Why: "Two plants nearer than a hand's breadth are one place drawn twice: one is ordered for nothing. Plants of one hedge are let be, since dense " +
			"hedges are meant, and so are two hedges beside an end where one meets the other. Looked at is every pair of which at least one is still to be planted.",
		Limits: []string{"apart_least_m", "shared_end_m"},
		Run: func(p *Pass) {
			apart, ok := p.Limit("apart_least_m")
			if !ok || len(p.Shared.At) == 0 {
				return
			}
			ends, _ := p.Limit("shared_end_m")
			s := &spotter{Pass: p, apart: apart, ends: ends.Value, grid: geo.NewPoints(p.Shared.At, 0)}
			s.look()
			for _, t := range s.found.list {
				p.Report(s.finding(t))
			}
		},
	}
}

// mostLooks bounds the work where a broken file puts thousands of plants on one spot: a hundred thousand plants that are not
// crowded take a few hundred thousand looks.
const mostLooks = 20_000_000

// A spotter looks for plants on one spot.
type spotter struct {
	*Pass
	apart rules.Limit
	ends  float64
	grid  *geo.Points
	found tallies
	looks int
}

func (s *spotter) look() {
	for i, a := range s.Shared.Plants {
		s.grid.Within(s.Shared.At[i], s.apart.Value, func(j int, d float64) bool {
			s.looks++
			if j <= i || s.apart.Holds(d) || s.letBe(a, s.Shared.Plants[j]) {
				return s.looks <= mostLooks
			}
			b := s.Shared.Plants[j]
			t, worst := s.found.add(a, b.Feature, "", s.apart.Value-d)
			if worst {
				t.dist, t.need, t.limit, t.data = d, s.apart.Value, s.apart, b
			}
			return s.looks <= mostLooks
		})
		if s.looks > mostLooks {
			s.Report(planner.Finding{Severity: planner.Stop, Place: "more", Source: s.apart.Source,
				Message: "So many plants stand on one spot that the rest were not looked at. Take out what is drawn twice, and check again."})
			return
		}
	}
}

// letBe reports whether a pair is none of this rule's business.
func (s *spotter) letBe(a, b *setout.Plant) bool {
	if !a.Listed && !b.Listed {
		return true
	}
	if a.Feature.Kind != planner.KindHedge || b.Feature.Kind != planner.KindHedge {
		return false
	}
	return a.Feature == b.Feature || s.meet(a, b) || s.meet(b, a)
}

// meet reports whether both plants stand beside an end of a's hedge that lies on b's hedge.
func (s *spotter) meet(a, b *setout.Plant) bool {
	la, lb := s.Out.Of(a.Feature.ID), s.Out.Of(b.Feature.ID)
	if la == nil || lb == nil || la.Line == nil || lb.Line == nil || len(la.Line.Path) == 0 {
		return false
	}
	path := la.Line.Path
	for _, end := range []orb.Point{path[0], path[len(path)-1]} {
		if geo.Dist(end, a.At) <= s.ends && geo.Dist(end, b.At) <= s.ends && distToLine(lb.Line.Path, end) <= s.ends {
			return true
		}
	}
	return false
}

func (s *spotter) finding(t *tally) planner.Finding {
	b := t.data.(*setout.Plant)
	f := t.finding(planner.Stop)
	if t.other == t.feature {
		f.Features = f.Features[:1]
	}
	near := fmt.Sprintf("%s apart", metresBeside(t.dist, t.need))
	switch {
	case t.feature.Kind == planner.KindPlant && t.other.Kind == planner.KindPlant:
		f.Message = fmt.Sprintf("%s and %s stand on one spot, %s; nearer than %s counts as one place. Leave one of them out, or move it.",
			quoted(t.feature), quoted(t.other), near, exactly(t.need))
	case t.other == t.feature:
		f.Message = fmt.Sprintf("In %s %s stand on one spot, the nearest two %s %s; nearer than %s counts as one place. Look whether the line runs over itself, or set a wider spacing.",
			quoted(t.feature), countOf(t.count, "pair")+" of plants", near, whereIs(t.plant), exactly(t.need))
	default:
		f.Message = fmt.Sprintf("%s of %s and %s stand on one spot, the nearest two %s %s; nearer than %s counts as one place. Move one of the two, or leave those plants out.",
			countOf(t.count, "pair")+" of plants", quoted(t.feature), quoted(t.other), near, whereIs(t.plant), exactly(t.need))
	}
	f.Fix = leaveOut(t, b)
	return f
}

// leaveOut is the fix for one plant drawn twice: two single plants of one species, both still to be planted. The later id goes.
func leaveOut(t *tally, b *setout.Plant) *planner.Fix {
	if t.feature.Kind != planner.KindPlant || t.other.Kind != planner.KindPlant || t.plant.Species == nil || t.plant.Species != b.Species ||
		t.plant.Cultivar != b.Cultivar || !b.Listed {
		return nil
	}
	return &planner.Fix{Say: "Leave out " + quoted(t.other), Delete: []string{t.other.ID}}
}
