package sheets

import (
	"fmt"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/paper"
)

// A sample is a sign of the legend, drawn into a box of 11 by 4 mm.
type sample struct {
	key, say string
	draw     func(b paper.Box) []paper.Item
}

// across is a line through the middle of a box.
func across(b paper.Box) []paper.Point {
	m := b.Middle()
	return []paper.Point{{X: b.X, Y: m.Y}, {X: b.Right(), Y: m.Y}}
}

func areaSample(keys ...string) func(paper.Box) []paper.Item {
	return func(b paper.Box) []paper.Item {
		c := b.Corners(paper.Point{}, 0)
		var out []paper.Item
		for _, k := range keys {
			out = append(out, areaSign(k, [][]paper.Point{c[:]}, b)...)
		}
		return out
	}
}

func lineSample(k planner.Kind, mark string) func(paper.Box) []paper.Item {
	return func(b paper.Box) []paper.Item { return lineSign(k, across(b), 0, mark) }
}

func plantSample(sign string, standing bool) func(paper.Box) []paper.Item {
	return func(b paper.Box) []paper.Item { return plantSign(sign, b.Middle(), b.H*0.5, 1.3, standing) }
}

func spotSample(key string) func(paper.Box) []paper.Item {
	return func(b paper.Box) []paper.Item { return spotSign(key, b.Middle()) }
}

func gapSample(filled bool) func(paper.Box) []paper.Item {
	return func(b paper.Box) []paper.Item {
		l := across(b.Inset(1.5))
		return bracket(l[0], l[1], filled, 0)
	}
}

// samples are all signs in the order of the legend.
func samples() []sample {
	return []sample{
		{"parcel", "field", areaSample("parcel")}, {"dry", "dry ground", areaSample("dry", "patch")}, {"damp", "damp ground", areaSample("damp", "patch")},
		{"wet", "wet ground", areaSample("wet", "patch")}, {"waterlogged", "standing water", areaSample("waterlogged", "patch")},
		{"bed", "bed", areaSample("bed")}, {"protected", "protected: do not plant", areaSample("protected")}, {"building", "building", areaSample("building")},
		{"watercourse", "stream", lineSample(planner.KindWatercourse, "")}, {"pond", "pond", areaSample("pond")}, {"ditch", "ditch", lineSample(planner.KindDitch, "")},
		{"drain", "field drain, buried", lineSample(planner.KindDrain, "")},
		{"service", "buried: S sewer, W water, G gas, E electricity, T telecoms, ? unknown", lineSample(planner.KindService, "?")},
		{"road", "road", lineSample(planner.KindRoad, "")}, {"track", "track", lineSample(planner.KindTrack, "")}, {"path", "path", lineSample(planner.KindPath, "")},
		{"overhead_line", "wires overhead", lineSample(planner.KindOverheadLine, "")}, {"fence", "fence", lineSample(planner.KindFence, "")},
		{"wall", "wall", lineSample(planner.KindWall, "")}, {"screen", "screen", lineSample(planner.KindScreen, "")},
		{"gateway", "gateway", func(b paper.Box) []paper.Item { l := across(b.Inset(1.8)); return posts(l[0], l[1]) }},
		{"hedge-old", "standing hedge", func(b paper.Box) []paper.Item { return beads(chainOf(across(b)), 0, true) }},
		{"hedge-new", "new hedge", func(b paper.Box) []paper.Item { return beads(chainOf(across(b)), 0, false) }},
		{"gap", "gap", gapSample(false)}, {"gap-filled", "gap to be filled", gapSample(true)},
		{"block", "orchard or grove", areaSample("block")},
		{signTree, "broadleaved tree", plantSample(signTree, false)}, {signFruit, "fruit tree", plantSample(signFruit, false)},
		{signConifer, "conifer", plantSample(signConifer, false)}, {signBush, "bush", plantSample(signBush, false)},
		{signUnknown, "plant, kind not known", plantSample(signUnknown, false)}, {"tree-old", "standing tree or bush", plantSample(signTree, true)},
		{"septic", "septic tank", spotSample("septic")}, {"well", "well", spotSample("well")}, {"strange", "something else", lineSample("", "")},
		{"stop", "must be mended", findingSample(planner.Stop)}, {"warn", "warning", findingSample(planner.Warn)}, {"note", "worth knowing", findingSample(planner.Note)},
	}
}

func findingSample(s planner.Severity) func(paper.Box) []paper.Item {
	return func(b paper.Box) []paper.Item { return findingSign(s, b.Middle(), "1") }
}

// A column writes downwards in a box of the panel until it is full.
type column struct {
	box  paper.Box
	y    float64
	size float64 // of the text
	out  []paper.Item
}

func (c *column) left() float64 { return c.box.Bottom() - c.y }

// para writes a text if it fits whole.
func (c *column) para(text string, face paper.Face, size float64) bool {
	lines := paper.Wrap(paper.Fit(text, face), face, size, c.box.W)
	need := float64(len(lines)) * size * 1.25
	if need > c.left() {
		return false
	}
	for _, l := range lines {
		c.y += size * 1.25
		c.out = append(c.out, paper.Text{At: paper.Point{X: c.box.X, Y: c.y - size*0.3}, S: l, Size: size, Face: face})
	}
	return true
}

func (c *column) rule() {
	c.y += 1.2
	c.out = append(c.out, paper.Line(thin, paper.Point{X: c.box.X, Y: c.y}, paper.Point{X: c.box.Right(), Y: c.y}))
	c.y += 1
}

// legend draws the samples of the signs in use; those for which there is no room are given back.
func (c *column) legend(used map[string]bool) (rest []sample) {
	const high, step = 3.6, 5.0
	full := false
	for _, s := range samples() {
		if !used[s.key] {
			continue
		}
		lines := paper.Wrap(s.say, paper.Regular, c.size, c.box.W-14)
		need := max(step, float64(len(lines))*c.size*1.25+1)
		if full || need > c.left() {
			full = true
			rest = append(rest, s)
			continue
		}
		b := paper.Box{X: c.box.X, Y: c.y + 0.7, W: 11, H: high}
		c.out = append(c.out, paper.Group{Class: "sample", ID: s.key, Items: s.draw(b)})
		for i, l := range lines {
			c.out = append(c.out, paper.Text{At: paper.Point{X: c.box.X + 14, Y: c.y + 0.7 + c.size*(1.1+1.2*float64(i))}, S: l, Size: c.size})
		}
		c.y += need
	}
	return rest
}

// crownText says what the rings round plants are.
func crownText(year int) string {
	if year == 0 {
		return "Rings round plants: crowns at true size in the planting winter."
	}
	return fmt.Sprintf("Rings round plants: crowns at true size, %d %s after planting.", year, strings.TrimSuffix("years", map[bool]string{true: "s"}[year == 1]))
}
