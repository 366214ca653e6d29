package planner

import (
	"bytes"
	"fmt"
	"math"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// peakMemory is the most memory that the program held from the system while f ran, beyond what it held before, in bytes. As on a
// machine that has no more than bound to give, garbage is collected in time for it, also where other tests keep the processors busy;
// what is in use is held all the same.
func peakMemory(bound float64, f func()) uint64 {
	held := func() uint64 {
		s := []metrics.Sample{{Name: "/memory/classes/total:bytes"}, {Name: "/memory/classes/heap/released:bytes"}}
		metrics.Read(s)
		return s[0].Value.Uint64() - s[1].Value.Uint64()
	}
	runtime.GC()
	debug.FreeOSMemory()
	before := held()
	defer debug.SetMemoryLimit(debug.SetMemoryLimit(int64(before) + int64(0.9*bound)))
	var peak atomic.Uint64
	done := make(chan struct{})
	stopped := make(chan struct{})
	go func() {
		defer close(stopped)
		tick := time.NewTicker(2 * time.Millisecond)
		defer tick.Stop()
		for {
			peak.Store(max(peak.Load(), held()))
			select {
			case <-tick.C:
			case <-done:
				peak.Store(max(peak.Load(), held()))
				return
			}
		}
	}()
	f()
	close(done)
	<-stopped
	return peak.Load() - min(before, peak.Load())
}

// large makes features of one ring of nearly as many positions as there may be.
func large(kind string, at func(k, n int) (x, y float64)) func(int) string {
	const n = maxPositions - 10
	var b strings.Builder
	for k := range n {
		x, y := at(k, n)
		fmt.Fprintf(&b, "[%.7f,%.7f],", x, y)
	}
	x, y := at(0, n)
	ring := fmt.Sprintf("%s[%.7f,%.7f]", b.String(), x, y)
	return func(i int) string {
		return fmt.Sprintf(`{"type":"Feature","id":%d,"properties":{"kind":%q},"geometry":{"type":"Polygon","coordinates":[[%s]]}}`, i, kind, ring)
	}
}

// A file at the limit of 50 MB, whatever it is made of, is read in less than ten times its size of memory, the file itself
// counted. Those whose memory grows with their size alone have 10 MB here, and a tenth of the bound on top for what is fixed.
func TestReadMemory(t *testing.T) {
	size := 0 // of the case in hand
	// repeated is head, then part as often as fits, with commas between, then tail. part sees its number.
	repeated := func(head, tail string, part func(i int) string) func() []byte {
		return func() []byte {
			b := bytes.NewBuffer(make([]byte, 0, size))
			b.WriteString(head)
			for i := 0; ; i++ {
				s := part(i)
				if b.Len()+len(s)+len(tail)+1 > size {
					break
				}
				if i > 0 {
					b.WriteByte(',')
				}
				b.WriteString(s)
			}
			b.WriteString(tail)
			return b.Bytes()
		}
	}
	always := func(s string) func(int) string { return func(int) string { return s } }
	const open, shut = `{"type":"FeatureCollection","features":[`, `]}`
	wrong := `"rows":0,"row_gap_m":0,"per_metre":0,"stock":0,"height_m":0,"width_m":0,"base_m":-1,"raised_m":-1,"tree_mix":0,"fill_mix":0,"manage":0,"last_cut":0,"cut_in":0,"not_in":0,"name":0,"notes":0,"status":0,"planted":0`
	const whole, part = DefaultMaxBytes, DefaultMaxBytes / 5
	for _, c := range []struct {
		name    string
		size    int
		text    func() []byte
		refused string
	}{
		{"small plants", whole, repeated(open, shut, func(i int) string {
			return fmt.Sprintf(`{"type":"Feature","id":%d,"properties":{"kind":"plant","species":"oak"},"geometry":{"type":"Point","coordinates":[-2.6,54.%d]}}`, i, 2000+i%100)
		}), ""},
		{"small plants without ids", part, repeated(open, shut, always(`{"type":"Feature","properties":{"kind":"plant","species":"oak"},"geometry":{"type":"Point","coordinates":[-2.6,54.2]}}`)), ""},
		{"hedges with everything wrong", whole, repeated(open, shut, func(i int) string {
			return fmt.Sprintf(`{"type":"Feature","id":%d,"properties":{"kind":"hedge",%s},"geometry":{"type":"LineString","coordinates":[[-2.6,54.2],[-2.59,54.2]]}}`, i, wrong)
		}), ""},
		{"rings to mend", whole, repeated(open, shut, func(i int) string {
			return fmt.Sprintf(`{"type":"Feature","id":%d,"properties":{"kind":"building"},"geometry":{"type":"Polygon","coordinates":[[[0,0],[0,0],[0,1e-3],[1e-3,0]]]}}`, i)
		}), ""},
		{"as many features as there may be", whole, repeated(open, shut, func(i int) string {
			if i >= maxFeatures {
				return fmt.Sprintf(`{"type":"Feature","properties":{"x":"%s"}}`, strings.Repeat("x", size)) // ends the list
			}
			return `{"type":"Feature"}`
		}), ""},
		{"too many features", whole, repeated(open, shut, always(`0`)), "at most 500000 are read"},
		{"lines as long as they may be", whole, repeated(open, shut, func(i int) string {
			return fmt.Sprintf(`{"type":"Feature","id":%d,"properties":{"kind":"drain"},"geometry":{"type":"LineString","coordinates":[%s[0,0]]}}`, i, strings.Repeat(`[0,0],[0,1e-2],`, 45_000))
		}), ""},
		{"parcels as large as they may be", whole, repeated(open, shut, large("parcel", func(k, n int) (float64, float64) {
			a := 2 * math.Pi * float64(k) / float64(n)
			r := 0.01 * (1 + 0.01*math.Cos(a*float64(n/4)))
			return r * math.Cos(a), r * math.Sin(a)
		})), ""},
		{"scribbles as large as they may be", part, repeated(open, shut, large("parcel", func(k, n int) (float64, float64) {
			a := 2 * math.Pi * float64(k) * 0.381966
			return 0.01 * math.Cos(a), 0.01 * math.Sin(a)
		})), ""},
		{"one line too long", part, repeated(open+`{"type":"Feature","properties":{"kind":"drain"},"geometry":{"type":"LineString","coordinates":[`, `]}}`+shut, always(`[0,1]`)), ""},
		{"one hedge of short parts", part, repeated(open+`{"type":"Feature","properties":{"kind":"hedge"},"geometry":{"type":"MultiLineString","coordinates":[`, `]}}`+shut, always(`[[0,1]]`)), ""},
		{"one multipolygon of nothing", part, repeated(open+`{"type":"Feature","properties":{"kind":"parcel"},"geometry":{"type":"MultiPolygon","coordinates":[`, `]}}`+shut, always(`[]`)), ""},
		{"one multipolygon of empty rings", part, repeated(open+`{"type":"Feature","properties":{"kind":"parcel"},"geometry":{"type":"MultiPolygon","coordinates":[`, `]}}`+shut, always(`[[]]`)), ""},
		{"one long sward", part, repeated(open+`{"type":"Feature","geometry":null,"properties":{"kind":"parcel","sward":[`, `]}}`+shut, always(`"a"`)), ""},
		{"many swards", part, repeated(open, shut, func(i int) string {
			return fmt.Sprintf(`{"type":"Feature","id":%d,"geometry":null,"properties":{"kind":"parcel","sward":[%s"a"]}}`, i, strings.Repeat(`"ab",`, 999))
		}), ""},
		{"many belts", part, repeated(open, shut, func(i int) string {
			return fmt.Sprintf(`{"type":"Feature","id":%d,"geometry":null,"properties":{"kind":"windbreak","rows":[%s{"species":"ab"}]}}`, i, strings.Repeat(`{"species":"ab"},`, 999))
		}), ""},
		{"unknown properties", part, repeated(open+`{"type":"Feature","geometry":null,"properties":{`, `}}`+shut, always(`"a":0`)), ""},
		{"unknown kinds", part, repeated(open, shut, func(i int) string {
			return fmt.Sprintf(`{"type":"Feature","properties":{"kind":"kind of thing %d", "more": "%s"}}`, i, strings.Repeat("x", 40))
		}), ""},
		{"members of the collection", part, repeated(`{"type":"FeatureCollection","features":[],`, `}`, always(`"features":[]`)), ""},
		{"accepted findings", part, repeated(`{"type":"FeatureCollection","features":[],"holding":{"accepted":[`, `]}}`, always(`{"key":"a"}`)), ""},
		{"limits", part, repeated(`{"type":"FeatureCollection","features":[],"holding":{"limits":{`, `}}}`, func(i int) string { return fmt.Sprintf(`"%d":{"a":1}`, i) }), ""},
		{"deep nesting", part, repeated("", "", always(`[`)), "A value should stand here"},
		{"deeper nesting", whole, func() []byte { return bytes.Repeat([]byte("["), size) }, "more than 100 deep"},
		{"nested as deep as may be", part, repeated(open+`{"type":"Feature","geometry":null,"properties":{"a":[`, `]}}`+shut, always(strings.Repeat("[", 90)+strings.Repeat("]", 90))), ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			size = c.size
			var length int
			var seconds float64
			bound := 10*float64(size) + float64(whole-size)/4
			peak := peakMemory(bound, func() {
				data := c.text()
				length = len(data)
				start := time.Now()
				p, err := Read(data, ReadOptions{})
				seconds = time.Since(start).Seconds()
				if c.refused != "" {
					assert.ErrorContains(t, err, c.refused)
				} else if assert.NoError(t, err) {
					runtime.KeepAlive(p)
				}
			})
			t.Logf("%.1f MB, %.1f times its size, %.2f s", float64(length)/(1<<20), float64(peak)/float64(length), seconds)
			assert.Less(t, float64(peak), bound)
		})
	}
}
