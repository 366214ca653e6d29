package check

import (
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/lists"
	"quickthorn/planner/setout"
)

// A hedge is one hedge that could be set out, with what was measured of it.
type hedge struct {
	feature *planner.Feature
	detail  *planner.Hedge
	layout  *setout.Layout
	line    *setout.Line
	chain   geo.Chain // along line.Path
}

// hedgerow is what the rules about hedges share.
type hedgerow struct {
	list   []hedge           // by id; those that were not set out are left to input.property and input.geometry
	segs   *geo.Segments     // of every hedge, tagged with the place in list
	fences []lists.FenceSide // sides of new and cut hedges that lie open to grazing
}

func (s *Shared) addHedges(in Input) {
	h := &s.hedgerow
	var segs []geo.Segment
	for _, f := range in.Plan.Of(planner.KindHedge) {
		d, ok := f.Detail.(*planner.Hedge)
		l := in.Out.Of(f.ID)
		if !ok || l == nil || l.Failed != "" || l.Line == nil || len(l.Line.Path) < 2 {
			continue
		}
		for _, part := range f.Shape.Lines {
			segs = append(segs, geo.LineSegments(part, len(h.list))...)
		}
		h.list = append(h.list, hedge{feature: f, detail: d, layout: l, line: l.Line, chain: geo.NewChain(l.Line.Path)})
	}
	h.segs = geo.NewSegments(segs)
	if len(h.list) > 0 {
		h.fences = lists.Fences(in.Plan, in.Site, in.Out, in.Set)
	}
}

// middle is a point half way along the hedge.
func (h *hedge) middle() orb.Point { return h.chain.At(h.chain.Length() / 2) }

// rows is the number of rows, at least one.
func (h *hedge) rows() int { return max(1, h.line.Rows) }

// finding starts a finding about the hedge that points to its middle.
func (h *hedge) finding(severity planner.Severity) planner.Finding {
	return At(planner.Finding{Severity: severity, Features: []string{h.feature.ID}}, h.middle())
}

// stretches are where the hedge grows or will be planted, by chainage: the planted runs of a new one, all but the gateways and
// the openings that split it of one that stands. Gaps count, since a fence runs past them.
func (h *hedge) stretches() [][2]float64 {
	var out [][2]float64
	if h.feature.IsPlanned() && len(h.line.Runs) > 0 {
		for _, r := range h.line.Runs {
			out = append(out, [2]float64{r.FromM, r.ToM})
		}
		return out
	}
	at, end := 0.0, h.chain.Length()
	for _, o := range h.line.Openings {
		if o.Action != setout.LeaveOpen && o.Action != setout.NewHedge {
			continue
		}
		if from := math.Min(o.FromM, end); from > at {
			out = append(out, [2]float64{at, from})
		}
		at = math.Max(at, o.ToM)
	}
	if at < end {
		out = append(out, [2]float64{at, end})
	}
	return out
}

// wrapped brings a chainage of a run that passes the start of a closed hedge back onto the line.
func (h *hedge) wrapped(s float64) float64 {
	if l := h.chain.Length(); s > l && l > 0 && h.line.Closed {
		return math.Mod(s, l)
	}
	return s
}

// samples calls f at chainages along the stretches, evenly, at most step apart but no more than most of them in all.
func (h *hedge) samples(step float64, most int, f func(s float64)) {
	total := 0.0
	list := h.stretches()
	for _, r := range list {
		total += r[1] - r[0]
	}
	step = math.Max(step, total/float64(most))
	for _, r := range list {
		n := max(1, int(math.Ceil((r[1]-r[0])/step)))
		for i := range n {
			f(h.wrapped(r[0] + (r[1]-r[0])*(float64(i)+0.5)/float64(n)))
		}
	}
}

// besides reports whether another hedge is drawn along the whole of an opening, so that it is closed by that one.
func (r *hedgerow) besides(h *hedge, o setout.Opening) bool {
	const beside = 1.5 // metres: as wide as a hedge is planted for
	mid := orb.Point{(o.A[0] + o.B[0]) / 2, (o.A[1] + o.B[1]) / 2}
	near := func(p orb.Point) map[int]bool {
		out := map[int]bool{}
		r.segs.Within(p, beside, func(i int, _ float64) bool {
			out[r.segs.At(i).Tag] = true
			return true
		})
		return out
	}
	a, b := near(o.A), near(o.B)
	for k := range near(mid) {
		if a[k] && b[k] && r.list[k].feature != h.feature {
			return true
		}
	}
	return false
}

// grazers are the parcels beside a hedge in which stock that eats hedges grazes, by id, with that stock. Poultry do not eat them.
func (p *Pass) grazers(h *hedge, reach float64) (parcels []*planner.Feature, stock []string) {
	seen := map[string]bool{}
	animals := map[string]bool{}
	h.samples(2, 400, func(s float64) {
		for _, g := range p.Site.Grazed(h.chain.At(s), reach) {
			if seen[g.Parcel.ID] {
				continue
			}
			seen[g.Parcel.ID] = true
			for _, a := range g.Stock {
				if a != "poultry" {
					animals[a] = true
				}
			}
			if len(g.Stock) > 1 || g.Stock[0] != "poultry" {
				parcels = append(parcels, g.Parcel)
			}
		}
	})
	for _, a := range planner.GrazingStock {
		if animals[a] {
			stock = append(stock, a)
		}
	}
	return parcels, stock
}
