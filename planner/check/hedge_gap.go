package check

import (
	"fmt"
	"math"
	"strconv"

	"github.com/paulmach/orb"

	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
)

func hedgeGap() *Rule {
	return &Rule{
		ID:    "hedge.gap",
		Title: "a hedge has no long gap",
		Why: "A gap lets stock and wind through, and creatures that keep to cover do not cross it. The survey handbook calls a hedge favourable with no gap " +
			"over 5 m; the English payment scheme lets 20 m pass. Gaps of hedges that stand there are looked at, also between two hedges that face " +
			"each other; a gateway is exempt where the rule set says so; a gap that the plan fills, or that another hedge is drawn across, is mended.",
		Severity: planner.Warn,
		Limits:   []string{"gap_greatest_m", "gateway_exempt", "hedge.split/gap_m", "hedge.fill/fill_per_metre"},
		Run:      runHedgeGap,
	}
}

func runHedgeGap(p *Pass) {
	l, known := p.Limit("gap_greatest_m")
	exempt, told := p.Limit("gateway_exempt")
	gates := told && exempt.Text == "no"
	p.remarks(planner.Source{Text: "the parts of the hedge as drawn", Confidence: planner.Derived})
	for i := range p.Shared.hedgerow.list {
		h := &p.Shared.hedgerow.list[i]
		if h.feature.Status != planner.Existing || len(h.line.Openings) == 0 {
			continue
		}
		if !known {
			p.notLookedAt(h, l, "The greatest gap")
			continue
		}
		for _, o := range h.line.Openings {
			if o.Gateway != "" && !gates || o.Plants > 0 || holds(l, o.Length()) || p.Shared.hedgerow.besides(h, o) {
				continue
			}
			p.reportGap(h, o, l)
		}
	}
}

func (p *Pass) reportGap(h *hedge, o setout.Opening, l rules.Limit) {
	f := At(planner.Finding{Severity: planner.Warn, Features: []string{h.feature.ID}, Place: PlaceAt(o.FromM), Measured: planner.Figure(o.Length()),
		Limit: planner.Figure(l.Value), Unit: "m", Worse: "more", Source: l.Source}, midway(o))
	if other := p.Plan.Feature(o.Drawn); other != nil {
		f.Features = append(f.Features, other.ID)
	}
	where := fmt.Sprintf("from %.1f m to %.1f m", o.FromM, o.ToM)
	switch o.Action {
	case setout.NewHedge:
		split, _ := p.Limit("hedge.split/gap_m")
		f.Message = fmt.Sprintf("%s has an opening of %s %s. One hedge has gaps of %s, so these count as two. Closing it would take %s: draw a new hedge across it.",
			quotedAtStart(h.feature), metresBeside(toMillimetres(o.Length()), split.Value), where, split, countOf(o.Would, "plant"))
		f.Fix = p.hedgeAcross(h, o)
	case setout.Fill:
		f.Message = fmt.Sprintf("%s has a gap of %s %s; in a sound hedge none is longer than %s. Filling it would take %s. Give the hedge a fill_mix, and find out first why the gap is there.",
			quotedAtStart(h.feature), metresBeside(toMillimetres(o.Length()), l.Value), where, metres(l.Value), countOf(o.Would, "plant"))
		f.Fix = p.fillFix(h, o)
	case setout.CloseByLaying:
		f.Message = fmt.Sprintf("%s has a gap of %s %s; none may be longer than %s. Lay a neighbour across it.", quotedAtStart(h.feature), metresBeside(toMillimetres(o.Length()), l.Value), where, metres(l.Value))
	default:
		what := "an opening"
		if g := p.Plan.Feature(o.Gateway); g != nil {
			what = "the gateway " + quoted(g)
		}
		f.Message = fmt.Sprintf("%s has %s, %s wide, %s; none may be wider than %s. It is left open.", quotedAtStart(h.feature), what, metresBeside(toMillimetres(o.Length()), l.Value), where, metres(l.Value))
	}
	p.Report(f)
}

// toMillimetres rounds a length as drawn, so that 20.0000001 m is told as 20 m.
func toMillimetres(v float64) float64 { return math.Round(v*1000) / 1000 }

func midway(o setout.Opening) orb.Point {
	return orb.Point{(o.A[0] + o.B[0]) / 2, (o.A[1] + o.B[1]) / 2}
}

// fillFix gives the hedge something to fill its gaps with: its own mix where that is known, else one for the ground in the gap.
func (p *Pass) fillFix(h *hedge, o setout.Opening) *planner.Fix {
	if len(h.detail.FillMix) > 0 || h.feature.Wrong("fill_mix", "fill_per_metre") {
		return nil
	}
	mix, from := p.mixToFill(h, o)
	return p.edit(h.feature, fmt.Sprintf("Fill the gaps of %s with %s: %s", quoted(h.feature), from, mixText(mix)), map[string]any{"fill_mix": mix})
}

// mixToFill is what an opening is filled with, and what to call it.
func (p *Pass) mixToFill(h *hedge, o setout.Opening) ([]planner.Share, string) {
	known := len(h.detail.Mix) > 0 && !h.feature.Wrong("mix", "species")
	for _, s := range h.detail.Mix {
		known = known && p.Catalogue.Find(s.Species).Species != nil
	}
	if known {
		return h.detail.Mix, "the hedge's own mix"
	}
	u := p.Site.At(midway(o))
	m := mixFor(u, Moisture(u, h.detail.RaisedM), p.Set.Name())
	return m.mix, "a working mix for " + m.name + " (derived from what the species bear; no percentages are published)"
}

// hedgeAcross is a new hedge along an opening that splits a hedge.
func (p *Pass) hedgeAcross(h *hedge, o setout.Opening) *planner.Fix {
	line := h.chain.Sub(o.FromM, o.ToM)
	if len(line) < 2 {
		return nil
	}
	mix, from := p.mixToFill(h, o)
	put, err := p.Plan.NewFeature(p.freeID(h.feature.ID+"-across-"+PlaceAt(o.FromM)), planner.KindHedge, planner.Shape{Lines: []orb.LineString{line}},
		map[string]any{"status": "planned", "mix": mix, "rows": h.rows()})
	if err != nil {
		return nil
	}
	return &planner.Fix{Say: fmt.Sprintf("Draw a new hedge across it, of %s: %s", from, mixText(mix)), Put: rawList(put), Delete: []string{}}
}

// freeID is an id that no feature of the plan has: the one wanted, else with -2, -3 ...
func (p *Pass) freeID(want string) string {
	id := want
	for n := 2; p.Plan.Feature(id) != nil; n++ {
		id = want + "-" + strconv.Itoa(n)
	}
	return id
}
