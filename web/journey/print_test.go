package journey

import (
	"bytes"
	"context"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/geo"
	"quickthorn/testdata"
)

// print is what the browser's own printing makes of the page, on the paper that the page asks for, without backgrounds, which browsers
// leave out unless told otherwise. It gives the name of a PDF file.
func (w *window) print() string {
	w.t.Helper()
	ctx, cancel := context.WithTimeout(w.ctx, patience)
	defer cancel()
	yes := true
	got, err := chromedp.Call(ctx, page.PrintToPDF, page.PrintToPDFParams{PreferCSSPageSize: &yes})
	require.NoError(w.t, err)
	file := filepath.Join(w.t.TempDir(), "page.pdf")
	require.NoError(w.t, os.WriteFile(file, got.Data, 0o600))
	return file
}

// poppler runs one of Poppler's programs.
func poppler(t testing.TB, name string, args ...string) []byte {
	t.Helper()
	tool, err := exec.LookPath(name)
	require.NoError(t, err, "make needs installs poppler-utils")
	out, err := exec.Command(tool, args...).Output()
	require.NoError(t, err)
	return out
}

// A printed page has its size and its words with their boxes, in mm.
type printed struct {
	Width  float64 `xml:"width,attr"`
	Height float64 `xml:"height,attr"`
	Words  []struct {
		Left   float64 `xml:"xMin,attr"`
		Top    float64 `xml:"yMin,attr"`
		Right  float64 `xml:"xMax,attr"`
		Bottom float64 `xml:"yMax,attr"`
		Text   string  `xml:",chardata"`
	} `xml:"word"`
}

const millimetre = 25.4 / 72 // of a point

func pagesOf(t testing.TB, file string) []printed {
	t.Helper()
	var doc struct {
		Pages []printed `xml:"body>doc>page"`
	}
	d := xml.NewDecoder(bytes.NewReader(poppler(t, "pdftotext", "-bbox", file, "-")))
	d.Strict, d.Entity = false, xml.HTMLEntity
	require.NoError(t, d.Decode(&doc))
	for i := range doc.Pages {
		p := &doc.Pages[i]
		p.Width, p.Height = p.Width*millimetre, p.Height*millimetre
		for k := range p.Words {
			b := &p.Words[k]
			b.Left, b.Right, b.Top, b.Bottom = b.Left*millimetre, b.Right*millimetre, b.Top*millimetre, b.Bottom*millimetre
		}
	}
	return doc.Pages
}

func (p printed) text() string {
	var words []string
	for _, w := range p.Words {
		words = append(words, w.Text)
	}
	return strings.Join(words, " ")
}

// A4 by ISO 216, mm.
const a4Short, a4Long = 210.0, 297.0

// oneField is a plan with one field of these metres and nothing else, about a place.
func oneField(t testing.TB, at orb.Point, wide, tall float64) []byte {
	t.Helper()
	frame, err := geo.NewFrame(at)
	require.NoError(t, err)
	var ring [][2]float64
	for _, p := range []orb.Point{{-wide / 2, -tall / 2}, {wide / 2, -tall / 2}, {wide / 2, tall / 2}, {-wide / 2, tall / 2}, {-wide / 2, -tall / 2}} {
		ring = append(ring, frame.ToLonLat(p))
	}
	data, err := json.Marshal(map[string]any{"type": "FeatureCollection", "name": "Square", "features": []any{map[string]any{"type": "Feature", "id": "field",
		"properties": map[string]any{"kind": "parcel"}, "geometry": map[string]any{"type": "Polygon", "coordinates": []any{ring}}}}})
	require.NoError(t, err)
	return data
}

// grey is a page as grey pixels, 20 to the millimetre.
type grey struct {
	w, h int
	at   []byte
}

const perMillimetre = 20

func rendered(t testing.TB, file string, page int) grey {
	t.Helper()
	n := strconv.Itoa(page)
	b := poppler(t, "pdftoppm", "-gray", "-r", fmt.Sprint(25.4*perMillimetre), "-f", n, "-l", n, file)
	var g grey
	var most int
	_, err := fmt.Sscanf(string(b[:40]), "P5\n%d %d\n%d\n", &g.w, &g.h, &most)
	require.NoError(t, err)
	g.at = b[len(b)-g.w*g.h:]
	return g
}

// strokes are the middles of the dark stretches along a line of pixels, in mm.
func strokes(n int, pixel func(i int) byte) []float64 {
	var out []float64
	for i := 0; i < n; i++ {
		from := i
		for i < n && pixel(i) < 160 {
			i++
		}
		if i > from {
			out = append(out, float64(from+i)/2/perMillimetre)
		}
	}
	return out
}

var scaleSaid = regexp.MustCompile(`Scale 1 : ([\d,]+) where`)

// A field of known length is as long on the printed page as the scale that is printed says, within 0.2 mm, both ways; the page lies as
// suits the land; northern and southern hemisphere.
func TestPrintedPlanIsTrueToScale(t *testing.T) {
	for name, row := range map[string]struct {
		at         orb.Point
		wide, tall float64
		sheet      [2]float64
	}{
		"tall":         {orb.Point{-2.58, 53.98}, 60, 100, [2]float64{a4Short, a4Long}},
		"wide":         {orb.Point{-2.58, 53.98}, 300, 40, [2]float64{a4Long, a4Short}},
		"in the south": {orb.Point{172.6, -43.5}, 100, 90, [2]float64{a4Short, a4Long}},
		"very small":   {orb.Point{-2.58, 53.98}, 4, 6, [2]float64{a4Short, a4Long}},
		"very large":   {orb.Point{-2.58, 53.98}, 2600, 2900, [2]float64{a4Short, a4Long}},
	} {
		t.Run(name, func(t *testing.T) {
			at, _ := serve(t, map[string][]byte{"field": oneField(t, row.at, row.wide, row.tall)})
			w := open(t, at, "/#field", desk)
			w.until(`quickthorn.store.get().sheet`)
			file := w.print()
			pages := pagesOf(t, file)
			require.NotEmpty(t, pages)
			assert.InDelta(t, row.sheet[0], pages[0].Width, 0.2)
			assert.InDelta(t, row.sheet[1], pages[0].Height, 0.2)
			m := scaleSaid.FindStringSubmatch(pages[0].text())
			require.NotNil(t, m, pages[0].text())
			scale, err := strconv.ParseFloat(strings.ReplaceAll(m[1], ",", ""), 64)
			require.NoError(t, err)

			g := rendered(t, file, 1)
			// The frame of the drawing is the first and the last stroke across the page; the field's two sides lie within it. The lines that are
			// looked along lie a third of the field from its middle, clear of marks in the middle.
			across := func(y float64) []float64 {
				return strokes(g.w, func(i int) byte { return g.at[int(y*perMillimetre)*g.w+i] })
			}
			down := func(x float64) []float64 {
				return strokes(g.h, func(i int) byte { return g.at[i*g.w+int(x*perMillimetre)] })
			}
			// Down the left of the drawing the longest blank is between its frame's top and bottom.
			edge := down(14 + 1)
			require.GreaterOrEqual(t, len(edge), 2)
			long, middle := 0.0, 0.0
			for i := 1; i < len(edge); i++ {
				if gap := edge[i] - edge[i-1]; gap > long {
					long, middle = gap, (edge[i]+edge[i-1])/2
				}
			}
			k := 1000 / scale
			side := across(middle + row.tall*k/3)
			require.Len(t, side, 4, "frame, side, side, frame")
			assert.InDelta(t, row.wide*k, side[2]-side[1], 0.2, "1 : %g", scale)
			assert.InDelta(t, (side[0]+side[3])/2, (side[1]+side[2])/2, 0.3, "in the middle of its frame")
			top := down((side[1]+side[2])/2 - row.wide*k/3)
			i := slices.IndexFunc(top, func(y float64) bool { return math.Abs(y-(middle-row.tall*k/2)) < 2 })
			require.GreaterOrEqual(t, i, 0, "%v", top)
			require.Less(t, i+1, len(top))
			assert.InDelta(t, row.tall*k, top[i+1]-top[i], 0.2, "1 : %g", scale)
		})
	}
}

// uncut checks that every page is A4 and every word on it lies within what printers print.
func uncut(t *testing.T, pages []printed) {
	t.Helper()
	for i, p := range pages {
		short, long := min(p.Width, p.Height), max(p.Width, p.Height)
		assert.InDelta(t, a4Short, short, 0.2, "page %d", i+1)
		assert.InDelta(t, a4Long, long, 0.2, "page %d", i+1)
		for _, w := range p.Words {
			if w.Left < 10 || w.Right > p.Width-10 || w.Top < 8 || w.Bottom > p.Height-8 {
				assert.Fail(t, "cut off", "%q on page %d at %.1f to %.1f, %.1f to %.1f mm", w.Text, i+1, w.Left, w.Right, w.Top, w.Bottom)
			}
		}
	}
}

// solid is a text without its spaces, as lines are broken where there is room.
func solid(s string) string { return strings.Join(strings.Fields(s), "") }

// The printed page has the plan with its legend on the first page and the chapter behind it, with every finding, whatever the names; what
// only a hand can press is left out. The same page is printed from any window.
func TestPrintedPageIsWhole(t *testing.T) {
	var plan map[string]any
	require.NoError(t, json.Unmarshal(testdata.Demo, &plan))
	for _, f := range plan["features"].([]any) {
		p := f.(map[string]any)["properties"].(map[string]any)
		if name, ok := p["name"].(string); ok {
			p["name"] = (name + " beside the old sunken lane to the mill and the weir beyond it")[:60]
		}
	}
	long, err := json.Marshal(plan)
	require.NoError(t, err)
	at, _ := serve(t, map[string][]byte{"demo": testdata.Demo, "long": long})
	for name, row := range map[string]struct {
		holding string
		look    look
	}{"demo": {"demo", desk}, "long names": {"long", desk}, "narrow and dark": {"demo", look{w: 360, h: 780, dark: true, touch: true}}} {
		t.Run(name, func(t *testing.T) {
			w := open(t, at, "/#"+row.holding, row.look)
			w.until(`document.querySelectorAll('#notebook .find').length > 80`) // the findings of the demo holding
			var want []string
			w.eval(`[...document.querySelectorAll('#notebook .find > p')].map((p) => { const c = p.cloneNode(true); c.querySelectorAll('.more, svg').forEach((b) => b.remove()); return c.textContent; })`, &want)
			file := w.print()
			pages := pagesOf(t, file)
			uncut(t, pages)
			text := solid(string(poppler(t, "pdftotext", "-raw", file, "-"))) // in the order of writing
			for _, m := range want {
				if !strings.Contains(text, solid(m)) {
					assert.Fail(t, "not printed", m)
				}
			}
			first := pages[0].text()
			for _, sign := range []string{"field", "old hedge", "must be mended", "worth knowing"} {
				assert.Contains(t, first, sign, "the legend stands below the plan")
			}
			second := pages[1].text()
			assert.NotContains(t, second, "worth knowing")
			assert.Equal(t, 0.0, w.number(`document.querySelectorAll('#paper').length`), "the drawing for paper is taken away again")
			_, err := chromedp.Call(w.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
			require.NoError(t, err)
			assert.Equal(t, "[]", w.text(`JSON.stringify([...document.querySelectorAll('#notebook .more, .acts, input, select, summary')].filter((e) => e.checkVisibility()).map((e) => e.textContent))`), "what only a hand can press")
		})
	}
}

// An overlay is printed with its bands and their legend, on the same one page.
func TestOverlayIsPrintedOnItsPage(t *testing.T) {
	at, _ := serve(t, map[string][]byte{"demo": testdata.Demo})
	w := open(t, at, "/#demo", desk)
	w.until(`quickthorn.store.get().sheet`)
	plain := pagesOf(t, w.print())
	h := pointer{w: w}
	h.hit(`document.querySelector('#pens details.show summary')`)
	h.hit(`[...document.querySelectorAll('#pens .show-list fieldset label')].find((l) => l.textContent.includes('wind left'))`)
	w.until(`document.querySelector('#land .field:not(.stale) .f-tint.shelter') && document.querySelector('.field-legend').getAttribute('aria-busy') === 'false'`)
	pages := pagesOf(t, w.print())
	uncut(t, pages)
	assert.Equal(t, len(plain), len(pages), "no page more")
	assert.Contains(t, pages[0].text(), "worth knowing")
	assert.NotContains(t, plain[0].text(), "% of open wind")
	assert.Contains(t, pages[0].text(), "% of open wind")
}
