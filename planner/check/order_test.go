package check

import (
	"context"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestFindingsOfTheLandDoNotDependOnTheOrder shuffles the features of a plan in which most of these rules speak, with ties on purpose:
// the findings stay the same, byte for byte.
func TestFindingsOfTheLandDoNotDependOnTheOrder(t *testing.T) {
	list := []drawn{
		boxOf("field", "parcel", -100, -100, 100, 100, props{"soil": "clay", "shrinkable": "yes", "moisture": "wet", "grazed_by": []string{"sheep", "horses"}}),
		boxOf("over", "parcel", 90, -100, 200, 100, nil),
		boxOf("house", "building", -10, -5, 0, 5, props{"dwelling": true}), boxOf("shed", "building", 60, -5, 70, 5, nil),
		lineOf("wires", "overhead_line", nil, [2]float64{20, -90}, [2]float64{20, 90}), lineOf("pipe", "service", props{"carries": "gas"}, [2]float64{25, -90}, [2]float64{25, 90}),
		lineOf("drain", "drain", nil, [2]float64{30, -90}, [2]float64{30, 90}), pointAt("well", "well", 40, 0, nil), pointAt("tank", "septic", 45, 0, nil),
		lineOf("beck", "watercourse", nil, [2]float64{-50, -90}, [2]float64{-50, 90}), lineOf("ditch", "ditch", props{"cleaned_by": "digger"}, [2]float64{-60, -90}, [2]float64{-60, 90}),
		lineOf("lane", "road", nil, [2]float64{-80, -90}, [2]float64{-80, 90}), lineOf("path", "path", props{"public": true}, [2]float64{50, -90}, [2]float64{50, 90}),
		boxOf("bed", "bed", 75, 0, 85, 20, nil),
		boxOf("wood", "grove", -70, -40, 60, 40, props{"status": "planned", "spacing_m": 10, "margin_m": 0, "bearing_deg": 0, "pattern": "square",
			"mix": []props{{"species": "ash", "share_percent": 40}, {"species": "yew", "share_percent": 30}, {"species": "birch", "share_percent": 30}}}),
		boxOf("copse", "grove", -70, -40, 60, 40, props{"status": "planned", "spacing_m": 10, "margin_m": 0, "bearing_deg": 0, "pattern": "square", "species": "sea buckthorn"}),
		lineOf("hedge-a", "hedge", props{"status": "planned", "species": "blackthorn"}, [2]float64{-100, -100}, [2]float64{100, -100}),
		lineOf("hedge-b", "hedge", props{"status": "planned", "species": "blackthorn"}, [2]float64{-100, -100}, [2]float64{100, -100}),
		lineOf("belt", "windbreak", props{"status": "planned", "row_gap_m": 5, "rows": []props{{"species": "osier", "spacing_m": 0.5}, {"species": "goat willow", "spacing_m": 2}}}, [2]float64{74, -50}, [2]float64{74, 50}),
		treeAt("a", 10, "beech", nil), treeAt("b", 10, "beech", nil), treeAt("c", 12, "beech", nil), treeAt("d", 8, "beech", nil), treeAt("e", 49, "hazel", nil),
	}
	rules := Rules()[:0:0]
	for _, r := range Rules() {
		if r.ID != "guard.browsing" { // it needs the list, which this test does not make
			rules = append(rules, r)
		}
	}
	say := func(list []drawn) string {
		found, err := Run(context.Background(), inputOf(t, nil, list...), rules)
		require.NoError(t, err)
		text, err := json.Marshal(found)
		require.NoError(t, err)
		return string(text)
	}
	want := say(list)
	require.Greater(t, len(want), 20_000)
	rapid.Check(t, func(rt *rapid.T) {
		if got := say(rapid.Permutation(list).Draw(rt, "order")); got != want {
			rt.Fatalf("another order says something else:\n%s\n%s", want, got)
		}
	})
}
