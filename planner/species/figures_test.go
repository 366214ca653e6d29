package species

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"quickthorn/planner"
)

const nhbc = "NHBC Standards 2006, chapter 4.2, Table 12"

func TestWaterDemandAndMatureHeight(t *testing.T) {
	for _, x := range []struct {
		name, demand string
		height       float64
		source       string
	}{
		{"English elm", "high", 24, nhbc}, {"Wheatley elm", "high", 22, nhbc}, {"wych elm", "high", 18, nhbc}, {"cider gum", "high", 18, nhbc},
		{"hawthorn", "high", 10, nhbc}, {"English oak", "high", 20, nhbc}, {"holm oak", "high", 16, nhbc}, {"red oak", "high", 24, nhbc},
		{"Turkey oak", "high", 24, nhbc}, {"hybrid black poplar", "high", 28, nhbc}, {"Lombardy poplar", "high", 25, nhbc}, {"white poplar", "high", 15, nhbc},
		{"crack willow", "high", 24, nhbc}, {"weeping willow", "high", 16, nhbc}, {"white willow", "high", 24, nhbc},
		{"Lawson cypress", "high", 18, nhbc}, {"Leyland cypress", "high", 20, nhbc}, {"Monterey cypress", "high", 20, nhbc},
		{"false acacia", "moderate", 18, nhbc}, {"alder", "moderate", 18, nhbc}, {"apple", "moderate", 10, nhbc}, {"ash", "moderate", 23, nhbc},
		{"bay laurel", "moderate", 10, nhbc}, {"beech", "moderate", 20, nhbc}, {"blackthorn", "moderate", 8, nhbc}, {"Japanese cherry", "moderate", 9, nhbc},
		{"cherry laurel", "moderate", 8, nhbc}, {"wild cherry", "moderate", 17, nhbc}, {"horse chestnut", "moderate", 20, nhbc}, {"sweet chestnut", "moderate", 24, nhbc},
		{"common lime", "moderate", 22, nhbc}, {"Japanese maple", "moderate", 8, nhbc}, {"Norway maple", "moderate", 18, nhbc}, {"rowan", "moderate", 11, nhbc},
		{"pear", "moderate", 12, nhbc}, {"plane", "moderate", 26, nhbc}, {"plum", "moderate", 10, nhbc}, {"sycamore", "moderate", 22, nhbc},
		{"tree of heaven", "moderate", 20, nhbc}, {"walnut", "moderate", 18, nhbc}, {"whitebeam", "moderate", 12, nhbc}, {"Douglas fir", "moderate", 20, nhbc},
		{"European larch", "moderate", 20, nhbc}, {"monkey puzzle", "moderate", 18, nhbc}, {"Scots pine", "moderate", 20, nhbc}, {"Sitka spruce", "moderate", 18, nhbc},
		{"wellingtonia", "moderate", 30, nhbc}, {"yew", "moderate", 12, nhbc},
		{"silver birch", "low", 14, nhbc}, {"elder", "low", 10, nhbc}, {"fig", "low", 8, nhbc}, {"hazel", "low", 8, nhbc}, {"holly", "low", 12, nhbc},
		{"honey locust", "low", 14, nhbc}, {"hornbeam", "low", 17, nhbc}, {"laburnum", "low", 12, nhbc}, {"mulberry", "low", 9, nhbc}, {"tulip tree", "low", 20, nhbc},
		{"grey willow", "high", 24, nhbc + ", greatest height of the genus"}, {"osier", "high", 24, nhbc + ", greatest height of the genus"},
	} {
		t.Run(x.name, func(t *testing.T) {
			demand, height, fromTable := find(t, x.name).Water()
			assert.True(t, fromTable, x.source)
			assert.Equal(t, x.demand, demand.V, x.source)
			assert.Equal(t, x.height, height.V, x.source)
		})
	}
}

func TestWaterDemandOfUnlistedSpecies(t *testing.T) {
	for _, x := range []struct{ name, demand, source string }{
		{"guelder rose", "moderate", "NHBC Standards, chapter 4.2, Table 2 as recalled"},
		{"dogwood", "moderate", "NHBC Standards, chapter 4.2, Table 2 as recalled"},
		{"griselinia", "moderate", "NHBC Standards, chapter 4.2, Table 2 as recalled"},
		{"western red cedar", "high", "no rule read for unlisted conifers"},
		{"western hemlock", "high", "no rule read for unlisted conifers"},
	} {
		demand, height, fromTable := find(t, x.name).Water()
		assert.False(t, fromTable, x.name)
		assert.Equal(t, x.demand, demand.V, "%s: %s", x.name, x.source)
		assert.NotEqual(t, planner.Published, demand.Source.Confidence, x.name)
		assert.True(t, height.Known, x.name)
	}
	_, height, _ := find(t, "jostaberry").Water()
	assert.False(t, height.Known, "no table gives a height for jostaberry")
}

func TestGreatestListedHeight(t *testing.T) {
	for _, x := range []struct {
		name   string
		want   float64
		source string
	}{
		{"Sitka spruce", 55, "PLANTATT 2004, maximum height"},
		{"alder", 20, "PLANTATT 2004, maximum height"},
		{"hawthorn", 10, "PLANTATT 2004, maximum height"},
		{"crack willow", 24, nhbc},
		{"hazel", 8, nhbc},
		{"Douglas fir", 58, "PLANTATT 2004, maximum height"},
		{"Leyland cypress", 20, nhbc},
		{"Lombardy poplar", 25, nhbc},
	} {
		g := find(t, x.name).GreatestHeight
		assert.Equal(t, x.want, g.V, "%s: %s", x.name, x.source)
		assert.NotEmpty(t, g.Source.Text)
	}
	for _, s := range catalogue(t).All() {
		g := s.GreatestHeight
		for _, h := range []float64{s.Height.High, s.ListedHeight.V, s.NHBCHeight.V, s.HeightAt[20].High} {
			assert.GreaterOrEqual(t, g.V, h, s.Botanical)
		}
	}
}

func TestHeightsAtAge(t *testing.T) {
	const manso = "Manso, McLean, Arcangeli and Matthews 2020, Forestry 94:181-192, heights computed"
	for _, x := range []struct {
		name             string
		years            int
		low, usual, high float64
		source           string
		confidence       planner.Confidence
	}{
		{"alder", 20, 9.3, 12.9, 16.9, "Johansson 1999, Scand. J. For. Res. 14:441-453", planner.Derived},
		{"alder", 5, 1.9, 3.0, 4.5, "Johansson 1999, Scand. J. For. Res. 14:441-453", planner.Derived},
		{"grey alder", 10, 4.3, 6.8, 8.3, "Johansson 1999, Scand. J. For. Res. 14:441-453", planner.Derived},
		{"downy birch", 20, 6.8, 9.5, 13.0, "Eriksson, Johansson and Kiviste 1997", planner.Derived},
		{"English oak", 20, 4.8, 7.2, 10.6, "Nord-Larsen, Meilby and Skovsgaard 2009", planner.Derived},
		{"beech", 20, 3.4, 5.7, 8.4, manso, planner.Derived},
		{"Norway spruce", 20, 6.2, 7.8, 9.3, manso, planner.Derived},
		{"Scots pine", 10, 2.0, 3.1, 4.3, manso, planner.Derived},
		{"Sitka spruce", 20, 6.4, 8.8, 11.1, "Forest Research, top height from yield class, GYC 14 (8 to 20)", planner.Derived},
		{"western red cedar", 20, 5.7, 8.0, 10.2, "Kurucz 1985", planner.Derived},
		{"red alder", 20, 10, 12, 15, "Harrington and Curtis 1986", planner.Derived},
		{"black cottonwood", 20, 19.9, 19.9, 19.9, manso + ", through 9.3 m measured at 7 years", planner.Derived},
		{"sycamore", 5, 1.5, 1.5, 1.5, "Sibbald and others 2001, Agroforestry Systems 53:39-53", planner.Published},
		{"hawthorn", 20, 3.5, 5, 6.5, "common practice, +/- 30 %", planner.CommonPractice},
		{"blackthorn", 20, 2.45, 3.5, 4.55, "common practice, +/- 30 %", planner.CommonPractice},
		{"hazel", 10, 2.45, 3.5, 4.55, "common practice, +/- 30 %", planner.CommonPractice},
		{"rowan", 20, 5.6, 8, 10.4, "common practice, +/- 30 %", planner.CommonPractice},
		{"holly", 5, 0.56, 0.8, 1.04, "common practice, +/- 30 %", planner.CommonPractice},
		{"white willow", 20, 8.4, 12, 15.6, "common practice, +/- 30 %", planner.CommonPractice},
		{"hornbeam", 20, 5.6, 8, 10.4, "growth class middling, +/- 30 %", planner.CommonPractice},
		{"yew", 20, 3.5, 5, 6.5, "growth class slow, +/- 30 %", planner.CommonPractice},
	} {
		r := find(t, x.name).HeightAfter(x.years)
		assert.True(t, r.Known, x.name)
		assert.InDelta(t, x.low, r.Low, 0.005, "%s at %d: %s", x.name, x.years, x.source)
		assert.InDelta(t, x.usual, r.Usual, 0.005, "%s at %d: %s", x.name, x.years, x.source)
		assert.InDelta(t, x.high, r.High, 0.005, "%s at %d: %s", x.name, x.years, x.source)
		assert.Equal(t, x.confidence, r.Source.Confidence, "%s at %d: %s", x.name, x.years, x.source)
	}
	usual, low, high := find(t, "alder").HeightAtYear20()
	assert.Equal(t, []float64{12.9, 9.3, 16.9}, []float64{usual.V, low, high})
	assert.False(t, find(t, "alder").HeightAfter(7).Known, "only ages 5, 10 and 20 are published")
	for _, s := range catalogue(t).All() {
		last := Range{}
		for _, age := range Ages {
			r := s.HeightAfter(age)
			assert.LessOrEqual(t, r.Low, r.Usual, s.Botanical)
			assert.LessOrEqual(t, r.Usual, r.High, s.Botanical)
			assert.GreaterOrEqual(t, r.Usual, last.Usual, "%s shrinks at %d", s.Botanical, age)
			last = r
		}
	}
}

func TestMatureSizes(t *testing.T) {
	const rhs = "Royal Horticultural Society size band"
	for _, x := range []struct {
		name, source           string
		height, low, high      float64
		spread                 float64
		heightConf, spreadConf planner.Confidence
	}{
		{"hawthorn", rhs + ", plant 4775", 6, 4, 8, 6, planner.Published, planner.Published},
		{"hazel", rhs + ", plant 550", 6, 4, 8, 6, planner.Published, planner.Published},
		{"blackthorn", rhs + " as recalled", 3.25, 2.5, 4, 3.25, planner.FromMemory, planner.FromMemory},
		{"alder", nhbc + "; spread " + rhs + " as recalled", 18, 18, 18, 6, planner.Published, planner.FromMemory},
		{"beech", nhbc + "; spread at least 8 m, as recalled", 20, 20, 20, 8, planner.Published, planner.FromMemory},
		{"Sitka spruce", "typical tall-tree height, as recalled", 35, 35, 35, 8, planner.FromMemory, planner.FromMemory},
	} {
		s := find(t, x.name)
		assert.Equal(t, []float64{x.low, x.height, x.high}, []float64{s.Height.Low, s.Height.Usual, s.Height.High}, "%s: %s", x.name, x.source)
		assert.Equal(t, x.spread, s.Spread.Usual, "%s: %s", x.name, x.source)
		assert.Equal(t, x.heightConf, s.Height.Source.Confidence, "%s: %s", x.name, x.source)
		assert.Equal(t, x.spreadConf, s.Spread.Source.Confidence, "%s: %s", x.name, x.source)
	}
	assert.True(t, find(t, "beech").Spread.AtLeast, "over 8 m is a lower bound")
	assert.True(t, find(t, "wild service tree").Height.AtLeast, "over 12 m is a lower bound")
	assert.NotEqual(t, find(t, "Sitka spruce").Height.Usual, find(t, "Sitka spruce").NHBCHeight.V, "the two tables disagree and both stand")
}

func TestWoodDensities(t *testing.T) {
	const gwdd = "Global Wood Density Database v2, Fischer and others 2026"
	for _, x := range []struct {
		name   string
		want   float64
		source string
	}{
		{"hawthorn", 628, gwdd}, {"ash", 558, gwdd}, {"Sitka spruce", 367, gwdd}, {"alder", 471, gwdd}, {"osier", 434, gwdd}, {"beech", 597, gwdd}, {"apple", 621, gwdd},
	} {
		assert.InDelta(t, x.want, find(t, x.name).WoodDensity.V, 1, "%s: %s", x.name, x.source)
	}
	sitka := find(t, "Sitka spruce")
	assert.Equal(t, []float64{367, 400, 330}, []float64{sitka.WoodDensity.V, sitka.WoodDensityIPCC.V, sitka.WoodDensityUK.V}, "three tables disagree: 330 to 400")
	assert.Equal(t, planner.FromMemory, sitka.WoodDensityIPCC.Source.Confidence, "IPCC 2006 table 4.14, as recalled")
	assert.Contains(t, find(t, "cider gum").WoodDensity.Source.Text, "genus", "no species value: "+gwdd)
	assert.False(t, find(t, "medlar").WoodDensity.Known, "no figure found")
}

func TestCoppice(t *testing.T) {
	for _, x := range []struct {
		name, vigour string
		low, high    float64
		source       string
	}{
		{"hazel", "strong", 7, 10, "woodland handbooks"},
		{"hornbeam", "strong", 25, 35, "woodland handbooks"},
		{"alder", "strong", 10, 20, "Evans 1984; Harmer and Howe 2003, as recalled"},
		{"beech", "weak", 15, 30, "Evans 1984; Harmer and Howe 2003, as recalled"},
		{"osier", "strong", 2, 5, "Forest Research, short rotation coppice"},
		{"Scots pine", "no", 0, 0, "Evans 1984; Harmer and Howe 2003, as recalled"},
	} {
		s := find(t, x.name)
		assert.Equal(t, x.vigour, s.Coppices.V, "%s: %s", x.name, x.source)
		assert.Equal(t, []float64{x.low, x.high}, []float64{s.CoppiceRotation.Low, s.CoppiceRotation.High}, "%s: %s", x.name, x.source)
	}
}

func TestServiceClasses(t *testing.T) {
	const stw = "Severn Trent Water, Tree planting restrictions"
	for _, x := range []struct {
		name   string
		want   ServiceClass
		source string
	}{
		{"white willow", WillowPoplar, stw}, {"Lombardy poplar", WillowPoplar, stw}, {"aspen", WillowPoplar, stw},
		{"English oak", LargeTree, stw}, {"ash", LargeTree, stw}, {"beech", LargeTree, stw}, {"Sitka spruce", LargeTree, stw}, {"Douglas fir", LargeTree, stw},
		{"wych elm", MediumTree, stw}, {"horse chestnut", MediumTree, stw}, {"common lime", MediumTree, stw}, {"sycamore", MediumTree, stw}, {"apple", MediumTree, stw}, {"pear", MediumTree, stw},
		{"blackthorn", ShrubClass, stw}, {"hawthorn", ShrubClass, stw}, {"hazel", ShrubClass, stw}, {"elder", ShrubClass, stw}, {"cherry laurel", ShrubClass, stw}, {"wild privet", ShrubClass, stw},
		{"blackcurrant", SoftFruit, stw}, {"raspberry", SoftFruit, stw},
		{"sweet chestnut", LargeTree, "derived: 20 m and more"}, {"rowan", MediumTree, "derived: under 20 m"}, {"guelder rose", ShrubClass, "derived: shrub"},
	} {
		assert.Equal(t, x.want, find(t, x.name).Service, "%s: %s", x.name, x.source)
	}
}
