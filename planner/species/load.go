package species

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"sync"

	"quickthorn/planner"
)

//go:embed *.csv
var embedded embed.FS

// A Catalogue is the parsed data. It is safe for use by several goroutines; nothing alters it.
type Catalogue struct {
	all        []*Species // by botanical name
	byID       map[string]*Species
	names      map[string]*Species   // every name, folded
	ambiguous  map[string]*Ambiguous // folded
	cultivars  []*Cultivar           // by species, then name
	rootstocks []*Rootstock          // in file order
	spacings   []spacingRow          // in file order
	sources    []planner.Source      // by code

	heightCurves []*HeightCurve // in file order

	sward       map[string]*SwardPlant // every name, folded
	swardPlants []*SwardPlant          // in file order

	growths sync.Map // Growth by growthKey: worked out once, the same for everybody
}

var loadDefault = sync.OnceValues(func() (*Catalogue, error) { return Load(embedded) })

// Default is the catalogue that comes with the program, parsed once.
func Default() (*Catalogue, error) { return loadDefault() }

// Load reads species.csv, cultivars.csv, rootstocks.csv, spacing.csv, ambiguous.csv, sward.csv, curves.csv and sources.csv. Its error joins up to
// 50 Faults, each with file, line, column and what is allowed.
func Load(fsys fs.FS) (*Catalogue, error) {
	c := &Catalogue{byID: map[string]*Species{}, names: map[string]*Species{}, ambiguous: map[string]*Ambiguous{}, sward: map[string]*SwardPlant{}}
	var faults []error
	sources := map[string]planner.Source{}
	for _, read := range []func(fs.FS, map[string]planner.Source, *[]error) error{
		c.readSources, c.readSpecies, c.readAmbiguous, c.readRootstocks, c.readCultivars, c.readSpacing, c.readSward, c.readCurves,
	} {
		if err := read(fsys, sources, &faults); err != nil {
			return nil, err
		}
		if len(faults) >= mostFaults {
			break
		}
	}
	if len(faults) > 0 {
		return nil, errors.Join(faults...)
	}
	return c, nil
}

// All lists every species by botanical name. The slice is the caller's; the species are shared and must not be altered.
func (c *Catalogue) All() []*Species { return slices.Clone(c.all) }

// ByID is the species with that ID, or nil.
func (c *Catalogue) ByID(id string) *Species { return c.byID[id] }

// Cultivars lists the cultivars of s's pool (all of them where s is nil), by species and name.
func (c *Catalogue) Cultivars(s *Species) []*Cultivar {
	var out []*Cultivar
	for _, v := range c.cultivars {
		if s == nil || v.Species == s || (s.Pool != "" && v.Species.Pool == s.Pool) {
			out = append(out, v)
		}
	}
	return out
}

// Rootstocks lists the rootstocks used for s (all of them where s is nil), in the order of the file.
func (c *Catalogue) Rootstocks(s *Species) []*Rootstock {
	var out []*Rootstock
	for _, r := range c.rootstocks {
		if s == nil || slices.Contains(r.Species, s) {
			out = append(out, r)
		}
	}
	return out
}

// Ambiguous lists the names that fit several species, by name.
func (c *Catalogue) Ambiguous() []*Ambiguous {
	var out []*Ambiguous
	for _, k := range sortedKeys(c.ambiguous) {
		out = append(out, c.ambiguous[k])
	}
	return out
}

// Sources lists every source by code.
func (c *Catalogue) Sources() []planner.Source { return slices.Clone(c.sources) }

func (c *Catalogue) readSources(fsys fs.FS, sources map[string]planner.Source, faults *[]error) error {
	t, done, err := openTable(fsys, "sources.csv", []string{"code", "text", "url", "confidence"}, sources, faults)
	if err != nil {
		return err
	}
	defer done()
	var allowed []string
	for _, k := range planner.Confidences {
		allowed = append(allowed, string(k))
	}
	for t.next() {
		s := planner.Source{Code: t.text("code"), Text: t.text("text"), URL: t.text("url"), Confidence: planner.Confidence(t.text("confidence", allowed...))}
		if _, twice := sources[s.Code]; twice || s.Code == "" || strings.ContainsAny(s.Code, "@+; ") {
			t.bad("code", "allowed: a code of its own, without @ + ; or space")
		}
		if s.Text == "" {
			t.bad("text", "who, what, year, table is needed")
		}
		sources[s.Code] = s
	}
	for _, k := range sortedKeys(sources) {
		c.sources = append(c.sources, sources[k])
	}
	return nil
}

func (c *Catalogue) readAmbiguous(fsys fs.FS, sources map[string]planner.Source, faults *[]error) error {
	t, done, err := openTable(fsys, "ambiguous.csv", []string{"name", "species", "tell_apart"}, sources, faults)
	if err != nil {
		return err
	}
	defer done()
	for t.next() {
		a := &Ambiguous{Name: t.text("name"), Species: c.speciesList(t, "species"), TellApart: t.text("tell_apart")}
		key := fold(a.Name)
		if s := c.names[key]; s != nil {
			t.bad("name", "this is already a name of "+s.Botanical)
		}
		if _, twice := c.ambiguous[key]; twice || key == "" {
			t.bad("name", "allowed: a name that stands here once")
		}
		if len(a.Species) < 2 {
			t.bad("species", "allowed: two or more ids with bars between")
		}
		if a.TellApart == "" {
			t.bad("tell_apart", "what tells them apart is needed")
		}
		c.ambiguous[key] = a
	}
	return nil
}

// speciesList reads a cell of ids, "a|b".
func (c *Catalogue) speciesList(t *table, col string) []*Species {
	var out []*Species
	for _, id := range t.list(col) {
		s := c.byID[id]
		if s == nil {
			t.bad(col, fmt.Sprintf("%q is no id in species.csv", id))
			continue
		}
		out = append(out, s)
	}
	return out
}
