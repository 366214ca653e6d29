package planner

import (
	"bytes"
	"fmt"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// peakMemory is the most memory that the program held from the system while f ran, beyond what it held before, in bytes.
func peakMemory(f func()) uint64 {
	held := func() uint64 {
		s := []metrics.Sample{{Name: "/memory/classes/total:bytes"}, {Name: "/memory/classes/heap/released:bytes"}}
		metrics.Read(s)
		return s[0].Value.Uint64() - s[1].Value.Uint64()
	}
	runtime.GC()
	debug.FreeOSMemory()
	before := held()
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

// A file at the limit of 50 MB, whatever it is made of, is read in less than ten times its size of memory, the file itself
// counted. In short tests the file has 10 MB.
func TestReadMemory(t *testing.T) {
	size := DefaultMaxBytes
	if testing.Short() {
		size = 10 << 20
	}
	// repeated is head, then part as often as fits, with commas between, then tail. part sees its number.
	repeated := func(head, tail string, part func(i int) string) func() []byte {
		return func() []byte {
			var b bytes.Buffer
			b.Grow(size)
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
	for _, c := range []struct {
		name    string
		text    func() []byte
		refused string
	}{
		{"small plants", repeated(open, shut, func(i int) string {
			return fmt.Sprintf(`{"type":"Feature","id":%d,"properties":{"kind":"plant","species":"oak"},"geometry":{"type":"Point","coordinates":[-2.6,54.%d]}}`, i, 2000+i%100)
		}), ""},
		{"small plants without ids", repeated(open, shut, always(`{"type":"Feature","properties":{"kind":"plant","species":"oak"},"geometry":{"type":"Point","coordinates":[-2.6,54.2]}}`)), ""},
		{"hedges with everything wrong", repeated(open, shut, func(i int) string {
			return fmt.Sprintf(`{"type":"Feature","id":%d,"properties":{"kind":"hedge",%s},"geometry":{"type":"LineString","coordinates":[[-2.6,54.2],[-2.59,54.2]]}}`, i, wrong)
		}), ""},
		{"rings to mend", repeated(open, shut, func(i int) string {
			return fmt.Sprintf(`{"type":"Feature","id":%d,"properties":{"kind":"building"},"geometry":{"type":"Polygon","coordinates":[[[0,0],[0,0],[0,1e-3],[1e-3,0]]]}}`, i)
		}), ""},
		{"as many features as there may be", repeated(open, shut, func(i int) string {
			if i >= maxFeatures {
				return fmt.Sprintf(`{"type":"Feature","properties":{"x":"%s"}}`, strings.Repeat("x", size)) // ends the list
			}
			return `{"type":"Feature"}`
		}), ""},
		{"too many features", repeated(open, shut, always(`0`)), "at most 500000 are read"},
		{"lines as long as they may be", repeated(open, shut, func(i int) string {
			return fmt.Sprintf(`{"type":"Feature","id":%d,"properties":{"kind":"drain"},"geometry":{"type":"LineString","coordinates":[%s[0,0]]}}`, i, strings.Repeat(`[0,0],[0,.1],`[:6]+`[0,1e-2],`, 45_000))
		}), ""},
		{"one line too long", repeated(open+`{"type":"Feature","properties":{"kind":"drain"},"geometry":{"type":"LineString","coordinates":[`, `]}}`+shut, always(`[0,1]`)), ""},
		{"one hedge of short parts", repeated(open+`{"type":"Feature","properties":{"kind":"hedge"},"geometry":{"type":"MultiLineString","coordinates":[`, `]}}`+shut, always(`[[0,1]]`)), ""},
		{"one multipolygon of nothing", repeated(open+`{"type":"Feature","properties":{"kind":"parcel"},"geometry":{"type":"MultiPolygon","coordinates":[`, `]}}`+shut, always(`[]`)), ""},
		{"one multipolygon of empty rings", repeated(open+`{"type":"Feature","properties":{"kind":"parcel"},"geometry":{"type":"MultiPolygon","coordinates":[`, `]}}`+shut, always(`[[]]`)), ""},
		{"one long sward", repeated(open+`{"type":"Feature","geometry":null,"properties":{"kind":"parcel","sward":[`, `]}}`+shut, always(`"a"`)), ""},
		{"many swards", repeated(open, shut, func(i int) string {
			return fmt.Sprintf(`{"type":"Feature","id":%d,"geometry":null,"properties":{"kind":"parcel","sward":[%s"a"]}}`, i, strings.Repeat(`"ab",`, 999))
		}), ""},
		{"many belts", repeated(open, shut, func(i int) string {
			return fmt.Sprintf(`{"type":"Feature","id":%d,"geometry":null,"properties":{"kind":"windbreak","rows":[%s{"species":"ab"}]}}`, i, strings.Repeat(`{"species":"ab"},`, 999))
		}), ""},
		{"unknown properties", repeated(open+`{"type":"Feature","geometry":null,"properties":{`, `}}`+shut, always(`"a":0`)), ""},
		{"unknown kinds", repeated(open, shut, func(i int) string { return fmt.Sprintf(`{"type":"Feature","properties":{"kind":"kind of thing %d", "more": "%s"}}`, i, strings.Repeat("x", 40)) }), ""},
		{"members of the collection", repeated(`{"type":"FeatureCollection","features":[],`, `}`, always(`"features":[]`)), ""},
		{"accepted findings", repeated(`{"type":"FeatureCollection","features":[],"holding":{"accepted":[`, `]}}`, always(`{"key":"a"}`)), ""},
		{"limits", repeated(`{"type":"FeatureCollection","features":[],"holding":{"limits":{`, `}}}`, func(i int) string { return fmt.Sprintf(`"%d":{"a":1}`, i) }), ""},
		{"deep nesting", repeated("", "", always(`[`)), "A value should stand here"},
		{"deeper nesting", func() []byte { return bytes.Repeat([]byte("["), size) }, "more than 100 deep"},
		{"nested as deep as may be", repeated(open+`{"type":"Feature","geometry":null,"properties":{"a":[`, `]}}`+shut, always(strings.Repeat("[", 90)+strings.Repeat("]", 90))), ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			var length int
			var seconds float64
			peak := peakMemory(func() {
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
			assert.Less(t, float64(peak), 10*float64(size))
		})
	}
}
