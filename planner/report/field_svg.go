package report

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/paper"
	"quickthorn/planner/prose"
	"quickthorn/planner/shelter"
)

// fieldHatch is the pattern of a band, in order of its scale. Lines are denser where there is less wind or less sun; each differs in
// its angle as well, so that neighbours are told apart in black and white.
var fieldHatch = []paper.Hatch{
	{Gap: 0.7, Deg: 45}, {Gap: 1.1, Deg: 135}, {Gap: 1.7, Deg: 0}, {Gap: 2.6, Deg: 90}, {Gap: 3, Deg: 45, Dash: 0.8, Space: 2}, {Gap: 4.5, Deg: 0, Dash: 0.4, Space: 4},
}

// A fieldPlan puts metres of the plan onto the paper.
type fieldPlan struct {
	box    paper.Box // of the drawing
	scale  float64   // mm of paper for a metre
	origin orb.Point // south-west corner of the land
}

func (v fieldPlan) at(p orb.Point) paper.Point {
	return paper.Point{X: v.box.X + (p[0]-v.origin[0])*v.scale, Y: v.box.Bottom() - (p[1]-v.origin[1])*v.scale}
}

func (v fieldPlan) chain(list []orb.Point) []paper.Point {
	out := make([]paper.Point, len(list))
	for i, p := range list {
		out[i] = v.at(p)
	}
	return out
}

func (v fieldPlan) rings(g orb.MultiPolygon) [][]paper.Point {
	var out [][]paper.Point
	for _, p := range g {
		for _, r := range p {
			out = append(out, v.chain(r))
		}
	}
	return out
}

// WriteFieldSVG draws a field on one A4 sheet: the bands as hatches under the land, beds with their names, what stands in the way, and
// a legend with words, figures and areas.
func (r *Report) WriteFieldSVG(w io.Writer, f *Field, date string) error {
	page := &paper.Page{Width: 297, Height: 210, Title: f.Title + ", year " + fmt.Sprint(f.Year)}
	_, land := shelter.Ground(r.Plan)
	v := fieldPlan{box: paper.Box{X: 12, Y: 12, W: 205, H: 186}}
	wide, high := math.Max(land.Max[0]-land.Min[0], 1), math.Max(land.Max[1]-land.Min[1], 1)
	v.scale = math.Min(v.box.W/wide, v.box.H/high)
	v.origin = orb.Point{land.Min[0] - (v.box.W/v.scale-wide)/2, land.Min[1] - (v.box.H/v.scale-high)/2}
	clip := v.box
	bands := paper.Group{Class: "bands", Clip: &clip}
	for i, b := range f.Bands {
		if len(b.Ground) == 0 {
			continue
		}
		rings := v.rings(b.Ground)
		h := fieldHatch[i%len(fieldHatch)]
		h.Pen, h.Within = paper.Pen{Width: 0.12, Grey: paper.Mid}, &clip
		bands.Items = append(bands.Items, paper.Group{Class: "band", ID: bandID(f, i), Items: []paper.Item{h.Lines(rings),
			paper.Path{Chains: rings, Closed: true, Pen: paper.Pen{Width: 0.15, Grey: paper.Dark}}}})
	}
	page.Put(bands, r.fieldLand(v, clip, f.Year))
	page.Put(r.fieldLegend(f, v, date)...)
	return paper.SVG(w, page)
}

// fieldLand draws the land over the bands.
func (r *Report) fieldLand(v fieldPlan, clip paper.Box, year int) paper.Group {
	out := paper.Group{Class: "land", Clip: &clip}
	var labels []paper.Item
	features := slices.Clone(r.Plan.Features) // drawn in order of id, so that the order in the file changes nothing
	slices.SortStableFunc(features, func(a, b *planner.Feature) int { return strings.Compare(a.ID, b.ID) })
	for _, f := range features {
		if !f.Sound {
			continue
		}
		switch f.Kind {
		case planner.KindParcel:
			out.Items = append(out.Items, paper.Path{Chains: v.rings(f.Shape.Polygons), Closed: true, Pen: paper.Pen{Width: 0.3, Grey: paper.Black, Dash: []float64{2.5, 1}}})
		case planner.KindBed:
			out.Items = append(out.Items, paper.Path{Chains: v.rings(f.Shape.Polygons), Closed: true, Pen: paper.Pen{Width: 0.45, Grey: paper.Black}})
			labels = append(labels, v.label(f))
		case planner.KindBuilding:
			out.Items = append(out.Items, paper.Path{Chains: v.rings(f.Shape.Polygons), Closed: true, Pen: paper.Pen{Width: 0.3, Grey: paper.Black}, Fill: paper.Solid(paper.Dark)})
		}
	}
	for _, b := range r.Stand.Bodies(year) {
		for _, run := range b.Runs {
			wide := math.Min(4, math.Max(0.5, b.Spread.Mid*v.scale))
			out.Items = append(out.Items, paper.Line(paper.Pen{Width: wide, Grey: paper.Dark, Round: true}, v.chain(run)...))
		}
	}
	for _, c := range r.Stand.Crowns(year) {
		if c.Spread.Known && c.Spread.Mid > 0 {
			out.Items = append(out.Items, paper.Ring{At: v.at(c.Plant.At), R: math.Max(0.3, c.Spread.Mid/2*v.scale), Pen: paper.Pen{Width: 0.2, Grey: paper.Black}})
		}
	}
	out.Items = append(out.Items, labels...)
	return out
}

func (v fieldPlan) label(f *planner.Feature) paper.Item {
	at := v.at(geo.Centroid(f.Shape.Polygons[0]))
	return paper.Text{At: paper.Point{X: at.X, Y: at.Y + 1}, S: paper.Fit(prose.Short(prose.Clean(f.Label()), 40), paper.Italic), Size: 3, Face: paper.Italic, Anchor: paper.Middle, Halo: 1}
}

// fieldLegend is the panel beside the drawing.
func (r *Report) fieldLegend(f *Field, v fieldPlan, date string) []paper.Item {
	x, y, width := 224.0, 16.0, 62.0
	var out []paper.Item
	para := func(s string, face paper.Face, size float64) {
		for _, l := range paper.Wrap(paper.Fit(prose.Clean(s), face), face, size, width) {
			out = append(out, paper.Text{At: paper.Point{X: x, Y: y}, S: l, Size: size, Face: face})
			y += size * 1.4
		}
	}
	para(r.Plan.Holding.Name, paper.Bold, 4.2)
	para(f.Title, paper.Regular, 3.4)
	when := fmt.Sprintf("Year %d after planting", f.Year)
	if winter, _ := r.Stand.Winter(); winter > 0 {
		when += fmt.Sprintf(", winter %d/%02d", winter+f.Year, (winter+f.Year+1)%100)
	}
	para(when+".", paper.Bold, 3)
	if date != "" {
		para(date, paper.Regular, 2.6)
	}
	y += 2
	for i, b := range f.Bands {
		box := paper.Box{X: x, Y: y, W: 11, H: 6}
		h := fieldHatch[i%len(fieldHatch)]
		h.Pen = paper.Pen{Width: 0.12, Grey: paper.Mid}
		ring := [][]paper.Point{{{X: box.X, Y: box.Y}, {X: box.Right(), Y: box.Y}, {X: box.Right(), Y: box.Bottom()}, {X: box.X, Y: box.Bottom()}}}
		out = append(out, h.Lines(ring), box.Path(paper.Pen{Width: 0.2, Grey: paper.Dark}, paper.Fill{}),
			paper.Text{At: paper.Point{X: x + 13, Y: y + 2.6}, S: bandWords(f, b), Size: 2.8},
			paper.Text{At: paper.Point{X: x + 13, Y: y + 5.8}, S: areaWords(b.AreaM2), Size: 2.4, Grey: paper.Dark})
		y += 8
	}
	y += 2.5
	if f.What == "shelter" {
		para("Without hatch: open wind.", paper.Regular, 2.6)
	}
	y += 2
	out = append(out, fieldScale(v, paper.Point{X: x, Y: y + 2})...)
	y += 12
	out = append(out, fieldArrow(paper.Point{X: x + 8, Y: y + 6}, 0, "north")...)
	if f.What == "shelter" {
		from := r.Plan.Holding.WorstWindDeg()
		out = append(out, fieldArrow(paper.Point{X: x + 36, Y: y + 6}, from+180, fmt.Sprintf("wind from %.0f degrees", from))...)
	}
	y += 20
	for _, s := range f.Said {
		para(s, paper.Regular, 2.2)
	}
	para(map[string]string{"shelter": shelterSource, "light": lightSource}[f.What], paper.Regular, 2.2)
	return out
}

// bandWords says what a band is: "calm: 20 to 40 percent of open wind".
func bandWords(f *Field, b FieldBand) string {
	unit := map[string]string{"shelter": " %", "light": " hours"}[f.What]
	to := figure(b.From) + " to " + figure(math.Round(b.To))
	if f.What == "light" && b.To == 24 {
		to = figure(b.From) + " and more"
	}
	return b.Words + ": " + to + unit
}

func fieldScale(v fieldPlan, at paper.Point) []paper.Item {
	long := 1.0
	for _, m := range []float64{2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000} {
		if m*v.scale <= 50 {
			long = m
		}
	}
	end := paper.Point{X: at.X + long*v.scale, Y: at.Y}
	pen := paper.Pen{Width: 0.3, Grey: paper.Black}
	tick := func(p paper.Point) paper.Item {
		return paper.Line(pen, paper.Point{X: p.X, Y: p.Y - 1}, paper.Point{X: p.X, Y: p.Y + 1})
	}
	return []paper.Item{paper.Line(pen, at, end), tick(at), tick(end), paper.Text{At: paper.Point{X: at.X, Y: at.Y + 4.5}, S: figure(long) + " m", Size: 2.6}}
}

// fieldArrow points towards a bearing, with a word below.
func fieldArrow(at paper.Point, bearing float64, word string) []paper.Item {
	return append(paper.Arrow(at, 5, bearing), paper.Text{At: paper.Point{X: at.X, Y: at.Y + 9}, S: word, Size: 2.4, Anchor: paper.Middle})
}
