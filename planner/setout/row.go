package setout

import (
	"quickthorn/planner"
)

// row sets out one line of plants, exactly a spacing apart and centred between its ends and gateways.
func (m *maker) row(l *Layout, d *planner.Row) {
	f := l.Feature
	t, ok := l.trace()
	if !ok {
		return
	}
	rows := []RowLine{{Path: t.path()}}
	l.Line = &Line{Path: rows[0].Path, LengthM: t.length, Rows: 1, Closed: t.closed, Backwards: t.backwards}
	cut := m.beltOpenings(&t, rows)
	l.openLine(cut)
	if l.fail("species", "mix", "trees", "spacing_m", "status", "planted") || m.tooMany(l) {
		return
	}
	k := m.kinds(d.Mix, UseRow, d.Stock)
	if len(d.Trees) > 0 {
		k = m.treeKinds(d.Trees, UseRow, d.Stock)
	}
	s := firstPositive(d.SpacingM, m.rowSpacing(k, UseRow))
	if s <= 0 {
		l.noSpacing("spacing_m", "it")
		return
	}
	l.SpacingM, l.Line.PerMetre = s, 1/s
	places := placeRow(rows[0].Path, rowRuns(&t, cut.runs, rows[0].Path), s, false)
	l.Holds = len(places)
	plants := make([]Plant, len(places))
	for n, at := range places {
		plants[n] = Plant{Feature: f, Number: n, At: at.p, Chainage: at.s, RaisedM: d.RaisedM, Listed: f.IsPlanned()}
	}
	if len(d.Trees) > 0 {
		plants = m.placeTrees(l, plants, d.Trees, &k)
	} else {
		order := k.order(len(plants))
		for i := range plants {
			k.name(&plants[i], order[i])
		}
	}
	l.Plants = plants
	rows[0].SpacingM, rows[0].Plants = s, len(plants)
	l.Rows = rows
	l.countRuns(&t)
}

// plant sets out a single tree or bush.
func (m *maker) plant(l *Layout, d *planner.Plant) {
	f := l.Feature
	if len(f.Shape.Points) == 0 || l.fail("status", "planted") {
		return
	}
	p := Plant{Feature: f, At: f.Shape.Points[0], RaisedM: d.RaisedM, Listed: f.IsPlanned()}
	var k kinds
	k.add(m.kind(planner.Tree{Species: d.Species, Cultivar: d.Cultivar, Rootstock: d.Rootstock, Form: d.Form}, UsePlant, d.Stock), 1)
	k.name(&p, 0)
	l.Plants = []Plant{p}
}
