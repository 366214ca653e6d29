package report

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// holdingOf draws a holding of about so many plants: hedges round its fields, windbreaks, orchards and groves of 1,000 plants
// and less, single trees, a road, wires, a stream and a house, over as much land as that takes.
func holdingOf(tb testing.TB, plants int) []byte {
	tb.Helper()
	frame, err := geo.NewFrame(orb.Point{-2.585, 53.985})
	if err != nil {
		tb.Fatal(err)
	}
	var b strings.Builder
	b.WriteString(`{"type":"FeatureCollection","holding":{"name":"bench","rule_set":"england","planting_winter":2026,"origin":[-2.585,53.985]},"features":[` + "\n")
	first := true
	add := func(id, props, kind string, coords string) {
		if !first {
			b.WriteString(",\n")
		}
		first = false
		fmt.Fprintf(&b, `{"type":"Feature","id":%q,"properties":%s,"geometry":{"type":%q,"coordinates":%s}}`, id, props, kind, coords)
	}
	at := func(x, y float64) string {
		p := frame.ToLonLat(orb.Point{x, y})
		return fmt.Sprintf("[%.9f,%.9f]", p[0], p[1])
	}
	rect := func(x, y, w, h float64) string {
		return "[[" + strings.Join([]string{at(x, y), at(x+w, y), at(x+w, y+h), at(x, y+h), at(x, y)}, ",") + "]]"
	}
	line := func(x, y, x2, y2 float64) string { return "[" + at(x, y) + "," + at(x2, y2) + "]" }
	// One block of land of 160 x 160 m holds about 1,000 plants.
	blocks := max(1, plants/1000)
	across := int(math.Ceil(math.Sqrt(float64(blocks))))
	for i := range blocks {
		x, y := float64(i%across)*170, float64(i/across)*170
		id := func(s string) string { return fmt.Sprintf("%s-%04d", s, i) }
		add(id("field"), `{"kind":"parcel","moisture":"damp","soil":"clay","grazed_by":["sheep"]}`, "Polygon", rect(x, y, 160, 160))
		add(id("wet"), `{"kind":"ground","moisture":"wet"}`, "Polygon", rect(x, y, 160, 30))
		add(id("hedge"), `{"kind":"hedge","mix":[{"species":"hawthorn","share_percent":60},{"species":"blackthorn","share_percent":20},{"species":"hazel","share_percent":20}]}`, "LineString", line(x, y+1, x+80, y+1))
		add(id("belt"), `{"kind":"windbreak","rows":[{"species":"hawthorn","spacing_m":1.5},{"species":"common alder","spacing_m":1.5}]}`, "LineString", line(x+6, y+40, x+6, y+150))
		add(id("orchard"), `{"kind":"orchard","spacing_m":5,"bearing_deg":0,"trees":[{"species":"apple","cultivar":"James Grieve","rootstock":"MM106","share_percent":50},{"species":"apple","cultivar":"Egremont Russet","rootstock":"MM106","share_percent":50}]}`, "Polygon", rect(x+20, y+110, 40, 40))
		add(id("grove"), `{"kind":"grove","spacing_m":2.5,"bearing_deg":90,"mix":[{"species":"grey willow","share_percent":60},{"species":"downy birch","share_percent":40}]}`, "Polygon", rect(x+80, y+10, 45, 30))
		add(id("tree"), `{"kind":"plant","species":"pedunculate oak"}`, "Point", at(x+120, y+120))
		add(id("house"), `{"kind":"building","dwelling":true}`, "Polygon", rect(x+140, y+140, 10, 8))
		add(id("wires"), `{"kind":"overhead_line","voltage_kv":11}`, "LineString", line(x, y+165, x+165, y+160))
		add(id("drain"), `{"kind":"drain"}`, "LineString", line(x+130, y+20, x+130, y+120))
	}
	b.WriteString("\n]}")
	return []byte(b.String())
}

func benchCheck(b *testing.B, data []byte) {
	engine, err := NewEngine()
	if err != nil {
		b.Fatal(err)
	}
	var plants int
	var peak uint64
	b.ReportAllocs()
	b.ResetTimer()
	for b.Loop() {
		r, err := engine.Build(context.Background(), data, Options{File: "bench"})
		if err != nil {
			b.Fatal(err)
		}
		plants = r.Out.Listed()
		b.StopTimer()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		peak = max(peak, m.Sys)
		b.StartTimer()
	}
	b.ReportMetric(float64(plants), "plants")
	b.ReportMetric(float64(peak)/1e6, "MB-from-system")
}

func BenchmarkCheckDemo(b *testing.B) { benchCheck(b, demo(b, "demo.geojson")) }

func BenchmarkCheck(b *testing.B) {
	for _, n := range []int{1000, 10_000, 100_000} {
		data := holdingOf(b, n)
		b.Run(fmt.Sprintf("%d", n), func(b *testing.B) { benchCheck(b, data) })
	}
}

// BenchmarkStages tells where the time of a large holding goes.
func BenchmarkStages(b *testing.B) {
	data := holdingOf(b, 100_000)
	engine, err := NewEngine()
	if err != nil {
		b.Fatal(err)
	}
	r, err := engine.Read(data, Options{})
	if err != nil {
		b.Fatal(err)
	}
	if err := r.SetOut(context.Background()); err != nil {
		b.Fatal(err)
	}
	b.Run("read", func(b *testing.B) {
		for b.Loop() {
			if _, err := planner.Read(data, planner.ReadOptions{}); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("set-out", func(b *testing.B) {
		for b.Loop() {
			if err := r.SetOut(context.Background()); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("check", func(b *testing.B) {
		for b.Loop() {
			if err := r.Check(context.Background()); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("list", func(b *testing.B) {
		for b.Loop() {
			r.List()
		}
	})
}
