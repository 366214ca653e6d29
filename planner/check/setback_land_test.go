package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

func TestRoads(t *testing.T) {
	const act = "Highways Act 1980, section 141: 15 ft from the centre, 4.572 m"
	for _, c := range []struct {
		set, species string
		road         props
		at           float64
		warn         bool
		say          string
		source       string
	}{
		{"england", "hawthorn", nil, 4.5, true, "law in England and Wales", act},
		{"england", "hawthorn", nil, 4.6, false, "", act},
		{"england", "hawthorn", nil, 4.572, false, "", act + ", exactly"},
		{"wales", "hawthorn", nil, 4.5, true, "law in England and Wales", act},
		{"general", "hawthorn", nil, 4.5, true, "good manners elsewhere", act},
		{"ireland", "hawthorn", nil, 4.5, true, "ot law in Ireland", "Roads Act 1993, section 70: no distance in Irish law"},
		{"scotland", "hawthorn", nil, 4.5, true, "ot law in Scotland", "no distance in Scottish law was read"},
		{"northern-ireland", "hawthorn", nil, 4.5, true, "ot law in Northern Ireland", "no distance in law there was read"},
		{"england", "hawthorn", props{"public": false}, 4.5, false, "", act + ": a highway"},
	} {
		found := only(ruleOn(t, setbackRoad(), inputOf(t, props{"rule_set": c.set}, beside("road", c.road, c.species, c.at)...)), planner.Warn)
		if assert.Equal(t, c.warn, len(found) == 1, "%s at %v (%s)", c.set, c.at, c.source) && c.warn {
			assert.InDelta(t, 4.572, *found[0].Limit, 1e-9)
			assert.Contains(t, found[0].Message, c.say, c.source)
			assert.NotEmpty(t, found[0].Cautions)
		}
	}
}

func TestForestBesideRoadsInIreland(t *testing.T) {
	const dail = "minister's answer of 1 April 2025: 10 m broad-leaved, 20 m conifer, from the edge of the road surface"
	wood := func(species string, fromEdge float64) []planner.Finding {
		x := 2.5 + fromEdge // a road of 5 m
		return only(ruleOn(t, setbackRoad(), inputOf(t, props{"rule_set": "ireland"}, lineOf("road", "road", nil, [2]float64{0, -50}, [2]float64{0, 50}),
			boxOf("wood", "grove", x, 0, x+20, 20, props{"spacing_m": 5, "margin_m": 0, "bearing_deg": 0, "pattern": "square", "species": species}))), planner.Warn)
	}
	for _, c := range []struct {
		species string
		at      float64
		warn    bool
	}{{"silver birch", 15, false}, {"silver birch", 9.9, true}, {"silver birch", 10, false}, {"Sitka spruce", 15, true}, {"Sitka spruce", 20, false}} {
		assert.Equal(t, c.warn, len(wood(c.species, c.at)) == 1, "%s at %v m (%s)", c.species, c.at, dail)
	}
}

func TestHeadroomOverRoads(t *testing.T) {
	found := ruleOn(t, setbackRoad(), inputOf(t, nil, beside("road", nil, "silver birch", 4.7)...))
	require.Len(t, found, 1)
	assert.Equal(t, planner.Note, found[0].Severity)
	assert.Contains(t, found[0].Message, "5.05 m", "5.05 m over roads by custom")
	// Silver birch grows 6 m wide (RHS, 4 to 8 m): 3 m from the edge of a road of 5 m its crown is clear.
	assert.Empty(t, ruleOn(t, setbackRoad(), inputOf(t, nil, beside("road", nil, "silver birch", 5.5)...)))
}

func TestPaths(t *testing.T) {
	const act = "Rights of Way Act 1990 (from memory): field-edge footpath 1.5 m; hedge back by half of its grown width"
	at := func(set string, path props, x, width float64) []planner.Finding {
		return ruleOn(t, setbackPath(), inputOf(t, props{"rule_set": set}, lineOf("path", "path", path, [2]float64{0, -50}, [2]float64{0, 50}),
			lineOf("hedge", "hedge", props{"status": "planned", "species": "hawthorn", "rows": 1, "width_m": width}, [2]float64{x, -20}, [2]float64{x, 20})))
	}
	// Half of the path's 2 m and half of the hedge's 1.5 m.
	require.Len(t, at("england", props{"public": true}, 1.7, 1.5), 1, act)
	assert.InDelta(t, 1.75, *at("england", props{"public": true}, 1.7, 1.5)[0].Limit, 1e-9, act)
	assert.Empty(t, at("england", props{"public": true}, 1.75, 1.5), act)
	// A path drawn narrower than the law has it takes the law's width: 0.75 + 0.75 m.
	require.Len(t, at("england", props{"public": true, "width_m": 0.8}, 1.45, 1.5), 1, act)
	assert.Empty(t, at("england", props{"public": true, "width_m": 0.8}, 1.5, 1.5), act)
	assert.Empty(t, at("england", props{"public": false}, 1.2, 1.5), "a private path")
	found := at("ireland", props{"public": true}, 1.7, 1.5)
	require.Len(t, found, 1)
	assert.Contains(t, found[0].Message, "is not known", "no Irish width was read, and it says so")
}

func TestWater(t *testing.T) {
	stream := func(set string, width, x float64) []planner.Finding {
		return ruleOn(t, setbackWater(), inputOf(t, props{"rule_set": set}, beside("watercourse", props{"width_m": width}, "common alder", x)...))
	}
	const board = "Medway Internal Drainage Board: consent within 8 m; Environment Agency permit within 8 m of a main river (from memory)"
	require.Len(t, stream("england", 1, 8.4), 1, board)
	assert.Equal(t, planner.Note, stream("england", 1, 8.4)[0].Severity)
	assert.Contains(t, stream("england", 1, 8.4)[0].Message, "welcome")
	assert.Empty(t, stream("england", 1, 8.6), board)
	found := stream("ireland", 1, 5)
	require.Len(t, found, 1)
	assert.Contains(t, found[0].Message, "not known for the rule set ireland", "unknown is said")
	wood := func(width, x float64) []planner.Finding {
		var out []planner.Finding
		for _, f := range ruleOn(t, setbackWater(), inputOf(t, nil, lineOf("beck", "watercourse", props{"width_m": width}, [2]float64{0, -50}, [2]float64{0, 50}),
			boxOf("wood", "grove", x, 0, x+20, 20, props{"spacing_m": 5, "margin_m": 0, "bearing_deg": 0, "pattern": "square", "species": "common alder"}))) {
			if f.Place == "forest" {
				out = append(out, f)
			}
		}
		return out
	}
	const ukfs = "UK Forestry Standard, Forests and Water (from memory): 10 m below 2 m of channel, 20 m above"
	require.Len(t, wood(1, 10.4), 1, ukfs)
	assert.InDelta(t, 10, *wood(1, 10.4)[0].Limit, 1e-9, ukfs)
	assert.Empty(t, wood(1, 10.5), ukfs)
	require.Len(t, wood(2, 20.9), 1, ukfs)
	assert.InDelta(t, 20, *wood(2, 20.9)[0].Limit, 1e-9, ukfs)
	assert.Empty(t, wood(2, 21), ukfs)
}

func TestDitches(t *testing.T) {
	ditch := lineOf("ditch", "ditch", props{"cleaned_by": "digger"}, [2]float64{0, -50}, [2]float64{0, 50})
	line := func(id string, x float64, status string) drawn {
		p := props{"status": status, "species": "goat willow", "spacing_m": 2}
		return lineOf(id, "row", p, [2]float64{x, -20}, [2]float64{x, 20})
	}
	hedge := lineOf("hedge", "hedge", props{"status": "existing"}, [2]float64{-3, -20}, [2]float64{-3, 20})
	both := func(list ...drawn) []planner.Finding {
		return ruleOn(t, setbackDitch(), inputOf(t, nil, append(list, ditch)...))
	}
	const source = "common practice: 4 to 5 m for an excavator on one bank, 2 m from the bank top on the other"
	assert.Empty(t, both(line("a", 3, "planned")), "one bank only (%s)", source)
	require.Len(t, both(line("a", 3, "planned"), line("b", -3, "planned")), 1, source)
	assert.InDelta(t, 4, *both(line("a", 3, "planned"), line("b", -3, "planned"))[0].Limit, 1e-9, source)
	assert.Empty(t, both(line("a", 3, "planned"), line("b", -4.5, "planned")), "4 m from the top of the bank (%s)", source)
	require.Len(t, both(line("a", 3, "planned"), hedge), 1, "a hedge stands on the other bank")
	assert.Empty(t, both(line("a", 3, "existing"), hedge), "nothing of it is still to be planted")
	require.Len(t, both(line("a", 2.4, "planned")), 1, "nearer than 2 m to the bank top (%s)", source)
	byHand := lineOf("ditch", "ditch", nil, [2]float64{0, -50}, [2]float64{0, 50})
	assert.Empty(t, ruleOn(t, setbackDitch(), inputOf(t, nil, byHand, line("a", 1, "planned"), line("b", -1, "planned"))), "cleaned by hand")
}

func TestBoundary(t *testing.T) {
	field := boxOf("field", "parcel", 0, 0, 100, 100, nil)
	hedge := func(y float64, p props) drawn {
		all := props{"status": "planned", "species": "hawthorn"}
		for k, v := range p {
			all[k] = v
		}
		return lineOf("hedge", "hedge", all, [2]float64{10, y}, [2]float64{60, y})
	}
	at := func(y float64, list ...drawn) []planner.Finding {
		return ruleOn(t, setbackBoundary(), inputOf(t, nil, append(list, field, hedge(y, nil))...))
	}
	const source = "common practice: half of the grown width and 0.5 m"
	on := at(0)
	require.Len(t, on, 1)
	assert.Equal(t, planner.Note, on[0].Severity, "a line on the boundary is a note about whose it is")
	assert.InDelta(t, 50, *on[0].Measured, 1e-6)
	require.Len(t, at(1.2), 1, source)
	assert.Equal(t, planner.Warn, at(1.2)[0].Severity)
	assert.InDelta(t, 1.25, *at(1.2)[0].Limit, 1e-9, source)
	assert.Empty(t, at(1.25), source)
	assert.Empty(t, at(0, boxOf("other", "parcel", 0, -100, 100, 0, nil)), "an edge between two fields of the holding")
	assert.Empty(t, at(0, boxOf("other", "parcel", 0, -100, 100, -0.6, nil)), "with a narrow gap between them")
	across := lineOf("hedge", "hedge", props{"status": "planned", "species": "hawthorn"}, [2]float64{50, 0}, [2]float64{50, 60})
	assert.Empty(t, ruleOn(t, setbackBoundary(), inputOf(t, nil, field, across)), "a hedge that only ends there")
}

func TestHighHedges(t *testing.T) {
	field := boxOf("field", "parcel", 0, 0, 100, 100, nil)
	line := func(set, species string, height float64, n int) bool {
		length := float64(n-1) + 0.01
		found := ruleOn(t, setbackBoundary(), inputOf(t, props{"rule_set": set}, field,
			lineOf("hedge", "hedge", props{"status": "planned", "species": species, "height_m": height, "per_metre": float64(n) / (length - 0.02), "rows": 1}, [2]float64{10, 0}, [2]float64{10 + length, 0})))
		for _, f := range found {
			if f.Place == "high hedge" {
				return true
			}
		}
		return false
	}
	for _, c := range []struct {
		set, species string
		height       float64
		n            int
		high         bool
		source       string
	}{
		{"england", "Leyland cypress", 2.5, 2, true, "Anti-social Behaviour Act 2003, Part 8: two or more evergreens over 2 m"},
		{"england", "Leyland cypress", 2, 2, false, "the same: over 2 m"},
		{"england", "beech", 4, 8, false, "the same: evergreen or semi-evergreen"},
		{"scotland", "beech", 4, 8, true, "High Hedges (Scotland) Act 2013 (from memory): evergreen or not"},
		{"northern-ireland", "Leyland cypress", 2.5, 8, true, "High Hedges Act (Northern Ireland) 2011"},
		{"ireland", "Leyland cypress", 5, 8, false, "no law on the height of hedges in Ireland"},
	} {
		assert.Equal(t, c.high, line(c.set, c.species, c.height, c.n), "%s: %d %s of %v m (%s)", c.set, c.n, c.species, c.height, c.source)
	}
}
