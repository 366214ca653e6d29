package shelter

import (
	"context"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/growth"
	"quickthorn/testdata"
)

// fixed is a stand of bodies that do not grow.
type fixed []growth.Body

func (f fixed) Bodies(int) []growth.Body              { return f }
func (f fixed) Age(*planner.Feature, int) (int, bool) { return 0, false }
func known(m float64) growth.Span {
	return growth.Span{Low: 0.7 * m, Mid: m, High: 1.3 * m, Known: true}
}
func body(f *planner.Feature, row int, b growth.Body) growth.Body {
	b.Feature, b.Row, b.Runs = f, row, []orb.LineString{{{0, 0}, {10, 0}}}
	return b
}

func TestBarriersOfBodies(t *testing.T) {
	hedge, belt := thing("b", planner.KindHedge, &planner.Hedge{}), thing("a", planner.KindWindbreak, &planner.Windbreak{RowGapM: 2.5})
	plan := planner.New(planner.DefaultHolding(), geo.Frame{}, hedge, belt)
	s := fixed{
		body(belt, 0, growth.Body{Size: growth.Size{Height: known(4), Spread: known(2)}, DensityKnown: true, DensityLeafOn: 0.4, DensityLeafOff: 0.1}),
		body(belt, 1, growth.Body{Size: growth.Size{Height: known(8), Spread: known(3)}, DensityUnknown: "no species is stated"}),
		body(belt, 2, growth.Body{Size: growth.Size{Height: known(6)}, DensityKnown: true, DensityLeafOn: 0.5, DensityLeafOff: 0.3}),
		body(hedge, 0, growth.Body{Size: growth.Size{Height: known(2), Spread: known(1)}, DensityKnown: true, DensityLeafOn: 0.95, DensityLeafOff: 0.05}),
	}
	got, unknown := Barriers(plan, s, 5, Options{})
	require.Len(t, got, 2)
	assert.Same(t, belt, got[0].Feature)
	require.Len(t, got[0].Rows, 2, "the row of unknown density is left out")
	assert.Equal(t, []float64{0.6, 0.5}, []float64{got[0].Rows[0].Porosity, got[0].Rows[1].Porosity})
	assert.Equal(t, 6.0, got[0].Tallest())
	assert.InDelta(t, 0.05, got[1].Rows[0].Porosity, 1e-12)
	require.Len(t, unknown, 2)
	assert.Equal(t, "row 2 of windbreak a is left out of the shelter: its density is not known (no species is stated)", unknown[0].Say())
	assert.Equal(t, "row 3 of windbreak a: its width is not known and counts as none", unknown[1].Say())

	bare, unknown := Barriers(plan, s, 5, Options{Leaf: Bare, Height: Highest})
	require.Len(t, bare, 1, "with 95 percent open the hedge is beyond what is published")
	assert.InDelta(t, 0.9, bare[0].Rows[0].Porosity, 1e-12)
	assert.InDelta(t, 5.2, bare[0].Rows[0].HeightM, 1e-12)
	assert.Contains(t, unknown[len(unknown)-1].Say(), "hedge b is left out of the shelter: 95 % of its face is open")
	low, _ := Barriers(plan, s, 5, Options{Height: Lowest})
	assert.InDelta(t, 4.2, low[0].Tallest(), 1e-12)
}

func TestWhatIsNotKnownIsSaid(t *testing.T) {
	house := thing("h", planner.KindBuilding, &planner.Building{})
	row := thing("r", planner.KindRow, &planner.Row{})
	crooked := thing("x", planner.KindHedge, &planner.Hedge{})
	crooked.Sound = false
	orchard := thing("o", planner.KindOrchard, &planner.Block{})
	plan := planner.New(planner.DefaultHolding(), geo.Frame{}, house, row, crooked, orchard)
	got, unknown := Barriers(plan, fixed{}, 5, Options{})
	assert.Empty(t, got)
	var said []string
	for _, u := range unknown {
		assert.True(t, u.LeftOut)
		said = append(said, u.Say())
	}
	assert.Equal(t, []string{
		"building h is left out of the shelter: its height is not known",
		"row r is left out of the shelter: its height is not known",
		"hedge x is left out of the shelter: its line cannot be used",
	}, said, "an orchard is no barrier, and nothing is said of it here")
}

// A screen that stands until winter 2031 gives shelter in the four winters before, and none in 2031 or later.
func TestScreenUntilItsWinter(t *testing.T) {
	origin := orb.Point{-8, 53}
	plan, stand := planOf(t, props{"origin": origin, "planting_winter": 2026, "wind_rose": []props{{"from_deg": 180, "percent": 100, "speed_m_s": 5}}},
		draw(origin, "s", "screen", "LineString", props{"height_m": 2, "density_percent": 50, "until": 2031}, orb.Point{0, 0}, orb.Point{60, 0}),
		draw(origin, "bed", "bed", "Polygon", props{}, orb.Point{25, 8}, orb.Point{35, 8}, orb.Point{35, 12}, orb.Point{25, 12}))
	for year, want := range map[int]bool{0: true, 4: true, 5: false, 10: false} {
		b, unknown := Barriers(plan, stand, year, Options{})
		assert.Empty(t, unknown)
		assert.Equal(t, want, len(b) == 1, "year %d", year)
		beds, err := Beds(context.Background(), plan, b, Winds(&plan.Holding))
		require.NoError(t, err)
		require.Len(t, beds, 1)
		if want {
			assert.InDelta(t, 28.6, beds[0].Mean, 1.5, "some 5 heights behind at 50 percent: %s", weps)
		} else {
			assert.Equal(t, 100.0, beds[0].Mean)
			assert.Empty(t, beds[0].By)
		}
	}
}

// The same place at 53 north and 43 south: wind knows no hemisphere.
func TestSouthernHemisphereMakesNoDifference(t *testing.T) {
	var means []float64
	for _, lat := range []float64{53, -43} {
		origin := orb.Point{10, lat}
		plan, stand := planOf(t, props{"origin": origin, "wind_from_deg": 200},
			draw(origin, "s", "screen", "LineString", props{"height_m": 2, "density_percent": 50}, orb.Point{0, 0}, orb.Point{60, 5}),
			draw(origin, "bed", "bed", "Polygon", props{}, orb.Point{25, 8}, orb.Point{45, 8}, orb.Point{45, 22}, orb.Point{25, 22}))
		b, _ := Barriers(plan, stand, 0, Options{})
		beds, err := Beds(context.Background(), plan, b, Winds(&plan.Holding))
		require.NoError(t, err)
		means = append(means, beds[0].Mean)
	}
	assert.InDelta(t, means[0], means[1], 0.5, "but for what a degree measures")
	assert.Less(t, means[0], 60.0)
}

func TestDemoThroughTheYears(t *testing.T) {
	plan, stand := grow(t, testdata.Demo)
	g, coarser := Grid(plan)
	assert.False(t, coarser)
	years, err := Through(context.Background(), plan, stand, Years, BelowPercent, Options{}, g, nil)
	require.NoError(t, err)
	require.Len(t, years, len(Years))
	parcels, _ := Ground(plan)
	for _, y := range years {
		assert.LessOrEqual(t, y.AreaBelowM2, geo.MultiArea(parcels)+float64(len(parcels))*100)
		require.Len(t, y.Beds, len(plan.Of(planner.KindBed)))
		for _, b := range y.Beds {
			assert.GreaterOrEqual(t, b.Points, 9)
			assert.True(t, 0 < b.Least && b.Least <= b.Mean && b.Mean <= b.Greatest && b.Greatest <= 100, "%+v", b)
			var takes, share float64
			for _, s := range b.By {
				takes, share = takes+s.Takes, share+s.Percent
			}
			assert.InDelta(t, 100-b.Mean, takes, 1e-9, "what the barriers take and what is left is all")
			if len(b.By) > 0 {
				assert.InDelta(t, 100, share, 1e-9)
			}
			t.Logf("year %d %s: %.0f (%.0f to %.0f)", y.Year, b.Feature.Label(), b.Mean, b.Least, b.Greatest)
		}
		t.Logf("year %d: %.0f m2 below 60 %%, unknown %d", y.Year, y.AreaBelowM2, len(y.Unknown))
		for _, u := range y.Unknown {
			t.Log(u.Say())
		}
	}
	assert.Greater(t, years[len(years)-1].AreaBelowM2, years[0].AreaBelowM2, "the demo's windbreak grows")
	bare, err := Through(context.Background(), plan, stand, []int{20}, BelowPercent, Options{Leaf: Bare}, g, nil)
	require.NoError(t, err)
	assert.Less(t, bare[0].AreaBelowM2, years[3].AreaBelowM2, "bare belts shelter less")
}

func TestSmallBedsHaveNinePoints(t *testing.T) {
	f := thing("bed", planner.KindBed, &planner.Bed{})
	f.Shape.Polygons = orb.MultiPolygon{{{{0, 0}, {1.2, 0}, {1.2, 0.7}, {0, 0.7}, {0, 0}}}}
	plan := planner.New(planner.DefaultHolding(), geo.Frame{}, f)
	beds, err := Beds(context.Background(), plan, nil, Fan(0))
	require.NoError(t, err)
	require.Len(t, beds, 1)
	assert.GreaterOrEqual(t, beds[0].Points, 9)
	assert.Less(t, beds[0].CellM, 1.0)
	assert.Equal(t, []float64{100, 100, 100}, []float64{beds[0].Mean, beds[0].Least, beds[0].Greatest})
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = Beds(ctx, plan, nil, Fan(0))
	require.ErrorIs(t, err, context.Canceled)
}

func TestGridOfAPlan(t *testing.T) {
	field := func(side float64) *planner.Plan {
		f := thing("p", planner.KindParcel, &planner.Parcel{})
		f.Shape.Polygons = orb.MultiPolygon{{{{0, 0}, {side, 0}, {side, side}, {0, side}, {0, 0}}}}
		return planner.New(planner.DefaultHolding(), geo.Frame{}, f)
	}
	g, coarser := Grid(field(200))
	assert.Equal(t, 40000, g.Len())
	assert.False(t, coarser)
	g, coarser = Grid(field(2500))
	assert.Equal(t, 2.0, g.Cell)
	assert.True(t, coarser)
	g, _ = Grid(planner.New(planner.DefaultHolding(), geo.Frame{}))
	assert.Zero(t, g.Len())
}

func TestNotesSayWhatTheFieldLeavesOut(t *testing.T) {
	none := Notes(nil)
	require.Len(t, none, 1)
	assert.Contains(t, none[0].Text, "groves", "where only a grove stands, nothing shelters the beds in these figures")
	b := hedge(0.4)
	b.Rows[0].BaseM = 1.5
	notes := Notes([]Barrier{b})
	require.Len(t, notes, 4)
	assert.Contains(t, notes[3].Text, "hedge h is open for 1.5 m above the ground")
	for _, n := range notes {
		assert.NotEmpty(t, n.Source.Text)
	}
	assert.Len(t, Notes([]Barrier{hedge(0.4)}), 3)
}
