package setout_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/setout"
)

func belt(id string, d planner.Windbreak, lines ...orb.LineString) *planner.Feature {
	return &planner.Feature{ID: id, Kind: planner.KindWindbreak, Status: planner.Planned, Sound: true, Shape: planner.Shape{Lines: lines}, Detail: &d}
}

func row(id string, d planner.Row, lines ...orb.LineString) *planner.Feature {
	return &planner.Feature{ID: id, Kind: planner.KindRow, Status: planner.Planned, Sound: true, Shape: planner.Shape{Lines: lines}, Detail: &d}
}

func TestBeltCounts(t *testing.T) {
	alder := []planner.Share{{Species: "common alder", SharePercent: 100}}
	cases := []struct {
		length, spacing float64
		first, second   int
		source          string
	}{
		{100, 1.5, 67, 66, "derived: floor(100 / 1.5) = 66 intervals, ends included: 67"},
		{50, 1.5, 34, 33, "derived: floor(50.02 / 1.5) + 1; between them one less"},
		{48, 1.5, 33, 32, "derived: exact fit"},
		{47.99, 1.5, 33, 32, "derived: 20 mm forgiven"},
		{47.97, 1.5, 32, 31, "derived: 30 mm is not"},
		{1, 1.5, 1, 0, "derived: one in the middle, none between"},
	}
	for _, c := range cases {
		d := planner.Windbreak{RowGapM: 2.5, Rows: []planner.BeltRow{{Mix: alder, SpacingM: c.spacing}, {Mix: alder, SpacingM: c.spacing}, {Mix: alder, SpacingM: c.spacing}}}
		h := planner.DefaultHolding()
		h.WindFromDeg = 270
		for _, line := range []orb.LineString{{{0, 0}, {0, c.length}}, {{0, c.length}, {0, 0}}} {
			l := set(t, planWith(t, h, belt("w", d, line)), "general").Of("w")
			require.Len(t, l.Rows, 3)
			assert.Equal(t, []int{c.first, c.second, c.first}, []int{l.Rows[0].Plants, l.Rows[1].Plants, l.Rows[2].Plants}, c.source)
			for _, p := range l.Plants {
				assert.InDelta(t, 2.5*float64(p.Row), p.At[0], 1e-9, "wind from the west: the rows lie to the east, whichever way it is drawn")
			}
			for i := 1; i < len(l.Plants); i++ {
				if a, b := l.Plants[i-1], l.Plants[i]; a.Row == b.Row {
					assert.InDelta(t, c.spacing, geo.Dist(a.At, b.At), 1e-9)
				}
			}
		}
	}
}

func TestLeeSide(t *testing.T) {
	at := func(bearing float64) orb.LineString {
		u := geo.Direction(bearing)
		return orb.LineString{{0, 0}, {50 * u[0], 50 * u[1]}}
	}
	cases := []struct {
		bearing, wind float64
		side          string
		left, remark  bool
	}{
		{0, 270, "auto", false, false},
		{180, 270, "auto", true, false},
		{0, 90, "auto", true, false},
		{90, 180, "auto", true, false},
		{90, 0, "auto", false, false},
		{135, 225, "auto", true, false},
		{0, 350, "auto", false, true},
		{0, 10, "auto", false, true},
		{0, 170.5, "auto", false, true},
		{0, 11, "auto", true, false},
		{0, 349, "auto", false, false},
		{0, 0, "left", true, false},
		{0, 90, "right", false, false},
	}
	for _, c := range cases {
		t.Run(fmt.Sprintf("%g into %g %s", c.bearing, c.wind, c.side), func(t *testing.T) {
			h := planner.DefaultHolding()
			h.WindFromDeg = c.wind
			d := planner.Windbreak{RowGapM: 2.5, Side: c.side, Rows: []planner.BeltRow{{Mix: hawthorn, SpacingM: 1}, {Mix: hawthorn, SpacingM: 1}}}
			l := set(t, planWith(t, h, belt("w", d, at(c.bearing))), "general").Of("w")
			assert.Equal(t, c.left, l.Rows[1].OffsetM > 0)
			assert.InDelta(t, 2.5, math.Abs(l.Rows[1].OffsetM), 1e-9)
			assert.Equal(t, c.remark, len(l.Remarks) == 1)
		})
	}
}

// Rows of a belt with a bend are true parallels: mitred outside, trimmed where they would fold.
func TestBeltBend(t *testing.T) {
	line := orb.LineString{{0, 0}, {30, 0}, {30, 30}}
	d := planner.Windbreak{RowGapM: 2.5, Side: "right", Rows: []planner.BeltRow{{Mix: hawthorn, SpacingM: 1}, {Mix: hawthorn, SpacingM: 1}}}
	l := set(t, plan(t, belt("w", d, line)), "general").Of("w")
	assert.InDelta(t, 65, geo.Length(l.Rows[1].Path), 1e-9, "30 + 30 + 2 x 2.5 tan 45")
	assert.Equal(t, []int{61, 65}, []int{l.Rows[0].Plants, l.Rows[1].Plants}, "floor(60.02) + 1; floor(65.02 - 1) + 1")
	d.Side = "left"
	l = set(t, plan(t, belt("w", d, line)), "general").Of("w")
	assert.InDelta(t, 55, geo.Length(l.Rows[1].Path), 1e-9)
	assert.Equal(t, 55, l.Rows[1].Plants)
	c := geo.NewChain(line)
	for _, p := range l.Plants {
		_, _, dist := c.Project(p.At)
		assert.InDelta(t, 2.5*float64(p.Row), dist, 1e-4)
	}
	hook := orb.LineString{{0, 0}, {30, 0}, {30, 3}, {0, 3}}
	d.Rows = append(d.Rows, planner.BeltRow{Mix: hawthorn, SpacingM: 1})
	l = set(t, plan(t, belt("w", d, hook)), "general").Of("w")
	require.Empty(t, l.Failed)
	assert.True(t, l.Rows[1].Trimmed)
}

// Rows whose spacing differs from the row before are not staggered but hold their own number.
func TestBeltOfTwoSpacings(t *testing.T) {
	d := planner.Windbreak{RowGapM: 2.5, Side: "left", Rows: []planner.BeltRow{{Mix: hawthorn, SpacingM: 1}, {Mix: hawthorn, SpacingM: 2}}}
	l := set(t, plan(t, belt("w", d, straight(50))), "general").Of("w")
	assert.Equal(t, []int{51, 26}, []int{l.Rows[0].Plants, l.Rows[1].Plants})
}

func TestRowSpacingFromTheCatalogue(t *testing.T) {
	d := planner.Row{Trees: []planner.Tree{{Species: "apple", Cultivar: "Discovery", Rootstock: "MM106", SharePercent: 50}, {Species: "apple", Cultivar: "James Grieve", Rootstock: "M26", SharePercent: 50}}}
	p := plan(t, row("r", d, straight(36)))
	out := set(t, p, "general")
	l := out.Of("r")
	assert.InDelta(t, 3.6, l.SpacingM, 1e-9, "Royal Horticultural Society, apples on MM106: 3.6 m, the wider of the two")
	assert.Len(t, l.Plants, 11)
	assert.Equal(t, setout.DefaultUse{Value: 3.6, Features: []string{"r"}}, setout.Defaults(p, out, ruleset(t, "general"))["row.spacing_m"])

	l = set(t, plan(t, row("r", planner.Row{Mix: []planner.Share{{Species: "moonberry", SharePercent: 100}}}, straight(36))), "general").Of("r")
	assert.NotEmpty(t, l.Failed)
	assert.Empty(t, l.Plants)
}

func TestBeltWithoutRows(t *testing.T) {
	for status, want := range map[planner.Status]int{planner.Planned: 1, planner.Existing: 0} {
		f := belt("w", planner.Windbreak{RowGapM: 2.5}, straight(50))
		f.Status = status
		l := set(t, plan(t, f), "general").Of("w")
		assert.Len(t, l.Remarks, want, "what stands there already need not say how it was planted")
		assert.InDelta(t, 50, l.Line.LengthM, 1e-9)
		assert.Empty(t, l.Plants)
	}
}
