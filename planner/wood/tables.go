package wood

import (
	"embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"sync"

	"quickthorn/planner"
	"quickthorn/planner/species"
)

//go:embed *.csv
var files embed.FS

// A Figure is one published figure with its range; Low and High are Mid where none is known.
type Figure struct {
	Low, Mid, High float64
	Unit, Note     string
	Source         planner.Source
}

// A Yield is what a class of hedge (tonnes of dry wood per 100 m and year) or grove (per hectare and year) gives, and the ages
// in years at which it is cut.
type Yield struct {
	Class, Kind, Words, Unit, Note string
	Species                        []string // genera or botanical names that make the class
	Low, Mid, High                 float64
	Least, Usual, Most             int
	Source, AgeSource              planner.Source
}

// A Wood is what is known of one kind of firewood. Unknown figures are 0.
type Wood struct {
	Species, Name string
	FreshPercent  float64 // moisture when felled, wet basis
	FreshSource   planner.Source
	DryKgM3       float64 // per solid m3
	KWhKg15       float64 // at 15 percent
	KWhKg30       float64
	StackKg15     float64 // of a stacked m3 of 1 m logs at 15 percent
	Conifer, Slow bool
	Density       planner.Confidence
}

// A Use rule keeps a species out of some uses of its chip.
type useRule struct {
	species string
	out     []string
	whole   bool // chip with any of it in is kept out
	words   string
	source  planner.Source
}

// A Material is one that goes into compost.
type Material struct {
	Name, Role      string
	N, CN, Moisture float64 // percent of dry mass; ratio by weight; percent of wet mass
	KgM3            float64 // as it lies; 0 unknown
	Source          planner.Source
	Note            string
	Carbon          float64 // percent of dry mass
}

// A Fuel is what a kilowatt-hour of another fuel gives off, in kg CO2 (Ireland) or CO2e (United Kingdom).
type Fuel struct {
	Fuel    string         `json:"fuel"`
	Words   string         `json:"words"`
	Country string         `json:"country"`
	Year    int            `json:"year"` // 0 where the source names none
	Basis   string         `json:"basis"`
	Kg      float64        `json:"kg_per_kwh"`
	Source  planner.Source `json:"-"`
}

// tables are the figures of the folder, read once and never altered.
type tables struct {
	sources   map[string]planner.Source
	figures   map[string]Figure
	yields    []Yield
	woods     []Wood
	uses      []useRule
	materials []Material
	fuels     []Fuel
}

// The files are part of the program: what cannot be read is a fault of the program, and a test reads them all.
var data = sync.OnceValue(func() *tables {
	t := &tables{sources: map[string]planner.Source{}, figures: map[string]Figure{}}
	for _, r := range rows("sources.csv") {
		t.sources[r["code"]] = planner.Source{Code: r["code"], Text: r["text"]}
	}
	t.readFigures()
	t.readYields()
	t.readWoods()
	t.readRest()
	return t
})

// rows reads a file as maps by column.
func rows(name string) []map[string]string {
	f, err := files.Open(name)
	if err != nil {
		panic(err)
	}
	defer func() { _ = f.Close() }()
	recs, err := csv.NewReader(f).ReadAll()
	if err != nil {
		panic(fmt.Errorf("%s: %w", name, err))
	}
	out := make([]map[string]string, 0, len(recs))
	for _, rec := range recs[1:] {
		m := make(map[string]string, len(rec))
		for i, h := range recs[0] {
			m[h] = rec[i]
		}
		out = append(out, m)
	}
	return out
}

func number(s string) float64 {
	if s == "" {
		return 0
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic(err)
	}
	return v
}

func words(s string) []string {
	if s == "" {
		return nil
	}
	return strings.Split(s, "|")
}

// source is a row's source with the confidence that the row states.
func (t *tables) source(code, confidence string) planner.Source {
	s, ok := t.sources[code]
	if !ok {
		panic("no source " + code)
	}
	s.Confidence = planner.Confidence(confidence)
	return s
}

func (t *tables) readFigures() {
	for _, r := range rows("figures.csv") {
		f := Figure{Mid: number(r["mid"]), Unit: r["unit"], Note: r["note"], Source: t.source(r["source"], r["confidence"])}
		f.Low, f.High = f.Mid, f.Mid
		if r["low"] != "" {
			f.Low = number(r["low"])
		}
		if r["high"] != "" {
			f.High = number(r["high"])
		}
		t.figures[r["name"]] = f
	}
}

func (t *tables) readYields() {
	for _, r := range rows("yields.csv") {
		t.yields = append(t.yields, Yield{Class: r["class"], Kind: r["kind"], Words: r["words"], Unit: r["unit"], Note: r["note"],
			Species: words(r["species"]), Low: number(r["low"]), Mid: number(r["mid"]), High: number(r["high"]),
			Least: int(number(r["least"])), Usual: int(number(r["usual"])), Most: int(number(r["most"])),
			Source: t.source(r["source"], r["confidence"]), AgeSource: t.source(r["age_source"], r["age_confidence"])})
	}
}

func (t *tables) readWoods() {
	for _, r := range rows("woods.csv") {
		t.woods = append(t.woods, Wood{Species: r["species"], Name: r["name"], FreshPercent: number(r["fresh_percent"]),
			FreshSource: t.source(r["fresh_source"], r["fresh_confidence"]), DryKgM3: number(r["dry_kg_m3"]), KWhKg15: number(r["kwh_kg_15"]),
			KWhKg30: number(r["kwh_kg_30"]), StackKg15: number(r["stack_kg_15"]), Conifer: r["conifer"] == "yes", Slow: r["slow"] == "yes",
			Density: planner.Confidence(r["density_confidence"])})
	}
}

func (t *tables) readRest() {
	for _, r := range rows("uses.csv") {
		t.uses = append(t.uses, useRule{species: r["species"], out: words(r["kept_out_of"]), whole: r["whole"] == "yes", words: r["words"],
			source: t.source(r["source"], r["confidence"])})
	}
	for _, r := range rows("compost.csv") {
		m := Material{Name: r["material"], Role: r["role"], N: number(r["n_percent"]), CN: number(r["c_n"]), Moisture: number(r["moisture_percent"]),
			KgM3: number(r["kg_m3"]), Source: t.source(r["source"], r["confidence"]), Note: r["note"]}
		m.Carbon = m.N * m.CN
		t.materials = append(t.materials, m)
	}
	for _, r := range rows("fuels.csv") {
		t.fuels = append(t.fuels, Fuel{Fuel: r["fuel"], Words: r["words"], Country: r["country"], Year: int(number(r["year"])), Basis: r["basis"],
			Kg: number(r["kg_per_kwh"]), Source: t.source(r["source"], r["confidence"])})
	}
}

// FigureNamed is a row of figures.csv; false for a name that is not there.
func FigureNamed(name string) (Figure, bool) {
	f, ok := data().figures[name]
	return f, ok
}

// figure is a row that this package itself names.
func figure(name string) Figure {
	f, ok := data().figures[name]
	if !ok {
		panic("no figure " + name)
	}
	return f
}

// YieldOf is the yield of a class, such as "typical" or "mixed-grove".
func YieldOf(class string) (Yield, bool) {
	for _, y := range data().yields {
		if y.Class == class {
			return y, true
		}
	}
	return Yield{}, false
}

// is reports whether a species is of the genus, or is the species, that a table names.
func is(s *species.Species, name string) bool {
	return s != nil && (s.Botanical == name || s.Genus() == name)
}

// WoodOf is what is known of a species' wood, by its own row or its genus'. Where nothing is known it has the middle of the
// broad-leaved woods (the birch and hazel row) with FreshPercent 45, marked common practice; the second result is then false.
func WoodOf(s *species.Species) (Wood, bool) {
	best := -1
	for i, w := range data().woods {
		if is(s, w.Species) && (best < 0 || s.Botanical == w.Species) {
			best = i
		}
	}
	if best >= 0 {
		return data().woods[best], true
	}
	for _, w := range data().woods {
		if w.Species == "Corylus" {
			w.Species, w.Name, w.Density = "", "mixed wood", planner.CommonPractice
			w.FreshSource.Confidence = planner.CommonPractice
			return w, false
		}
	}
	panic("no row for hazel")
}
