package species

import (
	"cmp"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"

	"quickthorn/planner"
)

// firstList holds the classes of the list of stock poisons that decides; see Toxicity.
var firstList = map[string]bool{"extreme": true, "high": true, "medium-high": true, "medium": true, "low-medium": true, "accepted": true}

var stockKinds = []string{"all", "cattle", "sheep", "horses", "goats", "pigs", "poultry"}

var speciesColumns = strings.Fields(`id botanical english synonyms habit layer height_m spread_m listed_height_m nhbc_height_m water_demand
	height_5y_m height_10y_m height_20y_m growth_note growth_class
	ellenberg_f ellenberg_l ellenberg_r ellenberg_n ellenberg_s shade drought waterlogging
	fit_dry fit_moist fit_damp fit_wet fit_waterlogged fit_note ph exposure coastal
	native_britain native_ireland evergreen thorny toxic regulated invasive disease planting_advice suckers
	density_kg_m3 density_sd_kg_m3 density_ipcc_kg_m3 density_uk_kg_m3 coppices coppice_rotation_y firewood
	stock crop pool needs_partner service_class purposes note`)

func (c *Catalogue) readSpecies(fsys fs.FS, sources map[string]planner.Source, faults *[]error) error {
	t, done, err := openTable(fsys, "species.csv", speciesColumns, sources, faults)
	if err != nil {
		return err
	}
	defer done()
	for t.next() {
		s := &Species{
			ID: t.text("id"), Botanical: t.text("botanical"), English: t.list("english"), Synonyms: t.list("synonyms"),
			Habit: Habit(t.text("habit", "tree", "conifer", "shrub", "climber", "herb")),
			Layer: Layer(t.text("layer", "tree", "shrub", "climber", "ground")),
		}
		readSize(t, s)
		readGround(t, s)
		readHazards(t, s)
		readWood(t, s)
		readPlanting(t, s)
		s.GreatestHeight = greatestHeight(s)
		c.enter(t, s)
	}
	slices.SortFunc(c.all, func(a, b *Species) int { return cmp.Compare(a.Botanical, b.Botanical) })
	return nil
}

// enter puts s under its id and all its names, each of which must be its own.
func (c *Catalogue) enter(t *table, s *Species) {
	if want := strings.NewReplacer(" ", "-", ".", "", "'", "").Replace(strings.ToLower(s.Botanical)); s.ID != want || c.byID[s.ID] != nil {
		t.bad("id", "allowed: "+want+", once")
	}
	if len(s.English) == 0 {
		t.bad("english", "at least one English name is needed")
	}
	c.byID[s.ID] = s
	c.all = append(c.all, s)
	for _, col := range []string{"botanical", "english", "synonyms"} {
		for _, name := range t.list(col) {
			key := fold(name)
			if key == "" {
				t.bad(col, "a name is needed")
			} else if other := c.names[key]; other != nil && other != s {
				t.bad(col, name+" is already a name of "+other.Botanical+"; a name that fits several belongs in ambiguous.csv")
			} else {
				c.names[key] = s
			}
		}
	}
}

func readSize(t *table, s *Species) {
	s.Height = t.span("height_m", 0.1, 70)
	s.Spread = t.span("spread_m", 0.1, 40)
	s.ListedHeight = t.num("listed_height_m", 0.1, 70)
	s.NHBCHeight = t.num("nhbc_height_m", 1, 40)
	s.WaterDemand = t.word("water_demand", "high", "moderate", "low")
	s.HeightAt = map[int]Range{}
	for _, age := range Ages {
		if r := t.span(fmt.Sprintf("height_%dy_m", age), 0.1, 40); r.Known {
			s.HeightAt[age] = r
		}
	}
	s.GrowthNote = t.text("growth_note")
	s.GrowthClass = t.word("growth_class", "slow", "middling", "fast")
}

func readGround(t *table, s *Species) {
	s.EllenbergF = t.num("ellenberg_f", 1, 12)
	s.EllenbergL = t.num("ellenberg_l", 1, 9)
	s.EllenbergR = t.num("ellenberg_r", 1, 9)
	s.EllenbergN = t.num("ellenberg_n", 1, 9)
	s.EllenbergS = t.num("ellenberg_s", 0, 9)
	s.ShadeTolerance = t.num("shade", 0, 5)
	s.DroughtTolerance = t.num("drought", 0, 5)
	s.WaterloggingTolerance = t.num("waterlogging", 0, 5)
	s.Fit = map[planner.Moisture]Fit{}
	for _, m := range planner.Moistures {
		w := t.word("fit_"+string(m), string(Suitable), string(Marginal), string(Unsuitable))
		if w.Known {
			s.Fit[m] = Fit{Verdict: Verdict(w.V), Source: w.Source}
		}
	}
	s.FitNote = t.text("fit_note")
	s.PH = t.span("ph", 3, 9)
	s.Exposure = t.word("exposure", "very low", "low", "moderate", "high", "very high")
	s.Coastal = t.word("coastal", "yes", "no")
}

func readHazards(t *table, s *Species) {
	s.NativeBritain = t.word("native_britain", "yes", "no")
	s.NativeIreland = t.word("native_ireland", "yes", "no")
	s.Evergreen = t.word("evergreen", "yes", "no")
	s.Thorny = t.word("thorny", "yes", "no")
	t.fields("toxic", 3, func(p []string, src planner.Source) {
		if !firstList[p[0]] && !slices.Contains([]string{"severe", "mild", "none"}, p[0]) {
			t.bad("toxic", "allowed: class:stock:part@CODE with a class of extreme, high, medium-high, medium, low-medium, accepted, severe, mild, none")
		}
		if !slices.Contains(stockKinds, p[1]) {
			t.bad("toxic", "allowed stock: "+strings.Join(stockKinds, ", "))
		}
		if p[1] == "all" {
			p[1] = ""
		}
		s.Toxic = append(s.Toxic, Toxicity{Class: p[0], Stock: p[1], Part: p[2], Source: src})
	})
	t.fields("regulated", 2, func(p []string, src planner.Source) {
		s.Regulated = append(s.Regulated, Law{Countries: strings.Split(p[0], "+"), Text: p[1], Source: src})
	})
	s.Invasive = t.word("invasive")
	s.Disease = t.word("disease")
	s.PlantingAdvice = t.word("planting_advice")
	s.Suckers = t.word("suckers", "yes", "no")
}

func readWood(t *table, s *Species) {
	s.WoodDensity = t.num("density_kg_m3", 200, 1200)
	s.WoodDensitySD = t.num("density_sd_kg_m3", 1, 400)
	s.WoodDensityIPCC = t.num("density_ipcc_kg_m3", 200, 1200)
	s.WoodDensityUK = t.num("density_uk_kg_m3", 200, 1200)
	s.Coppices = t.word("coppices", "strong", "moderate", "weak", "no")
	s.CoppiceRotation = t.span("coppice_rotation_y", 1, 60)
	s.Firewood = t.word("firewood")
}

func readPlanting(t *table, s *Species) {
	s.Stock = map[Use]Word{}
	t.fields("stock", 2, func(p []string, src planner.Source) {
		w := Word{V: p[1], Known: true, Source: src}
		for _, u := range Uses {
			if p[0] == "any" || Use(p[0]) == u {
				s.Stock[u] = w
			}
		}
		if p[0] != "any" && !slices.Contains(Uses, Use(p[0])) {
			t.bad("stock", "allowed: use:stock@CODE with a use of any, hedge, windbreak, row, orchard, grove, single")
		}
	})
	s.Crop = t.text("crop", "yes", "no") == "yes"
	s.Pool = t.text("pool")
	s.NeedsPartner = t.word("needs_partner", "yes", "better", "no")
	w := t.word("service_class", string(WillowPoplar), string(LargeTree), string(MediumTree), string(ShrubClass), string(SoftFruit))
	s.Service, s.ServiceFrom = ServiceClass(w.V), w.Source
	s.Purposes = t.list("purposes")
	s.Note = t.text("note")
}

// greatestHeight is the greatest over every table that lists the species. Ties keep the first table.
func greatestHeight(s *Species) Num {
	var g Num
	add := func(v float64, known bool, src planner.Source) {
		if known && (!g.Known || v > g.V) {
			g = Num{V: v, Known: true, Source: src}
		}
	}
	add(s.Height.High, s.Height.Known, s.Height.Source)
	add(s.ListedHeight.V, s.ListedHeight.Known, s.ListedHeight.Source)
	add(s.NHBCHeight.V, s.NHBCHeight.Known, s.NHBCHeight.Source)
	for _, age := range sortedKeys(s.HeightAt) {
		r := s.HeightAt[age]
		add(r.High, r.Known, r.Source)
	}
	return g
}

func sortedKeys[K cmp.Ordered, V any](m map[K]V) []K { return slices.Sorted(maps.Keys(m)) }
