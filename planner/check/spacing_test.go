package check

import (
	"fmt"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/planner"
)

func TestSameSpot(t *testing.T) {
	two := func(d float64, status ...string) []planner.Finding {
		a, b := treeAt("a", 0, "beech", nil), treeAt("b", d, "holly", nil)
		if len(status) > 0 {
			a.props["status"], b.props["status"] = status[0], status[1]
		}
		return ruleOn(t, sameSpot(), inputOf(t, nil, a, b))
	}
	const ours = "0.15 m: Quickthorn, its own rule"
	for _, c := range []struct {
		at   float64
		same bool
	}{{0, true}, {0.05, true}, {0.149, true}, {0.1501, false}, {0.2, false}, {5, false}} {
		found := two(c.at)
		assert.Equal(t, c.same, len(found) == 1, "%v m apart (%s)", c.at, ours)
		if c.same {
			assert.Equal(t, planner.Stop, found[0].Severity)
			assert.InDelta(t, c.at, *found[0].Measured, 1e-6)
			assert.InDelta(t, 0.15, *found[0].Limit, 1e-12)
			assert.Equal(t, []string{"a", "b"}, found[0].Features)
		}
	}
	assert.Len(t, two(0.1, "existing", "planned"), 1, "one of the two is still to be planted")
	assert.Empty(t, two(0.1, "existing", "existing"), "what stands there already is let be")
}

func TestSameSpotLetsHedgesMeet(t *testing.T) {
	hedge := func(id string, at ...[2]float64) drawn {
		return lineOf(id, "hedge", props{"status": "planned", "species": "hawthorn", "per_metre": 6}, at...)
	}
	corner := inputOf(t, nil, hedge("a", [2]float64{0, 0}, [2]float64{30, 0}), hedge("b", [2]float64{0, 0}, [2]float64{0, 30}))
	assert.Empty(t, ruleOn(t, sameSpot(), corner), "two hedges from one corner")
	tee := inputOf(t, nil, hedge("a", [2]float64{-30, 0}, [2]float64{30, 0}), hedge("b", [2]float64{0, 0}, [2]float64{0, 30}))
	assert.Empty(t, ruleOn(t, sameSpot(), tee), "a hedge that runs into another")
	dense := inputOf(t, nil, lineOf("a", "hedge", props{"status": "planned", "species": "hawthorn", "per_metre": 12, "rows": 6, "row_gap_m": 0.1}, [2]float64{0, 0}, [2]float64{30, 0}))
	assert.Empty(t, ruleOn(t, sameSpot(), dense), "one hedge, however dense")
	twice := inputOf(t, nil, hedge("a", [2]float64{0, 0}, [2]float64{30, 0}), hedge("b", [2]float64{0, 0}, [2]float64{30, 0}))
	found := ruleOn(t, sameSpot(), twice)
	require.Len(t, found, 1)
	assert.Greater(t, found[0].Count, 100, "a hedge drawn twice is one finding with all its pairs")
	assert.Len(t, found[0].Places, MostPlaces)
}

func TestSameSpotLeavesOneOut(t *testing.T) {
	in := inputOf(t, nil, treeAt("a", 0, "beech", nil), treeAt("b", 0.1, "beech", nil), treeAt("c", 9, "beech", nil))
	found := ruleOn(t, sameSpot(), in)
	require.Len(t, found, 1)
	after := applied(t, in, found[0].Fix)
	assert.Empty(t, ruleOn(t, sameSpot(), after))
	assert.Nil(t, after.Plan.Feature("b"))
	assert.NotNil(t, after.Plan.Feature("a"))
}

// TestSameSpotAgainstAllPairs holds the grid against a look at every pair.
func TestSameSpotAgainstAllPairs(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(2, 30).Draw(rt, "n")
		var list []drawn
		var at []orb.Point
		for i := range n {
			p := orb.Point{rapid.Float64Range(0, 1).Draw(rt, "x"), rapid.Float64Range(0, 1).Draw(rt, "y")}
			at = append(at, p)
			list = append(list, pointAt(fmt.Sprintf("p%02d", i), "plant", p[0], p[1], props{"species": "beech", "status": "planned"}))
		}
		want, near := 0, false
		for i := range at {
			for j := range i {
				d := distToLine(orb.LineString{at[j]}, at[i])
				near = near || d > 0.149 && d < 0.151
				if d <= 0.15 {
					want++
				}
			}
		}
		if near {
			return // too near the limit for coordinates rounded to degrees
		}
		got := 0
		for _, f := range ruleOn(t, sameSpot(), inputOf(t, nil, list...)) {
			got += f.Count
		}
		assert.Equal(rt, want, got)
	})
}

// TestPublishedSpacings holds rows and orchards against the ranges of the fruit tables.
func TestPublishedSpacings(t *testing.T) {
	const (
		rhs1 = "RHS, apples: choosing trees (rootstock table)"
		rhs5 = "RHS, gooseberries and currants"
		gwrc = "Greater Wellington Regional Council, trees for shelter"
	)
	row := func(species string, spacing float64, more props) drawn {
		tree := props{"species": species, "share_percent": 100}
		for k, v := range more {
			tree[k] = v
		}
		return lineOf("row", "row", props{"status": "planned", "spacing_m": spacing, "trees": []props{tree}}, [2]float64{0, 0}, [2]float64{60, 0})
	}
	belt := func(species string, spacing float64) drawn {
		return lineOf("belt", "windbreak", props{"status": "planned", "rows": []props{{"species": species, "spacing_m": spacing}}}, [2]float64{0, 0}, [2]float64{60, 0})
	}
	for _, c := range []struct {
		what        string
		drawn       drawn
		close, wide bool
		limit       float64
		source      string
	}{
		{"apple on M9 at 2.0", row("apple", 2, props{"rootstock": "M9"}), true, false, 2.4, rhs1 + ": 2.4 m least"},
		{"apple on M9 at 2.4", row("apple", 2.4, props{"rootstock": "M9"}), false, false, 0, rhs1},
		{"apple on M9 at 3.1", row("apple", 3.1, props{"rootstock": "M9"}), false, true, 3, rhs1 + ": 2.4 to 3.0 m"},
		{"apple on M27 at 1.2", row("apple", 1.2, props{"rootstock": "M27"}), false, false, 0, rhs1},
		{"apple on M27 at 1.1", row("apple", 1.1, props{"rootstock": "M27"}), true, false, 1.2, rhs1},
		{"apple on MM106 at 3.5", row("apple", 3.5, props{"rootstock": "MM106"}), true, false, 3.6, rhs1 + ": 3.6 m"},
		{"apple on MM106 at 3.6", row("apple", 3.6, props{"rootstock": "MM106"}), false, false, 0, rhs1},
		{"apple on MM106 at 5.5", row("apple", 5.5, props{"rootstock": "MM106"}), false, false, 0, "Cornell Guide to Growing Fruit at Home, Table 2: 5.5 m"},
		{"espalier at 3.0", row("apple", 3, props{"rootstock": "MM106", "form": "espalier"}), true, false, 3.75, "RHS, trained trees: 3.75 m least"},
		{"espalier at 6.0", row("apple", 6, props{"rootstock": "MM106", "form": "espalier"}), false, false, 0, "RHS, trained trees: to 6 m"},
		{"gooseberry bush at 1.0", row("gooseberry", 1, nil), true, false, 1.2, rhs5 + ": 1.2 m least"},
		{"gooseberry bush at 1.2", row("gooseberry", 1.2, nil), false, false, 0, rhs5},
		{"gooseberry cordon at 0.35", row("gooseberry", 0.35, props{"form": "cordon"}), false, false, 0, rhs5 + ": 0.30 to 0.38 m"},
		{"red currant at 1.5", row("redcurrant", 1.5, nil), false, false, 0, rhs5},
		{"raspberry at 0.40", row("raspberry", 0.4, nil), true, false, 0.45, "RHS, raspberries: 0.45 m least"},
		{"raspberry at 0.50", row("raspberry", 0.5, nil), false, false, 0, "RHS, raspberries"},
		{"blackcurrant at 1.4", row("blackcurrant", 1.4, nil), true, false, 1.5, "RHS, blackcurrants: 1.5 to 1.8 m"},
		{"blackcurrant at 1.6", row("blackcurrant", 1.6, nil), false, false, 0, "RHS, blackcurrants"},
		{"willow belt at 0.7", belt("osier", 0.7), true, false, 0.8, gwrc + ": 0.8 to 1.5 m"},
		{"willow belt at 1.5", belt("osier", 1.5), false, false, 0, gwrc},
		{"willow belt at 1.6", belt("osier", 1.6), false, true, 1.5, gwrc},
		{"alder belt at 1.5", belt("common alder", 1.5), false, false, 0, gwrc + ": 1.5 to 3 m"},
		{"pine belt at 2.1", belt("Scots pine", 2.1), false, true, 2, gwrc + ": 1 to 2 m"},
		{"Leyland belt at 1.4", belt("Leyland cypress", 1.4), true, false, 1.5, gwrc + ": 1.5 to 3 m"},
		{"red cedar belt at 1.9", belt("western red cedar", 1.9), true, false, 2, gwrc + ": slow conifers 2 to 3.5 m"},
	} {
		in := inputOf(t, nil, c.drawn)
		near, far := ruleOn(t, tooClose(), in), ruleOn(t, tooWide(), in)
		if assert.Equal(t, c.close, len(near) == 1, "%s: too close (%s) %v", c.what, c.source, near) && c.close {
			assert.InDelta(t, c.limit, *near[0].Limit, 1e-9, "%s (%s)", c.what, c.source)
			assert.Equal(t, planner.Warn, near[0].Severity)
		}
		if assert.Equal(t, c.wide, len(far) == 1, "%s: too wide (%s) %v", c.what, c.source, far) && c.wide {
			assert.InDelta(t, c.limit, *far[0].Limit, 1e-9, "%s (%s)", c.what, c.source)
		}
	}
}

func TestSpacingFixes(t *testing.T) {
	orchard := func(p props) Input {
		all := props{"status": "planned", "bearing_deg": 0, "trees": []props{{"species": "apple", "rootstock": "M9", "share_percent": 100}}}
		for k, v := range p {
			all[k] = v
		}
		return inputOf(t, nil, boxOf("orchard", "orchard", 0, 0, 40, 30, all))
	}
	for _, c := range []struct {
		rule *Rule
		p    props
	}{
		{tooClose(), props{"spacing_m": 2}},
		{tooWide(), props{"spacing_m": 5}},
		{tooClose(), props{"spacing_m": 2, "row_spacing_m": 1.5, "pattern": "rectangle"}},
		{tooClose(), props{"spacing_m": 2.4, "pattern": "quincunx"}},
		{tooWide(), props{"spacing_m": 6, "pattern": "triangle"}},
	} {
		in := orchard(c.p)
		found := ruleOn(t, c.rule, in)
		require.Len(t, found, 1, "%v", c.p)
		require.NotNil(t, found[0].Fix, "%v: %s", c.p, found[0].Message)
		assert.Empty(t, ruleOn(t, c.rule, applied(t, in, found[0].Fix)), "%v: %s", c.p, found[0].Fix.Say)
	}
}

func TestRowGapOfAWindbreak(t *testing.T) {
	belt := func(gap float64) Input {
		row := props{"species": "common alder", "spacing_m": 2}
		return inputOf(t, nil, lineOf("belt", "windbreak", props{"status": "planned", "row_gap_m": gap, "rows": []props{row, row}}, [2]float64{0, 0}, [2]float64{60, 0}))
	}
	const source = "Greater Wellington Regional Council: 1.5 to 3 m between rows"
	require.Len(t, ruleOn(t, tooClose(), belt(1.4)), 1, source)
	assert.Empty(t, ruleOn(t, tooClose(), belt(1.5)), source)
	assert.Empty(t, ruleOn(t, tooWide(), belt(3)), source)
	require.Len(t, ruleOn(t, tooWide(), belt(3.1)), 1, source)
	in := belt(4)
	assert.Empty(t, ruleOn(t, tooWide(), applied(t, in, ruleOn(t, tooWide(), in)[0].Fix)))
}

func TestCrownsMeet(t *testing.T) {
	// Widths: apple on MM106 4 m and on M27 1.5 m (RHS rootstock table, planting distance); hawthorn and hazel 4 to 8 m (RHS).
	const rhs = "RHS size bands and rootstock table"
	apple := func(stock string) props { return props{"rootstock": stock} }
	for _, c := range []struct {
		what       string
		a, b       string
		pa, pb     props
		at         float64
		meets      bool
		need       float64
		sourceNote string
	}{
		{"two on MM106 at 3.9", "apple", "apple", apple("MM106"), apple("MM106"), 3.9, true, 4, rhs},
		{"two on MM106 at 4.0", "apple", "apple", apple("MM106"), apple("MM106"), 4, false, 0, rhs},
		{"MM106 and M27 at 2.7", "apple", "apple", apple("MM106"), apple("M27"), 2.7, true, 2.75, rhs + ": the mean of 4 and 1.5"},
		{"MM106 and M27 at 2.75", "apple", "apple", apple("MM106"), apple("M27"), 2.75, false, 0, rhs},
		{"two shrubs", "hawthorn", "hazel", nil, nil, 5.9, true, 6, rhs},
		{"a tree over a shrub", "beech", "hazel", nil, nil, 2, false, 0, "layers do not compete"},
		{"stated widths", "beech", "beech", props{"spread_m": 3}, props{"spread_m": 5}, 3.9, true, 4, "the plan's own widths"},
		{"stated widths, clear", "beech", "beech", props{"spread_m": 3}, props{"spread_m": 5}, 4, false, 0, "the plan's own widths"},
	} {
		found := ruleOn(t, crownsMeet(), inputOf(t, nil, treeAt("a", 0, c.a, c.pa), treeAt("b", c.at, c.b, c.pb)))
		if assert.Equal(t, c.meets, len(found) == 1, "%s (%s) %v", c.what, c.sourceNote, found) && c.meets {
			assert.InDelta(t, c.need, *found[0].Limit, 1e-6, "%s (%s)", c.what, c.sourceNote)
			assert.InDelta(t, c.at, *found[0].Measured, 1e-3)
		}
	}
}

// Hybrid poplars are 19.9 m tall after 20 years (Forestry 94:181-192, hung on 9.3 m at 7 years) and oaks 7.2 m (Scand. J. For. Res.
// 24:194-204): wide at the same distance, the slow ones touch later, and a note says so where that is after year 20.
func TestCrownsTouchInYears(t *testing.T) {
	meet := func(kind string, d float64, p props) planner.Finding {
		found := ruleOn(t, crownsMeet(), inputOf(t, nil, treeAt("a", 0, kind, p), treeAt("b", d, kind, p)))
		require.Len(t, found, 1, "%s at %v", kind, d)
		require.NotNil(t, found[0].Years)
		assert.LessOrEqual(t, found[0].Years.From, found[0].Years.Mid)
		assert.LessOrEqual(t, found[0].Years.Mid, found[0].Years.To)
		assert.Contains(t, found[0].Message, "touch")
		return found[0]
	}
	near, far := meet("common alder", 2, nil), meet("common alder", 4, nil)
	assert.Less(t, near.Years.Mid, far.Years.Mid, "nearer trees touch sooner")
	assert.Equal(t, planner.Warn, near.Severity)
	slow := meet("pedunculate oak", 7.5, nil)
	assert.Greater(t, slow.Years.Mid, 20)
	assert.Equal(t, planner.Note, slow.Severity)
}

func TestCrownsBesideHedges(t *testing.T) {
	at := func(x float64, width float64) []planner.Finding {
		return ruleOn(t, crownsMeet(), inputOf(t, nil,
			lineOf("hedge", "hedge", props{"status": "planned", "species": "hawthorn", "width_m": width}, [2]float64{0, -20}, [2]float64{0, 20}),
			treeAt("bush", x, "hazel", nil)))
	}
	// Hazel grows 6 m wide (RHS, 4 to 8 m): half of it and half of the hedge's 1.5 m are 3.75 m.
	require.Len(t, at(3.7, 1.5), 1)
	assert.InDelta(t, 3.75, *at(3.7, 1.5)[0].Limit, 1e-9)
	assert.Empty(t, at(3.75, 1.5))
	require.Len(t, at(3.75, 2), 1, "a wider hedge")
}

func TestCrownsOfOneFeatureAreLetBe(t *testing.T) {
	wood := boxOf("wood", "grove", 0, 0, 20, 20, props{"spacing_m": 2, "margin_m": 0, "species": "silver birch"})
	assert.Empty(t, ruleOn(t, crownsMeet(), inputOf(t, nil, wood)))
	found := ruleOn(t, crownsMeet(), inputOf(t, nil, wood, treeAt("tree", 10, "silver birch", nil)))
	require.Len(t, found, 1, "one finding for the pair of features, however many crowns meet")
	assert.Greater(t, found[0].Count, 3)
}

func TestUnknownWidthIsSaid(t *testing.T) {
	found := ruleOn(t, crownsMeet(), inputOf(t, nil, treeAt("a", 0, "tree of heaven", nil)))
	require.Len(t, found, 1)
	assert.Equal(t, planner.Note, found[0].Severity)
	assert.Contains(t, found[0].Message, "is not known")
}

func TestObstructed(t *testing.T) {
	for _, c := range []struct {
		what  string
		thing drawn
		at    float64
		stops bool
	}{
		{"inside a building", boxOf("x", "building", -2, -2, 2, 2, nil), 1, true},
		{"on its wall", boxOf("x", "building", -2, -2, 2, 2, nil), 2, false},
		{"20 mm inside is let be", boxOf("x", "building", -2, -2, 2, 2, nil), 1.985, false},
		{"outside", boxOf("x", "building", -2, -2, 2, 2, nil), 2.1, false},
		{"in a pond, far from its edge", boxOf("x", "watercourse", -50, -50, 50, 50, nil), 0, true},
		{"in a stream of 3 m", lineOf("x", "watercourse", props{"width_m": 3}, [2]float64{0, -9}, [2]float64{0, 9}), 1.4, true},
		{"on the bank of it", lineOf("x", "watercourse", props{"width_m": 3}, [2]float64{0, -9}, [2]float64{0, 9}), 1.5, false},
		{"in a ditch", lineOf("x", "ditch", nil, [2]float64{0, -9}, [2]float64{0, 9}), 0.4, true},
		{"on a road of 5 m by default", lineOf("x", "road", nil, [2]float64{0, -9}, [2]float64{0, 9}), 2.4, true},
		{"beside it", lineOf("x", "road", nil, [2]float64{0, -9}, [2]float64{0, 9}), 2.5, false},
		{"on a track of 3 m", lineOf("x", "track", nil, [2]float64{0, -9}, [2]float64{0, 9}), 1.4, true},
		{"on a path of 2 m", lineOf("x", "path", nil, [2]float64{0, -9}, [2]float64{0, 9}), 0.9, true},
		{"in a gateway of 3.6 m", pointAt("x", "gateway", 0, 0, nil), 1.7, true},
		{"beside it", pointAt("x", "gateway", 0, 0, nil), 1.8, false},
		{"on protected ground", boxOf("x", "protected", -2, -2, 2, 2, nil), 0, true},
	} {
		found := ruleOn(t, obstructed(), inputOf(t, nil, c.thing, treeAt("tree", c.at, "beech", nil)))
		assert.Equal(t, c.stops, len(found) == 1, "%s: %v", c.what, found)
		for _, f := range found {
			assert.Equal(t, planner.Stop, f.Severity)
		}
		old := treeAt("tree", c.at, "beech", props{"status": "existing"})
		assert.Empty(t, ruleOn(t, obstructed(), inputOf(t, nil, c.thing, old)), "%s: what stands there is let be", c.what)
	}
}

func TestAHedgeIsCutByItsGatewayAndLetBe(t *testing.T) {
	in := inputOf(t, nil, lineOf("hedge", "hedge", props{"status": "planned", "species": "hawthorn"}, [2]float64{0, 0}, [2]float64{10, 0}, [2]float64{10, 10}),
		pointAt("gate", "gateway", 9, 0, nil))
	assert.Empty(t, ruleOn(t, obstructed(), in))
}
