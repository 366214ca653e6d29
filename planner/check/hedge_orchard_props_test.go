package check

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/planner"
	"quickthorn/planner/species"
)

// growingRules are the rules on hedges, guards and orchards.
func growingRules() []*Rule {
	return []*Rule{inputLimits(), hedgeDensity(), hedgeMix(), hedgeNative(), hedgeThorns(), hedgeGap(), hedgeGapShare(), hedgeCondition(), hedgeFill(),
		hedgeFence(), hedgeTrees(), hedgeBuffer(), guardBrowsing(), orchardPollination(), orchardMargin(), orchardRootstock()}
}

func TestOwnLimitsAreWorkedTo(t *testing.T) {
	gap := standing(100, nil, [2]float64{10, 14})
	own := func(rule, limit string, v any) props {
		return props{"rule_set": "england", "limits": props{rule: props{limit: v}}}
	}
	assert.Empty(t, ruleOn(t, hedgeGap(), inputOf(t, props{"rule_set": "england"}, gap...)), "4 m is under 5 m: %s", srcHSH)
	found := ruleOn(t, hedgeGap(), inputOf(t, own("hedge.gap", "gap_greatest_m", 3), gap...))
	require.Len(t, found, 1)
	assert.Equal(t, planner.User, found[0].Source.Confidence, "the holding's own limit is its own source")
	gate := append(standing(100, nil), pointAt("gate", "gateway", 50, 0, props{"width_m": 6}))
	assert.Empty(t, ruleOn(t, hedgeGap(), inputOf(t, nil, gate...)), srcSBM)
	found = ruleOn(t, hedgeGap(), inputOf(t, own("hedge.gap", "gateway_exempt", "no"), gate...))
	require.Len(t, found, 1)
	assert.Contains(t, found[0].Message, "the gateway 'gateway gate'")
	assert.Nil(t, found[0].Fix, "a gateway is left open")
}

// mixedPlan has a little of everything that these rules look at.
func mixedPlan() []drawn {
	return []drawn{
		boxOf("field", "parcel", -20, 0, 120, 100, props{"grazed_by": []string{"sheep", "pigs"}, "moisture": "wet", "soil": "clay"}),
		boxOf("bed", "bed", 10, 1, 30, 8, nil),
		planned(60, props{"mix": mixOf("hawthorn", 72, "garden privet", 28), "per_metre": 4, "trees_every_m": 8, "tree_mix": mixOf("pedunculate oak", 100)}),
		lineOf("old", "hedge", props{"status": "existing", "height_m": 0.8}, [2]float64{0, 50}, [2]float64{60, 50}),
		lineOf("gap", "gap", nil, [2]float64{10, 50}, [2]float64{18, 50}),
		lineOf("low", "hedge", props{"status": "existing", "fill_mix": mixOf("hawthorn", 100)}, [2]float64{0, 60}, [2]float64{60, 60}),
		pointAt("hole", "gap", 30, 60, props{"width_m": 3}),
		boxOf("orchard", "orchard", 0, 70, 60, 95, props{"spacing_m": 4, "trees": []props{{"species": "apple", "cultivar": "Bramley", "rootstock": "MM106", "share_percent": 60}, {"species": "apple", "cultivar": "Blenheim Orange", "rootstock": "M27", "form": "standard", "share_percent": 40}}}),
		pointAt("pear", "plant", 100, 50, props{"species": "pear", "cultivar": "Somebody's Seedling", "rootstock": "Quince A", "status": "planned"}),
		lineOf("belt", "windbreak", props{"rows": []props{{"species": "hawthorn", "spacing_m": 1.5}}}, [2]float64{80, 10}, [2]float64{80, 60}),
	}
}

func TestFindingsDoNotDependOnTheOrderOfFeatures(t *testing.T) {
	list := mixedPlan()
	say := func(list []drawn) string {
		in := inputOf(t, props{"browsing": []string{"rabbits", "roe", "voles"}, "planting_winter": 2026}, list...)
		found, err := Run(context.Background(), in, growingRules())
		require.NoError(t, err)
		text, err := json.Marshal(found)
		require.NoError(t, err)
		return string(text)
	}
	want := say(list)
	spoke := map[string]bool{}
	in := inputOf(t, props{"browsing": []string{"rabbits", "roe", "voles"}, "planting_winter": 2026}, list...)
	for _, r := range growingRules() {
		for _, f := range ruleOn(t, r, in) {
			spoke[f.Rule] = true
		}
	}
	assert.GreaterOrEqual(t, len(spoke), 14, "the plan makes nearly all of them speak: %v", spoke)
	rapid.Check(t, func(r *rapid.T) {
		other := rapid.Permutation(list).Draw(r, "order")
		if got := say(other); got != want {
			r.Fatalf("another order says something else:\n%s\n%s", want, got)
		}
	})
}

// Plans that are not what the rules expect: nothing panics, and what cannot be looked at is left to the rules on input.
func TestRulesBearAnyPlan(t *testing.T) {
	at := func(geometry string) string { return `"geometry":` + geometry }
	line := at(`{"type":"LineString","coordinates":[[-3.9,52.2],[-3.899,52.2]]}`)
	dot := at(`{"type":"Point","coordinates":[-3.9,52.2]}`)
	bow := at(`{"type":"Polygon","coordinates":[[[-3.9,52.2],[-3.899,52.201],[-3.899,52.2],[-3.9,52.201],[-3.9,52.2]]]}`)
	box := at(`{"type":"Polygon","coordinates":[[[-3.9,52.2],[-3.899,52.2],[-3.899,52.201],[-3.9,52.201],[-3.9,52.2]]]}`)
	feature := func(n int, properties, geometry string) string {
		return fmt.Sprintf(`{"type":"Feature","id":"f%02d","properties":{%s},%s}`, n, properties, geometry)
	}
	field := feature(99, `"kind":"parcel","grazed_by":["sheep","poultry"],"moisture":"waterlogged"`, box)
	for n, f := range [][2]string{
		{`"kind":"hedge","status":"planned"`, line},
		{`"kind":"hedge","status":"planned","mix":[]`, line},
		{`"kind":"hedge","status":"planned","mix":"hawthorn"`, line},
		{`"kind":"hedge","status":"planned","species":"no such thing","trees_every_m":5`, line},
		{`"kind":"hedge","status":"planned","species":"birch","rows":0`, line},
		{`"kind":"hedge","status":"perhaps","species":"hawthorn"`, line},
		{`"kind":"hedge","status":"existing","fill_mix":"x","height_m":"tall"`, line},
		{`"kind":"hedge","status":"existing","species":"hawthorn"`, at(`{"type":"LineString","coordinates":[[-3.9,52.2],[-3.9,52.2]]}`)},
		{`"kind":"hedge","status":"planned","species":"hawthorn"`, at(`{"type":"MultiLineString","coordinates":[]}`)},
		{`"kind":"hedge","status":"existing"`, at(`{"type":"LineString","coordinates":[[-3.9,52.2],[-3.899,52.2],[-3.899,52.201],[-3.9,52.2]]}`)},
		{`"kind":"hedge","status":"planned","species":"hawthorn"`, at(`{"type":"LineString","coordinates":[[-3.9,52.2],[-3.899,52.2],[-3.899,52.201],[-3.9,52.2]]}`)},
		{`"kind":"orchard","trees":[{"species":"apple","cultivar":"Gala","share_percent":100}],"spacing_m":4`, bow},
		{`"kind":"orchard","trees":[{"species":"birch","share_percent":100}],"spacing_m":20`, box},
		{`"kind":"orchard"`, box},
		{`"kind":"plant"`, dot},
		{`"kind":"plant","species":"apple","cultivar":"  ","rootstock":"none such","form":""`, dot},
		{`"kind":"plant","species":"wild cherry"`, dot},
		{`"kind":"row","species":"blackcurrant"`, line},
		{`"kind":"windbreak"`, line},
		{`"kind":"grove","mix":[{"species":"common alder","share_percent":100}],"spacing_m":10`, box},
		{`"kind":"fence"`, line},
		{`"kind":"gateway"`, line},
		{`"kind":"no such kind"`, dot},
	} {
		in := readInput(t, planOf(`"browsing":["voles","roe"],"planting_winter":2026`, feature(n, f[0], f[1]), field))
		for _, r := range growingRules() {
			require.NotPanics(t, func() { ruleOn(t, r, in) }, "%s on %s", r.ID, f[0])
		}
	}
	empty := readInput(t, planOf(""))
	for _, r := range growingRules() {
		assert.Empty(t, ruleOn(t, r, empty), r.ID)
	}
}

// The quick search agrees with asking every pair, with few kinds and with many.
func TestPollinationAgreesWithEveryPair(t *testing.T) {
	cat := inputOf(t, nil).Catalogue
	apple := cat.Find("apple").Species
	all := cat.Cultivars(apple)
	rapid.Check(t, func(r *rapid.T) {
		kinds := rapid.SampledFrom([]int{2, 5, 30}).Draw(r, "kinds")
		n := rapid.IntRange(2, 60).Draw(r, "trees")
		var list []drawn
		var fruit []species.Fruiting
		var at [][2]float64
		for i := range n {
			c := all[rapid.IntRange(0, min(kinds, len(all))-1).Draw(r, "cultivar")]
			x, y := float64(rapid.IntRange(0, 40).Draw(r, "x"))*3, float64(rapid.IntRange(0, 20).Draw(r, "y"))*3
			fruit, at = append(fruit, species.Fruiting{Species: c.Species, Cultivar: c}), append(at, [2]float64{x, y})
			list = append(list, grown(i, x, y, c.Species.Botanical, c.Name))
		}
		want := map[string]int{}
		for i, m := range fruit {
			if need, _ := species.NeedOf(m); need == species.NeedNone || need == species.NeedUnknown {
				continue
			}
			served := false
			for j, d := range fruit {
				near := math.Hypot(at[i][0]-at[j][0], at[i][1]-at[j][1]) <= 18+planner.Tolerance
				served = served || i != j && near && species.Compatible(m, d).Setting.Works()
			}
			if !served {
				want[m.Name()]++
			}
		}
		got := map[string]int{}
		for _, f := range ruleOn(t, orchardPollination(), inputOf(t, nil, list...)) {
			got[cultivarsOf([]planner.Finding{f}, f.Severity)[0]] += f.Count
		}
		if fmt.Sprint(got) != fmt.Sprint(want) {
			r.Fatalf("found %v, want %v", got, want)
		}
	})
}
