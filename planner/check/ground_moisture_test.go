package check

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
	"quickthorn/planner/species"
)

// verdictsOf plants one of a species on each of the five classes of ground and reads the verdicts off the rule: S suitable (silent), M
// marginal, U unsuitable, - no verdict.
func verdictsOf(t *testing.T, name string) string {
	t.Helper()
	var list []drawn
	for i, m := range planner.Moistures {
		x := float64(i) * 100
		list = append(list, boxOf(string(m), "parcel", x, 0, x+90, 90, props{"moisture": string(m), "ph": 6.7}), pointAt("in-"+string(m), "plant", x+40, 40, props{"species": name}))
	}
	got := map[string]string{}
	for _, f := range ruleOn(t, groundMoisture(), inputOf(t, nil, list...)) {
		require.Len(t, f.Features, 1)
		switch {
		case strings.HasSuffix(f.Place, "/unsuitable"):
			got[f.Features[0]] = "U"
			assert.Equal(t, planner.Warn, f.Severity)
		case strings.HasSuffix(f.Place, "/marginal"):
			got[f.Features[0]] = "M"
			assert.Equal(t, planner.Note, f.Severity)
		case strings.HasSuffix(f.Place, "/unknown"):
			got[f.Features[0]] = "-"
			assert.Equal(t, planner.Note, f.Severity)
			assert.Contains(t, f.Message, "not known")
		}
	}
	var out []string
	for _, m := range planner.Moistures {
		v := got["in-"+string(m)]
		if v == "" {
			v = "S"
		}
		out = append(out, v)
	}
	return strings.Join(out, " ")
}

// Verdicts dry, moist, damp, wet, standing water: the published check values, from PLANTATT (Hill, Preston and Roy 2004) and Niinemets and
// Valladares 2006 by the verdict rule, with the overrides and verdicts set by hand.
func TestMoistureVerdicts(t *testing.T) {
	const rule = "PLANTATT Ellenberg F and Niinemets and Valladares 2006, appendix A, by the verdict rule"
	for _, c := range [][3]string{
		{"Alnus glutinosa", "U S S S M", rule + "; high, though not stagnant, water table (site requirements of species used in British forestry)"},
		{"Betula pubescens", "U S S S U", rule},
		{"Betula pendula", "M S S M U", rule + "; below its name as a dry-ground tree"},
		{"Salix cinerea", "U S S S S", rule},
		{"Salix viminalis", "U S S S M", rule},
		{"Salix alba", "U S S S M", rule},
		{"Salix caprea", "M S S S U", rule + "; 1.995 rounds to 2.00 on dry"},
		{"Crataegus monogyna", "S S S M U", rule + "; does not stand very wet soil (agriland.ie, scheme notes)"},
		{"Prunus spinosa", "S S S M U", rule + "; Irish guidance prefers it to hawthorn on wet ground, the rule does not"},
		{"Corylus avellana", "S S S M U", rule},
		{"Ilex aquifolium", "S S M U U", rule + "; not on heavy wet clay (Teagasc 2010)"},
		{"Viburnum opulus", "U S S S U", rule},
		{"Frangula alnus", "U S S S M", rule},
		{"Prunus padus", "M S S S U", rule},
		{"Prunus avium", "S S M U U", rule},
		{"Quercus robur", "S S S M U", rule},
		{"Quercus petraea", "M S S U U", "override: its F 6 comes from wet climate more than wet soil"},
		{"Fraxinus excelsior", "M S S M U", rule + "; the disease flag decides anyway"},
		{"Fagus sylvatica", "M S M U U", rule},
		{"Acer pseudoplatanus", "S S M U U", rule},
		{"Castanea sativa", "S S M U U", rule},
		{"Taxus baccata", "S S M U U", rule},
		{"Picea sitchensis", "U S S M U", rule + "; marginal on wet without mounds"},
		{"Pinus contorta", "S S S M U", rule},
		{"Malus domestica", "S S M U U", rule},
		{"Prunus cerasifera", "S S S M U", rule},
		{"Ribes nigrum", "M S S M U", "crops never better than marginal on wet, unsuitable in standing water"},
		{"Rubus fruticosus agg.", "M S S M U", rule + ", F alone"},
		{"Vaccinium corymbosum", "M S S M U", rule + ", score alone; crop"},
		{"Prunus laurocerasus", "M S S U U", "override: dies in wet ground (garden.ie), yellows in saturated clay (edp24.co.uk)"},
		{"Alnus cordata", "M S S M U", "by hand: Agroforestry Database 4.0 (Orwa and others 2009)"},
		{"Griselinia littoralis", "- S M U U", "by hand: Irish Examiner, root rot after a wet winter"},
		{"Eucalyptus gunnii", "- - - - -", "no wetness text found: no verdict"},
	} {
		assert.Equal(t, c[1], verdictsOf(t, c[0]), "%s: %s", c[0], c[2])
	}
}

// Every canopy willow, alder and downy birch of the wet woods W1 to W6 (Rodwell 1991; Forestry Commission guide 8) is suitable on wet ground,
// and none of W1 to W7 but holly is unsuitable there.
func TestWetWoodlandSpecies(t *testing.T) {
	suitable := []string{"Salix cinerea", "Salix pentandra", "Salix aurita", "Salix fragilis", "Salix alba", "Salix viminalis", "Salix triandra", "Salix purpurea",
		"Alnus glutinosa", "Betula pubescens"}
	inputOf(t, nil)
	cat := inputOf(t, nil).Catalogue
	for _, n := range suitable {
		s := cat.Find(n).Species
		require.NotNil(t, s, n)
		assert.Equal(t, species.Suitable, s.Suits(planner.Wet).Verdict, n)
	}
	for _, n := range []string{"Frangula alnus", "Viburnum opulus", "Rhamnus cathartica", "Salix myrsinifolia", "Salix phylicifolia", "Sambucus nigra", "Fraxinus excelsior", "Corylus avellana",
		"Crataegus monogyna", "Sorbus aucuparia", "Prunus padus", "Ribes nigrum"} {
		s := cat.Find(n).Species
		require.NotNil(t, s, n)
		assert.NotEqual(t, species.Unsuitable, s.Suits(planner.Wet).Verdict, n)
	}
	assert.Equal(t, species.Unsuitable, cat.Find("holly").Species.Suits(planner.Wet).Verdict)
	// For every species that suits somewhere the verdict never improves from damp to wet to standing water.
	for _, s := range cat.All() {
		damp, wet, standing := s.Suits(planner.Damp).Verdict, s.Suits(planner.Wet).Verdict, s.Suits(planner.Waterlogged).Verdict
		if damp != species.NoVerdict && wet != species.NoVerdict && standing != species.NoVerdict {
			assert.LessOrEqual(t, gravity(wet), gravity(damp), s.Botanical)
			assert.LessOrEqual(t, gravity(standing), gravity(wet), s.Botanical)
		}
		if s.Crop && standing != species.NoVerdict {
			assert.Equal(t, species.Unsuitable, standing, "%s: a crop in standing water", s.Botanical)
		}
	}
}

// Published check value: a parcel tagged wet, hawthorn 60, blackthorn 20, holly 10, guelder rose 10: M, M, U, S and one warning naming holly.
func TestMoistureOfAMixedHedge(t *testing.T) {
	in := inputOf(t, nil, boxOf("field", "parcel", 0, 0, 100, 100, props{"moisture": "wet"}),
		lineOf("h", "hedge", props{"status": "planned", "per_metre": 5, "mix": []any{
			props{"species": "hawthorn", "share_percent": 60}, props{"species": "blackthorn", "share_percent": 20},
			props{"species": "holly", "share_percent": 10}, props{"species": "guelder rose", "share_percent": 10}}}, [2]float64{10, 50}, [2]float64{30, 50}))
	found := ruleOn(t, groundMoisture(), in)
	warns, notes := only(found, planner.Warn), only(found, planner.Note)
	require.Len(t, warns, 1)
	require.Len(t, notes, 2)
	assert.Contains(t, warns[0].Message, "10 holly plants of 'hedge h'")
	assert.Equal(t, 10, warns[0].Count)
	assert.Len(t, warns[0].Places, 10)
	assert.Equal(t, 10.0, *warns[0].Measured)
	assert.Contains(t, notes[0].Message, "60 hawthorn")
	assert.Len(t, notes[0].Places, MostPlaces)
	assert.Contains(t, notes[1].Message, "20 blackthorn")
	// A mound of 0.2 m makes the holly marginal at worst, and hawthorn and blackthorn suitable; the edit does it.
	require.NotNil(t, warns[0].Fix)
	after := ruleOn(t, groundMoisture(), applied(t, in, warns[0].Fix))
	assert.Empty(t, only(after, planner.Warn))
	require.Len(t, after, 1)
	assert.Contains(t, after[0].Message, "its mound counted")
}

// A plant that is only half on wet ground is counted where it stands; raised_m counts from 0.1 m, not on peat, not in standing water.
func TestMoistureUnderEachPlant(t *testing.T) {
	field := func(p props) drawn { return boxOf("field", "parcel", 0, 0, 100, 100, p) }
	row := func(p props) drawn {
		base := props{"status": "planned", "species": "holly", "per_metre": 1, "rows": 1}
		for k, v := range p {
			base[k] = v
		}
		return lineOf("h", "hedge", base, [2]float64{10, 50}, [2]float64{30, 50})
	}
	in := inputOf(t, nil, field(props{"moisture": "moist"}), boxOf("bottom", "ground", 0, 0, 20, 100, props{"moisture": "wet"}), row(nil))
	found := ruleOn(t, groundMoisture(), in)
	require.Len(t, found, 1)
	assert.Equal(t, 10, found[0].Count, "half of 20")
	assert.Contains(t, found[0].Message, "10 of 20 holly plants")
	assert.Contains(t, found[0].Message, "in 'ground bottom'")
	for _, c := range []struct {
		ground, planting props
		severity         string
		why              string
	}{
		{props{"moisture": "wet"}, nil, "warn", "holly on wet: unsuitable"},
		{props{"moisture": "wet"}, props{"raised_m": 0.1}, "note", "exactly 0.1 m counts as damp: marginal (common practice)"},
		{props{"moisture": "wet"}, props{"raised_m": 0.09}, "warn", "less than 0.1 m counts for nothing"},
		{props{"moisture": "damp"}, props{"raised_m": 0.3}, "", "damp and raised is moist: suitable"},
		{props{"moisture": "wet", "soil": "peat"}, props{"raised_m": 0.3}, "warn", "not on peat"},
		{props{"moisture": "waterlogged"}, props{"raised_m": 0.3}, "warn", "not where water stands"},
		{props{"moisture": "wet"}, props{"status": "existing"}, "", "what stands there has shown what it bears"},
		{props{"sward": []any{"soft rush", "creeping buttercup"}}, nil, "warn", "mean F 7: wet"},
	} {
		found := ruleOn(t, groundMoisture(), inputOf(t, nil, field(c.ground), row(c.planting)))
		got := ""
		if len(found) > 0 {
			got = string(found[0].Severity)
		}
		assert.Equal(t, c.severity, got, c.why)
		if c.ground["soil"] == "peat" {
			assert.Contains(t, found[0].Message, "No mound helps on peat", c.why)
		}
		if c.ground["moisture"] == "waterlogged" {
			assert.Contains(t, found[0].Message, "No mound helps where water stands", c.why)
		}
	}
}

// Published check values on a sward: soft rush 40, creeping buttercup 30, Yorkshire fog 30 percent: mean F 6.70, wet; ryegrass 70, white clover
// 30: 5.00, moist (F from PLANTATT 2004; steps ours).
func TestMoistureFromSward(t *testing.T) {
	share := func(list ...any) []any {
		var out []any
		for i := 0; i < len(list); i += 2 {
			out = append(out, props{"species": list[i], "percent": list[i+1]})
		}
		return out
	}
	for _, c := range []struct {
		sward []any
		want  planner.Moisture
	}{
		{share("soft rush", 40, "creeping buttercup", 30, "Yorkshire fog", 30), planner.Wet},
		{share("perennial ryegrass", 70, "white clover", 30), planner.Moist},
	} {
		in := inputOf(t, nil, boxOf("field", "parcel", 0, 0, 100, 100, props{"sward": c.sward}), pointAt("p", "plant", 50, 50, props{"species": "beech"}))
		found := ruleOn(t, groundMoisture(), in)
		if c.want == planner.Moist {
			assert.Empty(t, found)
			continue
		}
		require.Len(t, found, 1)
		assert.Contains(t, found[0].Message, "wet ground")
		assert.Contains(t, found[0].Message, "judged by the plants that grow there")
	}
}

// The worked example: beech on wet ground, with a mound first among the fixes and species that suit named.
func TestMoistureFixes(t *testing.T) {
	field := func(p props) drawn { return boxOf("field", "parcel", 0, 0, 100, 100, p) }
	in := inputOf(t, nil, field(props{"moisture": "wet", "soil": "clay", "ph": 6}), pointAt("corner-beech", "plant", 50, 50, props{"species": "beech"}))
	found := ruleOn(t, groundMoisture(), in)
	require.Len(t, found, 1)
	f := found[0]
	assert.Equal(t, "ground.moisture:corner-beech@fagus-sylvatica/unsuitable", f.Key)
	mound, others := strings.Index(f.Message, "mound"), strings.Index(f.Message, "common alder")
	assert.True(t, mound > 0 && others > mound, f.Message)
	assert.Contains(t, f.Message, "downy birch")
	require.NotNil(t, f.Fix)
	assert.Contains(t, f.Fix.Say, "Raise")
	after := ruleOn(t, groundMoisture(), applied(t, in, f.Fix))
	require.Len(t, after, 1, "damp ground is marginal for beech")
	assert.Equal(t, planner.Note, after[0].Severity)
	assert.NotEqual(t, f.Key, after[0].Key)

	// Where water stands, and on peat, no mound helps: another species is planted instead, and then there is nothing to say.
	for _, ground := range []props{{"moisture": "waterlogged"}, {"moisture": "wet", "soil": "peat"}} {
		for _, d := range []drawn{
			pointAt("p", "plant", 50, 50, props{"species": "beech"}),
			lineOf("h", "hedge", props{"status": "planned", "species": "holly", "per_metre": 5}, [2]float64{10, 50}, [2]float64{20, 50}),
			lineOf("h", "hedge", props{"status": "planned", "per_metre": 5, "mix": []any{props{"species": "holly", "share_percent": 40}, props{"species": "grey willow", "share_percent": 60}}}, [2]float64{10, 50}, [2]float64{20, 50}),
			boxOf("g", "grove", 10, 10, 60, 60, props{"mix": []any{props{"species": "beech", "share_percent": 100}}, "spacing_m": 5}),
			beltNorth("b", 20, 20, 50, props{"rows": rowsOf("beech", "grey willow")}),
		} {
			in := inputOf(t, nil, field(ground), d)
			warns := only(ruleOn(t, groundMoisture(), in), planner.Warn)
			require.Len(t, warns, 1, "%s on %v", d.kind, ground)
			if warns[0].Fix == nil {
				assert.Contains(t, warns[0].Message, "nothing in the catalogue", "%s on %v", d.kind, ground)
				continue
			}
			assert.NotContains(t, warns[0].Fix.Say, "Raise")
			next := applied(t, in, warns[0].Fix)
			assert.Empty(t, only(ruleOn(t, groundMoisture(), next), planner.Warn), "%s on %v: %s", d.kind, ground, warns[0].Fix.Say)
			assert.Empty(t, next.Plan.Faults)
			assert.Equal(t, in.Out.Listed(), next.Out.Listed(), "no plant is lost")
		}
	}

	// What is poisonous to the stock that grazes there is not suggested: box and yew, high and extreme for cattle and horses (Massey
	// University, Purdue 1997), suit dry ground, and are named only where nothing grazes.
	for kind, poison := range map[string]string{"hedge": "box", "grove": "yew"} {
		for _, stock := range [][]string{nil, {"cattle", "horses"}} {
			land := boxOf("field", "parcel", 0, 0, 100, 100, props{"moisture": "dry", "grazed_by": stock})
			if stock == nil {
				delete(land.props, "grazed_by")
			}
			d := lineOf("p", "hedge", props{"status": "planned", "species": "common alder"}, [2]float64{10, 50}, [2]float64{20, 50})
			if kind == "grove" {
				d = boxOf("p", "grove", 10, 10, 40, 40, props{"species": "common alder", "spacing_m": 5})
			}
			found := ruleOn(t, groundMoisture(), inputOf(t, nil, land, d))
			require.Len(t, found, 1)
			_, named, _ := strings.Cut(found[0].Message, "plant one of: ")
			assert.Equal(t, stock == nil, slices.Contains(strings.Split(strings.TrimSuffix(named, "."), ", "), poison), "%s, grazed by %v: %s", poison, stock, named)
		}
	}
	// A mound is not offered where it harms another plant of the same feature: grey willow is unsuitable on dry ground.
	in = inputOf(t, nil, field(props{"moisture": "wet"}), boxOf("rise", "ground", 0, 0, 15, 100, props{"moisture": "moist"}),
		lineOf("h", "hedge", props{"status": "planned", "per_metre": 5, "mix": []any{props{"species": "holly", "share_percent": 50}, props{"species": "grey willow", "share_percent": 50}}}, [2]float64{10, 50}, [2]float64{20, 50}))
	warns := only(ruleOn(t, groundMoisture(), in), planner.Warn)
	require.Len(t, warns, 1)
	if warns[0].Fix != nil {
		assert.NotContains(t, warns[0].Fix.Say, "Raise")
	}
}

// Fruit is held against fruit: nobody is told to plant crack willow for apples, and no cultivar is swapped behind the grower's back.
func TestMoistureOfFruit(t *testing.T) {
	run := func(moisture, name string) planner.Finding {
		found := ruleOn(t, groundMoisture(), inputOf(t, nil, boxOf("field", "parcel", 0, 0, 100, 100, props{"moisture": moisture}), pointAt("p", "plant", 50, 50, props{"species": name})))
		require.Len(t, found, 1, "%s on %s", name, moisture)
		return found[0]
	}
	wet := run("wet", "apple")
	assert.Equal(t, planner.Warn, wet.Severity)
	assert.NotContains(t, wet.Message, "willow")
	assert.Contains(t, wet.Message, "nothing in the catalogue for this purpose suits here")
	damp := run("damp", "apple")
	assert.Contains(t, damp.Message, "quince")
	require.NotNil(t, damp.Fix)
	assert.Contains(t, damp.Fix.Say, "Raise")
	assert.Nil(t, run("waterlogged", "blackcurrant").Fix)
	assert.Contains(t, run("wet", "wild cherry").Message, "downy birch", "a cherry is planted as a tree too")
}

func TestMoistureOutsideEveryField(t *testing.T) {
	in := inputOf(t, nil, boxOf("field", "parcel", 0, 0, 100, 100, props{"moisture": "moist"}), pointAt("in", "plant", 50, 50, props{"species": "beech"}), pointAt("out", "plant", 150, 50, props{"species": "beech"}),
		pointAt("edge", "plant", 100.4, 50, props{"species": "beech"}))
	found := ruleOn(t, groundMoisture(), in)
	require.Len(t, found, 1)
	assert.Equal(t, planner.Note, found[0].Severity)
	assert.Equal(t, []string{"out"}, found[0].Features, "0.4 m beyond the edge still counts as the field")
}

// Where the other species is in the mix already the two shares are put together, so that the mix still adds up to 100.
func TestSwapInAMix(t *testing.T) {
	in := inputOf(t, nil)
	p := &Pass{Input: in}
	holly, willow, alder := in.Catalogue.Find("holly").Species, in.Catalogue.Find("grey willow").Species, in.Catalogue.Find("common alder").Species
	mix := []planner.Share{{Species: "holly", SharePercent: 40}, {Species: "grey willow", SharePercent: 60}}
	got, ok := p.swapShares(mix, holly, willow)
	require.True(t, ok)
	assert.Equal(t, []planner.Share{{Species: "grey willow", SharePercent: 100}}, got)
	got, ok = p.swapShares(mix, holly, alder)
	require.True(t, ok)
	assert.Equal(t, []planner.Share{{Species: "Alnus glutinosa", SharePercent: 40}, {Species: "grey willow", SharePercent: 60}}, got)
	assert.Equal(t, "holly", mix[0].Species, "the plan's own mix is not altered")
	_, ok = p.swapShares(append(mix, planner.Share{Species: "Ilex aquifolium", SharePercent: 10}), holly, alder)
	assert.False(t, ok, "named in two places: not one place to change")
	_, ok = p.swapShares(mix, alder, holly)
	assert.False(t, ok, "not named at all")
}
