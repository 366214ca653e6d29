package species

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/planner"
)

func place(ranked []Ranked, botanical string) int {
	return slices.IndexFunc(ranked, func(r Ranked) bool { return r.Species.Botanical == botanical })
}

func TestRankForAWetWindbreak(t *testing.T) {
	c := catalogue(t)
	got := c.Rank(Want{Ground: planner.Wet, Use: Windbreak})
	require.NotEmpty(t, got)
	for i, name := range []string{"Salix cinerea", "Salix viminalis", "Betula pubescens", "Alnus glutinosa", "Alnus incana"} {
		n := place(got, name)
		require.GreaterOrEqual(t, n, 0, name)
		assert.Equal(t, Suitable, got[n].Fit.Verdict, "%s: %s", name, plnv)
		assert.NotEmpty(t, got[n].For, "%d", i)
		assert.False(t, got[n].Barred, name)
		assert.Less(t, n, place(got, "Crataegus monogyna"), "%s suits, hawthorn is marginal: %s", name, plnv)
	}
	beech := got[place(got, "Fagus sylvatica")]
	assert.True(t, beech.Barred)
	assert.Contains(t, beech.Against[0], "unsuitable on wet ground")
	assert.Less(t, place(got, "Crataegus monogyna"), place(got, "Fagus sylvatica"))
	assert.Equal(t, -1, place(got, "Ribes nigrum"), "not planted for shelter")
	assert.Greater(t, place(got, "Alnus glutinosa"), place(got, "Alnus incana"), "common alder bears little exposure: Farm Advisory Service; grey alder much: as recalled")
}

func TestRankLimits(t *testing.T) {
	c := catalogue(t)
	for _, x := range []struct {
		what, name, source string
		want               Want
		barred             bool
	}{
		{"native to Britain", "Alnus incana", "PLANTATT 2004", Want{Use: Windbreak, Native: "britain"}, true},
		{"native to Britain", "Alnus glutinosa", "PLANTATT 2004", Want{Use: Windbreak, Native: "britain"}, false},
		{"native to Ireland", "Acer campestre", "floras, as recalled", Want{Use: Hedge, Native: "ireland"}, true},
		{"native to Ireland, debated", "Berberis vulgaris", "debated", Want{Use: Hedge, Native: "ireland"}, true},
		{"thorny", "Corylus avellana", "floras, as recalled", Want{Use: Hedge, Thorny: true}, true},
		{"thorny", "Prunus spinosa", "floras, as recalled", Want{Use: Hedge, Thorny: true}, false},
		{"law of Ireland", "Hippophae rhamnoides", "S.I. 477/2011", Want{Use: Hedge, Country: "ireland"}, true},
		{"law of England", "Hippophae rhamnoides", "Schedule 9 does not list it", Want{Use: Hedge, Country: "england"}, false},
		{"law of England", "Rosa rugosa", "Schedule 9", Want{Use: Hedge, Country: "england"}, true},
		{"any law under the general rules", "Rosa rugosa", "Schedule 9", Want{Use: Hedge, Country: "general"}, true},
		{"horses", "Taxus baccata", "Lorgue", Want{Use: Hedge, Stock: []string{"horses"}}, true},
		{"horses", "Crataegus monogyna", "accepted browse", Want{Use: Hedge, Stock: []string{"horses"}}, false},
		{"cattle", "Prunus laurocerasus", "Lorgue", Want{Use: Hedge, Stock: []string{"sheep", "cattle"}}, true},
		{"standing water", "Alnus glutinosa", plnv, Want{Ground: planner.Waterlogged, Use: Grove}, false},
		{"standing water", "Betula pubescens", plnv, Want{Ground: planner.Waterlogged, Use: Grove}, true},
	} {
		got := c.Rank(x.want)
		n := place(got, x.name)
		require.GreaterOrEqual(t, n, 0, "%s: %s", x.what, x.name)
		assert.Equal(t, x.barred, got[n].Barred, "%s: %s (%s)", x.what, x.name, x.source)
		if x.barred {
			assert.NotEmpty(t, got[n].Against)
		}
	}
	assert.Empty(t, c.Rank(Want{Purpose: "knitting"}))
	for _, r := range c.Rank(Want{Use: Windbreak, Layer: TreeLayer}) {
		assert.Equal(t, TreeLayer, r.Species.Layer)
	}
	assert.Len(t, c.Rank(Want{}), len(c.All()), "without a purpose, everything")
	coast := c.Rank(Want{Ground: planner.Damp, Use: Windbreak, Exposure: planner.Coastal})
	assert.Less(t, place(coast, "Prunus spinosa"), place(coast, "Betula pendula"), "blackthorn bears salt: PLANTATT 2004, S 1")
	chalk := c.Rank(Want{Ground: planner.Moist, Use: Grove, Soil: planner.Chalk})
	assert.Less(t, place(chalk, "Acer campestre"), place(chalk, "Sorbus aucuparia"), "field maple R 7, rowan R 3: PLANTATT 2004")
	sea := c.Rank(Want{Ground: planner.Damp, Use: Windbreak, Exposure: planner.Coastal, Country: "england"})
	assert.Less(t, place(sea, "Hippophae rhamnoides"), place(sea, "Betula pendula"), "sea buckthorn bears salt: PLANTATT 2004, S 3; barred by law only in Ireland")
}

func TestRankIsOrderedAndRepeatable(t *testing.T) {
	c := catalogue(t)
	rapid.Check(t, func(t *rapid.T) {
		want := Want{
			Ground:   rapid.SampledFrom(append([]planner.Moisture{""}, planner.Moistures...)).Draw(t, "ground"),
			Soil:     rapid.SampledFrom([]planner.Soil{"", planner.Clay, planner.Peat, planner.Chalk}).Draw(t, "soil"),
			PH:       rapid.SampledFrom([]float64{0, 4.5, 6, 7.5}).Draw(t, "ph"),
			Exposure: rapid.SampledFrom([]planner.Exposure{"", planner.Sheltered, planner.Exposed, planner.Coastal}).Draw(t, "exposure"),
			Use:      rapid.SampledFrom(append([]Use{""}, Uses...)).Draw(t, "use"),
			Native:   rapid.SampledFrom([]string{"", "britain", "ireland"}).Draw(t, "native"),
			Thorny:   rapid.Bool().Draw(t, "thorny"),
		}
		a, b := c.Rank(want), c.Rank(want)
		for i := range a {
			if a[i].Species != b[i].Species {
				t.Fatalf("two orders at %d", i)
			}
			if a[i].Barred && len(a[i].Against) == 0 {
				t.Fatalf("%s is barred without a reason", a[i].Species.Botanical)
			}
			if i == 0 {
				continue
			}
			if a[i-1].Barred && !a[i].Barred || a[i-1].Barred == a[i].Barred && a[i-1].Score < a[i].Score {
				t.Fatalf("%s stands before %s", a[i-1].Species.Botanical, a[i].Species.Botanical)
			}
		}
	})
}
