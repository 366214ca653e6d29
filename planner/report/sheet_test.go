package report

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner/growth"
	"quickthorn/planner/setout"
)

func TestSheetHoldsThePlanInMetres(t *testing.T) {
	r := worked(t)
	s := r.Sheet()
	data, err := json.Marshal(s)
	require.NoError(t, err)
	assert.True(t, json.Valid(data))
	require.Len(t, s.Features, len(r.Plan.Features))
	byID := map[string]SheetFeature{}
	for _, f := range s.Features {
		byID[f.ID] = f
	}
	lane := byID["lane-hedge"]
	assert.InDelta(t, 48.5, *lane.LengthM, 0.001)
	assert.Equal(t, 291, lane.Plants)
	assert.Equal(t, "long-field", lane.Area)
	assert.JSONEq(t, `"lane-hedge"`, string(lane.Properties["name"]))
	assert.Equal(t, "trim", lane.Defaults["manage"])
	assert.Equal(t, 379, byID["long-field"].InArea)
	require.Len(t, byID["old-hedge"].Openings, 2)
	assert.Equal(t, "top-gate", byID["old-hedge"].Openings[1].Gateway)
	assert.Len(t, s.Plants, 427+s.Standing)
	assert.Equal(t, 427, s.Planned)
	assert.InDelta(t, 10800, s.ParcelsM2, 0.03)
	require.Len(t, s.Findings, len(r.Findings))
	for i, f := range s.Findings {
		assert.Equal(t, i+1, f.N)
	}
	for _, p := range s.Plants {
		assert.GreaterOrEqual(t, p[0], 0.0)
		assert.Less(t, int(p[1]), len(s.Species))
	}
	assert.JSONEq(t, string(r.Plan.HoldingJSON()), string(s.Holding))
}

// The page draws any year from the sheet alone: what it finds there is what the reckoning says.
func TestSheetHoldsEveryYear(t *testing.T) {
	r := worked(t)
	s := r.Sheet()
	stand := growth.New(r.Plan, r.Out, r.Catalogue, r.Set)
	i := 0
	used := map[int]bool{}
	r.Out.Each(func(p *setout.Plant) bool {
		n := int(s.Plants[i][8])
		used[n] = true
		require.Less(t, n, len(s.Sizes))
		for _, year := range []int{0, 1, 7, 20, 30} {
			size := stand.Plant(p, year)
			require.NotNil(t, s.Sizes[n].Height, p.ID())
			assert.InDelta(t, size.Height.Mid, s.Sizes[n].Height[year], 0.005, "%s in year %d", p.ID(), year)
			if size.Spread.Known {
				assert.InDelta(t, size.Spread.Mid, s.Sizes[n].Spread[year], 0.005, "%s in year %d", p.ID(), year)
			}
		}
		assert.NotEmpty(t, s.Sizes[n].Rests)
		i++
		return true
	})
	assert.Len(t, used, len(s.Sizes), "no series is listed that no plant has")
	seen := map[string]bool{}
	for _, z := range s.Sizes {
		data, err := json.Marshal(z)
		require.NoError(t, err)
		assert.False(t, seen[string(data)], "every series stands there once")
		seen[string(data)] = true
	}
	for _, f := range s.Features {
		switch f.Kind {
		case "hedge", "row":
			require.IsType(t, &SheetGrowth{}, f.Grows, f.ID)
		case "windbreak":
			assert.Len(t, f.Grows, len(f.Rows), f.ID)
		default:
			assert.Nil(t, f.Grows, f.ID)
		}
	}
}

// The new hedge is kept at 2 m by 1.5 m and starts at the height of its stock, bare-root 40-60 cm; its plants 1.5 m at 5 years and 3 m
// at 10 by the working heights for hawthorn (common practice) reach 2 m between.
func TestSheetHedgeGrows(t *testing.T) {
	for _, f := range worked(t).Sheet().Features {
		if f.ID != "lane-hedge" {
			continue
		}
		h := f.Grows.(*SheetGrowth).Height
		assert.InDelta(t, 0.5, h[0], 1e-9)
		assert.Less(t, h[5], 2.0)
		assert.InDelta(t, 2, h[10], 1e-9)
		assert.InDelta(t, 1.5, f.Grows.(*SheetGrowth).Width[30], 1e-9)
	}
}
