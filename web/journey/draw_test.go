package journey

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner/lists"
	"quickthorn/testdata"
)

// hands is how a user gets things onto the sheet.
type hands interface {
	take(pen string)                     // a pen from the tray
	draw(places ...[2]float64)           // corner after corner, and the end
	hit(el string)                       // an element, by a JavaScript expression
	press(scope, words string)           // a button
	into(selector, value string)         // a field by a CSS selector
	begin(name string, lat, lon float64) // a new holding from nothing
}

// The journey of somebody with no file at all: a field, an old hedge with a gap and a gateway, a windbreak and an orchard; the warnings that
// these must bring; a fix, taken back; a reload; and the list, whose counts are those of the command line.
func journey(t *testing.T, w *window, h hands, at string) {
	h.begin("Test ground", 53.985, -2.585)
	w.until(`quickthorn.store.get().sheet?.name === 'Test ground'`)
	for w.number(`quickthorn.store.get().size.w / quickthorn.store.get().view.k`) < 130 || w.number(`quickthorn.store.get().size.h / quickthorn.store.get().view.k`) < 110 {
		k := w.number(`quickthorn.store.get().view.k`)
		h.press("#pens", "−")
		w.until(fmt.Sprintf(`quickthorn.store.get().view.k < %g`, k))
	}

	h.take("field")
	h.draw([2]float64{-50, 40}, [2]float64{50, 40}, [2]float64{50, -40}, [2]float64{-50, -40})
	w.until(`quickthorn.store.get().sheet.features.length === 1`)
	w.settled()
	assert.InDelta(t, 8000, w.number(`quickthorn.store.get().sheet.features[0].area_m2`), 0.5, "100 x 80 m")

	h.take("hedge-old")
	h.draw([2]float64{-50, 40}, [2]float64{50, 40})
	w.until(`quickthorn.store.get().sheet.features.some((f) => f.kind === 'hedge')`)
	h.take("gap")
	h.draw([2]float64{-20, 40}, [2]float64{-12, 40})
	w.until(`quickthorn.store.get().sheet.features.some((f) => f.kind === 'gap')`)
	h.take("gateway")
	h.draw([2]float64{20, 40})
	w.until(`quickthorn.store.get().sheet.features.some((f) => f.kind === 'gateway')`)
	w.settled()
	w.until(`quickthorn.store.get().sheet.features.find((f) => f.kind === 'hedge').openings?.length === 2`)
	w.until(`quickthorn.store.get().sheet.findings.some((f) => f.rule === 'hedge.gap')`)

	h.take("windbreak")
	h.draw([2]float64{-40, -30}, [2]float64{-40, 30})
	w.until(`quickthorn.store.get().sheet.features.some((f) => f.kind === 'windbreak')`)
	w.settled()
	w.until(`quickthorn.store.get().sheet.features.some((f) => f.kind === 'windbreak' && f.id === quickthorn.store.get().selected)`)
	h.press("#notebook", "Add a row")
	h.into(`#notebook input[id$="--rows--0--species"]`, "hawthorn")
	w.settled()
	h.into(`#notebook input[id$="--rows--0--spacing_m"]`, "1.5")
	w.until(`quickthorn.store.get().sheet.features.find((f) => f.kind === 'windbreak').plants === 41`) // floor(60.02 / 1.5) + 1

	h.take("orchard")
	h.draw([2]float64{0, 20}, [2]float64{40, 20}, [2]float64{40, -20}, [2]float64{0, -20})
	w.until(`quickthorn.store.get().sheet.features.some((f) => f.kind === 'orchard')`)
	w.settled()
	w.until(`quickthorn.store.get().sheet.features.some((f) => f.kind === 'orchard' && f.id === quickthorn.store.get().selected)`)
	h.press("#notebook", "Add trees")
	h.into(`#notebook input[id$="--trees--0--species"]`, "apple")
	w.settled()
	h.into(`#notebook input[id$="--trees--0--share_percent"]`, "100")
	w.settled()
	h.into(`#notebook input[id$="--spacing_m"]`, "5")
	w.until(`quickthorn.store.get().sheet.features.find((f) => f.kind === 'orchard').plants === 64`) // 35 x 35 m at 5 m: 8 x 8
	w.settled()

	h.press("#notebook nav", "Warnings")
	warned(t, w, "hedge.gap", "windbreak.density", "orchard.pollination")

	// The fix of the gap, and taking it back.
	before := w.text(`JSON.stringify(quickthorn.store.get().sheet.features.map((f) => [f.id, f.properties, f.geometry]))`)
	fix := w.text(`quickthorn.store.get().sheet.findings.find((f) => f.rule === 'hedge.gap').fix.say`)
	h.press("#notebook", fix)
	w.until(`!quickthorn.store.get().sheet.findings.some((f) => f.rule === 'hedge.gap')`)
	w.settled()
	h.press("#top", "Undo")
	w.until(`quickthorn.store.get().sheet.findings.some((f) => f.rule === 'hedge.gap')`)
	w.settled()
	assert.JSONEq(t, before, w.text(`JSON.stringify(quickthorn.store.get().sheet.features.map((f) => [f.id, f.properties, f.geometry]))`))
	h.press("#top", "Redo")
	w.until(`!quickthorn.store.get().sheet.findings.some((f) => f.rule === 'hedge.gap')`)
	w.settled()

	after := w.text(`JSON.stringify(quickthorn.store.get().sheet.features.map((f) => [f.id, f.properties, f.geometry]))`)
	require.NoError(t, chromedp.Do(w.ctx, chromedp.Reload()))
	w.until(`document.documentElement.dataset.ready === 'yes' && quickthorn.store.get().sheet`)
	assert.JSONEq(t, after, w.text(`JSON.stringify(quickthorn.store.get().sheet.features.map((f) => [f.id, f.properties, f.geometry]))`), "all is as it was")
	h.press("#top", "Undo")
	w.until(`quickthorn.store.get().sheet.findings.some((f) => f.rule === 'hedge.gap')`)
	h.press("#top", "Redo")
	w.until(`!quickthorn.store.get().sheet.findings.some((f) => f.rule === 'hedge.gap')`)

	h.press("#notebook nav", "List")
	w.until(`document.querySelector('#notebook .list table')`)
	sameList(t, w, h, at)
}

var property = regexp.MustCompile("`?[a-z]+(_[a-z0-9]+)+`?")

// onThePage is a pattern for a message in which the page may call properties by the labels of their fields.
func onThePage(message string) string {
	return property.ReplaceAllString(regexp.QuoteMeta(strings.ReplaceAll(message, "`", "")), "(?:`?[a-z_0-9]+`?|“[^”]+”)")
}

// warned requires that these rules speak, and that sheet and notebook say the same: every finding stands in the notebook under its
// number and in its words, and every one that has a place is marked on the sheet, by its own sign or counted behind a neighbour's.
func warned(t *testing.T, w *window, rules ...string) {
	t.Helper()
	w.until(`document.querySelectorAll('#notebook .warnings [data-finding]').length === quickthorn.store.get().sheet.findings.length`)
	var found []struct {
		N        int
		Rule     string
		Severity string
		Said     string // what the notebook says at that number
		Message  string
		Placed   bool
	}
	w.eval(`quickthorn.store.get().sheet.findings.map((f) => ({ N: f.n, Rule: f.rule, Severity: f.severity, Message: f.message, Placed: f.x !== null && f.x !== undefined,
		Said: document.querySelector('#notebook [data-finding="' + f.n + '"]').textContent }))`, &found)
	placed := 0
	speak := map[string]bool{}
	for _, f := range found {
		speak[f.Rule] = true
		assert.Regexp(t, onThePage(f.Message), f.Said)
		if f.Placed {
			placed++
		}
	}
	for _, rule := range rules {
		assert.True(t, speak[rule], "%s says nothing", rule)
	}
	const marked = `(() => { const signs = document.querySelectorAll('#land path.sev').length; return signs + [...document.querySelectorAll('#land text.more')].reduce((n, e) => n + Number(e.textContent), 0); })()`
	w.until(fmt.Sprintf(`%s === %d`, marked, placed))
	assert.Positive(t, placed)
}

// sameList holds the list that the page links to against the one that the command line makes of the exported plan.
func sameList(t *testing.T, w *window, h hands, at string) {
	t.Helper()
	id := w.text(`quickthorn.store.get().holding`)
	csv := w.download(func() { h.hit(`document.querySelector('#notebook a[href*="planting-list?format=csv"]')`) })
	plan := fetch(t, at+"/holdings/"+id)
	r, err := engineOf(t).Read(plan, reportOptions)
	require.NoError(t, err)
	require.NoError(t, r.SetOut(context.Background()))
	list := r.List()
	f, ok := lists.FormatNamed("csv")
	require.True(t, ok)
	var want writer
	require.NoError(t, f.Write(&want, list, lists.Options{}))
	assert.Equal(t, string(want), string(csv))
	assert.Equal(t, 41+64+48, list.TotalPlants, "the windbreak, the orchard, and the gap at 6 plants a metre")
	assert.Contains(t, w.text(`document.querySelector('#notebook .list .lead').textContent`), fmt.Sprintf("%d plants to plant", list.TotalPlants))
	var shown struct {
		Total int `json:"total_plants"`
	}
	require.NoError(t, json.Unmarshal(fetch(t, at+"/holdings/"+id+"/planting-list?format=json"), &shown))
	assert.Equal(t, list.TotalPlants, shown.Total)
}

type writer []byte

func (w *writer) Write(p []byte) (int, error) { *w = append(*w, p...); return len(p), nil }

func fetch(t *testing.T, url string) []byte {
	t.Helper()
	res, err := http.Get(url)
	require.NoError(t, err)
	defer res.Body.Close()
	require.Equal(t, http.StatusOK, res.StatusCode, url)
	data, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	return data
}

// pointer is a hand with a mouse, or a finger.
type pointer struct {
	w      *window
	finger bool
}

func (p pointer) at(x, y float64) {
	p.w.t.Helper()
	if p.finger {
		p.w.tap(x, y)
		return
	}
	p.w.click(x, y)
}

// hit clicks or taps the middle of an element. An answer of the server can move the text just as the pointer comes down: who hits the
// bare paper beside what they aimed at aims again.
func (p pointer) hit(el string) {
	p.w.t.Helper()
	for range 5 {
		x, y := p.w.middle(el)
		p.w.eval(`(() => { globalThis.landed = null; addEventListener('click', (e) => { globalThis.landed = e.target; }, { capture: true, once: true }); return 1; })()`, nil)
		p.at(x, y)
		if p.w.number(`(async () => {
			const { aim } = globalThis;
			for (const end = Date.now() + 250; aim && !globalThis.landed && Date.now() < end;) await new Promise((then) => setTimeout(then, 10)); // a tap becomes a click a little later
			const on = globalThis.landed;
			return on && aim.isConnected && !aim.contains(on) && !on.closest('button, a, input, select, textarea, label, summary, svg') ? 1 : 0;
		})()`) == 0 {
			return
		}
	}
	require.Fail(p.w.t, "missed five times", "%s", el)
}

func (p pointer) take(pen string) {
	p.w.t.Helper()
	p.hit(fmt.Sprintf(`document.querySelector('[data-pen=%q]')`, pen))
	p.w.until(`quickthorn.store.get().tool?.name === 'draw'`)
	p.w.eval(`document.getElementById('sheet').scrollIntoView({ block: 'start', behavior: 'instant' }) ?? 1`, nil)
}

func (p pointer) draw(places ...[2]float64) {
	p.w.t.Helper()
	before := p.w.number(`quickthorn.store.get().revision`)
	for i, at := range places {
		x, y := p.w.pixel(at[0], at[1])
		p.at(x, y)
		if len(places) > 1 {
			p.w.until(fmt.Sprintf(`quickthorn.store.get().revision > %g || (quickthorn.store.get().tool?.state?.corners?.length ?? 0) >= %d`, before, i+1))
		}
	}
	if len(places) > 2 || p.w.number(`quickthorn.store.get().tool?.state?.corners?.length ?? 0`) > 0 {
		p.hit(button("#pens", "Done"))
	}
	p.w.until(fmt.Sprintf(`quickthorn.store.get().revision > %g`, before))
	if p.w.number(`quickthorn.store.get().tool ? 1 : 0`) == 1 { // a pen for points stays in hand
		p.hit(button("#pens", "Leave"))
		p.w.until(`!quickthorn.store.get().tool`)
	}
	p.w.settled()
}

func (p pointer) press(scope, words string) {
	p.w.t.Helper()
	p.hit(button(scope, words))
}

func (p pointer) into(selector, value string) {
	p.w.t.Helper()
	el := fmt.Sprintf(`document.querySelector(%q)`, selector)
	p.hit(el)
	p.w.until(fmt.Sprintf(`document.activeElement === %s`, el))
	p.w.press("a", chromedp.Modifier(2)) // all that stands there
	p.w.press(value)
	p.w.press(kb.Tab)
}

func (p pointer) begin(name string, lat, lon float64) {
	p.w.t.Helper()
	p.w.until(`document.querySelector('#begin-name')`)
	p.into("#begin-name", name)
	p.into("#begin-lat", fmt.Sprint(lat))
	p.into("#begin-lon", fmt.Sprint(lon))
	p.hit(button("#notebook", "Begin it"))
}

func TestJourneyByPointer(t *testing.T) {
	at, _ := serve(t, nil)
	w := open(t, at, "/", desk)
	journey(t, w, pointer{w: w}, at)
}

func TestJourneyByTouchOnANarrowScreen(t *testing.T) {
	at, _ := serve(t, nil)
	w := open(t, at, "/", look{w: 360, h: 780, touch: true})
	journey(t, w, pointer{w: w, finger: true}, at)
	assert.LessOrEqual(t, w.number(`document.documentElement.scrollWidth`), 360.0, "nothing sticks out sideways")
}

// The mouse takes hold of a corner: while it is held the sheet shows the land as it would be, with its findings; Escape leaves it as it
// was, letting go keeps it as one edit.
func TestDraggingShowsWhatWouldBe(t *testing.T) {
	at, _ := serve(t, map[string][]byte{"demo": testdata.Demo})
	w := open(t, at, "/#demo", desk)
	w.until(`quickthorn.store.get().sheet`)
	const area = `quickthorn.store.get().%s.features.find((f) => f.id === 'house-field').area_m2`
	var corner [2]float64
	w.eval(`quickthorn.store.get().sheet.features.find((f) => f.id === 'house-field').geometry.coordinates[0][0]`, &corner)
	w.eval(`quickthorn.store.do('select', { id: 'house-field' }) && 1`, nil)
	before, revision := w.number(fmt.Sprintf(area, "sheet")), w.number(`quickthorn.store.get().revision`)
	drag := func(end func(x, y float64)) {
		w.settled()
		x, y := w.pixel(corner[0], corner[1])
		require.NoError(t, chromedp.Do(w.ctx, chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x, y), chromedp.MouseEvent(input.DispatchMouseEventTypeMousePressed, x, y, chromedp.ButtonLeft, chromedp.ClickCount(1))))
		for range 5 {
			x, y = x+8, y+6
			require.NoError(t, chromedp.Do(w.ctx, chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x, y, chromedp.ButtonLeft)))
		}
		w.until(`quickthorn.store.get().trial !== null`)
		w.until(fmt.Sprintf("Math.abs("+area+" - %g) > 1", "trial", before))
		assert.InDelta(t, revision, w.number(`quickthorn.store.get().revision`), 0, "nothing is kept yet")
		end(x, y)
	}
	up := func(x, y float64) {
		require.NoError(t, chromedp.Do(w.ctx, chromedp.MouseEvent(input.DispatchMouseEventTypeMouseReleased, x, y, chromedp.ButtonLeft, chromedp.ClickCount(1))))
	}
	drag(func(x, y float64) {
		w.eval(`quickthorn.plan.focus() ?? 1`, nil)
		w.press(kb.Escape)
		up(x, y)
	})
	w.until(`quickthorn.store.get().trial === null && quickthorn.store.get().tool === null`)
	assert.InDelta(t, revision, w.number(`quickthorn.store.get().revision`), 0)
	assert.InDelta(t, before, w.number(fmt.Sprintf(area, "sheet")), 0)
	drag(up)
	w.until(fmt.Sprintf(`quickthorn.store.get().revision === %g`, revision+1))
	w.settled()
	assert.NotEqual(t, before, w.number(fmt.Sprintf(area, "sheet")))
}

// One finger moves the land, two make it larger.
func TestFingersMoveAndStretchTheLand(t *testing.T) {
	at, _ := serve(t, map[string][]byte{"demo": testdata.Demo})
	w := open(t, at, "/#demo", look{w: 360, h: 780, touch: true})
	w.until(`quickthorn.store.get().sheet`)
	fingers := func(typ input.DispatchTouchEventType, at ...[2]float64) {
		t.Helper()
		var points []*input.TouchPoint
		for i, p := range at {
			id := float64(i)
			points = append(points, &input.TouchPoint{X: p[0], Y: p[1], ID: &id})
		}
		_, err := chromedp.Call(w.ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: typ, TouchPoints: points})
		require.NoError(t, err)
	}
	x0, k0, page := w.number(`quickthorn.store.get().view.x`), w.number(`quickthorn.store.get().view.k`), w.number(`scrollY`)
	px, py := w.pixel(x0, w.number(`quickthorn.store.get().view.y`))
	fingers(input.DispatchTouchEventTypeTouchStart, [2]float64{px, py})
	for d := range 6 {
		fingers(input.DispatchTouchEventTypeTouchMove, [2]float64{px + 10*float64(d+1), py})
	}
	fingers(input.DispatchTouchEventTypeTouchEnd)
	w.until(fmt.Sprintf(`Math.abs(quickthorn.store.get().view.x - %g) < 0.01 + 10 / %g`, x0-60/k0, k0)) // 60 pixels, the first few of them perhaps not yet a drag
	assert.InDelta(t, page, w.number(`scrollY`), 0, "the page stays where it is")
	assert.Equal(t, "", w.text(`quickthorn.store.get().selected ?? ''`), "moving chooses nothing")

	fingers(input.DispatchTouchEventTypeTouchStart, [2]float64{px - 30, py}, [2]float64{px + 30, py})
	for d := range 6 {
		fingers(input.DispatchTouchEventTypeTouchMove, [2]float64{px - 30 - 5*float64(d+1), py}, [2]float64{px + 30 + 5*float64(d+1), py})
	}
	fingers(input.DispatchTouchEventTypeTouchEnd)
	w.until(fmt.Sprintf(`Math.abs(quickthorn.store.get().view.k / %g - 2) < 0.05`, k0)) // from 60 to 120 pixels apart
}
