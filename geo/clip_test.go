package geo

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// waves is a field of many small bands.
func waves(n int) []Band {
	r := &Raster{Grid: Grid{Cell: 1, Nx: n, Ny: n}, Values: make([]float64, n*n)}
	for j := range n {
		for i := range n {
			x, y := float64(i), float64(j)
			r.Values[j*n+i] = 50 + 40*math.Sin(x/7)*math.Cos(y/9+x/31) + 5*math.Sin(x*y)
		}
	}
	return Bands(r, []float64{0, 20, 40, 60, 80, 100})
}

// A skewed field with a pond in it, in a square of n metres.
func skewed(n float64) orb.MultiPolygon {
	return orb.MultiPolygon{{
		{{2.3, 1.7}, {n - 3.3, 4.2}, {n - 1.2, n - 2.6}, {n / 2, n - 9}, {3.1, n - 4}, {2.3, 1.7}},
		{{n / 3, n / 3}, {n / 3, n / 2.2}, {n / 2.5, n / 2.1}, {n / 3, n / 3}},
	}}
}

// Clipped bands fill the land and nothing else: source: area of the land (geometry), and the general overlay where it takes the size.
func TestClipFillsTheLand(t *testing.T) {
	for _, n := range []int{40, 100, 200} {
		land := skewed(float64(n))
		region, sum := NewRegion(land), 0.0
		for _, b := range waves(n) {
			got, err := Clip(b.Polygons, land)
			require.NoError(t, err)
			sum += MultiArea(got)
			if want, err := Intersection(b.Polygons, land); err == nil {
				assert.InDelta(t, MultiArea(want), MultiArea(got), 1e-6)
			}
			for _, p := range got {
				for _, r := range p {
					for _, at := range r {
						assert.True(t, region.Contains(at) || region.DistToEdge(at) < 1e-6, "%v lies outside the land", at)
					}
				}
			}
		}
		assert.InDelta(t, MultiArea(land), sum, 1e-4, "%d m", n)
	}
}

func TestClipOfOddGrounds(t *testing.T) {
	box := func(x, y, w, h float64) orb.Polygon {
		return orb.Polygon{{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}, {x, y}}}
	}
	land := orb.MultiPolygon{box(0, 0, 10, 10), box(20, 0, 10, 10)}
	for name, c := range map[string]struct {
		fine orb.MultiPolygon
		area float64
	}{
		"nothing":             {nil, 0},
		"wholly inside":       {orb.MultiPolygon{box(2, 2, 3, 3)}, 9},
		"wholly outside":      {orb.MultiPolygon{box(12, 2, 3, 3)}, 0},
		"round the land":      {orb.MultiPolygon{box(-5, -5, 100, 100)}, 200},
		"over both fields":    {orb.MultiPolygon{box(5, 2, 20, 4)}, 40},
		"along the edge":      {orb.MultiPolygon{box(0, 0, 10, 5)}, 50},
		"touches from beyond": {orb.MultiPolygon{box(10, 0, 5, 5)}, 0},
	} {
		got, err := Clip(c.fine, land)
		require.NoError(t, err, name)
		assert.InDelta(t, c.area, MultiArea(got), 1e-6, name)
	}
	many := make(orb.Ring, 0, MaxOverlay+2)
	for i := range MaxOverlay + 2 {
		a := 2 * math.Pi * float64(i) / (MaxOverlay + 1)
		many = append(many, orb.Point{math.Cos(a), math.Sin(a)})
	}
	_, err := Clip(orb.MultiPolygon{box(0, 0, 1, 1)}, orb.MultiPolygon{{many}})
	assert.ErrorIs(t, err, ErrTooManyCorners)
}

func BenchmarkClip(b *testing.B) {
	bands, land := waves(200), skewed(200)
	for b.Loop() {
		for _, x := range bands {
			if _, err := Clip(x.Polygons, land); err != nil {
				b.Fatal(err)
			}
		}
	}
}
