package paper

import "fmt"

// A Flow is running text on pages: headings, paragraphs, marked items and tables, in one or more columns. What does not fit goes on
// in the next column or on the next page; nothing is cut off.
type Flow struct {
	Width, Height float64
	Columns       int
	Text          float64 // height of the type of running text, mm
	Title         string  // of every page, and at its foot
	Foot          string  // more at the foot

	pages []*Page
	col   int
	y     float64
}

const (
	flowMargin = 14.0
	flowGutter = 7.0
	footRoom   = 7.0
	leading    = 1.3
)

// Tick is a table cell that is a box to tick.
const Tick = "\x00tick"

// NewFlow begins a text on paper of a size; text is the height of its type in millimetres.
func NewFlow(s Size, landscape bool, columns int, text float64, title string) *Flow {
	f := &Flow{Width: s.Width, Height: s.Height, Columns: max(1, columns), Text: text, Title: title}
	if landscape {
		f.Width, f.Height = f.Height, f.Width
	}
	return f
}

// column is the box of the column being written.
func (f *Flow) column() Box {
	w := (f.Width - 2*flowMargin - float64(f.Columns-1)*flowGutter) / float64(f.Columns)
	return Box{flowMargin + float64(f.col)*(w+flowGutter), flowMargin, w, f.Height - 2*flowMargin - footRoom}
}

func (f *Flow) page() *Page {
	if len(f.pages) == 0 {
		f.Break()
	}
	return f.pages[len(f.pages)-1]
}

// Break begins a page, unless the one being written is empty.
func (f *Flow) Break() {
	if n := len(f.pages); n > 0 && len(f.pages[n-1].Items) == 0 {
		return
	}
	f.pages = append(f.pages, &Page{Width: f.Width, Height: f.Height, Title: f.Title})
	f.col, f.y = 0, flowMargin
}

// Keep goes to the next column or page where less than mm are left in this one.
func (f *Flow) Keep(mm float64) {
	f.page()
	c := f.column()
	if f.y+mm <= c.Bottom()+1e-6 || f.y == c.Y {
		return
	}
	if f.col+1 < f.Columns {
		f.col++
		f.y = flowMargin
		return
	}
	f.pages = append(f.pages, &Page{Width: f.Width, Height: f.Height, Title: f.Title})
	f.col, f.y = 0, flowMargin
}

// Space leaves room.
func (f *Flow) Space(mm float64) {
	if f.page(); f.y > f.column().Y {
		f.y += mm
	}
}

func (f *Flow) put(i ...Item) { f.page().Put(i...) }

// lines writes a text, indented, a line at a time.
func (f *Flow) lines(s string, face Face, size, indent float64) {
	f.page()
	for _, l := range Wrap(Fit(s, face), face, size, f.column().W-indent) {
		f.Keep(size * leading)
		c := f.column()
		f.put(Text{At: Point{c.X + indent, f.y + size*0.95}, S: l, Size: size, Face: face})
		f.y += size * leading
	}
}

// Head is the title of the text.
func (f *Flow) Head(s string) {
	f.lines(s, Bold, f.Text*1.7, 0)
	f.Space(1)
}

// Heading begins a part; it stays with what follows.
func (f *Flow) Heading(s string) {
	f.Space(f.Text * 1.1)
	f.Keep(f.Text * 6)
	f.lines(s, Bold, f.Text*1.25, 0)
	f.Space(0.6)
}

// Para is a paragraph.
func (f *Flow) Para(s string) {
	f.lines(s, Regular, f.Text, 0)
	f.Space(f.Text * 0.35)
}

// Small is a paragraph in small type.
func (f *Flow) Small(s string) {
	f.lines(s, Regular, f.Text*0.85, 0)
	f.Space(f.Text * 0.35)
}

// Item is a paragraph behind a mark that is drawn about a point, mark mm wide; small follows it in small type.
func (f *Flow) Item(mark float64, draw func(at Point) []Item, text, small string) {
	n := len(Wrap(Fit(text, Regular), Regular, f.Text, f.column().W-mark))
	f.Keep(min(float64(n), 3) * f.Text * leading)
	c := f.column()
	if draw != nil {
		f.put(draw(Point{c.X + mark/2 - 0.8, f.y + f.Text*0.6})...)
	}
	f.lines(text, Regular, f.Text, mark)
	if small != "" {
		f.lines(small, Regular, f.Text*0.85, mark)
	}
	f.Space(f.Text * 0.4)
}

// Bullet is an item behind a dot.
func (f *Flow) Bullet(text string) {
	f.Item(4, func(at Point) []Item { return []Item{Ring{At: at, R: 0.5, Fill: Solid(Black)}} }, text, "")
}

// Box is an item behind a box to tick.
func (f *Flow) Box(text, small string) {
	f.Item(5, func(at Point) []Item { return []Item{tickBox(at)} }, text, small)
}

func tickBox(at Point) Item {
	return Box{at.X - 1.4, at.Y - 1.4, 2.8, 2.8}.Path(Pen{Width: 0.25}, Fill{})
}

// Picture leaves mm of height, the column wide, and has it drawn.
func (f *Flow) Picture(mm float64, draw func(b Box) []Item) {
	f.Keep(mm)
	c := f.column()
	f.put(draw(Box{c.X, f.y, c.W, mm})...)
	f.y += mm
	f.Space(2)
}

// A Column of a table. Share is its part of the width.
type Column struct {
	Title string
	Share float64
	Right bool
}

// A Table has a head that is repeated where it goes on, and rows that stay whole.
type Table struct {
	Columns []Column
	Rows    [][]string
	Total   bool // the last row is a total
}

func (t Table) head() []string {
	head := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		head[i] = c.Title
	}
	return head
}

// Start is the height in mm of a table's head with its first row, which are not torn apart.
func (f *Flow) Start(t Table) float64 {
	f.page()
	small := f.Text * 0.88
	high := f.rowHeight(t, t.head(), Bold, small) + 0.5
	if len(t.Rows) > 0 {
		high += f.rowHeight(t, t.Rows[0], Bold, small)
	}
	return high
}

// Table writes a table.
func (f *Flow) Table(t Table) {
	f.page()
	head := t.head()
	small := f.Text * 0.88
	headed := func() {
		f.row(t, head, Bold, small*0.95)
		c := f.column()
		f.put(Line(Pen{Width: 0.3}, Point{c.X, f.y}, Point{c.Right(), f.y}))
		f.y += 0.5
	}
	f.Keep(max(3*f.rowHeight(t, head, Bold, small), f.Start(t)))
	headed()
	for i, r := range t.Rows {
		face := Regular
		if t.Total && i == len(t.Rows)-1 {
			face = Bold
		}
		page, col := len(f.pages), f.col
		f.Keep(f.rowHeight(t, r, face, small))
		if page != len(f.pages) || col != f.col {
			headed()
		}
		f.row(t, r, face, small)
		c := f.column()
		f.put(Line(Pen{Width: 0.12, Grey: Mid}, Point{c.X, f.y}, Point{c.Right(), f.y}))
	}
	f.Space(f.Text * 0.6)
}

const cellPad = 1.0

// cells gives the box of each cell of a row, by left side and width.
func (f *Flow) cells(t Table) (xs, ws []float64) {
	sum := 0.0
	for _, c := range t.Columns {
		sum += c.Share
	}
	b := f.column()
	x := b.X
	for _, c := range t.Columns {
		w := b.W * c.Share / sum
		xs, ws = append(xs, x), append(ws, w)
		x += w
	}
	return xs, ws
}

func (f *Flow) rowHeight(t Table, row []string, face Face, size float64) float64 {
	_, ws := f.cells(t)
	most := 1
	for i, s := range row {
		if s != Tick {
			most = max(most, len(Wrap(Fit(s, face), face, size, ws[i]-2*cellPad)))
		}
	}
	return float64(most)*size*leading + 1.2
}

func (f *Flow) row(t Table, row []string, face Face, size float64) {
	xs, ws := f.cells(t)
	high := f.rowHeight(t, row, face, size)
	for i, s := range row {
		if s == Tick {
			f.put(tickBox(Point{xs[i] + ws[i]/2, f.y + high/2}))
			continue
		}
		for n, l := range Wrap(Fit(s, face), face, size, ws[i]-2*cellPad) {
			text := Text{At: Point{xs[i] + cellPad, f.y + 0.6 + size*(0.95+leading*float64(n))}, S: l, Size: size, Face: face}
			if t.Columns[i].Right {
				text.At.X, text.Anchor = xs[i]+ws[i]-cellPad, End
			}
			f.put(text)
		}
	}
	f.y += high
}

// Pages ends the text and gives its pages, each with title and number at its foot. before is how many pages of the document stand
// in front, after how many behind.
func (f *Flow) Pages(before, after int) []*Page {
	if n := len(f.pages); n > 0 && len(f.pages[n-1].Items) == 0 {
		f.pages = f.pages[:n-1]
	}
	total := before + len(f.pages) + after
	for i, p := range f.pages {
		y := f.Height - flowMargin
		number := fmt.Sprintf("page %d of %d", before+i+1, total)
		left := f.Title
		if f.Foot != "" {
			left += ". " + f.Foot
		}
		const size = 2.5
		room := f.Width - 2*flowMargin - Width(number, Regular, size) - 5
		p.Put(Line(Pen{Width: 0.15}, Point{flowMargin, y - 4}, Point{f.Width - flowMargin, y - 4}),
			Text{At: Point{flowMargin, y}, S: Shorten(Fit(left, Regular), Regular, size, room), Size: size},
			Text{At: Point{f.Width - flowMargin, y}, S: number, Size: size, Anchor: End})
	}
	return f.pages
}
