package lists

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"quickthorn/planner/prose"
)

const (
	leastWidth = 40 // columns below which nothing can be laid out
	mostName   = 34 // columns for a name in a table; a longer one is cut
)

// WriteText writes the list to be read on a terminal or printed: the order, the sundries with their reckoning, each area, and the
// cautions, wrapped at opt.Width. Tables turn into short paragraphs where the width is too small for them.
func WriteText(w io.Writer, l *List, opt Options) error {
	width := opt.Width
	if width <= 0 {
		width = prose.DefaultWidth
	}
	t := &page{width: max(width, leastWidth)}
	t.head(l, opt)
	t.order(l)
	if len(l.Sundries) > 0 {
		t.title("SUNDRIES")
		t.sundries(l.Sundries, l.Cost)
	}
	t.areas(l)
	if len(l.Notes) > 0 {
		t.title("TO BE MENDED")
		for _, n := range l.Notes {
			t.para(n, "- ", "  ")
		}
	}
	if len(l.Cautions) > 0 {
		t.title("CAUTIONS")
		for _, c := range l.Cautions {
			t.para(c.Text+" ["+sourceOf(c.Source, string(c.Confidence))+"]", "- ", "  ")
		}
	}
	_, err := io.WriteString(w, t.b.String())
	return err
}

// page is text being laid out.
type page struct {
	b     strings.Builder
	width int
}

func (t *page) line(s string) { t.b.WriteString(strings.TrimRight(s, " ") + "\n") }

func (t *page) para(s, first, rest string) { t.line(prose.Wrap(s, t.width, first, rest)) }

func (t *page) title(s string) {
	t.line("")
	t.para(s, "", "")
	t.line(strings.Repeat("-", min(t.width, max(3, prose.Width(prose.Short(s, t.width))))))
}

// head says what the list is of, and how many plants there are.
func (t *page) head(l *List, opt Options) {
	t.para("Planting list: "+prose.Short(l.Holding, 200), "", "    ")
	date := tidy(opt.Date)
	if date == "" {
		date = "____________"
	}
	t.para("Date: "+date+".  Planting: "+WinterText(l.PlantingWinter)+".  Rule set: "+tidy(l.RuleSet)+".", "", "    ")
	s := fmt.Sprintf("%s, in %s", plants(l.TotalPlants), many(l.planted(), "area"))
	if l.OutsideAnyArea > 0 {
		s += fmt.Sprintf(", %s of them outside any area", count(l.OutsideAnyArea))
	}
	t.para(s+".", "", "    ")
}

// planted is how many areas hold plants.
func (l *List) planted() int {
	n := 0
	for _, a := range l.Areas {
		if a.Total > 0 {
			n++
		}
	}
	return n
}

// WinterText is a planting winter in words: 2026 is "winter 2026/27".
func WinterText(w *int) string {
	if w == nil {
		return "no winter stated"
	}
	return fmt.Sprintf("winter %d/%02d", *w, (*w+1)%100)
}

// order is the order list, with a box to tick for each line.
func (t *page) order(l *List) {
	t.title("ORDER")
	if len(l.Order) == 0 {
		t.para("Nothing is to be planted.", "", "")
		return
	}
	t.para(fmt.Sprintf("Spares: %s %%, none for grafted or potted stock or lines under %d. Bundles of %d, bare-root stock only.",
		figure(l.SparePercent, 1), leastForSpares, l.Bundle), "", "")
	t.line("")
	head := []string{"", "Species", "Stock", "Plants", "Spare", "Order", "Bundles"}
	if l.Cost != nil {
		head = append(head, "Price")
	}
	rows := [][]string{head}
	sum := [3]int{}
	for _, o := range l.Order {
		row := []string{"[ ]", named(o.Item, o.Note), orUnknown(o.Stock), count(o.Plants), count(o.Spare), count(o.Order), orDash(o.Bundles)}
		if l.Cost != nil {
			row = append(row, orNone(o.Price))
		}
		rows = append(rows, row)
		sum[0], sum[1], sum[2] = sum[0]+o.Plants, sum[1]+o.Spare, sum[2]+o.Order
	}
	last := []string{"", "Total", "", count(sum[0]), count(sum[1]), count(sum[2]), ""}
	if l.Cost != nil {
		last = append(last, "")
	}
	t.table(append(rows, last), 3, 4, 5, 6, 7)
	if l.Cost != nil {
		t.line("")
		t.para(l.Cost.String(), "", "")
	}
}

// String says what the priced lines come to.
func (c *Cost) String() string {
	s := fmt.Sprintf("At your own prices: %.2f", c.Total)
	if c.Currency != "" {
		s += " " + c.Currency
	}
	if c.Unpriced > 0 {
		s += fmt.Sprintf("; %s without a price", many(c.Unpriced, "line"))
	}
	return s + "."
}

// table lays rows out, the columns from the third on flush right where they are figures. Where it would be too wide, names and stock
// are cut; where that is not enough, each row becomes a paragraph.
func (t *page) table(rows [][]string, right ...int) {
	for _, limit := range [][2]int{{mostName, 24}, {26, 18}} {
		cut := make([][]string, len(rows))
		for i, r := range rows {
			cut[i] = append([]string(nil), r...)
			cut[i][1], cut[i][2] = prose.Short(r[1], limit[0]), prose.Short(r[2], limit[1])
		}
		s := prose.Table(cut, "", right...)
		if widest(s) <= t.width {
			t.b.WriteString(s)
			t.under(rows, limit)
			return
		}
	}
	for _, r := range rows[1:] {
		var parts []string
		for i, c := range r {
			if i > 1 && c != "" {
				parts = append(parts, strings.ToLower(rows[0][i])+" "+c)
			}
		}
		first := "- "
		if r[0] != "" {
			first = r[0] + " "
		}
		t.para(r[1]+": "+strings.Join(parts, ", "), first, strings.Repeat(" ", len(first)))
	}
}

// under writes out in full what the table cut short.
func (t *page) under(rows [][]string, limit [2]int) {
	for _, r := range rows {
		if prose.Width(r[1]) > limit[0] || prose.Width(r[2]) > limit[1] {
			t.para(prose.Short(r[1], 200)+"; "+prose.Short(r[2], 100), "  in full: ", "    ")
		}
	}
}

func widest(s string) int {
	n := 0
	for _, l := range strings.Split(s, "\n") {
		n = max(n, prose.Width(l))
	}
	return n
}

// named is a plant's name for people: English first, cultivar and rootstock after it, a question mark where the name is in doubt.
func named(i Item, note string) string {
	s := i.English
	if s == "" {
		s = i.Species
		if s == "" {
			s = "no species stated"
		}
		s = "? " + s
	}
	if i.Cultivar != "" {
		s += " '" + i.Cultivar + "'"
	}
	if i.Rootstock != "" {
		s += " on " + i.Rootstock
	}
	return s
}

func orUnknown(stock string) string {
	if stock == "" {
		return "stock not known"
	}
	return stock
}

func orDash(n int) string {
	if n == 0 {
		return "-"
	}
	return count(n)
}

func orNone(v *float64) string {
	if v == nil {
		return "-"
	}
	return money(v)
}

// sundries lists what else is needed, each with its reckoning on the lines below.
func (t *page) sundries(list []Sundry, cost *Cost) {
	for i, s := range list {
		if i > 0 && t.width >= prose.DefaultWidth/2 {
			t.line("")
		}
		t.para(s.head(cost), "[ ] ", "    ")
		t.para(withSource(s), "    ", "    ")
	}
}

// head is the quantity and what it is: "24 stakes for the first years", "3.96 m3 mulch, wood chip".
func (s Sundry) head(cost *Cost) string {
	what := s.Item
	switch {
	case s.Kind != "" && strings.Contains(s.Kind, s.Item):
		what = s.Kind
	case s.Kind != "":
		what += ", " + s.Kind
	}
	q := figure(s.Quantity, 2)
	if s.Unit == "" {
		q = count(int(s.Quantity))
	} else {
		q += " " + s.Unit
	}
	if cost != nil && s.Price != nil {
		what += "  (" + money(s.Price) + strings.TrimRight(" "+cost.Currency, " ") + ")"
	}
	return q + "  " + what
}

// areas lists every area, those without plants in one line at the end.
func (t *page) areas(l *List) {
	t.title("BY AREA")
	var empty []string
	for _, a := range append(append([]Area{}, l.Areas...), l.Outside) {
		if a.Total == 0 {
			if a.ID != "" {
				empty = append(empty, prose.Short(a.Label(), 60))
			}
			continue
		}
		t.line("")
		t.area(a)
	}
	if len(empty) > 0 {
		t.line("")
		t.para("Nothing to plant in: "+strings.Join(empty, ", ")+".", "", "  ")
	}
	if len(l.Areas) == 0 && l.Outside.Total == 0 {
		t.para("No areas are drawn.", "", "")
	}
}

func (t *page) area(a Area) {
	about := plants(a.Total)
	if a.AreaM2 != nil {
		about = a.Kind + ", " + groundText(*a.AreaM2) + ", " + about
	} else if a.Kind != "" {
		about = a.Kind + ", " + about
	}
	t.para(prose.Short(a.Label(), 120)+": "+about, "", "  ")
	rows := [][]string{{"", "Species", "Stock", "Plants"}}
	for _, p := range a.Plants {
		rows = append(rows, []string{"  ", named(p.Item, p.Note), orUnknown(p.Stock), count(p.Plants)})
	}
	t.table(rows, 3)
	for _, s := range a.Sundries {
		t.para(s.head(nil), "    + ", "      ")
	}
}

// groundText is an area as it is spoken of: square metres below a hectare, hectares above.
func groundText(m2 float64) string {
	if m2 >= 10000 {
		return strconv.FormatFloat(m2/10000, 'f', 2, 64) + " ha"
	}
	return count(int(m2+0.5)) + " m2"
}
