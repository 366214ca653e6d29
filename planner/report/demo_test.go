package report

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

func demo(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile("../../testdata/" + name)
	require.NoError(t, err)
	return data
}

// The demo holding is invented, and its faults are deliberate: it is the widest single example there is of what the rules say.
func TestDemoHoldingMakesManyRulesSpeak(t *testing.T) {
	engine, err := NewEngine()
	require.NoError(t, err)
	r := build(t, engine, demo(t, "demo.geojson"))
	spoken := map[string]bool{}
	for _, f := range r.Findings {
		spoken[f.Rule] = true
		assert.NotEmpty(t, string(f.Source.Confidence), "%s: %s", f.Rule, f.Message)
	}
	assert.GreaterOrEqual(t, len(spoken), 30, "%v", sortedKeys(spoken))
	assert.False(t, r.Clean())

	kinds, cultivars := map[planner.Kind]int{}, map[string]bool{}
	hectares := 0.0
	for _, f := range r.Plan.Features {
		kinds[f.Kind]++
	}
	for _, a := range r.areas() {
		if a.Kind == "parcel" {
			hectares += *a.AreaM2 / 10000
		}
	}
	for _, p := range r.Out.Of("orchard").Plants {
		cultivars[p.Cultivar] = true
	}
	assert.InDelta(t, 3.5, hectares, 0.5, "3 to 4 ha")
	assert.Equal(t, 4, kinds[planner.KindParcel])
	assert.GreaterOrEqual(t, len(cultivars), 10)
}

func TestMendedDemoHoldingIsClean(t *testing.T) {
	engine, err := NewEngine()
	require.NoError(t, err)
	r := build(t, engine, demo(t, "demo-mended.geojson"))
	for _, f := range r.Findings {
		assert.Equal(t, planner.Note, f.Severity, "%s: %s", f.Rule, f.Message)
	}
	assert.True(t, r.Clean())
	l := r.List()
	sum := l.OutsideAnyArea
	for _, a := range l.Areas {
		sum += a.Total
	}
	assert.Equal(t, r.Out.Listed(), sum, "what is set out is what is listed")
	assert.Equal(t, l.TotalPlants, sum)
}

// Every fix that the demo is offered applies and mends what it says.
func TestFixesOfTheDemoHold(t *testing.T) {
	engine, err := NewEngine()
	require.NoError(t, err)
	r := build(t, engine, demo(t, "demo.geojson"))
	n := 0
	for _, f := range r.Findings {
		if f.Fix != nil {
			n++
			fixHolds(t, engine, r, f)
		}
	}
	assert.Positive(t, n)
}
