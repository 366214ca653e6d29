package check

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/lists"
	"quickthorn/planner/rules"
)

func hedgeFence() *Rule {
	return &Rule{
		ID:    "hedge.fence",
		Title: "a new or cut hedge is fenced from stock",
		Why: "Stock eats a young hedge, and the regrowth of a cut one, faster than it grows. Each side where stock grazes up to the hedge wants a " +
			"stockproof fence at the rule set's distance from the hedge's middle, which leaves it room to widen: England 1.2 m, Scotland 1 m. A fence or " +
			"wall within 5 m counts. A hedge counts as cut when it was laid or coppiced within the years of protection before the planting winter.",
		Severity: planner.Warn,
		Limits:   []string{"fence_least_m", "protect_years"},
		Cautions: []string{"Before you drive posts, find out where cables, pipes and drains lie: ask the operators."},
		Run:      runHedgeFence,
	}
}

func runHedgeFence(p *Pass) {
	at := map[*planner.Feature]*hedge{}
	for i := range p.Shared.hedgerow.list {
		at[p.Shared.hedgerow.list[i].feature] = &p.Shared.hedgerow.list[i]
	}
	for _, side := range p.Shared.hedgerow.fences {
		if h := at[side.Feature]; h != nil {
			p.unfenced(h, side)
		}
	}
	l, known := p.Limit("fence_least_m")
	if !known {
		return // the distance of the finding then says where it is from
	}
	years := 0.0
	if y, ok := p.Limit("protect_years"); ok {
		years = y.Value
	}
	fences := newFences(p.Plan)
	for i := range p.Shared.hedgerow.list {
		h := &p.Shared.hedgerow.list[i]
		if fresh, cut := lists.NeedsFence(h.layout, p.Plan.Holding.PlantingWinter, years); fresh || cut {
			p.fencesTooNear(h, fences, l)
		}
	}
}

// unfenced reports a side that lies open to grazing.
func (p *Pass) unfenced(h *hedge, side lists.FenceSide) {
	what := "new"
	if side.Cut {
		what = "cut"
	}
	f := At(planner.Finding{Severity: planner.Warn, Features: []string{h.feature.ID, side.Parcel.ID}, Place: sideWord(side.Left), Unit: "m", Worse: "more",
		Measured: planner.Figure(side.LengthM), Limit: planner.Figure(0), Source: side.Source}, side.At)
	stock := []string{}
	for _, a := range side.Parcel.Detail.(*planner.Parcel).GrazedBy {
		if a != "poultry" {
			stock = append(stock, a)
		}
	}
	f.Message = fmt.Sprintf("The %s hedge %s lies open to '%s', grazed by %s: %s on its %s side, from %.1f m on, without a stockproof fence. Fence it %s or more from the hedge's middle, and keep stock off until it is stockproof.",
		what, quoted(h.feature), side.Parcel.Label(), listWords(stock, "and"), metres(side.LengthM), compassPoint(side.FacesDeg), side.FromM, metres(side.DistanceM))
	f.Fix = p.fenceFix(h, side)
	p.Report(f)
}

func sideWord(left bool) string {
	if left {
		return "left"
	}
	return "right"
}

// compassPoint names a bearing by one of eight points.
func compassPoint(deg float64) string {
	points := strings.Fields("north north-east east south-east south south-west west north-west")
	return points[int(math.Round(geo.NormBearing(deg)/45))%8]
}

// fenceFix draws a fence along each stretch of that side in the parcel, parallel to the hedge at the rule set's distance, and half
// a metre past its ends.
func (p *Pass) fenceFix(h *hedge, side lists.FenceSide) *planner.Fix {
	d := side.DistanceM
	if !side.Left {
		d = -d
	}
	var put []json.RawMessage
	for _, r := range h.stretches() {
		for _, part := range p.inParcel(h, r, d, side.Parcel) {
			line, _ := geo.Parallel(h.chain.Sub(part[0], part[1]), d)
			if len(line) < 2 {
				return nil
			}
			id := p.freeID(fmt.Sprintf("%s-fence-%s-%d", h.feature.ID, sideWord(side.Left), len(put)+1))
			one, err := p.Plan.NewFeature(id, planner.KindFence, planner.Shape{Lines: []orb.LineString{longer(line, 0.5)}},
				map[string]any{"status": "planned", "stockproof": true, "name": fmt.Sprintf("fence beside %s", h.feature.Label())})
			if err != nil {
				return nil
			}
			put = append(put, one)
		}
	}
	if len(put) == 0 {
		return nil
	}
	return &planner.Fix{Say: fmt.Sprintf("Fence the %s side of %s, %s from its middle", compassPoint(side.FacesDeg), quoted(h.feature), metres(side.DistanceM)), Put: put, Delete: []string{}}
}

// inParcel are the parts of a stretch whose side, d from the middle, lies in the parcel.
func (p *Pass) inParcel(h *hedge, r [2]float64, d float64, parcel *planner.Feature) [][2]float64 {
	if h.line.Closed && r[1] > h.chain.Length() {
		return nil // a stretch that passes the start of a closed hedge is not one line
	}
	n := max(1, int(math.Ceil((r[1]-r[0])/0.25)))
	var out [][2]float64
	open := false
	for i := 0; i <= n; i++ {
		s := r[0] + (r[1]-r[0])*float64(i)/float64(n)
		in := p.Site.ParcelAt(h.chain.Offset(s, d)) == parcel
		switch {
		case in && !open:
			out = append(out, [2]float64{math.Max(r[0], s-0.25), s})
		case in:
			out[len(out)-1][1] = s
		case open:
			out[len(out)-1][1] = math.Min(r[1], s)
		}
		open = in
	}
	return out
}

// longer draws a line on straight by the same length at both ends.
func longer(line orb.LineString, by float64) orb.LineString {
	out := append(orb.LineString(nil), line...)
	n := len(out)
	out[0] = drawnOn(line[1], line[0], by)
	out[n-1] = drawnOn(line[n-2], line[n-1], by)
	return out
}

func drawnOn(a, b orb.Point, by float64) orb.Point {
	u := geo.Direction(geo.BearingDeg(a, b))
	return orb.Point{b[0] + by*u[0], b[1] + by*u[1]}
}

// fences are the stockproof fences of a plan. Walls stand where they stand and are not held to a distance.
type fences struct {
	list []*planner.Feature
	segs *geo.Segments
}

func newFences(plan *planner.Plan) *fences {
	w := &fences{}
	var segs []geo.Segment
	for _, f := range plan.Of(planner.KindFence) {
		d, ok := f.Detail.(*planner.Fence)
		if !ok || !d.Stockproof {
			continue
		}
		for _, line := range f.Shape.Lines {
			segs = append(segs, geo.LineSegments(line, len(w.list))...)
		}
		w.list = append(w.list, f)
	}
	w.segs = geo.NewSegments(segs)
	return w
}

// fencesTooNear reports the fences on a grazed side that stand nearer to the hedge's middle than the limit, each once.
func (p *Pass) fencesTooNear(h *hedge, w *fences, l rules.Limit) {
	if w.segs.Len() == 0 {
		return
	}
	type near struct{ dist, at float64 }
	found := map[int]near{}
	h.samples(1, 2000, func(s float64) {
		mid := h.chain.At(s)
		for _, d := range []float64{l.Value, -l.Value} {
			side := h.chain.Offset(s, d)
			field := p.Site.ParcelAt(side)
			if field == nil || !grazedByEaters(field) {
				continue
			}
			w.segs.Crossing(mid, side, func(i int) {
				g := w.segs.At(i)
				t, ok := crossAt(mid, side, g.A, g.B)
				if across := geo.AngleBetweenDeg(geo.BearingDeg(g.A, g.B), h.chain.BearingAtDeg(s)); !ok || across > 45 && across < 135 {
					return // a fence that comes up to the hedge from the field is not beside it
				}
				dist := t * l.Value
				if was, seen := found[g.Tag]; !seen || dist < was.dist-1e-6 {
					found[g.Tag] = near{dist, s}
				}
			})
		}
	})
	for k, f := range w.list {
		n, ok := found[k]
		if !ok || holds(l, n.dist) {
			continue
		}
		out := At(planner.Finding{Severity: planner.Warn, Features: []string{h.feature.ID, f.ID}, Place: "near", Measured: planner.Figure(n.dist),
			Limit: planner.Figure(l.Value), Unit: "m", Worse: "less", Source: l.Source}, h.chain.At(n.at))
		out.Message = fmt.Sprintf("The fence %s stands %s from the middle of the hedge %s at %.1f m, where it takes %s. Stock reaches over it, and the hedge grows into it: set one of the two further out.",
			quoted(f), metresBeside(toMillimetres(n.dist), l.Value), quoted(h.feature), n.at, limitNeeded(l))
		p.Report(out)
	}
}

func grazedByEaters(parcel *planner.Feature) bool {
	d, ok := parcel.Detail.(*planner.Parcel)
	if !ok {
		return false
	}
	for _, a := range d.GrazedBy {
		if a != "poultry" {
			return true
		}
	}
	return false
}
