package species

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSpacing(t *testing.T) {
	const (
		rhs = "Royal Horticultural Society, Rootstocks for fruit, profile 359"
		gw  = "Greater Wellington Regional Council, Trees for shelter"
		cp  = "common practice"
	)
	for _, x := range []struct {
		species         string
		use             Use
		stock, form     string
		low, usual, top float64 // in the row
		row             float64 // usual gap between rows; 0 unknown
		source          string
	}{
		{"apple", Orchard, "M27", "", 1.2, 1.35, 1.5, 1.8, rhs},
		{"apple", Orchard, "M9", "", 2.4, 2.7, 3.0, 3.6, rhs},
		{"apple", Orchard, "M26", "", 2.4, 3.0, 3.6, 4.5, rhs},
		{"apple", Orchard, "MM106", "", 3.6, 3.6, 5.5, 4.5, rhs + "; Cornell Guide, Table 2, as the upper bound"},
		{"apple", Orchard, "M.M.106", "", 3.6, 3.6, 5.5, 4.5, "another spelling"},
		{"apple", Orchard, "mm 106", "bush", 3.6, 3.6, 5.5, 4.5, "a bush follows its rootstock"},
		{"apple", Orchard, "MM111", "", 4.5, 4.5, 5.5, 6, rhs + ", as recalled"},
		{"apple", Orchard, "M25", "standard", 6, 8, 10, 8, rhs + ", as recalled; Johnson quoting Natural England"},
		{"apple", Orchard, "", "standard", 8, 9, 10, 9, "Johnson, The Traditional British Orchard, quoting Natural England"},
		{"apple", Orchard, "MM106", "cordon", 0.6, 0.75, 0.9, 1.9, "Royal Horticultural Society, cordons, profile 87"},
		{"apple", Orchard, "MM106", "espalier", 3.75, 4.5, 6, 2.1, "Royal Horticultural Society, espaliers, profile 319"},
		{"apple", Orchard, "M27", "stepover", 1.2, 1.35, 1.5, 0, "as recalled"},
		{"apple", Orchard, "", "dwarf pyramid", 1.5, 1.75, 2, 2, "Appropedia, Fruit tree forms"},
		{"pear", Orchard, "Quince A", "", 3, 3.75, 4.5, 4.5, rhs},
		{"pear", Orchard, "Quince C", "", 2.5, 3.05, 3.6, 3.8, cp},
		{"pear", Orchard, "seedling pear", "", 8, 10, 12, 10, cp},
		{"plum", Orchard, "St Julien A", "", 3.6, 5, 5.5, 5, rhs + "; " + cp},
		{"damson", Orchard, "Pixy", "", 2.4, 2.7, 3, 3.6, cp},
		{"plum", Orchard, "Brompton", "", 8, 10, 12, 10, cp},
		{"sweet cherry", Orchard, "Colt", "", 6, 6, 6, 6, rhs},
		{"sweet cherry", Orchard, "Gisela 5", "", 3, 3.5, 4, 4.5, cp},
		{"sweet cherry", Orchard, "F12/1", "", 8, 10, 12, 10, cp},
		{"medlar", Orchard, "", "", 5, 5.5, 6, 5.5, "Royal Horticultural Society, medlars, profile 131"},
		{"quince", Orchard, "", "", 3.6, 4.05, 4.5, 4.05, "British fruit leaflet, quince and medlar"},
		{"walnut", Orchard, "", "", 12, 15, 18, 15, "Royal Horticultural Society wording on walnuts"},
		{"cobnut", Orchard, "", "", 4.5, 4.5, 4.5, 4.5, cp},
		{"sweet chestnut", Orchard, "", "", 6.1, 6.1, 12.2, 6.1, "Society of Ontario Nut Growers"},
		{"blackcurrant", Row, "", "", 1.5, 1.5, 1.8, 1.65, "Royal Horticultural Society, blackcurrants, profile 1027"},
		{"redcurrant", Row, "", "", 1.5, 1.5, 1.8, 1.65, "Royal Horticultural Society, profile 332"},
		{"gooseberry", Row, "", "", 1.2, 1.35, 1.5, 1.65, "Royal Horticultural Society, profile 332"},
		{"gooseberry", Row, "", "cordon", 0.30, 0.34, 0.38, 1.5, "Royal Horticultural Society, profile 332"},
		{"redcurrant", Row, "", "cordon", 0.38, 0.415, 0.45, 1.5, "Royal Horticultural Society, profile 332"},
		{"raspberry", Row, "", "", 0.45, 0.525, 0.6, 1.8, "Royal Horticultural Society, raspberries, profile 148"},
		{"blueberry", Row, "", "", 1.0, 1.5, 1.5, 2.25, "National Allotment Society; Royal Horticultural Society wording"},
		{"blackberry", Row, "", "", 2.5, 3.5, 4.5, 2.25, "Royal Horticultural Society, profile 977"},
		{"alder", Windbreak, "", "", 1.5, 2.25, 3, 2.25, gw},
		{"grey willow", Windbreak, "", "", 0.8, 1.15, 1.5, 2.25, gw},
		{"Scots pine", Windbreak, "", "", 1, 1.5, 2, 2.25, gw},
		{"leylandii", Windbreak, "", "", 1.5, 2.25, 3, 2.25, gw},
		{"western red cedar", Windbreak, "", "", 2, 2.75, 3.5, 2.25, gw},
		{"hawthorn", Windbreak, "", "", 1, 2, 2.5, 2, cp},
		{"hawthorn", Hedge, "", "", 0.2, 0.333, 0.5, 0.325, "England BN11 (0.333, rows 0.40); Northern Ireland; councils"},
		{"Leyland cypress", Hedge, "", "", 0.6, 0.75, 1, 0, cp},
		{"downy birch", Grove, "", "", 1.5, 2.5, 5, 2.5, cp},
	} {
		c := catalogue(t)
		got, ok := c.Spacing(find(t, x.species), x.use, x.stock, x.form)
		require.True(t, ok, "%s %s %s %s", x.species, x.use, x.stock, x.form)
		assert.InDeltaSlice(t, []float64{x.low, x.usual, x.top}, []float64{got.InRow.Low, got.InRow.Usual, got.InRow.High}, 1e-9, "%s %s %s %s: %s", x.species, x.use, x.stock, x.form, x.source)
		assert.Equal(t, x.row > 0, got.RowGap.Known, "%s %s", x.species, x.stock)
		assert.InDelta(t, x.row, got.RowGap.Usual, 1e-9, "%s %s: rows: %s", x.species, x.stock, x.source)
		assert.NotEmpty(t, got.For)
	}
}

// The figures that must fail or pass against the published range.
func TestSpacingLimits(t *testing.T) {
	for _, x := range []struct {
		species, stock, form string
		gap                  float64
		holds                bool
		source               string
	}{
		{"apple", "M9", "", 2.0, false, "Royal Horticultural Society: 2.4 m least"},
		{"apple", "M9", "", 2.4, true, "Royal Horticultural Society: 2.4 m least"},
		{"apple", "M27", "", 1.2, true, "Royal Horticultural Society"},
		{"apple", "MM106", "", 5.0, true, "between the Royal Horticultural Society's 3.6 and Cornell's 5.5 m"},
		{"apple", "M26", "espalier", 3.0, false, "Royal Horticultural Society: 3.75 m least"},
		{"apple", "M26", "espalier", 6.0, true, "Royal Horticultural Society"},
		{"gooseberry", "", "cordon", 0.35, true, "Royal Horticultural Society, profile 332"},
		{"gooseberry", "", "", 1.0, false, "Royal Horticultural Society, profile 332: 1.2 m least"},
		{"redcurrant", "", "", 1.5, true, "Royal Horticultural Society, profile 332"},
		{"raspberry", "", "", 0.40, false, "Royal Horticultural Society, profile 148: 0.45 m least"},
		{"raspberry", "", "", 0.50, true, "Royal Horticultural Society, profile 148"},
		{"blackcurrant", "", "", 1.4, false, "Royal Horticultural Society, profile 1027: 1.5 m least"},
		{"blackcurrant", "", "", 1.6, true, "Royal Horticultural Society, profile 1027"},
	} {
		got, ok := catalogue(t).Spacing(find(t, x.species), Orchard, x.stock, x.form)
		require.True(t, ok)
		assert.Equal(t, x.holds, got.InRow.Holds(x.gap), "%s %s %s at %g m: %s", x.species, x.stock, x.form, x.gap, x.source)
	}
	raspberry, _ := catalogue(t).Spacing(find(t, "raspberry"), Row, "", "")
	assert.False(t, raspberry.RowGap.Holds(1.5), "rows 1.8 m: Royal Horticultural Society, profile 148")
}

func TestDisagreementsOnSpacingStayVisible(t *testing.T) {
	c := catalogue(t)
	mm106, _ := c.Spacing(find(t, "apple"), Orchard, "MM106", "")
	var seen []float64
	for _, o := range mm106.Others {
		seen = append(seen, 10000/(o.InRow.Usual*o.RowGap.Usual))
	}
	require.Len(t, seen, 2)
	assert.InDelta(t, 617.3, seen[1], 0.5, "Royal Horticultural Society: 617.3 trees per hectare")
	assert.InDelta(t, 249.2, seen[0], 0.5, "Cornell Guide: 249.2 trees per hectare")
	alder, _ := c.Spacing(find(t, "grey alder"), Windbreak, "", "")
	require.NotEmpty(t, alder.Others)
	assert.Equal(t, 1.75, alder.Others[0].InRow.High, "NIAB apple guide: 1.0 to 1.75 m")
}

func TestSpacingUnknown(t *testing.T) {
	c := catalogue(t)
	_, ok := c.Spacing(find(t, "apple"), Orchard, "", "")
	assert.False(t, ok, "an apple without rootstock or form: spread unknown, so nothing is known")
	_, ok = c.Spacing(find(t, "apple"), Orchard, "MM999", "")
	assert.False(t, ok, "a rootstock that is not in the table")
	_, ok = c.Spacing(find(t, "hawthorn"), Single, "", "")
	assert.False(t, ok, "a single plant has no spacing")
	crab, ok := c.Spacing(find(t, "crab apple"), Orchard, "", "")
	require.True(t, ok)
	assert.Equal(t, 7.0, crab.InRow.Usual, "spread 6 and 1 m: growers' rule for an unknown rootstock, common practice")
	assert.Equal(t, 8.0, crab.RowGap.Usual, "spread 6 and 2 m: growers' rule for an unknown rootstock, common practice")
}

func TestRootstocks(t *testing.T) {
	const niab = "NIAB, crown rot and collar rot; Browne and Mircetich 1993; verdict derived"
	for _, x := range []struct {
		species, name, want, stake, wet, heavy, source string
		height                                         [2]float64
	}{
		{"apple", "M 27", "M27", "permanent", "", "", "Royal Horticultural Society, profile 359", [2]float64{1.2, 1.8}},
		{"apple", "m9", "M9", "permanent", "pass", "pass", niab, [2]float64{1.8, 2.4}},
		{"apple", "M26", "M26", "permanent", "warn", "warn", niab, [2]float64{2.4, 3}},
		{"apple", "M.M.106", "MM106", "first years", "fail", "warn", niab, [2]float64{3, 5}},
		{"apple", "MM111", "MM111", "first years", "warn", "pass", niab, [2]float64{4, 4.5}},
		{"apple", "M25", "M25", "first years", "", "", "no test in wet ground found", [2]float64{4, 5}},
		{"apple", "M116", "M116", "first years", "", "", "no test in wet ground found", [2]float64{3, 5}},
		{"quince", "Quince A", "Quince A", "first years", "", "", "Royal Horticultural Society, profile 359", [2]float64{3, 6}},
		{"pear", "quince c", "Quince C", "permanent", "", "", "common practice", [2]float64{3, 5}},
		{"plum", "Krymsk 1", "VVA-1", "first years", "", "", "Garden News 28 Aug 2018", [2]float64{2.5, 3}},
		{"damson", "Saint Julien A", "St Julien A", "first years", "", "", "Garden News 28 Aug 2018", [2]float64{3, 4.6}},
		{"sweet cherry", "gisela5", "Gisela 5", "permanent", "", "", "Royal Horticultural Society (older page)", [2]float64{3, 4}},
		{"sour cherry", "Colt", "Colt", "first years", "", "", "Royal Horticultural Society, profile 359", [2]float64{6, 8}},
	} {
		r, nearest := catalogue(t).Rootstock(find(t, x.species), x.name)
		require.NotNil(t, r, "%s: %v", x.name, nearest)
		assert.Equal(t, x.want, r.Name)
		assert.Equal(t, x.stake, r.Stake.V, "%s stake: %s", x.name, x.source)
		assert.Equal(t, x.wet, r.WetGround.V, "%s on wet ground: %s", x.name, x.source)
		assert.Equal(t, x.heavy, r.Heavy.V, "%s on heavy ground: %s", x.name, x.source)
		assert.Equal(t, x.height, [2]float64{r.Height.Low, r.Height.High}, "%s height: %s", x.name, x.source)
	}
	r, nearest := catalogue(t).Rootstock(find(t, "apple"), "MM160")
	assert.Nil(t, r)
	assert.Contains(t, nearest, "MM106")
	r, _ = catalogue(t).Rootstock(find(t, "apple"), "Colt")
	assert.Nil(t, r, "Colt is for cherries")
}
