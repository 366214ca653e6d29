package species

import (
	"cmp"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"
	"time"

	"quickthorn/planner"
)

// Forms lists the tree forms that the tables know; the trained ones are kept to a wire or stake and set their own
// spacing, whatever the rootstock.
var Forms = []string{"bush", "half-standard", "standard", "cordon", "espalier", "fan", "dwarf pyramid", "stepover", "spindle"}

var trained = map[string]bool{"cordon": true, "espalier": true, "fan": true, "dwarf pyramid": true, "stepover": true, "spindle": true}

func (c *Catalogue) readRootstocks(fsys fs.FS, sources map[string]planner.Source, faults *[]error) error {
	columns := strings.Fields("name also species vigour forms in_row_m row_gap_m height_m spread_m first_crop_y stake wet_ground heavy_ground ground note")
	t, done, err := openTable(fsys, "rootstocks.csv", columns, sources, faults)
	if err != nil {
		return err
	}
	defer done()
	seen := map[string]*Rootstock{}
	for t.next() {
		r := &Rootstock{
			Name: t.text("name"), Also: t.list("also"), Species: c.speciesList(t, "species"), Vigour: t.text("vigour"), Forms: t.list("forms"),
			InRow: t.span("in_row_m", 0.3, 30), RowGap: t.span("row_gap_m", 0.5, 30), Height: t.span("height_m", 0.5, 40), Spread: t.span("spread_m", 0.5, 30),
			FirstCrop: t.span("first_crop_y", 1, 30), Stake: t.word("stake", "permanent", "first years", "no"),
			WetGround: t.word("wet_ground", "fail", "warn", "pass"), Heavy: t.word("heavy_ground", "fail", "warn", "pass"),
			Ground: t.word("ground"), Note: t.text("note"),
		}
		for _, f := range r.Forms {
			if !slices.Contains(Forms, f) {
				t.bad("forms", "allowed: "+strings.Join(Forms, ", "))
			}
		}
		if len(r.Species) == 0 {
			t.bad("species", "at least one id is needed")
		}
		for _, s := range r.Species {
			for _, name := range append([]string{r.Name}, r.Also...) {
				key := s.ID + "/" + fold(name)
				if seen[key] != nil && seen[key] != r {
					t.bad("name", name+" stands twice for "+s.Botanical)
				}
				seen[key] = r
			}
		}
		c.rootstocks = append(c.rootstocks, r)
	}
	return nil
}

func (c *Catalogue) readCultivars(fsys fs.FS, sources map[string]planner.Source, faults *[]error) error {
	columns := strings.Fields("species name also group scale fertility ploidy alleles pollen clash partners bloom days days_after poor_donor note")
	t, done, err := openTable(fsys, "cultivars.csv", columns, sources, faults)
	if err != nil {
		return err
	}
	defer done()
	seen := map[string]*Cultivar{}
	for t.next() {
		v := &Cultivar{
			Species: c.byID[t.text("species")], Name: t.text("name"), Also: t.list("also"), Group: readGroups(t),
			Fertility: t.word("fertility", "self-fertile", "partly", "self-sterile", "triploid"), Ploidy: t.num("ploidy", 2, 8),
			Alleles: t.word("alleles"), Pollen: t.word("pollen"), Clash: t.word("clash"), Partners: t.word("partners"), Bloom: readBloom(t),
			Days: t.num("days", -40, 40), DaysAfter: t.text("days_after"), PoorDonor: t.word("poor_donor", "yes"), Note: t.text("note"),
		}
		if v.Species == nil {
			t.bad("species", "allowed: an id in species.csv")
			continue
		}
		for _, col := range []string{"alleles", "pollen"} {
			w := map[string]Word{"alleles": v.Alleles, "pollen": v.Pollen}[col]
			if w.Known && parseAlleles(w.V) == nil {
				t.bad(col, "allowed: S-alleles one after the other, S3S4'@CODE")
			}
		}
		for _, name := range append([]string{v.Name}, v.Also...) {
			key := v.Species.ID + "/" + fold(name)
			if seen[key] != nil && seen[key] != v {
				t.bad("name", name+" stands twice for "+v.Species.Botanical)
			}
			seen[key] = v
		}
		if v.Days.Known == (v.DaysAfter == "") {
			t.bad("days_after", "days and days_after stand together")
		}
		c.cultivars = append(c.cultivars, v)
	}
	slices.SortStableFunc(c.cultivars, func(a, b *Cultivar) int {
		return cmp.Or(cmp.Compare(a.Species.Botanical, b.Species.Botanical), cmp.Compare(a.Name, b.Name))
	})
	return nil
}

// scales holds the number of flowering groups on each scale.
var scales = map[string]int{"apple 1-7": 7, "pear 1-4": 4, "plum 1-5": 5, "cherry 1-6": 6}

// readGroups reads "3@CODE" or "2-3@CODE" and the scale beside it.
func readGroups(t *table) Groups {
	g := Groups{Scale: t.text("scale")}
	most, ok := scales[g.Scale]
	if g.Scale != "" && !ok {
		t.bad("scale", "allowed: "+strings.Join(sortedKeys(scales), ", "))
	}
	v, src, known := t.sourced("group", t.text("group"))
	if !known {
		return g
	}
	from, to, ranged := strings.Cut(v, "-")
	if !ranged {
		to = from
	}
	var err1, err2 error
	g.From, err1 = strconv.Atoi(from)
	g.To, err2 = strconv.Atoi(to)
	if err1 != nil || err2 != nil || g.From < 1 || g.To < g.From || g.To > most {
		t.bad("group", fmt.Sprintf("allowed: a whole number or two, 1 to %d, as in 2-3@CODE, with a scale", most))
		return Groups{Scale: g.Scale}
	}
	g.Known, g.Source = true, src
	return g
}

// readBloom reads "2022:03-24/03-26/04-10@CODE; ...": year, then first, full and last flower, any of which may be empty.
func readBloom(t *table) []Bloom {
	var out []Bloom
	t.fields("bloom", 2, func(p []string, src planner.Source) {
		year, err := strconv.Atoi(p[0])
		dates := strings.Split(p[1], "/")
		if err != nil || len(dates) != 3 || (year != 0 && (year < 1900 || year > 2100)) {
			t.bad("bloom", "allowed: year:month-day/month-day/month-day@CODE, with year 0 where none is named")
			return
		}
		b := Bloom{Year: year, Source: src}
		for i, day := range []*int{&b.First, &b.Full, &b.Last} {
			*day = dayOfYear(t, year, dates[i])
		}
		if (b.First > 0 && b.Full > 0 && b.Full < b.First) || (b.Full > 0 && b.Last > 0 && b.Last < b.Full) {
			t.bad("bloom", "first, full and last flower must not fall")
		}
		out = append(out, b)
	})
	return out
}

// dayOfYear counts 1 January as day 1; a page without a year is counted as an ordinary one. Empty is 0.
func dayOfYear(t *table, year int, monthDay string) int {
	if monthDay == "" {
		return 0
	}
	if year == 0 {
		year = 2001
	}
	d, err := time.Parse("2006-01-02", fmt.Sprintf("%04d-%s", year, monthDay))
	if err != nil {
		t.bad("bloom", "allowed: month and day with two figures each, as in 04-21")
		return 0
	}
	return d.YearDay()
}

// Cultivar looks a cultivar up among those of s and of its pool. An unknown name gives nil and up to five nearest names.
func (c *Catalogue) Cultivar(s *Species, name string) (*Cultivar, []string) {
	key := fold(name)
	all := c.Cultivars(s)
	slices.SortStableFunc(all, func(a, b *Cultivar) int { return cmp.Compare(other(a.Species, s), other(b.Species, s)) })
	var names []string
	for _, v := range all {
		for _, n := range append([]string{v.Name}, v.Also...) {
			if fold(n) == key {
				return v, nil
			}
		}
		names = append(names, v.Name)
	}
	return nil, nearestNames(name, names)
}

// other sorts the species asked for first.
func other(a, wanted *Species) int {
	if a == wanted {
		return 0
	}
	return 1
}

// Rootstock looks a rootstock up among those used for s. An unknown name gives nil and up to five nearest names.
func (c *Catalogue) Rootstock(s *Species, name string) (*Rootstock, []string) {
	key := fold(name)
	var names []string
	for _, r := range c.Rootstocks(s) {
		for _, n := range append([]string{r.Name}, r.Also...) {
			if fold(n) == key {
				return r, nil
			}
		}
		names = append(names, r.Name)
	}
	return nil, nearestNames(name, names)
}
