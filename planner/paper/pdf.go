package paper

import (
	"io"
	"strings"

	"codeberg.org/go-pdf/fpdf"
)

// PDF writes pages as one document: fonts embedded as far as they are used, text that can be selected and searched, fixed times.
func PDF(w io.Writer, title string, pages []*Page) error {
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: 210, Ht: 297}})
	f.SetCatalogSort(true)
	f.SetCreationDate(Epoch)
	f.SetModificationDate(Epoch)
	f.SetTitle(Fit(title, Regular), true)
	f.SetProducer("Quickthorn", true)
	f.SetLang("en-GB")
	f.SetMargins(0, 0, 0)
	f.SetAutoPageBreak(false, 0)
	for i, style := range styles {
		f.AddUTF8FontFromBytes(family, style, faces()[i].data)
	}
	d := &pdf{f: f}
	for _, p := range pages {
		f.AddPageFormat("P", fpdf.SizeType{Wd: p.Width, Ht: p.Height})
		d.items(p.Items)
	}
	if f.Err() {
		return f.Error()
	}
	return f.Output(w)
}

const family = "go"

// styles are the faces as the writer names them, in the order of Face.
var styles = [3]string{"", "I", "B"}

// pointsPerMM turns millimetres into points of 1/72 inch.
const pointsPerMM = 72 / 25.4

type pdf struct{ f *fpdf.Fpdf }

func (d *pdf) items(items []Item) {
	for _, i := range items {
		switch i := i.(type) {
		case Path:
			d.path(i)
		case Ring:
			if s := d.paint(i.Pen, i.Fill); s != "" {
				d.f.Circle(i.At.X, i.At.Y, i.R, s)
			}
		case Text:
			d.text(i)
		case Group:
			if i.Clip != nil && len(i.Items) > 0 {
				d.f.ClipRect(i.Clip.X, i.Clip.Y, i.Clip.W, i.Clip.H, false)
				d.items(i.Items)
				d.f.ClipEnd()
				continue
			}
			d.items(i.Items)
		}
	}
}

// paint sets pen and fill, and says how a path is painted; "" where there is nothing to paint.
func (d *pdf) paint(p Pen, f Fill) string {
	style := ""
	if f.On {
		v := f.Grey.byte()
		d.f.SetFillColor(v, v, v)
		style = "F*"
	}
	if p.Width > 0 {
		v := p.Grey.byte()
		d.f.SetDrawColor(v, v, v)
		d.f.SetLineWidth(p.Width)
		d.f.SetDashPattern(p.Dash, 0)
		end := "butt"
		join := "miter"
		if p.Round {
			end, join = "round", "round"
		}
		d.f.SetLineCapStyle(end)
		d.f.SetLineJoinStyle(join)
		if style == "" {
			return "D"
		}
		return "FD*"
	}
	return style
}

func (d *pdf) path(p Path) {
	style := d.paint(p.Pen, p.Fill)
	any := false
	for _, c := range p.Chains {
		for i, q := range c {
			if i == 0 {
				d.f.MoveTo(q.X, q.Y)
			} else {
				d.f.LineTo(q.X, q.Y)
			}
			any = true
		}
		if p.Closed && len(c) > 0 {
			d.f.ClosePath()
		}
	}
	if any {
		if style == "" {
			style = "n"
		}
		d.f.DrawPath(style)
	}
}

func (d *pdf) text(t Text) {
	text := Fit(t.S, t.Face)
	if strings.TrimSpace(text) == "" {
		return
	}
	at := t.At
	switch w := Width(text, t.Face, t.Size); t.Anchor {
	case Middle:
		at.X -= w / 2
	case End:
		at.X -= w
	}
	if t.Turn != 0 {
		d.f.TransformBegin()
		d.f.TransformRotate(-t.Turn, t.At.X, t.At.Y)
	}
	d.f.SetFont(family, styles[t.Face], t.Size*pointsPerMM)
	if t.Halo > 0 {
		// The halo is drawn as an outline of the letters that no reader takes for text.
		d.f.SetDrawColor(255, 255, 255)
		d.f.SetLineWidth(2 * t.Halo)
		d.f.SetDashPattern(nil, 0)
		d.f.SetLineJoinStyle("round")
		d.f.RawWriteStr("/Span <</ActualText ()>> BDC\n")
		d.f.SetTextRenderingMode(1)
		d.f.Text(at.X, at.Y, text)
		d.f.SetTextRenderingMode(0)
		d.f.RawWriteStr("EMC\n")
	}
	v := t.Grey.byte()
	d.f.SetTextColor(v, v, v)
	d.f.Text(at.X, at.Y, text)
	if t.Turn != 0 {
		d.f.TransformEnd()
	}
}
