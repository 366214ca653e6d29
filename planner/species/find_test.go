package species

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestFind(t *testing.T) {
	for name, want := range map[string]string{
		"hawthorn": "Crataegus monogyna", "whitethorn": "Crataegus monogyna", "QUICKTHORN": "Crataegus monogyna", "May": "Crataegus monogyna", "Crataegus monogyna": "Crataegus monogyna",
		"crataegus  MONOGYNA": "Crataegus monogyna", "English oak": "Quercus robur", "pedunculate oak": "Quercus robur", "alder": "Alnus glutinosa", "common alder": "Alnus glutinosa",
		"Alnus glutinosa": "Alnus glutinosa", "apple": "Malus domestica", "beech": "Fagus sylvatica", "holly": "Ilex aquifolium", "blackthorn": "Prunus spinosa", "sloe": "Prunus spinosa",
		"guelder-rose": "Viburnum opulus", "Guelder rose": "Viburnum opulus", "guelderrose": "Viburnum opulus", "Populus × canescens": "Populus canescens", "Populus x canescens": "Populus canescens",
		"Tilia ×europaea": "Tilia europaea", "Populus nigra 'Italica'": "Populus nigra 'Italica'", "lombardy poplar": "Populus nigra 'Italica'", "Rubus fruticosus": "Rubus fruticosus agg.",
		"bramble": "Rubus fruticosus agg.", "mountain ash": "Sorbus aucuparia", "may ": "Crataegus monogyna", "furze": "Ulex europaeus", "whin": "Ulex europaeus", "gean": "Prunus avium",
		"damson": "Prunus insititia", "red currant": "Ribes rubrum", "whitecurrant": "Ribes rubrum", "Lawson's cypress": "Chamaecyparis lawsoniana", "Lawson’s cypress": "Chamaecyparis lawsoniana",
		"x Cuprocyparis leylandii": "Cuprocyparis leylandii", "Rosa pimpinellifolia": "Rosa spinosissima", "cobnut": "Corylus avellana", "filbert": "Corylus maxima", "black alder": "Alnus glutinosa",
	} {
		m := catalogue(t).Find(name)
		require.NotNil(t, m.Species, name)
		assert.Equal(t, want, m.Species.Botanical, name)
		assert.Nil(t, m.Ambiguous)
		assert.Empty(t, m.Nearest)
	}
	assert.Equal(t, "hawthorn", find(t, "Crataegus monogyna").Name())
	assert.Equal(t, "common alder", find(t, "alder").Name())
}

func TestAmbiguousNames(t *testing.T) {
	for name, some := range map[string][]string{
		"birch": {"Betula pendula", "Betula pubescens"}, "Currant": {"Ribes nigrum", "Ribes rubrum"}, "oak": {"Quercus robur", "Quercus petraea"}, "willow": {"Salix alba", "Salix cinerea", "Salix viminalis"},
		"lime": {"Tilia cordata", "Tilia platyphyllos"}, "thorn": {"Crataegus monogyna", "Prunus spinosa"}, "cherry": {"Prunus avium", "Prunus cerasus", "Prunus padus"},
		"poplar": {"Populus nigra", "Populus alba"}, "elm": {"Ulmus glabra", "Ulmus procera"}, "chestnut": {"Castanea sativa", "Aesculus hippocastanum"}, "laurel": {"Prunus laurocerasus", "Laurus nobilis"},
	} {
		m := catalogue(t).Find(name)
		require.NotNil(t, m.Ambiguous, name)
		assert.Nil(t, m.Species)
		var got []string
		for _, s := range m.Ambiguous.Species {
			got = append(got, s.Botanical)
		}
		assert.Subset(t, got, some, name)
		assert.NotEmpty(t, m.Ambiguous.TellApart)
	}
}

func TestUnknownNamesGiveTheNearest(t *testing.T) {
	for name, want := range map[string]string{"hawthron": "Crataegus monogyna", "hazle": "Corylus avellana", "Alnus glutinosus": "Alnus glutinosa", "rown": "Sorbus aucuparia", "guelder": "Viburnum opulus"} {
		m := catalogue(t).Find(name)
		assert.Nil(t, m.Species)
		assert.Nil(t, m.Ambiguous)
		require.NotEmpty(t, m.Nearest, name)
		assert.LessOrEqual(t, len(m.Nearest), 5, name)
		assert.Contains(t, m.Nearest, find(t, want), name)
	}
	assert.Len(t, catalogue(t).Find("hawthron").Nearest, 1, "names much farther off are no help")
	for _, odd := range []string{"", strings.Repeat("thorn ", 100_000)} {
		n := len(catalogue(t).Find(odd).Nearest)
		assert.True(t, n >= 1 && n <= 5, "%d names", n)
	}
}

func TestCultivarNames(t *testing.T) {
	c := catalogue(t)
	for _, x := range [][3]string{
		{"apple", "james grieve", "James Grieve"}, {"apple", "Bramley", "Bramley's Seedling"}, {"apple", "Coxs Orange Pippin", "Cox's Orange Pippin"}, {"apple", "cox", "Cox's Orange Pippin"},
		{"pear", "Comice", "Doyenne du Comice"}, {"damson", "Merryweather", "Merryweather"}, {"plum", "Merryweather damson", "Merryweather"}, {"plum", "Pershore", "Yellow Pershore"},
		{"plum", "Jefferson", "Jefferson"}, {"hazel", "Jefferson", "Jefferson"}, {"filbert", "Lambert's Filbert", "Kentish Cob"}, {"medlar", "Nottingham", "Nottingham"}, {"cobnut", "Nottingham", "Nottingham"},
	} {
		v, _ := c.Cultivar(find(t, x[0]), x[1])
		require.NotNil(t, v, x[1])
		assert.Equal(t, x[2], v.Name)
		assert.Equal(t, find(t, x[0]).Pool, v.Species.Pool)
	}
	v, nearest := c.Cultivar(find(t, "apple"), "James Greive")
	assert.Nil(t, v)
	assert.Equal(t, "James Grieve", nearest[0])
	v, nearest = c.Cultivar(find(t, "hawthorn"), "Paul's Scarlet")
	assert.Nil(t, v)
	assert.Empty(t, nearest, "no cultivar of hawthorn is listed")
}

// The slow, obvious edit distance is the judge of the quick one.
func TestDistance(t *testing.T) {
	assert.Equal(t, 3, distance("kitten", "sitting"))
	assert.Equal(t, 0, distance("", ""))
	assert.Equal(t, 4, distance("", "rose"))
	var slow func(a, b string) int
	slow = func(a, b string) int {
		switch {
		case a == "" || b == "":
			return len(a) + len(b)
		case a[0] == b[0]:
			return slow(a[1:], b[1:])
		}
		return 1 + min(slow(a[1:], b), slow(a, b[1:]), slow(a[1:], b[1:]))
	}
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringMatching(`[abc]{0,6}`)
		a, b := word.Draw(t, "a"), word.Draw(t, "b")
		if distance(a, b) != slow(a, b) {
			t.Fatalf("%q to %q: %d, not %d", a, b, distance(a, b), slow(a, b))
		}
	})
}

func FuzzFind(f *testing.F) {
	for _, seed := range []string{"hawthorn", "birch", "x", "×", "Populus × canescens", "", "\xff", "agg."} {
		f.Add(seed)
	}
	c := catalogue(f)
	f.Fuzz(func(t *testing.T, name string) {
		m := c.Find(name)
		set := 0
		if m.Species != nil {
			set++
		}
		if m.Ambiguous != nil {
			set++
		}
		if m.Nearest != nil {
			set++
		}
		if set != 1 {
			t.Fatalf("%q: %d answers", name, set)
		}
		if again := c.Find(name); again.Species != m.Species || again.Ambiguous != m.Ambiguous || len(again.Nearest) != len(m.Nearest) {
			t.Fatalf("%q: two answers", name)
		}
		for i, s := range c.Find(name).Nearest {
			if s != m.Nearest[i] {
				t.Fatalf("%q: the order of the nearest changes", name)
			}
		}
	})
}
