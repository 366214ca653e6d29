package lists

import (
	"io"
	"slices"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"quickthorn/planner/paper"
	"quickthorn/planner/prose"
)

// The sheets of a spreadsheet.
const (
	sheetOrder    = "Order"
	sheetAreas    = "Areas"
	sheetSundries = "Sundries"
	sheetNotes    = "Notes"
)

// WriteXLSX writes the list as a spreadsheet (Office Open XML): the order, the lists of the areas, sundries, and notes with cautions,
// a sheet each with one header row. Numbers are numbers. A text that a spreadsheet would run as a formula is text and has
// an apostrophe put before it as well, so that it stays inert where the sheet is saved in another format. It carries a fixed time.
func WriteXLSX(w io.Writer, l *List, opt Options) error {
	f := excelize.NewFile()
	defer f.Close()
	at := paper.Epoch.Format(time.RFC3339)
	if err := f.SetDocProps(&excelize.DocProperties{Title: "Planting list: " + prose.Short(l.Holding, 200), Creator: "Quickthorn", LastModifiedBy: "Quickthorn", Created: at, Modified: at}); err != nil {
		return err
	}
	if err := f.SetSheetName("Sheet1", sheetOrder); err != nil {
		return err
	}
	b := &book{f: f}
	b.order(l)
	b.areas(l)
	b.sundries(l)
	b.notes(l, opt)
	if b.err != nil {
		return b.err
	}
	return f.Write(w)
}

// A book writes rows into sheets and remembers the first thing that went wrong.
type book struct {
	f    *excelize.File
	err  error
	bold int
}

func (b *book) do(err error) {
	if b.err == nil {
		b.err = err
	}
}

// rows writes a header and rows; strings are made inert, nil leaves a cell empty. widths are of the columns, in characters.
func (b *book) rows(sheet string, widths []float64, rows [][]any) {
	if b.err != nil {
		return
	}
	if i, err := b.f.GetSheetIndex(sheet); err != nil || i < 0 {
		_, err := b.f.NewSheet(sheet)
		b.do(err)
	}
	if b.bold == 0 {
		id, err := b.f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}})
		b.bold = id
		b.do(err)
	}
	for i, v := range widths {
		name, err := excelize.ColumnNumberToName(i + 1)
		b.do(err)
		b.do(b.f.SetColWidth(sheet, name, name, v))
	}
	for y, r := range rows {
		for x, v := range r {
			cell, err := excelize.CoordinatesToCellName(x+1, y+1)
			b.do(err)
			switch v := v.(type) {
			case nil:
			case string:
				if v != "" {
					// A cell holds 32,767 characters at most.
					b.do(b.f.SetCellStr(sheet, cell, prose.Short(prose.Inert(tidy(v)), 8000)))
				}
			default:
				b.do(b.f.SetCellValue(sheet, cell, v))
			}
		}
	}
	last, err := excelize.CoordinatesToCellName(len(rows[0]), 1)
	b.do(err)
	b.do(b.f.SetCellStyle(sheet, "A1", last, b.bold))
	b.do(b.f.SetPanes(sheet, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}))
}

// price is a price as a cell: empty where there is none.
func price(v *float64) any {
	if v == nil {
		return nil
	}
	return *v
}

func (b *book) order(l *List) {
	rows := [][]any{{"species", "english", "cultivar", "rootstock", "stock", "plants", "spare", "order", "bundles", "price_each", "price", "note"}}
	for _, o := range l.Order {
		rows = append(rows, []any{o.Species, o.English, o.Cultivar, o.Rootstock, o.Stock, o.Plants, o.Spare, o.Order, o.Bundles, price(o.PriceEach), price(o.Price), o.Note})
	}
	b.rows(sheetOrder, []float64{26, 22, 22, 14, 24, 9, 9, 9, 9, 11, 11, 40}, rows)
}

func (b *book) areas(l *List) {
	rows := [][]any{{"area", "area_name", "species", "english", "cultivar", "rootstock", "stock", "plants", "features", "note"}}
	for _, a := range append(slices.Clone(l.Areas), l.Outside) {
		for _, p := range a.Plants {
			rows = append(rows, []any{a.ID, a.Label(), p.Species, p.English, p.Cultivar, p.Rootstock, p.Stock, p.Plants, strings.Join(p.Features, " "), p.Note})
		}
	}
	b.rows(sheetAreas, []float64{18, 24, 26, 22, 22, 14, 24, 9, 30, 40}, rows)
}

func (b *book) sundries(l *List) {
	rows := [][]any{{"area", "area_name", "item", "kind", "quantity", "unit", "price_each", "price", "note"}}
	for _, s := range l.Sundries {
		rows = append(rows, []any{"", "whole holding", s.Item, s.Kind, round(s.Quantity, 3), s.Unit, price(s.PriceEach), price(s.Price), withSource(s)})
	}
	for _, a := range append(slices.Clone(l.Areas), l.Outside) {
		for _, s := range a.Sundries {
			rows = append(rows, []any{a.ID, a.Label(), s.Item, s.Kind, round(s.Quantity, 3), s.Unit, price(s.PriceEach), price(s.Price), withSource(s)})
		}
	}
	b.rows(sheetSundries, []float64{18, 24, 12, 24, 11, 9, 11, 11, 80}, rows)
}

func (b *book) notes(l *List, opt Options) {
	rows := [][]any{{"what", "text", "source"}, {"holding", l.Holding, nil}, {"rule set", l.RuleSet, nil}, {"planting", WinterText(l.PlantingWinter), nil},
		{"total plants", l.TotalPlants, nil}, {"outside any area", l.OutsideAnyArea, nil}}
	if date := tidy(opt.Date); date != "" {
		rows = append(rows, []any{"date", date, nil})
	}
	if l.Cost != nil {
		rows = append(rows, []any{"cost", l.Cost.String(), nil})
	}
	for _, d := range l.Dates {
		rows = append(rows, []any{"dates", d, nil})
	}
	for _, n := range l.Notes {
		rows = append(rows, []any{"note", n, nil})
	}
	for _, c := range l.Cautions {
		rows = append(rows, []any{"caution", c.Text, sourceOf(c.Source, string(c.Confidence))})
	}
	b.rows(sheetNotes, []float64{18, 110, 60}, rows)
}
