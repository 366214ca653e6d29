package check

import (
	"fmt"
	"math"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

func orchardMargin() *Rule {
	return &Rule{
		ID:    "orchard.margin",
		Title: "an orchard leaves room to work",
		Why: "A tree whose crown grows into the hedge or the fence cannot be pruned or picked on that side, and an alley that closes cannot be mown. These are " +
			"working figures of growers (common practice), so the rule only notes. Trees to be planted are looked at, with the usual spread of the " +
			"rootstock, else of the species, and the hedges, fences and walls of the plan; a hedge's own width is taken off. An orchard of standards " +
			"is also held against the density under which it counts as a traditional orchard.",
		Severity: planner.Note,
		Limits: []string{"beyond_half_spread_least_m", "bush_least_m", "standard_least_m", "headland_least_m", "alley_hand_least_m", "alley_compact_least_m",
			"alley_tractor_least_m", "traditional_greatest_per_ha"},
		Run: runOrchardMargin,
	}
}

// edgeLines are the lines that an orchard's crowns must keep clear of.
type edgeLines struct {
	list []*planner.Feature
	segs *geo.Segments
	half []float64 // of a hedge's width
}

func runOrchardMargin(p *Pass) {
	edges := &edgeLines{}
	var segs []geo.Segment
	widest := 0.0
	for _, f := range p.Plan.Of(planner.KindHedge, planner.KindFence, planner.KindWall) {
		half := 0.0
		if d, ok := f.Detail.(*planner.Hedge); ok && !f.Wrong("width_m") {
			half = d.WidthM / 2
		}
		for _, line := range f.Shape.Lines {
			segs = append(segs, geo.LineSegments(line, len(edges.list))...)
		}
		edges.list, edges.half = append(edges.list, f), append(edges.half, half)
		widest = math.Max(widest, half)
	}
	edges.segs = geo.NewSegments(segs)
	sizes := perSort(p.Shared, func(x *setout.Plant) room {
		l, need, ok := p.roomOf(x)
		return room{l, need, ok, p.Shared.grownSpread(p.Catalogue, x)}
	})
	for _, sp := range p.Shared.spans {
		if _, ok := sp.feature.Detail.(*planner.Block); !ok || sp.feature.Kind != planner.KindOrchard || !sp.feature.IsPlanned() {
			continue
		}
		p.clearOfEdges(sp, edges, widest, sizes)
		p.alleys(sp, sizes)
		p.traditional(sp)
	}
}

// room is what a tree of one sort takes up.
type room struct {
	limit  rules.Limit
	need   float64 // to a hedge or fence
	known  bool    // false: nobody knows how much it needs
	spread species.Num
}

// roomOf is how much room a tree needs to a hedge or fence, and the limits that say so; false where its spread is not known.
func (p *Pass) roomOf(x *setout.Plant) (rules.Limit, float64, bool) {
	spread := p.Shared.grownSpread(p.Catalogue, x)
	past, ok := p.Limit("beyond_half_spread_least_m")
	if !ok || !spread.Known {
		return past, 0, false
	}
	need := spread.V/2 + past.Value
	out := past
	out.Source = weaker(past.Source, spread.Source)
	name := ""
	switch formOf(x.Form) {
	case "bush":
		name = "bush_least_m"
	case "standard":
		name = "standard_least_m"
	}
	if name != "" {
		if l, ok := p.Limit(name); ok && l.Value > need {
			return l, l.Value, true
		}
	}
	out.Value = need
	return out, need, true
}

// edgeNear is a line near a tree, by its place among the edges, and how far off its side is.
type edgeNear struct {
	tag  int
	dist float64
}

// clearOfEdges holds every tree of an orchard against the hedges, fences and walls near it: one finding for each of these.
func (p *Pass) clearOfEdges(sp span, edges *edgeLines, widest float64, sizes []room) {
	var found tallies
	var unknown *setout.Plant
	var near []edgeNear
	for i := sp.lo; i < sp.hi; i++ {
		x := p.Shared.Plants[i]
		size := &sizes[p.Shared.sortOf[i]]
		l := size.limit
		l.Value = size.need
		if !size.known {
			if x.Species != nil && unknown == nil {
				unknown = x
			}
			continue
		}
		near = near[:0]
		edges.segs.Within(x.At, l.Value+widest, func(k int, d float64) bool {
			tag := edges.segs.At(k).Tag
			d = math.Max(0, d-edges.half[tag])
			for n := range near {
				if near[n].tag == tag {
					near[n].dist = math.Min(near[n].dist, d)
					return true
				}
			}
			near = append(near, edgeNear{tag, d})
			return true
		})
		for _, n := range near {
			if holds(l, n.dist) {
				continue
			}
			if t, worst := found.add(x, edges.list[n.tag], "", l.Value-n.dist); worst {
				t.limit, t.need, t.dist = l, l.Value, n.dist
			}
		}
	}
	for _, t := range found.list {
		f := t.finding(planner.Note)
		f.Place = "edge"
		f.Message = fmt.Sprintf("%s too near to the %s %s: %s, where a crown and a way past it take %s. Give the orchard a wider margin_m, or a weaker rootstock.",
			t.subject("stands", "stand"), t.other.Kind, quoted(t.other), t.worstOf(), metres(t.need))
		f.Fix = p.marginFix(sp.feature, t)
		p.Report(f)
	}
	if unknown != nil {
		p.Report(At(planner.Finding{Severity: planner.Note, Features: []string{sp.feature.ID}, Place: "unknown", Source: planner.Source{Text: "not known", Confidence: planner.Derived},
			Message: fmt.Sprintf("How wide %s grows is not known, so the room round it in %s was not looked at.", plantName(unknown), quoted(sp.feature))}, unknown.At))
	}
}

// marginFix widens the margin by what is missing at the worst tree, where trees are given by shares: a stated number of trees
// might then no longer fit.
func (p *Pass) marginFix(f *planner.Feature, t *tally) *planner.Fix {
	d, l := f.Detail.(*planner.Block), p.Out.Of(f.ID)
	if counted(d.Trees) || l == nil {
		return nil
	}
	// Any tree may come as near to the edge of the ground as the margin, so what counts is how near that edge comes.
	edge := math.Inf(1)
	region := geo.NewRegion(f.Shape.Polygons)
	half := 0.0
	if h, ok := t.other.Detail.(*planner.Hedge); ok {
		half = h.WidthM / 2
	}
	for _, line := range t.other.Shape.Lines {
		chain := geo.NewChain(line)
		for _, in := range region.LineInside(chain) {
			if region.DistToEdge(chain.At((in.From+in.To)/2)) > planner.Tolerance {
				return nil // the line runs through the orchard
			}
		}
		for _, s := range geo.LineSegments(line, 0) {
			edge = math.Min(edge, nearestEdge(region, s))
		}
	}
	margin := math.Ceil((t.need+half-edge+planner.Tolerance)*10) / 10
	if margin <= l.MarginM || margin > 50 || math.IsInf(edge, 1) {
		return nil
	}
	if lo := f.Shape.Bound(); math.Min(lo.Max[0]-lo.Min[0], lo.Max[1]-lo.Min[1]) < 2*margin+0.1 {
		return nil // nothing would be left of it
	}
	return p.edit(f, fmt.Sprintf("Widen the margin of %s to %s", quoted(f), metres(margin)), map[string]any{"margin_m": margin})
}

// nearestEdge is the distance from a line's segment to a region's edge.
func nearestEdge(r *geo.Region, s geo.Segment) float64 {
	best := math.Min(r.DistToEdge(s.A), r.DistToEdge(s.B))
	for i := range r.Edges().Len() {
		e := r.Edges().At(i)
		d, _ := geo.DistToSegment(e.A, s.A, s.B)
		best = math.Min(best, d)
	}
	return best
}

// alleys looks at the clear width between the rows when the crowns have grown.
func (p *Pass) alleys(sp span, sizes []room) {
	l := p.Out.Of(sp.feature.ID)
	if l == nil || l.RowSpaceM <= 0 || len(l.Rows) < 2 && l.Holds < 2 {
		return
	}
	spread, of := 0.0, sp.lo
	src := planner.Source{}
	for i := sp.lo; i < sp.hi; i++ {
		if w := sizes[p.Shared.sortOf[i]].spread; w.Known && w.V > spread {
			spread, of, src = w.V, i, w.Source
		}
	}
	between := l.RowSpaceM
	if l.Pattern == "triangle" {
		between *= math.Sqrt(3) / 2
	}
	clear := between - spread
	hand, ok := p.Limit("alley_hand_least_m")
	if spread == 0 || !ok || holds(hand, clear) {
		return
	}
	f := At(planner.Finding{Severity: planner.Note, Features: []string{sp.feature.ID}, Place: "alley", Measured: planner.Figure(clear), Limit: planner.Figure(hand.Value),
		Unit: "m", Worse: "less", Source: weaker(hand.Source, src)}, p.Shared.At[of])
	wide := ""
	if c, ok1 := p.Limit("alley_compact_least_m"); ok1 {
		wide = fmt.Sprintf(", %s for a compact tractor", metres(c.Value))
		if t, ok2 := p.Limit("alley_tractor_least_m"); ok2 {
			wide += fmt.Sprintf(", %s for a farm tractor", metres(t.Value))
		}
		if t, ok2 := p.Limit("headland_least_m"); ok2 {
			wide += fmt.Sprintf(", and %s at the row ends to turn one", metres(t.Value))
		}
	}
	left := fmt.Sprintf("%s clear between them", metres(clear))
	if clear <= 0 {
		left = "nothing clear between them"
	}
	f.Message = fmt.Sprintf("The rows of %s are %s apart, and %s grows %s wide: that leaves %s. To mow by hand takes %s%s. Set row_spacing_m wider, or leave every few rows a wide alley.",
		quoted(sp.feature), metres(between), plantName(p.Shared.Plants[of]), metres(spread), left, metres(hand.Value), wide)
	p.Report(f)
}

// traditional holds an orchard of standards against the density of a traditional orchard.
func (p *Pass) traditional(sp span) {
	limit, ok := p.Limit("traditional_greatest_per_ha")
	l := p.Out.Of(sp.feature.ID)
	if !ok || l == nil || l.SpacingM <= 0 || l.RowSpaceM <= 0 {
		return
	}
	for i := sp.lo; i < sp.hi; i++ {
		if formOf(p.Shared.Plants[i].Form) != "standard" {
			return
		}
	}
	perHa := density(l)
	if limit.Holds(perHa) {
		return
	}
	f := At(planner.Finding{Severity: planner.Note, Features: []string{sp.feature.ID}, Place: "traditional", Measured: planner.Figure(perHa),
		Limit: planner.Figure(limit.Value), Unit: limit.Unit, Worse: "more", Source: limit.Source}, p.Shared.At[sp.lo])
	f.Message = fmt.Sprintf("The standards of %s stand %s by %s apart, %.0f to the hectare. To count as a traditional orchard there must be %s: 8.2 m each way or more.",
		quoted(sp.feature), metres(l.SpacingM), metres(l.RowSpaceM), perHa, limit)
	p.Report(f)
}

// density is the number of trees to the hectare of an endless lattice.
func density(l *setout.Layout) float64 {
	n := 10_000 / (l.SpacingM * l.RowSpaceM)
	switch l.Pattern {
	case "quincunx":
		return 2 * n
	case "triangle":
		return n * 2 / math.Sqrt(3)
	}
	return n
}
