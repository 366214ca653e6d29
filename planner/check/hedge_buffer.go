package check

import (
	"fmt"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/rules"
)

func hedgeBuffer() *Rule {
	return &Rule{
		ID:    "hedge.buffer",
		Title: "a strip beside a hedge is left uncultivated",
		Why: "Ploughs and sprays at the foot of a hedge kill its roots and its flowers. English and Scottish law keeps green cover within 2 m of the hedge's " +
			"middle, with no cultivation, fertiliser or pesticide; in England hedges under 5 years old and fields of 2 ha or less are exempt. What is " +
			"looked at are beds, the only ground that a plan calls cultivated. Where no law was read the survey handbook's undisturbed strip serves.",
		Severity: planner.Note,
		Limits:   []string{"buffer_m", "exempt_under_years", "exempt_field_ha", "undisturbed_least_m", "herb_strip_least_m"},
		Cautions: []string{"Not legal advice: check with the body that pays or polices farm rules where you are (in England the Rural Payments Agency)."},
		Run:      runHedgeBuffer,
	}
}

// a strip beside one hedge, as far as one bed comes into it.
type bufferHit struct {
	bed  *planner.Feature
	dist float64
	at   float64
	spot orb.Point
}

func runHedgeBuffer(p *Pass) {
	beds := p.Shared.Obstacles(planner.KindBed)
	if len(beds.List) == 0 {
		return
	}
	l, law := p.Limit("buffer_m")
	if !law {
		handbook, ok := p.Limit("undisturbed_least_m")
		if !ok {
			if len(p.Shared.hedgerow.list) > 0 {
				p.notLookedAt(&p.Shared.hedgerow.list[0], l, "The strip beside hedges")
			}
			return
		}
		handbook.Note = l.Note
		l = handbook
	}
	for i := range p.Shared.hedgerow.list {
		h := &p.Shared.hedgerow.list[i]
		if law && p.young(h) {
			continue
		}
		for _, hit := range h.bedsWithin(beds, l.Value) {
			if holds(l, hit.dist) || law && p.smallField(hit.spot) {
				continue
			}
			p.reportBuffer(h, hit, l, law)
		}
	}
}

// bedsWithin are the beds nearer to the hedge's middle than reach, each with its nearest place, by id.
func (h *hedge) bedsWithin(beds *Obstacles, reach float64) []bufferHit {
	found := map[int]bufferHit{}
	h.samples(0.5, 40_000, func(s float64) {
		beds.Near(h.chain.At(s), reach+0.25, func(k int, n Nearness) {
			dist, at := n.DistM, s
			if !n.Inside {
				at, _, dist = h.chain.Project(n.At)
			}
			if was, ok := found[k]; !ok || dist < was.dist-1e-6 {
				found[k] = bufferHit{beds.List[k], dist, at, n.At}
			}
		})
	})
	var out []bufferHit
	for k := range beds.List {
		if hit, ok := found[k]; ok {
			out = append(out, hit)
		}
	}
	return out
}

// young reports a hedge that is still exempt: planned, or planted less than so many years before the planting winter.
func (p *Pass) young(h *hedge) bool {
	l, known := p.Limit("exempt_under_years")
	if !known {
		return false
	}
	if h.feature.IsPlanned() {
		return l.Holds(float64(p.Year))
	}
	winter := p.Plan.Holding.PlantingWinter
	return winter > 0 && h.feature.Planted > 0 && l.Holds(float64(winter-h.feature.Planted+p.Year))
}

// smallField reports that the parcel round a place is so small that it is exempt.
func (p *Pass) smallField(at orb.Point) bool {
	l, known := p.Limit("exempt_field_ha")
	f := p.Site.ParcelAt(at)
	return known && f != nil && l.Holds(geo.MultiArea(f.Shape.Polygons)/10_000)
}

func (p *Pass) reportBuffer(h *hedge, hit bufferHit, l rules.Limit, law bool) {
	f := At(planner.Finding{Severity: planner.Note, Features: []string{h.feature.ID, hit.bed.ID}, Place: PlaceAt(hit.at), Measured: planner.Figure(hit.dist),
		Limit: planner.Figure(l.Value), Unit: "m", Worse: "less", Source: l.Source}, hit.spot)
	where := fmt.Sprintf("The bed %s comes within %s of the middle of %s, at %.1f m.", quoted(hit.bed), metresBeside(toMillimetres(hit.dist), l.Value), quoted(h.feature), hit.at)
	if hit.dist < planner.Tolerance {
		where = fmt.Sprintf("The bed %s reaches under %s, at %.1f m.", quoted(hit.bed), quoted(h.feature), hit.at)
	}
	if law {
		f.Message = fmt.Sprintf("%s The law asks for green cover within %s, with no cultivation, fertiliser or pesticide. Draw the bed back to there.", where, metres(l.Value))
	} else {
		herbs := ""
		if strip, ok := p.Limit("herb_strip_least_m"); ok {
			herbs = fmt.Sprintf(", %s of it under lasting herbs", metres(strip.Value))
		}
		f.Message = fmt.Sprintf("%s No legal strip is known under the rule set %s, so the survey handbook was asked: it wants %s undisturbed%s. Draw the bed back to there.%s",
			where, p.Set.Name(), metres(l.Value), herbs, noteText(l))
	}
	p.Report(f)
}
