package bringin

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/geo/interchange"
	"quickthorn/planner"
)

// What text means for a property of the table of kinds. The spellings of the first column are those that GDAL 3.6 writes of a plan read
// by its OAPIF driver, into KML and GeoPackage; those with the word "typed" are what people type into such columns.
func TestTypedValues(t *testing.T) {
	for _, c := range []struct {
		kind               planner.Kind
		name, value, means string
		source             string
	}{
		{planner.KindBuilding, "height_m", `"7"`, `7`, "KML knows only text"},
		{planner.KindBuilding, "height_m", `"4.5"`, `4.5`, "KML knows only text"},
		{planner.KindBuilding, "height_m", `" 7 "`, `7`, "typed"},
		{planner.KindBuilding, "height_m", `"tall"`, `"tall"`, "typed; the plan says what is allowed"},
		{planner.KindBuilding, "height_m", `"0x7"`, `"0x7"`, "no number of JSON (RFC 8259, 6)"},
		{planner.KindBuilding, "height_m", `""`, ``, "an empty cell"},
		{planner.KindBuilding, "dwelling", `"1"`, `true`, "KML, GeoPackage by GDAL"},
		{planner.KindBuilding, "dwelling", `0`, `false`, "a column of whole numbers"},
		{planner.KindBuilding, "dwelling", `"TRUE"`, `true`, "typed"},
		{planner.KindBuilding, "dwelling", `"yes"`, `"yes"`, "a plan may say yes"},
		{planner.KindBuilding, "dwelling", `"2"`, `"2"`, "neither"},
		{planner.KindParcel, "grazed_by", `"(2:cattle,sheep)"`, `["cattle","sheep"]`, "KML by GDAL"},
		{planner.KindParcel, "grazed_by", `"cattle, sheep"`, `["cattle","sheep"]`, "typed"},
		{planner.KindParcel, "grazed_by", `"[ \"cattle\" ]"`, `[ "cattle" ]`, "GeoPackage by GDAL"},
		{planner.KindParcel, "grazed_by", `"["`, `"["`, "broken"},
		{planner.KindParcel, "grazed_by", `","`, `","`, "broken"},
		{planner.KindHedge, "mix", `"[ { \"share_percent\": 100, \"species\": \"hazel\" } ]"`, `[ { "share_percent": 100, "species": "hazel" } ]`, "KML, GeoPackage by GDAL"},
		{planner.KindHedge, "mix", `"half hazel"`, `"half hazel"`, "typed; the plan says what is allowed"},
		{planner.KindHedge, "name", `"7"`, `"7"`, "a name stays text"},
		{planner.KindHedge, "name", `""`, `""`, "a name stays text"},
		{planner.KindHedge, "owner", `"7"`, `"7"`, "no property of the plan"},
		{planner.KindHedge, "last_cut", `"2024"`, `2024`, "KML knows only text"},
	} {
		got, says := typed(vocabularyOf(c.kind), interchange.Field{Name: c.name, Value: []byte(c.value)})
		assert.Equal(t, c.means != "", says, "%s %s (%s)", c.name, c.value, c.source)
		if says {
			assert.Equal(t, c.means, string(got.Value), "%s %s (%s)", c.name, c.value, c.source)
		}
	}
}

// A hedge of a KML file that says what it is becomes one that can be set out, and nothing of it is faulted.
func TestTextOfKMLBecomesAHedge(t *testing.T) {
	data := func(name, value string) string {
		return `<Data name="` + name + `"><value>` + strings.ReplaceAll(value, `"`, "&quot;") + `</value></Data>`
	}
	kml := `<kml xmlns="http://www.opengis.net/kml/2.2"><Placemark><name>West</name><ExtendedData>` + data("kind", "hedge") + data("width_m", "1.5") + data("last_cut", "") +
		data("mix", `[{"species": "hawthorn", "share_percent": 100}]`) + data("per_metre", "4") +
		`</ExtendedData><LineString><coordinates>-2.58,53.98 -2.58,53.981</coordinates></LineString></Placemark></kml>`
	r, err := Bring(context.Background(), []byte(kml), Options{})
	require.NoError(t, err)
	require.Len(t, r.Plan.Features, 1)
	h, ok := r.Plan.Features[0].Detail.(*planner.Hedge)
	require.True(t, ok)
	assert.InDelta(t, 4, h.PerMetre, 0)
	require.Len(t, h.Mix, 1)
	assert.InDelta(t, 100, h.Mix[0].SharePercent, 0)
	assert.Empty(t, r.Plan.Faults)
}
