package planner

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo/interchange"
)

const (
	widest     = 100_000.0 // metres: a plan that is wider is refused
	nearOrigin = 5_000.0   // metres: beyond it the frame is no longer true to 1 part per million
	// degree is the length of a degree of latitude on a sphere of 6371 km. It only tells apart what lies kilometres apart.
	degree = math.Pi / 180 * 6_371_000
)

// britain is the box round Britain and Ireland, longitude and latitude (common practice).
var britain = orb.Bound{Min: orb.Point{-11, 49}, Max: orb.Point{2, 61}}

// apart is roughly how far two places in degrees lie apart, in metres, the larger of north-south and east-west. It does not
// see across the 180th meridian: a plan there is refused as too wide.
func apart(a, b orb.Point) float64 {
	ns := math.Abs(a[1]-b[1]) * degree
	ew := math.Abs(a[0]-b[0]) * degree * math.Cos((a[1]+b[1])/2*math.Pi/180)
	return max(ns, ew)
}

func mirrored(p orb.Point) orb.Point { return orb.Point{p[1], p[0]} }

// lonLatBound is the box round a feature in degrees; false where nothing is drawn.
func (r *reading) lonLatBound(f *Feature) (orb.Bound, bool) {
	b, ok := f.Shape.box()
	if !ok || !r.reused[f] {
		return b, ok
	}
	frame := *r.fixed
	out := frame.ToLonLat(b.Min).Bound()
	for _, p := range []orb.Point{b.Max, {b.Min[0], b.Max[1]}, {b.Max[0], b.Min[1]}} {
		out = out.Extend(frame.ToLonLat(p))
	}
	return out, true
}

// middle is the centre of the box round all parcels, else round everything, at the 9 decimals that it is written with.
func (r *reading) middle() (orb.Point, bool) {
	var all, parcels orb.Bound
	var anything, anyParcel bool
	for _, f := range r.plan.Features {
		b, ok := r.lonLatBound(f)
		if !ok {
			continue
		}
		all, anything = joined(all, b, anything), true
		if f.Kind == KindParcel {
			parcels, anyParcel = joined(parcels, b, anyParcel), true
		}
	}
	if anyParcel {
		all = parcels
	}
	c := all.Center()
	return orb.Point{interchange.Round9(c[0]), interchange.Round9(c[1])}, anything
}

// farOrigin sets aside an origin that lies further from the plan than a plan may be wide, and reports it.
func (r *reading) farOrigin() {
	h := &r.plan.Holding
	if h.Origin == nil {
		return
	}
	far := 0.0
	for _, f := range r.plan.Features {
		if b, ok := r.lonLatBound(f); ok {
			far = max(far, apart(b.Min, *h.Origin), apart(b.Max, *h.Origin))
		}
	}
	if far <= widest {
		return
	}
	r.faults.add(Fault{Rule: "input.property", Severity: Stop, Property: "origin",
		Message: fmt.Sprintf("The holding: origin is [%v, %v], %.0f km from what is drawn. Allowed is a place within %.0f km of it. Take it out, or write longitude first. Until it is mended the middle of the parcels stands in its place.",
			h.Origin[0], h.Origin[1], far/1000, widest/1000)})
	h.Origin = nil
	h.wrong = h.wrong.with("origin")
	h.stated = slices.DeleteFunc(slices.Clone(h.stated), func(s string) bool { return s == "origin" })
	r.plan.doc.hasOrigin = false
}

func joined(a, b orb.Bound, any bool) orb.Bound {
	if !any {
		return b
	}
	return a.Union(b)
}

// extent refuses a plan that is too wide or partly swapped, and names the features.
func (r *reading) extent() error {
	var box orb.Bound
	any := false
	for _, f := range r.plan.Features {
		if b, ok := r.lonLatBound(f); ok {
			box, any = joined(box, b, any), true
		}
	}
	if !any {
		return nil
	}
	if err := r.allSwapped(box); err != nil {
		return err
	}
	width := apart(box.Min, box.Max)
	if width <= nearOrigin {
		return nil
	}
	swapped, far := r.outliers()
	file := r.plan.doc.opt.File
	if len(swapped) > 0 {
		return &Problem{File: file, Where: "features " + names(swapped), Feature: swapped[0],
			What: fmt.Sprintf("%s if longitude and latitude were swapped, far from the rest of the plan.", plural(len(swapped), "This feature lies as", "These %d features lie as")),
			Mend: "Write longitude first, then latitude, in every feature."}
	}
	if width <= widest {
		return nil
	}
	p := &Problem{File: file, What: fmt.Sprintf("The plan is %.0f km wide; a plan is at most %.0f km wide.", width/1000, widest/1000),
		Mend: "Take out what does not belong to the holding, or make a plan of each place."}
	if box.Max[0]-box.Min[0] > 180 {
		p.Mend += " A plan cannot reach across the 180th meridian."
	}
	if len(far) > 0 {
		p.Where, p.Feature = "features "+names(far), far[0]
		p.What += " " + plural(len(far), "This feature lies", "These %d features lie") + " far from the rest or reach too far."
	}
	return p
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return fmt.Sprintf(many, n)
}

// names lists ids for a message, at most ten.
func names(ids []string) string {
	out := make([]string, 0, 11)
	for i, id := range ids {
		if i == 10 {
			out = append(out, fmt.Sprintf("and %d more", len(ids)-10))
			break
		}
		out = append(out, interchange.Shorten(id))
	}
	return strings.Join(out, ", ")
}

// outliers names the features far from where most lie: those that would lie among them with longitude and latitude swapped,
// and the others, which lie or reach more than half of the widest plan away. Most means the middle one of all centres, in each
// direction; where half the features lie either way, those in Britain and Ireland count as right.
func (r *reading) outliers() (swapped, far []string) {
	var xs, ys []float64
	type place struct {
		id  string
		box orb.Bound
	}
	var places []place
	home := false
	for _, f := range r.plan.Features {
		b, ok := r.lonLatBound(f)
		if !ok {
			continue
		}
		places = append(places, place{f.ID, b})
		home = home || britain.Contains(b.Center())
	}
	for _, p := range places {
		c := p.box.Center()
		if home && !britain.Contains(c) && britain.Contains(mirrored(c)) {
			continue // it would only pull the middle away
		}
		xs, ys = append(xs, c[0]), append(ys, c[1])
	}
	slices.Sort(xs)
	slices.Sort(ys)
	middle := orb.Point{xs[len(xs)/2], ys[len(ys)/2]}
	for _, p := range places {
		c := p.box.Center()
		d := apart(c, middle)
		switch {
		case d > nearOrigin && math.Abs(c[0]) <= 90 && apart(mirrored(c), middle) < min(nearOrigin, d/2):
			swapped = append(swapped, p.id)
		case apart(p.box.Min, middle) > widest/2 || apart(p.box.Max, middle) > widest/2:
			far = append(far, p.id)
		}
	}
	return swapped, far
}

// allSwapped looks at a whole plan that would lie in Britain or Ireland with longitude and latitude swapped. Under a rule set
// of those countries it is refused; otherwise the sea off East Africa might be meant, and a warning is enough.
func (r *reading) allSwapped(box orb.Bound) error {
	if !britain.Contains(mirrored(box.Min)) || !britain.Contains(mirrored(box.Max)) {
		return nil
	}
	what := fmt.Sprintf("The whole plan lies near longitude %.3f, latitude %.3f, as if longitude and latitude were swapped.", box.Center()[0], box.Center()[1])
	const mend = "Write longitude first, then latitude, in every position."
	switch r.plan.Holding.RuleSet {
	case "england", "ireland", "scotland", "northern-ireland", "wales":
		var ids []string
		for _, f := range r.plan.Features {
			if !f.Shape.Empty() {
				ids = append(ids, f.ID)
			}
		}
		return &Problem{File: r.plan.doc.opt.File, Where: "features " + names(ids), What: fmt.Sprintf("%s The rule set %s is for Britain or Ireland.", what, r.plan.Holding.RuleSet), Mend: mend}
	}
	r.faults.add(Fault{Rule: "input.swapped", Severity: Warn, Message: what + " " + mend + " Nothing needs doing if the holding is there."})
	return nil
}

// width notes a plan that reaches further from its origin than the frame is true to 1 part per million.
func (r *reading) width() {
	p := r.plan
	worst, at := 0.0, orb.Point{}
	for _, f := range p.Features {
		b, ok := f.Shape.box()
		if !ok {
			continue
		}
		for _, c := range []orb.Point{b.Min, b.Max, {b.Min[0], b.Max[1]}, {b.Max[0], b.Min[1]}} {
			if d := math.Hypot(c[0], c[1]); d > worst {
				worst, at = d, c
			}
		}
	}
	if worst <= nearOrigin {
		return
	}
	ppm := (p.Frame.Scale(at) - 1) * 1e6
	r.faults.add(Fault{Rule: "input.width", Severity: Note, At: at, HasAt: true, Measured: Figure(worst), Limit: Figure(nearOrigin), Unit: "m",
		Message: fmt.Sprintf("The plan reaches %.1f km from its origin. Within %.0f km lengths are true to 1 part per million; at that place they are %.1f parts per million too long, and areas twice that.", worst/1000, nearOrigin/1000, ppm)})
}
