package sheets

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"quickthorn/planner/paper"
)

// barMetres is the longest round length whose bar fits into width mm.
func barMetres(scale int, width float64) float64 {
	most := width * float64(scale) / 1000
	best := 1.0
	for _, m := range []float64{1, 2, 5, 10, 20, 25, 40, 50, 100, 200, 250, 500, 1000, 2000, 5000, 10000, 20000, 50000, 100000} {
		if m <= most {
			best = m
		}
	}
	return best
}

// scaleBar draws the bar at a place, with what it measures.
func scaleBar(at paper.Point, scale int, width float64) []paper.Item {
	m := barMetres(scale, width)
	l := m * 1000 / float64(scale)
	half := paper.Box{X: at.X, Y: at.Y - 0.7, W: l / 2, H: 1.4}
	text := func(x float64, s string, a paper.Anchor) paper.Item {
		return paper.Text{At: paper.Point{X: x, Y: at.Y + 4}, S: s, Size: 2.3, Anchor: a}
	}
	return []paper.Item{paper.Group{Class: "scale-bar", ID: strconv.FormatFloat(m, 'f', -1, 64), Items: []paper.Item{
		paper.Line(fine, at, paper.Point{X: at.X + l, Y: at.Y}), half.Path(paper.Pen{}, paper.Solid(paper.Black)),
		paper.Line(fine, cross(at, 0, 1.6)...), paper.Line(fine, cross(paper.Point{X: at.X + l/2, Y: at.Y}, 0, 1.2)...), paper.Line(fine, cross(paper.Point{X: at.X + l, Y: at.Y}, 0, 1.6)...),
		text(at.X, "0", paper.Start), text(at.X+l/2, length(m/2), paper.Middle), text(at.X+l, length(m), paper.End),
	}}}
}

// compass draws north and wind side by side in a box.
func (r *renderer) compass(b paper.Box) []paper.Item {
	wind := r.in.Plan.Holding.WorstWindDeg()
	a, c := paper.Point{X: b.X + b.W*0.22, Y: b.Y + 8}, paper.Point{X: b.X + b.W*0.7, Y: b.Y + 6.4}
	north := append(paper.Arrow(a, 4.4, 0), paper.Text{At: paper.Point{X: a.X, Y: b.Y + 2.6}, S: "N", Size: 3, Face: paper.Bold, Anchor: paper.Middle})
	blow := paper.Arrow(c, 4.4, wind+180)
	sin, cos := math.Sincos((wind + 180) * math.Pi / 180)
	for _, side := range []float64{-1.6, 1.6} {
		p := paper.Point{X: c.X - 3.4*sin + side*cos, Y: c.Y + 3.4*cos + side*sin}
		blow = append(blow, paper.Line(fine, stroke(p, wind+90, 1.3)...))
	}
	text := paper.Text{At: paper.Point{X: c.X, Y: b.Y + 14.4}, S: "wind from " + strconv.FormatFloat(wind, 'f', -1, 64) + "°", Size: 2.3, Anchor: paper.Middle}
	return []paper.Item{paper.Group{Class: "north", Items: north}, paper.Group{Class: "wind", Items: append(blow, text)}}
}

// head writes what every sheet has at the top of its panel.
func (r *renderer) head(c *column, scale int, sheet string) {
	size := map[string]float64{"A4": 4.4}[r.fit.size.Name]
	if size == 0 {
		size = 5
	}
	name := paper.Wrap(paper.Fit(r.in.Plan.Holding.Name, paper.Bold), paper.Bold, size, c.box.W)
	if len(name) > 3 {
		name = append(name[:2:2], paper.Shorten(name[2]+" "+name[3], paper.Bold, size, c.box.W))
	}
	c.para(strings.Join(name, " "), paper.Bold, size)
	c.para("Planting plan"+sheet, paper.Regular, 2.8)
	c.y += 1
	c.para(ratio(scale)+" on "+r.fit.size.Name, paper.Bold, 3.4)
	c.out = append(c.out, scaleBar(paper.Point{X: c.box.X + 0.5, Y: c.y + 3.2}, scale, c.box.W-6)...)
	c.y += 9
	m := barMetres(scale, c.box.W-6)
	c.para(fmt.Sprintf("Check the print: this bar is %s mm long. Print at 100 %%, not fitted to the page.", strconv.FormatFloat(m*1000/float64(scale), 'f', -1, 64)), paper.Regular, 2.1)
	c.y += 1
	c.out = append(c.out, r.compass(paper.Box{X: c.box.X, Y: c.y, W: c.box.W, H: 16})...)
	c.y += 16
	c.rule()
}

// foot writes the title block at the bottom of the panel and takes its room away.
func (r *renderer) foot(c *column, v view) {
	blank := "________________"
	or := func(s string) string {
		if s = paper.Fit(s, paper.Regular); s == "" {
			return blank
		}
		return s
	}
	mid := r.in.Plan.Frame.ToLonLat(v.back(v.frame.Middle()))
	rows := []string{"! " + generalCaution, "Findings by number, letters and names in full, and all cautions: in the notes behind.", "Date: " + or(r.opt.Date), "Drawn by: " + or(r.opt.Author), "Rule set: " + r.in.RuleSet}
	if w := r.in.Plan.Holding.PlantingWinter; w > 0 {
		rows = append(rows, fmt.Sprintf("Planting: winter %d/%02d", w, (w+1)%100))
	}
	rows = append(rows, fmt.Sprintf("Middle of the sheet: %s, %s (WGS 84)", degrees(mid[1], "N", "S"), degrees(mid[0], "E", "W")),
		"Lengths and areas: WGS 84 ellipsoid, on a plane that is true at the middle of the holding. North is true north.")
	const size = 2.1
	var lines []string
	for _, t := range rows {
		lines = append(lines, paper.Wrap(t, paper.Regular, size, c.box.W)...)
	}
	if len(lines) > 18 {
		lines = append(lines[:17:17], paper.Shorten(lines[17]+" "+lines[18], paper.Regular, size, c.box.W))
	}
	high := float64(len(lines))*size*1.25 + 2.5
	f := column{box: c.box, y: c.box.Bottom() - high}
	f.rule()
	for _, l := range lines {
		f.y += size * 1.25
		f.out = append(f.out, paper.Text{At: paper.Point{X: f.box.X, Y: f.y - size*0.3}, S: l, Size: size})
	}
	c.out = append(c.out, f.out...)
	c.box.H -= high + 1
}

func degrees(v float64, plus, minus string) string {
	if v < 0 {
		plus = minus
	}
	return strconv.FormatFloat(math.Abs(v), 'f', 5, 64) + "° " + plus
}

// generalCaution stands on every sheet; the findings' own are in the notes, and on the sheet where there is room.
const generalCaution = "Before you dig or drive posts, find out where pipes and cables run. No work within 10 m of overhead wires without their operator."

// cautions are the limits that the plan loosens, and what the findings caution of, each once.
func cautions(in Input) []string {
	out := slices.Clone(in.Loosened)
	for _, f := range in.Findings {
		if f.Accepted != nil {
			continue
		}
		for _, c := range f.Cautions {
			if !slices.Contains(out, c) {
				out = append(out, c)
			}
		}
	}
	return out
}

// frameOf draws the frame of the map with ticks at a round length, so that the scale can be checked both ways on the paper.
func frameOf(v view, scale int) []paper.Item {
	step := barMetres(scale, 25)
	pen := paper.Pen{Width: 0.35, Grey: paper.Black}
	f := v.frame
	out := []paper.Item{f.Path(pen, paper.Fill{})}
	p := paper.Path{Pen: thin}
	d := step * v.k
	for x := f.X + d; x < f.Right()-0.1; x += d {
		p.Chains = append(p.Chains, []paper.Point{{X: x, Y: f.Y}, {X: x, Y: f.Y + 1.5}}, []paper.Point{{X: x, Y: f.Bottom()}, {X: x, Y: f.Bottom() - 1.5}})
	}
	for y := f.Y + d; y < f.Bottom()-0.1; y += d {
		p.Chains = append(p.Chains, []paper.Point{{X: f.X, Y: y}, {X: f.X + 1.5, Y: y}}, []paper.Point{{X: f.Right(), Y: y}, {X: f.Right() - 1.5, Y: y}})
	}
	return append(out, paper.Group{Class: "ticks", ID: strconv.FormatFloat(step, 'f', -1, 64), Items: []paper.Item{p}})
}
