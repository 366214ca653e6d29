package journey

import (
	"fmt"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quickthorn/testdata"
)

// grown is the demo holding with one grove more, laid out beside it, of about so many trees.
func grown(b *testing.B, trees int) []byte {
	b.Helper()
	// At 2.5 m a triangle holds one tree on 5.4 m2.
	side := 0.0000001
	for (side*111000)*(side*65000)/5.41 < float64(trees) {
		side += 0.00001
	}
	x, y := -2.5815, 53.9851
	grove := fmt.Sprintf(`{"type": "Feature", "id": "big-grove", "properties": {"kind": "grove", "species": "hazel", "spacing_m": 2.5, "bearing_deg": 90}, "geometry": {"type": "Polygon", "coordinates": [[[%[1]f, %[2]f], [%[3]f, %[2]f], [%[3]f, %[4]f], [%[1]f, %[4]f], [%[1]f, %[2]f]]]}},`, x, y, x+side, y+side)
	return []byte(strings.Replace(string(testdata.Demo), `"features": [`, `"features": [`+grove, 1))
}

// percentiles reports the median and the 95th percentile of a list of milliseconds.
func percentiles(b *testing.B, ms []float64, name string) {
	sort.Float64s(ms)
	b.ReportMetric(ms[len(ms)/2], name+"-median-ms")
	b.ReportMetric(ms[len(ms)*95/100], name+"-p95-ms")
}

// BenchmarkPageLetGo measures from letting go of a thing to the redrawn sheet with its findings, with 2,000 plants.
func BenchmarkPageLetGo(b *testing.B) {
	at, _ := serve(b, map[string][]byte{"demo": grown(b, 480)})
	w := open(b, at, "/#demo", desk)
	w.until(`quickthorn.store.get().sheet`)
	b.ReportMetric(w.number(`quickthorn.store.get().sheet.plants.length`), "plants")
	const once = `new Promise((done) => { const s = quickthorn.store.get(); const f = s.sheet.features.find((f) => f.id === 'shed'); const ring = f.geometry.coordinates[0].map(([x, y]) => [x + 0.1, y]); const t0 = performance.now(); const stop = quickthorn.store.listen((now, changed) => { if (!changed.has('sheet')) return; stop(); requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now() - t0))); }); quickthorn.sync.edit({ note: 'Moved', put: [{ type: 'Feature', id: 'shed', properties: f.properties, geometry: { type: 'Polygon', coordinates: [ring] } }], delete: [] }); })`
	var ms []float64
	for b.Loop() {
		ms = append(ms, w.number(once))
	}
	for len(ms) < 40 {
		ms = append(ms, w.number(once))
	}
	percentiles(b, ms, "let-go")
}

// BenchmarkPagePan measures frames a second while panning with 5,000 plants shown.
func BenchmarkPagePan(b *testing.B) {
	at, _ := serve(b, map[string][]byte{"demo": grown(b, 3500)})
	w := open(b, at, "/#demo", desk)
	w.until(`quickthorn.store.get().sheet`)
	b.ReportMetric(w.number(`quickthorn.store.get().sheet.plants.length`), "plants")
	w.eval(`quickthorn.store.do('view', { k: 3, x: 150, y: 110 }) && 1`, nil)
	var fps []float64
	for b.Loop() {
		fps = append(fps, w.number(`new Promise((done) => { let n = 0; const t0 = performance.now(); const step = () => { const s = quickthorn.store.get(); quickthorn.store.do('view', { x: s.view.x + (n % 120 < 60 ? 1 : -1) }); n++; const t = performance.now() - t0; if (t < 2000) requestAnimationFrame(step); else done(1000 * n / t); }; requestAnimationFrame(step); })`))
	}
	sort.Float64s(fps)
	b.ReportMetric(fps[len(fps)/2], "frames/s")
}

// BenchmarkPageFirstDrawing measures from asking for the page to the drawn sheet.
func BenchmarkPageFirstDrawing(b *testing.B) {
	at, _ := serve(b, map[string][]byte{"demo": testdata.Demo})
	var ms []float64
	for b.Loop() {
		w := open(b, at, "/#demo", desk)
		w.until(`document.querySelector('#land svg path, #land svg g')`)
		v := w.number(`performance.getEntriesByName('drawn')[0]?.startTime ?? performance.now()`)
		require.Positive(b, v)
		ms = append(ms, v)
	}
	percentiles(b, ms, "first-drawing")
}
