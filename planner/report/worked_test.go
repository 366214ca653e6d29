package report

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
	"quickthorn/planner/setout"
)

// The worked example was built on the ellipsoid by setting points out along geodesics from one corner, so its true sizes are the
// round numbers; the counts are worked by hand from the planting standards named in each test.

func worked(t *testing.T) *Report {
	t.Helper()
	data, err := os.ReadFile("../../testdata/worked-example.geojson")
	require.NoError(t, err)
	e, err := NewEngine()
	require.NoError(t, err)
	return build(t, e, data)
}

func TestWorkedExampleMeasures(t *testing.T) {
	r := worked(t)
	areas := map[string]jsonArea{}
	for _, a := range r.areas() {
		areas[a.ID] = a
	}
	field := areas["long-field"]
	// 120 x 90 m by construction.
	assert.InDelta(t, 10800, *field.AreaM2, 0.03)
	assert.InDelta(t, 420, *field.PerimeterM, 0.002)
	assert.InDelta(t, 1200, field.MoistureM2["wet"], 0.03, "40 x 30 m of wet ground")
	assert.InDelta(t, 9600, field.MoistureM2["moist"], 0.03)
	assert.InDelta(t, *field.AreaM2, field.MoistureM2["wet"]+field.MoistureM2["moist"], 1e-9)
	assert.Equal(t, 379, field.Plants, "hedges on its edge belong to it; the orchard's trees do not")
	assert.Equal(t, 48, areas["orchard"].Plants)
	assert.Equal(t, 0, areas["kitchen-bed"].Plants)
}

func TestWorkedExampleHedges(t *testing.T) {
	r := worked(t)
	lane := r.Out.Of("lane-hedge")
	assert.InDelta(t, 48.5, lane.Line.LengthM, 0.001)
	// Countryside Stewardship BN11 (England, 2023): at least 6 plants a metre; ceil(6 x (48.5 - 0.02)) = 291.
	require.Len(t, lane.Plants, 291)
	bySpecies := map[string]int{}
	least, most := 1e9, -1e9
	for i := range lane.Plants {
		p := &lane.Plants[i]
		bySpecies[p.Species.Name()]++
		least, most = min(least, p.Chainage), max(most, p.Chainage)
		assert.InDelta(t, 0.2, abs(p.Offset), 0.001)
		assert.Equal(t, p.Row == 0, p.Offset > 0, "row 0 is on the left")
	}
	assert.Equal(t, map[string]int{"hawthorn": 175, "blackthorn": 58, "holly": 58}, bySpecies, "largest remainder of 174.6, 58.2 and 58.2")
	assert.InDelta(t, 48.5/291/2, least, 0.001)
	assert.InDelta(t, 48.5-48.5/291/2, most, 0.001)

	old := r.Out.Of("old-hedge").Line
	assert.InDelta(t, 90, old.LengthM, 0.001)
	require.Len(t, old.Openings, 2)
	fill, gate := old.Openings[0], old.Openings[1]
	assert.Equal(t, setout.Fill, fill.Action)
	assert.InDelta(t, 31.0, fill.FromM, 0.002)
	assert.InDelta(t, 34.2, fill.ToM, 0.002)
	assert.Equal(t, 20, fill.Plants, "ceil(6 x 3.18)")
	assert.Equal(t, setout.LeaveOpen, gate.Action)
	assert.InDelta(t, 60.0, gate.FromM, 0.002)
	assert.InDelta(t, 63.6, gate.ToM, 0.002)
	assert.InDelta(t, 7.5556, old.GapPercent, 0.005, "(3.2 + 3.6) / 90")
	for _, p := range r.Out.Of("old-hedge").Plants {
		if p.Listed {
			assert.True(t, p.Chainage > 31.166 && p.Chainage < 34.034, "fills stand clear of living ends: %v", p.Chainage)
		}
	}
}

func TestWorkedExampleWindbreakAndOrchard(t *testing.T) {
	r := worked(t)
	belt := r.Out.Of("west-belt")
	require.Len(t, belt.Rows, 2)
	assert.Equal(t, []int{34, 33}, []int{belt.Rows[0].Plants, belt.Rows[1].Plants})
	assert.InDelta(t, -2.5, belt.Rows[1].OffsetM, 0.001, "the second row lies to the east, right of the line drawn northwards")
	orchard := r.Out.Of("orchard")
	require.Len(t, orchard.Plants, 48, "35 x 25 m at 5 m holds 8 x 6")
	byCultivar := map[string]int{}
	for _, p := range orchard.Plants {
		byCultivar[p.Cultivar]++
	}
	assert.Equal(t, map[string]int{"James Grieve": 24, "Egremont Russet": 24}, byCultivar)
}

func TestWorkedExampleList(t *testing.T) {
	r := worked(t)
	var buf strings.Builder
	assert.Equal(t, 427, r.Out.Listed())
	assert.Equal(t, 291+20+67+48+1, r.Out.Listed())
	l := r.List()
	assert.Equal(t, 427, l.TotalPlants)
	assert.Equal(t, 0, l.OutsideAnyArea)
	for _, o := range l.Order {
		if o.English == "hawthorn" && o.Plants == 229 {
			// Spares 10 %: ceil(22.9) = 23; bundles of 25 bare-root plants (common practice).
			assert.Equal(t, 23, o.Spare)
			assert.Equal(t, 252, o.Order)
			assert.Equal(t, 11, o.Bundles)
			buf.WriteString("found")
		}
	}
	assert.Equal(t, "found", buf.String(), "one order line of 175 + 20 + 34 = 229 hawthorn")
}

func TestWorkedExampleFindings(t *testing.T) {
	r := worked(t)
	about := map[string]planner.Finding{}
	for _, f := range r.Findings {
		for _, id := range f.Features {
			if _, ok := about[f.Rule+" "+id]; !ok {
				about[f.Rule+" "+id] = f
			}
		}
	}
	beech, ok := about["ground.moisture corner-beech"]
	require.True(t, ok, "the beech on wet ground")
	assert.Equal(t, planner.Warn, beech.Severity)
	require.NotNil(t, beech.Fix)
	assert.Contains(t, beech.Message, "mound", "a mound comes first")
	assert.Contains(t, beech.Fix.Say, "Raise")
	assert.Contains(t, beech.Message, "common alder", "and what suits there is named")
	assert.True(t, has(about, "windbreak.length west-belt"), "50 m is under ten heights of year 20")
	assert.True(t, has(about, "hedge.fence lane-hedge"), "sheep beside a new hedge, no fence drawn")
	boundary, ok := about["setback.boundary lane-hedge"]
	require.True(t, ok)
	assert.Equal(t, planner.Note, boundary.Severity)
	assert.False(t, has(about, "hedge.gap old-hedge"), "no gap over 5 m under the rule set england")
	assert.False(t, has(about, "hedge.gap-share old-hedge"), "7.56 % is under 10 %")
	assert.False(t, has(about, "orchard.pollination orchard"), "groups 2 and 3, both diploid, each within reach")
}

func TestReportIsTheSameWhateverTheOrderOfFeatures(t *testing.T) {
	data, err := os.ReadFile("../../testdata/worked-example.geojson")
	require.NoError(t, err)
	var doc struct {
		Type     string            `json:"type"`
		Holding  json.RawMessage   `json:"holding"`
		Features []json.RawMessage `json:"features"`
	}
	require.NoError(t, json.Unmarshal(data, &doc))
	for i, j := 0, len(doc.Features)-1; i < j; i, j = i+1, j-1 {
		doc.Features[i], doc.Features[j] = doc.Features[j], doc.Features[i]
	}
	turned, err := json.Marshal(doc)
	require.NoError(t, err)
	e, err := NewEngine()
	require.NoError(t, err)
	var a, b strings.Builder
	require.NoError(t, build(t, e, data).WriteJSON(&a))
	require.NoError(t, build(t, e, turned).WriteJSON(&b))
	assert.Equal(t, a.String(), b.String())
}

func abs(v float64) float64 { return max(v, -v) }

func has(m map[string]planner.Finding, key string) bool {
	_, ok := m[key]
	return ok
}
