package lists

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"quickthorn/planner/prose"
)

const (
	leastWidth = 40 // columns below which nothing can be laid out
	leastName  = 16 // columns for a name, below which a table turns into paragraphs
	mostName   = 40 // columns for a name in a table; a longer one is cut
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
	if len(l.Dates) > 0 {
		t.title("DATES")
		for _, d := range l.Dates {
			t.para(d, "- ", "  ")
		}
	}
	if len(l.Notes) > 0 {
		t.title("NOTES")
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
	s := plants(l.TotalPlants)
	switch {
	case l.OutsideAnyArea > 0 && l.OutsideAnyArea == l.TotalPlants:
		s += ", outside any area"
	case l.OutsideAnyArea > 0:
		s += fmt.Sprintf(", in %s, %s of them outside any area", many(l.planted(), "area"), count(l.OutsideAnyArea))
	case l.TotalPlants > 0:
		s += ", in " + many(l.planted(), "area")
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

// order is the order list, one table for each kind of stock, with a box to tick for each line.
func (t *page) order(l *List) {
	t.title("ORDER")
	if len(l.Order) == 0 {
		t.para("Nothing is to be planted.", "", "")
		return
	}
	t.para(SpareText(l), "", "")
	head := []string{"", "", "Plants", "Spare", "Order", "Bundles"}
	if l.Cost != nil {
		head = append(head, "Price")
	}
	all := 0
	for _, stock := range stocks(l.Order) {
		head[1] = orUnknown(stock)
		rows := [][]string{slices.Clone(head)}
		n := 0
		for _, o := range l.Order {
			if o.Stock != stock {
				continue
			}
			row := []string{"[ ]", named(o.Item), count(o.Plants), count(o.Spare), count(o.Order), orDash(o.Bundles)}
			if l.Cost != nil {
				row = append(row, orNone(o.Price))
			}
			rows = append(rows, row)
			n += o.Order
		}
		all += n
		t.line("")
		t.table(rows, 2, 3, 4, 5, 6)
	}
	t.line("")
	t.para(fmt.Sprintf("To order: %s.", plants(all)), "", "")
	if l.Cost != nil {
		t.para(l.Cost.String(), "", "")
	}
}

// SpareText says how spares and bundles are reckoned.
func SpareText(l *List) string {
	return fmt.Sprintf("Spares: %s %%, none for grafted or potted stock or lines under %d. Bundles of %d, for bare-root stock only.",
		figure(l.SparePercent, 1), leastForSpares, l.Bundle)
}

// stocks are the kinds of stock of an order list, in order of text, unknown stock last.
func stocks(order []Order) []string {
	var out []string
	for _, o := range order {
		if !slices.Contains(out, o.Stock) {
			out = append(out, o.Stock)
		}
	}
	slices.SortFunc(out, func(a, b string) int {
		if (a == "") != (b == "") {
			return strings.Compare(b, a)
		}
		return strings.Compare(a, b)
	})
	return out
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

// table lays rows out: a mark, a name that may be long, and short columns, flush right where right says so. Names are cut to
// what room there is, and written out in full below; where there is hardly room for a name, each row becomes a paragraph.
func (t *page) table(rows [][]string, right ...int) {
	bare := make([][]string, len(rows))
	longest := 0
	for i, r := range rows {
		bare[i] = slices.Clone(r)
		bare[i][1] = ""
		longest = max(longest, prose.Width(r[1]))
	}
	room := min(t.width-widest(prose.Table(bare, "", 0, right...)), mostName)
	if room < leastName && room < longest {
		t.rows(rows)
		return
	}
	cut := false
	for i, r := range rows {
		bare[i][1] = prose.Short(r[1], room)
		cut = cut || bare[i][1] != r[1]
	}
	t.b.WriteString(prose.Table(bare, "", 0, right...))
	if !cut {
		return
	}
	for _, r := range rows {
		if prose.Width(r[1]) > room {
			t.para(prose.Short(r[1], 300), "    in full: ", "      ")
		}
	}
}

// rows writes a table as paragraphs, one a row.
func (t *page) rows(rows [][]string) {
	t.para(rows[0][1]+":", "", "")
	for _, r := range rows[1:] {
		var parts []string
		for i, c := range r {
			if i > 1 && c != "" {
				parts = append(parts, strings.ToLower(rows[0][i])+" "+c)
			}
		}
		first := r[0] + " "
		t.para(r[1]+": "+strings.Join(parts, ", "), first, strings.Repeat(" ", len(first)))
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
func named(i Item) string {
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
		if i > 0 {
			t.line("")
		}
		t.para(s.head(cost), "[ ] ", "    ")
		t.para(withSource(s), "    ", "    ")
	}
}

// head is the quantity and what it is: "24 stakes, permanent", "3.96 m3 mulch, wood chip", "48 stock guards 1.5 m".
func (s Sundry) head(cost *Cost) string {
	what, q := s.Item, figure(s.Quantity, 2)
	if s.Unit == "" {
		q = count(int(s.Quantity))
		if s.Quantity != 1 {
			what += "s"
		}
	} else {
		q += " " + s.Unit
	}
	if stock, size, is := strings.Cut(s.Kind, "stock guard"); is && stock == "" {
		what = "stock " + what + size
	} else if s.Kind != "" {
		what += ", " + s.Kind
	}
	if cost != nil && s.Price != nil {
		what += " (" + money(s.Price) + strings.TrimRight(" "+cost.Currency, " ") + ")"
	}
	return q + " " + what
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
	rows := [][]string{{" ", "", "Plants", "Stock"}}
	for _, p := range a.Plants {
		rows = append(rows, []string{" ", named(p.Item), count(p.Plants), prose.Short(orUnknown(p.Stock), 30)})
	}
	t.table(rows, 2)
	for _, s := range a.Sundries {
		t.para(s.head(nil), "   + ", "     ")
	}
}

// groundText is an area as it is spoken of: square metres below a hectare, hectares above.
func groundText(m2 float64) string {
	if m2 >= 10000 {
		return strconv.FormatFloat(m2/10000, 'f', 2, 64) + " ha"
	}
	return count(int(m2+0.5)) + " m2"
}
