package lists

import (
	"bufio"
	"io"
	"strconv"
	"strings"

	"quickthorn/planner/prose"
)

// csvColumns is the header row. `part` says what a row is: an area's plants, an area's sundry, a line of the order, or a
// sundry of the whole holding. Quantities of one part add up; those of different parts count the same things.
var csvColumns = []string{"part", "area", "area_name", "species", "english", "cultivar", "rootstock", "stock", "plants", "spare", "order", "bundles",
	"item", "kind", "quantity", "unit", "price_each", "price", "features", "note"}

// The parts of a CSV list.
const (
	partArea       = "area"
	partAreaSundry = "area sundry"
	partOrder      = "order"
	partSundry     = "sundry"
)

// csvRow is one row by column; columns that are not set are empty.
type csvRow map[string]string

// WriteCSV writes the list as RFC 4180: one header row, lines that end in CR LF, every text cell quoted. A text cell that a
// spreadsheet would run as a formula has an apostrophe put before it, and so is shown as text.
func WriteCSV(w io.Writer, l *List, _ Options) error {
	b := bufio.NewWriter(w)
	for i, c := range csvColumns {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(c)
	}
	b.WriteString("\r\n")
	for _, a := range append(append([]Area{}, l.Areas...), l.Outside) {
		for _, p := range a.Plants {
			r := csvItem(partArea, p.Item, p.Plants, p.Note)
			r["area"], r["area_name"], r["features"] = text(a.ID), text(a.Name), text(strings.Join(p.Features, " "))
			r.write(b)
		}
		for _, s := range a.Sundries {
			r := csvSundry(partAreaSundry, s)
			r["area"], r["area_name"] = text(a.ID), text(a.Name)
			r.write(b)
		}
	}
	for _, o := range l.Order {
		r := csvItem(partOrder, o.Item, o.Plants, o.Note)
		r["spare"], r["order"], r["bundles"] = strconv.Itoa(o.Spare), strconv.Itoa(o.Order), strconv.Itoa(o.Bundles)
		r["price_each"], r["price"] = money(o.PriceEach), money(o.Price)
		r.write(b)
	}
	for _, s := range l.Sundries {
		csvSundry(partSundry, s).write(b)
	}
	return b.Flush()
}

func csvItem(part string, i Item, plants int, note string) csvRow {
	return csvRow{"part": text(part), "species": text(i.Species), "english": text(i.English), "cultivar": text(i.Cultivar), "rootstock": text(i.Rootstock),
		"stock": text(i.Stock), "plants": strconv.Itoa(plants), "note": text(note)}
}

func csvSundry(part string, s Sundry) csvRow {
	return csvRow{"part": text(part), "item": text(s.Item), "kind": text(s.Kind), "quantity": figure(s.Quantity, 3), "unit": text(s.Unit),
		"price_each": money(s.PriceEach), "price": money(s.Price), "note": text(withSource(s))}
}

// withSource is the reckoning of a sundry with its source.
func withSource(s Sundry) string {
	return strings.TrimSpace(s.Note + " Source: " + sourceOf(s.Source, string(s.Confidence)) + ".")
}

// sourceOf is a source with its confidence where it is not published.
func sourceOf(source, confidence string) string {
	if confidence == "published" || confidence == "" || source == confidence {
		return source
	}
	return source + " (" + confidence + ")"
}

func (r csvRow) write(b *bufio.Writer) {
	for i, c := range csvColumns {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(r[c])
	}
	b.WriteString("\r\n")
}

// text is a text cell: quoted and inert, control characters and marks of direction taken out. An empty text is an empty cell.
func text(s string) string { return prose.Cell(tidy(s)) }

// money is a price, two decimals; empty where there is none.
func money(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'f', 2, 64)
}
