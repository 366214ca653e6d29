package journey

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"quickthorn/testdata"
)

// grown is the demo holding with a grove beside it so large that at least so many plants are drawn.
func grown(b *testing.B, plants int) []byte {
	b.Helper()
	side := 0.0
	for {
		side += 0.0001 // of a degree: about 11 m north, 6.5 m east
		x, y := -2.5815, 53.9851
		grove := fmt.Sprintf(`{"type": "Feature", "id": "big-grove", "properties": {"kind": "grove", "species": "hazel", "spacing_m": 2.5, "bearing_deg": 90}, "geometry": {"type": "Polygon", "coordinates": [[[%[1]f, %[2]f], [%[3]f, %[2]f], [%[3]f, %[4]f], [%[1]f, %[4]f], [%[1]f, %[2]f]]]}},`, x, y, x+side, y+side)
		data := []byte(strings.Replace(string(testdata.Demo), `"features": [`, `"features": [`+grove, 1))
		r, err := engineOf(b).Read(data, reportOptions)
		require.NoError(b, err)
		require.NoError(b, r.SetOut(b.Context()))
		require.NoError(b, r.Check(b.Context()))
		if len(r.Sheet().Plants) >= plants {
			return data
		}
	}
}

// percentiles reports the median and the 95th percentile of a list of milliseconds.
func percentiles(b *testing.B, ms []float64, name string) {
	b.Helper()
	require.NotEmpty(b, ms)
	slices.Sort(ms)
	b.ReportMetric(ms[len(ms)/2], name+"-median-ms")
	b.ReportMetric(ms[min(len(ms)-1, len(ms)*95/100)], name+"-p95-ms")
}

func (w *window) mouse(typ input.DispatchMouseEventType, x, y float64) {
	w.t.Helper()
	opts := []chromedp.MouseOption{chromedp.ButtonLeft}
	if typ != input.DispatchMouseEventTypeMouseMoved {
		opts = append(opts, chromedp.ClickCount(1))
	}
	require.NoError(w.t, chromedp.Do(w.ctx, chromedp.MouseEvent(typ, x, y, opts...)))
}

// BenchmarkPageLetGo measures, with 2,000 plants, from letting go of a corner with the mouse to the sheet drawn anew from what the
// server kept, with its findings (ours: the aim is under 100 ms). The clock is the page's own: from the pointer's event to the frame
// after the one in which the drawing was renewed.
func BenchmarkPageLetGo(b *testing.B) {
	at, _ := serve(b, map[string][]byte{"demo": grown(b, 2000)})
	w := open(b, at, "/#demo", desk)
	w.until(`quickthorn.store.get().sheet`)
	w.eval(`(() => {
		globalThis.took = null;
		let up = 0;
		addEventListener('pointerup', (e) => { up = e.timeStamp; }, true);
		quickthorn.store.listen((s, changed) => { if (changed.has('sheet') && up) { const from = up; up = 0; requestAnimationFrame(() => requestAnimationFrame(() => { globalThis.took = performance.now() - from; })); } });
		return 1;
	})()`, nil)
	w.eval(`quickthorn.store.do('select', { id: 'house-field' }) && 1`, nil)
	var ms []float64
	once := func() {
		w.settled()
		var corner [2]float64
		w.eval(`quickthorn.store.get().sheet.features.find((f) => f.id === 'house-field').geometry.coordinates[0][1]`, &corner)
		x, y := w.pixel(corner[0], corner[1])
		by := 12.0 - 24*float64(len(ms)%2)
		w.mouse(input.DispatchMouseEventTypeMouseMoved, x, y)
		w.mouse(input.DispatchMouseEventTypeMousePressed, x, y)
		for d := range 4 {
			w.mouse(input.DispatchMouseEventTypeMouseMoved, x+by*float64(d+1)/4, y)
		}
		w.until(`quickthorn.store.get().trial !== null`)
		w.eval(`(globalThis.took = null) ?? 1`, nil)
		w.mouse(input.DispatchMouseEventTypeMouseReleased, x+by, y)
		w.until(`globalThis.took !== null`)
		ms = append(ms, w.number(`globalThis.took`))
	}
	for b.Loop() {
		once()
	}
	for len(ms) < 40 {
		once()
	}
	b.ReportMetric(w.number(`quickthorn.store.get().sheet.plants.length`), "plants")
	percentiles(b, ms, "let-go")
}

// BenchmarkPagePan measures frames a second while the land is dragged by the mouse, with 5,000 plants shown (ours: the aim is 55 or
// more). The land goes to and fro over 200 pixels; each frame has a pointer event.
func BenchmarkPagePan(b *testing.B) {
	at, _ := serve(b, map[string][]byte{"demo": grown(b, 5000)})
	w := open(b, at, "/#demo", desk)
	w.until(`quickthorn.store.get().sheet`)
	x, y := w.pixel(w.number(`quickthorn.store.get().view.x`), w.number(`quickthorn.store.get().view.y`))
	w.mouse(input.DispatchMouseEventTypeMouseMoved, x, y)
	w.mouse(input.DispatchMouseEventTypeMousePressed, x, y)
	w.mouse(input.DispatchMouseEventTypeMouseMoved, x+8, y)
	w.until(`quickthorn.plan.classList.contains('panning')`)
	// Rings and stems of plants are arcs in the paths of the drawing.
	drawn := w.number(`[...document.querySelectorAll('#land .layer path')].reduce((n, e) => n + (e.getAttribute('d').match(/a/g)?.length ?? 0), 0)`)
	scale := w.number(`quickthorn.store.get().view.k`)
	var fps, worst []float64
	for b.Loop() {
		var r [2]float64
		w.eval(fmt.Sprintf(`new Promise((done) => {
			let n = 0, last = performance.now(), worst = 0;
			const t0 = last;
			const step = () => {
				const t = performance.now();
				worst = Math.max(worst, t - last);
				last = t;
				n++;
				const far = Math.abs(n %% 100 - 50) * 4;
				quickthorn.plan.dispatchEvent(new PointerEvent('pointermove', { bubbles: true, pointerId: 1, pointerType: 'mouse', isPrimary: true, buttons: 1, clientX: %[1]g + far, clientY: %[2]g }));
				if (t - t0 < 2000) requestAnimationFrame(step);
				else done([1000 * (n - 1) / (t - t0), worst]);
			};
			requestAnimationFrame(step);
		})`, x, y), &r)
		fps, worst = append(fps, r[0]), append(worst, r[1])
	}
	require.NotZero(b, w.number(`quickthorn.plan.classList.contains('panning') ? 1 : 0`))
	w.mouse(input.DispatchMouseEventTypeMouseReleased, x, y)
	b.ReportMetric(w.number(`quickthorn.store.get().sheet.plants.length`), "plants")
	b.ReportMetric(drawn, "arcs-drawn")
	b.ReportMetric(scale, "pixels/m")
	slices.Sort(fps)
	b.ReportMetric(fps[len(fps)/2], "frames/s")
	b.ReportMetric(slices.Max(worst), "longest-frame-ms")
}

// BenchmarkPageFirstDrawing measures from asking for the page to the first frame with the land on it, with nothing in the browser's cache.
func BenchmarkPageFirstDrawing(b *testing.B) {
	at, _ := serve(b, map[string][]byte{"demo": testdata.Demo})
	var ms []float64
	for b.Loop() {
		ms = append(ms, firstDrawing(b, at))
	}
	for len(ms) < 10 {
		ms = append(ms, firstDrawing(b, at))
	}
	percentiles(b, ms, "first-drawing")
}

func firstDrawing(b *testing.B, at string) float64 {
	b.Helper()
	w := blank(b, at, desk)
	_, err := chromedp.Call(w.ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: `new MutationObserver((all, me) => {
		if (!document.querySelector('#land .layer svg path')) return;
		me.disconnect();
		requestAnimationFrame(() => requestAnimationFrame(() => { globalThis.firstDrawn = performance.now(); }));
	}).observe(document, { childList: true, subtree: true });`})
	require.NoError(b, err)
	w.goTo(at + "/#demo")
	w.until(`globalThis.firstDrawn > 0`)
	ms := w.number(`globalThis.firstDrawn`)
	require.NoError(b, chromedp.Cancel(w.ctx))
	return ms
}

// BenchmarkPageYear measures, with 2,000 plants, from moving the years slider by one to the frame after the one in which the crowns were
// drawn anew (ours: at once, which is under 100 ms), and what the drawing itself takes of it.
func BenchmarkPageYear(b *testing.B) {
	at, _ := serve(b, map[string][]byte{"demo": grown(b, 2000)})
	w := open(b, at, "/#demo", desk)
	w.until(`quickthorn.store.get().sheet && document.querySelector('#year')`)
	var ms, drawn []float64
	once := func(year int) {
		var r [2]float64
		w.eval(fmt.Sprintf(`new Promise((done) => {
			const slider = document.querySelector('#year');
			const from = performance.now();
			slider.value = '%d';
			slider.dispatchEvent(new Event('input', { bubbles: true }));
			requestAnimationFrame(() => requestAnimationFrame(() => done([performance.now() - from, quickthorn.drawnMs])));
		})`, year), &r)
		ms, drawn = append(ms, r[0]), append(drawn, r[1])
	}
	for b.Loop() {
		once(len(ms) % 31)
	}
	for len(ms) < 31 {
		once(len(ms) % 31)
	}
	b.ReportMetric(w.number(`quickthorn.store.get().sheet.plants.length`), "plants")
	percentiles(b, ms, "year")
	slices.Sort(drawn)
	b.ReportMetric(drawn[len(drawn)/2], "drawing-median-ms")
}

// BenchmarkPageOverlay measures, on the demo, from moving the years slider by one to the overlay of that year on the sheet, the rest of 150 ms
// before it is asked for included (ours: the aim is a second). No year is asked for twice.
func BenchmarkPageOverlay(b *testing.B) {
	at, _ := serve(b, map[string][]byte{"demo": testdata.Demo})
	for _, which := range []string{"shelter", "light"} {
		b.Run(which, func(b *testing.B) {
			w := open(b, at, "/#demo", desk)
			w.until(`quickthorn.store.get().sheet`)
			w.eval(fmt.Sprintf(`quickthorn.store.do('year', 0) && quickthorn.store.do('shows', { field: %q }) && 1`, which), nil)
			w.until(`document.querySelector('#land .field:not(.stale)')`)
			var ms []float64
			for b.Loop() {
			}
			for year := 1; year <= 30; year++ {
				ms = append(ms, w.number(fmt.Sprintf(`new Promise((done) => {
					const from = performance.now();
					quickthorn.store.do('year', %d);
					const look = () => {
						if (document.querySelector('.field-legend b').textContent.includes('year %[1]d,') && document.querySelector('#land .field:not(.stale)')) done(performance.now() - from);
						else requestAnimationFrame(look);
					};
					requestAnimationFrame(look);
				})`, year)))
			}
			percentiles(b, ms, "overlay")
		})
	}
}
