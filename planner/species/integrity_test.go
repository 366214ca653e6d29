package species

import (
	"encoding/csv"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

func TestSizeOfTheCatalogue(t *testing.T) {
	c := catalogue(t)
	assert.GreaterOrEqual(t, len(c.All()), 120, "species")
	assert.GreaterOrEqual(t, len(c.Cultivars(nil)), 120, "cultivars")
	assert.GreaterOrEqual(t, len(c.Rootstocks(nil)), 20, "rootstocks")
	n := 0
	for _, s := range c.All() {
		n += countSourced(reflect.ValueOf(*s))
	}
	assert.Greater(t, n, 4000, "sourced values of species")
	t.Logf("%d species, %d cultivars, %d rootstocks, %d spacings, %d ambiguous names, %d sources, %d sourced values of species",
		len(c.All()), len(c.Cultivars(nil)), len(c.Rootstocks(nil)), len(c.spacings), len(c.Ambiguous()), len(c.Sources()), n)
}

// countSourced counts the Source fields that are filled, at any depth.
func countSourced(v reflect.Value) int {
	if s, ok := v.Interface().(planner.Source); ok {
		if s.Code != "" {
			return 1
		}
		return 0
	}
	n := 0
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).Name != "GreatestHeight" && v.Type().Field(i).Name != "Stock" {
				n += countSourced(v.Field(i))
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			n += countSourced(v.Index(i))
		}
	case reflect.Map:
		for _, k := range v.MapKeys() {
			n += countSourced(v.MapIndex(k))
		}
	}
	return n
}

func TestEverySpeciesHoldsTogether(t *testing.T) {
	c := catalogue(t)
	seen := map[string]bool{}
	for i, s := range c.All() {
		t.Run(s.ID, func(t *testing.T) {
			assert.False(t, seen[s.ID], "id once")
			seen[s.ID] = true
			if i > 0 {
				assert.Less(t, c.all[i-1].Botanical, s.Botanical, "by botanical name")
			}
			assert.NotContains(t, s.Botanical, "×", "hybrids carry no sign")
			require.NotEmpty(t, s.English)
			for _, r := range []Range{s.Height, s.Spread, s.CoppiceRotation, s.PH} {
				checkRange(t, r)
			}
			last := 0.0
			for _, age := range Ages {
				r := s.HeightAt[age]
				checkRange(t, r)
				if r.Known {
					assert.Greater(t, r.Usual, last, "height grows with age")
					last = r.Usual
				}
			}
			for _, w := range []Word{s.WaterDemand, s.GrowthClass, s.Exposure, s.Coastal, s.NativeBritain, s.NativeIreland, s.Evergreen,
				s.Thorny, s.Invasive, s.Disease, s.PlantingAdvice, s.Suckers, s.Coppices, s.Firewood, s.NeedsPartner} {
				checkSource(t, w.Known, w.Source)
				assert.Equal(t, w.Known, w.V != "")
			}
			for _, n := range []Num{s.ListedHeight, s.NHBCHeight, s.EllenbergF, s.EllenbergL, s.EllenbergR, s.EllenbergN, s.EllenbergS,
				s.ShadeTolerance, s.DroughtTolerance, s.WaterloggingTolerance, s.WoodDensity, s.WoodDensitySD, s.WoodDensityIPCC, s.WoodDensityUK} {
				checkSource(t, n.Known, n.Source)
			}
			for _, x := range s.Toxic {
				checkSource(t, true, x.Source)
				assert.NotEmpty(t, x.Part)
			}
			for _, l := range s.Regulated {
				checkSource(t, true, l.Source)
				for _, country := range l.Countries {
					assert.Contains(t, []string{"england", "wales", "scotland", "ireland", "northern-ireland"}, country)
				}
			}
			assert.Equal(t, s.NHBCHeight.Known, s.WaterDemand.Known, "the building standard gives both or neither")
			assert.NotEmpty(t, s.Service, "class for sewers and drains")
			checkSource(t, true, s.ServiceFrom)
			for _, u := range Uses {
				assert.True(t, s.StockFor(u).Known, "stock for %s", u)
			}
			if s.NeedsPartner.Known {
				assert.NotEmpty(t, s.Pool, "who can be its partner")
			}
			for _, m := range planner.Moistures {
				f := s.Suits(m)
				checkSource(t, f.Verdict != NoVerdict, f.Source)
			}
			for _, p := range s.Purposes {
				assert.Contains(t, []string{"hedge", "windbreak", "grove", "orchard", "row", "nuts", "fuel"}, p)
			}
		})
	}
}

func checkRange(t *testing.T, r Range) {
	t.Helper()
	checkSource(t, r.Known, r.Source)
	assert.LessOrEqual(t, r.Low, r.Usual)
	assert.LessOrEqual(t, r.Usual, r.High)
	if r.Known {
		assert.Greater(t, r.Low, 0.0)
	}
}

func checkSource(t *testing.T, known bool, src planner.Source) {
	t.Helper()
	if !known {
		assert.Empty(t, src.Code, "an unknown figure has no source")
		return
	}
	assert.NotEmpty(t, src.Code)
	assert.NotEmpty(t, src.Text)
	assert.Contains(t, planner.Confidences, src.Confidence)
}

func TestEveryNameFindsItsSpecies(t *testing.T) {
	c := catalogue(t)
	owner := map[string]string{}
	for _, s := range c.All() {
		for _, name := range append(append([]string{s.Botanical}, s.English...), s.Synonyms...) {
			m := c.Find(name)
			require.NotNil(t, m.Species, name)
			assert.Same(t, s, m.Species, name)
			key := fold(name)
			if old, twice := owner[key]; twice {
				assert.Equal(t, s.Botanical, old, "%s names two species", name)
			}
			owner[key] = s.Botanical
			assert.NotContains(t, c.ambiguous, key, "%s is both a name and ambiguous", name)
		}
	}
	for _, a := range c.Ambiguous() {
		assert.GreaterOrEqual(t, len(a.Species), 2, a.Name)
		assert.NotEmpty(t, a.TellApart, a.Name)
		m := c.Find(a.Name)
		assert.Nil(t, m.Species, a.Name)
		assert.Same(t, a, m.Ambiguous, a.Name)
	}
}

func TestEveryCultivarHoldsTogether(t *testing.T) {
	c := catalogue(t)
	for _, v := range c.Cultivars(nil) {
		t.Run(v.Species.ID+"/"+v.Name, func(t *testing.T) {
			assert.NotEmpty(t, v.Species.Pool)
			assert.True(t, v.Fertility.Known)
			for _, w := range []Word{v.Fertility, v.Alleles, v.Pollen, v.Clash, v.Partners, v.PoorDonor} {
				checkSource(t, w.Known, w.Source)
			}
			checkSource(t, v.Group.Known, v.Group.Source)
			checkSource(t, v.Ploidy.Known, v.Ploidy.Source)
			if v.Fertility.V == "triploid" && v.Ploidy.Known {
				assert.Equal(t, 3.0, v.Ploidy.V)
			}
			if v.Group.Known {
				assert.True(t, strings.HasPrefix(v.Group.Scale, v.Species.Pool), "scale %s of pool %s", v.Group.Scale, v.Species.Pool)
			}
			for _, b := range v.Bloom {
				checkSource(t, true, b.Source)
				assert.True(t, b.First+b.Full+b.Last > 0)
			}
			got, _ := c.Cultivar(v.Species, v.Name)
			assert.Same(t, v, got)
			for _, also := range v.Also {
				got, _ := c.Cultivar(v.Species, also)
				assert.Same(t, v, got, also)
			}
			if len(parseAlleles(v.Alleles.V)) == 2 && v.Species.Pool == "cherry" && v.Clash.V != selfCompatible {
				assert.Equal(t, cherryGroups[v.Clash.V], v.Alleles.V, "group %s of Schuster 2020", v.Clash.V)
			}
		})
	}
}

func TestEveryRootstockAndSpacingHoldsTogether(t *testing.T) {
	c := catalogue(t)
	for _, r := range c.Rootstocks(nil) {
		for _, x := range []Range{r.InRow, r.RowGap, r.Height, r.Spread, r.FirstCrop} {
			checkRange(t, x)
		}
		for _, w := range []Word{r.Stake, r.WetGround, r.Heavy, r.Ground} {
			checkSource(t, w.Known, w.Source)
		}
		for _, s := range r.Species {
			for _, name := range append([]string{r.Name}, r.Also...) {
				got, _ := c.Rootstock(s, name)
				assert.Same(t, r, got, "%s for %s", name, s.Botanical)
			}
			if r.InRow.Known {
				sp, ok := c.Spacing(s, Orchard, r.Name, "")
				assert.True(t, ok, "%s on %s", s.Botanical, r.Name)
				assert.True(t, sp.InRow.Holds(r.InRow.Usual) || r.InRow.Holds(sp.InRow.Usual), "%s on %s: the two tables agree", s.Botanical, r.Name)
			}
		}
	}
	for _, row := range c.spacings {
		checkRange(t, row.rng.InRow)
		checkRange(t, row.rng.RowGap)
	}
}

// Marks of the working notes must not reach the reader, nor a bare code in a text that is shown.
func TestTextsAreFitToBeShown(t *testing.T) {
	marks := regexp.MustCompile(`\[(seen|memory|copy|CP|derived|computed)|\b(PL1|PL2|CH1|CH2|UK3|NFC2?|SCH20T?|ISSA|HZ[0-9]+|G1[0-9])\b`)
	c := catalogue(t)
	for _, s := range c.All() {
		for _, text := range []string{s.GrowthNote, s.FitNote, s.Note, s.Firewood.V, s.Disease.V, s.Invasive.V} {
			assert.Empty(t, marks.FindString(text), "%s: %s", s.Botanical, text)
		}
	}
	for _, v := range c.Cultivars(nil) {
		assert.Empty(t, marks.FindString(v.Note), "%s: %s", v.Name, v.Note)
	}
	for _, s := range c.Sources() {
		assert.Empty(t, marks.FindString(s.Text), s.Code)
	}
}

func TestEverySourceIsUsed(t *testing.T) {
	used := map[string]bool{"N2": true} // named in code, see Water
	cell := regexp.MustCompile(`@([A-Za-z0-9+]+)`)
	for _, file := range []string{"species.csv", "cultivars.csv", "rootstocks.csv", "spacing.csv", "sward.csv"} {
		f, err := embedded.Open(file)
		require.NoError(t, err)
		rows, err := csv.NewReader(f).ReadAll()
		require.NoError(t, err)
		for _, row := range rows {
			for _, c := range row {
				for _, m := range cell.FindAllStringSubmatch(c, -1) {
					for _, code := range strings.Split(m[1], "+") {
						used[code] = true
					}
				}
			}
		}
	}
	var idle []string
	for _, s := range catalogue(t).Sources() {
		if !used[s.Code] {
			idle = append(idle, s.Code)
		}
	}
	assert.Empty(t, idle, "sources that no cell cites")
}
