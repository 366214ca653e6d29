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

// Pictures are this wide on a sheet, in mm, and as high as what they show wants, within limits; a strip below the map holds the scale and
// the arrow.
const (
	pictureWidth  = 182.0
	leastPicture  = 70.0
	mostPicture   = 124.0
	pictureStrip  = 9.0
	pictureBeside = 15.0 // round what is pegged out, left and right: for the names of pegs
	pictureAbove  = 9.0
)

// fit is the largest round scale at which what is pegged out goes into the picture, and how high the picture then is.
func (p *picture) fit() (scale int, high float64) {
	wide, tall := p.box.Max[0]-p.box.Min[0], p.box.Max[1]-p.box.Min[1]
	all := append(slices.Clone(Scales), keyScales...)
	scale = all[len(all)-1]
	for _, s := range all {
		k := 1000 / float64(s)
		if wide*k <= pictureWidth-2*pictureBeside && tall*k <= mostPicture-pictureStrip-2*pictureAbove {
			scale = s
			break
		}
	}
	// Some of the surroundings are seen above and below a line that runs along the page.
	return scale, min(mostPicture, max(leastPicture, tall*1000/float64(scale)+2*pictureAbove+pictureStrip+22))
}

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
	parts := fieldParts(in)
	for i, p := range parts {
		switch {
		case p.head != "":
			if heads++; heads > 1 {
				f.Break()
			}
			f.Heading(p.head)
		case p.sub != "":
			if i+1 < len(parts) && parts[i+1].table != nil {
				f.Keep(f.Text*3.2 + f.Start(*parts[i+1].table))
			}
			f.Heading(p.sub)
		case p.para != "":
			f.Para(p.para)
		case p.small != "":
			f.Small(p.small)
		case p.table != nil:
			f.Table(*p.table)
		case p.picture != nil:
			_, high := p.picture.fit()
			f.Picture(high, func(b paper.Box) []paper.Item { return drawPicture(in, p.picture, b) })
		}
	}
	return paper.PDF(w, fieldTitle(in), f.Pages(0, 0))
}

// pictureSketch is the map of a picture with its surroundings. Names that would lie over signs are left out: there is no legend, and the
// drawing has them.
func pictureSketch(in Input, p *picture, b paper.Box) *sketch {
	in.Findings, in.Crown = nil, nil
	scale, _ := p.fit()
	frame := paper.Box{X: b.X, Y: b.Y, W: b.W, H: b.H - pictureStrip}
	v := centred(frame, scale, orb.Point{(p.box.Min[0] + p.box.Max[0]) / 2, (p.box.Min[1] + p.box.Max[1]) / 2})
	s := sketchOf(in, v)
	s.sparse, s.about, s.pegged = true, p.about, p.named
	var marks []paper.Item
	for _, g := range p.pegs {
		at := v.at(g.At)
		marks = append(marks, paper.Ring{At: at, R: 0.9, Fill: paper.Solid(paper.White), Pen: fine}, paper.Ring{At: at, R: 0.35, Fill: paper.Solid(paper.Black)})
		s.labels.taken = append(s.labels.taken, paper.Box{X: at.X - 1, Y: at.Y - 1, W: 2, H: 2}.Corners(at, 0))
	}
	for _, g := range p.pegs {
		marks = append(s.letterPeg(g.Name, v.at(g.At)), marks...)
	}
	s.putNames()
	s.top = append(marks, s.top...)
	return s
}

// Letters of pegs stand this far from the peg: just clear of the sign of a plant there, else further off with a line to it.
const (
	nearPeg = 1.7
	farPeg  = 3.8
)

// letterPeg puts the letter of a peg beside it, and gives the line between the two where the letter is further off.
func (s *sketch) letterPeg(name string, at paper.Point) []paper.Item {
	spot := paper.Box{X: at.X, Y: at.Y}
	for _, try := range []struct {
		far   float64
		clear bool
	}{{nearPeg, true}, {farPeg, true}, {nearPeg, false}, {farPeg, false}} {
		n := len(s.labels.taken)
		if !s.put(wish{rank: rankLetter, size: 3, face: paper.Bold, places: beside(spot, try.far), clear: try.clear}, []string{name}, "") {
			continue
		}
		if try.far == nearPeg {
			return nil
		}
		mid := around(s.labels.taken[n][:]...).Middle()
		return []paper.Item{paper.Line(paper.Pen{Width: 0.18, Grey: paper.Black}, at, mid)} // the halo of the letter ends it
	}
	return nil
}

// drawPicture draws what is pegged out, and below it the scale and the arrow.
func drawPicture(in Input, p *picture, b paper.Box) []paper.Item {
	s := pictureSketch(in, p, b)
	frame := s.v.frame
	scale, _ := p.fit()
	line := frame.Bottom() + pictureStrip/2
	north := paper.Point{X: b.Right() - 8, Y: line}
	strip := append(scaleBar(paper.Point{X: b.X + 3, Y: frame.Bottom() + 3}, scale, 40), paper.Arrow(north, 3, 0)...)
	strip = append(strip, paper.Text{At: paper.Point{X: north.X + 2.5, Y: line + 0.9}, S: "N", Size: 2.6, Face: paper.Bold},
		paper.Text{At: paper.Point{X: north.X - 5, Y: line + 0.8}, S: ratio(scale), Size: 2.3, Anchor: paper.End})
	return append(append(s.items(), frame.Path(fine, paper.Fill{}), b.Path(fine, paper.Fill{})), strip...)
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
			_, high := p.picture.fit()
			page := &paper.Page{Width: pictureWidth, Height: high, Title: fieldTitle(in)}
			page.Put(drawPicture(in, p.picture, paper.Box{W: pictureWidth, H: high}.Inset(0.2))...)
			if err := paper.SVGInline(&b, page, len(parts)); err != nil {
				return err
			}
			h.Picture = template.HTML(b.String()) // our own markup, its texts escaped
		}
		parts = append(parts, h)
	}
	return fieldTemplate.Execute(w, map[string]any{"Title": fieldTitle(in), "Date": paper.Fit(opt.Date, paper.Regular), "Parts": parts})
}
