package report

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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
