package setout_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
	"quickthorn/planner/setout"
)

func existing(id string, d planner.Hedge, lines ...orb.LineString) *planner.Feature {
	d.Rows = max(2, d.Rows)
	return hedge(id, planner.Existing, d, lines...)
}

func along(from, to float64) orb.LineString { return orb.LineString{{from, 0}, {to, 0}} }

func gateway(id string, at orb.Point, width float64) *planner.Feature {
	return &planner.Feature{ID: id, Kind: planner.KindGateway, Sound: true, Shape: planner.Shape{Points: []orb.Point{at}}, Detail: &planner.Gateway{WidthM: width}}
}

func gapLine(id string, line orb.LineString) *planner.Feature {
	return &planner.Feature{ID: id, Kind: planner.KindGap, Sound: true, Shape: planner.Shape{Lines: []orb.LineString{line}}, Detail: &planner.Gap{}}
}

func gapPoint(id string, at orb.Point, width float64) *planner.Feature {
	f := &planner.Feature{ID: id, Kind: planner.KindGap, Sound: true, Shape: planner.Shape{Points: []orb.Point{at}}, Detail: &planner.Gap{WidthM: width}}
	f.State("width_m")
	return f
}

// What is done about a gap of a given width, under each rule set.
func TestGapActions(t *testing.T) {
	const (
		bn7   = "RPA, BN7 Hedgerow gapping-up, 2023: as a new hedge, at least 6 a metre"
		glas  = "DAFM, GLAS laying and coppicing terms: at least 4 a metre in line with the hedge"
		cross = "Defra, Guide to cross compliance in England, 2015, GAEC 7a: a gap of more than 20 m"
		wales = "Welsh Government, Small Grants - Environment, 2023: a filled gap of 20 m or more is a new hedge"
		cp    = "common practice: below about 1 m a neighbour is laid across"
	)
	cases := []struct {
		set    string
		width  float64
		action setout.Action
		would  int
		source string
	}{
		{"england", 0.9, setout.CloseByLaying, 0, cp},
		{"england", 1.0, setout.Fill, 6, cp},
		{"england", 4, setout.Fill, 24, bn7},
		{"ireland", 4, setout.Fill, 16, glas},
		{"england", 3.2, setout.Fill, 20, "derived: ceil(6 x 3.18)"},
		{"england", 19.9, setout.Fill, 120, cross},
		{"england", 20.0, setout.Fill, 120, cross},
		{"england", 20.1, setout.NewHedge, 121, cross},
		{"general", 20.0, setout.Fill, 120, cross},
		{"wales", 19.9, setout.Fill, 120, wales},
		{"wales", 20.0, setout.NewHedge, 120, wales},
		{"wales", 20.1, setout.NewHedge, 121, wales},
	}
	for _, c := range cases {
		t.Run(fmt.Sprintf("%s %g m", c.set, c.width), func(t *testing.T) {
			for _, mix := range [][]planner.Share{nil, hawthorn} {
				h := existing("h", planner.Hedge{FillMix: mix}, along(0, 40), along(40+c.width, 100))
				l := set(t, plan(t, h), c.set).Of("h")
				require.Len(t, l.Line.Openings, 1, c.source)
				o := l.Line.Openings[0]
				assert.Equal(t, c.action, o.Action, c.source)
				assert.Equal(t, c.would, o.Would, c.source)
				want := 0
				if mix != nil && c.action == setout.Fill {
					want = c.would
				}
				assert.Equal(t, want, o.Plants)
				assert.Len(t, l.Plants, want, "a new hedge, and a gap with no fill_mix, list no plants")
				if c.action == setout.NewHedge {
					assert.InDelta(t, 100-c.width, l.Line.LengthM, 1e-9, "what splits the hedge is no part of its length")
					assert.Zero(t, l.Line.GapPercent)
				} else {
					assert.InDelta(t, 100, l.Line.LengthM, 1e-9)
					assert.InDelta(t, c.width, l.Line.GapPercent, 1e-9)
				}
			}
		})
	}
}

// The published cases of a hedge of 100 m (Defra, Hedgerow Survey Handbook, 2nd ed., 2007, thresholds: gaps under 10 % and none over 5 m).
func TestGapShares(t *testing.T) {
	cases := []struct {
		gaps []float64
		gate float64
		want float64
	}{
		{[]float64{4, 3, 2}, 0, 9},
		{[]float64{6}, 0, 6},
		{[]float64{1, 1, 1, 1, 1, 1, 1, 1, 1, 1}, 0, 10},
		{[]float64{3}, 6, 9},
	}
	for _, c := range cases {
		fs := []*planner.Feature{existing("h", planner.Hedge{}, along(0, 100))}
		at := 5.0
		for i, g := range c.gaps {
			fs = append(fs, gapLine(fmt.Sprintf("g%d", i), along(at, at+g)))
			at += g + 3
		}
		if c.gate > 0 {
			fs = append(fs, gateway("gate", orb.Point{80, 0.5}, c.gate))
		}
		l := set(t, plan(t, fs...), "england").Of("h")
		assert.InDelta(t, c.want, l.Line.GapPercent, 1e-9)
		assert.InDelta(t, 100, l.Line.LengthM, 1e-9)
	}
}

// The three ways of drawing a gap give the same answer.
func TestThreeDrawings(t *testing.T) {
	d := planner.Hedge{FillMix: hawthorn, Mix: hawthorn}
	gate := gateway("z-gate", orb.Point{71, 1}, 3)
	drawings := map[string][]*planner.Feature{
		"parts":                               {existing("a", d, along(0, 30), along(33, 90))},
		"gap line":                            {existing("a", d, along(0, 90)), gapLine("g", orb.LineString{{30, 1}, {33, -1}})},
		"gap line backwards":                  {existing("a", d, along(0, 90)), gapLine("g", orb.LineString{{33, 1}, {30, 1}})},
		"gap point":                           {existing("a", d, along(0, 90)), gapPoint("g", orb.Point{31.5, 2}, 3)},
		"two hedges":                          {existing("a", d, along(0, 30)), existing("b", d, along(33, 90))},
		"two hedges, one drawn the other way": {existing("a", d, along(0, 30)), existing("b", d, along(90, 33))},
	}
	for name, fs := range drawings {
		t.Run(name, func(t *testing.T) {
			out := set(t, plan(t, append(fs, gate)...), "england")
			a := out.Of("a")
			o := a.Line.Openings[0]
			assert.InDelta(t, 30, o.FromM, 1e-9)
			assert.InDelta(t, 33, o.ToM, 1e-9)
			assert.Equal(t, setout.Fill, o.Action)
			assert.Equal(t, 18, o.Plants, "ceil(6 x 2.98)")
			assert.InDelta(t, 100*6/90., a.Line.GapPercent, 1e-9)
			var length float64
			var openings, fills, living int
			for _, l := range out.Layouts {
				length += l.Line.LengthM
				openings += len(l.Line.Openings)
				assert.InDelta(t, 100*6/90., l.Line.GapPercent, 1e-9, "over both")
				for _, p := range l.Plants {
					if p.Use == setout.UseFill {
						fills++
						assert.InDelta(t, 31.5, p.At[0], 1.5-1./6)
						assert.InDelta(t, 0.2, math.Abs(p.At[1]), 1e-9)
					} else {
						living++
					}
				}
			}
			assert.InDelta(t, 90, length, 1e-9)
			assert.Equal(t, 2, openings, "listed once")
			assert.Equal(t, 18, fills)
			assert.Equal(t, 180+216+102, living, "30 m, 36 m to the gateway, 17 m beyond, each 0.5 m clear of it: ceil(6x29.98), ceil(6x35.98), ceil(6x16.98)")
		})
	}
}

func TestFacing(t *testing.T) {
	d := planner.Hedge{}
	from := func(x, y, bearing, length float64) orb.LineString {
		b := bearing * math.Pi / 180
		return orb.LineString{{x, y}, {x + length*math.Sin(b), y + length*math.Cos(b)}}
	}
	cases := []struct {
		name string
		b    *planner.Feature
		set  string
		want int
	}{
		{"straight on", existing("b", d, along(45, 80)), "england", 1},
		{"44 degrees off", existing("b", d, from(45, 0, 46, 30)), "england", 1},
		{"46 degrees off", existing("b", d, from(45, 0, 44, 30)), "england", 0},
		{"beside", existing("b", d, orb.LineString{{0, 5}, {40, 5}}), "england", 0},
		{"20 m apart, England", existing("b", d, along(60, 90)), "england", 1},
		{"20 m apart, Wales", existing("b", d, along(60, 90)), "wales", 0},
		{"20.1 m apart", existing("b", d, along(60.1, 90)), "england", 0},
		{"touching", existing("b", d, along(40, 80)), "england", 0},
		{"planned", hedge("b", planner.Planned, planner.Hedge{Rows: 2, Mix: hawthorn}, along(45, 80)), "england", 0},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			out := set(t, plan(t, existing("a", d, along(0, 40)), c.b), c.set)
			assert.Len(t, out.Of("a").Line.Openings, c.want)
			assert.Len(t, out.Of("a").Line.Continues, c.want)
			assert.Empty(t, out.Of("b").Line.Openings)
		})
	}
	t.Run("an end that touches a third hedge is not free", func(t *testing.T) {
		out := set(t, plan(t, existing("a", d, along(0, 40)), existing("b", d, along(45, 80)), existing("c", d, orb.LineString{{40, 0}, {40, 30}})), "england")
		assert.Empty(t, out.Of("a").Line.Openings)
	})
	t.Run("before the start of the lower id", func(t *testing.T) {
		out := set(t, plan(t, existing("a", d, along(45, 90)), existing("b", d, along(0, 40))), "england")
		require.Len(t, out.Of("a").Line.Openings, 1)
		o := out.Of("a").Line.Openings[0]
		assert.InDelta(t, -5, o.FromM, 1e-9)
		assert.InDelta(t, 0, o.ToM, 1e-9)
		assert.Equal(t, orb.Point{40, 0}, o.A)
		assert.Equal(t, orb.Point{45, 0}, o.B)
	})
	t.Run("a gateway between them", func(t *testing.T) {
		mix := planner.Hedge{Mix: hawthorn, FillMix: hawthorn}
		out := set(t, plan(t, existing("a", mix, along(0, 40)), existing("b", mix, along(44, 84)), gateway("g", orb.Point{42, 0}, 4)), "england")
		a, b := out.Of("a"), out.Of("b")
		require.Len(t, a.Line.Openings, 1)
		assert.Equal(t, setout.LeaveOpen, a.Line.Openings[0].Action)
		assert.Empty(t, b.Line.Openings, "the gateway is not in b itself")
		assert.Len(t, a.Plants, 237, "ceil(6 x (39.5 - 0.02)): 0.5 m clear of the gateway")
		assert.Len(t, b.Plants, 237)
	})
	t.Run("the nearest pair, each end once", func(t *testing.T) {
		out := set(t, plan(t, existing("a", d, along(0, 40)), existing("b", d, along(50, 80)), existing("c", d, orb.LineString{{46, 0.5}, {80, 30}})), "england")
		assert.Equal(t, []string{"c"}, out.Of("a").Line.Continues)
		assert.Empty(t, out.Of("b").Line.Continues)
	})
}

// A gateway within 3 m cuts whatever is planted, with 0.5 m clear on each side; what is left of a wider opening is a gap of its own.
func TestGateways(t *testing.T) {
	t.Run("cuts a new hedge", func(t *testing.T) {
		h := hedge("h", planner.Planned, planner.Hedge{Rows: 2, RowGapM: 0.4, PerMetre: 6, Mix: hawthorn}, along(0, 50))
		l := set(t, plan(t, h, gateway("g", orb.Point{20, 2.9}, 4)), "general").Of("h")
		require.Len(t, l.Line.Openings, 1)
		assert.InDelta(t, 8, l.Line.GapPercent, 1e-9)
		require.Len(t, l.Line.Runs, 2)
		assert.Equal(t, []int{105, 165}, []int{l.Line.Runs[0].Plants, l.Line.Runs[1].Plants}, "17.5 m and 27.5 m at 6 a metre")
		for _, p := range l.Plants {
			assert.False(t, p.Chainage > 17.5 && p.Chainage < 22.5)
		}
	})
	t.Run("cuts an old hedge of which nobody says what it is made of", func(t *testing.T) {
		l := set(t, plan(t, existing("h", planner.Hedge{}, along(0, 50)), gateway("g", orb.Point{20, 2.9}, 4)), "general").Of("h")
		assert.Equal(t, []setout.Run{{FromM: 0, ToM: 17.5}, {FromM: 22.5, ToM: 50}}, l.Line.Runs, "it stands all the same")
		assert.Empty(t, l.Plants)
	})
	t.Run("too far off", func(t *testing.T) {
		h := hedge("h", planner.Planned, planner.Hedge{Rows: 2, RowGapM: 0.4, PerMetre: 6, Mix: hawthorn}, along(0, 50))
		l := set(t, plan(t, h, gateway("g", orb.Point{20, 3.1}, 4)), "general").Of("h")
		assert.Empty(t, l.Line.Openings)
		assert.Len(t, l.Plants, 300)
	})
	t.Run("cuts every row of a belt", func(t *testing.T) {
		w := belt("w", planner.Windbreak{RowGapM: 2.5, Side: "left", Rows: []planner.BeltRow{{Mix: hawthorn, SpacingM: 1}, {Mix: hawthorn, SpacingM: 1}}}, along(0, 50))
		l := set(t, plan(t, w, gateway("g", orb.Point{20, 0}, 4)), "general").Of("w")
		assert.Equal(t, []int{18 + 28, 17 + 27}, []int{l.Rows[0].Plants, l.Rows[1].Plants}, "17.5 m and 27.5 m at 1 m")
		for _, p := range l.Plants {
			assert.False(t, p.At[0] > 17.5+1e-9 && p.At[0] < 22.5-1e-9)
		}
	})
	t.Run("cuts a row", func(t *testing.T) {
		l := set(t, plan(t, row("r", planner.Row{Mix: hawthorn, SpacingM: 1}, along(0, 50)), gateway("g", orb.Point{20, 0}, 4)), "general").Of("r")
		assert.Len(t, l.Plants, 18+28)
		assert.Equal(t, []int{18, 28}, []int{l.Line.Runs[0].Plants, l.Line.Runs[1].Plants})
	})
	t.Run("an opening wider than its gateway", func(t *testing.T) {
		h := existing("h", planner.Hedge{FillMix: hawthorn}, along(0, 30), along(40, 90))
		l := set(t, plan(t, h, gateway("g", orb.Point{37, 0}, 4)), "england").Of("h")
		o := l.Line.Openings
		require.Len(t, o, 3)
		assert.Equal(t, []setout.Action{setout.Fill, setout.LeaveOpen, setout.Fill}, []setout.Action{o[0].Action, o[1].Action, o[2].Action})
		assert.Equal(t, []int{30, 0, 6}, []int{o[0].Plants, o[1].Plants, o[2].Plants}, "5 m and 1 m at 6 a metre, counted on the whole opening")
		for _, p := range l.Plants {
			ok := p.At[0] > 30+1./6 && p.At[0] < 34.5 || p.At[0] > 39.5 && p.At[0] < 40-1./6
			assert.True(t, ok, "clear of the living ends and of the gateway: %v", p.At)
		}
	})
	t.Run("drawn as a line", func(t *testing.T) {
		g := &planner.Feature{ID: "g", Kind: planner.KindGateway, Sound: true, Shape: planner.Shape{Lines: []orb.LineString{{{20, 1}, {24, 1}}}}, Detail: &planner.Gateway{WidthM: 3.6}}
		l := set(t, plan(t, existing("h", planner.Hedge{}, along(0, 50)), g), "england").Of("h")
		require.Len(t, l.Line.Openings, 1)
		assert.InDelta(t, 20, l.Line.Openings[0].FromM, 1e-9)
		assert.InDelta(t, 24, l.Line.Openings[0].ToM, 1e-9)
		g.State("width_m")
		l = set(t, plan(t, existing("h", planner.Hedge{}, along(0, 50)), g), "england").Of("h")
		assert.InDelta(t, 3.6, l.Line.Openings[0].Length(), 1e-9)
		across := &planner.Feature{ID: "g", Kind: planner.KindGateway, Sound: true, Shape: planner.Shape{Lines: []orb.LineString{{{20, 1}, {20, 5}}}}, Detail: &planner.Gateway{WidthM: 3.6}}
		l = set(t, plan(t, existing("h", planner.Hedge{}, along(0, 50)), across), "england").Of("h")
		assert.Empty(t, l.Line.Openings, "it lies across the hedge's way, in another hedge")
	})
}

// A hedge that closes on itself has no end gap, and where its ring was begun decides nothing.
func TestClosedHedge(t *testing.T) {
	ring := []orb.Point{{0, 0}, {50, 0}, {50, 40}, {0, 40}}
	for start := range 4 {
		var line orb.LineString
		for i := range 5 {
			line = append(line, ring[(start+i)%4])
		}
		d := planner.Hedge{FillMix: hawthorn, Mix: hawthorn}
		l := set(t, plan(t, existing("h", d, line)), "england").Of("h")
		assert.True(t, l.Line.Closed)
		assert.Empty(t, l.Line.Openings)
		assert.Len(t, l.Plants, 1080)

		// A gap round the corner at (0, 0), and a gateway in the far side.
		gap := gapLine("g", orb.LineString{{0, 2}, {0, 0}, {3, 0}})
		l = set(t, plan(t, existing("h", d, line), gap, gateway("gate", orb.Point{25, 40}, 4)), "england").Of("h")
		require.Len(t, l.Line.Openings, 2, "start %d", start)
		fills, living := 0, 0
		for _, p := range l.Plants {
			if p.Use == setout.UseFill {
				fills++
			} else {
				living++
			}
		}
		assert.Equal(t, 30, fills, "5 m round the corner, start %d", start)
		assert.Equal(t, 6*180-30-30, living, "two runs, the gateway with 0.5 m on each side, start %d", start)
		assert.InDelta(t, 5, l.Line.GapPercent, 1e-9)
	}
}

func TestPartsOutOfOrder(t *testing.T) {
	cases := map[string]struct {
		parts []orb.LineString
		want  bool
	}{
		"in order":       {[]orb.LineString{along(0, 30), along(33, 60)}, false},
		"round a corner": {[]orb.LineString{along(0, 30), {{30, 3}, {30, 40}}}, false},
		"second turned":  {[]orb.LineString{along(0, 30), along(60, 33)}, true},
		"out of turn":    {[]orb.LineString{along(33, 60), along(0, 30)}, true},
		"crossing":       {[]orb.LineString{{{0, 0}, {30, 30}}, {{32, 30}, {33, 0}, {0, 20}}}, true},
	}
	for name, c := range cases {
		l := set(t, plan(t, existing("h", planner.Hedge{}, c.parts...)), "england").Of("h")
		assert.Equal(t, c.want, l.Line.Backwards, name)
		assert.Equal(t, c.want, len(l.Remarks) == 1, name)
	}
}

func TestGapOfUnknownWidth(t *testing.T) {
	g := &planner.Feature{ID: "g", Kind: planner.KindGap, Sound: true, Shape: planner.Shape{Points: []orb.Point{{20, 1}}}, Detail: &planner.Gap{}}
	l := set(t, plan(t, existing("h", planner.Hedge{}, along(0, 50)), g), "england").Of("h")
	assert.Empty(t, l.Line.Openings)
	require.Len(t, l.Remarks, 1)
	assert.Equal(t, "input.property", l.Remarks[0].Rule)
	assert.Contains(t, l.Remarks[0].Message, "width_m")
}
