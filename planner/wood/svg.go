package wood

import (
	"fmt"
	"html"
	"io"
	"math"
	"strings"

	"quickthorn/planner/prose"
)

// Measures of the charts, in pixels.
const (
	chartW, chartH   = 720.0, 170.0
	chartL, chartTop = 64.0, 58.0
	chartGap         = 66.0
)

// A chart is one panel: bars a winter, a line across for what is wanted, whiskers from low to high.
type chart struct {
	title, unit string
	fill        string // pattern
	bar         func(*Winter) float64
	whisker     func(*Winter) Range // nil for none
	line        func(*Winter) float64
	lineName    string
	barName     string
}

// WriteSVG draws the balance: metres cut, heat and chip, winter by winter. Colours are told apart by everyone (Okabe and Ito 2008) and
// never alone: bars are hatched each in its way and lines are dashed, so that it reads in black and white.
func WriteSVG(w io.Writer, r *Result) error {
	charts := []chart{
		{title: "Hedge cut", unit: "m", fill: "slant", barName: "cut", bar: func(w *Winter) float64 { return w.CutM },
			line: func(*Winter) float64 { return r.Rota.AreaControlM }, lineName: "length over usual age"},
		{title: "Heat from dry logs and what lay over", unit: "kWh", fill: "cross", barName: "used, whiskers low to high",
			bar: func(w *Winter) float64 { return w.Burned.Mid }, whisker: func(w *Winter) Range { return w.Burned },
			line: func(*Winter) float64 { return r.Heat.WantedKWh }, lineName: "wanted"},
		{title: "Chip", unit: "m3 loose", fill: "dots", barName: "made, whiskers low to high", bar: func(w *Winter) float64 { return w.Chip.Mid },
			whisker: func(w *Winter) Range { return w.Chip }, line: func(w *Winter) float64 { return w.Needed }, lineName: "wanted"},
	}
	var b strings.Builder
	height := chartTop + float64(len(charts))*(chartH+chartGap)
	title := html.EscapeString("Wood of " + prose.Short(prose.Clean(r.Holding), 60))
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.0f %.0f" width="%.0f" height="%.0f" role="img" font-family="sans-serif" font-size="12">`+"\n",
		chartL+chartW+20, height, chartL+chartW+20, height)
	fmt.Fprintf(&b, "<title>%s</title>\n<desc>%s</desc>\n", title, html.EscapeString(strings.Join(r.Summary(), " ")))
	b.WriteString(patterns)
	fmt.Fprintf(&b, `<rect width="100%%" height="100%%" fill="#fff"/><text x="%.0f" y="24" font-size="16" font-weight="bold">%s</text>`+"\n", chartL, title)
	for i, c := range charts {
		c.draw(&b, r, chartTop+float64(i)*(chartH+chartGap))
	}
	b.WriteString("</svg>\n")
	_, err := io.WriteString(w, b.String())
	return err
}

const patterns = `<defs>
<pattern id="slant" width="6" height="6" patternUnits="userSpaceOnUse"><rect width="6" height="6" fill="#e69f00"/><path d="M0 6L6 0" stroke="#000" stroke-width="1"/></pattern>
<pattern id="cross" width="6" height="6" patternUnits="userSpaceOnUse"><rect width="6" height="6" fill="#56b4e9"/><path d="M0 3H6M3 0V6" stroke="#000" stroke-width=".7"/></pattern>
<pattern id="dots" width="6" height="6" patternUnits="userSpaceOnUse"><rect width="6" height="6" fill="#009e73"/><circle cx="3" cy="3" r="1.2" fill="#000"/></pattern>
</defs>
`

// draw draws one panel whose frame has its top at y.
func (c *chart) draw(b *strings.Builder, r *Result, y float64) {
	top := 0.0
	for i := range r.Winters {
		w := &r.Winters[i]
		top = math.Max(top, math.Max(c.bar(w), c.line(w)))
		if c.whisker != nil {
			top = math.Max(top, c.whisker(w).High)
		}
	}
	step := tick(top)
	top = math.Max(step, math.Ceil(top/step)*step)
	at := func(v float64) float64 { return y + chartH - chartH*v/top }
	fmt.Fprintf(b, `<text x="%.0f" y="%.0f" font-weight="bold">%s (%s)</text>`+"\n", chartL, y-12, html.EscapeString(c.title), c.unit)
	fmt.Fprintf(b, `<rect x="%.0f" y="%.0f" width="12" height="10" fill="url(#%s)" stroke="#000"/><text x="%.0f" y="%.0f">%s</text>`+"\n",
		chartL+chartW-330, y-21, c.fill, chartL+chartW-314, y-12, html.EscapeString(c.barName))
	fmt.Fprintf(b, `<path d="M%.0f %.0fh26" stroke="#000" stroke-width="2" stroke-dasharray="6 3"/><text x="%.0f" y="%.0f">%s</text>`+"\n",
		chartL+chartW-140, y-16, chartL+chartW-110, y-12, html.EscapeString(c.lineName))
	for v := 0.0; v <= top+step/2; v += step {
		fmt.Fprintf(b, `<path d="M%.1f %.1fH%.1f" stroke="#bbb" stroke-width=".6"/><text x="%.1f" y="%.1f" text-anchor="end">%g</text>`+"\n",
			chartL, at(v), chartL+chartW, chartL-6, at(v)+4, v)
	}
	n := len(r.Winters)
	if n == 0 {
		return
	}
	wide := chartW / float64(n)
	var line strings.Builder
	for i := range r.Winters {
		w := &r.Winters[i]
		x := chartL + wide*float64(i)
		if v := c.bar(w); v > 0 {
			fmt.Fprintf(b, `<rect x="%.1f" y="%.1f" width="%.1f" height="%.1f" fill="url(#%s)" stroke="#000" stroke-width=".6"/>`+"\n", x+wide*.15, at(v), wide*.7, at(0)-at(v), c.fill)
		}
		if c.whisker != nil {
			if v := c.whisker(w); v.High > v.Low {
				m := x + wide/2
				fmt.Fprintf(b, `<path d="M%.1f %.1fV%.1fM%.1f %.1fh6M%.1f %.1fh6" stroke="#000" stroke-width="1.2"/>`+"\n", m, at(v.Low), at(v.High), m-3, at(v.Low), m-3, at(v.High))
			}
		}
		fmt.Fprintf(&line, "%s%.1f %.1fH%.1f", []string{"L", "M"}[btoi(i == 0)], x, at(c.line(w)), x+wide)
		if i%5 == 0 {
			fmt.Fprintf(b, `<text x="%.1f" y="%.1f" text-anchor="middle">%d</text>`+"\n", x+wide/2, y+chartH+16, w.Winter)
		}
	}
	fmt.Fprintf(b, `<path d="%s" fill="none" stroke="#000" stroke-width="2" stroke-dasharray="6 3"/>`+"\n", line.String())
	fmt.Fprintf(b, `<path d="M%.1f %.1fV%.1fH%.1f" fill="none" stroke="#000"/>`+"\n", chartL, y, y+chartH, chartL+chartW)
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// tick is a round step that divides a height into two to five parts.
func tick(top float64) float64 {
	if top <= 0 {
		return 1
	}
	p := math.Pow(10, math.Floor(math.Log10(top/2)))
	for _, k := range []float64{1, 2, 2.5, 5, 10} {
		if top/(p*k) <= 5 {
			return p * k
		}
	}
	return p * 10
}
