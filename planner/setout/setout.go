package setout

import (
	"context"
	"runtime"
	"sync"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/species"
)

// All sets out every planting of the plan, planned and existing, by feature id. Features are worked out side by side on the
// cores; the result does not depend on it. The only error is that ctx ended.
func All(ctx context.Context, p *planner.Plan, cat *species.Catalogue, set *rules.Set) (*Result, error) {
	m := newMaker(p, cat, set)
	var todo []*planner.Feature
	for _, f := range p.Features {
		if grows(f.Kind) {
			todo = append(todo, f)
		}
	}
	res := &Result{Layouts: make([]*Layout, len(todo)), byID: make(map[string]*Layout, len(todo))}
	next := make(chan int)
	var wg sync.WaitGroup
	for range min(len(todo), runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			for i := range next {
				res.Layouts[i] = m.layout(todo[i])
			}
		})
	}
	var err error
	for i := range todo {
		if err = ctx.Err(); err != nil {
			break
		}
		next <- i
	}
	close(next)
	wg.Wait()
	if err != nil {
		return nil, err
	}
	for _, l := range res.Layouts {
		if _, taken := res.byID[l.Feature.ID]; !taken {
			res.byID[l.Feature.ID] = l
		}
	}
	sharePercent(res)
	return res, nil
}

// One sets out a single feature of the plan: the same layout that All makes of it. It is nil for a feature that is not there
// or that does not grow.
func One(ctx context.Context, p *planner.Plan, cat *species.Catalogue, set *rules.Set, id string) (*Layout, error) {
	f := p.Feature(id)
	if f == nil || !grows(f.Kind) {
		return nil, ctx.Err()
	}
	m := newMaker(p, cat, set)
	l := m.layout(f)
	res := &Result{Layouts: []*Layout{l}, byID: map[string]*Layout{id: l}}
	if l.Line != nil {
		// The share of gaps is over all hedges that face one another.
		for queue := l.Line.Continues; len(queue) > 0; queue = queue[1:] {
			if res.byID[queue[0]] != nil {
				continue
			}
			o := m.layout(p.Feature(queue[0]))
			res.Layouts, res.byID[queue[0]] = append(res.Layouts, o), o
			if o.Line != nil {
				queue = append(queue, o.Line.Continues...)
			}
		}
	}
	sharePercent(res)
	return l, ctx.Err()
}

func grows(k planner.Kind) bool {
	switch k {
	case planner.KindHedge, planner.KindWindbreak, planner.KindOrchard, planner.KindGrove, planner.KindRow, planner.KindPlant:
		return true
	}
	return false
}

// A maker sets out the features of one plan. Once it is made it is only read, but for the names it has looked up.
type maker struct {
	plan   *planner.Plan
	cat    *species.Catalogue
	lim    limits
	gates  []gate
	gaps   map[string][]gate // gap features by the existing hedge they belong to
	vague  map[string][]gate // of them those drawn as a point without a width: how wide they are is not known
	joins  joins
	hedges []*planner.Feature // existing ones
	over   map[string]bool    // features with which the plan would be over full
	known  sync.Map           // species by the name that the plan uses, nil for unknown
}

func newMaker(p *planner.Plan, cat *species.Catalogue, set *rules.Set) *maker {
	m := &maker{plan: p, cat: cat, lim: limits{set}}
	m.gates, _ = gatesOf(p, planner.KindGateway)
	for _, f := range p.Of(planner.KindHedge) {
		if f.Status == planner.Existing && len(f.Shape.Lines) > 0 {
			m.hedges = append(m.hedges, f)
		}
	}
	m.joins = facing(m.hedges, &m.lim)
	gaps, vague := gatesOf(m.plan, planner.KindGap)
	m.gaps, m.vague = m.byHedge(gaps), m.byHedge(vague)
	m.over = m.overFull()
	return m
}

// byHedge gives each gap feature to the nearest existing hedge within reach, the lower id where two are as near.
func (m *maker) byHedge(gaps []gate) map[string][]gate {
	if len(gaps) == 0 {
		return nil
	}
	chains := make([]geo.Chain, len(m.hedges))
	bounds := make([]orb.Bound, len(m.hedges))
	for i, f := range m.hedges {
		t := newTrace(f.Shape.Lines)
		chains[i] = geo.NewChain(t.path())
		bounds[i] = f.Shape.Bound().Pad(reachM + planner.Tolerance)
	}
	out := map[string][]gate{}
	for _, g := range gaps {
		best, id := reachM+planner.Tolerance, ""
		for i, f := range m.hedges {
			if !bounds[i].Contains(g.at) && !(len(g.line) > 0 && bounds[i].Intersects(g.line.Bound())) {
				continue
			}
			_, _, d := chains[i].Project(g.at)
			if id == "" && d <= best || d < best-1e-6 {
				best, id = d, f.ID
			}
		}
		if id != "" {
			out[id] = append(out[id], g)
		}
	}
	return out
}

// layout sets out one feature.
func (m *maker) layout(f *planner.Feature) *Layout {
	l := &Layout{Feature: f}
	if !f.Sound || f.Shape.Empty() {
		l.Failed = "it is not drawn, or what is drawn cannot be used."
		return l
	}
	switch d := f.Detail.(type) {
	case *planner.Hedge:
		m.hedge(l, d)
	case *planner.Windbreak:
		m.windbreak(l, d)
	case *planner.Row:
		m.row(l, d)
	case *planner.Block:
		m.block(l, d)
	case *planner.Plant:
		m.plant(l, d)
	default:
		l.Failed = "its properties cannot be read."
	}
	return l
}

// fail says why nothing is set out. It is true where one of the properties was given in a form that cannot be used.
func (l *Layout) fail(properties ...string) bool {
	for _, p := range properties {
		if l.Feature.Wrong(p) {
			l.Failed = "its " + p + " cannot be used as it stands."
			return true
		}
	}
	return false
}

// cannot says why nothing is set out for want of something in the plan, and remarks upon it: a stop for what is to be planted, a
// note for what stands there already and is only left out of crowns and shade.
func (l *Layout) cannot(place, why, mend string) {
	l.Failed, l.Mend = why, mend
	r := Remark{Rule: "input.property", Severity: planner.Stop, Place: place,
		Message: l.Feature.Label() + " is not set out: " + why + " " + mend}
	if !l.Feature.IsPlanned() {
		r.Severity = planner.Note
	}
	r.At, _ = l.Feature.Shape.First()
	l.Remarks = append(l.Remarks, r)
}

// noSpacing is the case of a spacing that neither the plan nor the catalogue gives.
func (l *Layout) noSpacing(place, what string) {
	l.cannot(place, what+" states no spacing_m and the catalogue has none for what grows in it.", "State its spacing_m, in metres.")
}

// sharePercent works out the share of gaps in the length of every line: over all hedges together that face one another.
func sharePercent(res *Result) {
	seen := map[string]bool{}
	for _, l := range res.Layouts {
		if l.Line == nil || seen[l.Feature.ID] {
			continue
		}
		group := []*Layout{l}
		seen[l.Feature.ID] = true
		for i := 0; i < len(group); i++ {
			for _, id := range group[i].Line.Continues {
				if o := res.byID[id]; o != nil && o.Line != nil && !seen[id] {
					seen[id] = true
					group = append(group, o)
				}
			}
		}
		var gap, length float64
		for _, o := range group {
			gap, length = gap+o.Line.GapM, length+o.Line.LengthM
		}
		for _, o := range group {
			if length > 0 {
				o.Line.GapPercent = 100 * gap / length
			}
		}
	}
}
