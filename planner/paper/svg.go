package paper

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// SVG writes one page: its width and height in millimetres, its units millimetres as well, so that it prints true to scale. Texts carry
// the width they were measured at, and so take the same room in whatever typeface the reader has.
func SVG(w io.Writer, p *Page) error { return writeSVG(w, p, "clip") }

// SVGInline writes a page to stand in a document with others: n tells their clip paths apart.
func SVGInline(w io.Writer, p *Page, n int) error { return writeSVG(w, p, fmt.Sprintf("clip%d-", n)) }

func writeSVG(w io.Writer, p *Page, clip string) error {
	b := bufio.NewWriter(w)
	s := svg{b: b, clip: clip}
	fmt.Fprintf(b, `<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s" font-family="Go, 'Noto Sans', 'DejaVu Sans', Arial, sans-serif" role="img">`,
		mm(p.Width), mm(p.Height), mm(p.Width), mm(p.Height))
	fmt.Fprintf(b, "\n<title>%s</title>\n", escaped(Fit(p.Title, Regular)))
	b.WriteString(Box{0, 0, p.Width, p.Height}.svgRect(`fill="#fff"`))
	s.items(p.Items)
	b.WriteString("</svg>\n")
	return b.Flush()
}

type svg struct {
	b     *bufio.Writer
	clip  string // what ids of clip paths begin with
	clips int
}

func (s *svg) items(items []Item) {
	for _, i := range items {
		switch i := i.(type) {
		case Path:
			s.path(i)
		case Ring:
			fmt.Fprintf(s.b, `<circle cx="%s" cy="%s" r="%s"%s/>`+"\n", mm(i.At.X), mm(i.At.Y), mm(i.R), painted(i.Pen, i.Fill))
		case Text:
			s.text(i)
		case Group:
			s.group(i)
		}
	}
}

func (s *svg) group(g Group) {
	if len(g.Items) == 0 {
		return
	}
	var at strings.Builder
	if g.Class != "" {
		fmt.Fprintf(&at, ` class="%s"`, escaped(g.Class))
	}
	if g.ID != "" {
		fmt.Fprintf(&at, ` data-id="%s"`, escaped(g.ID))
	}
	if g.Clip != nil {
		s.clips++
		fmt.Fprintf(s.b, `<clipPath id="%s%d">%s</clipPath>`+"\n", s.clip, s.clips, strings.TrimSpace(g.Clip.svgRect("")))
		fmt.Fprintf(&at, ` clip-path="url(#%s%d)"`, s.clip, s.clips)
	}
	fmt.Fprintf(s.b, "<g%s>\n", at.String())
	s.items(g.Items)
	s.b.WriteString("</g>\n")
}

func (b Box) svgRect(more string) string {
	return fmt.Sprintf(`<rect x="%s" y="%s" width="%s" height="%s" %s/>`+"\n", mm(b.X), mm(b.Y), mm(b.W), mm(b.H), more)
}

func (s *svg) path(p Path) {
	var d strings.Builder
	for _, c := range p.Chains {
		for i, q := range c {
			if i == 0 {
				d.WriteByte('M')
			} else {
				d.WriteByte('L')
			}
			d.WriteString(mm(q.X) + " " + mm(q.Y))
		}
		if p.Closed && len(c) > 0 {
			d.WriteByte('Z')
		}
	}
	if d.Len() > 0 {
		fmt.Fprintf(s.b, `<path d="%s"%s/>`+"\n", d.String(), painted(p.Pen, p.Fill))
	}
}

func (s *svg) text(t Text) {
	text := Fit(t.S, t.Face)
	if strings.TrimSpace(text) == "" {
		return
	}
	var at strings.Builder
	fmt.Fprintf(&at, ` x="%s" y="%s" font-size="%s" fill="%s" textLength="%s" lengthAdjust="spacingAndGlyphs"`, mm(t.At.X), mm(t.At.Y), mm(t.Size), t.Grey.hex(), mm(Width(text, t.Face, t.Size)))
	switch t.Anchor {
	case Middle:
		at.WriteString(` text-anchor="middle"`)
	case End:
		at.WriteString(` text-anchor="end"`)
	}
	switch t.Face {
	case Italic:
		at.WriteString(` font-style="italic"`)
	case Bold:
		at.WriteString(` font-weight="bold"`)
	}
	if t.Turn != 0 {
		fmt.Fprintf(&at, ` transform="rotate(%s %s %s)"`, mm(t.Turn), mm(t.At.X), mm(t.At.Y))
	}
	if t.Halo > 0 {
		fmt.Fprintf(&at, ` paint-order="stroke" stroke="#fff" stroke-width="%s" stroke-linejoin="round"`, mm(2*t.Halo))
	}
	fmt.Fprintf(s.b, "<text%s>%s</text>\n", at.String(), escaped(text))
}

func painted(p Pen, f Fill) string {
	var at strings.Builder
	if f.On {
		fmt.Fprintf(&at, ` fill="%s" fill-rule="evenodd"`, f.Grey.hex())
	} else {
		at.WriteString(` fill="none"`)
	}
	if p.Width > 0 {
		fmt.Fprintf(&at, ` stroke="%s" stroke-width="%s"`, p.Grey.hex(), mm(p.Width))
		if len(p.Dash) > 0 {
			var d []string
			for _, v := range p.Dash {
				d = append(d, mm(v))
			}
			fmt.Fprintf(&at, ` stroke-dasharray="%s"`, strings.Join(d, " "))
		}
		if p.Round {
			at.WriteString(` stroke-linecap="round" stroke-linejoin="round"`)
		}
	}
	return at.String()
}

// hex is the grey as a colour.
func (g Grey) hex() string {
	v := g.byte()
	return fmt.Sprintf("#%02x%02x%02x", v, v, v)
}

func (g Grey) byte() int { return int(math.Round(255 * min(1, max(0, float64(g))))) }

// mm is a number to a thousandth, never a negative zero.
func mm(v float64) string {
	return strconv.FormatFloat(math.Round(v*1000)/1000+0, 'f', -1, 64)
}

var xmlEscapes = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;", "'", "&#39;")

// escaped makes text fit for markup: escaped, without characters that XML does not allow (ids come from files).
func escaped(s string) string {
	return xmlEscapes.Replace(strings.Map(func(r rune) rune {
		if r < ' ' && r != '\t' && r != '\n' && r != '\r' || r == 0xfffe || r == 0xffff || r >= 0xd800 && r <= 0xdfff {
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd")))
}
