// Package lists makes the planting list of a plan that has been set out: what stands in which part of the holding, what is to
// be ordered, and the guards, stakes, mulch and fence that go with it, each with its reckoning. It writes the list as text,
// CSV, JSON and HTML. The same plan gives the same bytes, whatever the order of its features.
package lists

import (
	"fmt"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/prose"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
)

// AreaKinds are the kinds that plants are listed by.
var areaKinds = []planner.Kind{planner.KindBed, planner.KindOrchard, planner.KindGrove, planner.KindParcel}

// IsArea reports whether features of the kind are list areas.
func IsArea(k planner.Kind) bool {
	for _, a := range areaKinds {
		if a == k {
			return true
		}
	}
	return false
}

const (
	// forgiven is how far beyond an area's edge a line still counts as held by it, in metres.
	forgiven = 0.5
	// nearParcel is how far from a parcel a plant may stand and still count to it, in metres.
	nearParcel = 5.0
)

// A Remark is something about list areas that the reader of the plan should know.
type Remark struct {
	Feature *planner.Feature
	setout.Remark
}

// An Assignment says which list area every plant counts to. It is safe for concurrent reading.
type Assignment struct {
	whole   map[string]string // feature id to area id, where the whole feature counts to one area
	loose   map[plantKey]string
	Remarks []Remark // by feature
}

// plantKey is the identity of a plant, so that a copy of a plant is found as well.
type plantKey struct {
	feature     string
	row, number int
}

// Of is the id of the list area that a plant counts to, "" where it stands outside any.
func (a *Assignment) Of(p *setout.Plant) string {
	if id, ok := a.whole[p.Feature.ID]; ok {
		return id
	}
	return a.loose[plantKey{p.Feature.ID, p.Row, p.Number}]
}

// Whole is the one area that all of a feature's plants count to; false where they are counted one by one.
func (a *Assignment) Whole(feature string) (string, bool) {
	id, ok := a.whole[feature]
	return id, ok
}

// Assign finds the list area of every plant, existing ones too: the feature's own `area`; else the feature itself where it is
// an orchard or a grove; else, for a line, the one area that holds most of its length, 0.5 m beyond an edge forgiven (on a
// shared boundary the smaller area, then the lower id); else the smallest bed or parcel that holds the point; else the
// nearest parcel within 5 m; else none. A line of which more lies outside every area than in any one of them is counted plant
// by plant. Cost: proportional to plants that are counted one by one times areas whose box holds them.
func Assign(p *planner.Plan, s *site.Site, out *setout.Result) *Assignment {
	a := &Assignment{whole: map[string]string{}, loose: map[plantKey]string{}}
	g := newGround(s)
	for _, l := range out.Layouts {
		f := l.Feature
		if id, ok := stated(a, p, f); ok {
			a.whole[f.ID] = id
			continue
		}
		switch f.Kind {
		case planner.KindOrchard, planner.KindGrove:
			a.whole[f.ID] = f.ID
			continue
		case planner.KindHedge, planner.KindWindbreak, planner.KindRow:
			if id, ok := g.ofLine(paths(l)); ok {
				a.whole[f.ID] = id
				continue
			}
		}
		for i := range l.Plants {
			q := &l.Plants[i]
			a.loose[plantKey{f.ID, q.Row, q.Number}] = g.ofPoint(q.At)
		}
	}
	return a
}

// stated is the area that a feature names for itself, if that is one; a name that is none is remarked upon.
func stated(a *Assignment, p *planner.Plan, f *planner.Feature) (string, bool) {
	if f.Area == "" {
		return "", false
	}
	target := p.Feature(f.Area)
	if target != nil && IsArea(target.Kind) {
		return f.Area, true
	}
	why := "there is no feature with that id"
	if target != nil {
		why = fmt.Sprintf("%s is a %s, and plants are listed by bed, orchard, grove or parcel", called(target), tidy(string(target.Kind)))
	}
	at, _ := f.Shape.First()
	a.Remarks = append(a.Remarks, Remark{Feature: f, Remark: setout.Remark{
		Rule: "input.property", Severity: planner.Stop, At: at, Place: "area",
		Message: fmt.Sprintf("%s is to be listed under %s, but %s. Its plants are listed by where they stand. Give the id of a bed, orchard, grove or parcel in `area`, or take `area` out.",
			called(f), quoted(tidy(f.Area)), why),
	}})
	return "", false
}

// called is a feature's label, fit for a message.
func called(f *planner.Feature) string { return prose.Short(tidy(f.Label()), 80) }

// paths is the line of a layout, bridged over its gaps, or the lines as drawn where it was not measured.
func paths(l *setout.Layout) []orb.LineString {
	if l.Line != nil && len(l.Line.Path) > 1 {
		return []orb.LineString{l.Line.Path}
	}
	return l.Feature.Shape.Lines
}

// ground is the list areas of a site, ready to be asked.
type ground struct {
	all     []held // every list area, by id
	fields  []held // beds and parcels, by id
	parcels []held // parcels, by id
}

// held is one list area with what decides between several.
type held struct {
	site.Area
	slack float64 // areas that differ by no more count as equal: a strip of the tolerance round the boundary
}

func newGround(s *site.Site) *ground {
	g := &ground{}
	for _, k := range areaKinds {
		for _, a := range s.Areas(k) {
			h := held{Area: a, slack: planner.Tolerance * geo.MultiPerimeter(a.Shape)}
			g.all = append(g.all, h)
			switch k {
			case planner.KindParcel:
				g.parcels = append(g.parcels, h)
				g.fields = append(g.fields, h)
			case planner.KindBed:
				g.fields = append(g.fields, h)
			}
		}
	}
	return g
}

// smallest is the smaller of the areas, and of those that are as large, the lowest id. It does not depend on their order.
func smallest(of []*held) string {
	least := of[0]
	for _, h := range of[1:] {
		if h.AreaM2 < least.AreaM2 || h.AreaM2 == least.AreaM2 && h.Feature.ID < least.Feature.ID {
			least = h
		}
	}
	id := least.Feature.ID
	for _, h := range of {
		if h.AreaM2 <= least.AreaM2+least.slack && h.Feature.ID < id {
			id = h.Feature.ID
		}
	}
	return id
}

// ofPoint is the smallest bed or parcel that holds the point, its edge and the tolerance counted; else the nearest parcel
// within 5 m; else "".
func (g *ground) ofPoint(p orb.Point) string {
	var in []*held
	for i := range g.fields {
		h := &g.fields[i]
		if h.Region.Box().Pad(planner.Tolerance).Contains(p) && h.Region.ContainsBy(p, 0, planner.Tolerance) {
			in = append(in, h)
		}
	}
	if len(in) > 0 {
		return smallest(in)
	}
	return g.nearest(p)
}

// nearest is the parcel nearest to a point outside all of them, within 5 m; of several as near, the smallest; else "".
func (g *ground) nearest(p orb.Point) string {
	const reach = nearParcel + planner.Tolerance
	var in []*held
	var far []float64
	least := reach
	for i := range g.parcels {
		h := &g.parcels[i]
		if !h.Region.Box().Pad(reach).Contains(p) {
			continue
		}
		if d := h.Region.DistToEdge(p); d <= reach {
			in, far, least = append(in, h), append(far, d), min(least, d)
		}
	}
	var near []*held
	for i, h := range in {
		if far[i] <= least+planner.Tolerance {
			near = append(near, h)
		}
	}
	if len(near) == 0 {
		return ""
	}
	return smallest(near)
}

// ofLine is the one area that holds most of the lines' length. It is false where there is none, or where more of the length
// lies outside every area than in that one.
func (g *ground) ofLine(lines []orb.LineString) (string, bool) {
	total := 0.0
	for _, ls := range lines {
		total += geo.Length(ls)
	}
	if total <= 0 {
		return "", false
	}
	lengths := make([]float64, len(g.all))
	outside, best := 0.0, 0.0
	for _, ls := range lines {
		for i := 1; i < len(ls); i++ {
			outside += g.holdSegment(ls[i-1], ls[i], lengths)
		}
	}
	for _, v := range lengths {
		best = max(best, v)
	}
	if best <= planner.Tolerance || outside > best {
		return "", false
	}
	var in []*held
	for i := range g.all {
		if lengths[i] >= best-2*planner.Tolerance {
			in = append(in, &g.all[i])
		}
	}
	return smallest(in), true
}

// holdSegment adds to lengths what each area holds of the segment, and returns what none holds.
func (g *ground) holdSegment(a, b orb.Point, lengths []float64) float64 {
	l := geo.Dist(a, b)
	if l == 0 {
		return 0
	}
	box := orb.MultiPoint{a, b}.Bound()
	var union []span
	for i := range g.all {
		if h := &g.all[i]; h.Region.Box().Pad(forgiven).Intersects(box) {
			got := within(a, b, h.Region, forgiven)
			lengths[i] += l * total(got)
			union = append(union, got...)
		}
	}
	return l * (1 - total(merge(union)))
}
