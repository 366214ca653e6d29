package lists

import (
	"fmt"
	"io"
	"testing"

	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

// crowd is a plan of n plants: half in hedges and belts, a quarter in orchards, a quarter single trees, in 25 fields.
func crowd(n int) *bench {
	b := newBench()
	b.holding.Browsing = []string{"rabbits", "roe", "voles"}
	for i := range 25 {
		b.land(parcelOf(fmt.Sprintf("field%02d", i), rect(float64(i%5)*200, float64(i/5)*200, 200, 200), "sheep"))
	}
	kinds := []*species.Species{hawthorn, blackthorn, holly, alder, beech}
	for i := 0; i < n/2; i += 500 {
		x, y := float64(i/500%5)*200, float64(i/2500%5)*200
		b.add(lineOf(fmt.Sprintf("hedge%04d", i/500), planner.KindHedge, &planner.Hedge{Rows: 2}, at(x, y), at(x+200, y)),
			hedge(at(x, y), at(x+200, y), 2, setout.UseHedge, of(300, hawthorn, whip), of(100, blackthorn, whip), of(100, holly, cell)))
	}
	for i := 0; i < n/4; i += 500 {
		l := &setout.Layout{SpacingM: 5, RowSpaceM: 5}
		for k := range 500 {
			l.Plants = append(l.Plants, setout.Plant{Row: k / 25, Number: k % 25, At: at(float64(k%25)*5+10, float64(k/25)*5+10), Name: "apple", Species: apple,
				Cultivar: fmt.Sprint("cultivar ", k%12), Rootstock: "MM106", Use: setout.UseOrchard, Stock: onem, Listed: true})
		}
		b.add(polygonOf(fmt.Sprintf("orchard%04d", i/500), planner.KindOrchard, &planner.Block{}, rect(5, 5, 140, 120)), l)
	}
	for i := range n / 4 {
		b.single(fmt.Sprintf("tree%06d", i), at(float64(i%997), float64(i/997%997)), kinds[i%5], whip)
	}
	return b
}

func BenchmarkMake(b *testing.B) {
	for _, n := range []int{2000, 10000, 100000} {
		p, s, out := crowd(n).plan()
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if l := Make(p, s, out, nil, nil); l.TotalPlants != out.Listed() {
					b.Fatal(l.TotalPlants)
				}
			}
		})
	}
}

func BenchmarkWrite(b *testing.B) {
	p, s, out := crowd(100000).plan()
	l := Make(p, s, out, nil, nil)
	for _, f := range Formats() {
		b.Run(f.Name, func(b *testing.B) {
			for b.Loop() {
				if err := f.Write(io.Discard, l, Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
