package check

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

func TestFenceDistanceByRuleSet(t *testing.T) {
	for _, c := range []struct {
		set    string
		dist   float64
		passes bool
		source string
	}{
		{"england", 1.0, false, srcBN11 + ": at least 1.2 m from the hedge centre"},
		{"england", 1.2, true, srcBN11},
		{"england", 1.19, true, "within the tolerance of 20 mm counts as on the limit"},
		{"england", 1.15, false, srcBN11},
		{"scotland", 1.0, true, srcSSI04 + ": at least 1.0 m from the centre line"},
		{"scotland", 0.9, false, srcSSI04},
		{"general", 1.0, false, srcBN11},
		{"ireland", 1.0, false, "general's figure serves; " + srcBN11},
		{"england", 4.9, true, "a fence within 5 m is the hedge's own (common practice)"},
		{"england", 5.1, false, "further out the ground between would be grazed as a field (common practice)"},
	} {
		in := inputOf(t, props{"rule_set": c.set}, boxOf("field", "parcel", -10, 0, 70, 60, props{"grazed_by": []string{"sheep"}}),
			planned(60, props{"mix": mixOf("hawthorn", 60, "blackthorn", 40)}), lineOf("wire", "fence", nil, [2]float64{-3, c.dist}, [2]float64{63, c.dist}))
		assert.Equal(t, c.passes, len(ruleOn(t, hedgeFence(), in)) == 0, "%s %g m: %s", c.set, c.dist, c.source)
	}
}

func TestWhichHedgesWantAFence(t *testing.T) {
	stock := func(animals ...string) drawn {
		return boxOf("field", "parcel", -10, 0, 70, 60, props{"grazed_by": animals})
	}
	young := planned(60, props{"mix": mixOf("hawthorn", 60, "blackthorn", 40)})
	for _, c := range []struct {
		what  string
		list  []drawn
		warns int
		why   string
	}{
		{"sheep on one side", []drawn{stock("sheep"), young}, 1, srcBN11},
		{"hens only", []drawn{stock("poultry"), young}, 0, "poultry do not eat hedges (common practice)"},
		{"nothing grazes", []drawn{stock(), young}, 0, ""},
		{"sheep on both sides", []drawn{boxOf("field", "parcel", -10, -60, 70, 60, props{"grazed_by": []string{"sheep"}}), young}, 2, srcBN11},
		{"a wall", []drawn{stock("sheep"), young, lineOf("wall", "wall", nil, [2]float64{-3, 1}, [2]float64{63, 1})}, 0, "a wall stands where it stands"},
		{"a fence that keeps no stock", []drawn{stock("sheep"), young, lineOf("wire", "fence", props{"stockproof": false}, [2]float64{-3, 1.5}, [2]float64{63, 1.5})}, 1, ""},
		{"half fenced", []drawn{stock("sheep"), young, lineOf("wire", "fence", nil, [2]float64{-3, 1.5}, [2]float64{30, 1.5})}, 1, ""},
		{"a cross fence that comes up to it", []drawn{stock(), young, lineOf("wire", "fence", nil, [2]float64{30, 0.3}, [2]float64{30.5, 40})}, 0, ""},
		{"cut this winter", append([]drawn{stock("cattle")}, standing(60, props{"manage": "coppice", "last_cut": 2026})...), 1, "Countryside Stewardship BN6: protect"},
		{"cut 2 winters ago", append([]drawn{stock("cattle")}, standing(60, props{"manage": "lay", "last_cut": 2024})...), 1, "Irish hedgerow notes: from stock 2 to 3 years"},
		{"cut 3 winters ago", append([]drawn{stock("cattle")}, standing(60, props{"manage": "lay", "last_cut": 2023})...), 0, "Irish hedgerow notes: 3 years are over"},
		{"trimmed", append([]drawn{stock("cattle")}, standing(60, props{"last_cut": 2026})...), 0, "trimming is no coppicing"},
	} {
		in := inputOf(t, props{"rule_set": "england", "planting_winter": 2026}, c.list...)
		found := ruleOn(t, hedgeFence(), in)
		assert.Len(t, found, c.warns, "%s: %s", c.what, c.why)
		for _, f := range found {
			assert.InDelta(t, map[bool]float64{true: 33 - 3, false: 60}[c.what == "half fenced"], *f.Measured, 0.01, c.what)
		}
	}
}

// Every side that the rule names is mended by its fence, round bends too, either way the hedge is drawn.
func TestFenceFixMends(t *testing.T) {
	shapes := map[string][][2]float64{
		"straight": {{0, 0}, {60, 0}},
		"right":    {{0, 0}, {40, 0}, {40, -40}},
		"left":     {{0, 0}, {40, 0}, {40, 40}},
		"zigzag":   {{0, 0}, {20, 10}, {40, 0}, {60, 12}},
		"hook":     {{0, 0}, {30, 0}, {32, 8}, {10, 14}},
	}
	for name, at := range shapes {
		for _, turn := range []bool{false, true} {
			line := append([][2]float64(nil), at...)
			if turn {
				for i, j := 0, len(line)-1; i < j; i, j = i+1, j-1 {
					line[i], line[j] = line[j], line[i]
				}
			}
			in := inputOf(t, nil, boxOf("field", "parcel", -50, -90, 110, 90, props{"grazed_by": []string{"sheep"}}),
				lineOf("new", "hedge", props{"status": "planned", "mix": mixOf("hawthorn", 60, "blackthorn", 40)}, line...), pointAt("gate", "gateway", 10, 0, nil))
			found := ruleOn(t, hedgeFence(), in)
			require.Len(t, found, 2, name)
			for _, f := range found {
				if f.Fix == nil {
					assert.Equal(t, "hook", name, "only where the sides meet no fence is drawn")
					continue
				}
				for _, left := range ruleOn(t, hedgeFence(), applied(t, in, f.Fix)) {
					assert.NotEqual(t, f.Key, left.Key, "%s, turned %v: %s", name, turn, left.Message)
					assert.NotEqual(t, "near", left.Place, "%s, turned %v: %s", name, turn, left.Message)
				}
			}
		}
	}
}

func TestHedgerowTreesByRuleSet(t *testing.T) {
	for _, c := range []struct {
		set    string
		every  float64
		passes bool
		source string
	}{
		{"england", 20, true, srcTE1 + ": at least 20 m"},
		{"england", 19, false, srcTE1},
		{"england", 50, true, srcHR97},
		{"ireland", 50, true, "ACRES notice 2022-24: one tree in 50 m or less"},
		{"northern-ireland", 10, true, srcNI + ": every 10 to 15 m"},
		{"northern-ireland", 15, true, srcNI},
		{"northern-ireland", 20, false, srcNI},
		{"northern-ireland", 9, false, srcNI},
		{"england", 6, false, "the Woodland Trust asks for a tree every 6 m, and England for 20: both are shown"},
	} {
		in := inputOf(t, props{"rule_set": c.set}, planned(100, props{"mix": mixOf("hawthorn", 60, "blackthorn", 40), "trees_every_m": c.every, "tree_mix": mixOf("pedunculate oak", 100)}))
		spacing := 0
		for _, f := range ruleOn(t, hedgeTrees(), in) {
			assert.Equal(t, planner.Note, f.Severity)
			if f.Place == "" {
				spacing++
			}
		}
		assert.Equal(t, c.passes, spacing == 0, "%s %g m: %s", c.set, c.every, c.source)
	}
}

func TestTreesOnAverage(t *testing.T) {
	for _, c := range []struct {
		trees  int
		passes bool
		source string
	}{
		{10, true, srcHRW3 + ": 1,000 m of hedges, 10 trees, all in one 200 m length: pass"},
		{9, false, srcHRW3 + ": 9 trees: fail"},
	} {
		list := standing(1000, props{"height_m": 2})
		for i := range c.trees {
			list = append(list, pointAt(fmt.Sprintf("tree-%02d", i), "plant", 20*float64(i), 0.5, props{"species": "pedunculate oak", "status": "existing"}))
		}
		found := ruleOn(t, hedgeTrees(), inputOf(t, nil, list...))
		assert.Equal(t, c.passes, len(found) == 0, c.source)
	}
}

func TestBufferStrip(t *testing.T) {
	for _, c := range []struct {
		set    string
		dist   float64
		deep   float64 // of the field, 200 m long
		age    int     // winters since planting, -1: not stated
		passes bool
		source string
	}{
		{"england", 1.9, 200, -1, false, srcMHR + ": a strip of 1.9 m fails"},
		{"england", 2.0, 200, -1, true, srcMHR},
		{"england", 1.9, 200, 4, true, srcMHR + ": a hedge of 4 years is exempt"},
		{"england", 1.9, 200, 5, false, srcMHR + ": under 5 years"},
		{"england", 1.9, 95, -1, true, srcMHR + ": a field of 1.9 ha is exempt"},
		{"england", 1.9, 90, -1, true, srcMHR + ": a field of 1.8 ha is exempt"},
		{"england", 1.9, 100, -1, true, srcMHR + ": 2 ha or less (one summary has under 2)"},
		{"england", 1.9, 101, -1, false, srcMHR},
		{"scotland", 1.9, 200, -1, false, "SSI 2014/325: 2 m from the hedge centre"},
		{"scotland", 1.9, 90, -1, false, "no exemption was read for Scotland"},
		{"ireland", 1.9, 90, 1, false, "no law was read for Ireland, so the handbook's undisturbed 2 m serves: " + srcHSH},
		{"ireland", 2.1, 90, 1, true, srcHSH},
	} {
		p := props{"height_m": 2}
		if c.age >= 0 {
			p["planted"], p["status"] = 2026-c.age, "existing"
		}
		list := append(standing(200, p), boxOf("field", "parcel", 0, 0, 200, c.deep, nil), boxOf("bed", "bed", 50, c.dist, 70, 30, nil))
		found := ruleOn(t, hedgeBuffer(), inputOf(t, props{"rule_set": c.set, "planting_winter": 2026}, list...))
		assert.Equal(t, c.passes, len(found) == 0, "%s %g m, field %g m deep, age %d: %s", c.set, c.dist, c.deep, c.age, c.source)
		for _, f := range found {
			assert.InDelta(t, c.dist, *f.Measured, 0.001)
			assert.NotEmpty(t, f.Cautions)
		}
	}
}

func TestGuardsAgainstWhatEats(t *testing.T) {
	memory := "forestry guidance: rabbit 0.6 m, hare 0.75 m, roe 1.2 m, red and fallow 1.8 m (from memory)"
	hedgeOf := planned(30, props{"mix": mixOf("hawthorn", 60, "blackthorn", 40)})
	tree := pointAt("oak", "plant", 0, 30, props{"species": "pedunculate oak", "status": "planned"})
	for _, c := range []struct {
		browsing []string
		at       drawn
		animals  []string // that are not kept off
		limit    float64
		source   string
	}{
		{nil, hedgeOf, nil, 0, ""},
		{[]string{"rabbits"}, hedgeOf, nil, 0, memory},
		{[]string{"hares", "rabbits"}, hedgeOf, nil, 0, memory},
		{[]string{"rabbits", "roe"}, hedgeOf, []string{"roe"}, 1.2, memory},
		{[]string{"rabbits", "red", "fallow"}, hedgeOf, []string{"red", "fallow"}, 1.8, memory},
		{[]string{"rabbits", "roe"}, tree, nil, 0, memory},
		{[]string{"red"}, tree, nil, 0, memory},
	} {
		in := inputOf(t, props{"browsing": c.browsing}, c.at)
		found := ruleOn(t, guardBrowsing(), in)
		if len(c.animals) == 0 {
			assert.Empty(t, found, "%v: %s", c.browsing, c.source)
			continue
		}
		require.Len(t, found, 1, "%v: %s", c.browsing, c.source)
		assert.Equal(t, planner.Warn, found[0].Severity)
		assert.InDelta(t, c.limit, *found[0].Limit, 1e-9, c.source)
		for _, a := range c.animals {
			assert.Contains(t, found[0].Message, a)
		}
	}
}

func TestGuardsAgainstStock(t *testing.T) {
	field := func(animals ...string) drawn {
		return boxOf("field", "parcel", 0, 0, 100, 100, props{"grazed_by": animals})
	}
	apple := pointAt("apple", "plant", 50, 50, props{"species": "apple", "cultivar": "Discovery", "rootstock": "M25", "status": "planned"})
	grove := boxOf("grove", "grove", 30, 30, 60, 60, props{"mix": mixOf("common alder", 60, "downy birch", 40), "spacing_m": 3})
	ring := lineOf("ring", "fence", nil, [2]float64{28, 28}, [2]float64{62, 28}, [2]float64{62, 62}, [2]float64{28, 62}, [2]float64{28, 28})
	broken := lineOf("ring", "fence", nil, [2]float64{28, 28}, [2]float64{62, 28}, [2]float64{62, 62}, [2]float64{28, 62})
	for _, c := range []struct {
		what  string
		list  []drawn
		warns int
		why   string
	}{
		{"an apple among sheep", []drawn{field("sheep"), apple}, 0, "Countryside Stewardship TE8: the list holds a stock guard of 1.5 m"},
		{"an apple among cattle", []drawn{field("cattle"), apple}, 0, "Countryside Stewardship TE7: 2.0 m"},
		{"an apple among pigs", []drawn{field("pigs"), apple}, 1, "no guard is known to keep pigs off"},
		{"an apple among hens", []drawn{field("poultry"), apple}, 0, "poultry eat no trees (common practice)"},
		{"a grove among sheep", []drawn{field("sheep"), grove}, 1, "no stock guard is listed for a grove"},
		{"the grove fenced all round", []drawn{field("sheep"), grove, ring}, 0, ""},
		{"the grove fenced on three sides", []drawn{field("sheep"), grove, broken}, 1, ""},
		{"a hedge among sheep", []drawn{field("sheep"), lineOf("h", "hedge", props{"status": "planned", "mix": mixOf("hawthorn", 100)}, [2]float64{10, 50}, [2]float64{90, 50})}, 0, "left to hedge.fence"},
	} {
		assert.Len(t, ruleOn(t, guardBrowsing(), inputOf(t, nil, c.list...)), c.warns, "%s: %s", c.what, c.why)
	}
}
