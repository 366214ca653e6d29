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

var hawthorn = []planner.Share{{Species: "hawthorn", SharePercent: 100}}

func straight(length float64) orb.LineString { return orb.LineString{{0, 0}, {length, 0}} }

// The count is the least that the schemes pay for: density times length, rounded up.
func TestHedgeCounts(t *testing.T) {
	const grant = "RPA, Countryside Stewardship BN11 Planting new hedges, 2023: at least 6 a metre, staggered double row"
	cases := []struct {
		length, per float64
		rows, want  int
		source      string
	}{
		{6, 6, 2, 36, grant},
		{20, 6, 2, 120, grant},
		{27, 5, 2, 135, "DAFM, ACRES specification, Planting new hedgerow, 2022: at least 5 a metre"},
		{100, 6, 2, 600, grant},
		{100, 5, 2, 500, "DAFM, ACRES specification, 2022"},
		{100, 4, 2, 400, "derived: 4 a metre over 100 m"},
		{100, 8, 2, 800, "DARD (Northern Ireland), field boundary restoration, 2012: about 8 a metre"},
		{200, 6, 2, 1200, "Teagasc, GLAS hedgerow booklet, 2015: 1,200 plants for 200 m"},
		{250, 5, 2, 1250, "DAFM, ACRES specification, 2022"},
		{860, 6, 2, 5160, "contractor's account of 860 m under BN11: 5,200 planted"},
		{100, 3, 1, 300, "single row, 3 a metre (common practice)"},
		{100, 4, 1, 400, "single row, 4 a metre (common practice)"},
		{48.5, 6, 2, 291, "derived: ceil(6 x 48.48), 20 mm forgiven"},
		{0.1, 6, 2, 1, "derived: at least 1"},
		{6.021, 6, 2, 37, "derived: just over 20 mm more than 6 m takes one more"},
		{6.019, 6, 2, 36, "derived: just under 20 mm more than 6 m takes no more"},
		{5.853, 6, 2, 35, "derived: ceil(6 x 5.833)"},
	}
	for _, c := range cases {
		t.Run(fmt.Sprintf("%gm at %g", c.length, c.per), func(t *testing.T) {
			for name, line := range map[string]orb.LineString{"drawn": straight(c.length), "reversed": {{c.length, 0}, {0, 0}}, "mirrored": {{0, 0}, {-c.length, 0}}} {
				out := set(t, plan(t, hedge("h", planner.Planned, planner.Hedge{Rows: c.rows, RowGapM: 0.4, PerMetre: c.per, Mix: hawthorn}, line)), "general")
				assert.Len(t, out.Of("h").Plants, c.want, "%s: %s", name, c.source)
			}
		})
	}
}

// The rows are perfectly staggered: the nearest neighbour across rows is the root of row gap squared and half an in-row spacing squared.
func TestHedgeNeighbours(t *testing.T) {
	cases := []struct {
		gap, per     float64
		across, inOw float64
		source       string
	}{
		{0.40, 6, 0.4333, 1. / 3, "BN11, 2023: 0.40 m between rows, 6 a metre"},
		{0.33, 2 / 0.33, 0.369, 0.33, "GLAS, 2015: 0.33 m by 0.33 m"},
		{0.30, 5, 0.3606, 0.40, "contractors' advice under ACRES: 0.30 m between rows, 0.40 m in them"},
	}
	for _, c := range cases {
		length := 200 / c.per
		out := set(t, plan(t, hedge("h", planner.Planned, planner.Hedge{Rows: 2, RowGapM: c.gap, PerMetre: c.per, Mix: hawthorn}, straight(length))), "general")
		l := out.Of("h")
		require.Len(t, l.Plants, 200, c.source)
		for n := 0; n+2 < 200; n++ {
			a := byNumber(l, n)
			assert.InDelta(t, c.across, geo.Dist(a.At, byNumber(l, n+1).At), 0.0005, c.source)
			assert.InDelta(t, c.inOw, geo.Dist(a.At, byNumber(l, n+2).At), 0.0005, c.source)
		}
		first, last := byNumber(l, 0), byNumber(l, 199)
		assert.InDelta(t, first.Chainage, length-last.Chainage, 1e-9, "both ends match")
		assert.InDelta(t, c.gap/2, first.At[1], 1e-9, "row 0 on the left")
	}
}

func TestHedgeDefaultsComeFromTheRuleSet(t *testing.T) {
	cases := []struct {
		set      string
		per, gap float64
		source   string
	}{
		{"general", 6, 0.40, "BN11, 2023"}, {"england", 6, 0.40, "BN11, 2023"}, {"scotland", 6, 0.40, "AECS, 2023; row gap as general"},
		{"ireland", 5, 0.33, "ACRES, 2022; row gap GLAS, 2015"}, {"northern-ireland", 8, 0.30, "DARD, 2012"},
	}
	for _, c := range cases {
		p := plan(t, hedge("h", planner.Planned, planner.Hedge{Rows: 2, Mix: hawthorn}, straight(100)))
		out := set(t, p, c.set)
		l := out.Of("h")
		assert.Len(t, l.Plants, int(100*c.per), "%s: %s", c.set, c.source)
		assert.InDelta(t, c.gap, l.Line.RowGapM, 1e-9, "%s: %s", c.set, c.source)
		used := setout.Defaults(p, out, ruleset(t, c.set))
		assert.Equal(t, setout.DefaultUse{Value: c.per, Features: []string{"h"}}, used["hedge.per_metre"])
		assert.Equal(t, setout.DefaultUse{Value: c.gap, Features: []string{"h"}}, used["hedge.row_gap_m"])
	}
}

// A bend: within half a row gap of the corner the plants stand on the bisector, elsewhere square to the line.
//
//	          |
//	          |  then north
//	----------+
//	east
func TestHedgeCorner(t *testing.T) {
	for _, mirror := range []float64{1, -1} {
		line := orb.LineString{{0, 0}, {10, 0}, {10, 10 * mirror}}
		out := set(t, plan(t, hedge("h", planner.Planned, planner.Hedge{Rows: 2, RowGapM: 0.4, PerMetre: 6, Mix: hawthorn}, line)), "general")
		l := out.Of("h")
		require.Len(t, l.Plants, 120)
		near := 0
		for _, p := range l.Plants {
			foot := geo.NewChain(line).At(p.Chainage)
			assert.InDelta(t, 0.2, geo.Dist(foot, p.At), 1e-9)
			dx, dy := p.At[0]-foot[0], p.At[1]-foot[1]
			if math.Abs(p.Chainage-10) <= 0.2 {
				near++
				assert.InDelta(t, math.Abs(dx), math.Abs(dy), 1e-9, "on the bisector")
			} else {
				assert.InDelta(t, 0, dx*dy, 1e-9, "square to the line")
			}
		}
		assert.Positive(t, near)
	}
}

func TestHedgerowTrees(t *testing.T) {
	d := planner.Hedge{Rows: 2, RowGapM: 0.4, PerMetre: 6, Mix: hawthorn, TreesEveryM: 20,
		TreeMix: []planner.Share{{Species: "field maple", SharePercent: 60}, {Species: "pedunculate oak", SharePercent: 40}}}
	l := set(t, plan(t, hedge("h", planner.Planned, d, straight(100))), "general").Of("h")
	require.Len(t, l.Plants, 600, "each tree stands in place of a hedge plant")
	var at []float64
	kinds := map[string]int{}
	for n := range 600 {
		if p := byNumber(l, n); p.Use == setout.UseTree {
			at = append(at, p.Chainage)
			kinds[p.Species.Botanical]++
		}
	}
	require.Len(t, at, 5, "trees per 100 m at 20 m: 5 (RPA, TE1 Planting standard hedgerow tree, 2025: at least 20 m apart)")
	for i, want := range []float64{10, 30, 50, 70, 90} {
		assert.InDelta(t, want, at[i], 1./12+1e-9)
	}
	assert.Equal(t, map[string]int{"Acer campestre": 3, "Quercus robur": 2}, kinds)

	d.TreeMix = nil
	l = set(t, plan(t, hedge("h", planner.Planned, d, straight(100))), "general").Of("h")
	require.Len(t, l.Remarks, 1)
	assert.Contains(t, l.Remarks[0].Message, "tree_mix")
	assert.Len(t, l.Plants, 600)
}

// Mixes add up, and are those of the largest remainder over the whole hedge.
func TestHedgeMixes(t *testing.T) {
	names := []string{"hawthorn", "hazel", "field maple", "dogwood", "dog rose", "rowan", "guelder rose"}
	fife := "Fife Coast and Countryside Trust, wildlife hedge: 40, 30, 10 and four of 5"
	cases := []struct {
		shares []float64
		n      int
		want   []int
		source string
	}{
		{[]float64{40, 30, 10, 5, 5, 5, 5}, 500, []int{200, 150, 50, 25, 25, 25, 25}, fife},
		{[]float64{40, 30, 10, 5, 5, 5, 5}, 600, []int{240, 180, 60, 30, 30, 30, 30}, fife},
		{[]float64{50, 30, 20}, 7, []int{4, 2, 1}, "Hamilton's method, quotas 3.5, 2.1, 1.4 (computed)"},
		{[]float64{60, 15, 10, 10, 5}, 250, []int{150, 38, 25, 25, 12}, "Hamilton's method, a tie goes to the first (computed)"},
		{[]float64{60, 15, 10, 10, 5}, 101, []int{61, 15, 10, 10, 5}, "Hamilton's method (computed)"},
		{[]float64{34, 33, 33}, 10, []int{4, 3, 3}, "Hamilton's method (computed)"},
		{[]float64{70, 20, 10}, 7, []int{5, 1, 1}, "Hamilton's method (computed)"},
		{[]float64{60, 20, 20}, 291, []int{175, 58, 58}, "Hamilton's method: 174.6, 58.2, 58.2 (computed)"},
	}
	for _, c := range cases {
		d := planner.Hedge{Rows: 2, RowGapM: 0.4, PerMetre: 6}
		for i, s := range c.shares {
			d.Mix = append(d.Mix, planner.Share{Species: names[i], SharePercent: s})
		}
		l := set(t, plan(t, hedge("h", planner.Planned, d, straight(float64(c.n)/6))), "general").Of("h")
		got := map[string]int{}
		for _, p := range l.Plants {
			got[p.Name]++
		}
		for i, want := range c.want {
			assert.Equal(t, want, got[names[i]], "%s of %d: %s", names[i], c.n, c.source)
		}
	}
}

// A person plants a hedge from memory: one block of 20 to 40 plants again and again, slow and shade-shy kinds in clumps.
func TestHedgeRepeatsOneBlock(t *testing.T) {
	d := planner.Hedge{Rows: 2, RowGapM: 0.4, PerMetre: 6, Mix: []planner.Share{{Species: "hawthorn", SharePercent: 60}, {Species: "hazel", SharePercent: 20}, {Species: "holly", SharePercent: 20}}}
	l := set(t, plan(t, hedge("h", planner.Planned, d, straight(48.5))), "general").Of("h")
	order := make([]string, len(l.Plants))
	for _, p := range l.Plants {
		order[p.Number] = p.Name
	}
	size := period(order[:280])
	require.True(t, size >= 20 && size <= 40, "a block of %d", size)
	clump, clumps := 0, 0
	for i, s := range order[:size] {
		if s == "holly" {
			clump++
			if i+1 == size || order[i+1] != "holly" {
				assert.True(t, clump >= 3 && clump <= 5, "holly is slow: clumps of 3 to 5, not %d", clump)
				clumps, clump = clumps+1, 0
			}
		}
	}
	assert.Positive(t, clumps)
}

// period is the shortest block that, repeated, gives the sequence.
func period(s []string) int {
	for size := 1; size < len(s); size++ {
		same := true
		for i := range len(s) - size {
			same = same && s[i] == s[i+size]
		}
		if same {
			return size
		}
	}
	return len(s)
}

// Unknown names, and names that fit several species, never drop a plant.
func TestUnknownNamesKeepTheirPlants(t *testing.T) {
	d := planner.Hedge{Rows: 2, RowGapM: 0.4, PerMetre: 6, Mix: []planner.Share{{Species: "birch", SharePercent: 50}, {Species: "moonberry", SharePercent: 50}}}
	l := set(t, plan(t, hedge("h", planner.Planned, d, straight(10))), "general").Of("h")
	require.Len(t, l.Plants, 60)
	for _, p := range l.Plants {
		assert.Nil(t, p.Species)
		assert.NotEmpty(t, p.Name)
		assert.True(t, p.Listed)
	}
	l = set(t, plan(t, hedge("h", planner.Planned, planner.Hedge{Rows: 2, RowGapM: 0.4, PerMetre: 6}, straight(10))), "general").Of("h")
	assert.Len(t, l.Plants, 60, "a hedge that says nothing of its species is still counted")
}

func TestExistingHedges(t *testing.T) {
	bare := hedge("h", planner.Existing, planner.Hedge{Rows: 2}, straight(10))
	assert.Empty(t, set(t, plan(t, bare), "general").Of("h").Plants, "nothing is known of what grows in it")
	known := hedge("h", planner.Existing, planner.Hedge{Rows: 2, Mix: hawthorn}, straight(10))
	l := set(t, plan(t, known), "general").Of("h")
	require.Len(t, l.Plants, 60)
	for _, p := range l.Plants {
		assert.False(t, p.Listed)
	}
}

// A slip of the pen in a spacing or a scale is said and not laid out, and what else the plan holds is.
func TestTooManyPlants(t *testing.T) {
	d := planner.Hedge{Rows: 2, RowGapM: 0.4, PerMetre: 6, Mix: hawthorn}
	out := set(t, plan(t, hedge("a", planner.Planned, d, straight(90_000)), hedge("b", planner.Planned, d, straight(10))), "general")
	require.Len(t, out.Of("a").Remarks, 1)
	assert.Contains(t, out.Of("a").Remarks[0].Message, "500000")
	assert.Empty(t, out.Of("a").Plants)
	assert.InDelta(t, 90_000, out.Of("a").Line.LengthM, 1e-6, "its length is measured all the same")
	assert.Len(t, out.Of("b").Plants, 60)

	var fs []*planner.Feature
	for i := range 5 {
		fs = append(fs, hedge(fmt.Sprint(i), planner.Planned, d, straight(80_000)))
	}
	p := plan(t, fs...)
	for i := range 5 {
		l, err := setout.One(t.Context(), p, catalogue(t), ruleset(t, "general"), fmt.Sprint(i))
		require.NoError(t, err)
		if i < 4 {
			assert.Len(t, l.Plants, 480_000)
		} else {
			assert.Contains(t, l.Failed, "2000000")
		}
	}
}
