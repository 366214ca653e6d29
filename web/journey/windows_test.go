package journey

import (
	"fmt"
	"net/http"
	"testing"

	"github.com/stretchr/testify/assert"

	"quickthorn/testdata"
)

// states reports, as JavaScript, that a property of a feature of the sheet is a text.
func states(id, property, value string) string {
	return fmt.Sprintf(`quickthorn.store.get().sheet?.features.some((f) => f.id === %q && f.properties[%q] === %q)`, id, property, value)
}

// field is the selector of a feature's field in the notebook.
func field(id, property string) string { return "#f--" + id + "--" + property }

// opened opens the entry of a feature in the notebook, by its title.
func (p pointer) opened(id string) {
	p.w.t.Helper()
	p.w.until(`quickthorn.store.get().sheet`)
	p.hit(fmt.Sprintf(`document.querySelector('[data-entry=%q] button')`, id))
	p.w.until(fmt.Sprintf(`document.querySelector(%q)`, field(id, "name")))
}

func TestTwoWindowsOnOneHolding(t *testing.T) {
	at, s := serve(t, map[string][]byte{"demo": testdata.Demo})
	a, b := pointer{w: open(t, at, "/#demo", desk)}, pointer{w: open(t, at, "/#demo", desk)}
	b.w.expect("412") // the browser logs the refusal that the page then deals with

	a.opened("shed")
	b.opened("shed")
	a.into(field("shed", "name"), "Barn")
	a.w.until(states("shed", "name", "Barn"))
	b.w.until(states("shed", "name", "Barn")) // the second window follows by itself
	b.w.until(`document.querySelector('[data-entry="shed"] button').textContent === 'Barn'`)

	// From here on the second window hears of nothing until its change was refused: it is sure to be stale.
	b.w.eval(`(() => { const ask = quickthorn.api.sheet; globalThis.gate = new Promise((open) => { globalThis.ungate = open; }); quickthorn.api.sheet = (...a) => globalThis.gate.then(() => ask(...a)); return 1; })()`, nil)
	a.into(field("shed", "name"), "Byre")
	a.w.until(states("shed", "name", "Byre"))
	a.opened("yew")
	a.into(field("yew", "name"), "Old yew")
	a.w.until(states("yew", "name", "Old yew"))
	b.into(field("shed", "notes"), "leans to the east")
	b.w.answered(http.StatusPreconditionFailed, "/edits")
	b.w.eval(`globalThis.ungate() ?? 1`, nil)
	b.w.until(`document.getElementById('status').textContent.startsWith('Another window changed the plan.')`)

	// Nothing of either is lost, of the same thing neither.
	for _, w := range []*window{a.w, b.w} {
		w.until(states("shed", "name", "Byre"))
		w.until(states("shed", "notes", "leans to the east"))
		w.until(states("yew", "name", "Old yew"))
		w.settled()
	}
	h, err := s.Holding(t.Context(), "demo")
	assert.NoError(t, err)
	assert.InDelta(t, a.w.number(`quickthorn.store.get().revision`), float64(h.Revision), 0)

	// What the one undoes is the last change of both, and the other follows.
	a.press("#top", "Undo")
	b.w.until(`!` + states("shed", "notes", "leans to the east"))
	assert.True(t, a.w.number(states("shed", "name", "Byre")+` ? 1 : 0`) == 1)
}

// A thing that one window deletes while the other changes it comes back with the change: it can be deleted again, a lost change could
// not be had again.
func TestOneWindowDeletesWhatTheOtherChanges(t *testing.T) {
	at, _ := serve(t, map[string][]byte{"demo": testdata.Demo})
	a, b := pointer{w: open(t, at, "/#demo", desk)}, pointer{w: open(t, at, "/#demo", desk)}
	b.w.expect("412")
	a.opened("shed")
	b.opened("shed")
	b.w.eval(`(() => { const ask = quickthorn.api.sheet; globalThis.gate = new Promise((open) => { globalThis.ungate = open; }); quickthorn.api.sheet = (...a) => globalThis.gate.then(() => ask(...a)); return 1; })()`, nil)
	a.press("#notebook", "Delete Shed")
	a.w.until(`!quickthorn.store.get().sheet.features.some((f) => f.id === 'shed')`)
	b.into(field("shed", "notes"), "leans to the east")
	b.w.answered(http.StatusPreconditionFailed, "/edits")
	b.w.eval(`globalThis.ungate() ?? 1`, nil)
	a.w.until(states("shed", "notes", "leans to the east"))
	b.w.until(states("shed", "notes", "leans to the east"))
	b.w.settled()
}

func TestTheServerIsKilledInTheMiddleOfEdits(t *testing.T) {
	server := newProcess(t)
	h := pointer{w: open(t, server.at, "/#demo", desk)}
	w := h.w
	w.expect("net::ERR_")
	w.expect("412") // the answer to what was saved was lost, and it is asked again
	h.opened("shed")
	count := func() float64 { return w.number(`quickthorn.store.get().sheet.features.length`) }

	// A change while the server is away is kept, and said.
	server.kill()
	h.into(field("shed", "name"), "Barn")
	w.until(`!quickthorn.store.get().online && quickthorn.store.get().pending.length === 1`)
	w.until(`document.getElementById('status').textContent.includes('kept here')`)
	w.until(`document.querySelector('#top .waiting')?.textContent === '1 change not sent yet'`)
	h.into(field("shed", "notes"), "leans to the east")
	w.until(`document.querySelector('#top .waiting')?.textContent === '2 changes not sent yet'`)
	server.again()
	w.until(states("shed", "name", "Barn"))
	w.until(states("shed", "notes", "leans to the east"))
	w.settled()
	w.until(`document.getElementById('status').textContent === 'The server answers again. Everything is sent.'`)
	w.until(`!document.querySelector('#top .waiting')`)

	// Killed while the edit is on its way, answered or not: it is there once, no more and no less.
	for i := range 4 {
		before := count()
		h.take("tree-new")
		x, y := w.pixel(20+8*float64(i), 20)
		h.at(x, y)
		server.kill()
		w.until(`!quickthorn.store.get().online || quickthorn.store.get().pending.length === 0`)
		server.again()
		w.until(`quickthorn.store.get().online && quickthorn.store.get().pending.length === 0`)
		w.until(fmt.Sprintf(`quickthorn.store.get().sheet.features.length === %g`, before+1))
		w.eval(`quickthorn.sync.refresh().then(() => 1)`, nil)
		assert.InDelta(t, before+1, count(), 0)
		h.press("#pens", "Leave")
		w.until(`!quickthorn.store.get().tool`)
	}

	// Kept across a reload too.
	h.opened("yew")
	server.kill()
	h.into(field("yew", "name"), "Old yew")
	w.until(`!quickthorn.store.get().online && quickthorn.store.get().pending.length === 1`)
	w.goTo("about:blank")
	server.again()
	w.goTo(server.at + "/#demo")
	w.until(`document.documentElement.dataset.ready === 'yes'`)
	w.until(states("yew", "name", "Old yew"))
	w.settled()
	assert.Equal(t, `{"holding":"demo","pending":[]}`, w.text(`localStorage.getItem('quickthorn.unsent')`))
}
