package check

import (
	"fmt"
	"sort"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/site"
)

func inputOverlap() *Rule {
	return &Rule{
		ID: "input.overlap", Title: "Fields that lie over one another", Severity: planner.Note,
		Why: "Ground in two fields would be measured twice. A plant there counts to the smaller field. Slivers no wider than 20 mm are let be: " +
			"they come from rounding in other programs.",
		Sources: []planner.Source{planFile()},
		Run:     overlaps,
	}
}

// mostOverlaps is how many pairs of fields whose boxes meet are measured against one another. Real holdings have hundreds; a file
// with thousands of fields in one place would take minutes.
const mostOverlaps = 5000

// overlapCorners is the most corners, of both fields together, for which the shape of the overlap is worked out too.
const overlapCorners = 1000

// overlaps reports pairs of fields that share more than a sliver. Fields are looked at from west to east, so that only those whose
// boxes meet are compared.
func overlaps(p *Pass) {
	areas := append([]site.Area(nil), p.Site.Areas(planner.KindParcel)...)
	sort.SliceStable(areas, func(i, j int) bool {
		a, b := areas[i].Region.Box().Min[0], areas[j].Region.Box().Min[0]
		return a < b || a == b && areas[i].Feature.ID < areas[j].Feature.ID
	})
	looked := 0
	for i := range areas {
		box := areas[i].Region.Box()
		for j := i + 1; j < len(areas) && areas[j].Region.Box().Min[0] <= box.Max[0]; j++ {
			if !box.Intersects(areas[j].Region.Box()) {
				continue
			}
			if looked++; looked > mostOverlaps {
				p.Report(planner.Finding{Severity: planner.Note, Place: "more", Source: planFile(),
					Message: fmt.Sprintf("More than %d pairs of fields meet or overlap; the others were not looked at. Draw each field once.", mostOverlaps)})
				return
			}
			p.overlap(&areas[i], &areas[j])
		}
	}
}

// overlap reports what two fields share, unless it is a sliver: nowhere wider than the tolerance.
func (p *Pass) overlap(a, b *site.Area) {
	if a.Feature.ID > b.Feature.ID {
		a, b = b, a
	}
	m2, exact := geo.OverlapArea(a.Shape, b.Shape)
	if m2 <= 1e-6 {
		return
	}
	parts := sharedParts(a.Shape, b.Shape)
	if sliver(a.Shape, b.Shape, parts, m2) {
		return
	}
	about := ""
	if !exact {
		about = "about "
	}
	f := planner.Finding{Severity: planner.Note, Features: []string{a.Feature.ID, b.Feature.ID}, Measured: planner.Figure(m2), Limit: planner.Figure(0), Unit: "m2",
		Source: planFile(), Message: fmt.Sprintf("The fields %s and %s lie over one another on %s%.2f m2. That ground counts in both areas, and a plant there counts to the smaller field. Draw their shared boundary once, with the same corners.",
			quoted(a.Feature), quoted(b.Feature), about, m2)}
	if len(parts) > 0 {
		f = At(f, geo.Centroid(parts[0]))
	}
	p.Report(f)
}

// sharedParts are the pieces that two shapes share, the largest first; none where they have too many corners to work it out.
func sharedParts(a, b orb.MultiPolygon) orb.MultiPolygon {
	n := 0
	for _, m := range []orb.MultiPolygon{a, b} {
		for _, g := range m {
			for _, r := range g {
				n += len(r)
			}
		}
	}
	if n > overlapCorners {
		return nil
	}
	parts, err := geo.Intersection(a, b)
	if err != nil {
		return nil
	}
	sort.SliceStable(parts, func(i, j int) bool { return geo.Area(parts[i]) > geo.Area(parts[j]) })
	return parts
}

// sliver reports whether an overlap is nowhere wider than the tolerance. A polygon of area A and perimeter P is on average 2A/P
// wide; where the pieces are not known, the whole is held against a strip along half of the shorter way round.
func sliver(a, b, parts orb.MultiPolygon, m2 float64) bool {
	if len(parts) == 0 {
		return m2 <= planner.Tolerance*min(geo.MultiPerimeter(a), geo.MultiPerimeter(b))/2
	}
	for _, g := range parts {
		if around := geo.Perimeter(g); around > 0 && 2*geo.Area(g)/around > planner.Tolerance {
			return false
		}
	}
	return true
}
