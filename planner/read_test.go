package planner

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/geo"
)

func readFile(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile("../testdata/" + name)
	require.NoError(t, err)
	return data
}

// The worked example was set out along geodesics from one corner, so that its true sizes are round numbers.
func TestReadWorkedExample(t *testing.T) {
	p, err := Read(readFile(t, "worked-example.geojson"), ReadOptions{})
	require.NoError(t, err)
	assert.Empty(t, p.Faults)
	assert.Equal(t, "Worked example", p.Holding.Name)
	assert.Equal(t, 2026, p.Holding.PlantingWinter)
	assert.Equal(t, 270.0, p.Holding.WindFromDeg)
	assert.Equal(t, "england", p.Holding.RuleSet)
	require.Len(t, p.Features, 9)

	field := p.Feature("long-field")
	assert.InDelta(t, 10_800, geo.MultiArea(field.Shape.Polygons), 0.022, "120 x 90 m, within 2 ppm")
	assert.InDelta(t, 420, geo.MultiPerimeter(field.Shape.Polygons), 0.0005)
	d := field.Detail.(*Parcel)
	assert.Equal(t, Moist, d.Moisture)
	assert.Equal(t, Clay, d.Soil)
	assert.Equal(t, "unknown", d.Shrinkable)
	assert.Equal(t, []string{"sheep"}, d.GrazedBy)
	assert.Equal(t, Moderate, d.Exposure)
	assert.Equal(t, Existing, field.Status)

	assert.Equal(t, Wet, p.Feature("bottom").Detail.(*Patch).Moisture)
	assert.Equal(t, Soil(""), p.Feature("bottom").Detail.(*Patch).Soil, "a patch overrides only what it states")

	hedge := p.Feature("lane-hedge")
	assert.InDelta(t, 48.5, geo.Length(hedge.Shape.Lines[0]), 0.0005)
	h := hedge.Detail.(*Hedge)
	assert.Equal(t, []Share{{"hawthorn", 60}, {"blackthorn", 20}, {"holly", 20}}, h.Mix)
	assert.Equal(t, 2, h.Rows)
	assert.Equal(t, 0.4, h.RowGapM)
	assert.Equal(t, 2.0, h.HeightM, "a planned hedge will be kept at 2 m")
	assert.Equal(t, 1.5, h.WidthM)
	assert.False(t, hedge.Stated("height_m"))
	assert.True(t, hedge.Stated("row_gap_m"))

	old := p.Feature("old-hedge")
	require.Len(t, old.Shape.Lines, 3)
	assert.InDelta(t, 31.0, geo.Length(old.Shape.Lines[0]), 0.0005)
	assert.Equal(t, []Share{{"hawthorn", 100}}, old.Detail.(*Hedge).FillMix)

	belt := p.Feature("west-belt").Detail.(*Windbreak)
	assert.Equal(t, []BeltRow{{Mix: alone("Crataegus monogyna"), SpacingM: 1.5}, {Mix: alone("Alnus glutinosa"), SpacingM: 1.5}}, belt.Rows)
	assert.Equal(t, "auto", belt.Side)
	assert.Equal(t, []string{"kitchen-bed"}, belt.Protects)

	orchard := p.Feature("orchard").Detail.(*Block)
	assert.False(t, orchard.Auto)
	assert.Equal(t, 2.5, orchard.MarginM)
	assert.Len(t, orchard.Trees, 2)
	assert.Equal(t, "beech", p.Feature("corner-beech").Detail.(*Plant).Species)
	assert.Equal(t, Planned, p.Feature("corner-beech").Status)
}
