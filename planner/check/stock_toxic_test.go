package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

// TestToxicityClasses holds what the rule makes of the lists against the published classes.
func TestToxicityClasses(t *testing.T) {
	in := inputOf(t, nil)
	l, ok := in.Set.Get("stock.toxic", "stop_classes")
	require.True(t, ok)
	const (
		lorgue = "Lorgue, veterinary toxicology"
		vets   = "veterinary practice pages and fwi.co.uk"
		memory = "from memory"
	)
	for _, c := range []struct {
		species, stock, class string // "" where nothing is held against it
		stops                 bool
		source                string
	}{
		{"yew", "horses", "extreme", true, lorgue + ": 0.5-2 g/kg"},
		{"yew", "cattle", "extreme", true, lorgue + ": 1-10 g/kg"},
		{"yew", "sheep", "extreme", true, lorgue + ": 10-12 g/kg"},
		{"yew", "goats", "extreme", true, lorgue + ": 10-12 g/kg"},
		{"yew", "pigs", "extreme", true, lorgue + ": 3 g/kg"},
		{"yew", "poultry", "extreme", true, lorgue + ": all stock"},
		{"rhododendron", "sheep", "high", true, "Colorado State University: signs from about 2 g/kg"},
		{"rhododendron", "goats", "high", true, "Colorado State University"},
		{"rhododendron", "cattle", "high", true, "Colorado State University"},
		{"cherry laurel", "cattle", "high", true, lorgue + ": 0.5-1 kg of green leaves a cow"},
		{"cherry laurel", "sheep", "high", true, lorgue + ": 0.2 kg a sheep"},
		{"laburnum", "horses", "high", true, lorgue + ": 0.5-0.8 g/kg of seed"},
		{"laburnum", "cattle", "high", true, "Colorado State University: 0.5 g/kg"},
		{"box", "horses", "high", true, lorgue + ": 700-900 g of leaves"},
		{"box", "cattle", "high", true, lorgue + ": 300-1,000 g"},
		{"box", "pigs", "high", true, lorgue},
		{"English oak", "cattle", "medium-high", false, vets + ": acorns and young leaf"},
		{"English oak", "horses", "medium-high", false, vets},
		{"English oak", "sheep", "low-medium", false, vets + ": sheep little"},
		{"English oak", "poultry", "", false, "the first list speaks of oak, and not of poultry"},
		{"sycamore", "horses", "high", true, "a veterinary practice page: atypical myopathy"},
		{"sycamore", "cattle", "", false, "cattle and sheep not known there"},
		{"sycamore", "sheep", "", false, "cattle and sheep not known there"},
		{"false acacia", "horses", "high", true, memory},
		{"false acacia", "sheep", "", false, memory + ": horses"},
		{"Lawson cypress", "cattle", "medium", false, memory + ": abortion in late pregnancy"},
		{"Lawson cypress", "sheep", "medium", false, memory},
		{"elder", "sheep", "low-medium", false, memory + ": purge, bitter"},
		{"holly", "sheep", "low-medium", false, memory + ": berries"},
		{"spindle", "sheep", "low-medium", false, memory},
		{"hawthorn", "cattle", "", false, "common practice: accepted browse"},
		{"hazel", "sheep", "", false, "common practice: accepted browse"},
		{"white willow", "cattle", "", false, "common practice: accepted browse"},
		{"ash", "horses", "", false, "common practice: accepted browse"},
		{"field maple", "sheep", "", false, "common practice: accepted browse"},
		{"rowan", "goats", "", false, "common practice: accepted browse"},
	} {
		m := in.Catalogue.Find(c.species)
		if !assert.NotNil(t, m.Species, c.species) {
			continue
		}
		h, found, known := harmTo(m.Species, c.stock, l.Words())
		assert.True(t, known, c.species)
		assert.Equal(t, c.class != "", found, "%s and %s (%s)", c.species, c.stock, c.source)
		assert.Equal(t, c.class, h.class, "%s and %s (%s)", c.species, c.stock, c.source)
		assert.Equal(t, c.stops, h.stops, "%s and %s (%s)", c.species, c.stock, c.source)
	}
}

func TestPoisonWithinReachOfStock(t *testing.T) {
	field := func(stock ...string) drawn {
		return boxOf("field", "parcel", -100, -50, 0, 50, props{"grazed_by": stock})
	}
	const guard = "Scottish tree guard guidance 2016: half the side of the least guard (sheep 0.6 m, goat 1 m, cattle 2 m, horse 3 m)"
	for _, c := range []struct {
		species  string
		at       float64
		stock    []string
		severity planner.Severity
		source   string
	}{
		{"yew", -10, []string{"sheep"}, planner.Stop, "extreme: in the field"},
		{"yew", 0, []string{"sheep"}, planner.Stop, "on its edge"},
		{"yew", 0.3, []string{"sheep"}, planner.Stop, guard + ": exactly within reach"},
		{"yew", 0.33, []string{"sheep"}, "", guard},
		{"yew", 0.33, []string{"goats"}, planner.Stop, guard},
		{"yew", 0.53, []string{"goats"}, "", guard},
		{"yew", 0.9, []string{"cattle"}, planner.Stop, guard},
		{"yew", 1.03, []string{"cattle"}, "", guard},
		{"yew", 1.4, []string{"horses"}, planner.Stop, guard},
		{"yew", 1.53, []string{"horses"}, "", guard},
		{"yew", -10, nil, "", "nothing grazes there"},
		{"English oak", -10, []string{"cattle"}, planner.Note, "medium-high is a note"},
		{"sycamore", -10, []string{"cattle", "sheep"}, "", "not known to hurt them"},
		{"sycamore", -10, []string{"sheep", "horses"}, planner.Stop, "high for horses"},
		{"false acacia", -10, []string{"horses"}, planner.Warn, "high, but from memory: at most a warning"},
		{"hawthorn", -10, []string{"cattle", "sheep", "horses"}, "", "accepted browse"},
		{"laurel", -10, []string{"cattle"}, planner.Stop, "a name that fits several takes the worst"},
	} {
		found := ruleOn(t, stockToxic(), inputOf(t, nil, field(c.stock...), treeAt("tree", c.at, c.species, nil)))
		if c.severity == "" {
			assert.Empty(t, found, "%s at %v beside %v (%s)", c.species, c.at, c.stock, c.source)
			continue
		}
		if assert.NotEmpty(t, found, "%s at %v beside %v (%s)", c.species, c.at, c.stock, c.source) {
			assert.Equal(t, c.severity, found[0].Severity, "%s (%s)", found[0].Message, c.source)
			assert.Equal(t, []string{"tree", "field"}, found[0].Features)
			assert.Contains(t, found[0].Cautions[0], "clippings")
		}
	}
	old := treeAt("tree", -10, "yew", props{"status": "existing"})
	assert.Empty(t, ruleOn(t, stockToxic(), inputOf(t, nil, field("sheep"), old)), "what stands there already is let be")
}

func TestPoisonInAHedgeIsOneFinding(t *testing.T) {
	in := inputOf(t, nil, boxOf("field", "parcel", 0, 0, 100, 100, props{"grazed_by": []string{"cattle", "horses"}}),
		lineOf("hedge", "hedge", props{"status": "planned", "mix": []props{{"species": "hawthorn", "share_percent": 80}, {"species": "yew", "share_percent": 20}}}, [2]float64{10, 0.2}, [2]float64{60, 0.2}))
	found := ruleOn(t, stockToxic(), in)
	require.Len(t, found, 1)
	assert.Contains(t, found[0].Message, "cattle (extreme) and horses (extreme)")
	assert.Greater(t, found[0].Count, 40)
}

func TestRegulatedSpecies(t *testing.T) {
	at := func(set, species string) []planner.Finding {
		return ruleOn(t, plantRegulated(), inputOf(t, props{"rule_set": set}, treeAt("tree", 0, species, nil)))
	}
	for _, c := range []struct {
		set, species string
		severity     planner.Severity
		source       string
	}{
		{"england", "rhododendron", planner.Stop, "Wildlife and Countryside Act 1981, Schedule 9"},
		{"wales", "rhododendron", planner.Stop, "Wildlife and Countryside Act 1981, Schedule 9"},
		{"general", "rhododendron", planner.Stop, "general takes England's"},
		{"ireland", "rhododendron", planner.Stop, "S.I. 477/2011, Third Schedule"},
		{"scotland", "rhododendron", planner.Note, "no Scottish list in the catalogue: others' are a note"},
		{"england", "Japanese rose", planner.Stop, "Wildlife and Countryside Act 1981, Schedule 9"},
		{"ireland", "Japanese rose", planner.Note, "not on the Irish list that was read"},
		{"england", "sea buckthorn", planner.Note, "S.I. 477/2011 holds in Ireland only"},
		{"ireland", "sea buckthorn", planner.Stop, "S.I. 477/2011, Third Schedule"},
		{"england", "hawthorn", "", "on no list"},
	} {
		found := at(c.set, c.species)
		if c.severity == "" {
			assert.Empty(t, found)
			continue
		}
		if !assert.NotEmpty(t, found, "%s under %s (%s)", c.species, c.set, c.source) {
			continue
		}
		want := c.severity
		if want == planner.Stop && weak(found[0].Source) {
			want = planner.Warn // recalled lists never stop
		}
		assert.Equal(t, want, found[0].Severity, "%s under %s (%s): %s", c.species, c.set, c.source, found[0].Message)
	}
}

func TestDiseases(t *testing.T) {
	at := func(species string) []planner.Finding {
		return ruleOn(t, plantDisease(), inputOf(t, nil, treeAt("tree", 0, species, nil)))
	}
	for _, c := range []struct {
		species  string
		severity planner.Severity
		source   string
	}{
		{"ash", planner.Warn, "ash dieback: do not plant"},
		{"juniper", planner.Warn, "from clean stock only: Phytophthora austrocedri"},
		{"Lawson cypress", planner.Warn, "from clean stock only: Phytophthora lateralis"},
		{"hawthorn", planner.Note, "fireblight host"},
		{"pear", planner.Note, "fireblight host"},
		{"European larch", planner.Note, "Phytophthora ramorum"},
		{"hazel", "", "nothing in the catalogue"},
	} {
		found := at(c.species)
		if c.severity == "" {
			assert.Empty(t, found, c.species)
		} else if assert.Len(t, found, 1, c.species) {
			assert.Equal(t, c.severity, found[0].Severity, "%s (%s)", found[0].Message, c.source)
		}
	}
}

func TestSuckersBesideBeds(t *testing.T) {
	bed := boxOf("bed", "bed", -20, -5, 0, 5, nil)
	at := func(species string, x float64, limits props) []planner.Finding {
		return ruleOn(t, plantSuckers(), inputOf(t, limits, bed, treeAt("tree", x, species, nil)))
	}
	// Blackthorn grows 2.5 to 4 m wide (RHS band from memory); no distance is published, so its own width is taken.
	require.Len(t, at("blackthorn", 3.2, nil), 1)
	assert.Empty(t, at("blackthorn", 3.25, nil))
	assert.Empty(t, at("hazel", 1, nil), "hazel does not sucker")
	own := props{"limits": props{"plant.suckers": props{"bed_least_m": 6}}}
	require.Len(t, at("blackthorn", 5.9, own), 1, "the holding's own limit")
	assert.Empty(t, at("blackthorn", 6, own))
}
