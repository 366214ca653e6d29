package species

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/planner"
)

// letters stand for verdicts; a row of five is in the order of planner.Moistures.
var letters = map[byte]Verdict{'S': Suitable, 'M': Marginal, 'U': Unsuitable, '-': NoVerdict}

const (
	plnv = "verdict rule, ours, derived from PLANTATT (Hill, Preston and Roy 2004) Ellenberg F and Niinemets & Valladares 2006, Appendix A"
	hand = "verdict set by hand, ours"
)

// nan stands for a figure that no table gives.
var nan = math.NaN()

func TestMoistureVerdicts(t *testing.T) {
	for _, x := range []struct {
		botanical         string
		f, water, drought float64 // Ellenberg F; scores
		wet, dry          float64 // indices, to 0.01
		want, source      string
	}{
		{"Alnus glutinosa", 8, 3.9, 2.22, 3.70, 1.61, "USSSM", plnv},
		{"Betula pubescens", 7, 2.98, 1.27, 2.87, 1.51, "USSSU", plnv},
		{"Betula pendula", 5, 1.67, 1.85, 1.59, 2.43, "MSSMU", plnv},
		{"Salix cinerea", 8, 4.13, 0.11, 3.82, 0.56, "USSSS", plnv},
		{"Salix viminalis", 8, 3.9, 0.53, 3.70, 0.77, "USSSM", plnv},
		{"Salix alba", 7, 4.1, 2, 3.43, 1.88, "USSSM", plnv},
		{"Salix caprea", 7, 2.84, 2.24, 2.80, 2.00, "MSSSU", plnv},
		{"Crataegus monogyna", 5, 1.68, 3.46, 1.59, 3.23, "SSSMU", plnv},
		{"Prunus spinosa", 5, 1.68, 3.46, 1.59, 3.23, "SSSMU", plnv},
		{"Corylus avellana", 5, 1.68, 3.04, 1.59, 3.02, "SSSMU", plnv},
		{"Ilex aquifolium", 5, 1.39, 3.04, 1.45, 3.02, "SSMUU", plnv},
		{"Viburnum opulus", 7, 2.06, 2.21, 2.41, 1.98, "USSSU", plnv},
		{"Frangula alnus", 8, 3.19, 1.37, 3.35, 1.19, "USSSM", plnv},
		{"Prunus padus", 6, 3.19, 1.93, 2.60, 2.09, "MSSSU", plnv},
		{"Prunus avium", 5, 1.19, 2.66, 1.35, 2.83, "SSMUU", plnv},
		{"Quercus robur", 5, 1.89, 2.95, 1.70, 2.98, "SSSMU", plnv},
		{"Quercus petraea", 6, 1.2, 3.02, 1.60, 2.64, "MSSUU", plnv + "; wet by hand"},
		{"Fraxinus excelsior", 6, 2.7, 2.5, 2.35, 2.38, "MSSMU", plnv},
		{"Fagus sylvatica", 5, 1.02, 2.4, 1.26, 2.70, "MSMUU", plnv},
		{"Acer pseudoplatanus", 5, 1.1, 2.75, 1.30, 2.88, "SSMUU", plnv},
		{"Castanea sativa", 5, 1.32, 3.46, 1.41, 3.23, "SSMUU", plnv},
		{"Taxus baccata", 4, 1.32, 3.01, 1.16, 3.26, "SSMUU", plnv},
		{"Picea sitchensis", 7, 1.99, 1.52, 2.37, 1.64, "USSMU", plnv},
		{"Pinus contorta", 5, 2.7, 4.04, 2.10, 3.52, "SSSMU", plnv},
		{"Malus domestica", 5, 1.04, 3.04, 1.27, 3.02, "SSMUU", plnv},
		{"Prunus cerasifera", 5, 1.77, 2.9, 1.64, 2.95, "SSSMU", plnv},
		{"Ribes nigrum", 9, 2.83, 1.37, 3.54, 0.94, "MSSMU", plnv + "; crop; dry by hand"},
		{"Rubus fruticosus agg.", 6, nan, nan, 2.00, 2.25, "MSSMU", plnv},
		{"Vaccinium corymbosum", nan, 3.5, 2, 3.50, 2.00, "MSSMU", plnv + "; crop"},
		{"Cydonia oblonga", nan, 1.77, 3.88, 1.77, 3.88, "SSSMU", plnv},
		{"Prunus laurocerasus", 6, 1.41, 2.21, 1.71, 2.23, "MSSUU", plnv + "; wet by hand: garden.ie; Eastern Daily Press"},
		{"Alnus cordata", nan, nan, nan, nan, nan, "MSSMU", hand + ": Agroforestry Database 4.0"},
		{"Griselinia littoralis", nan, nan, nan, nan, nan, "-SMUU", hand + ": Irish Examiner arid-41855523"},
		{"Eucalyptus gunnii", nan, nan, nan, nan, nan, "-----", "no figure found"},
	} {
		t.Run(x.botanical, func(t *testing.T) {
			s := find(t, x.botanical)
			for _, n := range []struct {
				what string
				got  Num
				want float64
			}{{"F", s.EllenbergF, x.f}, {"waterlogging", s.WaterloggingTolerance, x.water}, {"drought", s.DroughtTolerance, x.drought}, {"wet index", s.WetIndex(), x.wet}, {"dry index", s.DryIndex(), x.dry}} {
				assert.Equal(t, !math.IsNaN(n.want), n.got.Known, "%s: %s", n.what, x.source)
				if n.got.Known {
					assert.InDelta(t, n.want, n.got.V, 0.0101, "%s: %s", n.what, x.source)
				}
			}
			for i, m := range planner.Moistures {
				assert.Equal(t, letters[x.want[i]], s.Suits(m).Verdict, "%s: %s", m, x.source)
			}
		})
	}
}

// overridden are the verdicts set by hand against the rule.
var overridden = map[string]planner.Moisture{
	"Quercus petraea": planner.Wet, "Pseudotsuga menziesii": planner.Wet, "Rubus idaeus": planner.Damp, "Ribes nigrum": planner.Dry, "Prunus laurocerasus": planner.Wet,
}

// Every verdict in the data is what the rule gives, but for those set by hand, which say so.
func TestVerdictsFollowTheRule(t *testing.T) {
	var byHand, none int
	for _, s := range catalogue(t).All() {
		if !s.WetIndex().Known {
			if len(s.Fit) == 0 {
				none++
				continue
			}
			byHand++
			assert.NotEmpty(t, s.FitNote, s.Botanical)
			for _, f := range s.Fit {
				assert.True(t, strings.HasPrefix(f.Source.Code, "HV"), s.Botanical)
			}
			continue
		}
		for _, m := range planner.Moistures {
			f := s.Suits(m)
			if strings.HasPrefix(f.Source.Code, "HV") {
				assert.Contains(t, overridden, s.Botanical)
				assert.NotEqual(t, s.ruleVerdict(m), f.Verdict, "%s on %s needs no override", s.Botanical, m)
				continue
			}
			assert.Equal(t, s.ruleVerdict(m), f.Verdict, "%s on %s: %s", s.Botanical, m, plnv)
		}
	}
	assert.Equal(t, 5, byHand, "all by hand: Italian alder, Leyland and Monterey cypress, griselinia, escallonia")
	assert.Greater(t, none, 0, "unknown stays unknown")
	for name, m := range overridden {
		assert.True(t, strings.HasPrefix(find(t, name).Suits(m).Source.Code, "HV"), name)
		assert.NotEmpty(t, find(t, name).FitNote, name)
	}
}

// The counts of the rows read in the tables themselves; rows taken over from another species carry "AS".
func TestCountsOfTheEcologyTables(t *testing.T) {
	var f, score, neither int
	counts := map[planner.Moisture][3]int{}
	for _, s := range catalogue(t).All() {
		if strings.HasPrefix(s.EllenbergF.Source.Code, "AS") {
			continue
		}
		if s.EllenbergF.Known {
			f++
		}
		if s.WaterloggingTolerance.Known {
			score++
		}
		if !s.EllenbergF.Known && !s.WaterloggingTolerance.Known {
			neither++
		}
		for _, m := range planner.Moistures {
			k := counts[m]
			switch s.Suits(m).Verdict {
			case Suitable:
				k[0]++
			case Marginal:
				k[1]++
			case Unsuitable:
				k[2]++
			}
			counts[m] = k
		}
	}
	assert.Equal(t, 107, f, "PLANTATT 2004: species with an F")
	assert.Equal(t, 113, score, "Niinemets & Valladares 2006: species with a score")
	assert.GreaterOrEqual(t, neither, 20)
	for m, want := range map[planner.Moisture][3]int{
		planner.Dry: {67, 29, 24}, planner.Moist: {121, 1, 0}, planner.Damp: {75, 47, 0}, planner.Wet: {24, 48, 50}, planner.Waterlogged: {6, 10, 106},
	} {
		assert.Equal(t, want, counts[m], "%s: suitable, marginal, unsuitable; %s", m, plnv)
	}
}

// Every canopy willow, alder and downy birch of the wet woodlands W1 to W6 suits wet ground.
func TestWetWoodlandsSuitWetGround(t *testing.T) {
	const rodwell = "Rodwell 1991, British Plant Communities 1, W1 to W6, as recalled; names in the Forestry Commission's semi-natural woodland guide 8"
	for _, name := range []string{"grey willow", "bay willow", "eared willow", "crack willow", "white willow", "osier", "almond willow", "purple willow", "common alder", "downy birch"} {
		assert.Equal(t, Suitable, find(t, name).Suits(planner.Wet).Verdict, "%s: %s", name, rodwell)
	}
	for _, name := range []string{"hazel", "hawthorn", "rowan", "bird cherry", "guelder rose", "ash", "alder buckthorn", "purging buckthorn", "elder"} {
		assert.NotEqual(t, Unsuitable, find(t, name).Suits(planner.Wet).Verdict, "%s: %s", name, rodwell)
	}
	for name, want := range map[string]Verdict{"hawthorn": Marginal, "blackthorn": Marginal, "holly": Unsuitable, "guelder rose": Suitable} {
		assert.Equal(t, want, find(t, name).Suits(planner.Wet).Verdict, "%s on a wet parcel: %s", name, plnv)
	}
}

func TestNoSpeciesImprovesAsTheGroundGetsWetter(t *testing.T) {
	worse := map[Verdict]int{Suitable: 0, Marginal: 1, Unsuitable: 2}
	for _, s := range catalogue(t).All() {
		if len(s.Fit) == 0 {
			continue
		}
		wet := []planner.Moisture{planner.Damp, planner.Wet, planner.Waterlogged}
		for i := 1; i < len(wet); i++ {
			assert.GreaterOrEqual(t, worse[s.Suits(wet[i]).Verdict], worse[s.Suits(wet[i-1]).Verdict], "%s from %s to %s", s.Botanical, wet[i-1], wet[i])
		}
		if s.Crop {
			assert.Equal(t, Unsuitable, s.Suits(planner.Waterlogged).Verdict, "%s is a crop", s.Botanical)
			assert.NotEqual(t, Suitable, s.Suits(planner.Wet).Verdict, "%s is a crop", s.Botanical)
		}
	}
}

func TestSward(t *testing.T) {
	c := catalogue(t)
	const table10 = "PLANTATT 2004, Ellenberg F, British values"
	mean := func(shares map[string]float64) float64 {
		sum, all := 0.0, 0.0
		for name, share := range shares {
			f, nearest := c.SwardF(name)
			require.True(t, f.Known, "%s, nearest %v", name, nearest)
			sum, all = sum+f.V*share, all+share
		}
		return sum / all
	}
	wet := mean(map[string]float64{"soft rush": 40, "creeping buttercup": 30, "Yorkshire fog": 30})
	assert.InDelta(t, 6.70, wet, 1e-9, table10)
	assert.Equal(t, planner.Wet, MoistureOf(wet))
	moist := mean(map[string]float64{"ryegrass": 70, "white clover": 30})
	assert.InDelta(t, 5.00, moist, 1e-9, table10)
	assert.Equal(t, planner.Moist, MoistureOf(moist))
	for name, want := range map[string]float64{"perennial ryegrass": 5, "Juncus inflexus": 7, "Yorkshire-fog": 6, "purple moor grass": 8, "yellow flag": 9, "bulrush": 10, "bramble": 6} {
		f, _ := c.SwardF(name)
		assert.Equal(t, want, f.V, "%s: %s", name, table10)
	}
	for f, want := range map[float64]planner.Moisture{1: "dry", 4.49: "dry", 4.5: "moist", 5.49: "moist", 5.5: "damp", 6.49: "damp", 6.5: "wet", 8.5: "wet", 8.51: "waterlogged", 12: "waterlogged"} {
		assert.Equal(t, want, MoistureOf(f), "mean F %g", f)
	}
	unknown, nearest := c.SwardF("soft rusch")
	assert.False(t, unknown.Known)
	assert.Equal(t, "soft rush", nearest[0])
	assert.Len(t, c.SwardPlants(), 24)
}

func TestMoistureNeverFallsAsTheMeanRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(1, 12).Draw(t, "a")
		b := rapid.Float64Range(a, 12).Draw(t, "b")
		if MoistureOf(b).Rank() < MoistureOf(a).Rank() {
			t.Fatalf("F %g is %s, but F %g is %s", a, MoistureOf(a), b, MoistureOf(b))
		}
	})
}

func TestReaction(t *testing.T) {
	const r = "PLANTATT 2004, Ellenberg R, classes ours"
	for _, x := range []struct {
		name, source string
		ph           float64
		want         Verdict
	}{
		{"rowan", r, 4.5, Suitable},
		{"Sitka spruce", r, 4.5, Suitable},
		{"spindle", r, 4.5, Unsuitable},
		{"spindle", r, 7.5, Suitable},
		{"field maple", r, 7.5, Suitable},
		{"rhododendron", r, 7.5, Unsuitable},
		{"Scots pine", r, 6, Unsuitable},
		{"white willow", r, 6, Unsuitable},
		{"alder", r, 6, NoVerdict},
		{"cider gum", r, 6, NoVerdict},
		{"blueberry", "Oregon State EC 1304 (Strik 2008): pH 4.5 to 5.5", 7.5, Unsuitable},
		{"blueberry", "Oregon State EC 1304 (Strik 2008): pH 4.5 to 5.5", 5, Suitable},
		{"blackcurrant", "University of Minnesota Extension: pH 5.5 to 7", 6, Suitable},
	} {
		got, _ := find(t, x.name).SuitsReaction(x.ph)
		assert.Equal(t, x.want, got, "%s at pH %g: %s", x.name, x.ph, x.source)
	}
}
