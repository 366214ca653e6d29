package setout_test

import (
	"context"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

// The worked example was built along geodesics from one corner, so its true sizes are round numbers and every figure below
// follows by hand from them.
func TestWorkedExample(t *testing.T) {
	data, err := os.ReadFile("../../testdata/worked-example.geojson")
	require.NoError(t, err)
	plan, err := planner.Read(data, planner.ReadOptions{File: "worked-example.geojson"})
	require.NoError(t, err)
	out := set(t, plan, "england")

	t.Run("lane-hedge", func(t *testing.T) {
		l := out.Of("lane-hedge")
		require.Empty(t, l.Failed)
		assert.InDelta(t, 48.5, l.Line.LengthM, 0.001)
		assert.Len(t, l.Plants, 291, "ceil(6 x 48.48)")
		assert.Equal(t, map[string]int{"Crataegus monogyna": 175, "Prunus spinosa": 58, "Ilex aquifolium": 58}, bySpecies(l), "largest remainder of 174.6, 58.2, 58.2")
		first, last := byNumber(l, 0), byNumber(l, 290)
		assert.InDelta(t, 0.083, first.Chainage, 0.001)
		assert.InDelta(t, 48.417, last.Chainage, 0.001)
		assert.InDelta(t, 0.2, first.Offset, 1e-9)
		for _, p := range l.Plants {
			assert.InDelta(t, 0.2, math.Abs(p.Offset), 1e-9)
		}
	})
	t.Run("old-hedge", func(t *testing.T) {
		l := out.Of("old-hedge")
		require.Empty(t, l.Failed)
		assert.InDelta(t, 90, l.Line.LengthM, 0.001)
		require.Len(t, l.Line.Openings, 2)
		gap, gate := l.Line.Openings[0], l.Line.Openings[1]
		assert.InDelta(t, 31, gap.FromM, 0.001)
		assert.InDelta(t, 34.2, gap.ToM, 0.001)
		assert.InDelta(t, 60, gate.FromM, 0.001)
		assert.InDelta(t, 63.6, gate.ToM, 0.001)
		assert.Equal(t, setout.Fill, gap.Action)
		assert.Equal(t, 20, gap.Plants, "ceil(6 x 3.18)")
		assert.Equal(t, setout.LeaveOpen, gate.Action)
		assert.Equal(t, "top-gate", gate.Gateway)
		assert.InDelta(t, 7.56, l.Line.GapPercent, 0.005)
		require.Len(t, l.Plants, 20)
		for _, p := range l.Plants {
			assert.True(t, p.Chainage > 31.167 && p.Chainage < 34.033)
			assert.True(t, p.Listed)
			assert.Equal(t, setout.UseFill, p.Use)
		}
	})
	t.Run("west-belt", func(t *testing.T) {
		l := out.Of("west-belt")
		require.Empty(t, l.Failed)
		require.Len(t, l.Rows, 2)
		assert.Equal(t, []int{34, 33}, []int{l.Rows[0].Plants, l.Rows[1].Plants})
		assert.InDelta(t, -2.5, l.Rows[1].OffsetM, 1e-9, "to the east of a belt drawn northwards")
		assert.Empty(t, l.Remarks)
		for i := range 33 {
			a, b, m := l.Plants[i], l.Plants[i+1], l.Plants[34+i]
			assert.InDelta(t, (a.Chainage+b.Chainage)/2, m.Chainage, 1e-6)
			assert.InDelta(t, math.Hypot(0.75, 2.5), geo.Dist(a.At, m.At), 1e-6)
		}
	})
	t.Run("orchard", func(t *testing.T) {
		l := out.Of("orchard")
		require.Empty(t, l.Failed)
		assert.Equal(t, 48, l.Holds)
		require.Len(t, l.Plants, 48)
		kinds := map[string]int{}
		for _, p := range l.Plants {
			kinds[p.Cultivar]++
		}
		assert.Equal(t, map[string]int{"James Grieve": 24, "Egremont Russet": 24}, kinds)
		assert.Len(t, l.Rows, 8, "rows run north, 6 trees in each")
		for i, p := range l.Plants {
			near := math.Inf(1)
			for k, q := range l.Plants {
				if q.Cultivar != p.Cultivar {
					near = math.Min(near, geo.Dist(p.At, q.At))
				}
				if k != i {
					assert.GreaterOrEqual(t, geo.Dist(p.At, q.At), 5-1e-9)
				}
			}
			assert.LessOrEqual(t, near, 18.0)
		}
	})
	t.Run("total", func(t *testing.T) {
		assert.Equal(t, 427, out.Listed())
		hawthorn := 0
		out.Each(func(p *setout.Plant) bool {
			if p.Listed && p.Species != nil && p.Species.Botanical == "Crataegus monogyna" {
				hawthorn++
			}
			return true
		})
		assert.Equal(t, 229, hawthorn)
	})
}

func set(t require.TestingT, p *planner.Plan, ruleSet string) *setout.Result {
	out, err := setout.All(context.Background(), p, catalogue(t), ruleset(t, ruleSet))
	require.NoError(t, err)
	return out
}

func catalogue(t require.TestingT) *species.Catalogue {
	c, err := species.Default()
	require.NoError(t, err)
	return c
}

func ruleset(t require.TestingT, name string) *rules.Set {
	lib, err := rules.Default()
	require.NoError(t, err)
	s, err := lib.Set(name)
	require.NoError(t, err)
	return s
}

func bySpecies(l *setout.Layout) map[string]int {
	out := map[string]int{}
	for _, p := range l.Plants {
		if p.Species != nil {
			out[p.Species.Botanical]++
		} else {
			out[p.Name]++
		}
	}
	return out
}

func byNumber(l *setout.Layout, n int) *setout.Plant {
	for i := range l.Plants {
		if l.Plants[i].Number == n {
			return &l.Plants[i]
		}
	}
	return nil
}
