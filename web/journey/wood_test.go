package journey

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"

	"quickthorn/testdata"
)

// sectionOf is a section of the rota as the page has it.
func sectionOf(id string) string {
	return fmt.Sprintf(`quickthorn.store.get().wood.data.wood.sections.find((s) => s.id === %q)`, id)
}

// cuts waits until the rota of the revision shown is there, and gives the winters of a section.
func (w *window) cuts(id string) (winters []int) {
	w.t.Helper()
	w.settled()
	w.until(`(() => { const s = quickthorn.store.get(); return s.wood && !s.wood.busy && !s.wood.wrong && s.wood.key === s.holding + ' ' + s.revision; })()`)
	w.eval(sectionOf(id)+`.cuts`, &winters)
	return winters
}

// A winter is stated for a section with buttons, by pointer, finger or keyboard alone: the rota follows at once, and undo takes it back.
func TestAWinterIsStatedAndTakenBack(t *testing.T) {
	const id = "middle-hedge/3"
	for name, l := range map[string]look{"pointer": desk, "finger": {w: 360, h: 780, touch: true}, "keyboard": desk} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			at, _ := serve(t, map[string][]byte{"demo": testdata.Demo})
			w := open(t, at, "/#demo", l)
			var h interface {
				hit(el string)
				press(scope, words string)
			} = pointer{w: w, finger: l.touch}
			if name == "keyboard" {
				h = keyboard{w}
			}
			w.until(`quickthorn.store.get().sheet`)
			h.press("#notebook nav", "Wood")
			before := w.cuts(id)
			assert.NotEmpty(t, before)
			box := fmt.Sprintf(`document.querySelector('[data-section=%q]')`, id)
			h.hit(box + `.querySelector('button.more')`)
			w.until(box + `.querySelector('.pins select')`)

			choose := func(winter string) {
				w.eval(box+`.querySelector('.pins select').focus() ?? 1`, nil)
				w.press(winter)
				w.until(fmt.Sprintf(box+`.querySelector('.pins select').value === %q`, winter))
			}
			button := func(words string) string {
				return fmt.Sprintf(`[...`+box+`.querySelectorAll('.pins button')].find((b) => b.textContent.startsWith(%q))`, words)
			}
			choose("2034")
			h.hit(button("Cut in this winter"))
			w.until(box + `.textContent.includes('You say: cut in 2034/35.')`)
			pinned := w.cuts(id)
			assert.Contains(t, pinned, 2034)
			assert.NotEqual(t, before, pinned)
			assert.Equal(t, `[{"winter":2034,"from_m":54}]`, w.text(`JSON.stringify(quickthorn.store.get().sheet.features.find((f) => f.id === 'middle-hedge').properties.cut_in)`), "an ordinary change of the hedge")

			h.press("#top", "Undo")
			w.until(`!` + box + `.textContent.includes('You say')`)
			assert.Equal(t, before, w.cuts(id), "undo takes it back")

			// The winter that the rota chose is not wanted; then it is, after all.
			choose(fmt.Sprint(before[0]))
			h.hit(button("Not in this winter"))
			w.until(box + `.textContent.includes('You say: not in')`)
			assert.NotContains(t, w.cuts(id), before[0])
			h.hit(button("Take back: not in"))
			w.until(`!` + box + `.textContent.includes('You say')`)
			assert.Equal(t, before, w.cuts(id))
			assert.Equal(t, "undefined", w.text(`typeof quickthorn.store.get().sheet.features.find((f) => f.id === 'middle-hedge').properties.not_in`), "nothing is left of it")
		})
	}
}

// The overlay shows what is cut when, from a winter that can be chosen, with a legend in words; the sheet for paper is of that winter.
func TestTheOverlayOfCuttingSections(t *testing.T) {
	at, _ := serve(t, map[string][]byte{"demo": testdata.Demo})
	w := open(t, at, "/#demo", desk)
	h := pointer{w: w}
	w.until(`document.querySelector('#land .growing')`)
	h.hit(`document.querySelector('#pens details.show summary')`)
	h.hit(`[...document.querySelectorAll('#pens .show-list fieldset label')].find((l) => l.textContent.includes('cutting sections'))`)
	w.press(kb.Escape)
	w.until(`document.querySelector('#land .cuts:not(.stale) .c-area.c5')`)
	first := w.number(`Number(document.querySelector('.cuts-legend select').value)`)
	assert.Equal(t, 2028.0, first, "the first winter in which something is cut")
	assert.Equal(t, 6.0, w.number(`document.querySelectorAll('.cuts-legend li svg').length`))
	assert.Contains(t, w.text(`document.querySelector('.cuts-legend').textContent`), "cut in this winter: 0")
	assert.Contains(t, w.text(`[...document.querySelectorAll('#land .c-n')].map((e) => e.textContent).join(' ')`), "0")
	assert.Zero(t, w.number(`document.querySelectorAll('#land .field').length`), "no other overlay with it")

	was := w.text(`document.querySelector('#land .cuts').innerHTML`)
	w.eval(`document.querySelector('.cuts-legend select').focus() ?? 1`, nil)
	w.press(kb.ArrowDown)
	w.until(`quickthorn.store.get().shows.winter === 2029`)
	w.until(fmt.Sprintf(`document.querySelector('#land .cuts').innerHTML !== %q`, was))
	w.until(`!document.querySelector('#land .c-area.c5')`) // nothing is cut in that winter

	// The chapter looks at the same winter; its sheet for paper is served.
	h.chapter("wood")
	w.until(`document.querySelector('#wood-work')?.textContent.includes('2029/30')`)
	assert.Contains(t, w.text(`document.querySelector('section[aria-labelledby=wood-work]').textContent`), "Nothing is cut in this winter.")
	address := w.text(`document.querySelector('#notebook a.main-link').href`)
	assert.Equal(t, at+"/holdings/demo/wood/sheet?winter=2029", address)
	assert.Contains(t, string(fetch(t, address)), "<h1>Cutting sheet, winter 2029 to 2030</h1>")

	// A row of the table, and a place on the chart, choose a winter too.
	h.hit(`document.querySelector('section[aria-labelledby=wood-balance] summary')`)
	h.hit(`document.querySelector('section[aria-labelledby=wood-balance] tbody tr:nth-child(6) button')`)
	w.until(`quickthorn.store.get().shows.winter === 2031 && document.querySelector('#land .c-area.c5')`)
	h.hit(`document.querySelector('#pens details.show summary')`)
	h.hit(`[...document.querySelectorAll('#pens .show-list fieldset label')].find((l) => l.textContent.includes('nothing more'))`)
	w.until(`!document.querySelector('#land .cuts') && document.querySelector('.cuts-legend').hidden`)
}

// The page stays sound with the overlay on and everything of the chapter open, and nothing is wider than a narrow screen.
func TestAxeFindsNothingWithCuttingSections(t *testing.T) {
	script := axe(t)
	at, _ := serve(t, map[string][]byte{"demo": testdata.Demo})
	for _, l := range []look{{w: 1280, h: 860}, {w: 2560, h: 1440, dark: true}, {w: 360, h: 780, touch: true}, {w: 360, h: 780, touch: true, dark: true}} {
		t.Run(fmt.Sprintf("%d px, dark %v", l.w, l.dark), func(t *testing.T) {
			t.Parallel()
			h := axed(t, at, "/#demo", script, l)
			h.w.until(`quickthorn.store.get().sheet`)
			h.w.eval(`quickthorn.store.do('shows', { field: 'cuts' }) && 1`, nil)
			h.w.until(`document.querySelector('#land .cuts:not(.stale)')`)
			h.chapter("wood")
			h.w.until(`document.querySelector('#notebook .wood-chart')`)
			h.hit(`document.querySelector('#notebook [data-section] button.more')`)
			h.w.until(`document.querySelector('#notebook .pins')`)
			h.w.eval(`document.querySelectorAll('#notebook details').forEach((d) => { d.open = true; }) ?? 1`, nil)
			h.w.sound("cutting and wood", "html")
			assert.LessOrEqual(t, h.w.number(`document.documentElement.scrollWidth`), float64(l.w))
		})
	}
}
