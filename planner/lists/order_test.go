package lists

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"quickthorn/geo"
	"quickthorn/planner"
)

func TestBundles(t *testing.T) {
	for _, row := range []struct {
		n, bundle, want int
		class           StockClass
		source          string
	}{
		{600, 25, 24, BareRoot, "bundles of 25, one species each (common practice): 600 / 25"},
		{601, 25, 25, BareRoot, "one plant more opens a bundle"},
		{667, 25, 27, BareRoot, "667 / 25 = 26.68"},
		{252, 25, 11, BareRoot, "worked example: 252 / 25 = 10.08"},
		{1, 25, 1, BareRoot, "ceil(1 / 25)"},
		{25, 25, 1, BareRoot, "exactly one"},
		{100, 50, 2, BareRoot, "the holding's own bundle"},
		{0, 25, 0, BareRoot, "nothing to order"},
		{600, 25, 0, CellGrown, "bundles are for bare-root stock only"},
		{600, 25, 0, Potted, "bundles are for bare-root stock only"},
		{600, 25, 0, Grafted, "bundles are for bare-root stock only"},
		{600, 25, 0, Cuttings, "bundles are for bare-root stock only"},
		{600, 25, 0, UnknownStock, "unknown stock is not known to be bundled"},
		{600, 0, 0, BareRoot, "no size of bundle known"},
	} {
		assert.Equal(t, row.want, Bundles(row.n, row.bundle, row.class), "%d in %d of %q (%s)", row.n, row.bundle, row.class, row.source)
	}
}

// The published wildlife hedge mix of a Scottish coast and countryside trust, 40/30/10/5/5/5/5, in bundles of 25.
func TestMixInBundles(t *testing.T) {
	mix := []float64{40, 30, 10, 5, 5, 5, 5}
	for _, row := range []struct {
		n      int
		counts []int
		buys   []int
		total  int
		source string
	}{
		{500, []int{200, 150, 50, 25, 25, 25, 25}, []int{200, 150, 50, 25, 25, 25, 25}, 500, "whole bundles"},
		{600, []int{240, 180, 60, 30, 30, 30, 30}, []int{250, 200, 75, 50, 50, 50, 50}, 725, "725 bought for 600"},
	} {
		counts := geo.LargestRemainder(mix, row.n)
		assert.Equal(t, row.counts, counts, row.source)
		total := 0
		for i, n := range counts {
			got := 25 * Bundles(n, 25, BareRoot)
			assert.Equal(t, row.buys[i], got, row.source)
			total += got
		}
		assert.Equal(t, row.total, total, row.source)
	}
}

func TestSpare(t *testing.T) {
	for _, row := range []struct {
		n       int
		percent float64
		class   StockClass
		want    int
		source  string
	}{
		{229, 10, BareRoot, 23, "worked example: ceil(22.9)"},
		{600, 10, BareRoot, 60, "an added share: 660 ordered, not the 667 that a survival of 0.90 would ask"},
		{30, 10, BareRoot, 3, "exactly 3: rounding of the arithmetic must not make it 4"},
		{70, 10, BareRoot, 7, "exactly 7"},
		{1500, 2.2, BareRoot, 33, "exactly 33, though binary arithmetic makes it 33.00000000000001"},
		{10, 10, BareRoot, 1, "a line of 10 has spares"},
		{9, 10, BareRoot, 0, "a line under 10 has none"},
		{11, 10, BareRoot, 2, "ceil(1.1)"},
		{100, 0, BareRoot, 0, "the user wants none"},
		{100, 20, CellGrown, 20, "15 to 20 % on wet clay (common practice)"},
		{100, 10, Cuttings, 10, "cuttings have spares"},
		{100, 10, UnknownStock, 10, "unknown stock has spares"},
		{100, 10, Grafted, 0, "grafted stock has none"},
		{100, 10, Potted, 0, "pots have none"},
	} {
		assert.Equal(t, row.want, Spare(row.n, row.percent, row.class), "%d at %v %% of %q (%s)", row.n, row.percent, row.class, row.source)
	}
}

func TestStockKind(t *testing.T) {
	for _, row := range []struct {
		stock string
		want  StockClass
	}{
		{"bare-root 40-60 cm", BareRoot}, {"Bare root transplant 60-80", BareRoot}, {"bareroot whips", BareRoot}, {"bare-rooted", BareRoot},
		{"1+1 40-60 cm", BareRoot}, {"1u1 60-90", BareRoot}, {"bare-root bush", BareRoot}, {"whip", BareRoot}, {"BARE\u2011ROOT", BareRoot},
		{"cell-grown 20-40 cm", CellGrown}, {"plug plants", CellGrown}, {"cell grown", CellGrown},
		{"rooted cutting", Cuttings}, {"unrooted cuttings 30 cm", Cuttings}, {"willow sets", Cuttings},
		{"pot-grown", Potted}, {"2 litre pot", Potted}, {"10L", Potted}, {"P9", Potted}, {"rootballed", Potted}, {"root-balled 1.5 m", Potted}, {"container-grown", Potted},
		{"grafted one-year", Grafted}, {"maiden", Grafted}, {"one-year maiden, bare-root", Grafted}, {"grafted, 12 litre pot", Grafted},
		{"", UnknownStock}, {"runner", UnknownStock}, {"seed potatoes", UnknownStock}, {"from the neighbour", UnknownStock}, {"60-80 cm", UnknownStock},
	} {
		assert.Equal(t, row.want, StockKind(row.stock), row.stock)
	}
}

// One order line is one species, cultivar, rootstock and stock; case, spaces and the trade's free spelling do not part lines.
func TestOrderLines(t *testing.T) {
	b := newBench().land(parcelOf("p", rect(0, 0, 100, 100)))
	b.single("a", at(10, 10), hawthorn, "bare-root 40-60 cm")
	b.single("b", at(20, 10), hawthorn, " Bare-root  40-60 cm")
	b.single("c", at(30, 10), hawthorn, "bare-root 60-80 cm")
	for i, root := range []string{"MM106", "mm 106", "MM.106", "M25"} {
		b.single("t"+string(rune('a'+i)), at(40+5*float64(i), 40), apple, "grafted one-year")
		q := &b.layouts[len(b.layouts)-1].Plants[0]
		q.Rootstock, q.Cultivar = root, "Egremont Russet"
	}
	l := b.list()
	got := map[string]int{}
	for _, o := range l.Order {
		got[o.English+"|"+o.Rootstock+"|"+o.Stock] = o.Plants
	}
	assert.Equal(t, map[string]int{"hawthorn||Bare-root 40-60 cm": 2, "hawthorn||bare-root 60-80 cm": 1,
		"apple|MM.106|grafted one-year": 3, "apple|M25|grafted one-year": 1}, got)
	assert.Equal(t, 7, l.TotalPlants)
	for _, p := range area(t, l, "p").Plants {
		switch {
		case p.Rootstock == "MM.106":
			assert.Equal(t, []string{"ta", "tb", "tc"}, p.Features)
		case p.Stock == "Bare-root 40-60 cm":
			assert.Equal(t, []string{"a", "b"}, p.Features)
		}
	}
}

func TestPrices(t *testing.T) {
	b := worked()
	b.holding.Prices = []byte(`{"currency": "GBP", "hawthorn": 0.5, "crataegus monogyna | bare-root transplant 40-60 cm": 0.6, "apple": 15, "apple | Egremont  russet": 20,
		"cell-grown 20-40 cm": 1.5, "fence": 8, "stock guard 1.5 m": 100, "guard": 0.3, "bad": -1, "worse": "2"}`)
	b.holding.Browsing = []string{"rabbits"}
	p, s, out := b.plan()
	l := Make(p, s, out, catalogue(t), nil)
	price := map[string]float64{}
	for _, o := range l.Order {
		if o.Price != nil {
			price[o.English+o.Cultivar] = *o.Price
		}
	}
	assert.Equal(t, map[string]float64{"hawthorn": 151.2, "appleEgremont Russet": 480, "appleJames Grieve": 360, "holly": 96}, price,
		"the key that says most holds: 252 x 0.60, 24 x 20, 24 x 15, 64 x 1.50")
	for _, row := range []struct {
		item, kind string
		want       float64
	}{{"fence", "", 388}, {"guard", "stock guard 1.5 m", 4900}, {"guard", "spiral 0.6 m", 93.3}, {"guard", "tube 0.6 m", 20.4}, {"guard", "mesh 0.6 m", 14.4}} {
		got := sundryOf(l.Sundries, row.item, row.kind)
		if assert.NotNil(t, got.Price, row.kind) {
			assert.Equal(t, row.want, *got.Price, row.kind)
		}
	}
	assert.Nil(t, sundryOf(l.Sundries, "mulch", "").Price, "nothing is priced that the user has not priced")
	assert.Equal(t, 151.2+480+360+96+388+4900+93.3+20.4+14.4, l.Cost.Total)
	assert.Len(t, l.Notes, 2, "the two that are no prices: %v", l.Notes)

	b.holding.Prices = []byte(`{"guard": 0.3, "stock guard": 90, "mulch": 25, "apple | MM106": 10, "James Grieve": 12, "MM 106": 9}`)
	p, s, out = b.plan()
	l = Make(p, s, out, catalogue(t), nil)
	assert.Equal(t, 48*90.0+90, *sundryOf(l.Sundries, "guard", "stock guard 1.5 m").Price, "a stock guard is not priced as a spiral")
	for _, o := range l.Order {
		switch o.Cultivar {
		case "James Grieve":
			assert.Equal(t, 12.0, *o.PriceEach, "a cultivar says more than species and rootstock together")
		case "Egremont Russet":
			assert.Equal(t, 10.0, *o.PriceEach, "two terms say more than one")
		}
	}
	b.features[2].Detail.(*planner.Hedge).Sheeted = true // the lane hedge
	b.holding.Prices = []byte(`{"mulch": 25}`)
	l = b.list()
	assert.Nil(t, sundryOf(l.Sundries, "mulch", "sheet 0.45 m wide").Price, "a metre of sheet is not priced as a cubic metre of chip")
	assert.NotNil(t, sundryOf(l.Sundries, "mulch", "wood chip").Price)

	none := worked().list()
	assert.Nil(t, none.Cost)
	for _, raw := range []string{`[]`, `"x"`, `7`} {
		b := worked()
		b.holding.Prices = []byte(raw)
		l := b.list()
		assert.Len(t, l.Notes, 1, raw)
		assert.Zero(t, l.Cost.Total, raw)
	}
}
