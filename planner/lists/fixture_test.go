package lists

import (
	"fmt"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/require"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
	"quickthorn/planner/species"
)

// Species as the tests need them; figures are not what is tested here.
var (
	yes        = species.Word{V: "yes", Known: true}
	no         = species.Word{V: "no", Known: true}
	hawthorn   = &species.Species{Botanical: "Crataegus monogyna", English: []string{"hawthorn"}, Habit: species.Shrub, Thorny: yes, Evergreen: no}
	blackthorn = &species.Species{Botanical: "Prunus spinosa", English: []string{"blackthorn"}, Habit: species.Shrub, Thorny: yes, Evergreen: no}
	holly      = &species.Species{Botanical: "Ilex aquifolium", English: []string{"holly"}, Habit: species.Tree, Thorny: yes, Evergreen: yes}
	alder      = &species.Species{Botanical: "Alnus glutinosa", English: []string{"alder"}, Habit: species.Tree}
	beech      = &species.Species{Botanical: "Fagus sylvatica", English: []string{"beech"}, Habit: species.Tree}
	apple      = &species.Species{Botanical: "Malus domestica", English: []string{"apple"}, Habit: species.Tree, Crop: true}
	currant    = &species.Species{Botanical: "Ribes nigrum", English: []string{"blackcurrant"}, Habit: species.Shrub, Crop: true}
	strawberry = &species.Species{Botanical: "Fragaria x ananassa", English: []string{"strawberry"}, Habit: species.Herb, Crop: true}
	yew        = &species.Species{Botanical: "Taxus baccata", English: []string{"yew"}, Habit: species.Conifer, Toxic: []species.Toxicity{
		{Class: "extreme", Part: "all but the red flesh", Source: planner.Source{Text: "Lorgue, veterinary toxicology", Confidence: planner.Published}},
		{Class: "severe", Stock: "horses", Source: planner.Source{Text: "a second list", Confidence: planner.Published}}}}
)

// rect is a closed ring from its lower left corner.
func rect(x, y, w, h float64) orb.MultiPolygon {
	return orb.MultiPolygon{{{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}, {x, y}}}}
}

func polygonOf(id string, kind planner.Kind, detail any, mp orb.MultiPolygon) *planner.Feature {
	return &planner.Feature{ID: id, Kind: kind, Name: id, Sound: true, Status: planner.Existing, Detail: detail, Shape: planner.Shape{Polygons: mp}}
}

func parcelOf(id string, mp orb.MultiPolygon, grazed ...string) *planner.Feature {
	return polygonOf(id, planner.KindParcel, &planner.Parcel{GrazedBy: grazed}, mp)
}

func bedOf(id string, mp orb.MultiPolygon) *planner.Feature {
	return polygonOf(id, planner.KindBed, &planner.Bed{}, mp)
}

func lineOf(id string, kind planner.Kind, detail any, at ...orb.Point) *planner.Feature {
	return &planner.Feature{ID: id, Kind: kind, Name: id, Sound: true, Status: planner.Planned, Detail: detail, Shape: planner.Shape{Lines: []orb.LineString{at}}}
}

func pointOf(id string, at orb.Point) *planner.Feature {
	return &planner.Feature{ID: id, Kind: planner.KindPlant, Name: id, Sound: true, Status: planner.Planned, Detail: &planner.Plant{}, Shape: planner.Shape{Points: []orb.Point{at}}}
}

// bench is a plan in the making: features and their layouts.
type bench struct {
	features []*planner.Feature
	layouts  []*setout.Layout
	holding  planner.Holding
}

func newBench() *bench { return &bench{holding: planner.DefaultHolding()} }

func (b *bench) land(f ...*planner.Feature) *bench {
	b.features = append(b.features, f...)
	return b
}

// add adds a feature with what was set out of it.
func (b *bench) add(f *planner.Feature, l *setout.Layout) *bench {
	l.Feature = f
	for i := range l.Plants {
		l.Plants[i].Feature = f
	}
	b.features, b.layouts = append(b.features, f), append(b.layouts, l)
	return b
}

// single adds one tree.
func (b *bench) single(id string, at orb.Point, s *species.Species, stock string) *bench {
	return b.add(pointOf(id, at), &setout.Layout{Plants: []setout.Plant{{At: at, Name: s.Botanical, Species: s, Use: setout.UsePlant, Stock: stock, Listed: true}}})
}

func (b *bench) plan() (*planner.Plan, *site.Site, *setout.Result) {
	p := planner.New(b.holding, geo.Frame{}, b.features...)
	by := map[string]*setout.Layout{}
	for _, l := range b.layouts {
		by[l.Feature.ID] = l
	}
	out := &setout.Result{}
	for _, f := range p.Features {
		if l := by[f.ID]; l != nil {
			out.Layouts = append(out.Layouts, l)
		}
	}
	return p, site.New(p, nil), out
}

func (b *bench) list() *List {
	p, s, out := b.plan()
	return Make(p, s, out, nil, nil)
}

// hedge sets a straight planned hedge out by hand: plants evenly spaced, species in blocks.
func hedge(from, to orb.Point, rows int, use setout.Use, mix ...setout.Plant) *setout.Layout {
	length := geo.Dist(from, to)
	n := 0
	for _, m := range mix {
		n += m.Number
	}
	l := &setout.Layout{Line: &setout.Line{Path: orb.LineString{from, to}, LengthM: length, Rows: rows, Runs: []setout.Run{{FromM: 0, ToM: length, Plants: n}}}}
	i := 0
	for _, m := range mix {
		for range m.Number {
			t := (float64(i) + 0.5) / float64(n)
			p := m
			p.Number, p.Row, p.Use, p.Listed = i, i%rows, use, true
			p.At = orb.Point{from[0] + t*(to[0]-from[0]), from[1] + t*(to[1]-from[1])}
			l.Plants = append(l.Plants, p)
			i++
		}
	}
	return l
}

// of is so many plants of a species, for hedge.
func of(n int, s *species.Species, stock string) setout.Plant {
	return setout.Plant{Number: n, Name: s.Name(), Species: s, Stock: stock}
}

const (
	whip = "bare-root transplant 40-60 cm"
	cell = "cell-grown 20-40 cm"
	onem = "grafted one-year"
)

// worked is the worked example, laid out by hand in metres: a field of 120 by 90 m, a hedge along its south side, an old hedge
// with a gap to fill along its east side, a belt, an orchard, a bed and a beech.
func worked() *bench {
	b := newBench()
	b.holding.Name, b.holding.PlantingWinter, b.holding.RuleSet, b.holding.WindFromDeg = "Worked example", 2026, "england", 270
	b.land(parcelOf("long-field", rect(0, 0, 120, 90), "sheep"), bedOf("kitchen-bed", rect(20, 10, 20, 12)))
	b.add(lineOf("lane-hedge", planner.KindHedge, &planner.Hedge{Rows: 2}, orb.Point{0, 0}, orb.Point{48.5, 0}),
		hedge(orb.Point{0, 0}, orb.Point{48.5, 0}, 2, setout.UseHedge, of(175, hawthorn, whip), of(58, blackthorn, whip), of(58, holly, cell)))
	old := lineOf("old-hedge", planner.KindHedge, &planner.Hedge{Rows: 2}, orb.Point{120, 0}, orb.Point{120, 90})
	old.Status = planner.Existing
	fill := hedge(orb.Point{120, 31}, orb.Point{120, 34.2}, 2, setout.UseFill, of(20, hawthorn, whip))
	fill.Line = &setout.Line{Path: orb.LineString{{120, 0}, {120, 90}}, LengthM: 90, Rows: 2, Runs: []setout.Run{{FromM: 0, ToM: 31}, {FromM: 34.2, ToM: 60}, {FromM: 63.6, ToM: 90}},
		Openings: []setout.Opening{{FromM: 31, ToM: 34.2, Action: setout.Fill, Plants: 20}, {FromM: 60, ToM: 63.6, Action: setout.LeaveOpen}}}
	fill.Plants = append(fill.Plants, setout.Plant{At: orb.Point{120, 5}, Name: "hawthorn", Species: hawthorn, Use: setout.UseHedge, Number: 20}) // stands there already
	b.add(old, fill)
	belt := &setout.Layout{Line: &setout.Line{Path: orb.LineString{{4, 5}, {4, 55}}, LengthM: 50, Rows: 2}}
	for row, s := range []*species.Species{hawthorn, alder} {
		belt.Rows = append(belt.Rows, setout.RowLine{Row: row, SpacingM: 1.5})
		for i := range 34 - row {
			belt.Plants = append(belt.Plants, setout.Plant{Row: row, Number: i, At: orb.Point{4 + 2.5*float64(row), 5.25 + 1.5*float64(i)}, Name: s.Name(), Species: s,
				Use: setout.UseWindbreak, Stock: whip, Listed: true})
		}
	}
	b.add(lineOf("west-belt", planner.KindWindbreak, &planner.Windbreak{}, orb.Point{4, 5}, orb.Point{4, 55}), belt)
	orchard := &setout.Layout{SpacingM: 5, RowSpaceM: 5}
	for i := range 48 {
		cultivar := "James Grieve"
		if i%2 == 1 {
			cultivar = "Egremont Russet"
		}
		orchard.Plants = append(orchard.Plants, setout.Plant{Row: i / 8, Number: i % 8, At: orb.Point{62.5 + 5*float64(i%8), 22.5 + 5*float64(i/8)}, Name: "apple", Species: apple,
			Cultivar: cultivar, Rootstock: "MM106", Use: setout.UseOrchard, Stock: onem, Listed: true})
	}
	o := polygonOf("orchard", planner.KindOrchard, &planner.Block{}, rect(60, 20, 40, 30))
	o.Status = planner.Planned
	b.add(o, orchard)
	return b.single("corner-beech", orb.Point{20, 75}, beech, whip)
}

// area is the area of a list with that id.
func area(t *testing.T, l *List, id string) Area {
	t.Helper()
	for _, a := range l.Areas {
		if a.ID == id {
			return a
		}
	}
	require.Fail(t, "no such area", id)
	return Area{}
}

// sundryOf is the sundry of that item and kind ("" is any); its quantity is 0 where there is none.
func sundryOf(list []Sundry, item, kind string) Sundry {
	for _, s := range list {
		if s.Item == item && (kind == "" || s.Kind == kind) {
			return s
		}
	}
	return Sundry{}
}

// sum adds up the plants of the areas and outside.
func sum(l *List) int {
	n := l.OutsideAnyArea
	for _, a := range l.Areas {
		for _, p := range a.Plants {
			n += p.Plants
		}
	}
	return n
}

func at(x, y float64) orb.Point { return orb.Point{x, y} }

func ids(n int) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = fmt.Sprintf("f%03d", i)
	}
	return out
}
