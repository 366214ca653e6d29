package check

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

// readInput reads a plan that may have faults.
func readInput(t testing.TB, file string) Input {
	t.Helper()
	plan, err := planner.Read([]byte(file), planner.ReadOptions{})
	require.NoError(t, err)
	return inputOfPlan(t, plan)
}

func planOf(holding string, features ...string) string {
	return `{"type":"FeatureCollection","holding":{` + holding + `},"features":[` + strings.Join(features, ",") + `]}`
}

func polygonAt(id, props, ring string) string {
	return fmt.Sprintf(`{"type":"Feature","id":%q,"properties":{%s},"geometry":{"type":"Polygon","coordinates":[[%s]]}}`, id, props, ring)
}

func TestFaultsOfTheFileBecomeFindings(t *testing.T) {
	point := `"geometry":{"type":"Point","coordinates":[-3.9,52.2]}`
	for _, c := range []struct {
		rule     *Rule
		file     string
		severity planner.Severity
		features []string
		say      string
	}{
		{inputGeometry(), planOf("", polygonAt("bow", `"kind":"parcel"`, "[-3.9,52.2],[-3.899,52.201],[-3.899,52.2],[-3.9,52.201],[-3.9,52.2]")), planner.Stop, []string{"bow"}, "bow"},
		{inputGeometry(), planOf("", `{"type":"Feature","id":"p","properties":{"kind":"plant","species":"beech"},"geometry":{"type":"Point","coordinates":[1]}}`), planner.Stop, []string{"p"}, ""},
		{inputProperty(), planOf("", `{"type":"Feature","id":"p","properties":{"kind":"plant","species":"beech","height_m":"tall"},`+point+`}`), planner.Stop, []string{"p"}, "height_m"},
		{inputProperty(), planOf("", `{"type":"Feature","id":"p","properties":{"kind":"plant","species":"beech","height_m":500},`+point+`}`), planner.Stop, []string{"p"}, "60"},
		{inputProperty(), planOf("", `{"type":"Feature","id":"g","properties":{"kind":"gap","width_m":3},`+point+`}`), planner.Warn, []string{"g"}, "opens no standing hedge"},
		{inputMended(), planOf("", polygonAt("open", `"kind":"parcel"`, "[-3.9,52.2],[-3.899,52.2],[-3.899,52.201],[-3.9,52.201]")), planner.Note, []string{"open"}, ""},
		{inputKind(), planOf("", `{"type":"Feature","id":"p","properties":{"kind":"pergola"},`+point+`}`), planner.Note, []string{"p"}, "pergola"},
		{inputID(), planOf("", `{"type":"Feature","properties":{"kind":"well"},`+point+`}`), planner.Note, nil, ""},
		{inputSwapped(), planOf("", `{"type":"Feature","id":"p","properties":{"kind":"well"},"geometry":{"type":"Point","coordinates":[52.2,-3.9]}}`), planner.Warn, nil, "swapped"},
		{inputWidth(), planOf("", `{"type":"Feature","id":"p","properties":{"kind":"well"},`+point+`}`, `{"type":"Feature","id":"q","properties":{"kind":"well"},"geometry":{"type":"Point","coordinates":[-3.7,52.2]}}`), planner.Note, nil, "part"},
	} {
		found := ruleOn(t, c.rule, readInput(t, c.file))
		if !assert.NotEmpty(t, found, c.rule.ID) {
			continue
		}
		assert.Equal(t, c.severity, found[0].Severity, found[0].Message)
		assert.Contains(t, found[0].Message, c.say)
		if c.features != nil {
			assert.Equal(t, c.features, found[0].Features, c.rule.ID)
		}
	}
}

func TestASoundFileHasNoFaults(t *testing.T) {
	in := inputOf(t, nil, boxOf("field", "parcel", 0, 0, 100, 100, nil), treeAt("tree", 10, "beech", nil))
	for _, r := range []*Rule{inputGeometry(), inputProperty(), inputSpecies(), inputMended(), inputKind(), inputID(), inputOverlap(), inputWidth(), inputSwapped()} {
		assert.Empty(t, ruleOn(t, r, in), r.ID)
	}
}

func TestNamesOfPlants(t *testing.T) {
	for _, c := range []struct {
		plant    props
		severity planner.Severity
		say      []string
	}{
		{props{"species": "hawthorn"}, "", nil},
		{props{"species": "Whitethorn"}, "", nil},
		{props{"species": "CRATAEGUS MONOGYNA"}, "", nil},
		{props{"species": "birch"}, planner.Stop, []string{"fits several species", "silver birch (Betula pendula)", "downy birch (Betula pubescens)", "twigs"}},
		{props{"species": "currant"}, planner.Stop, []string{"blackcurrant", "redcurrant"}},
		{props{"species": "hawthron"}, planner.Stop, []string{"is not in the catalogue", "hawthorn (Crataegus monogyna)"}},
		{props{"species": "qqqqqqqqqq"}, planner.Stop, []string{"is not in the catalogue", "quickthorn species"}},
		{props{"species": "apple", "cultivar": "Bramley's Seedling"}, "", nil},
		{props{"species": "apple", "cultivar": "Grandma's Best"}, planner.Note, []string{"is not among the catalogue's for apple", "flowering group"}},
		{props{"species": "apple", "rootstock": "MM106"}, "", nil},
		{props{"species": "apple", "rootstock": "m.m.106"}, "", nil},
		{props{"species": "apple", "rootstock": "MM160"}, planner.Warn, []string{"MM106"}},
		{props{"species": "apple", "rootstock": "Quince A"}, planner.Warn, []string{"is for", "not for apple"}},
	} {
		found := ruleOn(t, inputSpecies(), inputOf(t, nil, treeAt("tree", 0, c.plant["species"].(string), c.plant)))
		if c.severity == "" {
			assert.Empty(t, found, "%v", c.plant)
			continue
		}
		require.Len(t, found, 1, "%v", c.plant)
		assert.Equal(t, c.severity, found[0].Severity, found[0].Message)
		for _, s := range c.say {
			assert.Contains(t, found[0].Message, s)
		}
	}
}

func TestNamesInEveryKindOfPlanting(t *testing.T) {
	unknown := []props{{"species": "zzz", "share_percent": 100}}
	line := [][2]float64{{0, 0}, {30, 0}}
	for _, d := range []drawn{
		lineOf("x", "hedge", props{"status": "planned", "mix": unknown}, line...),
		lineOf("x", "hedge", props{"status": "planned", "species": "hawthorn", "trees_every_m": 10, "tree_mix": unknown}, line...),
		lineOf("x", "hedge", props{"status": "existing", "fill_mix": unknown}, line...),
		lineOf("x", "windbreak", props{"status": "planned", "rows": []props{{"species": "zzz", "spacing_m": 2}}}, line...),
		lineOf("x", "row", props{"status": "planned", "trees": unknown, "spacing_m": 2}, line...),
		boxOf("x", "orchard", 0, 0, 30, 30, props{"status": "planned", "trees": unknown, "spacing_m": 5}),
		boxOf("x", "grove", 0, 0, 30, 30, props{"status": "planned", "mix": unknown, "spacing_m": 5}),
	} {
		found := ruleOn(t, inputSpecies(), inputOf(t, nil, d))
		require.Len(t, found, 1, "%s %v", d.kind, d.props)
		assert.Contains(t, found[0].Message, `"zzz"`)
	}
}

func TestAMisspeltNameIsMended(t *testing.T) {
	in := inputOf(t, nil, treeAt("tree", 0, "hawthron", nil))
	found := ruleOn(t, inputSpecies(), in)
	require.Len(t, found, 1)
	require.NotNil(t, found[0].Fix)
	assert.Equal(t, "Write hawthorn", found[0].Fix.Say)
	assert.Empty(t, ruleOn(t, inputSpecies(), applied(t, in, found[0].Fix)))
	for _, name := range []string{"birch", "qqqqqqqqqq"} {
		assert.Nil(t, ruleOn(t, inputSpecies(), inputOf(t, nil, treeAt("tree", 0, name, nil)))[0].Fix, "%s: nobody can know which is meant", name)
	}
}

func TestSwardNamesWithoutAValue(t *testing.T) {
	found := ruleOn(t, inputSpecies(), inputOf(t, nil, boxOf("field", "parcel", 0, 0, 100, 100, props{"sward": []string{"soft rush", "moonflower"}})))
	require.Len(t, found, 1)
	assert.Contains(t, found[0].Message, "moonflower")
	assert.NotContains(t, found[0].Message, "soft rush")
}

func TestOverlappingFields(t *testing.T) {
	two := func(x float64) []planner.Finding {
		return ruleOn(t, inputOverlap(), inputOf(t, nil, boxOf("a", "parcel", 0, 0, 100, 100, nil), boxOf("b", "parcel", x, 0, 200, 100, nil)))
	}
	assert.Empty(t, two(100), "they share an edge")
	assert.Empty(t, two(101))
	assert.Empty(t, two(99.99), "a sliver of 10 mm comes from rounding")
	found := two(99.9)
	require.Len(t, found, 1)
	assert.Equal(t, planner.Note, found[0].Severity)
	assert.InDelta(t, 10, *found[0].Measured, 0.01)
	assert.InDelta(t, 99.95, found[0].At[0], 0.01, "it points into the overlap")
	assert.InDelta(t, 5000, *two(50)[0].Measured, 0.05)
}

func TestLimitsOfTheHolding(t *testing.T) {
	at := func(limits string) []planner.Finding {
		return ruleOn(t, inputLimits(), readInput(t, planOf(`"limits":{`+limits+`}`)))
	}
	assert.Empty(t, at(`"setback.service":{"sewer_shrub_least_m":3}`), "tightening is always allowed")
	found := at(`"setback.service":{"sewer_shrub_least_m":{"value":1,"reason":"the water company wrote so"}}`)
	require.Len(t, found, 1)
	assert.Equal(t, planner.Note, found[0].Severity, "loosened with a reason, which is repeated")
	assert.Contains(t, found[0].Message, "the water company wrote so")
	found = at(`"setback.service":{"sewer_shrub_least_m":1}`)
	require.Len(t, found, 1)
	assert.Equal(t, planner.Stop, found[0].Severity)
	assert.Contains(t, found[0].Message, "gives no reason")
	require.Len(t, at(`"setback.service":{"no_such_limit_m":1}`), 1)
	require.Len(t, at(`"no.rule":{"x":1}`), 1)
}
