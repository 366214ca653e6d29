package check

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

const (
	srcRHS  = "Royal Horticultural Society, Fruit pollination"
	srcGrp  = "Royal Horticultural Society lists: groups not more than one apart; BBC Gardeners' World Magazine, Know your apples, 2021"
	srcPlum = "D. Marks, plum pollination table, gardenfocused.co.uk"
	srcNFC  = "National Fruit Collection, Kent, flowering dates (L. Jewsbury), fruitforum"
	srcSch  = "Schuster, S genotypes of sweet cherry, update 2020; British cherry chart"
	srcHaz  = "Mehlenbacher 1997 and 2014; growers' lists consistent with Oregon State allele lists"
)

// grown is a tree of a cultivar, told apart by its place in the list.
func grown(i int, x, y float64, kind, cultivar string) drawn {
	p := props{"species": kind, "status": "planned"}
	if cultivar != "" {
		p["cultivar"] = cultivar
	}
	return pointAt(fmt.Sprintf("t%02d", i), "plant", x, y, p)
}

// The published cases: trees 5 m apart in a row; which of them are warned of, which only noted.
func TestPollinationCases(t *testing.T) {
	for _, c := range []struct {
		kind   string
		trees  []string
		warn   []string // cultivars without what they need
		note   []string // cultivars of which nothing is known
		source string
	}{
		{"apple", []string{"Egremont Russet", "Newton Wonder"}, []string{"Egremont Russet", "Newton Wonder"}, nil, srcGrp + ": groups 2 and 5 do not overlap"},
		{"apple", []string{"Blenheim Orange", "Gala", "Lord Lambourne"}, []string{"Gala", "Lord Lambourne"}, nil, srcRHS + ": the triploid is served, groups 4 and 2 do not serve each other"},
		{"apple", []string{"Blenheim Orange", "Gala", "Lord Lambourne", "Discovery"}, nil, nil, srcRHS + ": Discovery (3) serves both"},
		{"apple", []string{"Bramley", "James Grieve"}, []string{"James Grieve"}, nil, srcRHS + ": Bramley is served; James Grieve crops lightly (common practice)"},
		{"apple", []string{"Bramley", "Blenheim Orange"}, []string{"Bramley's Seedling", "Blenheim Orange"}, nil, srcRHS + ": two triploids"},
		{"apple", []string{"Ashmead's Kernel", "Bramley", "Spartan"}, []string{"Spartan"}, nil, "ploidy study of the national collection, 2007-2010, second-hand: both triploid; Spartan has no donor left"},
		{"apple", []string{"Ashmead's Kernel", "Bramley", "Spartan", "Charles Ross"}, nil, nil, "the same, with Charles Ross (3)"},
		{"apple", []string{"Annie Elizabeth", "Discovery"}, []string{"Annie Elizabeth", "Discovery"}, nil, "Lancashire project list 2010: group 5, against 3 (with the old 4 it passed)"},
		{"apple", []string{"Discovery", "Discovery"}, []string{"Discovery"}, nil, srcRHS + ": one cultivar is one plant (a magazine page says otherwise)"},
		{"plum", []string{"Coe's Golden Drop", "Jefferson"}, []string{"Coe's Golden Drop", "Jefferson"}, nil, srcPlum + ": closed to each other though both group 2"},
		{"plum", []string{"Victoria"}, nil, nil, srcPlum + ": self-fertile, one tree is enough"},
		{"plum", []string{"Marjorie's Seedling", "Denniston's Superb"}, nil, nil, srcNFC + " 2023: in flower together 3 days"},
		{"plum", []string{"Czar", "Cambridge Gage"}, nil, nil, srcNFC + " 2023: together 15 days"},
		{"pear", []string{"Doyenne du Comice", "Onward"}, []string{"Doyenne du Comice", "Onward"}, nil, "not with each other (common practice)"},
		{"pear", []string{"Conference", "Williams"}, nil, nil, "pear groups 3 and 3 (common practice)"},
		{"sweet cherry", []string{"Early Rivers", "Summit"}, []string{"Early Rivers", "Summit"}, nil, srcSch + ": both S1S2"},
		{"sweet cherry", []string{"Van", "Napoleon"}, nil, nil, srcSch + ": S1S3 on S3S4 is half compatible, and back (S4)"},
		{"sweet cherry", []string{"Stella", "Napoleon"}, nil, nil, srcSch + ": S4' works on S3S4"},
		{"sweet cherry", []string{"Kordia", "Van"}, nil, nil, srcSch + ": S3S6 and S1S3, half"},
		{"sweet cherry", []string{"Kordia", "Early Rivers"}, []string{"Kordia", "Early Rivers"}, nil, srcSch + ": alleles agree, flowering groups 4 and 1 do not"},
		{"sweet cherry", []string{"Merchant", "Summer Sun"}, []string{"Merchant", "Summer Sun"}, nil, srcSch + ": both S4S9 (old charts call Merchant a universal donor)"},
		{"sweet cherry", []string{"Hertford", "Merla"}, []string{"Hertford", "Merla"}, nil, srcSch + ": both S1S6"},
		{"sweet cherry", []string{"Regina", "Kordia"}, nil, nil, srcSch + ": S1S3 and S3S6, half both ways, group 4"},
		{"sweet cherry", []string{"Lapins", "Early Rivers"}, nil, nil, srcSch + ": S4' works, groups 2-3 and 1 meet"},
		{"hazel", []string{"Barcelona", "Jefferson"}, []string{"Barcelona", "Jefferson"}, nil, srcHaz + ": S1 on S1S3 fails"},
		{"hazel", []string{"Gamma", "Tonda di Giffoni"}, []string{"Gamma", "Tonda di Giffoni"}, nil, srcHaz + ": S2 in both"},
		{"hazel", []string{"Casina", "Du Chilly"}, []string{"Casina", "Du Chilly"}, nil, srcHaz + ": S10 in both, taken as expressed, the safe side"},
		{"hazel", []string{"Barcelona", "Barcelona"}, []string{"Barcelona"}, nil, srcHaz + ": a hazel never sets itself"},
		{"hazel", []string{"Barcelona", "Yamhill"}, nil, nil, srcHaz + ": S1 on S8S26 works, and S8 on S1S2"},
		{"hazel", []string{"Yamhill", "Lewis"}, []string{"Lewis", "Yamhill"}, nil, srcHaz + ": S8 on S3S8 fails; of Lewis S8 may be expressed too, the safe side"},
		{"hazel", []string{"Yamhill", "Jefferson"}, nil, nil, srcHaz + ": S8 on S1S3 works, and S1S3 on S8S26"},
		{"apple", []string{"Hen Bren Coch"}, nil, []string{"Hen Bren Coch"}, "not in the catalogue"},
		{"apple", []string{"", ""}, nil, []string{"apple"}, "no cultivar named"},
		{"apple", []string{"Appletown Wonder", "Discovery"}, nil, []string{"Appletown Wonder", "Discovery"}, "no flowering group is known of the first, so nothing certain of either"},
		{"wild cherry", []string{""}, nil, nil, "a native tree that is no cultivar: nobody counts on its fruit"},
		{"quince", []string{""}, nil, nil, "Royal Horticultural Society, How to grow quince: self-fertile"},
		{"raspberry", []string{"", ""}, nil, nil, srcRHS + ": soft fruit is self-fertile"},
	} {
		var list []drawn
		for i, cultivar := range c.trees {
			list = append(list, grown(i, 5*float64(i), 0, c.kind, cultivar))
		}
		found := ruleOn(t, orchardPollination(), inputOf(t, nil, list...))
		assert.ElementsMatch(t, c.warn, cultivarsOf(found, planner.Warn), "%v warned of: %s", c.trees, c.source)
		assert.ElementsMatch(t, c.note, cultivarsOf(found, planner.Note), "%v noted: %s", c.trees, c.source)
	}
}

// cultivarsOf reads the cultivars out of the places of findings.
func cultivarsOf(found []planner.Finding, s planner.Severity) []string {
	var out []string
	for _, f := range only(found, s) {
		var kind string
		rest := f.Place[len("kind:"):]
		for i := range rest {
			if rest[i] == ':' {
				kind = rest[i+1:]
				break
			}
		}
		if n := len(kind) - len(":unknown"); n > 0 && kind[n:] == ":unknown" {
			kind = kind[:n]
		}
		out = append(out, kind)
	}
	return out
}

func TestHowFarAPartnerMayStand(t *testing.T) {
	for _, c := range []struct {
		kind, a, b string
		dist       float64
		passes     bool
		source     string
	}{
		{"apple", "Gala", "Discovery", 17.9, true, srcRHS + ": within 18 m (55 ft)"},
		{"apple", "Gala", "Discovery", 18.0, true, srcRHS},
		{"apple", "Gala", "Discovery", 18.1, false, srcRHS},
		{"hazel", "Barcelona", "Yamhill", 15.0, true, "Oregon State University, Ask Extension 344029, 2016: 15 m (50 ft)"},
		{"hazel", "Barcelona", "Yamhill", 15.1, false, "Oregon State University, Ask Extension 344029, 2016"},
	} {
		found := ruleOn(t, orchardPollination(), inputOf(t, nil, grown(0, 0, 0, c.kind, c.a), grown(1, c.dist, 0, c.kind, c.b)))
		assert.Equal(t, c.passes, len(found) == 0, "%s at %g m: %s", c.kind, c.dist, c.source)
		for _, f := range found {
			assert.InDelta(t, c.dist, *f.Measured, 0.001)
			assert.Contains(t, f.Message, "would serve it, but stands")
		}
	}
	far := ruleOn(t, orchardPollination(), inputOf(t, nil, grown(0, 0, 0, "apple", "Gala"), grown(1, 101, 0, "apple", "Discovery")))
	require.Len(t, far, 2)
	assert.Contains(t, far[0].Message, "further than the 100.0 m", "common practice; another page has 300 m")
}

func TestPartnersStandAnywhereOnTheHolding(t *testing.T) {
	gala := grown(0, 0, 0, "apple", "Gala")
	for _, c := range []struct {
		what  string
		other drawn
		warns int
	}{
		{"an existing tree", pointAt("old", "plant", 10, 0, props{"species": "apple", "cultivar": "Discovery", "status": "existing"}), 0},
		{"a row", lineOf("row", "row", props{"status": "planned", "spacing_m": 4, "trees": []props{{"species": "apple", "cultivar": "Discovery", "share_percent": 50}, {"species": "apple", "cultivar": "Cox", "share_percent": 50}}}, [2]float64{10, 0}, [2]float64{22, 0}), 0},
		{"a crab apple in a hedge", lineOf("hedge", "hedge", props{"status": "planned", "mix": mixOf("hawthorn", 70, "crab apple", 30)}, [2]float64{10, -10}, [2]float64{10, 10}), 0},
		{"a pear", pointAt("pear", "plant", 10, 0, props{"species": "pear", "cultivar": "Conference", "status": "existing"}), 1},
	} {
		found := ruleOn(t, orchardPollination(), inputOf(t, nil, gala, c.other))
		assert.Len(t, only(found, planner.Warn), c.warns, "%s: %s", c.what, srcRHS)
	}
	// A wild hazel in the hedge serves cobnuts (Kentish Cobnuts Association).
	in := inputOf(t, nil, grown(0, 0, 0, "hazel", "Kentish Cob"), lineOf("hedge", "hedge", props{"status": "planned", "mix": mixOf("hawthorn", 60, "hazel", 40)}, [2]float64{10, -10}, [2]float64{10, 10}))
	assert.Empty(t, ruleOn(t, orchardPollination(), in))
	// Trees that stand there already are a note.
	in = inputOf(t, nil, pointAt("old", "plant", 0, 0, props{"species": "apple", "cultivar": "Gala", "status": "existing"}))
	found := ruleOn(t, orchardPollination(), in)
	require.Len(t, found, 1)
	assert.Equal(t, planner.Note, found[0].Severity)
}

func TestOneFindingForACultivarWithCountAndPlaces(t *testing.T) {
	var list []drawn
	for i := range 30 {
		list = append(list, grown(i, 5*float64(i%6), 5*float64(i/6), "apple", "Gala"))
	}
	list = append(list, lineOf("row", "row", props{"status": "planned", "spacing_m": 4, "trees": []props{{"species": "apple", "cultivar": "gala", "share_percent": 100}}}, [2]float64{0, 40}, [2]float64{12, 40}))
	found := ruleOn(t, orchardPollination(), inputOf(t, nil, list...))
	require.Len(t, found, 1, "two spellings of one cultivar are one kind")
	assert.Equal(t, 34, found[0].Count)
	assert.Len(t, found[0].Places, MostPlaces)
	assert.Contains(t, found[0].Message, "34 plants of Gala (apple)")
}

// What is named as a partner is one: planted beside, it serves.
func TestPartnersNamedDoServe(t *testing.T) {
	in := inputOf(t, nil, grown(0, 0, 0, "apple", "Gala"))
	for _, c := range in.Catalogue.Cultivars(nil) {
		w := &pollinator{Pass: &Pass{Input: in}}
		k := &fruitKind{}
		k.Species, k.Cultivar = c.Species, c
		for i, name := range w.partners(k, 5) {
			if i == 5 || name == "a crab apple" || name == "wild hazel in the hedge" {
				continue
			}
			two := inputOf(t, nil, grown(0, 0, 0, c.Species.Botanical, c.Name), grown(1, 5, 0, c.Species.Botanical, name))
			for _, f := range ruleOn(t, orchardPollination(), two) {
				assert.NotContains(t, f.Features, "t00", "%s beside %s: %s", c.Name, name, f.Message)
			}
		}
	}
}

func TestRootstocksOnGround(t *testing.T) {
	const niab = "NIAB, crown rot and collar rot; Browne and Mircetich 1993 (verdict derived)"
	for _, c := range []struct {
		stock, moisture, soil string
		raised                float64
		warns, notes          int
		source                string
	}{
		{"MM106", "waterlogged", "clay", 0, 1, 0, niab + ": fail"},
		{"MM106", "wet", "loam", 0, 1, 0, niab + ": fail"},
		{"MM106", "moist", "clay", 0, 1, 0, niab + ": warn on heavy ground"},
		{"MM106", "moist", "loam", 0, 0, 0, niab + ": pass on free ground"},
		{"MM106", "wet", "clay", 0.2, 1, 0, "a mound makes it heavy ground, where it still is a warning"},
		{"MM106", "moist", "clay", 0.2, 0, 0, "a mound makes it free ground (common practice)"},
		{"MM106", "moist", "clay", 0.09, 1, 0, "0.1 m and more counts"},
		{"MM106", "waterlogged", "clay", 0.2, 1, 0, "not where water stands"},
		{"M9", "waterlogged", "clay", 0, 0, 0, niab + ": pass, on a stake"},
		{"M26", "moist", "clay", 0, 1, 0, niab + ": caution"},
		{"MM111", "moist", "clay", 0, 0, 0, niab + ": the best of the large stocks if it drains"},
		{"MM111", "wet", "clay", 0, 1, 0, niab},
		{"M25", "wet", "clay", 0, 0, 1, "no test found"},
		{"M116", "wet", "clay", 0, 0, 1, "no test found"},
		{"M25", "moist", "loam", 0, 0, 0, "free ground"},
		{"", "wet", "clay", 0, 0, 1, "no rootstock stated"},
	} {
		p := props{"species": "apple", "cultivar": "Discovery", "status": "planned", "raised_m": c.raised}
		if c.stock != "" {
			p["rootstock"] = c.stock
		}
		in := inputOf(t, nil, boxOf("field", "parcel", -20, -20, 20, 20, props{"moisture": c.moisture, "soil": c.soil}), pointAt("tree", "plant", 0, 0, p))
		found := ruleOn(t, orchardRootstock(), in)
		assert.Len(t, only(found, planner.Warn), c.warns, "%s on %s %s, raised %g: %s", c.stock, c.moisture, c.soil, c.raised, c.source)
		assert.Len(t, only(found, planner.Note), c.notes, "%s on %s %s, raised %g: %s", c.stock, c.moisture, c.soil, c.raised, c.source)
		for _, f := range found {
			if f.Fix != nil {
				assert.Empty(t, ruleOn(t, orchardRootstock(), applied(t, in, f.Fix)), "a mound mends it")
			}
		}
	}
}

func TestRootstocksAndForms(t *testing.T) {
	const rhs = "Royal Horticultural Society, Rootstocks for fruit"
	for _, c := range []struct {
		kind, stock, form string
		found             int
	}{
		{"apple", "M27", "stepover", 0},
		{"apple", "M27", "standard", 1},
		{"apple", "M25", "standard", 0},
		{"apple", "M25", "cordon", 1},
		{"apple", "MM106", "Half standard", 0},
		{"apple", "MM106", "", 0},
		{"plum", "St Julien A", "fan", 0},
		{"plum", "Brompton", "bush", 1},
		{"apple", "M9", "corkscrew", 1},
	} {
		p := props{"species": c.kind, "rootstock": c.stock, "status": "planned"}
		if c.form != "" {
			p["form"] = c.form
		}
		assert.Len(t, ruleOn(t, orchardRootstock(), inputOf(t, nil, pointAt("tree", "plant", 0, 0, p))), c.found, "%s on %s as %q: %s", c.kind, c.stock, c.form, rhs)
	}
}

func TestTraditionalOrchardDensity(t *testing.T) {
	for _, c := range []struct {
		spacing float64
		passes  bool
		source  string
	}{
		{8.0, false, "Natural England, quoted by H. Johnson, The Traditional British Orchard: 156.25 a hectare, not under 150"},
		{8.2, true, "148.7 a hectare"},
		{7.0, false, "204 a hectare: it meets the Irish and Northern Irish sheets of 7 m and fails here"},
		{10, true, "100 a hectare"},
	} {
		in := inputOf(t, nil, boxOf("orchard", "orchard", 0, 0, 60, 60, props{"pattern": "square", "spacing_m": c.spacing, "margin_m": 5, "bearing_deg": 0,
			"trees": []props{{"species": "apple", "cultivar": "Bramley", "rootstock": "M25", "form": "standard", "share_percent": 100}}}))
		found := false
		for _, f := range ruleOn(t, orchardMargin(), in) {
			found = found || f.Place == "traditional"
		}
		assert.Equal(t, c.passes, !found, "%g m: %s", c.spacing, c.source)
	}
}

func TestRoomRoundAnOrchard(t *testing.T) {
	const practice = "growers' working figures (common practice)"
	for _, c := range []struct {
		form   string
		stock  string
		dist   float64
		passes bool
		source string
	}{
		{"", "MM106", 3.0, true, practice + ": half of 4 m and 1 m"},
		{"", "MM106", 2.9, false, practice},
		{"bush", "M9", 3.0, true, practice + ": bush at least 3 m, though half of 2.7 m and 1 m is less"},
		{"bush", "M9", 2.5, false, practice},
		{"standard", "M25", 5.0, true, practice + ": standard at least 5 m"},
		{"standard", "M25", 4.5, false, practice},
	} {
		tree := props{"species": "apple", "cultivar": "Discovery", "rootstock": c.stock, "share_percent": 100}
		if c.form != "" {
			tree["form"] = c.form
		}
		// 10 by 10 m less 5 m all round: one tree in the middle.
		in := inputOf(t, nil, boxOf("orchard", "orchard", 0, 0, 10, 10, props{"pattern": "square", "spacing_m": 9, "margin_m": 4.99, "bearing_deg": 0, "trees": []props{tree}}),
			lineOf("wire", "fence", nil, [2]float64{5 - c.dist, -5}, [2]float64{5 - c.dist, 15}))
		require.Equal(t, 1, in.Out.Listed())
		found := false
		for _, f := range ruleOn(t, orchardMargin(), in) {
			found = found || f.Place == "edge"
		}
		assert.Equal(t, c.passes, !found, "%s on %s at %g m: %s", c.form, c.stock, c.dist, c.source)
	}
}

func TestMarginFixMends(t *testing.T) {
	for _, spacing := range []float64{4.5, 5, 6} {
		in := inputOf(t, nil, boxOf("orchard", "orchard", 0, 0, 50, 40, props{"pattern": "rectangle", "spacing_m": spacing, "row_spacing_m": spacing + 2, "margin_m": 1, "bearing_deg": 0,
			"trees": []props{{"species": "apple", "cultivar": "Discovery", "rootstock": "MM106", "share_percent": 100}}}),
			lineOf("old", "hedge", props{"status": "existing", "width_m": 1.8}, [2]float64{0, -0.5}, [2]float64{50, -0.5}))
		for _, f := range ruleOn(t, orchardMargin(), in) {
			if f.Place == "edge" {
				assert.Empty(t, ruleOn(t, orchardMargin(), applied(t, in, f.Fix)), "spacing %g", spacing)
			}
		}
	}
}

func TestSharesInTenthsAddUp(t *testing.T) {
	for n := 1; n <= 9; n++ {
		var parts []part
		for i := range n {
			parts = append(parts, part{name: fmt.Sprint(i), percent: 100 / float64(n)})
		}
		sum := 0.0
		for _, s := range sharesOf(parts) {
			sum += s.SharePercent
		}
		assert.InDelta(t, 100, math.Round(sum*10)/10, 1e-9)
	}
}
