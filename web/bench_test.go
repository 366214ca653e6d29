package web

import (
	"fmt"
	"net/http"
	"slices"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// grow puts a grove beside the demo, so that 2,000 plants and more are to be planted.
func grow(t testing.TB, p *place) {
	t.Helper()
	p.edit("demo", `{"metres":true,"put":[{"type":"Feature","id":"new-grove","properties":{"kind":"grove","pattern":"square","spacing_m":2,"bearing_deg":0,
		"mix":[{"species":"downy birch","share_percent":50},{"species":"hazel","share_percent":50}]},
		"geometry":{"type":"Polygon","coordinates":[[[150,0],[192,0],[192,42],[150,42],[150,0]]]}}]}`)
	require.GreaterOrEqual(t, p.sheetOf("demo").Planned, 2000)
}

// spent is the processor time of this process so far, on all cores: it does not depend on what else the machine is at.
func spent(b *testing.B) time.Duration {
	b.Helper()
	var u syscall.Rusage
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// measured runs f so often and reports the median and the 95th percentile.
func measured(b *testing.B, f func(i int)) {
	var took []time.Duration
	i := 0
	before := spent(b)
	for b.Loop() {
		start := time.Now()
		f(i)
		took = append(took, time.Since(start))
		i++
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "ms-median")
	b.ReportMetric(float64(took[len(took)*95/100].Microseconds())/1000, "ms-95th")
	b.ReportMetric(float64((spent(b)-before).Microseconds())/1000/float64(i), "ms-of-processor")
}

// What letting go of a corner costs on the server: one edit, saved, with the new sheet.
func BenchmarkEditWithSheet(b *testing.B) {
	p := serve(b, Options{})
	grow(b, p)
	tag := p.tag("demo")
	measured(b, func(i int) {
		body := `{"metres":true,"put":[` + hedge("bench", -40, -60, 30+float64(i%50)/10, -60) + `]}`
		tag = p.ask("POST", "/holdings/demo/edits?sheet=1&year=0", body, "If-Match", tag).is(http.StatusOK).tag()
	})
}

func BenchmarkTrial(b *testing.B) {
	p := serve(b, Options{})
	grow(b, p)
	measured(b, func(i int) {
		p.ask("POST", "/holdings/demo/trial?year=0", `{"metres":true,"put":[`+hedge("bench", -40, -60, 30+float64(i%50)/10, -60)+`]}`).is(http.StatusOK)
	})
}

func BenchmarkSheet(b *testing.B) {
	p := serve(b, Options{})
	grow(b, p)
	measured(b, func(int) { p.ask("GET", "/holdings/demo/sheet", nil).is(http.StatusOK) })
}

func BenchmarkSheetOfAnotherYear(b *testing.B) {
	p := serve(b, Options{})
	grow(b, p)
	measured(b, func(i int) {
		p.ask("GET", fmt.Sprintf("/holdings/demo/sheet?year=%d", i%30), nil).is(http.StatusOK)
	})
}

func BenchmarkUnchanged(b *testing.B) {
	p := serve(b, Options{})
	tag := p.tag("demo")
	measured(b, func(int) {
		p.ask("GET", "/holdings/demo/sheet", nil, "If-None-Match", tag).is(http.StatusNotModified)
	})
}
