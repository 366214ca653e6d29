package sheets

import (
	"math"

	"quickthorn/planner"
	"quickthorn/planner/paper"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

// The pens of the drawing.
var (
	thin   = paper.Pen{Width: 0.15, Grey: paper.Black}
	fine   = paper.Pen{Width: 0.25, Grey: paper.Black}
	strong = paper.Pen{Width: 0.45, Grey: paper.Black}
	hair   = paper.Pen{Width: 0.12, Grey: paper.Mid}
)

func dashed(p paper.Pen, dash ...float64) paper.Pen {
	p.Dash = dash
	return p
}

func wide(width float64, g paper.Grey) paper.Pen {
	return paper.Pen{Width: width, Grey: g, Round: true}
}

// lineSign draws a line of a kind along points; width is its width on the paper at true size, 0 where it has none.
func lineSign(kind planner.Kind, pts []paper.Point, width float64, mark string) []paper.Item {
	c := chainOf(pts)
	line := func(p paper.Pen) paper.Item { return paper.Line(p, pts...) }
	switch kind {
	case planner.KindWatercourse:
		w := max(width, 1.1)
		return []paper.Item{line(wide(w, paper.Black)), line(wide(w-0.5, paper.White))}
	case planner.KindDitch:
		return append([]paper.Item{line(fine)}, ticks(c, 2.2, 0.8, fine)...)
	case planner.KindDrain:
		return []paper.Item{line(dashed(fine, 2.4, 1.4))}
	case planner.KindService:
		return append([]paper.Item{line(dashed(fine, 5, 1.6))}, letters(c, mark)...)
	case planner.KindOverheadLine:
		items := []paper.Item{line(dashed(fine, 4, 1, 0.5, 1))}
		for _, p := range pts {
			items = append(items, paper.Line(strong, stroke(p, 0, 1.1)...), paper.Line(strong, cross(p, 0, 1.1)...))
		}
		return items
	case planner.KindRoad:
		w := max(width, 1.6)
		return []paper.Item{line(butt(w, paper.Black)), line(butt(w-0.5, paper.White))}
	case planner.KindTrack:
		w := max(width, 1.3)
		return []paper.Item{line(dashed(butt(w, paper.Black), 2.5, 1)), line(butt(w-0.4, paper.White))}
	case planner.KindPath:
		return []paper.Item{line(dashed(strong, 0.6, 1.1))}
	case planner.KindFence:
		items := []paper.Item{line(fine)}
		c.every(4.5, func(p paper.Point, deg float64) {
			items = append(items, paper.Line(fine, stroke(p, deg+45, 0.8)...), paper.Line(fine, stroke(p, deg-45, 0.8)...))
		})
		return items
	case planner.KindWall:
		return []paper.Item{line(butt(1.2, paper.Black)), line(dashed(butt(0.7, paper.White), 1.8, 0.4))}
	case planner.KindScreen:
		return append([]paper.Item{line(strong)}, ticks(c, 2, 1.1, fine)...)
	case planner.KindProtected:
		return []paper.Item{line(dashed(strong, 2.4, 0.8, 0.5, 0.8))}
	}
	return []paper.Item{line(paper.Pen{Width: 0.3, Grey: paper.Mid})}
}

func butt(width float64, g paper.Grey) paper.Pen { return paper.Pen{Width: width, Grey: g} }

// ticks are strokes across a line.
func ticks(c chain, step, r float64, pen paper.Pen) []paper.Item {
	p := paper.Path{Pen: pen}
	c.every(step, func(at paper.Point, deg float64) { p.Chains = append(p.Chains, cross(at, deg, r)) })
	return []paper.Item{p}
}

// letters writes a mark on a line every 40 mm.
func letters(c chain, mark string) []paper.Item {
	var out []paper.Item
	if mark == "" {
		return nil
	}
	c.every(40, func(p paper.Point, _ float64) {
		out = append(out, paper.Text{At: paper.Point{X: p.X, Y: p.Y + 0.75}, S: mark, Size: 2.1, Face: paper.Bold, Anchor: paper.Middle, Halo: 0.5})
	})
	return out
}

// serviceMarks are the letters on buried services, by what they carry.
var serviceMarks = map[string]string{"sewer": "S", "water": "W", "gas": "G", "electricity": "E", "telecoms": "T", "unknown": "?"}

// beads are a hedge: filled where it stands, hollow where it is to be planted. Width is its width on the paper at true size.
func beads(c chain, width float64, standing bool) []paper.Item {
	d := beadWidth(width)
	fill, pen := paper.Solid(paper.White), fine
	if standing {
		fill = paper.Solid(paper.Dark)
	}
	var out []paper.Item
	if c.length() < d/2 {
		return nil
	}
	c.every(d*1.06, func(p paper.Point, _ float64) {
		out = append(out, paper.Ring{At: p, R: d/2 - pen.Width/2, Pen: pen, Fill: fill})
	})
	return out
}

func beadWidth(width float64) float64 { return min(2.6, max(1.3, width)) }

// posts are the two posts of a gateway from a to b.
func posts(a, b paper.Point) []paper.Item {
	deg := angle(a, b)
	pen := paper.Pen{Width: 0.7, Grey: paper.Black}
	return []paper.Item{paper.Line(pen, cross(a, deg, 1.5)...), paper.Line(pen, cross(b, deg, 1.5)...)}
}

// bracket spans a gap from a to b; a gap that is filled has beads between and no bar.
func bracket(a, b paper.Point, filled bool, width float64) []paper.Item {
	deg := angle(a, b)
	items := []paper.Item{paper.Line(strong, cross(a, deg, 1.7)...), paper.Line(strong, cross(b, deg, 1.7)...)}
	if filled {
		return append(beads(chainOf([]paper.Point{a, b}), width, false), items...)
	}
	return append(items, paper.Line(strong, a, b))
}

func angle(a, b paper.Point) float64 { return math.Atan2(b.Y-a.Y, b.X-a.X) * 180 / math.Pi }

// The signs of plants.
const (
	signConifer = "conifer"
	signTree    = "tree"
	signFruit   = "fruit"
	signBush    = "bush"
	signUnknown = "unknown"
)

// signOf is the sign that a plant is drawn with.
func signOf(p *setout.Plant) string {
	switch sp := p.Species; {
	case sp == nil:
		return signUnknown
	case sp.Habit == species.Conifer:
		return signConifer
	case sp.Layer != species.TreeLayer:
		return signBush
	case sp.Crop:
		return signFruit
	}
	return signTree
}

// plantSign draws a plant: its crown at true size (r mm on the paper, 0 where it is not known) and its sign about the stem, no larger
// than room allows.
func plantSign(sign string, at paper.Point, r, room float64, standing bool) []paper.Item {
	var out []paper.Item
	s := min(1.3, max(0.45, room))
	if sign == signBush {
		s = min(s, 0.9)
	}
	pen := thin
	if standing {
		pen = paper.Pen{Width: 0.4, Grey: paper.Black}
	}
	if r > s {
		out = append(out, paper.Ring{At: at, R: r, Pen: pen})
		if standing {
			out = append(out, paper.Hatch{Gap: 1.3, Deg: 45, Pen: hair}.Lines([][]paper.Point{round(at, r)}))
		}
	}
	if standing {
		return append(out, paper.Ring{At: at, R: max(0.55, s*0.6), Fill: paper.Solid(paper.Black)})
	}
	x, y := at.X, at.Y
	white := paper.Solid(paper.White)
	switch sign {
	case signConifer:
		out = append(out, paper.Path{Chains: [][]paper.Point{{{X: x, Y: y - 1.15*s}, {X: x + s, Y: y + 0.75*s}, {X: x - s, Y: y + 0.75*s}}}, Closed: true, Pen: fine, Fill: white})
	case signTree, signFruit:
		out = append(out, paper.Ring{At: at, R: s, Pen: fine, Fill: white})
		if s > 0.7 {
			bars := paper.Path{Chains: [][]paper.Point{{{X: x - s*0.6, Y: y}, {X: x + s*0.6, Y: y}}}, Pen: fine}
			if sign == signFruit {
				bars.Chains = append(bars.Chains, []paper.Point{{X: x, Y: y - s*0.6}, {X: x, Y: y + s*0.6}})
			}
			out = append(out, bars)
		}
	case signBush:
		out = append(out, paper.Ring{At: at, R: s, Pen: fine, Fill: white}, paper.Ring{At: at, R: s * 0.33, Fill: paper.Solid(paper.Black)})
	default:
		out = append(out, paper.Ring{At: at, R: s, Pen: dashed(fine, 0.5, 0.4), Fill: white})
	}
	return out
}

// round is a circle as a ring of 32 corners.
func round(at paper.Point, r float64) []paper.Point {
	out := make([]paper.Point, 32)
	for i := range out {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(out)))
		out[i] = paper.Point{X: at.X + r*cos, Y: at.Y + r*sin}
	}
	return out
}

// findingSign is the numbered marker of a finding: an octagon to stop at, a triangle that warns, a ring to note.
func findingSign(s planner.Severity, at paper.Point, number string) []paper.Item {
	const r = 2.1
	x, y := at.X, at.Y
	size := 2.2
	if len(number) > 2 {
		size = 1.8
	}
	text := paper.Text{At: paper.Point{X: x, Y: y + size*0.36}, S: number, Size: size, Face: paper.Bold, Anchor: paper.Middle}
	white := paper.Solid(paper.White)
	edge := paper.Pen{Width: 0.35, Grey: paper.Black}
	switch s {
	case planner.Stop:
		var ring []paper.Point
		for i := range 8 {
			sin, cos := math.Sincos((float64(i) + 0.5) * math.Pi / 4)
			ring = append(ring, paper.Point{X: x + r*1.05*cos, Y: y + r*1.05*sin})
		}
		text.Grey = paper.White
		return []paper.Item{paper.Path{Chains: [][]paper.Point{ring}, Closed: true, Fill: paper.Solid(paper.Black), Pen: paper.Pen{Width: 0.3, Grey: paper.White}}, text}
	case planner.Warn:
		text.At.Y += 0.25
		text.Size *= 0.88
		return []paper.Item{paper.Path{Chains: [][]paper.Point{{{X: x, Y: y - 2.6}, {X: x + 2.7, Y: y + 1.9}, {X: x - 2.7, Y: y + 1.9}}}, Closed: true, Fill: white, Pen: edge}, text}
	}
	return []paper.Item{paper.Ring{At: at, R: r - 0.1, Fill: white, Pen: edge}, text}
}

// The hatches of ground classes and areas; moist ground has none.
var hatches = map[string]paper.Hatch{
	"dry":         {Gap: 2.4, Dash: 0.35, Space: 2.2, Pen: paper.Pen{Width: 0.35, Grey: 0.4}},
	"damp":        {Gap: 3.2, Dash: 2, Space: 5, Pen: paper.Pen{Width: 0.15, Grey: 0.35}},
	"wet":         {Gap: 2.2, Dash: 3.2, Space: 2.2, Pen: paper.Pen{Width: 0.18, Grey: 0.35}},
	"waterlogged": {Gap: 1.3, Dash: 4.6, Space: 1.1, Pen: paper.Pen{Width: 0.22, Grey: 0.3}},
	"pond":        {Gap: 0.9, Pen: paper.Pen{Width: 0.15, Grey: 0.4}},
	"bed":         {Gap: 1.3, Deg: 12, Pen: paper.Pen{Width: 0.13, Grey: 0.4}},
	"protected":   {Gap: 3, Deg: 45, Pen: paper.Pen{Width: 0.13, Grey: 0.4}},
	"protected 2": {Gap: 3, Deg: -45, Pen: paper.Pen{Width: 0.13, Grey: 0.4}},
}

// areaSign draws an area under its key: outline and hatch.
func areaSign(key string, rings [][]paper.Point, within paper.Box) []paper.Item {
	hatch := func(k string) paper.Item {
		h := hatches[k]
		h.Within = &within
		return h.Lines(rings)
	}
	edge := func(p paper.Pen) paper.Path { return paper.Path{Chains: rings, Closed: true, Pen: p} }
	switch key {
	case "parcel":
		return []paper.Item{edge(paper.Pen{Width: 0.3, Grey: paper.Black})}
	case "dry", "damp", "wet", "waterlogged":
		return []paper.Item{hatch(key)}
	case "patch":
		return []paper.Item{edge(dashed(paper.Pen{Width: 0.15, Grey: paper.Mid}, 1.2, 0.8))}
	case "bed":
		return []paper.Item{hatch("bed"), edge(fine)}
	case "protected":
		return []paper.Item{hatch("protected"), hatch("protected 2"), edge(dashed(strong, 2.4, 0.8, 0.5, 0.8))}
	case "building":
		p := edge(fine)
		p.Fill = paper.Solid(0.25)
		return []paper.Item{p}
	case "pond":
		p := edge(fine)
		p.Fill = paper.Solid(paper.White)
		return []paper.Item{p, hatch("pond")}
	case "block":
		return []paper.Item{edge(dashed(paper.Pen{Width: 0.18, Grey: paper.Black}, 1.8, 1))}
	case "septic":
		return []paper.Item{edge(dashed(fine, 1.2, 0.8))}
	}
	return []paper.Item{edge(paper.Pen{Width: 0.3, Grey: paper.Mid})}
}

// spotSign draws a point that is no plant.
func spotSign(key string, at paper.Point) []paper.Item {
	white := paper.Solid(paper.White)
	box := func(r float64) paper.Box { return paper.Box{X: at.X - r, Y: at.Y - r*0.7, W: 2 * r, H: 1.4 * r} }
	switch key {
	case "well":
		return []paper.Item{paper.Ring{At: at, R: 1.3, Pen: fine, Fill: white}, paper.Ring{At: at, R: 0.5, Fill: paper.Solid(paper.Black)}}
	case "septic":
		return []paper.Item{box(1.5).Path(fine, white), paper.Line(fine, cross(at, 0, 1.05)...)}
	case "protected":
		return []paper.Item{paper.Ring{At: at, R: 1.3, Pen: dashed(fine, 0.6, 0.4), Fill: white}, paper.Line(fine, stroke(at, 45, 1)...), paper.Line(fine, stroke(at, -45, 1)...)}
	}
	return []paper.Item{paper.Ring{At: at, R: 0.9, Pen: paper.Pen{Width: 0.3, Grey: paper.Mid}, Fill: white}}
}
