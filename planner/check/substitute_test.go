package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

// TestSubstitutesMend takes each rule that can offer another species, applies the fix and looks at the whole plan again: the finding is
// gone, and no rule has a stop that was not there before.
func TestSubstitutesMend(t *testing.T) {
	grazed := boxOf("field", "parcel", -100, -50, 100, 50, props{"grazed_by": []string{"sheep", "horses"}, "soil": "clay", "shrinkable": "yes", "moisture": "moist"})
	line := func(kind string, p props) drawn {
		return lineOf("thing", kind, p, [2]float64{0, -50}, [2]float64{0, 50})
	}
	for _, c := range []struct {
		rule  *Rule
		thing drawn
		tree  drawn
	}{
		{plantDisease(), boxOf("bed", "bed", 50, 0, 60, 10, nil), treeAt("tree", 10, "ash", nil)},
		{stockToxic(), boxOf("bed", "bed", 50, 0, 60, 10, nil), treeAt("tree", 10, "yew", nil)},
		{setbackBuilding(), boxOf("house", "building", -10, -5, 0, 5, props{"dwelling": true}), treeAt("tree", 10, "English oak", nil)},
		{setbackOverheadLine(), line("overhead_line", props{"voltage_kv": 11}), treeAt("tree", 20, "beech", nil)},
		{setbackService(), line("service", props{"carries": "sewer"}), treeAt("tree", 8, "English oak", nil)},
		{setbackDrain(), line("drain", nil), treeAt("tree", 8, "English oak", nil)},
	} {
		in := inputOf(t, nil, grazed, c.thing, c.tree)
		before := stopsOf(t, in)
		found := ruleOn(t, c.rule, in)
		require.NotEmpty(t, found, c.rule.ID)
		if !assert.NotNil(t, found[0].Fix, "%s: %s", c.rule.ID, found[0].Message) {
			continue
		}
		after := applied(t, in, found[0].Fix)
		for _, f := range ruleOn(t, c.rule, after) {
			assert.NotEqual(t, found[0].Key, f.Key, "%s: %s", found[0].Fix.Say, f.Message)
		}
		for key := range stopsOf(t, after) {
			assert.Contains(t, before, key, "%s brings a stop", found[0].Fix.Say)
		}
	}
}

func stopsOf(t *testing.T, in Input) map[string]bool {
	t.Helper()
	out := map[string]bool{}
	for _, r := range Rules() {
		if r.ID == "guard.browsing" {
			continue // it needs the list, which this test does not make
		}
		for _, f := range ruleOn(t, r, in) {
			if f.Severity == planner.Stop {
				out[f.Key] = true
			}
		}
	}
	return out
}
