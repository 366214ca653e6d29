package setout_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/setout"
)

// ground draws a field: corners round a middle at any distance, so with inner corners, and now and then a hole.
func ground(t *rapid.T) orb.Polygon {
	n := rapid.IntRange(3, 12).Draw(t, "corners")
	size := rapid.Float64Range(8, 40).Draw(t, "size")
	mid := orb.Point{rapid.Float64Range(-3000, 3000).Draw(t, "x"), rapid.Float64Range(-3000, 3000).Draw(t, "y")}
	spin := rapid.Float64Range(0, 2*math.Pi).Draw(t, "spin")
	var ring orb.Ring
	for i := range n {
		a := spin + 2*math.Pi*float64(i)/float64(n)
		r := size * rapid.Float64Range(0.4, 1).Draw(t, "r")
		ring = append(ring, orb.Point{mid[0] + r*math.Cos(a), mid[1] + r*math.Sin(a)})
	}
	poly := orb.Polygon{append(ring, ring[0])}
	if rapid.IntRange(0, 3).Draw(t, "hole") == 0 {
		h := size * 0.4 * math.Cos(math.Pi/float64(n)) * 0.5
		poly = append(poly, orb.Ring{{mid[0] - h, mid[1] - h}, {mid[0] - h, mid[1] + h}, {mid[0] + h, mid[1] + h}, {mid[0] + h, mid[1] - h}, {mid[0] - h, mid[1] - h}})
		if n < 4 {
			poly = poly[:1]
		}
	}
	return poly
}

type drawnBlock struct {
	pattern string
	s, r    float64
	margin  float64
	bearing float64
	auto    bool
	poly    orb.Polygon
}

func drawBlock(t *rapid.T) drawnBlock {
	names := []string{}
	for _, p := range setout.Patterns() {
		names = append(names, p.Name)
	}
	return drawnBlock{pattern: rapid.SampledFrom(names).Draw(t, "pattern"), s: rapid.Float64Range(1.5, 8).Draw(t, "s"), r: rapid.Float64Range(1.5, 8).Draw(t, "r"),
		margin: rapid.SampledFrom([]float64{0, 0.5, 1, 2.5, 4}).Draw(t, "margin"), bearing: rapid.Float64Range(0, 360).Draw(t, "bearing"), auto: rapid.Bool().Draw(t, "auto"), poly: ground(t)}
}

func (d drawnBlock) feature(poly orb.Polygon) *planner.Feature {
	return grove(d.pattern, poly, d.s, d.r, d.margin, d.bearing, d.auto)
}

// Every planned plant stands inside its ground by its margin, and none nearer to another than its pattern's least distance.
func TestPropertyInside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawBlock(t)
		l := set(t, plan(t, d.feature(d.poly)), "general").Of("b")
		require.Empty(t, l.Failed)
		require.Len(t, l.Plants, l.Holds)
		inside(t, l, d.poly)
		ids := map[string]bool{}
		for i := range l.Plants {
			require.False(t, ids[l.Plants[i].ID()])
			ids[l.Plants[i].ID()] = true
		}
	})
}

// Ring direction, starting corner and moving the whole plan change no count.
func TestPropertyCountsStandStill(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawBlock(t)
		want := set(t, plan(t, d.feature(d.poly)), "general").Of("b")
		for name, poly := range redrawn(t, d.poly) {
			got := set(t, plan(t, d.feature(poly)), "general").Of("b")
			require.Equal(t, want.Holds, got.Holds, name)
			require.Equal(t, bySpecies(want), bySpecies(got), name)
		}
	})
}

func redrawn(t *rapid.T, poly orb.Polygon) map[string]orb.Polygon {
	turn := rapid.IntRange(1, len(poly[0])-2).Draw(t, "start")
	by := orb.Point{rapid.Float64Range(-2000, 2000).Draw(t, "east"), rapid.Float64Range(-2000, 2000).Draw(t, "north")}
	back, started, elsewhere := poly.Clone(), poly.Clone(), poly.Clone()
	for i := range back {
		slices.Reverse(back[i])
	}
	open := poly[0][:len(poly[0])-1]
	started[0] = append(append(slices.Clone(open[turn:]), open[:turn]...), open[turn])
	for i := range elsewhere {
		for k := range elsewhere[i] {
			elsewhere[i][k][0] += by[0]
			elsewhere[i][k][1] += by[1]
		}
	}
	return map[string]orb.Polygon{"reversed": back, "another start": started, "moved": elsewhere}
}

// bends draws a line of a few segments that does not double back.
func bends(t *rapid.T) orb.LineString {
	line := orb.LineString{{rapid.Float64Range(-3000, 3000).Draw(t, "x"), rapid.Float64Range(-3000, 3000).Draw(t, "y")}}
	way := rapid.Float64Range(0, 360).Draw(t, "way")
	for range rapid.IntRange(1, 4).Draw(t, "segments") {
		u := geo.Direction(way)
		l := rapid.Float64Range(8, 60).Draw(t, "length")
		p := line[len(line)-1]
		line = append(line, orb.Point{p[0] + l*u[0], p[1] + l*u[1]})
		way += rapid.Float64Range(-80, 80).Draw(t, "turn")
	}
	return line
}

// A line drawn the other way, or moved with the whole plan, holds the same plants.
func TestPropertyLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		line := bends(t)
		per := rapid.SampledFrom([]float64{3, 4, 5, 6, 8}).Draw(t, "per")
		s := rapid.SampledFrom([]float64{0.45, 1, 1.5, 2.5}).Draw(t, "s")
		mid := geo.NewChain(line)
		gates := []*planner.Feature{}
		if rapid.Bool().Draw(t, "gate") {
			gates = append(gates, gateway("gate", mid.Offset(mid.Length()*rapid.Float64Range(0.2, 0.8).Draw(t, "at"), 0.3), 3.6))
		}
		make := func(l orb.LineString, side string) []*planner.Feature {
			return append([]*planner.Feature{
				hedge("h", planner.Planned, planner.Hedge{Rows: 2, RowGapM: 0.4, PerMetre: per, Mix: hawthorn}, l),
				existing("x", planner.Hedge{Mix: alder, FillMix: hawthorn}, l),
				belt("w", planner.Windbreak{RowGapM: 2.5, Side: side, Rows: []planner.BeltRow{{Mix: alder, SpacingM: s}, {Mix: alder, SpacingM: s}}}, l),
				row("r", planner.Row{Mix: alder, SpacingM: s}, l),
			}, gates...)
		}
		want := set(t, plan(t, make(line, "left")...), "general")
		back := slices.Clone(line)
		slices.Reverse(back)
		got := set(t, plan(t, make(back, "right")...), "general")
		for _, id := range []string{"h", "x", "w", "r"} {
			require.Equal(t, len(want.Of(id).Plants), len(got.Of(id).Plants), "%s reversed", id)
			require.InDelta(t, want.Of(id).Line.GapPercent, got.Of(id).Line.GapPercent, 1e-6)
		}
		by := orb.Point{rapid.Float64Range(-2000, 2000).Draw(t, "east"), rapid.Float64Range(-2000, 2000).Draw(t, "north")}
		away := slices.Clone(line)
		for i := range away {
			away[i] = orb.Point{away[i][0] + by[0], away[i][1] + by[1]}
		}
		for _, g := range gates {
			at := g.Shape.Points[0]
			g.Shape.Points = []orb.Point{{at[0] + by[0], at[1] + by[1]}}
		}
		got = set(t, plan(t, make(away, "left")...), "general")
		for _, id := range []string{"h", "x", "w", "r"} {
			require.Equal(t, len(want.Of(id).Plants), len(got.Of(id).Plants), "%s moved", id)
		}
	})
}

// Coordinates that another editor rounds to 7 decimals of a degree keep the count of a line whose length holds a whole number of
// plants; elsewhere it differs by one at most.
func TestPropertyRounding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		frame, err := geo.NewFrame(orb.Point{-2.602, 54.212})
		require.NoError(t, err)
		per := rapid.SampledFrom([]float64{4, 5, 6}).Draw(t, "per")
		s := rapid.SampledFrom([]float64{1, 1.5, 2}).Draw(t, "s")
		whole := rapid.Bool().Draw(t, "whole")
		// 6 m holds a whole number of plants at each of these densities and spacings.
		length := 6 * float64(rapid.IntRange(1, 50).Draw(t, "sixes"))
		if !whole {
			length += rapid.Float64Range(0, 6).Draw(t, "more")
		}
		u := geo.Direction(rapid.Float64Range(0, 360).Draw(t, "way"))
		a := orb.Point{rapid.Float64Range(-2000, 2000).Draw(t, "x"), rapid.Float64Range(-2000, 2000).Draw(t, "y")}
		line := orb.LineString{a, {a[0] + length*u[0], a[1] + length*u[1]}}
		var other orb.LineString
		for _, p := range line {
			ll := frame.ToLonLat(p)
			other = append(other, frame.ToLocal(orb.Point{math.Round(ll[0]*1e7) / 1e7, math.Round(ll[1]*1e7) / 1e7}))
		}
		count := func(l orb.LineString) [3]int {
			out := set(t, plan(t, hedge("h", planner.Planned, planner.Hedge{Rows: 2, RowGapM: 0.4, PerMetre: per, Mix: hawthorn}, l),
				belt("w", planner.Windbreak{RowGapM: 2, Side: "left", Rows: []planner.BeltRow{{Mix: alder, SpacingM: s}, {Mix: alder, SpacingM: s}}}, l),
				row("r", planner.Row{Mix: alder, SpacingM: s}, l)), "general")
			return [3]int{len(out.Of("h").Plants), out.Of("w").Rows[0].Plants, out.Of("r").Line.Runs[0].Plants}
		}
		want, got := count(line), count(other)
		for i := range want {
			if whole {
				require.Equal(t, want[i], got[i])
			} else {
				require.LessOrEqual(t, math.Abs(float64(want[i]-got[i])), 1.0)
			}
		}
	})
}

// The order of the features changes nothing, and a feature stays where it is when another is taken away, unless that one cut it.
func TestPropertyOwnFeatureOnly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var fs []*planner.Feature
		for i := range rapid.IntRange(2, 5).Draw(t, "lines") {
			id := fmt.Sprintf("l%d", i)
			switch rapid.IntRange(0, 2).Draw(t, "kind") {
			case 0:
				fs = append(fs, hedge(id, planner.Planned, planner.Hedge{Rows: 2, RowGapM: 0.4, PerMetre: 6, Mix: hawthorn}, bends(t)))
			case 1:
				fs = append(fs, row(id, planner.Row{Mix: alder, SpacingM: 1.5}, bends(t)))
			case 2:
				b := drawBlock(t).feature(ground(t))
				b.ID = id
				fs = append(fs, b)
			}
		}
		want := set(t, plan(t, fs...), "general")
		shuffled := slices.Clone(fs)
		slices.Reverse(shuffled)
		require.Equal(t, want.Layouts, set(t, plan(t, shuffled...), "general").Layouts)
		gone := rapid.IntRange(0, len(fs)-1).Draw(t, "gone")
		left := set(t, plan(t, slices.Delete(slices.Clone(fs), gone, gone+1)...), "general")
		for _, l := range left.Layouts {
			require.Equal(t, want.Of(l.Feature.ID), l)
		}
	})
}

// Counts of a mix always add up, and each is the whole part of its share of the plants or one more.
func TestPropertyMixesAddUp(t *testing.T) {
	names := []string{"hawthorn", "blackthorn", "hazel", "holly", "dog rose", "field maple"}
	rapid.Check(t, func(t *rapid.T) {
		var mix []planner.Share
		left := 100.0
		n := rapid.IntRange(1, len(names)).Draw(t, "kinds")
		for i := range n {
			share := math.Floor(left * rapid.Float64Range(0.1, 0.9).Draw(t, "share"))
			if i == n-1 {
				share = left
			}
			left -= share
			mix = append(mix, planner.Share{Species: names[i], SharePercent: share})
		}
		length := rapid.Float64Range(1, 300).Draw(t, "length")
		l := set(t, plan(t, hedge("h", planner.Planned, planner.Hedge{Rows: 2, RowGapM: 0.4, PerMetre: 6, Mix: mix}, straight(length))), "general").Of("h")
		got := map[string]int{}
		for _, p := range l.Plants {
			got[p.Name]++
		}
		total := 0
		for _, m := range mix {
			share := m.SharePercent / 100 * float64(len(l.Plants))
			require.InDelta(t, share, float64(got[m.Species]), 1+1e-6)
			total += got[m.Species]
		}
		require.Equal(t, len(l.Plants), total)
	})
}
