package growth

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
	"quickthorn/planner/setout"
)

var (
	winter = props{"planting_winter": 2026}
	line   = [][2]float64{{0, 0}, {60, 0}}
)

func tree(id string, p props) props { return feature(id, "plant", "Point", p, [2]float64{5, 5}) }

func TestAges(t *testing.T) {
	s := standOf(t, winter,
		tree("planned", props{"species": "hazel"}),
		tree("later", props{"species": "hazel", "planted": 2029}),
		tree("old", props{"species": "hazel", "planted": 2020}),
		tree("unsaid", props{"species": "hazel", "status": "existing"}),
		tree("measured", props{"species": "pedunculate oak", "status": "existing", "height_m": 6}))
	for _, c := range []struct {
		id        string
		year, age int
		known     bool
	}{
		{"planned", 0, 0, true}, {"planned", 7, 7, true}, {"later", 0, -3, true}, {"later", 3, 0, true}, {"later", 10, 7, true},
		{"old", 0, 6, true}, {"old", 4, 10, true}, {"unsaid", 5, 0, false}, {"measured", 5, 0, false},
	} {
		age, known := s.Age(s.plan.Feature(c.id), c.year)
		assert.Equal(t, c.age, age, "%s in year %d", c.id, c.year)
		assert.Equal(t, c.known, known, c.id)
	}
}

// Heights of the catalogue at 5, 10 and 20 years, through the stand: planted now, and six years ago.
func TestPlantsGrowByTheirAge(t *testing.T) {
	s := standOf(t, winter,
		tree("alder", props{"species": "common alder"}),
		tree("later", props{"species": "common alder", "planted": 2029}),
		tree("old", props{"species": "common alder", "planted": 2021}))
	for _, c := range []struct {
		id            string
		year          int
		low, mid, top float64
		source        string
	}{
		{"alder", 5, 1.9, 3, 4.5, "Johansson 1999, 16, 20 and 24 m at 40 years"},
		{"alder", 10, 4.5, 6.7, 9.6, "the same"},
		{"alder", 20, 9.3, 12.9, 16.9, "the same"},
		{"later", 13, 4.5, 6.7, 9.6, "the same, 10 years old in year 13"},
		{"old", 5, 4.5, 6.7, 9.6, "the same, 10 years old in year 5"},
		{"alder", 0, 0.5, 0.5, 0.5, "bare-root 40-60 cm"},
		{"later", 3, 0.5, 0.5, 0.5, "bare-root 40-60 cm"},
		{"later", 2, 0, 0, 0, "not planted yet"},
	} {
		size := s.Plant(plantOf(t, s, c.id), c.year)
		require.True(t, size.Height.Known)
		assert.InDelta(t, c.low, size.Height.Low, 0.05*c.low, "%s in year %d: %s", c.id, c.year, c.source)
		assert.InDelta(t, c.mid, size.Height.Mid, 0.05*c.mid, "%s in year %d: %s", c.id, c.year, c.source)
		assert.InDelta(t, c.top, size.Height.High, 0.05*c.top, "%s in year %d: %s", c.id, c.year, c.source)
		assert.NotEmpty(t, size.Rests)
	}
	for _, c := range s.Crowns(2) {
		assert.NotEqual(t, "later", c.Plant.Feature.ID, "what is still to be planted throws no shade")
	}
}

func TestExistingPlants(t *testing.T) {
	s := standOf(t, winter,
		tree("oak", props{"species": "pedunculate oak", "status": "existing", "height_m": 16, "spread_m": 14}),
		tree("small", props{"species": "pedunculate oak", "status": "existing", "height_m": 2.7}),
		tree("unsaid", props{"species": "pedunculate oak", "status": "existing"}),
		tree("riddle", props{"species": "wobbleberry", "status": "existing", "height_m": 4}))
	oak := s.Plant(plantOf(t, s, "oak"), 0)
	assert.Equal(t, exactly(16), oak.Height)
	assert.Equal(t, exactly(14), oak.Spread)
	assert.Contains(t, oak.Rests, "stated in the plan")
	assert.Greater(t, s.Plant(plantOf(t, s, "oak"), 20).Height.Mid, 16.0)
	small := plantOf(t, s, "small")
	assert.InDelta(t, 2.7, s.Plant(small, 0).Height.Mid, 1e-9)
	assert.InDelta(t, 7.2, s.Plant(small, 10).Height.Mid, 0.3, "2.7 m at 10 years and 7.2 m at 20: Nord-Larsen, Meilby and Skovsgaard 2009")
	unsaid := s.Plant(plantOf(t, s, "unsaid"), 0)
	assert.InDelta(t, 20, unsaid.Height.Mid, 1e-9, "grown height, building standard's table")
	assert.Contains(t, unsaid.Rests, "counts as grown")
	assert.Equal(t, unsaid.Height, s.Plant(plantOf(t, s, "unsaid"), 30).Height)
	riddle := s.Plant(plantOf(t, s, "riddle"), 10)
	assert.Equal(t, exactly(4), riddle.Height, "nothing says how it grows on")
	assert.False(t, riddle.Spread.Known)
}

// A tree of known age and height scales its kind; oaks are carried by the Danish curve.
func TestMeasuredNeighbourScalesItsKind(t *testing.T) {
	s := standOf(t, winter,
		tree("young", props{"species": "pedunculate oak"}),
		tree("thorn", props{"species": "hawthorn"}),
		feature("pond-oak", "plant", "Point", props{"species": "pedunculate oak", "status": "existing", "height_m": 18, "planted": 1976, "name": "the pond oak"}, [2]float64{30, 30}),
		feature("old-thorn", "plant", "Point", props{"species": "hawthorn", "status": "existing", "height_m": 6, "planted": 2016, "name": "old thorn"}, [2]float64{40, 40}))
	young := plantOf(t, s, "young")
	assert.InDelta(t, 2.74, s.Plant(young, 10).Height.Mid, 0.01, "Nord-Larsen, Meilby and Skovsgaard 2009: 18 m at 50 years")
	assert.InDelta(t, 7.19, s.Plant(young, 20).Height.Mid, 0.01, "the same")
	assert.Contains(t, s.Plant(young, 10).Rests, "the pond oak")
	assert.Equal(t, planner.Derived, s.Plant(young, 10).Source.Confidence)
	thorn := plantOf(t, s, "thorn")
	assert.InDelta(t, 6, s.Plant(thorn, 10).Height.Mid, 1e-6, "as the old thorn was at that age")
	assert.Contains(t, s.Plant(thorn, 10).Rests, "old thorn")
	assert.InDelta(t, 6, s.Plant(plantOf(t, s, "old-thorn"), 0).Height.Mid, 1e-9)
}

func TestYearZeroWithoutAPlantingWinter(t *testing.T) {
	s := standOf(t, nil, tree("old", props{"species": "common alder", "planted": 2016, "status": "existing"}),
		tree("older", props{"species": "common alder", "planted": 2011, "status": "existing"}))
	w, said := s.Winter()
	assert.Equal(t, 2016, w)
	assert.Contains(t, said, "2016")
	age, known := s.Age(s.plan.Feature("older"), 0)
	assert.True(t, known)
	assert.Equal(t, 5, age)
	assert.Contains(t, s.Plant(plantOf(t, s, "older"), 0).Rests, "no planting winter is stated")
	s = standOf(t, nil, tree("new", props{"species": "common alder"}))
	w, said = s.Winter()
	assert.Zero(t, w)
	assert.Empty(t, said)
	assert.InDelta(t, 6.7, s.Plant(plantOf(t, s, "new"), 10).Height.Mid, 0.15, "Johansson 1999")
}

func TestStockHeight(t *testing.T) {
	for stock, want := range map[string]float64{"bare-root 40-60 cm": 0.5, "cell-grown 20-40 cm": 0.3, "1.5-1.8 m whip": 1.65, "90 cm": 0.9, "pot-grown": 0,
		"": 0, "rooted cutting": 0, "40-sixty cm": 0, "plug 100 cm3": 0, "standard 8-10 cm girth": 0} {
		assert.InDelta(t, want, stockHeight(stock), 1e-9, stock)
	}
}

func TestHedgesKeepTheirHeight(t *testing.T) {
	thorn := props{"species": "hawthorn"}
	with := func(more props) props {
		out := props{}
		for _, m := range []props{thorn, more} {
			for k, v := range m {
				out[k] = v
			}
		}
		return out
	}
	hedge := func(id string, y float64, more props) props {
		return feature(id, "hedge", "LineString", with(more), [2]float64{0, y}, [2]float64{60, y})
	}
	s := standOf(t, winter,
		hedge("new", 0, props{"status": "planned", "height_m": 1.8, "width_m": 1.2}),
		hedge("usual", 10, nil),
		hedge("tall", 20, props{"manage": "leave"}),
		hedge("trimmed", 30, props{"status": "existing", "height_m": 1.3, "width_m": 1.1, "base_m": 0.4}),
		hedge("unsaid", 40, props{"status": "existing"}),
		hedge("left", 50, props{"status": "existing", "height_m": 3, "manage": "leave"}))
	assert.InDelta(t, 0.5, body(t, s, "new", 0).Height.Mid, 1e-9, "bare-root 40-60 cm")
	assert.InDelta(t, 1.5, body(t, s, "new", 5).Height.Mid, 0.05, "working height for hawthorn at 5 years, common practice")
	assert.InDelta(t, 1.8, body(t, s, "new", 10).Height.Mid, 1e-9, "kept at 1.8 m")
	assert.InDelta(t, 1.2, body(t, s, "new", 30).Spread.Mid, 1e-9)
	assert.InDelta(t, 2, body(t, s, "usual", 30).Height.Mid, 1e-9)
	assert.InDelta(t, 5, body(t, s, "tall", 20).Height.Mid, 0.2, "working height for hawthorn at 20 years, common practice")
	for _, year := range []int{0, 9, 30} {
		b := body(t, s, "trimmed", year)
		assert.Equal(t, exactly(1.3), b.Height)
		assert.Equal(t, exactly(1.1), b.Spread)
		assert.InDelta(t, 0.4, b.BaseM, 1e-9)
		assert.Equal(t, planner.User, b.Source.Confidence)
		u := body(t, s, "unsaid", year)
		assert.Equal(t, exactly(2), u.Height)
		assert.Equal(t, planner.CommonPractice, u.Source.Confidence)
		assert.Contains(t, u.Rests, "neither its height nor its winter of planting")
	}
	assert.InDelta(t, 3, body(t, s, "left", 0).Height.Mid, 1e-9)
	assert.InDelta(t, 5, body(t, s, "left", 10).Height.Mid, 0.2, "3 m at 10 years and 5 m at 20: working heights for hawthorn, common practice")
}

func TestCoppiceRegrows(t *testing.T) {
	s := standOf(t, winter,
		feature("cut", "hedge", "LineString", props{"status": "existing", "species": "hazel", "manage": "coppice", "last_cut": 2021}, line...),
		feature("parts", "hedge", "LineString", props{"status": "existing", "species": "hazel", "manage": "coppice", "last_cut": 2016,
			"cut_in": []any{props{"winter": 2030, "from_m": 0, "to_m": 20}, props{"winter": 2033, "from_m": 20}}}, [2]float64{0, 20}, [2]float64{60, 20}),
		feature("wood", "grove", "Polygon", props{"species": "hazel", "manage": "coppice", "spacing_m": 2.5, "cut_in": []any{2034}},
			[2]float64{0, 40}, [2]float64{20, 40}, [2]float64{20, 60}, [2]float64{0, 60}))
	g := s.Growth(s.cat.Find("hazel").Species, "")
	assert.InDelta(t, g.RegrownAt(5).Usual, body(t, s, "cut", 0).Height.Mid, 1e-9, "five years from the stool")
	assert.Contains(t, body(t, s, "cut", 0).Rests, "from the stool")
	bodies := func(year int) []Body {
		var out []Body
		for _, b := range s.Bodies(year) {
			if b.Feature.ID == "parts" {
				out = append(out, b)
			}
		}
		return out
	}
	before, after := bodies(3), bodies(4)
	require.Len(t, before, 2)
	assert.InDelta(t, 20, before[0].Runs[0][1][0]-before[0].Runs[0][0][0], 0.01, "the first stretch is 20 m long")
	assert.Equal(t, before[0].Height, before[1].Height)
	assert.InDelta(t, stumpM, after[0].Height.Mid, 1e-9, "cut in the winter of 2030")
	assert.Greater(t, after[1].Height.Mid, before[1].Height.Mid, "the second stretch stands until 2033")
	assert.InDelta(t, stumpM, bodies(7)[1].Height.Mid, 1e-9)
	wood := plantOf(t, s, "wood")
	assert.Less(t, s.Plant(wood, 8).Height.Mid, s.Plant(wood, 7).Height.Mid)
	assert.InDelta(t, g.RegrownAt(2).Usual, s.Plant(wood, 10).Height.Mid, 1e-9)
}

// A hedge that is laid stands at 1.5 m from that winter on (CEH 2015, rejuvenation of hedgerows: 1.50 m, mean of the trials of
// traditional laying), stretch by stretch; what is lower stays as it is, and a hedge kept in another way is not touched.
func TestALaidHedgeIsLow(t *testing.T) {
	laid := func(manage string, height float64, cuts ...any) props {
		return props{"status": "existing", "species": "hawthorn", "manage": manage, "height_m": height, "width_m": 2, "cut_in": cuts}
	}
	at := func(y float64) [][2]float64 { return [][2]float64{{0, y}, {60, y}} }
	s := standOf(t, winter,
		feature("high", "hedge", "LineString", laid("lay", 4, 2029), at(0)...),
		feature("low", "hedge", "LineString", laid("lay", 1.2, 2029), at(20)...),
		feature("trimmed", "hedge", "LineString", laid("trim", 4, 2029), at(40)...),
		feature("past", "hedge", "LineString", laid("lay", 4, 2020), at(60)...),
		feature("parts", "hedge", "LineString", laid("lay", 4, props{"winter": 2030, "from_m": 0, "to_m": 20}, props{"winter": 2033, "from_m": 20}), at(80)...),
		feature("new", "hedge", "LineString", props{"species": "hawthorn", "manage": "lay", "height_m": 3, "cut_in": []any{2046}}, at(100)...))
	for _, c := range []struct {
		id   string
		year int
		want float64
	}{{"high", 0, 4}, {"high", 2, 4}, {"high", 3, 1.5}, {"high", 30, 1.5}, {"low", 3, 1.2}, {"trimmed", 3, 4}, {"past", 0, 4}, {"past", 9, 4}, {"new", 19, 3}, {"new", 20, 1.5}} {
		assert.InDelta(t, c.want, body(t, s, c.id, c.year).Height.Mid, 1e-9, "%s in year %d", c.id, c.year)
	}
	b := body(t, s, "high", 3)
	assert.Contains(t, b.Source.Text, "CEH 2015")
	assert.Contains(t, b.Rests, "laid")
	var parts []float64
	for _, b := range s.Bodies(5) {
		if b.Feature.ID == "parts" {
			parts = append(parts, b.Height.Mid)
		}
	}
	assert.Equal(t, []float64{1.5, 4}, parts, "the second stretch stands until 2033")
	for i := range s.out.Of("new").Plants {
		assert.LessOrEqual(t, s.Plant(&s.out.Of("new").Plants[i], 20).Height.Mid, 1.5)
	}
}

func TestGapsFillAtTheirOwnAge(t *testing.T) {
	s := standOf(t, winter,
		feature("old", "hedge", "LineString", props{"status": "existing", "species": "hawthorn", "height_m": 3, "width_m": 2, "fill_mix": []any{props{"species": "hawthorn", "share_percent": 100}}}, line...),
		feature("hole", "gap", "LineString", nil, [2]float64{20, 0}, [2]float64{30, 0}),
		feature("gate", "gateway", "Point", props{"width_m": 4}, [2]float64{50, 0}))
	length := func(b Body) float64 {
		sum := 0.0
		for _, r := range b.Runs {
			for i := 1; i < len(r); i++ {
				sum += r[i][0] - r[i-1][0]
			}
		}
		return sum
	}
	var old, fill []Body
	for _, b := range s.Bodies(5) {
		if b.Height.Mid == 3 {
			old = append(old, b)
		} else {
			fill = append(fill, b)
		}
	}
	require.Len(t, old, 1)
	require.Len(t, fill, 1)
	assert.InDelta(t, 60-10-4, length(old[0]), 0.05, "60 m less a gap of 10 and a gateway of 4")
	assert.InDelta(t, 10, length(fill[0]), 0.05)
	assert.InDelta(t, 1.5, fill[0].Height.Mid, 0.05, "working height for hawthorn at 5 years, common practice")
	for _, b := range s.Bodies(30) {
		assert.LessOrEqual(t, b.Height.Mid, 3.0, "a fill is kept at the height of its hedge")
	}
}

func TestScreensAndWalls(t *testing.T) {
	s := standOf(t, winter,
		feature("net", "screen", "LineString", props{"height_m": 2.5, "density_percent": 45, "until": 2031}, line...),
		feature("wall", "wall", "LineString", props{"height_m": 1.8}, line...),
		feature("low", "wall", "LineString", nil, line...),
		feature("fence", "fence", "LineString", props{"height_m": 1.2}, line...))
	ids := func(year int) []string {
		var out []string
		for _, b := range s.Bodies(year) {
			out = append(out, b.Feature.ID)
		}
		return out
	}
	assert.Equal(t, []string{"net", "wall"}, ids(4), "winter of 2030")
	assert.Equal(t, []string{"wall"}, ids(5), "taken away in the winter of 2031")
	net, wall := body(t, s, "net", 0), body(t, s, "wall", 0)
	assert.InDelta(t, 0.45, net.DensityLeafOn, 1e-12)
	assert.Equal(t, exactly(2.5), net.Height)
	assert.InDelta(t, 1, wall.DensityLeafOff, 1e-12)
}

func TestBeltRows(t *testing.T) {
	s := standOf(t, winter,
		feature("belt", "windbreak", "LineString", props{"rows": []any{props{"species": "hawthorn", "spacing_m": 1.5}, props{"species": "common alder", "spacing_m": 1.5}}}, line...),
		feature("bare", "windbreak", "LineString", props{"rows": []any{props{"species": "common alder", "spacing_m": 1.5}}}, [2]float64{0, 30}, [2]float64{60, 30}),
		feature("old", "windbreak", "LineString", props{"status": "existing", "height_m": 9}, [2]float64{0, 60}, [2]float64{60, 60}))
	at := map[int]Body{}
	for _, b := range s.Bodies(20) {
		if b.Feature.ID == "belt" {
			at[b.Row] = b
		}
	}
	require.Len(t, at, 2)
	assert.InDelta(t, 5, at[0].Height.Mid, 0.2, "working height for hawthorn, common practice")
	assert.InDelta(t, 12.9, at[1].Height.Mid, 0.2, "Johansson 1999")
	assert.InDelta(t, 0.30, at[0].DensityLeafOn, 1e-9, "one closed row of deciduous shrubs, within 25 to 50 percent: National Agroforestry Center")
	assert.InDelta(t, 0.25, at[1].DensityLeafOn, 1e-9, "one closed row of deciduous trees: the same")
	assert.InDelta(t, 0.25*50/90, at[1].DensityLeafOff, 1e-6, "bare: belts in Moravia, 90 and 50 percent")
	assert.Zero(t, at[1].BaseM, "a shrub row closes the base")
	assert.InDelta(t, 2, body(t, s, "bare", 20).BaseM, 1e-9, "nothing but deciduous trees")
	young := body(t, s, "bare", 2)
	assert.Less(t, young.DensityLeafOn, 0.25, "crowns do not touch yet")
	assert.InDelta(t, 0.25*young.Spread.Mid/1.5, young.DensityLeafOn, 1e-9)
	canes := standOf(t, winter, feature("canes", "row", "LineString", props{"status": "existing", "height_m": 3}, line...))
	assert.Equal(t, exactly(3), body(t, canes, "canes", 10).Height, "it stands there, though nobody says of what it is or how close")
	old := body(t, s, "old", 10)
	assert.Equal(t, exactly(9), old.Height)
	assert.False(t, old.DensityKnown)
	assert.NotEmpty(t, old.DensityUnknown)
}

// Two rows of deciduous shrubs: 50 to 65 percent (National Agroforestry Center).
func TestHedgeDensity(t *testing.T) {
	s := standOf(t, winter, feature("two", "hedge", "LineString", props{"species": "hawthorn"}, line...),
		feature("one", "hedge", "LineString", props{"species": "hawthorn", "rows": 1, "per_metre": 4}, [2]float64{0, 9}, [2]float64{60, 9}),
		feature("trees", "hedge", "LineString", props{"species": "hornbeam"}, [2]float64{0, 19}, [2]float64{60, 19}),
		feature("what", "hedge", "LineString", props{"status": "existing", "height_m": 2}, [2]float64{0, 29}, [2]float64{60, 29}))
	for _, id := range []string{"two", "trees", "what"} {
		b := body(t, s, id, 10)
		assert.GreaterOrEqual(t, b.DensityLeafOn, 0.5, id)
		assert.LessOrEqual(t, b.DensityLeafOn, 0.65, id)
		assert.Less(t, b.DensityLeafOff, b.DensityLeafOn)
	}
	assert.InDelta(t, 0.3, body(t, s, "one", 10).DensityLeafOn, 1e-9)
	assert.Equal(t, planner.CommonPractice, body(t, s, "what", 0).DensitySource.Confidence)
}

func TestHedgerowTreesStandAboveTheirHedge(t *testing.T) {
	s := standOf(t, winter, feature("h", "hedge", "LineString", props{"species": "hawthorn", "trees_every_m": 20, "tree_mix": []any{props{"species": "pedunculate oak", "share_percent": 100}}}, line...))
	assert.Empty(t, s.Crowns(0))
	late := s.Crowns(20)
	require.NotEmpty(t, late)
	for _, c := range late {
		assert.Equal(t, setout.UseTree, c.Plant.Use)
		assert.GreaterOrEqual(t, c.BaseM, 2.0, "the crown begins above the hedge")
		assert.Greater(t, c.Height.Mid, c.BaseM)
	}
}

func TestFruitTreesByRootstockAndForm(t *testing.T) {
	s := standOf(t, winter,
		tree("dwarf", props{"species": "apple", "rootstock": "M9", "form": "bush"}),
		tree("tall", props{"species": "apple", "rootstock": "M25", "form": "standard"}))
	dwarf, tall := s.Plant(plantOf(t, s, "dwarf"), 25), s.Plant(plantOf(t, s, "tall"), 25)
	assert.InDelta(t, 2.1, dwarf.Height.Mid, 0.1, "Royal Horticultural Society: M9 1.8 to 2.4 m")
	assert.Greater(t, tall.Height.Mid, dwarf.Height.Mid)
	assert.InDelta(t, 2, tall.BaseM, 1e-9, "clear stem of a standard, British orchard scheme")
	assert.InDelta(t, 0.75, dwarf.BaseM, 1e-9, "clear stem of a bush, 0.6 to 0.9 m, common practice")
}
