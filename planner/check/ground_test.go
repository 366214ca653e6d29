package check

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

func TestSoilReaction(t *testing.T) {
	const lean = "PLANTATT Ellenberg R (Hill, Preston and Roy 2004), read as a lean"
	for _, c := range []struct {
		name   string
		ground props
		want   string
		source string
	}{
		{"spindle", props{"ph": 4.9}, "warn", lean + ": R 8 on acid ground"},
		{"spindle", props{"ph": 5.0}, "warn", lean + ": exactly pH 5 is middling, and R 8 is over that too"},
		{"dogwood", props{"ph": 4.9}, "warn", lean + ": R 7 on acid ground"},
		{"dogwood", props{"ph": 5.0}, "", lean + ": R 7 on middling ground"},
		{"hawthorn", props{"ph": 4.5}, "", "known exception: hawthorn, R 7, grows on acid clay (common practice)"},
		{"blackthorn", props{"ph": 4.5}, "", "known exception: blackthorn"},
		{"elder", props{"ph": 4.5}, "", "known exception: elder"},
		{"rowan", props{"ph": 7.5}, "", "known exception: rowan, R 3, grows on limestone"},
		{"Sitka spruce", props{"ph": 7.5}, "warn", lean + ": R 2 on limy ground"},
		{"Sitka spruce", props{"ph": 7.0}, "", lean + ": exactly pH 7 is not limy"},
		{"Sitka spruce", props{"ph": 6.5}, "warn", lean + ": exactly pH 6.5 is middling, R 2"},
		{"Sitka spruce", props{"ph": 6.6}, "", "between middling and limy nothing speaks"},
		{"Sitka spruce", props{"soil": "chalk"}, "warn", lean + ": chalk is limy"},
		{"sessile oak", props{"soil": "chalk"}, "warn", lean + ": R 3"},
		{"sessile oak", props{"ph": 4.0}, "", lean + ": R 3 likes it"},
		{"downy birch", props{"ph": 7.5}, "", lean + ": R 4 is over 3"},
		{"highbush blueberry", props{"ph": 5.5}, "", "wants pH 4.5 to 5.5 (common practice), exactly"},
		{"highbush blueberry", props{"ph": 5.6}, "warn", "wants pH 4.5 to 5.5"},
		{"highbush blueberry", props{"ph": 4.4}, "warn", "wants pH 4.5 to 5.5"},
		{"beech", props{"soil": "clay"}, "note", "no soil reaction stated: not looked at"},
	} {
		in := inputOf(t, nil, boxOf("field", "parcel", 0, 0, 100, 100, c.ground), pointAt("p", "plant", 50, 50, props{"species": c.name}))
		found := ruleOn(t, groundSoil(), in)
		got := ""
		if len(found) > 0 {
			got = string(found[0].Severity)
		}
		assert.Equal(t, c.want, got, "%s on %v: %s %v", c.name, c.ground, c.source, found)
		assert.LessOrEqual(t, len(found), 1)
	}
}

func TestExposure(t *testing.T) {
	one := func(exposure, name string) []planner.Finding {
		return ruleOn(t, groundExposure(), inputOf(t, nil, boxOf("field", "parcel", 0, 0, 100, 100, props{"exposure": exposure}), pointAt("p", "plant", 50, 50, props{"species": name})))
	}
	for _, c := range [][4]string{
		{"exposed", "common alder", "warn", "Farm Advisory Service: low; site requirements: not tolerant of exposure"},
		{"exposed", "Douglas fir", "warn", "Farm woodlands sheet: very low"},
		{"exposed", "European larch", "warn", "Farm woodlands sheet: low"},
		{"exposed", "beech", "", "Farm Advisory Service: high"},
		{"exposed", "downy birch", "", "Farm Advisory Service: moderate, which is enough"},
		{"exposed", "aspen", "", "Farm Advisory Service: moderate"},
		{"exposed", "hawthorn", "", "high (from memory), against Teagasc 2010: avoid exposed places"},
		{"moderate", "Douglas fir", "", "not exposed"},
		{"sheltered", "common alder", "", "not exposed"},
		{"coastal", "sea buckthorn", "", "PLANTATT S 3: bears salt"},
		{"coastal", "blackthorn", "", "PLANTATT S 1; agriland.ie: exposed coast"},
	} {
		found := one(c[0], c[1])
		got := ""
		if len(found) > 0 {
			got = string(found[0].Severity)
		}
		assert.Equal(t, c[2], got, "%s, %s: %s", c[1], c[0], c[3])
	}
	// Alder on the coast: one list has it bear full exposure (RHS profile 472), another gives it low (FAS): both are told.
	found := one("coastal", "common alder")
	require.Len(t, found, 1)
	assert.Equal(t, planner.Note, found[0].Severity)
	assert.Contains(t, found[0].Message, "Sources differ")
	// Planted behind a first row that bears it, alder is not warned of; before one, or alone, it is.
	exposure := "exposed"
	belt := func(names ...string) int { // how many plants are warned, or noted, of
		n := 0
		for _, f := range ruleOn(t, groundExposure(), inputOf(t, nil, boxOf("field", "parcel", 0, 0, 200, 200, props{"exposure": exposure}), beltNorth("b", 50, 50, 60, props{"rows": rowsOf(names...)}))) {
			n += f.Count
		}
		return n
	}
	// 60 m at 1.5 m: 41 plants in the first row, 40 in the second.
	assert.Equal(t, 0, belt("hawthorn", "common alder"))
	assert.Equal(t, 41, belt("common alder", "hawthorn"))
	assert.Equal(t, 41, belt("common alder"))
	assert.Equal(t, 81, belt("common alder", "common alder"), "a first row that bears little shelters none")
	exposure = "coastal"
	assert.Equal(t, 0, belt("blackthorn", "common alder"), "blackthorn bears wind and salt")
	assert.Equal(t, 81, belt("downy birch", "Douglas fir"), "what is not known to bear salt shelters none from it")
}

func TestPlantingOnWetClay(t *testing.T) {
	const rhs = "RHS profile 152: slightly raised mound, base and sides loosened, early spring"
	for _, c := range []struct {
		ground, planting props
		want             string
		why              string
	}{
		{props{"soil": "clay", "moisture": "wet"}, nil, "warn", rhs},
		{props{"soil": "clay", "moisture": "waterlogged"}, nil, "warn", "nothing is planted while the ground is waterlogged (common practice)"},
		{props{"soil": "clay", "moisture": "wet"}, props{"raised_m": 0.2}, "note", rhs + ": raised, the month remains"},
		{props{"soil": "clay", "moisture": "wet"}, props{"raised_m": 0.05}, "warn", "5 cm are no mound"},
		{props{"soil": "clay", "moisture": "damp"}, nil, "", "damp clay is firm by April"},
		{props{"soil": "loam", "moisture": "wet"}, nil, "", "no clay"},
	} {
		p := props{"species": "grey willow"}
		for k, v := range c.planting {
			p[k] = v
		}
		in := inputOf(t, nil, boxOf("field", "parcel", 0, 0, 100, 100, c.ground), pointAt("p", "plant", 50, 50, p))
		found := ruleOn(t, groundPlanting(), in)
		got := ""
		if len(found) > 0 {
			got = string(found[0].Severity)
			assert.Contains(t, found[0].Message, "from 1 February to 31 March")
			assert.Contains(t, found[0].Message, "never in slits")
			assert.NotEmpty(t, found[0].Cautions)
		}
		assert.Equal(t, c.want, got, c.why)
		if len(found) > 0 && found[0].Fix != nil {
			after := ruleOn(t, groundPlanting(), applied(t, in, found[0].Fix))
			assert.Empty(t, only(after, planner.Warn))
		}
	}
}

// Peat by country. Published check values: 35 cm in Ireland or England: block; 35 cm in Scotland: warn; 55 cm anywhere: block.
func TestPeatByCountry(t *testing.T) {
	for _, c := range []struct {
		set    string
		depth  float64
		want   string
		source string
	}{
		{"england", 0.35, "stop", "published check value; Defra, Forestry Commission and Natural England decision framework: over 30 cm"},
		{"england", 0.30, "warn", "exactly 30 cm is not over 30"},
		{"england", 0.301, "stop", "over 30 cm"},
		{"england", 0.55, "stop", "published check value: 55 cm anywhere"},
		{"ireland", 0.35, "stop", "published check value; Irish Farmers Journal 826533: over 30 cm since autumn 2023"},
		{"ireland", 0.30, "warn", "exactly 30 cm"},
		{"ireland", 0.55, "stop", "published check value"},
		{"scotland", 0.35, "warn", "published check value; Scottish Forestry, July 2025: 50 cm or more"},
		{"scotland", 0.50, "stop", "exactly 50 cm is deep peat in Scotland"},
		{"scotland", 0.499, "warn", "less than 50 cm"},
		{"scotland", 0.55, "stop", "published check value"},
		{"wales", 0.50, "warn", "Natural Resources Wales: over 50 cm, so exactly 50 is not"},
		{"wales", 0.501, "stop", "over 50 cm"},
		{"wales", 0.55, "stop", "published check value"},
		{"northern-ireland", 0.50, "warn", "UK Forestry Standard: over 50 cm"},
		{"northern-ireland", 0.55, "stop", "published check value"},
		{"general", 0.35, "stop", "as England"},
		{"general", 0.30, "warn", "as England"},
		{"general", 0.10, "", "exactly 10 cm: no ploughing over 10 cm in Scotland"},
		{"general", 0.11, "warn", "over 10 cm"},
		{"general", 0.55, "stop", "published check value"},
	} {
		in := inputOf(t, props{"rule_set": c.set}, boxOf("field", "parcel", 0, 0, 100, 100, props{"peat_depth_m": c.depth}), pointAt("p", "plant", 50, 50, props{"species": "downy birch"}))
		found := ruleOn(t, groundPeat(), in)
		got := ""
		if len(found) > 0 {
			got = string(found[0].Severity)
			assert.InDelta(t, c.depth, *found[0].Measured, 1e-9)
			assert.Contains(t, strings.Join(found[0].Cautions, " "), "Not legal advice")
		}
		assert.Equal(t, c.want, got, "%s, %v m: %s", c.set, c.depth, c.source)
	}
	// Peat whose depth nobody probed is said not to have been looked at; what stands there already is left alone.
	peat := boxOf("field", "parcel", 0, 0, 100, 100, props{"soil": "peat"})
	found := ruleOn(t, groundPeat(), inputOf(t, nil, peat, pointAt("p", "plant", 50, 50, props{"species": "downy birch"})))
	require.Len(t, found, 1)
	assert.Equal(t, planner.Note, found[0].Severity)
	assert.Contains(t, found[0].Message, "Probe it")
	assert.Empty(t, ruleOn(t, groundPeat(), inputOf(t, nil, peat, pointAt("p", "plant", 50, 50, props{"species": "downy birch", "status": "existing"}))))
}

// Sizes from which a new wood needs consent, by rule set, each on both sides and exactly on it.
func TestConsentByCountry(t *testing.T) {
	for _, c := range []struct {
		set    string
		ha     float64
		want   string
		phrase string
		source string
	}{
		{"england", 1.99, "", "", "gov.uk table (older edition): under 2 ha no screening"},
		{"england", 2.0, "warn", "Notify", "2 to 5 ha: notify; exactly 2 is not under 2"},
		{"england", 5.0, "warn", "Notify", "exactly 5 ha"},
		{"england", 5.01, "warn", "full procedure is needed", "over 5 ha: full"},
		{"general", 2.0, "warn", "Notify", "as England"},
		{"scotland", 2.0, "", "", "forestry.gov.scot: 20 ha"},
		{"scotland", 19.9, "", "", "under 20 ha"},
		{"scotland", 20, "warn", "screening", "exactly 20 ha"},
		{"ireland", 0.09, "", "", "S.I. 191/2017 (from memory): 0.1 ha"},
		{"ireland", 0.1, "warn", "licence", "exactly 0.1 ha; Teagasc: a forest is at least 0.1 ha"},
		{"ireland", 0.5, "warn", "licence", "over 0.1 ha"},
		{"wales", 3, "note", "Natural Resources Wales", "no size was read for Wales"},
		{"northern-ireland", 3, "note", "Forest Service", "no size was read for Northern Ireland"},
	} {
		// Two groves that make up the area together; spacing wide so that few trees are set out.
		grove := func(id string, x, ha float64) drawn {
			return boxOf(id, "grove", x, 0, x+ha*100, 100, props{"mix": []any{props{"species": "downy birch", "share_percent": 100}}, "spacing_m": 25, "pattern": "square", "bearing_deg": 0})
		}
		in := inputOf(t, props{"rule_set": c.set}, grove("a", 0, c.ha/4), grove("b", 3000, c.ha*3/4))
		found := ruleOn(t, groundConsent(), in)
		got, message := "", ""
		if len(found) > 0 {
			got, message = string(found[0].Severity), found[0].Message+strings.Join(found[0].Cautions, " ")
			assert.InDelta(t, c.ha, *found[0].Measured, 1e-5)
			assert.Equal(t, []string{"a", "b"}, found[0].Features)
			assert.Contains(t, message, "Not legal advice")
		}
		assert.Equal(t, c.want, got, "%s, %v ha: %s", c.set, c.ha, c.source)
		assert.Contains(t, message, c.phrase, "%s, %v ha: %s", c.set, c.ha, c.source)
	}
	stands := boxOf("g", "grove", 0, 0, 300, 100, props{"status": "existing", "mix": []any{props{"species": "oak", "share_percent": 100}}, "spacing_m": 25})
	stands.props["mix"] = []any{props{"species": "pedunculate oak", "share_percent": 100}}
	assert.Empty(t, ruleOn(t, groundConsent(), inputOf(t, nil, stands)), "a wood that stands needs no consent")
	// In a designated place a smaller wood needs it too: Scotland 2 ha in a National Scenic Area, none in others; England none.
	for _, set := range []string{"england", "scotland"} {
		in := inputOf(t, props{"rule_set": set}, boxOf("g", "grove", 0, 0, 50, 50, props{"mix": []any{props{"species": "downy birch", "share_percent": 100}}, "spacing_m": 10}),
			boxOf("d", "protected", 40, 40, 90, 90, props{"because": "designated"}))
		found := ruleOn(t, groundConsent(), in)
		require.Len(t, found, 1, set)
		assert.Equal(t, planner.Warn, found[0].Severity)
		assert.Contains(t, found[0].Message, "designated")
	}
}

func TestProtected(t *testing.T) {
	plant := func(x, y float64) drawn { return pointAt("p", "plant", x, y, props{"species": "beech"}) }
	monument := boxOf("m", "protected", 0, 0, 30, 30, props{"because": "monument"})
	const buffer = "20 m round monuments (practice under the UK Forestry Standard and the Irish rule, from memory)"
	for _, c := range []struct {
		list []drawn
		want string
		why  string
	}{
		{[]drawn{monument, plant(15, 15)}, "stop", "on it"},
		{[]drawn{monument, plant(30, 15)}, "stop", "on its edge"},
		{[]drawn{monument, plant(50, 15)}, "", buffer + ", exactly"},
		{[]drawn{monument, plant(49.9, 15)}, "warn", buffer + ": a figure from memory never stops"},
		{[]drawn{monument, plant(30.5, 15)}, "warn", buffer},
		{[]drawn{boxOf("m", "protected", 0, 0, 30, 30, props{"because": "species-rich"}), plant(31, 15)}, "", "the buffer is for monuments"},
		{[]drawn{boxOf("m", "protected", 0, 0, 30, 30, props{"because": "species-rich"}), plant(29, 15)}, "stop", "on it"},
		{[]drawn{pointAt("m", "protected", 60, 15, props{"because": "monument"}), plant(45, 15)}, "warn", buffer + ", a monument drawn as a point"},
		{[]drawn{monument, pointAt("p", "plant", 15, 15, props{"species": "beech", "status": "existing"})}, "", "it stands there already"},
		{[]drawn{lineOf("m", "protected", props{"because": "other"}, [2]float64{0, 10}, [2]float64{100, 10}),
			lineOf("h", "hedge", props{"status": "planned", "species": "hawthorn", "per_metre": 1, "rows": 1}, [2]float64{50.5, 0.2}, [2]float64{50.5, 20.2})}, "stop", "a hedge drawn across a protected line"},
		{[]drawn{pointAt("m", "protected", 52, 51, props{"because": "other"}),
			boxOf("g", "grove", 0, 0, 100, 100, props{"mix": []any{props{"species": "beech", "share_percent": 100}}, "spacing_m": 20})}, "stop", "a grove drawn over a protected point"},
	} {
		found := ruleOn(t, groundProtected(), inputOf(t, nil, c.list...))
		got := ""
		if len(found) > 0 {
			got = string(found[0].Severity)
			assert.Contains(t, strings.Join(found[0].Cautions, " "), "Not legal advice")
		}
		assert.Equal(t, c.want, got, c.why)
		assert.LessOrEqual(t, len(found), 1, c.why)
	}
	// Many plants of one feature are one finding, with its count and at most 20 places.
	in := inputOf(t, nil, boxOf("m", "protected", 0, 0, 100, 100, nil), lineOf("h", "hedge", props{"status": "planned", "species": "hawthorn", "per_metre": 5}, [2]float64{10, 50}, [2]float64{60, 50}))
	found := ruleOn(t, groundProtected(), in)
	require.Len(t, found, 1)
	assert.Equal(t, 250, found[0].Count)
	assert.Len(t, found[0].Places, MostPlaces)
}

// 100,000 plants on ground that none of them bears, in 1,000 features: no rule of the family may take long or report without end.
func TestGroundRulesOnManyPlants(t *testing.T) {
	list := []drawn{boxOf("field", "parcel", 0, 0, 2100, 2100, props{"moisture": "wet", "soil": "clay", "peat_depth_m": 0.4, "ph": 4.2, "exposure": "exposed"})}
	for i := range 1000 {
		list = append(list, lineOf(fmt.Sprintf("h%04d", i), "hedge", props{"status": "planned", "per_metre": 5, "mix": []any{
			props{"species": "holly", "share_percent": 50}, props{"species": "common alder", "share_percent": 50}}}, [2]float64{10, float64(i)*2 + 10}, [2]float64{30, float64(i)*2 + 10}))
	}
	in := inputOf(t, nil, list...)
	require.Equal(t, 100000, in.Out.Listed())
	for _, r := range []*Rule{groundMoisture(), groundSoil(), groundExposure(), groundPlanting(), groundPeat(), groundProtected(), groundConsent()} {
		found := ruleOn(t, r, in)
		assert.LessOrEqual(t, len(found), MostPerRule+1, r.ID)
	}
}

func BenchmarkGroundRules(b *testing.B) {
	list := []drawn{boxOf("field", "parcel", 0, 0, 2100, 2100, props{"moisture": "wet", "soil": "clay", "peat_depth_m": 0.4, "ph": 4.2, "exposure": "exposed"})}
	for i := range 1000 {
		list = append(list, lineOf(fmt.Sprintf("h%04d", i), "hedge", props{"status": "planned", "per_metre": 5, "mix": []any{
			props{"species": "holly", "share_percent": 50}, props{"species": "common alder", "share_percent": 50}}}, [2]float64{10, float64(i)*2 + 10}, [2]float64{30, float64(i)*2 + 10}))
	}
	in := inputOf(b, nil, list...)
	shared := newShared(in)
	for _, r := range []*Rule{groundMoisture(), groundSoil(), groundExposure(), groundPlanting(), groundPeat(), groundProtected(), groundConsent()} {
		b.Run(r.ID, func(b *testing.B) {
			for b.Loop() {
				runOne(b.Context(), in, shared, r)
			}
		})
	}
}
