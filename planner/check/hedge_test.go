package check

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

// mixOf is a mix as a plan file has it: a name and its percent, and so on.
func mixOf(parts ...any) []props {
	var out []props
	for i := 0; i+1 < len(parts); i += 2 {
		out = append(out, props{"species": parts[i], "share_percent": parts[i+1]})
	}
	return out
}

func also(p props, more props) props {
	out := props{}
	for k, v := range p {
		out[k] = v
	}
	for k, v := range more {
		out[k] = v
	}
	return out
}

// planned is a new hedge along the x axis.
func planned(length float64, p props) drawn {
	return lineOf("new", "hedge", also(props{"status": "planned"}, p), [2]float64{0, 0}, [2]float64{length, 0})
}

// standing is an existing hedge along the x axis with gap features, each from one chainage to another.
func standing(length float64, p props, gaps ...[2]float64) []drawn {
	out := []drawn{lineOf("old", "hedge", also(props{"status": "existing"}, p), [2]float64{0, 0}, [2]float64{length, 0})}
	for i, g := range gaps {
		out = append(out, lineOf(fmt.Sprintf("gap-%d", i), "gap", nil, [2]float64{g[0], 0}, [2]float64{g[1], 0}))
	}
	return out
}

// warns counts the findings that ask for something: stops and warnings.
func warns(found []planner.Finding) int {
	return len(only(found, planner.Warn)) + len(only(found, planner.Stop))
}

const (
	srcBN11   = "Countryside Stewardship BN11 Planting new hedges, 2023"
	srcBN7    = "Countryside Stewardship BN7 Hedgerow gapping-up, 2023"
	srcACRES  = "ACRES, Planting new hedgerow, notice of 2022-24"
	srcNI     = "DARD Northern Ireland, field boundary restoration, 2012"
	srcAECS   = "AECS Planting or replanting of hedges, 2017, revised 2023"
	srcGLAS   = "GLAS hedgerow specification, terms for laying and coppicing, 2015-17"
	srcHSH    = "Hedgerow Survey Handbook, 2nd edition, Defra 2007, appendix 9"
	srcSBM    = "Statutory Biodiversity Metric, condition sheet Hedgerow, 2023-24 (from memory)"
	srcCHRW   = "Rural Payments Agency, SFI actions CHRW2 and CHRW3, 2024"
	srcGAEC   = "Defra, Guide to cross compliance in England 2015, GAEC 7a"
	srcPTES   = "People's Trust for Endangered Species, hedge survey guidance"
	srcWales  = "Welsh Government, Small Grants - Environment, hedgerow creation, 2023"
	srcTCV    = "The Conservation Volunteers, hedging handbook"
	srcSSI04  = "Scottish Statutory Instrument 2004/143"
	srcMHR    = "Management of Hedgerows (England) Regulations 2024, union's summary"
	srcTE1    = "Countryside Stewardship TE1 Planting standard hedgerow tree, 2025"
	srcHRW3   = "Sustainable Farming Incentive, HRW3, as republished"
	srcHR97   = "Hedgerows Regulations 1997, one tree in 50 m"
	srcNesst  = "community hedge guide, nesstsheffield.org"
	srcTeagsc = "Teagasc 2023, mature hedges not below 1.8 m"
)

func TestHedgeDensityByRuleSet(t *testing.T) {
	for _, c := range []struct {
		set    string
		per    float64
		rows   int
		passes bool
		source string
	}{
		{"general", 6, 2, true, srcBN11},
		{"general", 5.9, 2, false, srcBN11},
		{"england", 6, 2, true, srcBN11},
		{"england", 5, 2, false, srcBN11},
		{"scotland", 6, 2, true, srcAECS},
		{"scotland", 5, 2, false, srcAECS},
		{"wales", 6, 2, true, srcBN11},
		{"ireland", 5, 2, true, srcACRES},
		{"ireland", 4.9, 2, false, srcACRES},
		{"northern-ireland", 6, 2, false, srcNI},
		{"northern-ireland", 8, 2, true, srcNI},
		{"general", 4, 2, false, "2 rows, 0.50 m in the row = 4.0 per metre: fails 5 and 6 (derived)"},
		{"ireland", 4, 2, false, "2 rows, 0.50 m in the row = 4.0 per metre: fails 5 and 6 (derived)"},
		{"general", 3, 1, true, srcNesst},
		{"general", 2.9, 1, false, srcNesst},
	} {
		in := inputOf(t, props{"rule_set": c.set}, planned(30, props{"per_metre": c.per, "rows": c.rows, "mix": mixOf("hawthorn", 60, "blackthorn", 40)}))
		found := ruleOn(t, hedgeDensity(), in)
		if c.passes {
			assert.Empty(t, found, "%s, %g in %d rows: %s", c.set, c.per, c.rows, c.source)
			continue
		}
		require.Len(t, found, 1, "%s, %g in %d rows: %s", c.set, c.per, c.rows, c.source)
		assert.InDelta(t, c.per, *found[0].Measured, 1e-9)
		assert.Empty(t, ruleOn(t, hedgeDensity(), applied(t, in, found[0].Fix)), "the fix mends it")
	}
}

func TestHedgeDensityLooksAtWhatIsAskedForNotAtTheCount(t *testing.T) {
	// ceil(6 x 19.98) = 120 plants in 20 m, and a gateway of 3.6 m takes some away: the density asked for is still 6 (the rule of BN11, 2023).
	in := inputOf(t, nil, planned(20, props{"per_metre": 6, "mix": mixOf("hawthorn", 60, "hazel", 40)}), pointAt("gate", "gateway", 10, 0, nil))
	require.Less(t, len(in.Out.Of("new").Plants), 6*20)
	assert.Empty(t, ruleOn(t, hedgeDensity(), in))
}

func TestFillDensityByRuleSet(t *testing.T) {
	for _, c := range []struct {
		set    string
		per    float64
		plants int // of a gap of 4 m, less the tolerance of 20 mm: ceil(d x 3.98)
		passes bool
		source string
	}{
		{"england", 6, 24, true, srcBN7 + ": gap 4 m, 24 plants"},
		{"england", 4, 16, false, srcBN7},
		{"ireland", 4, 16, true, srcGLAS + ": gap 4 m, 16 plants"},
		{"ireland", 3.5, 14, false, srcGLAS},
	} {
		in := inputOf(t, props{"rule_set": c.set}, standing(60, props{"fill_mix": mixOf("hawthorn", 60, "holly", 40), "fill_per_metre": c.per}, [2]float64{20, 24})...)
		assert.Equal(t, c.plants, in.Out.Listed(), c.source)
		assert.Equal(t, c.passes, len(ruleOn(t, hedgeDensity(), in)) == 0, "%s %g: %s", c.set, c.per, c.source)
	}
}

func TestGreatestShareByRuleSet(t *testing.T) {
	six := mixOf("hawthorn", 75, "blackthorn", 5, "hazel", 5, "holly", 5, "dog rose", 5, "guelder rose", 5)
	for _, c := range []struct {
		set    string
		mix    []props
		warns  int
		source string
	}{
		{"england", mixOf("hawthorn", 70, "blackthorn", 30), 0, srcBN11 + ": 420 of 600 passes"},
		{"england", mixOf("hawthorn", 71, "blackthorn", 29), 1, srcBN11 + ": over 420 of 600 fails"},
		{"england", mixOf("hawthorn", 80, "blackthorn", 10, "holly", 10), 1, srcBN11 + ": 80 percent fails"},
		{"ireland", mixOf("hawthorn", 80, "blackthorn", 10, "holly", 10), 0, srcACRES + ": 85 percent, so 80 passes"},
		{"ireland", mixOf("hawthorn", 85, "blackthorn", 10, "holly", 5), 0, srcACRES},
		{"ireland", mixOf("hawthorn", 86, "blackthorn", 9, "holly", 5), 1, srcACRES},
		{"ireland", mixOf("hawthorn", 60, "blackthorn", 40), 1, srcACRES + ": at least 3 species"},
		{"northern-ireland", six, 0, srcNI + ": 75 percent hawthorn and 5 others pass"},
		{"england", six, 1, srcBN11 + ": the same mix fails at 70 percent"},
		{"northern-ireland", mixOf("hawthorn", 75, "blackthorn", 10, "hazel", 10, "holly", 5), 1, srcNI + ": 4 species, where it takes 5"},
		{"england", mixOf("hawthorn", 60, "blackthorn", 15, "hazel", 25), 0, "60 hawthorn and 15 blackthorn pass the cap of 70 too (derived)"},
		{"england", mixOf("hawthorn", 40, "whitethorn", 40, "holly", 20), 1, "two names of one species are one species; " + srcBN11},
		{"scotland", mixOf("hawthorn", 100), 2, "one species: over the share and under the number; " + srcBN11},
	} {
		in := inputOf(t, props{"rule_set": c.set}, planned(100, props{"per_metre": 6, "mix": c.mix}))
		assert.Equal(t, c.warns, warns(ruleOn(t, hedgeMix(), in)), "%s %v: %s", c.set, c.mix, c.source)
	}
}

func TestOtherBodiesOnTheGreatestShareStayVisible(t *testing.T) {
	in := inputOf(t, props{"rule_set": "ireland"}, planned(10, nil))
	var said []float64
	for _, l := range in.Set.Others("hedge.mix", "greatest_share_percent") {
		said = append(said, l.Value)
	}
	assert.Contains(t, said, 70.0, "Teagasc, November 2023, of the same scheme")
	assert.Contains(t, said, 100.0, "Teagasc, February 2024, for a shortage of plants")
	assert.Contains(t, said, 75.0, srcNI)
}

func TestSharesAreHeldAgainstThePlantsSetOut(t *testing.T) {
	// 70 percent of 21 plants is 14.7, and 15 are 71.4 percent: rounding to whole plants is a note. Re-testing the cap on the planted counts: derived.
	in := inputOf(t, props{"rule_set": "england"}, planned(3.5, props{"per_metre": 6, "mix": mixOf("hawthorn", 70, "blackthorn", 20, "hazel", 10)}))
	require.Equal(t, 21, in.Out.Listed())
	found := ruleOn(t, hedgeMix(), in)
	require.Len(t, found, 1)
	assert.Equal(t, planner.Note, found[0].Severity)
	assert.InDelta(t, 71.43, *found[0].Measured, 0.01)
	// Exactly 420 of 600 is no finding at all.
	assert.Empty(t, ruleOn(t, hedgeMix(), inputOf(t, props{"rule_set": "england"}, planned(100, props{"per_metre": 6, "mix": mixOf("hawthorn", 70, "blackthorn", 30)}))))
}

func TestMixFixKeepsTheCapOnThePlantsToo(t *testing.T) {
	for _, length := range []float64{1, 3.5, 7, 20, 48.5, 97.3} {
		in := inputOf(t, props{"rule_set": "england"}, planned(length, props{"per_metre": 6, "mix": mixOf("hawthorn", 90, "blackthorn", 7, "hazel", 3)}))
		found := only(ruleOn(t, hedgeMix(), in), planner.Warn)
		require.Len(t, found, 1, "%g m", length)
		if found[0].Fix == nil {
			assert.LessOrEqual(t, length, 1.0, "only a very short hedge has no mix that keeps the cap")
			continue
		}
		assert.Empty(t, ruleOn(t, hedgeMix(), applied(t, in, found[0].Fix)), "%g m; cap of 70 percent: %s", length, srcBN11)
	}
}

func TestNativesByCountry(t *testing.T) {
	for _, c := range []struct {
		set    string
		mix    []props
		passes bool
		source string
	}{
		{"england", mixOf("hawthorn", 50, "field maple", 50), true, "native in Britain: PLANTATT, Hill, Preston and Roy 2004"},
		{"ireland", mixOf("hawthorn", 50, "field maple", 50), false, "not native in Ireland (from memory)"},
		{"northern-ireland", mixOf("hawthorn", 50, "field maple", 50), false, "not native in Ireland (from memory)"},
		{"general", mixOf("hawthorn", 50, "beech", 50), true, "native in Britain: PLANTATT"},
		{"ireland", mixOf("whitethorn", 50, "blackthorn", 30, "holly", 20), true, "native in both: PLANTATT; from memory"},
		{"general", mixOf("hawthorn", 99, "cherry laurel", 1), false, srcBN11 + ": all native"},
	} {
		found := ruleOn(t, hedgeNative(), inputOf(t, props{"rule_set": c.set}, planned(30, props{"mix": c.mix})))
		assert.Equal(t, c.passes, warns(found) == 0, "%s %v: %s", c.set, c.mix, c.source)
	}
	// What is not known is said, and counted neither way: barberry is not in PLANTATT's list of natives as read.
	found := ruleOn(t, hedgeNative(), inputOf(t, nil, planned(30, props{"mix": mixOf("hawthorn", 60, "barberry", 40)})))
	require.Len(t, found, 1)
	assert.Equal(t, planner.Note, found[0].Severity)
	assert.Contains(t, found[0].Message, "is not known")
}

func TestNativesOfAHedgeThatStands(t *testing.T) {
	for _, c := range []struct {
		alien  float64
		passes bool
		source string
	}{
		{20, true, "Countryside Stewardship BN5 to BN7: at least 80 percent, so exactly 80 passes"},
		{21, false, "Countryside Stewardship BN5 to BN7"},
	} {
		in := inputOf(t, nil, standing(60, props{"mix": mixOf("hawthorn", 100-c.alien, "garden privet", c.alien)})...)
		assert.Equal(t, c.passes, len(ruleOn(t, hedgeNative(), in)) == 0, c.source)
	}
	in := inputOf(t, nil, standing(60, nil)...)
	over := in.Set.Others("hedge.native", "existing_native_share_percent")
	require.Len(t, over, 1)
	assert.False(t, over[0].Holds(80), "the survey handbook has over 80: exactly 80 fails it; "+srcHSH)
}

func TestThornsBesideStock(t *testing.T) {
	grazed := boxOf("field", "parcel", -10, 0, 70, 60, props{"grazed_by": []string{"sheep"}})
	bare := boxOf("field", "parcel", -10, 0, 70, 60, nil)
	far := boxOf("field", "parcel", -10, 3, 70, 60, props{"grazed_by": []string{"sheep"}})
	for _, c := range []struct {
		field  drawn
		mix    []props
		passes bool
		source string
	}{
		{grazed, mixOf("hawthorn", 60, "blackthorn", 15, "hazel", 25), true, srcTCV + ": 60 hawthorn and 15 blackthorn, exactly 75"},
		{grazed, mixOf("hawthorn", 60, "blackthorn", 14, "hazel", 26), false, srcTCV + ": 74"},
		{grazed, mixOf("hawthorn", 45, "blackthorn", 20, "holly", 10, "hazel", 25), true, srcTCV + "; holly is thorny (from memory)"},
		{grazed, mixOf("hazel", 60, "guelder rose", 40), false, srcTCV},
		{bare, mixOf("hazel", 60, "guelder rose", 40), true, "nothing grazes beside it"},
		{far, mixOf("hazel", 60, "guelder rose", 40), true, "the grazed ground begins 3 m off"},
	} {
		in := inputOf(t, nil, c.field, planned(60, props{"mix": c.mix}))
		found := ruleOn(t, hedgeThorns(), in)
		assert.Equal(t, c.passes, len(found) == 0, "%v: %s", c.mix, c.source)
		for _, f := range found {
			if f.Fix != nil {
				next := applied(t, in, f.Fix)
				assert.Empty(t, ruleOn(t, hedgeThorns(), next))
				assert.Empty(t, only(ruleOn(t, hedgeMix(), next), planner.Warn), "the thorns stay under the cap of 70: "+srcBN11)
			}
		}
	}
}
