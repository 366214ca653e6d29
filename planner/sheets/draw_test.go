package sheets

import (
	"bytes"
	"encoding/json"
	"flag"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/planner"
	"quickthorn/planner/paper"
)

var update = flag.Bool("update", false, "write the golden files anew")

// The requirement: a line of 100 m is as long on the page as the scale says, within 0.2 mm.
const close02 = 0.2

// A fence of 100 m measured on the page, at every scale, in both formats. Source of the lengths: 100 m x 1000 / scale.
func TestHundredMetresMeasuredOnThePage(t *testing.T) {
	plan := newPlot(t, "Ruler").add("fence", "LineString", map[string]any{"kind": "fence"}, 0, 0, 100, 0).
		add("field", "Polygon", map[string]any{"kind": "parcel"}, -5, -5, 105, -5, 105, 20, -5, 20)
	in := inputOf(t, plan.json(t))
	for _, row := range []struct {
		scale int
		want  float64 // mm
		paper string
	}{{200, 500, "A1"}, {250, 400, "A2"}, {500, 200, "A3"}, {1000, 100, "A4"}, {1250, 80, "A4"}, {2500, 40, "A4"}} {
		d, err := Draw(in, Options{Scale: row.scale, Paper: row.paper})
		require.NoError(t, err)
		require.Zero(t, d.Tiles, "1:%d fits on %s", row.scale, row.paper)
		svg := readSVG(t, svgOf(t, d, 1))
		root := svg[0].attr
		assert.Equal(t, "0 0 "+strings.TrimSuffix(root["width"], "mm")+" "+strings.TrimSuffix(root["height"], "mm"), root["viewBox"], "a unit of the drawing is a millimetre of paper")
		found := false
		for _, e := range svg {
			if e.class == "fence" && e.name == "path" {
				p := pathPoints(t, e.attr["d"])
				assert.InDelta(t, row.want, math.Hypot(p[1].X-p[0].X, p[1].Y-p[0].Y), close02, "SVG, 1:%d", row.scale)
				assert.InDelta(t, p[0].Y, p[1].Y, close02, "east is right: north is up")
				found = true
				break
			}
		}
		require.True(t, found)
		best := math.Inf(1)
		for _, s := range pdfSegments(t, pdfOf(t, d))[0] {
			if math.Abs(s.a.Y-s.b.Y) < 0.05 {
				best = min(best, math.Abs(s.length()-row.want))
			}
		}
		assert.Less(t, best, 0.02, "PDF, 1:%d: a level line of %g mm", row.scale, row.want)
		bar(t, svg, row.scale)
	}
}

// bar holds the scale bar and the ticks of the frame to what they say.
func bar(t *testing.T, svg []svgElement, scale int) {
	t.Helper()
	seen := map[string]bool{}
	for _, e := range svg {
		if e.name != "path" || seen[e.class] || e.class != "scale-bar" && e.class != "ticks" {
			continue
		}
		seen[e.class] = true
		m, err := strconv.ParseFloat(e.id, 64)
		require.NoError(t, err)
		want := m * 1000 / float64(scale)
		p := pathPoints(t, e.attr["d"])
		if e.class == "scale-bar" {
			assert.InDelta(t, want, p[1].X-p[0].X, close02)
			continue
		}
		var down []float64
		for i := 0; i+1 < len(p); i += 2 {
			if p[i].Y == p[i+1].Y { // a tick on the left or right edge
				down = append(down, p[i].Y)
			}
		}
		slices.Sort(down)
		down = slices.Compact(down)
		for i := 1; i < len(down); i++ {
			assert.InDelta(t, want, down[i]-down[i-1], close02, "ticks downwards")
		}
	}
	assert.True(t, seen["scale-bar"] && seen["ticks"])
}

// SVG and PDF show the same: every line of the one is in the other, to 0.01 mm.
func TestBothWritersShowTheSame(t *testing.T) {
	d, err := Draw(inputOf(t, small(t).json(t)), Options{Paper: "A4"})
	require.NoError(t, err)
	var lines []segment
	for _, e := range readSVG(t, svgOf(t, d, 1)) {
		if e.name != "path" || strings.Contains(e.attr["d"], "Z") {
			continue
		}
		for _, sub := range strings.Split(e.attr["d"], "M")[1:] {
			p := pathPoints(t, "M"+sub)
			for i := 1; i < len(p); i++ {
				lines = append(lines, segment{p[i-1], p[i]})
			}
		}
	}
	require.NotEmpty(t, lines)
	pdf := pdfSegments(t, pdfOf(t, d))[0]
	high := d.Pages[0].Height
	for _, l := range lines {
		require.True(t, slices.ContainsFunc(pdf, func(s segment) bool {
			near := func(p, q paper.Point) bool { return math.Abs(p.X-q.X) < 0.01 && math.Abs(high-p.Y-q.Y) < 0.01 }
			return near(s.a, l.a) && near(s.b, l.b)
		}), "%v", l)
	}
}

func TestPaperAndScaleAreChosen(t *testing.T) {
	field := func(w, h float64) Input {
		return inputOf(t, newPlot(t, "Field").add("f", "Polygon", map[string]any{"kind": "parcel"}, 0, 0, w, 0, w, h, 0, h).json(t))
	}
	for _, row := range []struct {
		what      string
		w, h      float64
		opt       Options
		scale     int
		landscape bool
		tiles     int
	}{
		// A square field of 5 ha (223.6 m) takes A3 at 1:1000; at 1:1250 it is 178.9 mm, and A4 has 190 mm less the air.
		{"5 ha on A3", 223.6, 223.6, Options{}, 1000, true, 0},
		{"5 ha on A4", 223.6, 223.6, Options{Paper: "A4"}, 1250, true, 0},
		{"long and narrow", 40, 240, Options{Paper: "A4"}, 1000, false, 0},
		{"a garden", 30, 30, Options{Paper: "A3"}, 200, true, 0},
		{"given", 30, 30, Options{Scale: 1000}, 1000, true, 0},
		{"turned by hand", 30, 30, Options{Scale: 1000, Turn: "portrait"}, 1000, false, 0},
		{"tiled", 223.6, 223.6, Options{Scale: 500}, 500, true, 4},
	} {
		d, err := Draw(field(row.w, row.h), row.opt)
		require.NoError(t, err, row.what)
		assert.Equal(t, row.scale, d.Scale, row.what)
		assert.Equal(t, row.landscape, d.Pages[0].Width > d.Pages[0].Height, row.what)
		assert.Equal(t, row.tiles, d.Tiles, row.what)
	}
	for _, row := range []struct {
		opt  Options
		says string
	}{{Options{Paper: "B4"}, "A4, A3, A2, A1 or A0"}, {Options{Scale: 700}, "200, 250, 500, 1000, 1250 or 2500"}, {Options{Turn: "upside down"}, "portrait or landscape"}} {
		_, err := Draw(field(50, 50), row.opt)
		assert.ErrorContains(t, err, row.says)
	}
	_, err := Draw(field(30000, 30000), Options{Scale: 200, Paper: "A4"})
	assert.ErrorContains(t, err, "larger paper")
	_, err = Draw(inputOf(t, newPlot(t, "Empty").json(t)), Options{})
	assert.ErrorContains(t, err, "nothing to draw")
}

// Tiles cover every place of the plan, and neighbours share a strip of at least 15 mm.
func TestTilesCoverAndOverlap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.Float64Range(50, 900).Draw(t, "w"), rapid.Float64Range(50, 900).Draw(t, "h")
		in := Input{Plan: inputOf(t, newPlot(t, "F").add("f", "Polygon", map[string]any{"kind": "parcel"}, 0, 0, w, 0, w, h, 0, h).json(t)).Plan}
		f, err := fitOn(in, Options{Scale: rapid.SampledFrom([]int{500, 1000}).Draw(t, "scale"), Paper: "A4"})
		require.NoError(t, err)
		if len(f.tiles) == 0 {
			return
		}
		box := in.Plan.Features[0].Shape.Bound()
		for range 20 {
			p := orb.Point{box.Min[0] + rapid.Float64Range(0, 1).Draw(t, "x")*(box.Max[0]-box.Min[0]), box.Min[1] + rapid.Float64Range(0, 1).Draw(t, "y")*(box.Max[1]-box.Min[1])}
			require.True(t, slices.ContainsFunc(f.tiles, func(s tile) bool { return f.bound(s).Contains(p) }), "%v on a tile", p)
		}
		for _, a := range f.tiles {
			for _, b := range f.tiles {
				if b.row == a.row && b.col == a.col+1 {
					require.InDelta(t, overlap, (f.bound(a).Max[0]-f.bound(b).Min[0])*1000/float64(f.scale), 1e-6)
				}
				if b.col == a.col && b.row == a.row+1 {
					require.InDelta(t, overlap, (f.bound(b).Max[1]-f.bound(a).Min[1])*1000/float64(f.scale), 1e-6)
				}
			}
		}
	})
}

// The key sheet shows every tile by its number, and the pages follow in that order.
func TestKeySheetNamesEveryTile(t *testing.T) {
	d, err := Draw(demo(t), Options{Scale: 250, Paper: "A4", Date: "12 May 2026"})
	require.NoError(t, err)
	require.Greater(t, d.Tiles, 4)
	require.Equal(t, 1+d.Tiles+d.Notes, len(d.Pages))
	var numbers []string
	for _, e := range readSVG(t, svgOf(t, d, 1)) {
		if e.class == "tile" && e.name == "text" {
			numbers = append(numbers, e.text)
		}
	}
	require.Len(t, numbers, d.Tiles)
	for i, n := range numbers {
		assert.Equal(t, strconv.Itoa(i+1), n)
		assert.Contains(t, d.Pages[i+1].Title, "sheet "+n)
	}
	_, err = Draw(demo(t), Options{Scale: 250, Paper: "A4"})
	require.NoError(t, err)
	assert.Error(t, Formats()[0].Write(&bytes.Buffer{}, d, len(d.Pages)+1))
	assert.Error(t, Formats()[0].Write(&bytes.Buffer{}, d, 0))
}

// No text or marker lies over another or is cut off by the frame, whatever the names.
func TestTextsNeitherOverlapNorAreCut(t *testing.T) {
	in := demo(t)
	rapid.Check(t, func(t *rapid.T) {
		plan := *in.Plan
		plan.Features = slices.Clone(in.Plan.Features)
		for i, f := range plan.Features {
			if rapid.IntRange(0, 2).Draw(t, "rename") == 0 {
				g := *f
				g.Name = rapid.StringOfN(rapid.RuneFrom([]rune("abc MWÄ.żЖ")), 1, 60, -1).Draw(t, "name")
				plan.Features[i] = &g
			}
		}
		changed := in
		changed.Plan = &plan
		f, err := fitOn(changed, Options{Scale: rapid.SampledFrom([]int{1000, 1250, 2500}).Draw(t, "scale"), Paper: "A3"})
		require.NoError(t, err)
		r := &renderer{in: changed, fit: f}
		v := centred(f.mapBox(), f.scale, r.middle())
		s := sketchOf(changed, v)
		s.putFindings(numberOf(changed.Findings))
		s.putNames()
		for i, a := range s.labels.taken {
			for _, p := range a {
				require.True(t, v.frame.Holds(p))
			}
			for _, b := range s.labels.taken[i+1:] {
				require.True(t, paper.Apart(a, b))
			}
		}
		// Every text that was drawn lies within one of the places taken.
		for _, i := range s.top {
			text, ok := i.(paper.Text)
			if !ok {
				continue
			}
			w := paper.Width(text.S, text.Face, text.Size)
			c := paper.Box{X: text.At.X - w/2, Y: text.At.Y - text.Size*0.7, W: w, H: text.Size * 0.7}.Corners(text.At, text.Turn)
			require.True(t, slices.ContainsFunc(s.labels.taken, func(p [4]paper.Point) bool { return within(c, p) }), text.S)
		}
	})
}

// within tells whether every corner of a lies in b, both wound alike.
func within(a, b [4]paper.Point) bool {
	for _, p := range a {
		for i := range b {
			q, r := b[i], b[(i+1)%4]
			if (r.X-q.X)*(p.Y-q.Y)-(r.Y-q.Y)*(p.X-q.X) < -0.05 {
				return false
			}
		}
	}
	return true
}

// Every name of the plan stands on the drawing or in the notes, and every finding with a place is marked or said to be left out.
func TestNothingIsLost(t *testing.T) {
	in := demo(t)
	long := strings.Repeat("Wintergreen ", 5) // 60 characters
	for _, f := range in.Plan.Features {
		if f.ID == "house-field" || f.ID == "lane-hedge" || f.ID == "gate-oak" {
			f.Name = long[:59] + "x"
		}
	}
	d, err := Draw(in, Options{Paper: "A4", Date: "12 May 2026", Author: "A. Planter"})
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "demo.pdf")
	require.NoError(t, os.WriteFile(file, pdfOf(t, d), 0o644))
	// In the order of writing, without the feet of the pages, which may stand within a sentence.
	text := regexp.MustCompile(`Planting plan: Sallow Bank\. 12 May 2026\s+page \d+ of \d+`).ReplaceAllString(poppler(t, "pdftotext", "-raw", file, "-"), "")
	flat := strings.Join(strings.Fields(text), "")
	has := func(want, what string) {
		assert.True(t, strings.Contains(flat, strings.Join(strings.Fields(want), "")), "%s: %s", what, want)
	}
	for _, f := range in.Plan.Features {
		if f.Name != "" {
			has(f.Name, f.ID)
		}
	}
	for _, want := range []string{"Sallow Bank", "12 May 2026", "A. Planter", "wind from 250°", "N", "1:" + thousands(d.Scale)} {
		has(want, "furniture")
	}
	for _, f := range in.Findings {
		has(f.Message, f.Rule)
		for _, c := range f.Cautions {
			has(c, "caution")
		}
	}
	fonts := poppler(t, "pdffonts", file)
	for _, line := range strings.Split(strings.TrimSpace(fonts), "\n")[2:] {
		cells := strings.Fields(line)
		require.Equal(t, "yes", cells[len(cells)-5], "embedded: %s", line)
		require.Equal(t, "yes", cells[len(cells)-3], "its text can be read: %s", line)
	}
}

// poppler runs one of Poppler's programs.
func poppler(t *testing.T, name string, args ...string) string {
	t.Helper()
	tool, err := exec.LookPath(name)
	require.NoError(t, err, "make needs installs poppler-utils")
	out, err := exec.Command(tool, args...).Output()
	require.NoError(t, err)
	return string(out)
}

// The legend explains the signs in use and no others.
func TestLegendHoldsOnlyWhatIsInUse(t *testing.T) {
	d, err := Draw(inputOf(t, small(t).json(t)), Options{Paper: "A3"})
	require.NoError(t, err)
	keys := map[string]bool{}
	for _, e := range readSVG(t, svgOf(t, d, 1)) {
		if e.class == "sample" {
			keys[e.id] = true
		}
	}
	for _, k := range []string{"parcel", "wet", "bed", "building", "hedge-old", "hedge-new", "gap", "gateway", "block", "conifer", "tree", "fruit", "tree-old"} {
		assert.True(t, keys[k], k)
	}
	for _, k := range []string{"pond", "ditch", "well", "overhead_line", "dry", "road", "septic", "strange"} {
		assert.False(t, keys[k], k)
	}
	all := map[string]bool{}
	for _, s := range samples() {
		assert.False(t, all[s.key], "%s stands twice", s.key)
		all[s.key] = true
		assert.NotEmpty(t, s.draw(paper.Box{X: 5, Y: 5, W: 11, H: 4}), s.key)
	}
}

// Crowns are rings at true size: 12 m are 24 mm at 1:500.
func TestCrownsAreTrueToScale(t *testing.T) {
	in := inputOf(t, small(t).json(t))
	want := map[string]float64{}
	for _, id := range []string{"oak", "rowan"} {
		m, known := in.Crown(&in.Out.Of(id).Plants[0])
		require.True(t, known, id)
		want[id] = m * 1000 / 500 / 2
	}
	d, err := Draw(in, Options{Scale: 500, Paper: "A3"})
	require.NoError(t, err)
	got := map[string]float64{}
	for _, e := range readSVG(t, svgOf(t, d, 1)) {
		if e.class == "plant" && e.name == "circle" {
			r, err := strconv.ParseFloat(e.attr["r"], 64)
			require.NoError(t, err)
			got[e.id] = max(got[e.id], r)
		}
	}
	for id, r := range want {
		assert.InDelta(t, r, got[id], 0.01, id)
	}
}

// Same plan, same bytes, whatever the order of the features.
func TestSameBytesInAnyOrder(t *testing.T) {
	data := small(t).json(t)
	var doc map[string]any
	require.NoError(t, json.Unmarshal(data, &doc))
	features := doc["features"].([]any)
	slices.Reverse(features)
	turned, err := json.Marshal(doc)
	require.NoError(t, err)
	one, err := Draw(inputOf(t, data), Options{})
	require.NoError(t, err)
	other, err := Draw(inputOf(t, turned), Options{})
	require.NoError(t, err)
	assert.True(t, bytes.Equal(svgOf(t, one, 1), svgOf(t, other, 1)))
	assert.True(t, bytes.Equal(pdfOf(t, one), pdfOf(t, other)))
	for _, f := range FieldFormats() {
		var a, b bytes.Buffer
		require.NoError(t, f.Write(&a, inputOf(t, data), Options{}))
		require.NoError(t, f.Write(&b, inputOf(t, turned), Options{}))
		assert.True(t, bytes.Equal(a.Bytes(), b.Bytes()), f.Name)
	}
}

func TestGolden(t *testing.T) {
	in := inputOf(t, small(t).json(t))
	// Findings of its own, so that a new rule does not change the picture.
	at := orb.Point{85, 40}
	in.Findings = []planner.Finding{
		{Rule: "a", Severity: planner.Stop, Message: "Stop here.", At: at, HasAt: true, Cautions: []string{"Mind the wires."}},
		{Rule: "b", Severity: planner.Warn, Message: "Look at this.", At: at, HasAt: true},
		{Rule: "c", Severity: planner.Note, Message: "Worth knowing.", At: orb.Point{30, 70}, HasAt: true},
		{Rule: "d", Severity: planner.Warn, Message: "Lived with.", At: at, HasAt: true, Accepted: &planner.Accepted{Reason: "it is so"}},
	}
	d, err := Draw(in, Options{Paper: "A4", Year: 10, Date: "1 December 2026", Author: "A. Planter"})
	require.NoError(t, err)
	var field bytes.Buffer
	require.NoError(t, WriteFieldHTML(&field, in, Options{Date: "1 December 2026"}))
	for name, got := range map[string][]byte{"small.svg": svgOf(t, d, 1), "small-field.html": field.Bytes()} {
		file := filepath.Join("testdata", name)
		if *update {
			require.NoError(t, os.MkdirAll("testdata", 0o755))
			require.NoError(t, os.WriteFile(file, got, 0o644))
		}
		want, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.Equal(t, string(want), string(got), "%s; write it anew with -update where the change is meant", file)
	}
}

// Names that try to break out of the markup stay texts.
func TestHostileNames(t *testing.T) {
	for _, name := range []string{`</text><script>alert(1)</script>`, `"><image href="x"/>`, "line\nbreak\u202egnirts", "nul\x00", "苹果 🍎", strings.Repeat("w", 3000), "(unbalanced \\( pdf"} {
		p := small(t)
		p.name = strings.ReplaceAll(name, "\x00", "")
		for _, f := range p.features {
			f["properties"].(map[string]any)["name"] = p.name
		}
		in := inputOf(t, p.json(t))
		d, err := Draw(in, Options{Date: name, Author: name})
		require.NoError(t, err)
		for page := range d.Pages {
			for _, e := range readSVG(t, svgOf(t, d, page+1)) {
				require.NotContains(t, []string{"script", "image"}, e.name, "%q", name)
			}
		}
		require.NotEmpty(t, pdfOf(t, d))
		var html bytes.Buffer
		require.NoError(t, WriteFieldHTML(&html, in, Options{Date: name}))
		require.NotContains(t, html.String(), "<script", "%q", name)
		require.NotContains(t, html.String(), "<image", "%q", name)
		require.NoError(t, WriteFieldPDF(&bytes.Buffer{}, in, Options{Date: name}))
	}
}

func BenchmarkDrawDemo(b *testing.B) {
	in := demo(b)
	for b.Loop() {
		d, err := Draw(in, Options{})
		require.NoError(b, err)
		pdfOf(b, d)
	}
}

// Markers do not hide the trees that they speak of, three to a tree, also where a tree is all that the plan holds.
func TestMarkersDoNotHideSinglePlants(t *testing.T) {
	one := newPlot(t, "One tree").add("oak", "Point", map[string]any{"kind": "plant", "species": "pedunculate oak"}, 0, 0)
	for name, p := range map[string]*plot{"one tree": one, "small": small(t)} {
		in := inputOf(t, p.json(t))
		in.Findings = nil
		for _, f := range in.Plan.Features {
			if f.Kind == planner.KindPlant {
				for range 3 {
					in.Findings = append(in.Findings, planner.Finding{Severity: planner.Warn, HasAt: true, At: f.Shape.Points[0]})
				}
			}
		}
		require.NotEmpty(t, in.Findings, name)
		s := sketchOf(in, centred(paper.Box{W: 300, H: 250}, 500, in.Findings[0].At))
		require.NotEmpty(t, s.lone, name)
		s.putFindings(numberOf(in.Findings))
		require.Len(t, s.labels.taken, len(in.Findings), name)
		for _, c := range s.labels.taken {
			for _, sign := range s.lone {
				assert.False(t, overlaps(around(c[:]...), sign), name)
			}
		}
	}
}
