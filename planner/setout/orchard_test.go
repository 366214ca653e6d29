package setout_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

func orchard(w, h, s float64, trees ...planner.Tree) *planner.Feature {
	return block("o", planner.KindOrchard, rectangle(w, h), planner.Block{Pattern: "square", SpacingM: s, MarginM: s / 2, BearingDeg: 90, Trees: trees}, "margin_m")
}

func apple(cultivar string, count int, share float64) planner.Tree {
	return planner.Tree{Species: "apple", Cultivar: cultivar, Rootstock: "MM106", Count: count, SharePercent: share}
}

// unserved counts the trees that want a partner and have none within reach (18 m for insects: Royal Horticultural Society,
// Fruit pollination).
func unserved(t *testing.T, l *setout.Layout, within float64) int {
	cat := catalogue(t)
	fruiting := make([]species.Fruiting, len(l.Plants))
	for i, p := range l.Plants {
		fruiting[i].Species = p.Species
		fruiting[i].Cultivar, _ = cat.Cultivar(p.Species, p.Cultivar)
		require.NotNil(t, fruiting[i].Cultivar, p.Cultivar)
	}
	n := 0
	for i, p := range l.Plants {
		if need, _ := species.NeedOf(fruiting[i]); need == species.NeedNone {
			continue
		}
		served := false
		for k, q := range l.Plants {
			served = served || k != i && geo.Dist(p.At, q.At) <= within && species.Compatible(fruiting[i], fruiting[k]).Setting.Works()
		}
		if !served {
			n++
		}
	}
	return n
}

// Trees are arranged so that each has a partner within reach wherever the numbers allow it.
func TestOrchardArrangement(t *testing.T) {
	cases := []struct {
		name    string
		w, h, s float64
		trees   []planner.Tree
		most    int // trees that may be left without
	}{
		{"two kinds by halves", 40, 30, 5, []planner.Tree{apple("James Grieve", 0, 50), apple("Egremont Russet", 0, 50)}, 0},
		{"one donor in ten, 8 m apart", 96, 80, 8, []planner.Tree{apple("Egremont Russet", 108, 0), apple("James Grieve", 12, 0)}, 0},
		{"two donors in a long orchard", 160, 16, 8, []planner.Tree{apple("Egremont Russet", 32, 0), apple("James Grieve", 8, 0)}, 0},
		{"a donor for nobody else's pollen: triploids and one donor kind", 80, 64, 8, []planner.Tree{apple("Bramley's Seedling", 60, 0), apple("James Grieve", 12, 0), apple("Egremont Russet", 8, 0)}, 0},
		{"one donor serves those about it", 40, 40, 8, []planner.Tree{apple("Egremont Russet", 24, 0), apple("James Grieve", 1, 0)}, 4},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			l := set(t, plan(t, orchard(c.w, c.h, c.s, c.trees...)), "general").Of("o")
			require.Empty(t, l.Failed)
			require.Empty(t, l.Remarks)
			got := map[string]int{}
			for _, p := range l.Plants {
				got[p.Cultivar]++
			}
			for _, tr := range c.trees {
				if tr.Count > 0 {
					assert.Equal(t, tr.Count, got[tr.Cultivar], "an exchange changes no count")
				}
			}
			assert.LessOrEqual(t, unserved(t, l, 18), c.most)
		})
	}
}

func TestOrchardCounts(t *testing.T) {
	cases := []struct {
		name     string
		trees    []planner.Tree
		want     map[string]int
		severity planner.Severity
	}{
		{"fewer than there is room for", []planner.Tree{apple("James Grieve", 20, 0), apple("Discovery", 20, 0)}, map[string]int{"James Grieve": 20, "Discovery": 20}, planner.Note},
		{"more than there is room for", []planner.Tree{apple("James Grieve", 60, 0), apple("Discovery", 36, 0)}, map[string]int{"James Grieve": 30, "Discovery": 18}, planner.Stop},
		{"just enough", []planner.Tree{apple("James Grieve", 30, 0), apple("Discovery", 18, 0)}, map[string]int{"James Grieve": 30, "Discovery": 18}, ""},
		{"shares", []planner.Tree{apple("James Grieve", 0, 70), apple("Discovery", 0, 30)}, map[string]int{"James Grieve": 34, "Discovery": 14}, ""},
		{"counts, and shares of the rest", []planner.Tree{apple("James Grieve", 8, 0), apple("Discovery", 0, 50), apple("Egremont Russet", 0, 50)}, map[string]int{"James Grieve": 8, "Discovery": 20, "Egremont Russet": 20}, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			l := set(t, plan(t, orchard(40, 30, 5, c.trees...)), "general").Of("o")
			got := map[string]int{}
			for _, p := range l.Plants {
				got[p.Cultivar]++
			}
			assert.Equal(t, c.want, got)
			assert.Equal(t, 48, l.Holds)
			if c.severity == "" {
				assert.Empty(t, l.Remarks)
				return
			}
			require.Len(t, l.Remarks, 1)
			assert.Equal(t, c.severity, l.Remarks[0].Severity)
			assert.Contains(t, l.Remarks[0].Message, "48")
		})
	}
}

// The spacing that the plan leaves open is the rootstock's, and the margin half of it.
func TestOrchardSpacingFromRootstock(t *testing.T) {
	cases := []struct {
		stock  string
		want   float64
		source string
	}{
		{"M9", 2.7, "Royal Horticultural Society, M9: 2.4 to 3.0 m, middle"},
		{"M26", 3.0, "Royal Horticultural Society, M26: 2.4 to 3.6 m, middle"},
		{"MM106", 3.6, "Royal Horticultural Society, MM106: 3.6 m"},
	}
	for _, c := range cases {
		f := block("o", planner.KindOrchard, rectangle(40, 30), planner.Block{Pattern: "square", Auto: true, Trees: []planner.Tree{{Species: "apple", Cultivar: "Discovery", Rootstock: c.stock, SharePercent: 100}}})
		p := plan(t, f)
		out := set(t, p, "general")
		l := out.Of("o")
		assert.InDelta(t, c.want, l.SpacingM, 1e-9, c.source)
		assert.InDelta(t, c.want/2, l.MarginM, 1e-9)
		used := setout.Defaults(p, out, ruleset(t, "general"))
		assert.InDelta(t, c.want, used["orchard.spacing_m"].Value, 1e-9)
		assert.InDelta(t, c.want/2, used["orchard.margin_m"].Value, 1e-9)
	}
}

// A grove stands in groups of 3 to 7 of a kind: neighbours on the ground, never scattered one by one.
func TestGroveGroups(t *testing.T) {
	for _, pattern := range []string{"triangle", "square", "scatter"} {
		f := block("g", planner.KindGrove, rectangle(60, 40), planner.Block{Pattern: pattern, SpacingM: 2.5, Auto: true, Mix: []planner.Share{
			{Species: "common alder", SharePercent: 40}, {Species: "grey willow", SharePercent: 25}, {Species: "downy birch", SharePercent: 20}, {Species: "aspen", SharePercent: 15}}})
		l := set(t, plan(t, f), "general").Of("g")
		require.Greater(t, len(l.Plants), 150)
		alone := 0
		for i, p := range l.Plants {
			kin := false
			for k, q := range l.Plants {
				kin = kin || k != i && q.Name == p.Name && geo.Dist(p.At, q.At) <= 2*2.5
			}
			if !kin {
				alone++
			}
		}
		assert.LessOrEqual(t, alone, len(l.Plants)/50, "%s: trees without one of their kind within two spacings", pattern)
		assert.InDelta(t, 0.4*float64(len(l.Plants)), float64(bySpecies(l)["Alnus glutinosa"]), 1, pattern)
	}
}

func TestOneIsThatOfAll(t *testing.T) {
	p := largePlan(t, 2000)
	all := set(t, p, "general")
	for _, l := range all.Layouts {
		one, err := setout.One(t.Context(), p, catalogue(t), ruleset(t, "general"), l.Feature.ID)
		require.NoError(t, err)
		assert.Equal(t, l, one, fmt.Sprint(l.Feature.ID))
	}
	none, err := setout.One(t.Context(), p, catalogue(t), ruleset(t, "general"), "nothing")
	require.NoError(t, err)
	assert.Nil(t, none)
}
