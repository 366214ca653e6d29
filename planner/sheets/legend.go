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
		{"septic", "septic tank", spotSample("septic")}, {"well", "well", spotSample("well")}, {"unplanted", "windbreak or row, not set out", lineSample("", "")},
		{"strange", "something else", lineSample("", "")},
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

// legend draws the samples of the signs in use, in two columns where one does not hold them; those for which there is no room are
// given back.
func (c *column) legend(used map[string]bool) (rest []sample) {
	var all []sample
	for _, s := range samples() {
		if used[s.key] {
			all = append(all, s)
		}
	}
	const gutter = 2.0
	columns, width := 1, c.box.W
	if c.samplesHigh(all, width) > c.left() {
		columns, width = 2, (c.box.W-gutter)/2
	}
	half := c.samplesHigh(all, width) / float64(columns)
	top, most, col := c.y, c.y, 0
	for i, s := range all {
		need := c.sampleHigh(s, width)
		if c.y+need > c.box.Bottom() {
			if col++; col >= columns {
				rest = all[i:]
				break
			}
			c.y = top
		}
		c.sample(s, paper.Box{X: c.box.X + float64(col)*(width+gutter), Y: c.y, W: width, H: need})
		c.y += need
		most = max(most, c.y)
		// The columns are of about one height.
		if col+1 < columns && c.y-top >= half && i+1 < len(all) {
			col, c.y = col+1, top
		}
	}
	c.y = most
	return rest
}

// sampleRoom is the width of a sample and of the blank behind it, in a column of the legend.
func sampleRoom(width float64) (wide, text float64) {
	if width < 45 {
		return 8, 10
	}
	return 11, 14
}

func (c *column) sampleText(s sample, width float64) []string {
	_, at := sampleRoom(width)
	return paper.Wrap(s.say, paper.Regular, c.size, width-at)
}

func (c *column) sampleHigh(s sample, width float64) float64 {
	return max(5, float64(len(c.sampleText(s, width)))*c.size*1.2+1)
}

func (c *column) samplesHigh(all []sample, width float64) float64 {
	sum := 0.0
	for _, s := range all {
		sum += c.sampleHigh(s, width)
	}
	return sum
}

func (c *column) sample(s sample, b paper.Box) {
	const high = 3.6
	wide, at := sampleRoom(b.W)
	c.out = append(c.out, paper.Group{Class: "sample", ID: s.key, Items: s.draw(paper.Box{X: b.X, Y: b.Y + 0.7, W: wide, H: high})})
	for i, l := range c.sampleText(s, b.W) {
		c.out = append(c.out, paper.Text{At: paper.Point{X: b.X + at, Y: b.Y + 0.7 + c.size*(1.1+1.2*float64(i))}, S: l, Size: c.size})
	}
}

// crownText says what the rings round plants are.
func crownText(year int) string {
	if year == 0 {
		return "Rings round plants: crowns at true size in the planting winter."
	}
	return fmt.Sprintf("Rings round plants: crowns at true size, %d %s after planting.", year, strings.TrimSuffix("years", map[bool]string{true: "s"}[year == 1]))
}
