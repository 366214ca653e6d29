package lists

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/prose"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
	"quickthorn/planner/species"
)

// A List is the planting list of a holding. The sum of the plants over Areas, and OutsideAnyArea, is TotalPlants, always.
type List struct {
	Holding        string     `json:"holding"`
	RuleSet        string     `json:"rule_set"`
	PlantingWinter *int       `json:"planting_winter"` // nil where the plan does not say
	Areas          []Area     `json:"areas"`           // every list area, by id, empty ones too
	Outside        Area       `json:"outside"`         // what stands outside every area; its id is ""
	Order          []Order    `json:"order"`
	Sundries       []Sundry   `json:"sundries"` // over the whole holding
	OutsideAnyArea int        `json:"outside_any_area"`
	TotalPlants    int        `json:"total_plants"`
	SparePercent   float64    `json:"spare_percent"`
	Bundle         int        `json:"bundle"`
	Cost           *Cost      `json:"cost"` // nil where the plan has no prices
	Cautions       []Caution  `json:"cautions"`
	Dates          []string   `json:"dates"` // when to plant and cut in the planting winter, a sentence each; set by who knows the calendar
	Notes          []string   `json:"notes"` // what could not be read or is not known
	Remarks        []Remark   `json:"-"`     // the same as of Assign
	names          *nameTable // of the catalogue, for prices
}

// An Area is what one list area holds.
type Area struct {
	ID       string   `json:"id"`
	Name     string   `json:"name"` // "" where the plan gives none
	Kind     string   `json:"kind"`
	AreaM2   *float64 `json:"area_m2"` // nil where its outline cannot be measured
	Total    int      `json:"total_plants"`
	Plants   []Line   `json:"plants"`
	Sundries []Sundry `json:"sundries"`
}

// Label is what the area is called in messages.
func (a Area) Label() string {
	switch {
	case a.Name != "":
		return a.Name
	case a.ID == "":
		return "outside any area"
	}
	return tidy(planner.Unnamed(planner.Kind(a.Kind), a.ID))
}

// An Item is what makes plants one line: species, cultivar, rootstock and stock.
type Item struct {
	Species   string `json:"species"` // botanical; as the plan writes it where the catalogue does not know it
	English   string `json:"english"` // "" where the catalogue does not know it
	Cultivar  string `json:"cultivar"`
	Rootstock string `json:"rootstock"`
	Stock     string `json:"stock"` // "" where neither plan nor catalogue says
}

// A Line is one line of an area's planting list.
type Line struct {
	Item
	Plants   int      `json:"plants"`
	Features []string `json:"features"` // ids, in order of text
	Note     string   `json:"note"`     // what is wrong with its name, "" otherwise
}

// An Order is one line of the order list.
type Order struct {
	Item
	Plants    int        `json:"plants"`
	Spare     int        `json:"spare"`
	Order     int        `json:"order"`
	Bundles   int        `json:"bundles"` // 0 where the stock is not bundled
	PriceEach *float64   `json:"price_each"`
	Price     *float64   `json:"price"` // of the line; nil where the user has not priced it
	Class     StockClass `json:"stock_class"`
	Note      string     `json:"note"`
}

// A Sundry is something besides plants, with how it was reckoned.
type Sundry struct {
	Item       string             `json:"item"` // guard, cane, stake, tie, mulch, fence
	Kind       string             `json:"kind"` // which: "spiral 0.6 m", "stock guard 1.5 m"; "" where there is only one
	Quantity   float64            `json:"quantity"`
	Unit       string             `json:"unit"`
	Note       string             `json:"note"` // the reckoning
	Source     string             `json:"source"`
	Confidence planner.Confidence `json:"confidence"`
	PriceEach  *float64           `json:"price_each"`
	Price      *float64           `json:"price"`
}

// Make makes the planting list of a plan that has been set out. Nothing it is given is altered. The catalogue tells ambiguous
// names from unknown ones and knows rootstocks; the rule set knows how far a fence stands from a hedge. Either may be nil: what
// it would tell is then unknown. Cost: proportional to the plants; 100,000 take well under 0.2 s.
func Make(p *planner.Plan, s *site.Site, out *setout.Result, cat *species.Catalogue, set *rules.Set) *List {
	l := &List{Holding: prose.Clean(p.Holding.Name), RuleSet: tidy(p.Holding.RuleSet), SparePercent: p.Holding.SparePercent, Bundle: p.Holding.Bundle,
		Cautions: []Caution{}, Dates: []string{}, Notes: []string{}, names: newNames(cat)}
	if w := p.Holding.PlantingWinter; w != 0 {
		l.PlantingWinter = &w
	}
	at := Assign(p, s, out)
	l.Remarks = at.Remarks
	m := &maker{plan: p, site: s, out: out, set: set, at: at, names: l.names, byArea: map[string]*tally{}, stakes: map[rooted]stakeKey{}}
	m.count()
	m.lay(l)
	l.Order = m.order(l)
	m.sundries(l)
	l.price(p.Holding.Prices)
	l.Cautions = cautions(l, m)
	for _, r := range at.Remarks {
		l.Notes = append(l.Notes, r.Message)
	}
	l.Notes = append(l.Notes, m.missing()...)
	l.Notes = append(l.Notes, m.notes()...)
	return l
}

// lineKey tells lines apart; case and spaces do not, so that "MM106" and "mm 106" are one line. A species of the catalogue is
// itself; any other is its name.
type lineKey struct {
	species                          *species.Species
	name, cultivar, rootstock, stock string
}

// maker gathers a list.
type maker struct {
	plan   *planner.Plan
	site   *site.Site
	out    *setout.Result
	set    *rules.Set
	at     *Assignment
	names  *nameTable
	byArea map[string]*tally
	whole  map[lineKey]*Line // over the holding
	kinds  map[*species.Species]bool
	stakes map[rooted]stakeKey
}

// tally is what one area holds.
type tally struct {
	lines map[lineKey]*Line
	total int
	odds  *odds
}

func (m *maker) tally(area string) *tally {
	t := m.byArea[area]
	if t == nil {
		t = &tally{lines: map[lineKey]*Line{}, odds: newOdds()}
		m.byArea[area] = t
	}
	return t
}

// rawKey is how a plan writes the names of a plant, and the area that it counts to.
type rawKey struct {
	area                             string
	species                          *species.Species
	name, cultivar, rootstock, stock string
}

// rawCount is how many plants share a rawKey, and of which features.
type rawCount struct {
	n        int
	features []string
}

// count counts every listed plant into its area and into the whole. Names are folded once for each way of writing them, not once
// for each plant.
func (m *maker) count() {
	m.whole, m.kinds = map[lineKey]*Line{}, map[*species.Species]bool{}
	raw := map[rawKey]*rawCount{}
	m.out.Each(func(p *setout.Plant) bool {
		if !p.Listed {
			return true
		}
		k := rawKey{m.at.Of(p), p.Species, p.Name, p.Cultivar, p.Rootstock, p.Stock}
		c := raw[k]
		if c == nil {
			c = &rawCount{}
			raw[k] = c
		}
		c.n++
		if n := len(c.features); n == 0 || c.features[n-1] != p.Feature.ID {
			c.features = append(c.features, p.Feature.ID)
		}
		return true
	})
	for k, c := range raw { // in any order: sums, sorted features and the least of several names do not depend on it
		t := m.tally(k.area)
		t.total += c.n
		enter(t.lines, k, c)
		enter(m.whole, k, c)
		if k.species != nil {
			m.kinds[k.species] = true
		}
	}
}

// enter adds plants to their line. Of several ways to write the same name the first in order of text is shown.
func enter(lines map[lineKey]*Line, k rawKey, c *rawCount) {
	i := itemOf(k)
	folded := lineKey{species: k.species, cultivar: foldName(k.cultivar), rootstock: foldName(k.rootstock), stock: strings.ToLower(i.Stock)}
	if k.species == nil {
		folded.name = strings.ToLower(i.Species)
	}
	l := lines[folded]
	if l == nil {
		l = &Line{Item: i}
		lines[folded] = l
	}
	l.Plants += c.n
	l.Features = append(l.Features, c.features...)
	l.Species, l.Cultivar = min(l.Species, i.Species), min(l.Cultivar, i.Cultivar)
	l.Rootstock, l.Stock = min(l.Rootstock, i.Rootstock), min(l.Stock, i.Stock)
}

func itemOf(k rawKey) Item {
	i := Item{Species: tidy(k.name), Cultivar: tidy(k.cultivar), Rootstock: tidy(k.rootstock), Stock: tidy(k.stock)}
	if k.species != nil {
		i.Species, i.English = k.species.Botanical, k.species.Name()
	}
	return i
}

// tidy makes text of a plan fit for one cell: no control characters or marks that turn the direction of writing, single spaces.
func tidy(s string) string { return strings.Join(strings.Fields(prose.Clean(s)), " ") }

func foldText(s string) string { return strings.ToLower(tidy(s)) }

// foldName is foldText without what the trade writes at will in the names of cultivars and rootstocks: spaces, hyphens, points,
// apostrophes.
func foldName(s string) string {
	if s == "" {
		return ""
	}
	return strings.Map(func(r rune) rune {
		switch r {
		case ' ', '-', '.', '\'', '\u2018', '\u2019', '\u2010', '\u2011':
			return -1
		}
		return r
	}, foldText(s))
}

// sorted puts lines in order: known species by English name, then the rest as written; then cultivar, rootstock, stock.
func (m *maker) sorted(lines map[lineKey]*Line) []Line {
	out := make([]Line, 0, len(lines))
	for k, l := range lines {
		c := *l
		c.Features = slices.Compact(slices.Sorted(slices.Values(l.Features)))
		if k.species == nil {
			c.Note = m.names.doubt(c.Species)
		}
		if c.Note == "" && c.Stock == "" {
			c.Note = "stock not known: the plan states none and the catalogue has none for this use"
		}
		out = append(out, c)
	}
	sort.Slice(out, func(i, j int) bool { return less(out[i].Item, out[j].Item) })
	return out
}

func less(a, b Item) bool {
	if (a.English == "") != (b.English == "") {
		return b.English == ""
	}
	return cmp.Or(strings.Compare(strings.ToLower(a.English), strings.ToLower(b.English)), strings.Compare(a.Species, b.Species), strings.Compare(a.Cultivar, b.Cultivar), strings.Compare(a.Rootstock, b.Rootstock),
		strings.Compare(a.Stock, b.Stock)) < 0
}

// lay writes the areas of the list: every list area of the plan by id, and what stands outside.
func (m *maker) lay(l *List) {
	l.Areas = []Area{}
	sizes := map[string]float64{}
	for _, k := range areaKinds {
		for _, a := range m.site.Areas(k) {
			sizes[a.Feature.ID] = a.AreaM2
		}
	}
	for _, f := range m.plan.Features {
		if !IsArea(f.Kind) {
			continue
		}
		a := m.area(f.ID)
		a.Name, a.Kind = tidy(f.Name), string(f.Kind)
		if v, ok := sizes[f.ID]; ok && f.Sound {
			v = round(v, 2)
			a.AreaM2 = &v
		}
		l.Areas = append(l.Areas, a)
		l.TotalPlants += a.Total
	}
	l.Outside = m.area("")
	l.OutsideAnyArea = l.Outside.Total
	l.TotalPlants += l.Outside.Total
}

func (m *maker) area(id string) Area {
	a := Area{ID: id, Plants: []Line{}, Sundries: []Sundry{}}
	if t := m.byArea[id]; t != nil {
		a.Total, a.Plants = t.total, m.sorted(t.lines)
	}
	return a
}

// missing says what is to be planted and is not in the list, or not whole, for want of something in the plan: a list that leaves
// plants out must not look whole.
func (m *maker) missing() []string {
	var out []string
	for _, l := range m.out.Layouts {
		if l.Failed != "" {
			if l.Feature.IsPlanned() {
				out = append(out, tidy(fmt.Sprintf("Not in this list: %s, which is not set out: %s", l.Feature.Label(), l.WhyNot())))
			}
			continue
		}
		for _, r := range l.Remarks {
			if r.Severity == planner.Stop {
				out = append(out, tidy(r.Message))
			}
		}
	}
	return out
}

// labels are what features are called in messages.
func (m *maker) labels(ids []string) []string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = tidy(id)
		if f := m.plan.Feature(id); f != nil {
			out[i] = tidy(f.Label())
		}
	}
	return out
}

// notes says which names are in doubt, and which plants have no guard although something browses.
func (m *maker) notes() []string {
	var out []string
	for _, l := range m.sorted(m.whole) {
		if l.English != "" {
			continue
		}
		if l.Species == "" {
			out = append(out, fmt.Sprintf("No species is stated for %s (%s): order nothing until the plan says which.", plants(l.Plants), strings.Join(m.labels(l.Features), ", ")))
			continue
		}
		out = append(out, fmt.Sprintf("%s: %s. Its %s listed under the name as written.", quoted(l.Species), l.Note, plants(l.Plants)+" "+isAre(l.Plants)))
	}
	bare := map[string]int{}
	for _, t := range m.byArea {
		for why, n := range t.odds.bare {
			bare[why] += n
		}
	}
	for _, why := range sortedKeys(bare) {
		out = append(out, fmt.Sprintf("No guard is listed for %s: %s.", plants(bare[why]), why))
	}
	return out
}
