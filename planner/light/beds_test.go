package light

import (
	"context"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/planner"
	"quickthorn/planner/growth"
)

func bedsIn(t require.TestingT, plan *planner.Plan, s *Scene, p Place) []BedLight {
	out, err := Beds(context.Background(), plan, []int{0}, always(s), p, Options{})
	require.NoError(t, err)
	require.Len(t, out, 1)
	return out[0].Beds
}

// A bed has the mean and the least of the field over its cells, and what is taken adds up to what is lost.
func TestBedsAgainstTheField(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		bodies, crowns, fs := drawScene(t, "scene")
		plan := planOf(append(fs, bedAt("bed", 6, square(-6, -4, 6, 4)))...)
		s := Obstacles(plan, bodies, crowns, Middling)
		p := Place{LatDeg: rapid.SampledFrom([]float64{53, 57, -43, 0, 70}).Draw(t, "lat")}
		got := bedsIn(t, plan, s, p)
		require.Len(t, got, 1)
		r := field(t, s, gridAt(-6, -4, 1, 12, 8), p)
		b := got[0]
		assert.Equal(t, 96, b.Cells)
		var sum float64
		worst := math.Inf(1)
		for _, h := range r.Mean.Values {
			sum += h
			worst = math.Min(worst, h)
		}
		assert.InDelta(t, sum/96, b.MeanHours, 1e-9)
		assert.InDelta(t, worst, b.WorstHours, 1e-9)
		for m := range 6 {
			var month float64
			for _, h := range r.Months[m].Values {
				month += h
			}
			assert.InDelta(t, month/96, b.Months[m], 1e-9)
		}
		var hours, share float64
		for i, x := range b.TakenBy {
			hours += x.Hours
			share += x.SharePercent
			assert.Greater(t, x.Hours, 0.0)
			if i > 0 {
				assert.LessOrEqual(t, x.Hours, b.TakenBy[i-1].Hours)
			}
		}
		assert.InDelta(t, b.OpenHours-b.MeanHours, hours, 1e-9)
		if len(b.TakenBy) > 0 {
			assert.InDelta(t, 100, share, 1e-9)
		}
	})
}

// Two equal obstacles one behind the other share alike; a feature that holds back nothing is not named; a plant in the bed counts.
func TestTakenBy(t *testing.T) {
	plan := planOf(bedAt("bed", 6, square(0, 1, 10, 3)))
	line := orb.LineString{{-20000, 0}, {20000, 0}}
	one := bedsIn(t, plan, sceneOf([]growth.Body{wall("a", 4, 0, 0.6, line)}, nil), ireland)[0]
	two := bedsIn(t, plan, sceneOf([]growth.Body{wall("a", 4, 0, 0.6, line), wall("b", 4, 0, 0.6, line), wall("c", 0.01, 0, 1, orb.LineString{{50, -50}, {51, -50}})}, nil), ireland)[0]
	require.Len(t, one.TakenBy, 1)
	require.Len(t, two.TakenBy, 2)
	assert.InDelta(t, 50, two.TakenBy[0].SharePercent, 1e-9)
	assert.Equal(t, "a", two.TakenBy[0].Feature.ID, "by id where two take alike")
	// 0.6 closed takes 0.6 of the hours behind it, two of them 1 - 0.4^2 = 0.84.
	assert.InDelta(t, 0.84/0.6, (two.OpenHours-two.MeanHours)/(one.OpenHours-one.MeanHours), 1e-9)
	// A third as closed takes a third as much where they stand in line.
	uneven := bedsIn(t, plan, sceneOf([]growth.Body{wall("a", 4, 0, 0.2, line), wall("b", 4, 0, 0.6, line)}, nil), ireland)[0]
	assert.Equal(t, "b", uneven.TakenBy[0].Feature.ID)
	assert.InDelta(t, 75, uneven.TakenBy[0].SharePercent, 1e-9)

	inside := bedsIn(t, plan, sceneOf(nil, []growth.Crown{tree("t", orb.Point{5, 2}, 2, 2, 0, 0.9)}), ireland)[0]
	require.Len(t, inside.TakenBy, 1)
	assert.InDelta(t, 2, inside.WorstAt[1], 1, "darkest at the plant")
	open := bedsIn(t, plan, sceneOf(nil, nil), ireland)[0]
	assert.Empty(t, open.TakenBy)
	assert.InDelta(t, open.OpenHours, open.MeanHours, 1e-9)
	assert.InDelta(t, open.OpenHours, open.WorstHours, 1e-9)
}

func TestSmallBedsHaveNinePoints(t *testing.T) {
	for _, c := range []struct {
		shape orb.MultiPolygon
		cell  float64
	}{{square(0, 0, 3, 3), 1}, {square(0, 0, 1, 1), 0.25}, {square(0.1, 0.1, 0.4, 12), 0.5}, {square(0, 0, 0.05, 0.05), 1.0 / 64}} {
		b := bedsIn(t, planOf(bedAt("b", 6, c.shape)), sceneOf(nil, nil), ireland)[0]
		assert.GreaterOrEqual(t, b.Cells, 9)
		assert.Equal(t, c.cell, b.CellM, "%v", c.shape)
	}
}

// growing is a hedge along y = 0 that grows by a quarter of a metre a year, from 20 percent less to 20 percent more.
func growing(year int, g Growth) []growth.Body {
	high := 0.25 * float64(year) * map[Growth]float64{Least: 0.8, Middling: 1, Most: 1.2}[g]
	return []growth.Body{wall("hedge", high, 1, 0.9, orb.LineString{{-300, 0}, {300, 0}})}
}

// The year in which a bed falls is the first whose mean, worked out by itself, is below what the bed wants.
func TestFallsBelow(t *testing.T) {
	ctx := context.Background()
	plan := planOf(
		bedAt("dark", 14.9, square(0, 60, 5, 65)), // more than the mean day at 53 N gives from some year on
		bedAt("far", 6, square(0, 80, 5, 85)),
		bedAt("near", 10, square(0, 1, 10, 4)),
		bedAt("none", 0, square(0, 1, 10, 4)),
		bedAt("too-much", 20, square(0, 90, 5, 95)),
	)
	scenes := scenesNow(t, growing)
	falls, err := FallsBelow(ctx, plan, scenes, ireland, Options{})
	require.NoError(t, err)
	byID := map[string]Fall{}
	for _, f := range falls {
		byID[f.Bed.ID] = f
	}
	assert.NotContains(t, byID, "far")
	assert.NotContains(t, byID, "none")
	near := byID["near"]
	first := func(g Growth) int {
		for year := range growth.LastYear + 1 {
			out, err := Beds(ctx, plan, []int{year}, func(y int, _ Growth) *Scene { return scenes(y, g) }, ireland, Options{})
			require.NoError(t, err)
			for _, b := range out[0].Beds {
				if b.Bed.ID == "near" && b.MeanHours < 10 {
					return year
				}
			}
		}
		return Never
	}
	assert.Equal(t, first(Most), near.Earliest)
	assert.Equal(t, first(Middling), near.Year)
	assert.Equal(t, first(Least), near.Latest)
	assert.Less(t, near.Earliest, near.Latest)
	assert.Less(t, near.Light.MeanHours, 10.0)
	require.Len(t, near.Light.TakenBy, 1)
	assert.Equal(t, "hedge", near.Light.TakenBy[0].Feature.ID)
	assert.False(t, near.TooMuchWanted())
	// Nowhere in Ireland has 20 hours a day from April to September: it falls short at once, whoever stands there.
	assert.Equal(t, []int{0, 0, 0}, []int{byID["too-much"].Earliest, byID["too-much"].Year, byID["too-much"].Latest})
	assert.True(t, byID["too-much"].TooMuchWanted())

	cancelled, cancel := context.WithCancel(ctx)
	cancel()
	_, err = FallsBelow(cancelled, plan, scenes, ireland, Options{})
	assert.ErrorIs(t, err, context.Canceled)
}

// With nothing else about, the south wall of a house has the sun while it stands south of east and west: cos H >= tan d / tan p (the
// wall of TestBedNorthOfAWall with the point at its foot), or while it is up where d is below 0.
func TestSouthWall(t *testing.T) {
	h := house("h", 6, square(0, 0, 10, 8))
	plan := planOf(h)
	for _, p := range []Place{ireland, {LatDeg: 57}, {LatDeg: -43}} {
		out, err := Buildings(context.Background(), plan, []int{0}, always(sceneOf(nil, nil, h)), p, Options{})
		require.NoError(t, err)
		b := out[0].Buildings[0]
		assert.Equal(t, 10, b.Points)
		for m := range 6 {
			d := declination(p, m) * math.Copysign(1, p.LatDeg)
			want := 2 * math.Acos(tan(d)/tan(math.Abs(p.LatDeg))) * 180 / math.Pi / 15
			assert.InDelta(t, want, b.Months[m], 0.26, "%v month %d", p.LatDeg, m)
		}
		assert.InDelta(t, b.OpenHours, b.MeanHours, 1e-9)
		assert.Empty(t, b.TakenBy)
	}
}

func TestLosesLight(t *testing.T) {
	ctx := context.Background()
	h := house("house", 6, square(0, 4, 10, 12))
	barn := house("barn", 6, square(100, 200, 110, 210))
	shed := feature("shed", planner.KindBuilding, &planner.Building{HeightM: 3}, "height_m")
	shed.Shape.Polygons = square(0, 3, 2, 3.5)
	plan := planOf(h, barn)
	scenes := scenesNow(t, growing, h, barn)
	losses, err := LosesLight(ctx, plan, scenes, ireland, NoticedShare, Options{})
	require.NoError(t, err)
	require.Len(t, losses, 1, "the barn is too far from the hedge, the shed wants none")
	l := losses[0]
	assert.Equal(t, "house", l.Building.ID)
	assert.Less(t, l.Hours, 0.8*l.Before)
	require.Len(t, l.TakenBy, 1)
	assert.Equal(t, "hedge", l.TakenBy[0].Feature.ID)
	assert.InDelta(t, 100, l.TakenBy[0].SharePercent, 1e-9)
	assert.InDelta(t, l.Before-l.Hours, l.TakenBy[0].Hours, 1e-9)
	years, err := Buildings(ctx, plan, []int{l.Year - 1, l.Year}, scenes, ireland, Options{})
	require.NoError(t, err)
	assert.GreaterOrEqual(t, years[0].Buildings[1].MeanHours, 0.8*l.Before)
	assert.InDelta(t, l.Hours, years[1].Buildings[1].MeanHours, 1e-12)
	// Until the hedge is higher than the middle of the window it takes nothing: 1.5 m are 6 years.
	low, err := Buildings(ctx, plan, []int{5, 6}, scenes, ireland, Options{})
	require.NoError(t, err)
	assert.Empty(t, low[0].Buildings[1].TakenBy)
	assert.Empty(t, low[1].Buildings[1].TakenBy)
	assert.Greater(t, l.Year, 6)
}

// What is not known is said, never taken for nothing without a word.
func TestNotes(t *testing.T) {
	w := wall("hedge", 3, 1, 0, orb.LineString{{0, 0}, {10, 0}})
	w.DensityKnown, w.DensityUnknown = false, "no species is stated"
	c := tree("tree", orb.Point{5, 5}, 6, 4, 2, 0)
	c.DensityKnown = false
	lost := tree("unknown", orb.Point{9, 9}, 6, 4, 2, 0.9)
	lost.Height.Known = false
	wide := tree("wide", orb.Point{9, 8}, 6, 4, 2, 0.9)
	wide.Spread.Known = false
	shed := feature("shed", planner.KindBuilding, &planner.Building{HeightM: 5})
	shed.Shape.Polygons = square(20, 20, 22, 22)
	s := sceneOf([]growth.Body{w}, []growth.Crown{c, c, lost, wide}, shed)
	var said []string
	for _, n := range s.Notes {
		said = append(said, n.Feature.ID+": "+n.Message)
	}
	assert.Equal(t, []string{
		"hedge: How dense hedge hedge is in leaf is not known (no species is stated). It is taken as 90 percent closed (common practice).",
		"shed: building shed states no height_m and is taken as 5 m high (common practice).",
		"tree: How dense plant tree is in leaf is not known (what grows there is not known well enough). It is taken as 90 percent closed (common practice).",
		"unknown: How high and wide plant unknown grows is not known, so its plants take no light here. State height_m, or name the species.",
		"wide: The width of plant wide is not known, so it takes no light here. State spread_m, or name the species.",
	}, said)
	var ids []string
	for _, f := range s.Features() {
		ids = append(ids, f.ID)
	}
	assert.Equal(t, []string{"hedge", "shed", "tree"}, ids)
	known := w
	known.DensityKnown, known.DensityLeafOn = true, AssumedDensity
	g := gridAt(0, 0, 1, 10, 10)
	assert.Equal(t, field(t, sceneOf([]growth.Body{known}, nil), g, ireland).Mean, field(t, sceneOf([]growth.Body{w}, nil), g, ireland).Mean)
}

// A courtyard has the sun that comes over its walls, and the ground under a roof has none.
func TestBuilding(t *testing.T) {
	f := house("h", 3, orb.MultiPolygon{{{{0, 0}, {20, 0}, {20, 20}, {0, 20}, {0, 0}}, {{4, 4}, {4, 16}, {16, 16}, {16, 4}, {4, 4}}}})
	r := field(t, sceneOf(nil, nil, f), gridAt(-5, -5, 1, 30, 30), ireland)
	assert.Zero(t, r.Mean.At(7, 15), "under the roof")
	assert.Greater(t, r.Mean.At(15, 19), 4.0, "north end of the yard")
	assert.Less(t, r.Mean.At(15, 10), r.Mean.At(15, 19), "south end of the yard")
	assert.Less(t, r.Mean.At(15, 26), r.Mean.At(15, 2), "north of the house against south of it")
}

// What a building's own wing takes from it is not lost to anyone: only the sun that would reach its walls alone counts.
func TestBuildingThatShadesItself(t *testing.T) {
	wing := house("h", 6, orb.MultiPolygon{{{{0, 0}, {4, 0}, {4, 10}, {20, 10}, {20, 14}, {0, 14}, {0, 0}}}})
	plain := house("p", 6, square(0, 10, 20, 14))
	hedge := wall("hedge", 3, 1, 0.5, orb.LineString{{-100, -1.5}, {100, -1.5}})
	at := func(f *planner.Feature, bodies ...growth.Body) BuildingLight {
		out, err := Buildings(context.Background(), planOf(f), []int{0}, always(sceneOf(bodies, nil, f)), ireland, Options{})
		require.NoError(t, err)
		return out[0].Buildings[0]
	}
	alone := at(wing)
	assert.Less(t, alone.OpenHours, at(plain).OpenHours-0.3, "the wing takes the afternoon sun of the wall beside it")
	assert.InDelta(t, alone.OpenHours, alone.MeanHours, 1e-9)
	assert.Empty(t, alone.TakenBy)
	behind := at(wing, hedge)
	assert.InDelta(t, alone.OpenHours, behind.OpenHours, 1e-9)
	require.Len(t, behind.TakenBy, 1)
	assert.Equal(t, "hedge", behind.TakenBy[0].Feature.ID)
	assert.InDelta(t, behind.OpenHours-behind.MeanHours, behind.TakenBy[0].Hours, 1e-9)
}
