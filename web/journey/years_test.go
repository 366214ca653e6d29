package journey

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/testdata"
)

const slider = `document.querySelector('#year')`

// widest is the diameter in pixels of the widest new crown that is drawn as a ring.
func (w *window) widest() float64 {
	w.t.Helper()
	return w.number(`2 * Math.max(0, ...[...document.querySelectorAll('#land .growing .ring.new')].flatMap((e) => [...e.getAttribute('d').matchAll(/a([\d.]+) /g)].map((m) => Number(m[1]))))`)
}

// yearIs waits until the sheet is drawn for a year.
func (w *window) yearIs(year int) {
	w.t.Helper()
	w.until(fmt.Sprintf(`quickthorn.store.get().year === %d && document.querySelector('#year').value === '%[1]d' && document.querySelector('.legend .year').textContent.includes(%[2]q)`, year, inWords(year)))
}

func inWords(year int) string {
	if year == 0 {
		return "at planting"
	}
	return fmt.Sprintf("year %d", year)
}

// The years slider by keyboard: arrows, page keys, ends; the winter is named, and crowns grow without a question to the server.
func TestTheYearsSliderByKeys(t *testing.T) {
	at, _ := serve(t, map[string][]byte{"demo": testdata.Demo})
	w := open(t, at, "/#demo", desk)
	w.until(`document.querySelector('#land .growing')`)
	w.eval(`(() => { const f = quickthorn.store.get().sheet.features.find((f) => f.kind === 'orchard'); const [x, y] = f.geometry.coordinates[0][0]; quickthorn.store.do('view', { k: 12, x, y }); return 1; })()`, nil)
	w.eval(`document.querySelector('#year').focus() ?? 1`, nil)
	for _, k := range []struct {
		key  string
		year int
	}{{kb.Home, 0}, {kb.ArrowRight, 1}, {kb.PageUp, 6}, {kb.ArrowUp, 7}, {kb.ArrowLeft, 6}, {kb.ArrowDown, 5}, {kb.PageDown, 0}, {kb.PageDown, 0}, {kb.End, 30}, {kb.ArrowRight, 30}} {
		w.press(k.key)
		w.yearIs(k.year)
	}
	assert.Equal(t, "year 30, winter 2056/57", w.text(slider+`.getAttribute('aria-valuetext')`), "the planting winter of the demo is 2026")
	w.until(`document.querySelector('output[for=year]').textContent === 'year 30, winter 2056/57'`) // said once, when it rests
	w.mu.Lock()
	asked := len(w.answers)
	w.mu.Unlock()
	grown := w.widest()
	w.press(kb.Home)
	w.yearIs(0)
	young := w.widest()
	assert.Less(t, young, grown/3, "at planting crowns are small")
	w.mu.Lock()
	for _, a := range w.answers[asked:] {
		assert.NotContains(t, a, "year=", "a sheet holds every year")
	}
	w.mu.Unlock()
}

// The same with a pointer: on the slider, and on the buttons beside it for who cannot drag (WCAG 2.2, 2.5.7), which are large enough (2.5.8).
func TestTheYearsSliderByPointer(t *testing.T) {
	at, _ := serve(t, map[string][]byte{"demo": testdata.Demo, "other": testdata.Demo})
	for _, l := range []look{desk, {w: 360, h: 780, touch: true}} {
		w := open(t, at, "/#demo", l)
		h := pointer{w: w, finger: l.touch}
		w.until(`document.querySelector('#land .growing')`)
		var r [4]float64
		w.eval(`(() => { const r = document.querySelector('#year').getBoundingClientRect(); return [r.x, r.y, r.width, r.height]; })()`, &r)
		assert.GreaterOrEqual(t, r[3], 24.0)
		h.at(r[0]+r[2]-12, r[1]+r[3]/2)
		w.until(`quickthorn.store.get().year >= 27`)
		for range 2 {
			h.hit(`document.querySelector('#top .step')`)
		}
		w.until(`quickthorn.store.get().year >= 25 && quickthorn.store.get().year < 29`)
		year := int(w.number(`quickthorn.store.get().year`))
		h.hit(`document.querySelectorAll('#top .step')[1]`)
		w.yearIs(year + 1)
		assert.GreaterOrEqual(t, w.number(`Math.min(...[...document.querySelectorAll('#top .step')].flatMap((b) => [b.getBoundingClientRect().width, b.getBoundingClientRect().height]))`), 24.0)

		// Each holding keeps its year as long as the window is open.
		w.eval(`quickthorn.open('other').then(() => 1)`, nil)
		w.yearIs(10)
		w.eval(`quickthorn.open('demo').then(() => 1)`, nil)
		w.yearIs(year + 1)
	}
}

// An overlay has its bands under what grows and a legend in words and numbers; it follows the slider, and there is one at a time.
func TestOverlaysOfShelterAndLight(t *testing.T) {
	at, _ := serve(t, map[string][]byte{"demo": testdata.Demo})
	w := open(t, at, "/#demo", desk)
	h := pointer{w: w}
	w.until(`document.querySelector('#land .growing')`)
	choose := func(which string) {
		h.hit(`document.querySelector('#pens details.show summary')`)
		h.hit(fmt.Sprintf(`[...document.querySelectorAll('#pens .show-list fieldset label')].find((l) => l.textContent.includes(%q))`, which))
		w.press(kb.Escape)
	}
	there := func(which, unit string) {
		t.Helper()
		w.until(fmt.Sprintf(`document.querySelector('#land .field:not(.stale) .f-tint.%s') && document.querySelector('.field-legend').getAttribute('aria-busy') === 'false'`, which))
		text := w.text(`document.querySelector('.field-legend').textContent`)
		assert.Contains(t, text, unit)
		assert.NotEmpty(t, w.number(`document.querySelectorAll('.field-legend li').length`))
		assert.Equal(t, 1.0, w.number(`document.querySelectorAll('#land .field').length`))
		assert.Equal(t, 1.0, w.number(`document.querySelector('#land .field').compareDocumentPosition(document.querySelector('#land .growing')) & Node.DOCUMENT_POSITION_FOLLOWING ? 1 : 0`), "what grows lies over it")
	}
	choose("wind left")
	there("shelter", "% of open wind")
	first := w.text(`document.querySelector('#land .field').innerHTML`)
	w.eval(`document.querySelector('#year').focus() ?? 1`, nil)
	w.press(kb.End)
	w.until(`document.querySelector('.field-legend b').textContent.includes('year 30')`)
	there("shelter", "year 30")
	assert.NotEqual(t, first, w.text(`document.querySelector('#land .field').innerHTML`), "in thirty years it is another")

	choose("hours of sun")
	there("light", "hours")
	assert.Zero(t, w.number(`document.querySelectorAll('#land .f-tint.shelter').length`), "one at a time")
	choose("nothing more")
	w.until(`!document.querySelector('#land .field') && document.querySelector('.field-legend').hidden`)
}

// The chapter says what changes when, each line goes there and sets the slider; a bed has its chart, and the chart its table.
func TestTheChapterThroughTheYears(t *testing.T) {
	at, _ := serve(t, map[string][]byte{"demo": testdata.Demo})
	w := open(t, at, "/#demo", desk)
	h := pointer{w: w}
	w.until(`quickthorn.store.get().sheet`)
	h.chapter("years")
	w.until(`document.querySelector('#notebook .event button')`)
	year := w.number(`quickthorn.store.get().sheet.events.at(-1)?.mid ?? -1`)
	require.GreaterOrEqual(t, year, 0.0, "the demo changes through the years")
	h.hit(`[...document.querySelectorAll('#notebook .event button')].at(-1)`)
	w.until(`document.querySelector('#notebook .when.here')`)
	w.until(`quickthorn.store.get().chapter === 'years'`)

	w.until(`document.querySelector('#notebook .bed .chart')`)
	bed := w.text(`document.querySelector('#notebook .bed').dataset.bed`)
	box := fmt.Sprintf(`document.querySelector('#notebook .bed[data-bed=%q]')`, bed)
	w.until(`quickthorn.store.get().byYear?.busy === false && quickthorn.store.get().byYear.light.size >= 7`)
	h.hit(box + `.querySelector('summary')`)
	w.until(box + `.querySelector('details[open] table caption')`)
	assert.Equal(t, 0.0, w.number(box+`.querySelectorAll('thead th:not([scope=col]), tbody th:not([scope=row])').length`))
	assert.GreaterOrEqual(t, w.number(box+`.querySelectorAll('tbody tr').length`), 7.0)
	h.hit(box + `.querySelector('tbody tr:nth-child(3) button')`) // years 0, 5, 10
	w.until(box + `.querySelector('tbody tr.here')?.textContent.startsWith(String(quickthorn.store.get().year))`)

	// Pressing the chart at its right end goes to year 30.
	w.eval(box+`.querySelector('.chart').scrollIntoView({ block: 'center' }) ?? 1`, nil)
	var r [4]float64
	w.eval(`(() => { const r = `+box+`.querySelector('.chart').getBoundingClientRect(); return [r.x, r.y, r.width, r.height]; })()`, &r)
	h.at(r[0]+r[2]-3, r[1]+r[3]/2)
	w.yearIs(30)
	assert.Contains(t, w.text(box+`.textContent`), "Year 30:")

	// The entry of the bed says it too.
	h.chapter("land")
	w.until(fmt.Sprintf(`document.querySelector('[data-entry=%q]')?.textContent.includes('In year 30:')`, bed))

	// Every year between, when the reader asks for it.
	h.chapter("years")
	h.hit(button("#notebook", "Work out every year"))
	w.until(`quickthorn.store.get().byYear.light.size === 31 && quickthorn.store.get().byYear.shelter.size === 31`)
}

// The page stays sound with an overlay on: WCAG and good practice, light and dark, on a narrow screen and a desk.
func TestAxeFindsNothingWithAnOverlay(t *testing.T) {
	script := axe(t)
	at, _ := serve(t, map[string][]byte{"demo": testdata.Demo})
	for i, l := range []look{{w: 1280, h: 860}, {w: 1280, h: 860, dark: true}, {w: 360, h: 780, touch: true}, {w: 360, h: 780, touch: true, dark: true}} {
		t.Run(fmt.Sprintf("%d px, dark %v", l.w, l.dark), func(t *testing.T) {
			t.Parallel()
			h := axed(t, at, "/#demo", script, l)
			h.w.until(`quickthorn.store.get().sheet`)
			h.w.eval(fmt.Sprintf(`quickthorn.store.do('shows', { field: %q }) && 1`, []string{"shelter", "light"}[i%2]), nil)
			h.w.until(`document.querySelector('#land .field:not(.stale)')`)
			h.chapter("years")
			h.w.until(`document.querySelector('#notebook .bed .chart')`)
			h.w.eval(`document.querySelector('#notebook .bed details').open = true`, nil)
			h.w.sound("with an overlay", "html")
		})
	}
}
