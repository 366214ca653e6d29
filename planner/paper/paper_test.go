package paper

import (
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// ISO 216: the areas halve from A0 on, and the sides keep 1 to the square root of 2, to the millimetre that sides are rounded to.
func TestSizes(t *testing.T) {
	for _, row := range []struct {
		name string
		w, h float64 // ISO 216:2007, A series, mm
	}{{"A4", 210, 297}, {"A3", 297, 420}, {"A2", 420, 594}, {"A1", 594, 841}, {"A0", 841, 1189}} {
		s, ok := SizeNamed(row.name)
		require.True(t, ok)
		assert.Equal(t, Size{row.name, row.w, row.h}, s)
		assert.InDelta(t, math.Sqrt2, s.Height/s.Width, 0.005)
		low, ok := SizeNamed(strings.ToLower(row.name))
		assert.True(t, ok)
		assert.Equal(t, s, low)
	}
	for _, name := range []string{"", "A5", "B4", "A", "a44"} {
		_, ok := SizeNamed(name)
		assert.False(t, ok, name)
	}
}

// Wrapped lines are no wider than asked (a single character aside), and hold every letter in order.
func TestWrapKeepsTheWidthAndTheText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringOf(rapid.RuneFrom([]rune("ab Wi.é 苹\u00a0"))).Draw(t, "s")
		width := rapid.Float64Range(0.1, 60).Draw(t, "width")
		lines := Wrap(s, Regular, 3, width)
		require.NotEmpty(t, lines)
		for _, l := range lines {
			require.True(t, Width(l, Regular, 3) <= width+1e-9 || len([]rune(l)) == 1, "%q", l)
		}
		squeeze := func(s string) string {
			return strings.Join(strings.Fields(strings.ReplaceAll(s, "\u00a0", " ")), "")
		}
		require.Equal(t, squeeze(s), squeeze(strings.Join(lines, "")))
		short := Shorten(s, Bold, 3, width)
		require.True(t, short == s || Width(short, Bold, 3) <= width+1e-9 || short == "…")
	})
}

// A line as wide as the sum of its characters, whatever is in it; what the faces lack is a hollow square in both writers.
func TestFitAndWidth(t *testing.T) {
	assert.Equal(t, "a b □ é", Fit("a\nb 苹 é\u200b", Regular))
	assert.InDelta(t, Width("ab", Regular, 3)+Width("é", Regular, 3), Width("abé", Regular, 3), 1e-12)
	assert.InDelta(t, Width("□", Bold, 3), Width("🍎", Bold, 3), 1e-12)
	assert.Zero(t, Width("\u200b\x00", Regular, 3))
}

// Strokes of a hatch lie inside their area: their middles and ends within it by the even-odd rule.
func TestHatchStaysInside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var ring []Point
		n := rapid.IntRange(3, 9).Draw(t, "n")
		for i := range n {
			sin, cos := sincos(360 * float64(i) / float64(n))
			r := rapid.Float64Range(4, 30).Draw(t, "r")
			ring = append(ring, Point{50 + r*cos, 50 + r*sin})
		}
		h := Hatch{Gap: rapid.Float64Range(0.5, 4).Draw(t, "gap"), Deg: rapid.Float64Range(-90, 90).Draw(t, "deg"),
			Dash: rapid.SampledFrom([]float64{0, 2}).Draw(t, "dash"), Space: 1}
		for _, c := range h.Lines([][]Point{ring}).Chains {
			require.Len(t, c, 2)
			mid := Point{(c[0].X + c[1].X) / 2, (c[0].Y + c[1].Y) / 2}
			if math.Hypot(c[1].X-c[0].X, c[1].Y-c[0].Y) > 0.01 {
				require.True(t, inside(ring, mid), "%v", c)
			}
		}
	})
	assert.Empty(t, Hatch{Gap: 1}.Lines(nil).Chains)
	assert.Empty(t, Hatch{}.Lines([][]Point{{{0, 0}, {9, 0}, {9, 9}}}).Chains)
}

func inside(ring []Point, p Point) bool {
	in := false
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}

func TestApart(t *testing.T) {
	at := Point{0, 0}
	square := Box{-1, -1, 2, 2}
	for _, row := range []struct {
		what  string
		other [4]Point
		apart bool
	}{
		{"itself", square.Corners(at, 0), false},
		{"inside", Box{-0.1, -0.1, 0.2, 0.2}.Corners(at, 30), false},
		{"around", Box{-9, -9, 18, 18}.Corners(at, 0), false},
		{"touching", Box{1, -1, 2, 2}.Corners(at, 0), true},
		{"overlapping", Box{0.9, -1, 2, 2}.Corners(at, 0), false},
		// A square on its corner reaches 1.414 from its middle: the corner at 1.6 - 1.414 lies inside, at 2.5 it does not.
		{"corner in", Box{0.6, -1, 2, 2}.Corners(Point{1.6, 0}, 45), false},
		{"corner out", Box{1.5, -1, 2, 2}.Corners(Point{2.5, 0}, 45), true},
		// Boxes that overlap along both axes, parted by a slanting side only.
		{"across a corner", Box{1.1, 1.1, 2, 2}.Corners(Point{2.1, 2.1}, 45), true},
	} {
		assert.Equal(t, row.apart, Apart(square.Corners(at, 0), row.other), row.what)
		assert.Equal(t, row.apart, Apart(row.other, square.Corners(at, 0)), row.what)
	}
}

// Whatever texts hold, the SVG is well formed and the PDF is made, the same each time.
func TestWritersTakeAnyText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.String().Draw(t, "s")
		p := &Page{Width: 50, Height: 40, Title: s}
		p.Put(Text{At: Point{5, 5}, S: s, Size: 3, Turn: 20, Halo: 0.5, Anchor: Middle}, Group{Class: s, ID: s, Clip: &Box{1, 1, 9, 9}, Items: []Item{Ring{At: Point{3, 3}, R: 2, Fill: Solid(Mid)}}})
		var b bytes.Buffer
		require.NoError(t, SVG(&b, p))
		d := xml.NewDecoder(&b)
		for {
			if _, err := d.Token(); err == io.EOF {
				break
			} else {
				require.NoError(t, err)
			}
		}
	})
	p := &Page{Width: 50, Height: 40}
	p.Put(Text{At: Point{5, 5}, S: "()\\ \x00 苹 🍎", Size: 3})
	var a, b bytes.Buffer
	require.NoError(t, PDF(&a, "(\\", []*Page{p, p}))
	require.NoError(t, PDF(&b, "(\\", []*Page{p, p}))
	assert.True(t, bytes.Equal(a.Bytes(), b.Bytes()))
}

// Running text keeps to its columns, loses nothing and numbers its pages.
func TestFlowKeepsToItsColumns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, _ := SizeNamed("A4")
		f := NewFlow(s, rapid.Bool().Draw(t, "landscape"), rapid.IntRange(1, 3).Draw(t, "columns"), 3, "Title")
		n := rapid.IntRange(1, 60).Draw(t, "n")
		for range n {
			switch rapid.IntRange(0, 3).Draw(t, "what") {
			case 0:
				f.Heading("Heading " + strings.Repeat("word ", rapid.IntRange(0, 30).Draw(t, "words")))
			case 1:
				f.Para("zq " + strings.Repeat("word ", rapid.IntRange(0, 200).Draw(t, "words")))
			case 2:
				f.Box(strings.Repeat("w", rapid.IntRange(0, 300).Draw(t, "long")), "small")
			default:
				f.Table(Table{Columns: []Column{{"", 1, false}, {"Name", 5, false}, {"Count", 2, true}}, Rows: [][]string{{Tick, strings.Repeat("name ", 9), "12"}, {Tick, "x", "1"}}})
			}
		}
		pages := f.Pages(0, 0)
		require.NotEmpty(t, pages)
		for _, p := range pages {
			for _, i := range p.Items {
				if text, ok := i.(Text); ok {
					w := Width(text.S, text.Face, text.Size)
					left := text.At.X
					if text.Anchor == End {
						left -= w
					}
					require.GreaterOrEqual(t, left, flowMargin-0.01)
					require.LessOrEqual(t, left+w, p.Width-flowMargin+0.01, text.S)
					require.LessOrEqual(t, text.At.Y, p.Height-flowMargin+0.01)
				}
			}
		}
	})
}
