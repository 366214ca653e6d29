package check

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/site"
)

func windbreakFrost() *Rule {
	return &Rule{
		ID:    "windbreak.frost",
		Title: "A dense windbreak does not dam cold air below a bed or orchard",
		Why: "Cold air runs downhill on still nights. A dense belt along the contour holds it like a dam, and frost settles on what grows above. A gap " +
			"at the belt's lowest point, or branches lifted there, let it out; that costs shelter. The belt is looked at as it is in leaf, as blossom " +
			"time is, and only where the fall of the ground is stated.",
		Severity: planner.Warn,
		Limits:   []string{"density_greatest_percent", "off_contour_least_deg", "slope_greatest_percent"},
		Sources: []planner.Source{
			{Text: "Ontario Ministry of Agriculture, apple windbreaks: no frost pocket at the low edge of a slope; lift lower branches to drain it", Confidence: planner.Published},
			{Text: "Auburn University, Freeze protection for fruit crops: dense stands dam cold air anywhere along its way", Confidence: planner.Published},
		},
		Run: runWindbreakFrost,
	}
}

func runWindbreakFrost(p *Pass) {
	density, ok1 := p.Limit("density_greatest_percent")
	contour, ok2 := p.Limit("off_contour_least_deg")
	slope, ok3 := p.Limit("slope_greatest_percent")
	if !ok1 || !ok2 || !ok3 {
		return
	}
	above := p.heldAbove()
	for i := range p.Shared.belts {
		b := &p.Shared.belts[i]
		if !b.DensityKnown || density.Holds(b.DensityLeafOn) {
			continue // windbreak.density says so where it is not known
		}
		var unknown []string
		for k := range above {
			a, u := &above[k].Area, above[k].under
			if !above[k].field.Intersects(b.path().Bound()) {
				continue
			}
			if !knowsFall(u, slope) {
				unknown = append(unknown, quoted(a.Feature))
				continue
			}
			p.reportFrost(b, &above[k], density, contour, slope)
		}
		if len(unknown) > 0 {
			p.Report(At(planner.Finding{Severity: planner.Note, Features: []string{b.Feature.ID}, Place: "unknown", Source: notStated(),
				Message: fmt.Sprintf("The fall of the ground at %s is not stated, so whether %s holds cold air there was not looked at. Give slope_percent and falls_to_deg to the field.",
					listWords(unknown, "and"), quoted(b.Feature))}, b.at(b.LengthM/2)))
		}
	}
}

// knowsFall reports whether the ground says how steep it is and, where that is more than the limit, which way it falls.
func knowsFall(u site.Under, slope rules.Limit) bool {
	states := func(property string) bool {
		return u.Parcel != nil && u.Parcel.Stated(property) || u.Patch != nil && u.Patch.Stated(property)
	}
	if u.SlopePercent <= 0 && !states("slope_percent") {
		return false
	}
	return slope.Holds(u.SlopePercent) || u.FallsToDeg > 0 || states("falls_to_deg")
}

func middleOf(a *site.Area) orb.Point {
	c := geo.Centroid(a.Shape[0])
	if a.Region.Contains(c) {
		return c
	}
	return a.Shape[0][0][0]
}

// A slopeArea is a bed or orchard with the ground under its middle.
type slopeArea struct {
	site.Area
	under site.Under
	field orb.Bound // its field's box, and 5 m round it for a belt on the boundary
}

// heldAbove lists the beds and orchards that lie in a field.
func (p *Pass) heldAbove() []slopeArea {
	var out []slopeArea
	for _, k := range []planner.Kind{planner.KindBed, planner.KindOrchard} {
		for _, a := range p.Site.Areas(k) {
			if u := p.Site.At(middleOf(&a)); u.Parcel != nil {
				out = append(out, slopeArea{a, u, u.Parcel.Shape.Bound().Pad(5)})
			}
		}
	}
	return out
}

func (p *Pass) reportFrost(b *Belt, a *slopeArea, density, contour, slope rules.Limit) {
	u := a.under
	if slope.Holds(u.SlopePercent) {
		return
	}
	down := geo.Direction(u.FallsToDeg)
	off := offSquare(b.path(), u.FallsToDeg) // square to the fall is along the contour
	if contour.Holds(tidyDeg(off, contour.Value)) {
		return
	}
	hit, ok := downhill(&a.Area, b.path(), down, a.field)
	if !ok || b.drains(down) {
		return
	}
	f := planner.Finding{Severity: planner.Warn, Features: []string{b.Feature.ID, a.Feature.ID}, Place: a.Feature.ID, Unit: "percent", Measured: planner.Figure(b.DensityLeafOn),
		Limit: planner.Figure(density.Value), Source: density.Source}
	f.Message = fmt.Sprintf("%s is %.0f percent dense in leaf and lies %.0f degrees off the contour, below %s on ground that falls %s percent. Cold air that runs down on still nights is held there. Leave a gap or lift the lowest branches at the belt's lowest point (both cost shelter), keep it under %s percent, or run it up and down the slope.",
		quotedAtStart(b.Feature), b.DensityLeafOn, off, quoted(a.Feature), figure(u.SlopePercent), figure(density.Value))
	p.Report(At(f, hit))
}

// downhill reports whether ground straight downhill of an area, within the box of its field, meets the line, and where.
func downhill(a *site.Area, line orb.LineString, down orb.Point, box orb.Bound) (orb.Point, bool) {
	edges := geo.LineSegments(line, 0)
	corners := append([]orb.Point{middleOf(a)}, shapeCorners(a.Feature.Shape)...)
	for _, p := range thinned(corners, len(edges)) {
		for _, g := range edges {
			x, ok := rayTo(p, g, down) // how far p lies below the belt
			if !ok || x > 0 {
				continue
			}
			if q := moved(p, down, -x); box.Contains(q) {
				return q, true
			}
		}
	}
	return orb.Point{}, false
}

// drains reports whether the belt has an opening within one height (5 m where that is not known) of its lowest point.
func (b *Belt) drains(down orb.Point) bool {
	low, at := math.Inf(-1), orb.Point{}
	for _, p := range b.path() {
		if v := p[0]*down[0] + p[1]*down[1]; v > low {
			low, at = v, p
		}
	}
	reach := 5.0
	if b.HeightYear20.Known {
		reach = b.HeightYear20.V
	}
	for _, o := range b.openings() {
		if d, _ := geo.DistToSegment(at, o.A, o.B); d <= reach {
			return true
		}
	}
	return false
}
