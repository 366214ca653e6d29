package sheets

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/geo"
	"quickthorn/planner/paper"
)

// A peg found again from its tie: where the two circles cross, on the side that is said. Distances are printed to the centimetre.
func TestTiesLeadBackToThePeg(t *testing.T) {
	fixed := FixedPoints(demo(t))
	require.Greater(t, len(fixed), 20)
	rapid.Check(t, func(t *rapid.T) {
		p := orb.Point{rapid.Float64Range(0, 210).Draw(t, "x"), rapid.Float64Range(0, 190).Draw(t, "y")}
		tie := TieOf(p, fixed)
		require.True(t, tie.Exists)
		da, db := math.Round(tie.FromA*100)/100, math.Round(tie.FromB*100)/100
		a, b := tie.A.At, tie.B.At
		d := geo.Dist(a, b)
		along := (da*da - db*db + d*d) / (2 * d)
		off := math.Sqrt(math.Max(0, da*da-along*along))
		ux, uy := (b[0]-a[0])/d, (b[1]-a[1])/d
		best := math.Inf(1)
		for _, side := range []float64{-1, 1} {
			q := orb.Point{a[0] + ux*along - uy*off*side, a[1] + uy*along + ux*off*side}
			if got := sideOf(q, a, b); tie.Side == "" || got == "" || got == tie.Side {
				best = math.Min(best, geo.Dist(p, q))
			}
		}
		// A centimetre on each tape, more where they cross at a flat angle or lie nearly on the line.
		limit := 0.03
		if tie.Weak || tie.Side == "" {
			limit = 0.5
		}
		require.Less(t, best, limit, "%v", tie)
	})
}

func TestFixedPointsAreNamed(t *testing.T) {
	in := inputOf(t, small(t).json(t))
	names := map[string]orb.Point{}
	for _, f := range FixedPoints(in) {
		_, twice := names[f.Name]
		assert.False(t, twice, "%s names two places", f.Name)
		names[f.Name] = f.At
	}
	for _, row := range []struct {
		name string
		x, y float64 // as drawn in small
	}{{"the south-west corner of House", 80, 60}, {"the north-east corner of House", 92, 70}, {"the north-west corner of Croft", 0, 80},
		{"the west post of Top gate", 58.2, 80}, {"the east post of Top gate", 61.8, 80}, {"the standing tree The oak", 85, 40}} {
		at, ok := names[row.name]
		if assert.True(t, ok, row.name) {
			assert.InDelta(t, row.x, at[0], 0.05, row.name)
			assert.InDelta(t, row.y, at[1], 0.05, row.name)
		}
	}
	assert.NotContains(t, names, "the standing tree House rowan", "what is to be planted is no fixed point")
}

func TestPegWithoutFixedPoints(t *testing.T) {
	tie := TieOf(orb.Point{0, 0}, nil)
	assert.False(t, tie.Exists)
	assert.Contains(t, tie.String(), "no two fixed points")
	tie = TieOf(orb.Point{0, 0}, []Fixed{{orb.Point{0, 0}, "the corner", 1}, {orb.Point{10, 0}, "the one", 1}, {orb.Point{0, 10}, "the other", 1}})
	assert.Equal(t, "It is the corner. Check: 10.00 m from the one and 10.00 m from the other, on the south-west side of the line between them.", tie.String())
}

// The block and what is left give the order of planting again.
func TestPeriodGivesTheOrderAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := rapid.SampledFrom([]string{"a", "b", "c"})
		block := rapid.SliceOfN(kind, 1, 40).Draw(t, "block")
		var names []string
		for range rapid.IntRange(2, 8).Draw(t, "times") {
			names = append(names, block...)
		}
		names = append(names, rapid.SliceOfN(kind, 0, 10).Draw(t, "rest")...)
		size, times := periodOf(names)
		require.GreaterOrEqual(t, times, 2)
		for i := range size * times {
			require.Equal(t, names[i%size], names[i])
		}
		if len(block) <= 30 {
			require.GreaterOrEqual(t, 2*size*times, 2*(len(names)-10-len(block))-size, "most of the line is blocks")
		}
	})
	size, times := periodOf([]string{"a", "b"})
	assert.LessOrEqual(t, times, 1, "%d", size)
}

// Counts of the sheets are those of the plan: every plant to be planted stands on exactly one line.
func TestSheetsCountEveryPlant(t *testing.T) {
	for name, in := range map[string]Input{"demo": demo(t), "small": inputOf(t, small(t).json(t))} {
		got := 0
		sub := ""
		heads := 0
		for _, p := range fieldParts(in) {
			switch {
			case p.head != "":
				sub, heads = p.head, heads+1
			case p.sub != "":
				sub = p.sub
			case p.table != nil:
				got += countOf(t, sub, p.table)
			}
		}
		assert.Equal(t, in.Out.Listed(), got, name)
		assert.Greater(t, heads, 3)
	}
}

// countOf is how many plants the lines of a table stand for.
func countOf(t *testing.T, sub string, table *paper.Table) int {
	column := func(title string) int {
		for i, c := range table.Columns {
			if c.Title == title {
				return i
			}
		}
		return -1
	}
	between := func(s string) int {
		a, b, two := strings.Cut(s, " to ")
		if !two {
			return 1
		}
		from, err := strconv.Atoi(a)
		require.NoError(t, err)
		to, err := strconv.Atoi(b)
		require.NoError(t, err)
		return to - from + 1
	}
	n := 0
	for _, r := range table.Rows {
		switch {
		case column("In order") >= 0:
			v, err := strconv.Atoi(r[column("Plants")])
			require.NoError(t, err)
			n += v
		case column("Number") >= 0:
			n += between(r[column("Number")])
		case strings.HasPrefix(sub, "Plants in the order"):
			n += between(r[column("Plants")])
		case sub == "Single trees and bushes":
			n++
		}
	}
	return n
}

// A long hedge takes few lines: its blocks, not its plants.
func TestLongHedgesAreShort(t *testing.T) {
	in := inputOf(t, newPlot(t, "Long").add("h", "LineString", map[string]any{"kind": "hedge", "name": "Long hedge", "mix": []any{
		map[string]any{"species": "hawthorn", "share_percent": 60}, map[string]any{"species": "hazel", "share_percent": 25}, map[string]any{"species": "field maple", "share_percent": 15}}}, 0, 0, 400, 0).json(t))
	require.Greater(t, in.Out.Listed(), 1900)
	rows := 0
	for _, p := range fieldParts(in) {
		if p.table != nil {
			rows += len(p.table.Rows)
		}
	}
	assert.Less(t, rows, 75)
}

// Six kilometres of one species: as few lines, and no block of one plant.
func TestAPureHedgeSaysSo(t *testing.T) {
	in := inputOf(t, newPlot(t, "Moor").add("h", "LineString", map[string]any{"kind": "hedge", "mix": []any{map[string]any{"species": "hawthorn", "share_percent": 100}}}, 0, 0, 6000, 0).json(t))
	require.Greater(t, in.Out.Listed(), 30000)
	rows, said := 0, ""
	for _, p := range fieldParts(in) {
		said += p.head + p.para
		if p.table != nil {
			rows += len(p.table.Rows)
			for _, r := range p.table.Rows {
				said += strings.Join(r, " ")
			}
		}
	}
	assert.Less(t, rows, 75)
	assert.Contains(t, said, "All are hawthorn.")
	assert.NotContains(t, said, "the block")
	assert.Contains(t, said, "Hedge h")
}

// A fixed point further off than a tape reaches is said to be.
func TestATieLongerThanTheTapeIsSaid(t *testing.T) {
	far := []Fixed{{orb.Point{0, 101}, "the one", 1}, {orb.Point{50, 0}, "the other", 1}}
	assert.Contains(t, TieOf(orb.Point{0, 0}, far).String(), "more than a 100 m tape")
	far[0].At = orb.Point{0, 99}
	assert.NotContains(t, TieOf(orb.Point{0, 0}, far).String(), "tape:")
}

// The sheets as PDF: text that Poppler reads, every sheet there, pages of A4.
func TestFieldSheetsAreReadByPoppler(t *testing.T) {
	in := inputOf(t, small(t).json(t))
	var b bytes.Buffer
	require.NoError(t, WriteFieldPDF(&b, in, Options{Date: "1 December 2026"}))
	file := filepath.Join(t.TempDir(), "field.pdf")
	require.NoError(t, os.WriteFile(file, b.Bytes(), 0o644))
	text := strings.Join(strings.Fields(poppler(t, "pdftotext", "-layout", file, "-")), " ")
	for _, want := range []string{"Pegging out: Brook End", "1 December 2026", "New hedge", "West belt", "Orchard", "Old hedge", "House rowan", "Gaps and gateways", "2.50 m to the", "James Grieve"} {
		assert.Contains(t, text, want)
	}
	assert.Contains(t, poppler(t, "pdfinfo", file), "A4")
	assert.NotContains(t, text, "The oak plant", "what stands is not pegged out")
	empty := inputOf(t, newPlot(t, "Bare").add("f", "Polygon", map[string]any{"kind": "parcel"}, 0, 0, 9, 0, 9, 9, 0, 9).json(t))
	b.Reset()
	require.NoError(t, WriteFieldHTML(&b, empty, Options{}))
	assert.Contains(t, b.String(), "Nothing is to be pegged out")
}

// On the sketches of the sheets no text lies over another, over a sign or beyond the frame, and each picture is at a round scale that
// holds every peg; names up to 60 characters long.
func TestSketchesAreNotCrowded(t *testing.T) {
	long := demo(t)
	plan := *long.Plan
	plan.Features = nil
	for _, f := range long.Plan.Features {
		g := *f
		g.Name = (f.Name + " beside the old sunken lane to the mill and the weir beyond it")[:60]
		plan.Features = append(plan.Features, &g)
	}
	long.Plan = &plan
	for name, in := range map[string]Input{"demo": demo(t), "long names": long, "small": inputOf(t, small(t).json(t))} {
		pictures := 0
		for _, p := range fieldParts(in) {
			if p.picture == nil {
				continue
			}
			pictures++
			scale, high := p.picture.fit()
			assert.Contains(t, Scales, scale, name)
			assert.LessOrEqual(t, high, mostPicture, name)
			s := pictureSketch(in, p.picture, paper.Box{W: pictureWidth, H: high})
			for _, g := range p.picture.pegs {
				assert.True(t, s.v.frame.Inset(2).Holds(s.v.at(g.At)), "%s: peg %s", name, g.Name)
				assert.True(t, letterIsBy(s, g.Name, s.v.at(g.At)), "%s: peg %s has its name beside it, or a line to it", name, g.Name)
			}
			for i, a := range s.labels.taken {
				// The marks of pegs, which are the first, lie where the pegs do: two may be a hand's breadth apart.
				for _, b := range s.labels.taken[max(i+1, len(p.picture.pegs)):] {
					assert.True(t, paper.Apart(a, b), name)
				}
				for _, c := range a {
					assert.True(t, s.v.frame.Holds(c), name)
				}
			}
			for _, i := range s.top {
				text, ok := i.(paper.Text)
				if !ok || text.Face == paper.Bold {
					continue // the names of pegs may lie over what stands close about them
				}
				w := paper.Width(text.S, text.Face, text.Size)
				c := paper.Box{X: text.At.X - w/2, Y: text.At.Y - text.Size*0.7, W: w, H: text.Size * 0.7}.Corners(text.At, text.Turn)
				for _, b := range s.busy {
					assert.True(t, paper.Apart(c, b.Inset(0.2).Corners(paper.Point{}, 0)), "%s: %s over a sign", name, text.S)
				}
			}
			assert.Empty(t, s.labels.short, "there is no legend to explain letters")
		}
		assert.Greater(t, pictures, 3, name)
	}
}

// letterIsBy tells whether the name of a peg stands within 3 mm of the peg's place, measured to the nearest side of the letter, or a line
// runs from the place to it.
func letterIsBy(s *sketch, name string, at paper.Point) bool {
	for _, i := range s.top {
		text, ok := i.(paper.Text)
		if !ok || text.S != name || text.Face != paper.Bold {
			continue
		}
		half := paper.Width(name, text.Face, text.Size) / 2
		away := math.Hypot(max(0, math.Abs(text.At.X-at.X)-half), max(0, math.Abs(text.At.Y-text.Size*0.35-at.Y)-text.Size*0.35))
		return away < 3 || slices.ContainsFunc(s.top, func(i paper.Item) bool {
			line, ok := i.(paper.Path)
			if !ok || len(line.Chains) == 0 || len(line.Chains[0]) != 2 || line.Chains[0][0] != at {
				return false
			}
			end := line.Chains[0][1]
			return math.Hypot(end.X-text.At.X, end.Y-text.At.Y) < text.Size
		})
	}
	return false
}

// A number is not broken over two lines on the page.
func TestNumbersOfThePageStayWhole(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, WriteFieldHTML(&b, inputOf(t, small(t).json(t)), Options{}))
	assert.Contains(t, b.String(), "td.n { overflow-wrap: normal; white-space: nowrap; }")
	assert.Contains(t, b.String(), `<td class="n">`)
}

// Sheets made from part of a plan say so, and what is not set out is drawn all the same.
func TestWhatIsNotSetOutIsNotLost(t *testing.T) {
	in := inputOf(t, newPlot(t, "Brook End").
		add("croft", "Polygon", map[string]any{"kind": "parcel", "name": "Croft"}, 0, 0, 100, 0, 100, 80, 0, 80).
		add("belt", "LineString", map[string]any{"kind": "windbreak", "name": "West belt"}, 10, 10, 10, 70).
		add("limes", "LineString", map[string]any{"kind": "row", "name": "Old limes", "status": "existing"}, 20, 10, 20, 70).
		add("old", "LineString", map[string]any{"kind": "hedge", "status": "existing"}, 30, 10, 30, 70).
		add("gap", "LineString", map[string]any{"kind": "gap"}, 40, 10, 40, 20).
		add("spot", "Point", map[string]any{"kind": "gap"}, 50, 10).json(t))
	d, err := Draw(in, Options{Paper: "A3"})
	require.NoError(t, err)
	drawn := map[string]bool{}
	for _, e := range readSVG(t, svgOf(t, d, 1)) {
		drawn[e.id] = true
	}
	for _, id := range []string{"belt", "limes", "old", "gap", "spot", "unplanted"} {
		assert.True(t, drawn[id], id)
	}
	var said []string
	for _, p := range fieldParts(in) {
		said = append(said, p.para)
	}
	all := strings.Join(said, "\n")
	assert.Contains(t, all, "West belt has no sheet here, since it is not set out: it says nothing of its rows.")
	assert.NotContains(t, all, "limes", "what stands is not pegged out")
	assert.Contains(t, all, "Nothing is to be pegged out.")
}

// Bearings run from 0 to under 360 degrees; a hair west of north is north.
func TestBearingsOfPegs(t *testing.T) {
	for deg, want := range map[float64]string{0: "0.0°", 359.96: "0.0°", 359.94: "359.9°", 90: "90.0°"} {
		assert.Equal(t, want, bearingText(deg))
	}
}
