package species

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/planner"
)

func TestCompatible(t *testing.T) {
	const (
		groups = "flowering groups, Royal Horticultural Society lists: one apart or less"
		rhs9   = "Royal Horticultural Society, Fruit pollination"
		sch    = "Schuster 2020, S genotypes of sweet cherry"
		hz     = "Oregon State allele lists; growers' cultivar notes"
		hz5    = "British growing guide, hazel pollinizer list"
		pl1    = "Marks, plum pollination table"
		nfc    = "National Fruit Collection flowering dates"
	)
	for _, x := range []struct {
		species, mother, donorSpecies, donor string
		want                                 Setting
		source                               string
	}{
		{"apple", "Egremont Russet", "apple", "James Grieve", Sets, groups},
		{"apple", "James Grieve", "apple", "Egremont Russet", Sets, groups},
		{"apple", "Newton Wonder", "apple", "Egremont Russet", SetsNot, groups},
		{"apple", "Gala", "apple", "Lord Lambourne", SetsNot, groups},
		{"apple", "Blenheim Orange", "apple", "Gala", Sets, groups},
		{"apple", "Annie Elizabeth", "apple", "Discovery", SetsNot, "Lancashire Apple Project: group 5"},
		{"apple", "Gala", "apple", "Blenheim Orange", SetsNot, rhs9 + ": a triploid gives no useful pollen"},
		{"apple", "Spartan", "apple", "Ashmead's Kernel", SetsNot, "East Malling ploidy study 2007-2010: a triploid"},
		{"apple", "Bramley", "apple", "Blenheim", SetsNot, rhs9},
		{"apple", "Cox", "apple", "Cox's Orange Pippin", SetsNot, rhs9 + ": one clone"},
		{"apple", "Discovery", "crab apple", "", Sets, rhs9 + ": crab apples"},
		{"apple", "Discovery", "apple", "", SetUnknown, "no cultivar named"},
		{"apple", "Discovery", "pear", "Conference", SetsNot, "different kinds"},
		{"apple", "Suntan", "apple", "Ard Cairn Russet", Sets, "5 days apart: cultivar register; Bultitude"},
		{"apple", "Suntan", "apple", "Irish Peach", SetsNot, "12 days apart: cultivar register; Bultitude"},
		{"apple", "Summer John", "apple", "Discovery", SetUnknown, "no group; the accession pages name no year"},
		{"pear", "Williams", "pear", "Louise Bonne", SetsNot, "trade chart: the two fail on each other"},
		{"pear", "Comice", "pear", "Onward", SetsNot, "trade chart: the two fail on each other"},
		{"pear", "Conference", "pear", "Williams", Sets, groups},
		{"pear", "Conference", "pear", "Beurre Hardy", SetsBadly, "trade chart: a poor donor for all pears"},
		{"pear", "Conference", "pear", "Merton Pride", SetsNot, "a triploid, trade chart"},
		{"plum", "Coe's Golden Drop", "plum", "Jefferson", SetsNot, pl1 + ": fail both ways"},
		{"plum", "Jefferson", "plum", "Coe's Golden Drop", SetsNot, pl1 + ": fail both ways"},
		{"plum", "Old Green Gage", "damson", "Merryweather", Sets, pl1 + ": one pool"},
		{"plum", "Cambridge Gage", "plum", "Czar", Sets, nfc + " 2023: 15 days"},
		{"plum", "Marjorie's Seedling", "plum", "Denniston's Superb", Sets, nfc + " 2019, 2022, 2023: 3 to 4 days, though groups 5 and 2"},
		{"sweet cherry", "Early Rivers", "sweet cherry", "Summit", SetsNot, sch + ": both S1S2"},
		{"sweet cherry", "Napoleon", "sweet cherry", "Van", SetsHalf, sch + ": S1 only"},
		{"sweet cherry", "Napoleon", "sweet cherry", "Stella", Sets, sch + ": S4'"},
		{"sweet cherry", "Van", "sweet cherry", "Kordia", SetsHalf, sch + ": S6 only"},
		{"sweet cherry", "Early Rivers", "sweet cherry", "Kordia", SetsNot, sch + ": all pollen works, but groups 4 and 1"},
		{"sweet cherry", "Merchant", "sweet cherry", "Summer Sun", SetsNot, sch + ": both S4S9"},
		{"sweet cherry", "Summer Sun", "sweet cherry", "Stella", Sets, sch + ": S4'"},
		{"sweet cherry", "Hertford", "sweet cherry", "Merla", SetsNot, sch + ": both S1S6"},
		{"sweet cherry", "Penny", "sweet cherry", "Colney", SetsNot, "S5 works, but groups 5 and 3: British cherry chart, doubtful"},
		{"sweet cherry", "Early Rivers", "sweet cherry", "Lapins", Sets, sch + ": S4', and 2 is next to 1"},
		{"sweet cherry", "Nutberry Black", "sweet cherry", "Merton Glory", SetsNot, sch + ": both S4S6"},
		{"sour cherry", "Morello", "sweet cherry", "Stella", Sets, sch + ": S4'"},
		{"sweet cherry", "Merton Late", "sour cherry", "Morello", SetUnknown, "four alleles: the rule of two does not hold"},
		{"cobnut", "Kentish Cob", "cobnut", "Cosford", Sets, hz5},
		{"cobnut", "Cosford", "cobnut", "Gunslebert", Sets, hz5},
		{"cobnut", "Cosford", "cobnut", "Hall's Giant", Sets, hz5},
		{"cobnut", "Butler", "cobnut", "Ennis", Sets, hz5},
		{"cobnut", "Jefferson", "cobnut", "Felix", Sets, "HortScience 53(6) 2018, 904"},
		{"cobnut", "Jefferson", "cobnut", "Barcelona", SetsNot, hz + ": S1"},
		{"cobnut", "Yamhill", "cobnut", "Barcelona", Sets, hz + ": S1 on S8S26"},
		{"cobnut", "Tonda di Giffoni", "cobnut", "Gamma", SetsNot, hz + ": S2"},
		{"cobnut", "Lewis", "cobnut", "Yamhill", SetsNot, hz + ": S8"},
		{"cobnut", "Jefferson", "cobnut", "Yamhill", Sets, hz + ": S8 on S1S3"},
		{"cobnut", "Du Chilly", "cobnut", "Casina", SetsNot, "Mehlenbacher 1997: S10, both taken as expressed"},
		{"cobnut", "Butler", "cobnut", "Butler", SetsNot, "a hazel never sets itself"},
		{"cobnut", "Webb's Prize Cob", "cobnut", "York", SetUnknown, "no alleles, no published partner"},
		{"cobnut", "Cosford", "hazel", "", Sets, "Kentish Cobnuts Association: wild hazel nearby"},
		{"filbert", "Kentish Cob", "cobnut", "Cosford", Sets, hz5 + ": one pool"},
	} {
		got := Compatible(fruiting(t, x.species, x.mother), fruiting(t, x.donorSpecies, x.donor))
		assert.Equal(t, x.want, got.Setting, "%s on %s: %s (%s)", x.donor, x.mother, x.source, got.Why)
		assert.NotEmpty(t, got.Why)
		if got.Setting != SetUnknown {
			assert.NotEmpty(t, got.Source.Text, "%s on %s", x.donor, x.mother)
		}
	}
}

func TestServe(t *testing.T) {
	type answer map[string]Service
	apple := func(names ...string) []Fruiting {
		var out []Fruiting
		for _, n := range names {
			out = append(out, fruiting(t, "apple", n))
		}
		return out
	}
	const rhs9 = "Royal Horticultural Society, Fruit pollination: a triploid needs two others that flower with it and with each other"
	for _, x := range []struct {
		trees  []Fruiting
		want   answer
		source string
	}{
		{apple("James Grieve", "Egremont Russet"), answer{"James Grieve": Served, "Egremont Russet": Served}, "groups 3 and 2"},
		{apple("Blenheim Orange", "Gala", "Lord Lambourne"), answer{"Blenheim Orange": Served, "Gala": Unserved, "Lord Lambourne": Light}, rhs9},
		{apple("Blenheim Orange", "Gala", "Lord Lambourne", "Discovery"), answer{"Blenheim Orange": Served, "Gala": Served, "Lord Lambourne": Served, "Discovery": Served}, rhs9},
		{apple("Bramley", "James Grieve"), answer{"Bramley's Seedling": Served, "James Grieve": Light}, "a partly self-fertile donor crops lightly by itself, common practice"},
		{apple("Bramley", "Blenheim Orange"), answer{"Bramley's Seedling": Unserved, "Blenheim Orange": Unserved}, rhs9},
		{apple("Ashmead's Kernel", "Bramley", "Spartan"), answer{"Ashmead's Kernel": Served, "Bramley's Seedling": Served, "Spartan": Unserved}, rhs9},
		{apple("Ashmead's Kernel", "Bramley", "Spartan", "Charles Ross"), answer{"Ashmead's Kernel": Served, "Bramley's Seedling": Served, "Spartan": Served, "Charles Ross": Served}, rhs9},
		{apple("Scrumptious"), answer{"Scrumptious": Served}, "self-fertile, as recalled"},
		{apple("Discovery", "Discovery"), answer{"Discovery": Unserved}, "one clone"},
		{[]Fruiting{fruiting(t, "apple", "Discovery"), fruiting(t, "crab apple", "")}, answer{"Discovery": Served, "crab apple": Served}, rhs9},
		{[]Fruiting{fruiting(t, "plum", "Victoria")}, answer{"Victoria": Served}, "Marks, plum pollination table: self-fertile"},
		{[]Fruiting{fruiting(t, "pear", "Doyenne du Comice"), fruiting(t, "pear", "Beurre Hardy")}, answer{"Doyenne du Comice": Light, "Beurre Hardy": Served}, "Beurre Hardy is a poor donor, trade chart"},
		{[]Fruiting{fruiting(t, "honeyberry", ""), fruiting(t, "honeyberry", "")}, answer{"honeyberry": ServedUnknown}, "needs a second kind, and none is named"},
		{[]Fruiting{fruiting(t, "blueberry", "")}, answer{"highbush blueberry": Light}, "Washington State EB1640: at least two cultivars"},
		{[]Fruiting{fruiting(t, "redcurrant", "")}, answer{"redcurrant": Served}, "self-fertile: Royal Horticultural Society"},
		{[]Fruiting{fruiting(t, "mulberry", "")}, answer{"black mulberry": ServedUnknown}, "no source read"},
		{[]Fruiting{fruiting(t, "hawthorn", "")}, answer{"hawthorn": Served}, "no crop is looked for"},
	} {
		for i, tree := range x.trees {
			reach := append(append([]Fruiting{}, x.trees[:i]...), x.trees[i+1:]...)
			got := Serve(tree, reach)
			want, ok := x.want[tree.Name()]
			require.True(t, ok, tree.Name())
			assert.Equal(t, want, got.Service, "%s: %s (%s)", tree.Name(), x.source, got.Why)
			assert.NotEmpty(t, got.Why)
		}
	}
}

func TestDaysTogether(t *testing.T) {
	day := func(species, cultivar string, year int) Bloom {
		for _, b := range fruiting(t, species, cultivar).Cultivar.Bloom {
			if b.Year == year {
				return b
			}
		}
		t.Fatalf("%s has no dates of %d", cultivar, year)
		return Bloom{}
	}
	const nfc = "National Fruit Collection flowering dates"
	for _, x := range []struct {
		a, b string
		year int
		want int
	}{
		{"Marjorie's Seedling", "Denniston's Superb", 2023, 3},
		{"Czar", "Cambridge Gage", 2023, 15},
		{"Czar", "Marjorie's Seedling", 2019, 15},
	} {
		n, ok := DaysTogether(day("plum", x.a, x.year), day("plum", x.b, x.year))
		assert.True(t, ok)
		assert.Equal(t, x.want, n, "%s and %s in %d: %s", x.a, x.b, x.year, nfc)
	}
	late, early := day("plum", "Denniston's Superb", 2013), day("plum", "Denniston's Superb", 2014)
	assert.Equal(t, []int{115, 79}, []int{late.Full, early.Full}, "25 April 2013 and 20 March 2014: "+nfc)
	assert.Equal(t, 36, late.Full-early.Full, nfc)
	_, ok := DaysTogether(day("plum", "Czar", 2019), day("plum", "Denniston's Superb", 2023))
	assert.False(t, ok, "years are never mixed")
	_, ok = DaysTogether(day("apple", "Greensleeves", 0), day("apple", "Bramley", 0))
	assert.False(t, ok, "pages that name no year are never compared")
	for cultivar, want := range map[string]int{"apple/Bramley": 132, "apple/Discovery": 132, "apple/Greensleeves": 115, "plum/Pershore": 111} {
		kind, name, _ := cutSlash(cultivar)
		assert.Equal(t, want, day(kind, name, 0).Full, "%s: accession page, day of an ordinary year", name)
	}
	assert.Equal(t, 104, day("pear", "Concorde", 2022).Full, "14 April 2022: "+nfc)
}

func cutSlash(s string) (string, string, bool) {
	for i := range s {
		if s[i] == '/' {
			return s[:i], s[i+1:], true
		}
	}
	return s, "", false
}

func TestGroupsMeet(t *testing.T) {
	g := func(from, to int) Groups { return Groups{From: from, To: to, Scale: "cherry 1-6", Known: true} }
	for _, x := range []struct {
		a, b Groups
		want bool
	}{
		{g(1, 1), g(2, 2), true}, {g(1, 1), g(3, 3), false}, {g(2, 3), g(1, 1), true}, {g(2, 3), g(4, 4), true}, {g(2, 3), g(5, 5), false}, {g(1, 2), g(3, 3), true},
		{g(1, 1), Groups{From: 1, To: 1, Scale: "plum 1-5", Known: true}, false}, {g(1, 1), Groups{}, false},
	} {
		assert.Equal(t, x.want, x.a.Meets(x.b), "%s and %s", x.a, x.b)
		assert.Equal(t, x.want, x.b.Meets(x.a), "%s and %s", x.b, x.a)
	}
}

func TestCompatibleProperties(t *testing.T) {
	all := catalogue(t).Cultivars(nil)
	rapid.Check(t, func(t *rapid.T) {
		a := all[rapid.IntRange(0, len(all)-1).Draw(t, "a")]
		b := all[rapid.IntRange(0, len(all)-1).Draw(t, "b")]
		fa, fb := Fruiting{a.Species, a}, Fruiting{b.Species, b}
		if Compatible(fa, fa).Setting != SetsNot {
			t.Fatalf("%s sets itself", a.Name)
		}
		ab, again := Compatible(fa, fb), Compatible(fa, fb)
		if ab != again {
			t.Fatalf("two answers for %s and %s", a.Name, b.Name)
		}
		if ab.Setting.Works() && (b.Fertility.V == "triploid" || a.Species.Pool != b.Species.Pool) {
			t.Fatalf("%s cannot set %s", b.Name, a.Name)
		}
		if a.Clash.Known && a.Clash.V == b.Clash.V && a.Clash.V != selfCompatible && ab.Setting.Works() {
			t.Fatalf("%s and %s are of one incompatibility group", a.Name, b.Name)
		}
		if Overlap(a, b).Setting != Overlap(b, a).Setting {
			t.Fatalf("flowering together is mutual: %s and %s", a.Name, b.Name)
		}
		if got := Serve(fa, []Fruiting{fb}); ab.Setting.Works() && got.Service != Served {
			t.Fatalf("%s is set by %s but %s", a.Name, b.Name, got.Service)
		}
	})
}

func TestConfidenceFollowsTheWeakerTable(t *testing.T) {
	got := Compatible(fruiting(t, "apple", "Katy"), fruiting(t, "apple", "James Grieve"))
	assert.Equal(t, planner.FromMemory, got.Source.Confidence, "Katy's group is recalled, James Grieve's is published")
}
