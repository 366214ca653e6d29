package check

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/rules"
)

func windbreakCrowding() *Rule {
	return &Rule{
		ID:    "windbreak.crowding",
		Title: "No bed close beside a windbreak",
		Why: "Within about one height of a belt its roots and its shade take more than the shelter gives. Each row counts with its own height at " +
			"year 20; a belt that stands there already, with the height it has. Told is from which year on it is so tall.",
		Severity: planner.Warn,
		Limits:   []string{"heights_least"},
		Sources: []planner.Source{
			{Text: "Farm Forest Line, 2.2.1.2: yield is lost beside a belt to about 2 heights", Confidence: planner.Published},
			{Text: "NIAB, apple best practice guide: willow and some poplars compete strongly for water and food", Confidence: planner.Published},
		},
		Run: runWindbreakCrowding,
	}
}

// A crowd is the row of a belt that comes nearest to a bed for its height.
type crowd struct {
	row    int
	height float64
	dist   float64
	at     orb.Point
}

func runWindbreakCrowding(p *Pass) {
	limit, known := p.Limit("heights_least")
	if !known {
		return
	}
	beds := p.Site.Areas(planner.KindBed)
	if len(beds) == 0 {
		return
	}
	for i := range p.Shared.belts {
		b := &p.Shared.belts[i]
		if !b.HeightYear20.Known {
			p.beltUnknown(b, "height at year 20", "whether it crowds a bed was not looked at")
			continue
		}
		reach := b.rowsBox().Pad(limit.Value*b.tallestM() + 1)
		for k := range beds {
			bed := &beds[k]
			if !reach.Intersects(bed.Region.Box()) {
				continue
			}
			worst, ok := crowding(b, bed.Region, limit.Value)
			if !ok || limit.Holds(tidyRatio(worst, limit.Value)) {
				continue
			}
			p.reportCrowding(b, bed.Feature, worst, limit)
		}
	}
}

// rowsBox is the box round all rows.
func (b *Belt) rowsBox() orb.Bound {
	box := b.rows[0].path.Bound()
	for _, r := range b.rows[1:] {
		box = box.Union(r.path.Bound())
	}
	return box
}

// tallestM is the greatest height that counts for any row.
func (b *Belt) tallestM() float64 {
	h := b.HeightYear20.V
	for _, r := range b.rows {
		h = math.Max(h, r.height.Usual)
	}
	return h
}

// tidyRatio is distance over height; a distance within the tolerance of the limit counts as on it.
func tidyRatio(c crowd, limit float64) float64 {
	if math.Abs(c.dist-limit*c.height) <= planner.Tolerance {
		return limit
	}
	return c.dist / c.height
}

func (p *Pass) reportCrowding(b *Belt, bed *planner.Feature, c crowd, limit rules.Limit) {
	need := limit.Value * c.height
	f := planner.Finding{Severity: planner.Warn, Features: []string{b.Feature.ID, bed.ID}, Place: bed.ID, Measured: planner.Figure(c.dist), Limit: planner.Figure(need),
		Unit: "m", Worse: "less", Source: limit.Source}
	tall := fmt.Sprintf("%.1f m tall at year 20", c.height)
	if b.HeightYear20.Source.Confidence == planner.User {
		tall = fmt.Sprintf("%.1f m tall", c.height)
	}
	years := firstYear(b.years, firstOf{}, func(y *beltAt, of func(ends) float64) bool {
		return c.row < len(y.rows) && c.dist < limit.Value*of(y.rows[c.row])-planner.Tolerance
	}).years()
	when := ""
	if years.From != planner.Never && years.To > 0 {
		when = " It is so tall that it crowds the bed " + yearsText(years) + "."
	}
	if years.From != planner.Never {
		f.Years = &years
	}
	where := metresBeside(c.dist, need) + " from"
	if c.dist == 0 {
		where = "on"
	}
	f.Message = fmt.Sprintf("Row %d of %s stands %s %s and is %s. Roots and shade reach about %s height%s, %s.%s Move the bed or the belt %s apart, or plant lower kinds on this side.",
		c.row+1, quoted(b.Feature), where, quoted(bed), tall, figure(limit.Value), pluralS(limit.Value), metres(need), when, metres(need-c.dist))
	p.Report(At(f, c.at))
}

func pluralS(v float64) string {
	if v == 1 {
		return ""
	}
	return "s"
}

// crowding finds the row that is nearest to a bed for its height, among those within so many heights of it. Rows whose height is not known are left out; an existing belt
// of stated height counts as one row of it.
func crowding(b *Belt, bed *geo.Region, heights float64) (crowd, bool) {
	best, found := crowd{}, false
	stated := b.HeightYear20.Source.Confidence == planner.User
	for i, r := range b.rows {
		h := r.height.Usual
		if stated {
			h = b.HeightYear20.V
		} else if !r.height.Known {
			continue
		}
		if !bed.Box().Pad(heights*h + 1).Intersects(r.path.Bound()) {
			continue
		}
		d, at := lineToRegion(r.path, bed)
		if c := (crowd{i, h, d, at}); !found || c.dist/c.height < best.dist/best.height-1e-12 {
			best, found = c, true
		}
	}
	return best, found
}

// lineToRegion is the distance from a line to a piece of ground, 0 where they meet, and where on the line it is reached. The
// shortest way between two figures made of straight parts starts or ends at a corner of one of them. Cost: corners of each side
// times a look into the index of the other.
func lineToRegion(line orb.LineString, r *geo.Region) (float64, orb.Point) {
	best, at := math.Inf(1), orb.Point{}
	take := func(d float64, p orb.Point) {
		if d < best {
			best, at = d, p
		}
	}
	if spans := r.LineInside(geo.NewChain(line)); len(spans) > 0 {
		return 0, geo.NewChain(line).At(spans[0].From)
	}
	for _, p := range line {
		if r.Contains(p) {
			return 0, p
		}
		take(r.DistToEdge(p), p)
	}
	own := geo.NewSegments(geo.LineSegments(line, 0))
	for _, g := range r.Polygons() {
		for _, ring := range g {
			for _, p := range ring {
				if i, d := own.Nearest(p); i >= 0 && d < best {
					s := own.At(i)
					_, t := geo.DistToSegment(p, s.A, s.B)
					take(d, orb.Point{s.A[0] + t*(s.B[0]-s.A[0]), s.A[1] + t*(s.B[1]-s.A[1])})
				}
			}
		}
	}
	return best, at
}
