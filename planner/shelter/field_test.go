package shelter

import (
	"context"
	"math"
	"runtime"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/geo"
	"quickthorn/planner"
)

// A hedge 4 m high and of no width along y = 0 from 0 to 100 m; the wind blows from the south unless said.
func hedge(porosity float64) Barrier {
	return line("h", 4, 0, porosity, orb.LineString{{0, 0}, {100, 0}})
}

func TestPercentBehindOneHedge(t *testing.T) {
	b := []Barrier{hedge(0.4)}
	for _, row := range []struct {
		name    string
		from    float64
		at      orb.Point
		percent float64
		source  string
	}{
		{"5 heights behind", 180, orb.Point{50, 20}, 20.0, weps},
		{"10 heights behind", 180, orb.Point{50, 40}, 39.4, weps},
		{"20 heights behind", 180, orb.Point{50, 80}, 86.2, weps},
		{"3 heights before", 180, orb.Point{50, -12}, 77.5, weps},
		{"just past 35 heights", 180, orb.Point{50, 140.1}, 100, weps},
		{"just past 5 heights before", 180, orb.Point{50, -20.1}, 100, weps},
		{"beside the end", 180, orb.Point{100.1, 20}, 100, weps + ": sharp ends"},
		{"from the north it lies before", 0, orb.Point{50, 12}, 77.5, weps},
		{"at 60 degrees off square, 10 m behind is 20 m along the wind", 240, orb.Point{60, 10}, 20.0, weps + ": distance along the wind"},
		{"along the hedge", 90, orb.Point{50, 4}, 100, "a ray along a line meets it nowhere"},
	} {
		assert.InDelta(t, row.percent, percent(b, row.from, row.at), 0.1, "%s: %s", row.name, row.source)
	}
}

func TestOfSeveralTheLeastCounts(t *testing.T) {
	a, b := hedge(0.4), line("i", 8, 0, 0.6, orb.LineString{{0, 30}, {100, 30}})
	p := orb.Point{50, 40}
	assert.Equal(t, math.Min(percent([]Barrier{a}, 180, p), percent([]Barrier{b}, 180, p)), percent([]Barrier{a, b}, 180, p), weps+": the least, not the product")
}

func TestThroughAnOpening(t *testing.T) {
	b := []Barrier{line("h", 4, 0, 0.4, orb.LineString{{0, 0}, {40, 0}}, orb.LineString{{45, 0}, {100, 0}})}
	assert.Equal(t, 100.0, percent(b, 180, orb.Point{42, 8}))
	assert.Less(t, percent(b, 180, orb.Point{39, 8}), 40.0)
	assert.Less(t, percent(b, 180, orb.Point{46, 8}), 40.0)
	assert.Equal(t, 100.0, percent(b, 225, orb.Point{50, 8}), "in a wind from the south-west the opening lies 8 m further on")
}

func belt(gap float64, rows ...Row) Barrier {
	for i := range rows {
		rows[i].Row = i
		if rows[i].Runs == nil {
			rows[i].Runs = []orb.LineString{{{0, gap * float64(i)}, {100, gap * float64(i)}}}
		}
	}
	return Barrier{Feature: thing("w", planner.KindWindbreak, &planner.Windbreak{}), RowGapM: gap, Rows: rows}
}

func TestRowsInLineMultiplyTheirPorosities(t *testing.T) {
	b := belt(2.5, Row{HeightM: 3, WidthM: 2, Porosity: 0.7}, Row{HeightM: 10, WidthM: 3, Porosity: 0.6}, Row{HeightM: 6, WidthM: 2, Porosity: 0.8})
	want := func(behind, height, width, porosity float64) float64 {
		return 100 * Left(behind/height, width/height, porosity)
	}
	for _, row := range []struct {
		name string
		from float64
		at   orb.Point
		left float64
	}{
		{"all three: the tallest stands at 2.5 m, 5 m and half of 2 m and of 2 m wide", 180, orb.Point{50, 52.5}, want(50, 10, 7, 0.7*0.6*0.8)},
		{"the same from the north", 0, orb.Point{50, -47.5}, want(50, 10, 7, 0.7*0.6*0.8)},
		{"at 45 degrees the rows stand further apart along the wind, and are still one belt", 225, orb.Point{60, 52.5}, want(50*math.Sqrt2, 10, 7, 0.7*0.6*0.8)},
		{"at 80 degrees too", 260, orb.Point{90, 12.5}, want(10/math.Cos(80*math.Pi/180), 10, 7, 0.7*0.6*0.8)},
	} {
		assert.InDelta(t, row.left, percent([]Barrier{b}, row.from, row.at), 1e-9, row.name)
	}
	// A gateway in the first two rows: there the third stands alone.
	open := belt(2.5, Row{HeightM: 3, WidthM: 2, Porosity: 0.7, Runs: []orb.LineString{{{0, 0}, {40, 0}}, {{60, 0}, {100, 0}}}},
		Row{HeightM: 10, WidthM: 3, Porosity: 0.6, Runs: []orb.LineString{{{0, 2.5}, {40, 2.5}}, {{60, 2.5}, {100, 2.5}}}}, Row{HeightM: 6, WidthM: 2, Porosity: 0.8})
	assert.InDelta(t, want(30, 6, 2, 0.8), percent([]Barrier{open}, 180, orb.Point{50, 35}), 1e-9)
	assert.InDelta(t, want(50, 10, 7, 0.7*0.6*0.8), percent([]Barrier{open}, 180, orb.Point{30, 52.5}), 1e-9)
	// Two equal rows: distance counts from between them.
	two := belt(3, Row{HeightM: 6, WidthM: 2, Porosity: 0.7}, Row{HeightM: 6, WidthM: 2, Porosity: 0.7})
	assert.InDelta(t, want(30, 6, 5, 0.49), percent([]Barrier{two}, 180, orb.Point{50, 31.5}), 1e-9)
}

func TestBeltThatBendsIsMetTwice(t *testing.T) {
	// A horseshoe open to the west; the wind from the north meets the first leg at 100 m and the second at 0.
	outer := orb.LineString{{0, 100}, {100, 100}, {100, 0}, {0, 0}}
	inner := orb.LineString{{0, 97}, {97, 97}, {97, 3}, {0, 3}}
	b := belt(3, Row{HeightM: 5, WidthM: 2, Porosity: 0.7, Runs: []orb.LineString{outer}}, Row{HeightM: 5, WidthM: 2, Porosity: 0.6, Runs: []orb.LineString{inner}})
	leg := 100 * Left((98.5-60)/5, 1, 0.42)
	assert.InDelta(t, leg, percent([]Barrier{b}, 0, orb.Point{50, 60}), 1e-9, "behind the first leg")
	assert.InDelta(t, 100*Left(31.5/5, 1, 0.42), percent([]Barrier{b}, 0, orb.Point{50, -30}), 1e-9, "behind the second, which is nearer")
}

func TestBehindABuilding(t *testing.T) {
	b := []Barrier{house("b", 5, orb.Point{0, 0}, orb.Point{20, 0}, orb.Point{20, 10}, orb.Point{0, 10})}
	for _, row := range []struct {
		name string
		at   orb.Point
		want float64
	}{
		{"25 m behind its far wall, 10 m deep", orb.Point{10, 35}, 100 * Left(5, 2, 0)},
		{"10 m before its near wall", orb.Point{10, -10}, 100 * Left(-2, 2, 0)},
		{"in it", orb.Point{10, 5}, 100 * Left(0, 2, 0)},
		{"beside it", orb.Point{20.5, 20}, 100},
		{"past 35 heights", orb.Point{10, 186}, 100},
	} {
		assert.InDelta(t, row.want, percent(b, 180, row.at), 1e-9, row.name)
	}
}

func TestFieldIsWhatEveryRayGivesByHand(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := anyBarriers(t)
		from := rapid.OneOf(rapid.Float64Range(0, 360), rapid.SampledFrom([]float64{0, 90, 180, 270})).Draw(t, "from")
		g := geo.Grid{Min: orb.Point{-150, -150}, Cell: 31.3, Nx: 10, Ny: 10}
		winds := []Wind{{from, 40}}
		r, views := field(t, b, winds, g), newViews(b, winds)
		for j := range g.Ny {
			for i := range g.Nx {
				if p := g.Middle(i, j); steady(views, p) {
					require.InDelta(t, byHand(b, from, p), r.At(i, j), 1e-3, "at %v", p)
				}
			}
		}
	})
}

func TestFarFromAnyBarrierTheWindIsOpen(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := anyBarriers(t)
		bearing := rapid.Float64Range(0, 360).Draw(t, "bearing")
		d := geo.Direction(bearing)
		far := geo.Grid{Min: orb.Point{620 * d[0], 620 * d[1]}, Cell: 1, Nx: 3, Ny: 3} // past 35 times 12 m from the furthest corner
		for _, v := range field(t, b, Fan(rapid.Float64Range(0, 360).Draw(t, "from")), far).Values {
			require.Equal(t, 100.0, v)
		}
	})
}

func TestMirroredAndTurnedPlans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := anyBarriers(t)
		winds := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Wind {
			return Wind{rapid.Float64Range(0, 360).Draw(t, "from"), rapid.Float64Range(1, 50).Draw(t, "percent")}
		}), 1, 5).Draw(t, "winds")
		turn := rapid.Float64Range(0, 360).Draw(t, "turn")
		sin, cos := math.Sincos(turn * math.Pi / 180)
		for _, way := range []struct {
			name string
			at   func(orb.Point) orb.Point
			from func(float64) float64
		}{
			{"mirrored", func(p orb.Point) orb.Point { return orb.Point{-p[0], p[1]} }, func(d float64) float64 { return geo.NormBearing(-d) }},
			{"turned", func(p orb.Point) orb.Point { return orb.Point{p[0]*cos + p[1]*sin, p[1]*cos - p[0]*sin} }, func(d float64) float64 { return geo.NormBearing(d + turn) }},
			{"moved", func(p orb.Point) orb.Point { return orb.Point{p[0] + 3000, p[1] - 2000} }, func(d float64) float64 { return d }},
		} {
			var other []Wind
			for _, w := range winds {
				other = append(other, Wind{way.from(w.FromDeg), w.Percent})
			}
			one, two := newViews(b, winds), newViews(moved(b, way.at), other)
			var hits []hit
			for range 20 {
				p := orb.Point{rapid.Float64Range(-150, 150).Draw(t, "x"), rapid.Float64Range(-150, 150).Draw(t, "y")}
				if steady(one, p) {
					require.InDelta(t, average(one, p, &hits), average(two, way.at(p), &hits), 1e-5, "%s at %v", way.name, p)
				}
			}
		}
	})
}

// In one wind, over ground that holds all of the shelter, the area below 60 percent never shrinks as a barrier grows taller. Counted
// on one ray across it in cells of 5 cm, for any barrier; winds from the side only stretch the ray.
func TestShelteredLengthNeverShrinksAsABarrierGrows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		width, porosity := rapid.Float64Range(0, 10).Draw(t, "width"), rapid.Float64Range(0, 1).Draw(t, "porosity")
		h := rapid.Float64Range(1, 8).Draw(t, "height")
		taller := h * rapid.Float64Range(1.05, 1.5).Draw(t, "times")
		g := geo.Grid{Min: orb.Point{0, -60}, Cell: 0.05, Nx: 1, Ny: 20 * 360}
		region := geo.NewRegion(orb.MultiPolygon{{g.Box().ToRing()}})
		area := func(height float64) float64 {
			return AreaBelow(field(t, []Barrier{line("h", height, width, porosity, orb.LineString{{-9, 0}, {9, 0}})}, []Wind{{180, 100}}, g), BelowPercent, region)
		}
		require.GreaterOrEqual(t, area(taller), area(h))
	})
}

// The same for bent barriers that are dense enough to shelter right up to their foot: what is below 60 percent stays so.
func TestShelteredGroundStaysShelteredAsABarrierGrows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := anyBarriers(t)
		for i := range b {
			for k := range b[i].Rows {
				r := &b[i].Rows[k]
				r.Porosity, r.WidthM = r.Porosity/3, min(r.WidthM, r.HeightM)
			}
		}
		times := rapid.Float64Range(1, 1.5).Draw(t, "times")
		var taller []Barrier
		for _, x := range moved(b, func(p orb.Point) orb.Point { return p }) {
			x.HeightM *= times
			for k := range x.Rows {
				x.Rows[k].HeightM *= times
			}
			taller = append(taller, x)
		}
		winds := []Wind{{rapid.Float64Range(0, 360).Draw(t, "from"), 100}}
		g := geo.Grid{Min: orb.Point{-300, -300}, Cell: 20, Nx: 30, Ny: 30}
		was, is := field(t, b, winds, g), field(t, taller, winds, g)
		for i, v := range was.Values {
			require.False(t, v < BelowPercent && is.Values[i] >= BelowPercent, "%v becomes %v", v, is.Values[i])
		}
	})
}

// It holds for one wind only. Averaged over a fan a short, open belt shelters less ground as it outgrows its length: more of the
// winds miss it at its reach, and close behind it the function has more wind left than at some 4 heights.
func TestShortOpenBeltThatOutgrowsItsLength(t *testing.T) {
	g := geo.Grid{Min: orb.Point{-100, -60}, Cell: 2, Nx: 120, Ny: 200}
	region := geo.NewRegion(orb.MultiPolygon{{g.Box().ToRing()}})
	area := func(height float64, winds []Wind) float64 {
		return AreaBelow(field(t, []Barrier{line("h", height, 0, 0.6, orb.LineString{{0, 0}, {30, 0}})}, winds, g), BelowPercent, region)
	}
	one := []Wind{{180, 100}}
	assert.Less(t, area(8, one), area(16, one))
	assert.Greater(t, area(8, Fan(180)), area(16, Fan(180)))
}

func TestRoses(t *testing.T) {
	b := []Barrier{hedge(0.4), line("i", 8, 2, 0.5, orb.LineString{{-20, 10}, {30, 60}})}
	g := geo.Grid{Min: orb.Point{-40, -40}, Cell: 5, Nx: 30, Ny: 30}
	h := planner.DefaultHolding()
	h.WindRose = []planner.WindArm{{FromDeg: 200, Percent: 37.3, SpeedMS: 6}}
	one := field(t, b, Winds(&h), g)
	for j := range g.Ny {
		for i := range g.Nx {
			require.Equal(t, percent(b, 200, g.Middle(i, j)), one.At(i, j), "a rose with one arm is that one direction exactly")
		}
	}
	h.WindRose = []planner.WindArm{{FromDeg: 200, Percent: 30}, {FromDeg: 90, Percent: 10}, {FromDeg: 300, Percent: 0}} // calm for the other 60 percent
	require.Len(t, Winds(&h), 2)
	two, east := field(t, b, Winds(&h), g), field(t, b, []Wind{{90, 1}}, g)
	for i, v := range two.Values {
		require.InDelta(t, (3*one.Values[i]+east.Values[i])/4, v, 1e-9, "weighed by percent, calms not counted")
	}
	h.WindRose = nil
	fan := Winds(&h)
	require.Len(t, fan, 9)
	assert.Equal(t, 217.5, fan[0].FromDeg)
	assert.Equal(t, 240.0, fan[4].FromDeg)
	assert.Equal(t, 262.5, fan[8].FromDeg)
	all := field(t, b, fan, g)
	sum := make([]float64, g.Len())
	for _, w := range fan {
		for i, v := range field(t, b, []Wind{w}, g).Values {
			sum[i] += v / 9
		}
	}
	assert.InDeltaSlice(t, sum, all.Values, 1e-9)
}

func TestAnyNumberOfCoresGivesTheSame(t *testing.T) {
	b := []Barrier{hedge(0.4), line("i", 8, 2, 0.5, orb.LineString{{-20, 10}, {30, 60}}), house("j", 5, orb.Point{60, 20}, orb.Point{80, 25}, orb.Point{75, 40})}
	g := geo.Grid{Min: orb.Point{-40, -40}, Cell: 2, Nx: 80, Ny: 80}
	was := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(was)
	runtime.GOMAXPROCS(1)
	one := field(t, b, Fan(200), g)
	runtime.GOMAXPROCS(5)
	assert.Equal(t, one.Values, field(t, b, Fan(200), g).Values)
}

func TestFieldStopsAndTellsHowFarItIs(t *testing.T) {
	g := geo.Grid{Cell: 1, Nx: 50, Ny: 50}
	ctx, cancel := context.WithCancel(context.Background())
	var last int
	r, err := Field(ctx, []Barrier{hedge(0.4)}, Fan(180), g, func(done, total int) {
		assert.Equal(t, last+1, done)
		assert.Equal(t, 50, total)
		if last = done; done == 10 {
			cancel()
		}
	})
	require.ErrorIs(t, err, context.Canceled)
	assert.Nil(t, r)
	assert.Less(t, last, 50)
	last = 0
	_, err = Field(context.Background(), nil, Fan(180), g, func(done, _ int) { last = done })
	require.NoError(t, err)
	assert.Equal(t, 50, last)
	empty, err := Field(context.Background(), nil, nil, geo.Grid{}, nil)
	require.NoError(t, err)
	assert.Empty(t, empty.Values)
}

func TestAreaBelow(t *testing.T) {
	r := &geo.Raster{Grid: geo.Grid{Cell: 2, Nx: 2, Ny: 2}, Values: []float64{59.9, 60, 10, math.NaN()}}
	assert.Equal(t, 8.0, AreaBelow(r, 60, geo.NewRegion(orb.MultiPolygon{{r.Box().ToRing()}})))
	assert.Equal(t, 4.0, AreaBelow(r, 60, geo.NewRegion(orb.MultiPolygon{{{{0, 2}, {2, 2}, {2, 4}, {0, 4}, {0, 2}}}})))
	assert.Equal(t, 0.0, AreaBelow(r, 60, geo.NewRegion(nil)))
}
