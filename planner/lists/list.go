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
	return a.Kind + " " + a.ID
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
	l := &List{Holding: prose.Clean(p.Holding.Name), RuleSet: p.Holding.RuleSet, SparePercent: p.Holding.SparePercent, Bundle: p.Holding.Bundle,
		Cautions: []Caution{}, Notes: []string{}, names: newNames(cat)}
	if w := p.Holding.PlantingWinter; w != 0 {
		l.PlantingWinter = &w
	}
	at := Assign(p, s, out)
	l.Remarks = at.Remarks
	m := &maker{plan: p, site: s, out: out, set: set, at: at, names: l.names, byArea: map[string]*tally{}}
	m.count()
	m.lay(l)
	l.Order = m.order(l)
	m.sundries(l)
	l.price(p.Holding.Prices)
	l.Cautions = cautions(l, m)
	for _, r := range at.Remarks {
		l.Notes = append(l.Notes, r.Message)
	}
	l.Notes = append(l.Notes, m.notes()...)
	return l
}

// lineKey tells lines apart: case and spaces do not. A species of the catalogue is itself; any other is its name.
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
	unsure []string
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

// count counts every listed plant into its area and into the whole.
func (m *maker) count() {
	m.whole, m.kinds = map[lineKey]*Line{}, map[*species.Species]bool{}
	m.out.Each(func(p *setout.Plant) bool {
		if !p.Listed {
			return true
		}
		t := m.tally(m.at.Of(p))
		t.total++
		k := keyOf(p)
		enter(t.lines, k, p)
		enter(m.whole, k, p)
		if p.Species != nil {
			m.kinds[p.Species] = true
		}
		return true
	})
}

// keyOf folds the names of a plant, so that "MM106" and "mm 106" are one line.
func keyOf(p *setout.Plant) lineKey {
	k := lineKey{species: p.Species, cultivar: foldName(p.Cultivar), rootstock: foldName(p.Rootstock), stock: foldText(p.Stock)}
	if p.Species == nil {
		k.name = foldText(p.Name)
	}
	return k
}

// enter counts a plant into its line. Of several ways to write the same name the first in order of text is shown.
func enter(lines map[lineKey]*Line, k lineKey, p *setout.Plant) {
	l := lines[k]
	if l == nil {
		l = &Line{Item: itemOf(p)}
		lines[k] = l
	}
	l.Plants++
	if n := len(l.Features); n > 0 && l.Features[n-1] == p.Feature.ID {
		return
	}
	l.Features = append(l.Features, p.Feature.ID)
	i := itemOf(p)
	l.Species, l.Cultivar = min(l.Species, i.Species), min(l.Cultivar, i.Cultivar)
	l.Rootstock, l.Stock = min(l.Rootstock, i.Rootstock), min(l.Stock, i.Stock)
}

func itemOf(p *setout.Plant) Item {
	i := Item{Species: tidy(p.Name), Cultivar: tidy(p.Cultivar), Rootstock: tidy(p.Rootstock), Stock: tidy(p.Stock)}
	if p.Species != nil {
		i.Species, i.English = p.Species.Botanical, p.Species.Name()
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

// sorted puts lines in order: known species by botanical name, then the rest as written; then cultivar, rootstock, stock.
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
	return cmp.Or(strings.Compare(a.Species, b.Species), strings.Compare(a.Cultivar, b.Cultivar), strings.Compare(a.Rootstock, b.Rootstock),
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

// notes says which names are in doubt.
func (m *maker) notes() []string {
	var out []string
	for _, l := range m.sorted(m.whole) {
		if l.English != "" {
			continue
		}
		out = append(out, fmt.Sprintf("%s: %s. Its %s listed under the name as written.", quoted(l.Species), l.Note, plants(l.Plants)+" "+isAre(l.Plants)))
	}
	return append(out, m.unsure...)
}
