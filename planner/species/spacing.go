package species

import (
	"io/fs"
	"slices"
	"strings"

	"quickthorn/planner"
)

// A spacingRow is one row of spacing.csv: who it is about, for which uses, and the figures.
type spacingRow struct {
	selectors []string // ids, genus:X, habit:X, layer:X, any
	uses      []Use
	rootstock string // folded; "" is any or none
	form      string // "" is any
	second    bool   // another opinion, shown beside the first and never the default
	rng       SpacingRange
}

func (c *Catalogue) readSpacing(fsys fs.FS, sources map[string]planner.Source, faults *[]error) error {
	columns := strings.Fields("for species use rootstock form opinion in_row_m row_gap_m")
	t, done, err := openTable(fsys, "spacing.csv", columns, sources, faults)
	if err != nil {
		return err
	}
	defer done()
	for t.next() {
		row := spacingRow{
			selectors: t.list("species"), rootstock: fold(t.text("rootstock")), form: t.text("form", append([]string{""}, Forms...)...),
			second: t.text("opinion", "first", "other") == "other",
			rng:    SpacingRange{For: t.text("for"), InRow: t.span("in_row_m", 0.1, 50), RowGap: t.span("row_gap_m", 0.1, 50)},
		}
		for _, u := range t.list("use") {
			if !slices.Contains(Uses, Use(u)) {
				t.bad("use", "allowed: hedge, windbreak, row, orchard, grove, single, with bars between")
			}
			row.uses = append(row.uses, Use(u))
		}
		for _, sel := range row.selectors {
			if !c.knowsSelector(sel) {
				t.bad("species", sel+" selects nothing; allowed: an id, genus:Salix, habit:conifer, layer:shrub, any")
			}
		}
		if row.rootstock != "" && !slices.ContainsFunc(c.rootstocks, func(r *Rootstock) bool { return fold(r.Name) == row.rootstock }) {
			t.bad("rootstock", "allowed: a name in rootstocks.csv")
		}
		if !row.rng.InRow.Known || row.rng.For == "" || len(row.uses) == 0 || len(row.selectors) == 0 {
			t.bad("for", "what it is about, species, use and in_row_m are needed")
		}
		c.spacings = append(c.spacings, row)
	}
	return nil
}

func (c *Catalogue) knowsSelector(sel string) bool {
	return slices.ContainsFunc(c.all, func(s *Species) bool { return selects(sel, s) > 0 })
}

// selects says how closely a selector fits s: 0 not at all, 1 any, 2 layer, 3 habit, 4 genus, 5 the species itself.
func selects(sel string, s *Species) int {
	kind, value, _ := strings.Cut(sel, ":")
	switch {
	case sel == s.ID:
		return 5
	case kind == "genus" && value == s.Genus():
		return 4
	case kind == "habit" && value == string(s.Habit):
		return 3
	case kind == "layer" && value == string(s.Layer):
		return 2
	case sel == "any":
		return 1
	}
	return 0
}

// Spacing is the published range for s in that use. A trained form (cordon, espalier ...) sets its own spacing; else the
// rootstock does; else a free form (standard ...); else the species, its genus, its habit, in that order. Other opinions of
// the same closeness stand in Others. For an orchard tree with no row of its own, a known spread gives the rule for
// free-standing trees (spread + 1 m in the row, + 2 m between rows, common practice). False: nothing is known.
func (c *Catalogue) Spacing(s *Species, use Use, rootstock, form string) (SpacingRange, bool) {
	if r, _ := c.Rootstock(s, rootstock); r != nil {
		rootstock = r.Name
	}
	stock, form := fold(rootstock), strings.ToLower(strings.TrimSpace(form))
	scores := make([]int, len(c.spacings))
	best := -1
	for i := range c.spacings {
		scores[i] = c.spacings[i].closeness(s, use, stock, form)
		if scores[i] == 0 {
			continue
		}
		// A first opinion stands before any other; among equals the closer, then the earlier row.
		if best < 0 || c.spacings[best].second && !c.spacings[i].second ||
			c.spacings[best].second == c.spacings[i].second && scores[i] > scores[best] {
			best = i
		}
	}
	if best < 0 {
		return unknownStock(s, use)
	}
	out := c.spacings[best].rng
	for i := range c.spacings {
		// The same tens: as close in form and rootstock, whether by species or by group. A first opinion that is about a
		// wider group than the best is not another opinion: the best stands in its place.
		if i != best && scores[i] > 0 && scores[i]/10 == scores[best]/10 && (c.spacings[i].second || scores[i] == scores[best]) {
			out.Others = append(out.Others, c.spacings[i].rng)
		}
	}
	return out, true
}

// closeness says how closely a row fits, 0 not at all: units for the species (see selects), tens for form and rootstock, of
// which a trained form outweighs the rootstock, and the rootstock a free form. stock is folded, form in lower case.
func (row *spacingRow) closeness(s *Species, use Use, stock, form string) int {
	if !slices.Contains(row.uses, use) || (row.form != "" && row.form != form) || (row.rootstock != "" && row.rootstock != stock) {
		return 0
	}
	near := 0
	for _, sel := range row.selectors {
		near = max(near, selects(sel, s))
	}
	if near == 0 {
		return 0
	}
	switch {
	case trained[row.form]:
		near += 40
	case row.form != "":
		near += 10
	}
	if row.rootstock != "" {
		near += 20
	}
	return near
}

// unknownStock is the growers' rule for a free-standing orchard tree on an unknown rootstock.
func unknownStock(s *Species, use Use) (SpacingRange, bool) {
	if use != Orchard || !s.Spread.Known {
		return SpacingRange{}, false
	}
	grow := func(by float64) Range {
		r := s.Spread
		r.Low, r.Usual, r.High = r.Low+by, r.Usual+by, r.High+by
		r.Source = planner.Source{
			Code: r.Source.Code, URL: r.Source.URL, Confidence: planner.CommonPractice,
			Text: "free-standing tree of unknown rootstock: mature spread and 1 m in the row, 2 m between rows; spread from " + r.Source.Text,
		}
		return r
	}
	return SpacingRange{InRow: grow(1), RowGap: grow(2), For: s.Name() + ", rootstock unknown"}, true
}
