package lists

import (
	"io"
	"slices"

	"quickthorn/planner/paper"
	"quickthorn/planner/prose"
)

// WritePDF writes the list on A4: the order with boxes to tick, sundries, the list of each area, notes and cautions.
func WritePDF(w io.Writer, l *List, opt Options) error {
	title := "Planting list: " + prose.Short(l.Holding, 200)
	size, _ := paper.SizeNamed("A4")
	f := paper.NewFlow(size, false, 1, 3.1, title)
	date := tidy(opt.Date)
	f.Foot = date
	if date == "" {
		date = "____________"
	}
	f.Head(title)
	f.Para("Date: " + date + ". Planting: " + WinterText(l.PlantingWinter) + ". Rule set: " + l.RuleSet + ".")
	all := plants(l.TotalPlants)
	if l.OutsideAnyArea > 0 {
		all += ", " + count(l.OutsideAnyArea) + " of them outside any area"
	}
	f.Para(all + ".")
	pdfOrder(f, l)
	if len(l.Sundries) > 0 {
		f.Heading("Sundries")
		for _, s := range l.Sundries {
			f.Box(s.head(l.Cost), withSource(s))
		}
	}
	pdfAreas(f, l)
	if len(l.Dates) > 0 {
		f.Heading("Dates")
		for _, d := range l.Dates {
			f.Bullet(d)
		}
	}
	if len(l.Notes) > 0 {
		f.Heading("Notes")
		for _, n := range l.Notes {
			f.Bullet(n)
		}
	}
	if len(l.Cautions) > 0 {
		f.Heading("Cautions")
		for _, c := range l.Cautions {
			f.Bullet(c.Text + " (" + sourceOf(c.Source, string(c.Confidence)) + ")")
		}
	}
	return paper.PDF(w, title, f.Pages(0, 0))
}

// noted is a name with what is in doubt about it.
func noted(i Item, note string) string {
	s := prose.Short(named(i), 200)
	if i.English != "" {
		s += " (" + i.Species + ")"
	}
	if note != "" {
		s += ": " + prose.Short(note, 200)
	}
	return s
}

func pdfOrder(f *paper.Flow, l *List) {
	f.Heading("Order for the nursery")
	if len(l.Order) == 0 {
		f.Para("Nothing is to be planted.")
		return
	}
	f.Small(SpareText(l))
	t := paper.Table{Columns: []paper.Column{{Title: "", Share: 5}, {Title: "Species", Share: 52}, {Title: "Stock", Share: 36}, {Title: "Plants", Share: 13, Right: true},
		{Title: "Spare", Share: 12, Right: true}, {Title: "Order", Share: 13, Right: true}, {Title: "Bundles", Share: 15, Right: true}}}
	if l.Cost != nil {
		t.Columns = append(t.Columns, paper.Column{Title: "Price", Share: 16, Right: true})
	}
	for _, o := range l.Order {
		row := []string{paper.Tick, noted(o.Item, o.Note), prose.Short(orUnknown(o.Stock), 100), count(o.Plants), count(o.Spare), count(o.Order), orDash(o.Bundles)}
		if l.Cost != nil {
			row = append(row, orNone(o.Price))
		}
		t.Rows = append(t.Rows, row)
	}
	f.Table(t)
	if l.Cost != nil {
		f.Para(l.Cost.String())
	}
}

func pdfAreas(f *paper.Flow, l *List) {
	f.Heading("By area")
	var empty []string
	for _, a := range append(slices.Clone(l.Areas), l.Outside) {
		if a.Total == 0 {
			if a.ID != "" {
				empty = append(empty, prose.Short(a.Label(), 200))
			}
			continue
		}
		head := prose.Short(a.Label(), 200) + ": "
		if a.Kind != "" {
			head += a.Kind + ", "
		}
		if a.AreaM2 != nil {
			head += groundText(*a.AreaM2) + ", "
		}
		f.Heading(head + plants(a.Total))
		t := paper.Table{Columns: []paper.Column{{Title: "", Share: 5}, {Title: "Species", Share: 80}, {Title: "Stock", Share: 50}, {Title: "Plants", Share: 20, Right: true}}}
		for _, p := range a.Plants {
			t.Rows = append(t.Rows, []string{paper.Tick, noted(p.Item, p.Note), prose.Short(orUnknown(p.Stock), 100), count(p.Plants)})
		}
		f.Table(t)
		for _, s := range a.Sundries {
			f.Bullet(s.head(nil))
		}
	}
	for i, e := range empty {
		if i == 0 {
			f.Para("Nothing to plant in:")
		}
		f.Bullet(e)
	}
}
