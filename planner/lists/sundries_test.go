package lists

import (
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

func TestMulchOfACircle(t *testing.T) {
	for _, row := range []struct {
		across, deep float64
		n            int
		m3, within   float64
		source       string
	}{
		{1.2, 0.075, 1, 0.0825, 0.00005, "pi/4 (1.2^2 - 0.2^2) x 0.075; weed-free circle 1.2 m and 10 cm collar (RHS wording, read in copies)"},
		{1.2, 0.075, 150, 12.37, 0.005, "150 trees"},
		{1.2, 0.075, 12, 0.99, 0.01, "12.1 trees to the m3"},
		{1.2, 0.05, 1, 0.0550, 0.00005, "the same, 5 cm deep"},
		{1.2, 0.10, 1, 0.1100, 0.00005, "the same, 10 cm deep"},
		{1.0, 0.075, 1, 0.0565, 0.0001, "1.0 m at planting (Countryside Stewardship TE3)"},
		{1.0, 0.075, 40, 2.26, 0.005, "40 bushes"},
		{1.0, 0.05, 1, 0.0377, 0.00005, "5 cm deep"},
		{1.0, 0.10, 1, 0.0754, 0.00005, "10 cm deep"},
	} {
		assert.InDelta(t, row.m3, float64(row.n)*CircleM2(row.across)*row.deep, row.within, row.source)
	}
}

// Hedges of one to three rows, fills, rows of bushes wide and close.
func TestMulch(t *testing.T) {
	field := func() *bench { return newBench().land(parcelOf("p", rect(-10, -10, 300, 100))) }
	long := func(rows int) *bench {
		return field().add(lineOf("h", planner.KindHedge, &planner.Hedge{Rows: rows}, at(0, 0), at(100, 0)),
			hedge(at(0, 0), at(100, 0), rows, setout.UseHedge, of(600, hawthorn, whip)))
	}
	row := func(s *species.Species, n int, spacing float64) *bench {
		l := &setout.Layout{Line: &setout.Line{}, Rows: []setout.RowLine{{SpacingM: spacing}}}
		for i := range n {
			l.Plants = append(l.Plants, setout.Plant{Number: i, At: at(float64(i)*spacing, 20), Species: s, Use: setout.UseRow, Listed: true})
		}
		return field().add(lineOf("r", planner.KindRow, &planner.Row{}, at(0, 20), at(float64(n)*spacing, 20)), l)
	}
	block := func(spacing, between float64) *bench {
		return field().add(polygonOf("g", planner.KindGrove, &planner.Block{}, rect(0, 0, 20, 20)),
			&setout.Layout{SpacingM: spacing, RowSpaceM: between, Plants: []setout.Plant{{At: at(5, 5), Species: alder, Use: setout.UseGrove, Listed: true}}})
	}
	sheeted := long(2)
	sheeted.features[1].Detail.(*planner.Hedge).Sheeted = true
	deep := long(2)
	deep.holding.ChipUse = &planner.ChipUse{MulchDepthM: 0.1}
	gated := long(2)
	gated.layouts[0].Line.Runs = []setout.Run{{FromM: 0, ToM: 40}, {FromM: 45, ToM: 100}}
	for _, c := range []struct {
		b      *bench
		want   float64
		source string
	}{
		{long(1), 100 * 0.9 * 0.075, "a strip of 1.0 m less 0.1 m along the stem row"},
		{long(2), 100 * 0.8 * 0.075, "less 0.1 m along each of two rows"},
		{long(3), 100 * 0.7 * 0.075, "less 0.1 m along each of three"},
		{gated, 95 * 0.8 * 0.075, "a gateway of 5 m is not mulched"},
		{deep, 100 * 0.8 * 0.1, "the user's own depth"},
		{sheeted, 0, "a sheeted hedge takes no chip"},
		{row(currant, 40, 1.5), 40 * 0.7540 * 0.075, "bushes 1.0 m across, rings apart"},
		{row(currant, 45, 0.45), 45 * (0.45 - 0.031416) * 0.075, "rings of 1.0 m at 0.45 m would overlap: a strip 1.0 m wide less the collars"},
		{row(alder, 10, 3), 10 * 1.0996 * 0.075, "trees 1.2 m across"},
		{block(2, 2), 1.0996 * 0.075, "a grove at 2 m: whole rings"},
		{block(0.8, 1), (0.8 - 0.031416) * 0.075, "a grove at 0.8 by 1 m: no more than a tree's own ground"},
		{row(alder, 10, 0.5), 10 * (0.6 - 0.031416) * 0.075, "trees at 0.5 m: a strip 1.2 m wide less the collars"},
	} {
		got := sundryOf(c.b.list().Sundries, "mulch", "wood chip")
		assert.InDelta(t, c.want, got.Quantity, 0.002, c.source)
		if c.want > 0 {
			assert.Equal(t, "m3", got.Unit)
			assert.Contains(t, got.Note, "m deep")
		}
	}
	sheet := sundryOf(sheeted.list().Sundries, "mulch", "sheet 0.45 m wide")
	assert.Equal(t, 100.0, sheet.Quantity, "Teagasc: used silage sheet 0.45 m wide")
	assert.Equal(t, "m", sheet.Unit)
}

// Which guard each kind of plant gets, from what browses.
func TestGuards(t *testing.T) {
	plant := func(use setout.Use, s *species.Species, root string) setout.Plant {
		return setout.Plant{Feature: &planner.Feature{ID: "x", Detail: &planner.Hedge{}}, Use: use, Species: s, Rootstock: root, Listed: true}
	}
	thorn, tree, fruit := plant(setout.UseHedge, hawthorn, ""), plant(setout.UseWindbreak, hawthorn, ""), plant(setout.UseOrchard, apple, "MM106")
	bush, herb, holl := plant(setout.UseRow, currant, ""), plant(setout.UseRow, strawberry, ""), plant(setout.UseHedge, holly, "")
	sheet := func(p setout.Plant) setout.Plant {
		p.Feature = &planner.Feature{ID: "x", Detail: &planner.Hedge{Sheeted: true}}
		return p
	}
	standard := sheet(plant(setout.UseTree, beech, ""))
	for _, row := range []struct {
		p        setout.Plant
		browsing string
		kind     string
		height   float64
		stops    string
		misses   string
		source   string
	}{
		{thorn, "", "", 0, "", "", "nothing browses"},
		{thorn, "rabbits", "spiral", 0.6, "rabbits", "", "rabbit 0.6 m (forestry guidance, from memory); a 600 mm spiral and cane on a hedge of 5,200 plants"},
		{thorn, "rabbits hares", "spiral", 0.75, "rabbits hares", "", "hare 0.75 m"},
		{thorn, "rabbits roe", "spiral", 0.6, "rabbits", "roe", "spirals do not stop deer"},
		{thorn, "rabbits voles", "spiral", 0.6, "rabbits voles", "", "pushed into the ground"},
		{thorn, "roe", "tube", 1.2, "roe", "", "a spiral would stop nothing: roe 1.2 m"},
		{thorn, "red", "mesh", 1.8, "red", "", "red and fallow 1.8 m"},
		{thorn, "voles", "tube", 0.2, "voles", "", "a collar (common practice)"},
		{sheet(thorn), "rabbits", "", 0, "", "", "pruned to the ground and sheeted (Teagasc)"},
		{sheet(holl), "rabbits", "spiral", 0.6, "rabbits", "", "holly is not pruned"},
		{standard, "rabbits", "tube", 0.6, "rabbits", "", "except future trees (Teagasc)"},
		{tree, "rabbits", "tube", 0.6, "rabbits", "", "planted as a tree"},
		{tree, "hares", "tube", 0.75, "hares", "", "hare 0.75 m"},
		{tree, "rabbits roe", "tube", 1.2, "rabbits roe", "", "roe 1.2 m"},
		{tree, "roe fallow", "mesh", 1.8, "roe fallow", "", "fallow 1.8 m"},
		{tree, "voles fallow", "mesh", 1.8, "fallow", "voles", "mesh lets voles through"},
		{fruit, "rabbits", "mesh", 0.6, "rabbits", "", "a grafted tree comes with a head"},
		{fruit, "roe", "mesh", 1.2, "roe", "", "roe 1.2 m"},
		{bush, "rabbits", "mesh", 0.6, "rabbits", "", "round a bush"},
		{bush, "voles", "", 0, "", "", "no guard keeps voles off a bush"},
		{herb, "rabbits", "", 0, "", "", "too low for a guard of its own"},
	} {
		for _, set := range []string{"", "general", "scotland"} {
			b := newBench()
			b.holding.Browsing = strings.Fields(row.browsing)
			p, s, _ := b.plan()
			out := &setout.Result{Layouts: []*setout.Layout{{Feature: row.p.Feature, Plants: []setout.Plant{row.p}}}}
			var got []Guard
			if set == "" {
				got = GuardsFor(p, s, out, nil)
			} else {
				got = GuardsFor(p, s, out, ruleSet(t, set))
			}
			require.Len(t, got, 1)
			if row.kind == "" {
				assert.Nil(t, got[0].Browse, row.source)
				assert.Equal(t, row.browsing != "", got[0].Bare != "", "a plant that is left bare has a reason: %s", row.source)
				continue
			}
			require.NotNil(t, got[0].Browse, row.source)
			g := got[0].Browse
			assert.Equal(t, row.kind, g.Kind, row.source)
			assert.Equal(t, row.height, g.HeightM, row.source)
			assert.ElementsMatch(t, strings.Fields(row.stops), g.Stops, row.source)
			assert.ElementsMatch(t, strings.Fields(row.misses), g.Misses, row.source)
			for _, a := range g.Stops {
				assert.True(t, got[0].Stops(a))
			}
			for _, a := range g.Misses {
				assert.False(t, got[0].Stops(a))
			}
		}
	}
}

// Guards against grazing: fruit trees and single trees, as high as the rule set asks for the animals of the parcel.
func TestStockGuards(t *testing.T) {
	for _, row := range []struct {
		grazed string
		set    string
		height float64
		misses string
		source string
	}{
		{"", "general", 0, "", "not grazed"},
		{"sheep", "general", 1.5, "", "Countryside Stewardship TE8: at least 1.5 m"},
		{"sheep", "scotland", 1.1, "", "Scottish guidance 2015-16: sheep 1.1 m to the top rail"},
		{"cattle", "general", 2.0, "", "Countryside Stewardship TE7: at least 2.0 m"},
		{"cattle", "scotland", 1.2, "", "Scottish guidance 2015-16: cattle 1.2 m"},
		{"sheep cattle", "general", 2.0, "", "the taller of the two"},
		{"horses", "general", 1.8, "", "Scottish guidance 2015-16: horses 1.8 m"},
		{"goats", "general", 1.8, "", "Scottish guidance 2015-16: goats 1.8 m"},
		{"poultry", "general", 0, "", "poultry need no guard"},
		{"pigs", "general", 0, "", "no height is known that keeps pigs off"},
		{"pigs sheep", "general", 1.5, "pigs", "a guard against the sheep, and it says that pigs pass it"},
	} {
		b := newBench().land(parcelOf("p", rect(0, 0, 50, 50), strings.Fields(row.grazed)...))
		b.single("tree", at(10, 10), beech, whip).single("bush", at(20, 10), currant, whip).single("far", at(80, 10), beech, whip)
		p, s, out := b.plan()
		got := GuardsFor(p, s, out, ruleSet(t, row.set)) // bush, far, tree
		assert.Nil(t, got[0].Stock, "a bush has no stock guard")
		assert.Nil(t, got[1].Stock, "outside the parcel")
		if row.height == 0 {
			assert.Nil(t, got[2].Stock, row.source)
			continue
		}
		require.NotNil(t, got[2].Stock, row.source)
		assert.Equal(t, row.height, got[2].Stock.HeightM, row.source)
		assert.ElementsMatch(t, strings.Fields(row.misses), got[2].Stock.Misses, row.source)
	}
}

// An orchard with a fence all round needs no guards against stock.
func TestFencedOrchard(t *testing.T) {
	ring := orb.LineString{{19, 19}, {61, 19}, {61, 41}, {19, 41}, {19, 19}}
	build := func(fence orb.LineString, stockproof bool) *bench {
		b := newBench().land(parcelOf("p", rect(0, 0, 100, 100), "sheep"))
		b.add(polygonOf("o", planner.KindOrchard, &planner.Block{}, rect(20, 20, 40, 20)),
			&setout.Layout{Plants: []setout.Plant{{At: at(30, 30), Species: apple, Rootstock: "M25", Use: setout.UseOrchard, Listed: true}}})
		f := lineOf("fence", planner.KindFence, &planner.Fence{Stockproof: stockproof}, fence...)
		return b.land(f)
	}
	guards := func(b *bench) float64 { return sundryOf(b.list().Sundries, "guard", "").Quantity }
	assert.Equal(t, 0.0, guards(build(ring, true)), "fenced all round")
	assert.Equal(t, 1.0, guards(build(ring, false)), "the fence is not stockproof")
	assert.Equal(t, 1.0, guards(build(ring[:4], true)), "one side open")
	gate := build(orb.LineString{{19, 25}, {19, 19}, {61, 19}, {61, 41}, {19, 41}, {19, 40}}, true)
	assert.Equal(t, 1.0, guards(gate), "an opening of 15 m")
	gate.land(&planner.Feature{ID: "gate", Kind: planner.KindGateway, Sound: true, Detail: &planner.Gateway{WidthM: 4}, Shape: planner.Shape{Points: []orb.Point{{19, 30}}}})
	gate.features[2].Shape.Lines[0][0], gate.features[2].Shape.Lines[0][5] = at(19, 28), at(19, 32)
	assert.Equal(t, 0.0, guards(gate), "a gateway counts as shut")
}

func TestStakes(t *testing.T) {
	cat := catalogue(t)
	for _, row := range []struct {
		root   string
		s      *species.Species
		use    setout.Use
		kind   string
		source string
	}{
		{"M27", apple, setout.UseOrchard, "permanent", "RHS, Rootstocks for fruit: permanent"},
		{"M9", apple, setout.UseOrchard, "permanent", "RHS, Rootstocks for fruit: permanent"},
		{"m.26", apple, setout.UseOrchard, "permanent", "RHS, Rootstocks for fruit: permanent"},
		{"MM106", apple, setout.UseOrchard, "for the first years", "up to 5 years (RHS, from memory)"},
		{"M25", apple, setout.UsePlant, "for the first years", "3 to 5 years (RHS, from memory)"},
		{"unheard of", apple, setout.UseOrchard, "need not known", "not in the catalogue"},
		{"", apple, setout.UseOrchard, "need not known", "no rootstock stated"},
		{"", apple, setout.UseHedge, "", "a crab in a hedge is no fruit tree"},
		{"", currant, setout.UseRow, "", "bushes are not staked"},
		{"", beech, setout.UsePlant, "", "forest transplants are not staked"},
	} {
		b := newBench()
		p, s, _ := b.plan()
		f := pointOf("t", at(0, 0))
		out := &setout.Result{Layouts: []*setout.Layout{{Feature: f, Plants: []setout.Plant{{Feature: f, Species: row.s, Name: "x", Rootstock: row.root, Use: row.use, Listed: true}}}}}
		l := Make(p, s, out, cat, nil)
		stake, tie := sundryOf(l.Sundries, "stake", ""), sundryOf(l.Sundries, "tie", "")
		assert.Equal(t, row.kind, stake.Kind, "%s: %s", row.root, row.source)
		assert.Equal(t, stake.Quantity, tie.Quantity, "a tie for each stake")
		if row.kind == "" {
			assert.Zero(t, stake.Quantity, row.source)
		} else {
			assert.Equal(t, 1.0, stake.Quantity, row.source)
		}
	}
}

// A rootstock that the catalogue says needs no stake has none.
func TestNoStakeWhereNoneIsNeeded(t *testing.T) {
	n := newNames(nil)
	n.stocks["seedling"] = []*species.Rootstock{{Name: "Seedling", Stake: species.Word{V: "no", Known: true}}}
	assert.Empty(t, n.stake(rooted{apple, "seedling"}).kind)
	n.stocks["seedling"][0].Stake.V = "permanent"
	assert.Equal(t, "permanent", n.stake(rooted{apple, "Seedling"}).kind)
}
