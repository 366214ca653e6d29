package sheets

import (
	_ "embed" // the page that field sheets are printed from
	"html/template"
	"io"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/planner/paper"
)

// A FieldFormat writes the sheets for pegging out.
type FieldFormat struct {
	Name, Media, Ext string
	Write            func(w io.Writer, in Input, opt Options) error
}

// FieldFormats lists the formats of field sheets.
func FieldFormats() []FieldFormat {
	return []FieldFormat{{"pdf", "application/pdf", "pdf", WriteFieldPDF}, {"html", "text/html; charset=utf-8", "html", WriteFieldHTML}}
}

// FieldFormatNamed is the format of that name.
func FieldFormatNamed(name string) (FieldFormat, bool) {
	all := FieldFormats()
	i := slices.IndexFunc(all, func(f FieldFormat) bool { return f.Name == name })
	if i < 0 {
		return FieldFormat{}, false
	}
	return all[i], true
}

func fieldTitle(in Input) string {
	return "Pegging out: " + paper.Fit(in.Plan.Holding.Name, paper.Regular)
}

// Pictures are this large on a sheet, mm.
const pictureWidth, pictureHeight = 182.0, 70.0

// WriteFieldPDF writes the sheets on A4, each feature from a page of its own, so that a sheet can be handed out by itself.
func WriteFieldPDF(w io.Writer, in Input, opt Options) error {
	size, _ := paper.SizeNamed("A4")
	f := paper.NewFlow(size, false, 1, 3.1, fieldTitle(in))
	f.Foot = paper.Fit(opt.Date, paper.Regular)
	f.Head(fieldTitle(in))
	date := paper.Fit(opt.Date, paper.Regular)
	if date == "" {
		date = "____________"
	}
	f.Para("Date: " + date)
	heads := 0
	for _, p := range fieldParts(in) {
		switch {
		case p.head != "":
			if heads++; heads > 1 {
				f.Break()
			}
			f.Heading(p.head)
		case p.sub != "":
			f.Heading(p.sub)
		case p.para != "":
			f.Para(p.para)
		case p.small != "":
			f.Small(p.small)
		case p.table != nil:
			f.Table(*p.table)
		case p.picture != nil:
			f.Picture(pictureHeight, func(b paper.Box) []paper.Item { return drawPicture(in, p.picture, b) })
		}
	}
	return paper.PDF(w, fieldTitle(in), f.Pages(0, 0))
}

// drawPicture draws what is pegged out with its surroundings, at the largest round scale that fits.
func drawPicture(in Input, p *picture, b paper.Box) []paper.Item {
	in.Findings, in.Crown = nil, nil
	scale := keyScales[len(keyScales)-1]
	for _, s := range append(slices.Clone(Scales), keyScales...) {
		k := 1000 / float64(s)
		if (p.box.Max[0]-p.box.Min[0])*k <= b.W-30 && (p.box.Max[1]-p.box.Min[1])*k <= b.H-18 {
			scale = s
			break
		}
	}
	v := centred(b, scale, orb.Point{(p.box.Min[0] + p.box.Max[0]) / 2, (p.box.Min[1] + p.box.Max[1]) / 2})
	s := sketchOf(in, v)
	var marks []paper.Item
	for _, g := range p.pegs {
		at := v.at(g.At)
		marks = append(marks, paper.Ring{At: at, R: 0.9, Fill: paper.Solid(paper.White), Pen: fine}, paper.Ring{At: at, R: 0.35, Fill: paper.Solid(paper.Black)})
		s.labels.taken = append(s.labels.taken, paper.Box{X: at.X - 1, Y: at.Y - 1, W: 2, H: 2}.Corners(at, 0))
	}
	for _, g := range p.pegs {
		at := v.at(g.At)
		s.put(wish{rank: rankLetter, size: 3, face: paper.Bold, places: beside(paper.Box{X: at.X, Y: at.Y}, 1.3)}, []string{g.Name}, "")
	}
	s.putNames()
	s.top = append(marks, s.top...)
	north := paper.Point{X: b.Right() - 6, Y: b.Y + 9}
	foot := append(scaleBar(paper.Point{X: b.X + 3, Y: b.Bottom() - 6}, scale, 40), paper.Arrow(north, 3.4, 0)...)
	foot = append(foot, paper.Text{At: paper.Point{X: north.X, Y: north.Y - 4.4}, S: "N", Size: 2.6, Face: paper.Bold, Anchor: paper.Middle},
		paper.Text{At: paper.Point{X: b.Right() - 2, Y: b.Bottom() - 2}, S: ratio(scale), Size: 2.3, Anchor: paper.End, Halo: halo})
	m := barMetres(scale, 40) * 1000 / float64(scale)
	ground := paper.Box{X: b.X + 0.5, Y: b.Bottom() - 9, W: m + 12, H: 8.5}.Path(paper.Pen{}, paper.Solid(paper.White))
	return append(append(s.items(), ground, b.Path(fine, paper.Fill{})), foot...)
}

//go:embed field.html
var fieldPage string

var fieldTemplate = template.Must(template.New("field.html").Funcs(template.FuncMap{"tick": func(s string) bool { return s == paper.Tick }}).Parse(fieldPage))

// htmlPart is a part as the page wants it.
type htmlPart struct {
	Head, Sub, Para, Small string
	Table                  *paper.Table
	Picture                template.HTML
}

// WriteFieldHTML writes the same sheets as one page that prints: no scripts, nothing fetched, every name escaped.
func WriteFieldHTML(w io.Writer, in Input, opt Options) error {
	var parts []htmlPart
	for _, p := range fieldParts(in) {
		h := htmlPart{Head: paper.Fit(p.head, paper.Bold), Sub: p.sub, Para: p.para, Small: p.small, Table: p.table}
		if p.picture != nil {
			var b strings.Builder
			page := &paper.Page{Width: pictureWidth, Height: pictureHeight, Title: fieldTitle(in)}
			page.Put(drawPicture(in, p.picture, paper.Box{W: pictureWidth, H: pictureHeight}.Inset(0.2))...)
			if err := paper.SVGInline(&b, page, len(parts)); err != nil {
				return err
			}
			h.Picture = template.HTML(b.String()) // our own markup, its texts escaped
		}
		parts = append(parts, h)
	}
	return fieldTemplate.Execute(w, map[string]any{"Title": fieldTitle(in), "Date": paper.Fit(opt.Date, paper.Regular), "Parts": parts})
}
