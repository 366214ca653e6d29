package geo

import (
	"bufio"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/paulmach/orb"
)

// sownField makes n points at random on 12 m2 each, with spreads of 1 to 6 m:
// the field of the spacing search's benchmark.
func sownField(n int) ([]orb.Point, []float64) {
	rng := rand.New(rand.NewPCG(1, 2))
	side := math.Sqrt(12 * float64(n))
	pts, reach := make([]orb.Point, n), make([]float64, n)
	for i := range pts {
		pts[i] = orb.Point{side * rng.Float64(), side * rng.Float64()}
		reach[i] = 1 + 5*rng.Float64()
	}
	return pts, reach
}

// BenchmarkPairs is the spacing search: every pair nearer than the mean of the
// two spreads. Set QUICKTHORN_FIELD to a file name to write the field of a
// million points as x,y,spread lines, so that another program can be timed on
// the same field.
func BenchmarkPairs(b *testing.B) {
	for _, n := range []int{1_000, 10_000, 100_000, 1_000_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			pts, reach := sownField(n)
			if name := os.Getenv("QUICKTHORN_FIELD"); name != "" && n == 1_000_000 {
				writeField(b, name, pts, reach)
			}
			b.ReportAllocs()
			pairs := 0
			for b.Loop() {
				pairs = 0
				Pairs(pts, reach, func(_, _ int, _ float64) { pairs++ })
			}
			b.ReportMetric(float64(pairs), "pairs")
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/point")
		})
	}
}

func writeField(b *testing.B, name string, pts []orb.Point, reach []float64) {
	f, err := os.Create(name)
	if err != nil {
		b.Fatal(err)
	}
	w := bufio.NewWriter(f)
	for i, p := range pts {
		fmt.Fprintf(w, "%.17g,%.17g,%.17g\n", p[0], p[1], reach[i])
	}
	if err := w.Flush(); err != nil {
		b.Fatal(err)
	}
	if err := f.Close(); err != nil {
		b.Fatal(err)
	}
}

// BenchmarkPairsMixed has one reach of 50 m for every thousand of 0.3 m, four
// plants to the square metre: hedges under a few old trees.
func BenchmarkPairsMixed(b *testing.B) {
	for _, n := range []int{1_000, 10_000, 100_000, 1_000_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			rng := rand.New(rand.NewPCG(3, 4))
			side := math.Sqrt(float64(n) / 4)
			pts, reach := make([]orb.Point, n), make([]float64, n)
			for i := range pts {
				pts[i] = orb.Point{side * rng.Float64(), side * rng.Float64()}
				reach[i] = 0.3
				if i%50_000 == 0 {
					reach[i] = 50
				}
			}
			for b.Loop() {
				Pairs(pts, reach, func(_, _ int, _ float64) {})
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/point")
		})
	}
}

func BenchmarkGridNearest(b *testing.B) {
	for _, n := range []int{1_000, 10_000, 100_000, 1_000_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			pts, _ := sownField(n)
			g := NewPoints(pts, 0)
			i := 0
			for b.Loop() {
				g.Nearest(pts[i%n], i%n)
				i++
			}
		})
	}
}

func BenchmarkSegmentsNearest(b *testing.B) {
	for _, n := range []int{1_000, 10_000, 100_000, 1_000_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			pts, reach := sownField(n)
			segs := make([]Segment, n)
			for i, p := range pts {
				u := Direction(60 * reach[i])
				segs[i] = Segment{A: p, B: orb.Point{p[0] + 5*u[0], p[1] + 5*u[1]}, Tag: i}
			}
			s := NewSegments(segs)
			i := 0
			for b.Loop() {
				s.Nearest(pts[(i*7919)%n])
				i++
			}
		})
	}
}

func BenchmarkValidatePolygon(b *testing.B) {
	for _, n := range []int{1_000, 10_000, 100_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			p := orb.Polygon{wheel(n / 2)}
			for b.Loop() {
				if f := ValidatePolygon(p); len(f) > 0 {
					b.Fatal(f)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/corner")
		})
	}
}

func BenchmarkOverlapArea(b *testing.B) {
	for _, n := range []int{100, 1_000, 5_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			p, q := orb.MultiPolygon{{ripple(n, 0)}}, orb.MultiPolygon{{ripple(n, 120)}}
			for b.Loop() {
				if _, exact := OverlapArea(p, q); !exact {
					b.Fatal("sampled")
				}
			}
		})
	}
}

// ripple is a round field of n corners with a wavy edge, moved east.
func ripple(n int, east float64) orb.Ring {
	var r orb.Ring
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		s, c := math.Sincos(a)
		d := 100 + 5*math.Sin(17*a)
		r = append(r, orb.Point{east + d*c, d * s})
	}
	return append(r, r[0])
}

// BenchmarkContains asks a field of 500 corners for points in and around it.
func BenchmarkContains(b *testing.B) {
	r := NewRegion(orb.MultiPolygon{{ripple(500, 0)}})
	i := 0
	for b.Loop() {
		u := Direction(float64(i))
		d := float64(i % 130)
		r.ContainsBy(orb.Point{d * u[0], d * u[1]}, 2, 0.02)
		i++
	}
}
