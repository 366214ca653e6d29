package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

// Sources of the rows below.
const (
	severnTrent = "Severn Trent Water, Tree planting restrictions"
	deeValley   = "Dee Valley Water guidelines"
	natGrid     = "National Grid, trees near gas pipelines"
	bs5837      = "BS 5837:2012, Table A.1 (from memory)"
	clinton     = "Clinton County conservation leaflet (30.5 m and 15.2 m from tile drains)"
)

// beside draws one thing along the y axis and one plant x metres to its east.
func beside(kind string, thing props, species string, x float64) []drawn {
	return []drawn{lineOf("thing", kind, thing, [2]float64{0, -100}, [2]float64{0, 100}), treeAt("tree", x, species, nil)}
}

func TestRootsBesideServices(t *testing.T) {
	sewer, water, gas, electric := props{"carries": "sewer"}, props{"carries": "water"}, props{"carries": "gas"}, props{"carries": "electricity"}
	for _, c := range []struct {
		species  string
		service  props
		at       float64
		severity planner.Severity
		limit    float64
		say      string
		source   string
	}{
		{"white willow", sewer, 11, planner.Warn, 12, "willow and poplar", severnTrent + ": 12 m"},
		{"white willow", water, 11, planner.Warn, 12, "10 m (Dee Valley Water", deeValley + ": 10 m would pass, and is shown"},
		{"white willow", sewer, 12, "", 0, "", severnTrent + ": exactly 12 m"},
		{"hybrid black poplar", sewer, 11.9, planner.Warn, 12, "", severnTrent},
		{"English oak", water, 8, planner.Warn, 10, "7 m (Dee Valley Water", severnTrent + ": 10 m; " + deeValley + ": 7 m would pass"},
		{"English oak", sewer, 10, "", 0, "", severnTrent + ": exactly 10 m"},
		{"ash", sewer, 9.9, planner.Warn, 10, "large trees", severnTrent},
		{"beech", sewer, 9.9, planner.Warn, 10, "large trees", severnTrent},
		{"Sitka spruce", sewer, 9.9, planner.Warn, 10, "large trees", severnTrent},
		{"Douglas fir", sewer, 9.9, planner.Warn, 10, "large trees", severnTrent},
		{"sycamore", sewer, 5.9, planner.Warn, 6, "medium trees", severnTrent},
		{"sycamore", sewer, 6, "", 0, "", severnTrent},
		{"apple", sewer, 5.9, planner.Warn, 6, "medium trees", severnTrent},
		{"pear", sewer, 5.9, planner.Warn, 6, "medium trees", severnTrent},
		{"horse chestnut", sewer, 5.9, planner.Warn, 6, "medium trees", severnTrent},
		{"hazel", sewer, 1.8, planner.Warn, 2, "large shrubs and hedges", severnTrent + ": 2 m"},
		{"hazel", sewer, 2, "", 0, "", severnTrent + ": exactly 2 m"},
		{"hawthorn", sewer, 1.9, planner.Warn, 2, "", severnTrent},
		{"elder", sewer, 1.9, planner.Warn, 2, "", severnTrent},
		{"cherry laurel", sewer, 1.9, planner.Warn, 2, "", severnTrent},
		{"blackcurrant", sewer, 0.9, "", 0, "", severnTrent + ": soft fruit under 1 m"},
		{"hazel", water, 2.5, planner.Note, 3, "Bristol Water", "Bristol Water: 3.0 m for any tree or large shrub"},
		{"white willow", gas, 9, planner.Warn, 10, "", natGrid + ": 10 m"},
		{"hazel", gas, 0, planner.Note, 10, "written consent", natGrid + ": hazel hedges may cross, with consent"},
		{"English oak", gas, 7, planner.Note, 10, "written consent", natGrid + ": single trees 6 to 10 m, with consent"},
		{"English oak", gas, 5.9, planner.Warn, 6, "", natGrid + ": 6 m"},
		{"English oak", gas, 10, "", 0, "", natGrid},
		{"English oak", electric, 2.9, planner.Warn, 3, "", bs5837},
		{"sycamore", electric, 1.4, planner.Warn, 1.5, "", bs5837},
		{"hazel", electric, 0.5, "", 0, "", bs5837},
		{"English oak", nil, 9.9, planner.Warn, 10, "buried service", "unknown: the widest of the figures"},
		{"willow", sewer, 11, planner.Warn, 12, "", severnTrent + ": a name that fits several takes the greediest"},
		{"zzz", sewer, 11, planner.Note, 0, "was not looked at", "unknown is said"},
	} {
		found := ruleOn(t, setbackService(), inputOf(t, nil, beside("service", c.service, c.species, c.at)...))
		if c.severity == "" {
			assert.Empty(t, found, "%s at %v m (%s)", c.species, c.at, c.source)
			continue
		}
		if !assert.Len(t, found, 1, "%s at %v m (%s)", c.species, c.at, c.source) {
			continue
		}
		assert.Equal(t, c.severity, found[0].Severity, "%s (%s)", found[0].Message, c.source)
		assert.InDelta(t, c.at, *found[0].Measured, 0.001)
		if c.limit > 0 {
			assert.InDelta(t, c.limit, *found[0].Limit, 1e-9, "%s (%s)", found[0].Message, c.source)
		}
		assert.Contains(t, found[0].Message, c.say, c.source)
	}
}

func TestMassPlantingBesideGas(t *testing.T) {
	wood := boxOf("wood", "grove", 7, -10, 17, 10, props{"spacing_m": 2.5, "margin_m": 0, "bearing_deg": 0, "species": "English oak", "pattern": "square"})
	main := lineOf("main", "service", props{"carries": "gas"}, [2]float64{0, -100}, [2]float64{0, 100})
	found := ruleOn(t, setbackService(), inputOf(t, nil, main, wood))
	require.Len(t, found, 1)
	assert.Equal(t, planner.Warn, found[0].Severity)
	assert.InDelta(t, 10, *found[0].Limit, 1e-9, natGrid+": mass planting beyond 10 m")
}

func TestRootsBesideDrains(t *testing.T) {
	for _, c := range []struct {
		species  string
		at       float64
		severity planner.Severity
		limit    float64
		source   string
	}{
		{"white willow", 11.9, planner.Warn, 12, severnTrent + ", read over to field drains"},
		{"white willow", 12, planner.Note, 30.5, clinton},
		{"white willow", 30.4, planner.Note, 30.5, clinton},
		{"white willow", 30.5, "", 0, clinton},
		{"common alder", 9.9, planner.Warn, 10, "common practice: alder as willow, 10 m"},
		{"common alder", 10, planner.Note, 30.5, clinton + ", alder read with willow"},
		{"hawthorn", 20, "", 0, clinton},
		{"hawthorn", 15, planner.Note, 15.2, clinton},
		{"hawthorn", 1.9, planner.Warn, 2, severnTrent},
		{"hawthorn", 2, planner.Note, 15.2, clinton},
		{"English oak", 9.9, planner.Warn, 10, severnTrent},
		{"English oak", 15.1, planner.Note, 15.2, clinton},
		{"English oak", 15.2, "", 0, clinton},
	} {
		found := ruleOn(t, setbackDrain(), inputOf(t, nil, beside("drain", nil, c.species, c.at)...))
		if c.severity == "" {
			assert.Empty(t, found, "%s at %v m (%s)", c.species, c.at, c.source)
			continue
		}
		if assert.Len(t, found, 1, "%s at %v m (%s)", c.species, c.at, c.source) {
			assert.Equal(t, c.severity, found[0].Severity, "%s (%s)", found[0].Message, c.source)
			assert.InDelta(t, c.limit, *found[0].Limit, 1e-9, "%s (%s)", found[0].Message, c.source)
		}
	}
}

func TestRootsBesideSepticTanksAndWells(t *testing.T) {
	at := func(rule *Rule, kind, set, species string, x float64) []planner.Finding {
		return ruleOn(t, rule, inputOf(t, props{"rule_set": set}, pointAt("thing", kind, 0, 0, nil), treeAt("tree", x, species, nil)))
	}
	require.Len(t, at(setbackSeptic(), "septic", "general", "osier", 11.9), 1)
	assert.InDelta(t, 12, *at(setbackSeptic(), "septic", "general", "osier", 11.9)[0].Limit, 1e-9, "the sewer figure, common practice")
	assert.Empty(t, at(setbackSeptic(), "septic", "general", "osier", 12))
	require.Len(t, at(setbackSeptic(), "septic", "ireland", "English oak", 5), 1)
	assert.Contains(t, at(setbackSeptic(), "septic", "ireland", "English oak", 5)[0].Message, "3 m (", "EPA Code of Practice 2021 has 3 m (from memory): shown beside it")
	require.Len(t, at(setbackWell(), "well", "general", "English oak", 9.9), 1)
	assert.Empty(t, at(setbackWell(), "well", "general", "English oak", 10))
	wood := func(set string) []planner.Finding {
		return ruleOn(t, setbackWell(), inputOf(t, props{"rule_set": set}, pointAt("well", "well", 0, 0, nil),
			boxOf("wood", "grove", 25, 0, 45, 20, props{"spacing_m": 5, "margin_m": 0, "bearing_deg": 0, "species": "silver birch", "pattern": "square"})))
	}
	require.Len(t, wood("general"), 1)
	assert.InDelta(t, 50, *wood("general")[0].Limit, 1e-9, "UK Forestry Standard, Forests and Water (from memory)")
	assert.Empty(t, wood("ireland"), "Environmental Requirements for Afforestation: 20 m (from memory)")
}

func TestWires(t *testing.T) {
	const ena = "ENA Technical Specification 43-8 (from memory; the corner of 400 kV published)"
	for _, c := range []struct {
		what     string
		set      string
		line     props
		species  string
		at       float64
		severity planner.Severity
		limit    float64
		say      string
		source   string
	}{
		{"11 kV, just inside", "general", props{"voltage_kv": 11}, "beech", 32.9, planner.Stop, 33, "", ena + ": 3.0 m; beech 30 m, PLANTATT 2004"},
		{"11 kV, exactly", "general", props{"voltage_kv": 11}, "beech", 33, "", 0, "", ena},
		{"33 kV is still the first step", "general", props{"voltage_kv": 33}, "beech", 32.9, planner.Stop, 33, "", ena},
		{"66 kV", "general", props{"voltage_kv": 66}, "beech", 33.1, planner.Stop, 33.2, "", ena + ": 3.2 m"},
		{"132 kV", "general", props{"voltage_kv": 132}, "beech", 33.5, planner.Stop, 33.6, "", ena + ": 3.6 m"},
		{"275 kV", "general", props{"voltage_kv": 275}, "beech", 34.5, planner.Stop, 34.6, "", ena + ": 4.6 m"},
		{"400 kV", "general", props{"voltage_kv": 400}, "beech", 35.2, planner.Stop, 35.3, "", ena + ": 5.3 m"},
		{"voltage unknown", "general", nil, "beech", 35, planner.Warn, 35.3, "voltage is not known", ena + ": the greatest, 5.3 m"},
		{"the operator's own figure", "general", props{"clearance_m": 6}, "beech", 35.9, planner.Stop, 36, "operator's clearance", "as the operator says"},
		{"a hedge plant counts at its full height", "general", props{"voltage_kv": 11}, "hawthorn", 12.9, planner.Stop, 13, "", "hawthorn 10 m, PLANTATT 2004"},
		{"hawthorn clear", "general", props{"voltage_kv": 11}, "hawthorn", 13, "", 0, "", "hawthorn 10 m, PLANTATT 2004"},
		{"low bush under the wires", "general", props{"voltage_kv": 11}, "gooseberry", 2.9, planner.Warn, 3, "no planting under", "NFU free-tree notes: shrubs at 3 m from the line"},
		{"low bush beside the wires", "general", props{"voltage_kv": 11}, "gooseberry", 3, "", 0, "", "NFU free-tree notes"},
		{"on the line", "general", props{"voltage_kv": 11}, "beech", 0, planner.Stop, 33, "stands under", ena},
		{"name that fits several", "general", props{"voltage_kv": 11}, "birch", 27.9, planner.Stop, 28, "", "silver birch 25 m, PLANTATT 2004, the greatest of the name"},
		{"unknown name", "general", props{"voltage_kv": 11}, "zzz", 20, planner.Warn, 0, "was not looked at", "unknown is said"},
	} {
		t.Run(c.what, func(t *testing.T) {
			found := ruleOn(t, setbackOverheadLine(), inputOf(t, props{"rule_set": c.set}, beside("overhead_line", c.line, c.species, c.at)...))
			if c.severity == "" {
				assert.Empty(t, found, c.source)
				return
			}
			require.Len(t, found, 1, c.source)
			assert.Equal(t, c.severity, found[0].Severity, "%s (%s)", found[0].Message, c.source)
			if c.limit > 0 {
				assert.InDelta(t, c.limit, *found[0].Limit, 1e-6, "%s (%s)", found[0].Message, c.source)
			}
			assert.Contains(t, found[0].Message, c.say)
			assert.GreaterOrEqual(t, len(found[0].Cautions), 2, "wires always come with their cautions")
		})
	}
}

func TestStripsBesideWires(t *testing.T) {
	// A species whose reach is shorter than the strip: sea buckthorn is too tall, so a low tree is taken through the operator's clearance.
	strip := func(set string, x float64) []planner.Finding {
		return ruleOn(t, setbackOverheadLine(), inputOf(t, props{"rule_set": set}, beside("overhead_line", props{"voltage_kv": 11, "clearance_m": 0.5}, "dogwood", x)...))
	}
	// Dogwood is listed at 4 m (PLANTATT 2004): within 4.5 m it can reach the wires.
	require.Len(t, strip("northern-ireland", 4), 1)
	assert.Equal(t, planner.Stop, strip("northern-ireland", 4)[0].Severity)
	require.Len(t, strip("northern-ireland", 4.8), 1)
	assert.InDelta(t, 5, *strip("northern-ireland", 4.8)[0].Limit, 1e-9, "NIE Networks: 5 m each side of 11 and 33 kV")
	assert.Empty(t, strip("northern-ireland", 6), "NIE Networks: 6 m passes the strip")
	require.Len(t, strip("ireland", 6), 1)
	assert.InDelta(t, 10, *strip("ireland", 6)[0].Limit, 1e-9, "ESB and IFA agreement 1992: 10 m each side")
	assert.Empty(t, strip("ireland", 10))
}
