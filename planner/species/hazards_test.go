package species

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

func TestToxicTo(t *testing.T) {
	const (
		lor  = "Lorgue, veterinary toxicology, provet.co.uk"
		csu  = "Colorado State University, poisonous plants"
		mas  = "Massey University, poisonous plants"
		fwi  = "Farmers Weekly vets panel"
		mem  = "veterinary lists, as recalled"
		cp   = "common practice"
		hta  = "trade list of potentially harmful plants, as recalled; the first list is silent"
		none = "neither list speaks"
	)
	for _, x := range []struct {
		name, stock string
		want        ToxicClass
		source      string
	}{
		{"yew", "cattle", ToxicExtreme, lor}, {"yew", "sheep", ToxicExtreme, lor}, {"yew", "horses", ToxicExtreme, lor}, {"yew", "pigs", ToxicExtreme, lor}, {"yew", "goats", ToxicExtreme, lor},
		{"rhododendron", "sheep", ToxicHigh, csu}, {"rhododendron", "goats", ToxicHigh, csu}, {"rhododendron", "cattle", ToxicHigh, csu},
		{"cherry laurel", "cattle", ToxicHigh, lor}, {"cherry laurel", "sheep", ToxicHigh, lor}, {"Portugal laurel", "sheep", ToxicHigh, mem},
		{"bird cherry", "cattle", ToxicHigh, mem}, {"wild cherry", "goats", ToxicHigh, mem}, {"plum", "sheep", ToxicHigh, mem}, {"damson", "cattle", ToxicHigh, mem},
		{"laburnum", "horses", ToxicHigh, lor}, {"laburnum", "cattle", ToxicHigh, lor},
		{"box", "pigs", ToxicHigh, lor}, {"box", "cattle", ToxicHigh, lor}, {"box", "horses", ToxicHigh, lor}, {"box", "poultry", UnknownToxic, lor},
		{"English oak", "cattle", ToxicMediumHigh, fwi}, {"sessile oak", "horses", ToxicMediumHigh, fwi}, {"English oak", "sheep", ToxicLowMedium, fwi},
		{"sycamore", "horses", ToxicHigh, "veterinary practice page"}, {"sycamore", "cattle", UnknownToxic, "veterinary practice page: not known"},
		{"wild privet", "horses", ToxicMedium, "donkey welfare leaflet"}, {"garden privet", "cattle", ToxicMedium, "donkey welfare leaflet"},
		{"Monterey cypress", "cattle", ToxicMedium, mas}, {"Leyland cypress", "cattle", ToxicMedium, mem}, {"Lawson cypress", "sheep", ToxicMedium, mem},
		{"spindle", "cattle", ToxicLowMedium, mem}, {"holly", "sheep", ToxicLowMedium, mem}, {"elder", "pigs", ToxicLowMedium, mem}, {"ivy", "goats", ToxicLowMedium, mem}, {"broom", "cattle", ToxicLowMedium, mem},
		{"false acacia", "horses", ToxicHigh, mem},
		{"hawthorn", "cattle", ToxicNone, cp}, {"hazel", "sheep", ToxicNone, cp}, {"goat willow", "goats", ToxicNone, cp}, {"aspen", "cattle", ToxicNone, cp}, {"downy birch", "cattle", ToxicNone, cp}, {"field maple", "horses", ToxicNone, cp}, {"rowan", "sheep", ToxicNone, cp}, {"beech", "cattle", ToxicNone, cp},
		{"horse chestnut", "cattle", ToxicLow, hta}, {"walnut", "horses", ToxicLow, mem}, {"blackthorn", "cattle", ToxicLow, mem},
		{"griselinia", "cattle", UnknownToxic, none}, {"plane", "horses", UnknownToxic, none},
	} {
		got, why := find(t, x.name).ToxicTo(x.stock)
		assert.Equal(t, x.want, got, "%s and %s: %s", x.name, x.stock, x.source)
		if got != UnknownToxic {
			require.NotEmpty(t, why)
			assert.NotEmpty(t, why[0].Source.Text)
		}
		assert.Equal(t, got == ToxicExtreme || got == ToxicHigh, got.Stops())
	}
}

// The second list calls 19 species of the flora severe; a severe counts as high only where the first list is silent.
func TestSevereCountsOnlyWhereTheFirstListIsSilent(t *testing.T) {
	severe := 0
	for _, s := range catalogue(t).All() {
		for _, x := range s.Toxic {
			if x.Class == "severe" && !strings.HasPrefix(x.Source.Code, "AS") {
				severe++
			}
		}
	}
	assert.Equal(t, 19, severe)
	class, _ := find(t, "English oak").ToxicTo("cattle")
	assert.False(t, class.Stops(), "severe in the second list, medium-high in the first: a note, not a stop")
}

func TestLaws(t *testing.T) {
	for name, countries := range map[string][]string{
		"Japanese rose": {"england", "wales"}, "Himalayan cotoneaster": {"england", "wales"}, "rhododendron": {"england", "wales", "ireland"}, "sea buckthorn": {"ireland"},
	} {
		var got []string
		for _, l := range find(t, name).Regulated {
			got = append(got, l.Countries...)
		}
		assert.Equal(t, countries, got, "%s: Wildlife and Countryside Act 1981 Schedule 9; S.I. 477/2011 Third Schedule", name)
	}
	n := 0
	for _, s := range catalogue(t).All() {
		if len(s.Regulated) > 0 {
			n++
		}
	}
	assert.Equal(t, 4, n, "species that a law names")
	assert.True(t, find(t, "false acacia").Invasive.Known, "two copies of Schedule 9 disagree: kept as a note")
}

func TestAdviceAndSuckers(t *testing.T) {
	assert.True(t, find(t, "ash").DoNotPlant(), "ash dieback")
	assert.False(t, find(t, "juniper").DoNotPlant(), "clean stock only")
	assert.True(t, find(t, "juniper").PlantingAdvice.Known)
	assert.False(t, find(t, "hawthorn").DoNotPlant())
	for _, name := range []string{"blackthorn", "white poplar", "aspen", "wild cherry", "sea buckthorn", "grey alder"} {
		assert.True(t, find(t, name).Suckers.Yes(), name)
	}
	assert.False(t, find(t, "alder").Suckers.Known, "no source says, so it is unknown")
}

func TestNativeThornyEvergreen(t *testing.T) {
	const pl = "PLANTATT 2004, native status"
	for _, x := range []struct {
		name, britain, ireland, source string
	}{
		{"hawthorn", "yes", "yes", pl}, {"field maple", "yes", "no", pl}, {"beech", "yes", "no", pl}, {"sycamore", "no", "no", pl}, {"strawberry tree", "no", "yes", pl},
		{"white willow", "no", "no", pl + ", archaeophyte"}, {"sweet chestnut", "no", "no", pl + ", archaeophyte"}, {"Scots pine", "yes", "yes", "Circular 03/2022 mixes"}, {"black poplar", "yes", "", pl + "; Ireland debated"}, {"barberry", "", "", "debated"},
	} {
		s := find(t, x.name)
		assert.Equal(t, x.britain, s.NativeBritain.V, "%s: %s", x.name, x.source)
		assert.Equal(t, x.ireland, s.NativeIreland.V, "%s: %s", x.name, x.source)
	}
	thorny := 0
	for _, s := range catalogue(t).All() {
		if s.Thorny.Yes() {
			thorny++
		}
	}
	assert.Equal(t, 20, thorny, "thorny species, as recalled from the floras")
	assert.True(t, find(t, "holly").Evergreen.Yes())
	assert.True(t, find(t, "beech").Evergreen.No())
	assert.Equal(t, planner.FromMemory, find(t, "holly").Evergreen.Source.Confidence)
}

func TestExposure(t *testing.T) {
	for _, x := range []struct{ name, want, source string }{
		{"alder", "low", "Farm Advisory Service quick guide; Site requirements of species used in British forestry"}, {"beech", "high", "Farm Advisory Service quick guide"},
		{"aspen", "moderate", "Farm Advisory Service quick guide"}, {"downy birch", "moderate", "Farm Advisory Service quick guide"}, {"European larch", "low", "quick guide to conifers"},
		{"Douglas fir", "very low", "quick guide to conifers"}, {"holm oak", "high", "Royal Horticultural Society, profile 472"}, {"hawthorn", "high", "as recalled"}, {"guelder rose", "", "no figure"},
	} {
		assert.Equal(t, x.want, find(t, x.name).Exposure.V, "%s: %s", x.name, x.source)
	}
	assert.True(t, find(t, "sea buckthorn").Coastal.Yes(), "PLANTATT 2004, S 3")
	assert.False(t, find(t, "beech").Coastal.Known)
}
