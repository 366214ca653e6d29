package geo

import (
	"fmt"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func rasterOf(nx int, cell float64, values ...float64) *Raster {
	return &Raster{Grid: Grid{Cell: cell, Nx: nx, Ny: len(values) / nx}, Values: values}
}

func TestBandsOfASlope(t *testing.T) {
	// Four cells of 10 m, middles at 5, 15, 25, 35 with 0, 10, 20, 30: the figure is x - 5, level for the outer 5 m.
	// 12 is reached at x = 17, 28 at x = 33 (hand geometry).
	bands := Bands(rasterOf(4, 10, 0, 10, 20, 30), []float64{0, 12, 28, 30})
	require.Len(t, bands, 3)
	for k, want := range []struct{ from, to, area, west, east float64 }{{0, 12, 170, 0, 17}, {12, 28, 160, 17, 33}, {28, 30, 70, 33, 40}} {
		b := bands[k]
		assert.Equal(t, []float64{want.from, want.to}, []float64{b.From, b.To})
		assert.InDelta(t, want.area, MultiArea(b.Polygons), 1e-3)
		box := b.Polygons.Bound()
		assert.InDelta(t, want.west, box.Min[0], 1e-4)
		assert.InDelta(t, want.east, box.Max[0], 1e-4)
		require.Len(t, b.Polygons, 1)
		require.Len(t, b.Polygons[0], 1)
		assert.Positive(t, RingArea(b.Polygons[0][0]), "outlines run anticlockwise")
	}
	assert.Len(t, bands[0].Polygons[0][0], 6, "four corners and the first again, and one where the line between bands passes the row's middle; none on the straight rim")
}

func TestBandsHaveHoles(t *testing.T) {
	// One high cell in nine of 1 m. Level 5 lies half way to each neighbour: a square on its tip with half diagonal 0.5.
	bands := Bands(rasterOf(3, 1, 0, 0, 0, 0, 10, 0, 0, 0, 0), []float64{0, 5, 10})
	require.Len(t, bands[0].Polygons, 1)
	require.Len(t, bands[0].Polygons[0], 2)
	assert.Negative(t, RingArea(bands[0].Polygons[0][1]), "holes run clockwise")
	assert.InDelta(t, 0.5, MultiArea(bands[1].Polygons), 1e-5)
	assert.InDelta(t, 8.5, MultiArea(bands[0].Polygons), 1e-5)
	assert.Len(t, bands[1].Polygons[0][0], 5)
}

func TestBandsAtASaddle(t *testing.T) {
	for _, row := range []struct {
		name   string
		values []float64
		pieces int
	}{
		{"the middle is low", []float64{10, 0, 0, 10}, 2}, // mean 5, level 6
		{"the middle is high", []float64{10, 4, 4, 10}, 1},
	} {
		b := Bands(rasterOf(2, 1, row.values...), []float64{0, 6, 10})
		assert.Len(t, b[1].Polygons, row.pieces, row.name)
		assertSound(t, b, 4)
	}
}

func TestBandsLeaveOutCellsWithoutAFigure(t *testing.T) {
	no := math.NaN()
	for _, row := range []struct {
		name          string
		nx            int
		values        []float64
		pieces, holes int
		area          float64
	}{
		{"one in the middle", 3, []float64{1, 1, 1, 1, no, 1, 1, 1, 1}, 1, 1, 8},
		{"two cells that touch at a corner", 2, []float64{1, no, no, 1}, 2, 0, 2},
		{"a hole that touches the outline", 3, []float64{1, 1, 1, 1, no, 1, no, 1, 1}, 1, 1, 7},
		{"another", 4, []float64{no, 1, 1, 1, 1, no, no, 1, 1, 1, 1, 1}, 1, 1, 9},
		{"pieces that touch at corners all round a hole", 4, []float64{no, no, 1, 1, no, 1, no, 1, 1, no, 1, no, 1, 1, no, no}, 4, 0, 8},
		{"none at all", 2, []float64{no, no}, 0, 0, 0},
		{"a single cell", 1, []float64{1}, 1, 0, 1},
	} {
		b := Bands(rasterOf(row.nx, 1, row.values...), []float64{0, 2})
		assertSound(t, b, row.area)
		assert.Len(t, b[0].Polygons, row.pieces, row.name)
		holes := 0
		for _, p := range b[0].Polygons {
			holes += len(p) - 1
		}
		assert.Equal(t, row.holes, holes, row.name)
	}
}

func TestBandsOfOddEdges(t *testing.T) {
	r := rasterOf(2, 1, 0, 100)
	assert.Nil(t, Bands(r, nil))
	assert.Nil(t, Bands(r, []float64{5}))
	assert.Nil(t, Bands(r, []float64{5, 5, math.NaN()}))
	assertSound(t, Bands(r, []float64{100, 0, 50, 50}), 2)
	beyond := Bands(r, []float64{40, 60})
	assert.InDelta(t, 0.2, MultiArea(beyond[0].Polygons), 1e-5, "only what lies between the edges")
	assert.Len(t, Bands(&Raster{}, []float64{0, 1}), 1)
	assertSound(t, Bands(rasterOf(2, 1, -math.MaxFloat64, math.MaxFloat64), []float64{-math.MaxFloat64, 0, 1, math.MaxFloat64}), 2)
}

// assertSound holds bands to be valid, each and all together, to fill the area, and to have their rings the right way round.
func assertSound(t require.TestingT, bands []Band, area float64) {
	sum := 0.0
	var all orb.MultiPolygon
	for _, b := range bands {
		require.Empty(t, ValidateMultiPolygon(b.Polygons), "band %g to %g", b.From, b.To)
		sum += MultiArea(b.Polygons)
		for _, p := range b.Polygons {
			for k, r := range p {
				require.Equal(t, k == 0, RingArea(r) > 0, "ring %d of band %g to %g", k, b.From, b.To)
			}
		}
		all = append(all, b.Polygons...)
	}
	require.InDelta(t, area, sum, 1e-9*(1+area))
	for _, f := range ValidateMultiPolygon(all) { // sharing an edge is what bands do; crossing is not
		require.NotEqual(t, RingsCross, f.Kind, "%v", f)
		require.NotEqual(t, SelfCrossing, f.Kind, "%v", f)
	}
}

func TestBandsFillTheGrid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nx, ny := rapid.IntRange(1, 9).Draw(t, "nx"), rapid.IntRange(1, 9).Draw(t, "ny")
		g := Grid{Min: orb.Point{rapid.Float64Range(-5000, 5000).Draw(t, "x"), rapid.Float64Range(-5000, 5000).Draw(t, "y")},
			Cell: rapid.SampledFrom([]float64{0.25, 1, 7}).Draw(t, "cell"), Nx: nx, Ny: ny}
		r := NewRaster(g)
		some := rapid.OneOf(rapid.Float64Range(0, 100), rapid.SampledFrom([]float64{0, 20, 40, 60, 80, 100}))
		if rapid.Bool().Draw(t, "holes") {
			some = rapid.OneOf(some, rapid.Just(math.NaN()))
		}
		cells := 0.0
		for i := range r.Values {
			if r.Values[i] = some.Draw(t, "value"); !math.IsNaN(r.Values[i]) {
				cells++
			}
		}
		edges := rapid.SampledFrom([][]float64{{0, 20, 40, 60, 80, 100}, {0, 100}, {0, 40, 40.000001, 100}, {-1, 0, 99.9999999999, 100}}).Draw(t, "edges")
		bands := Bands(r, edges)
		assertSound(t, bands, cells*g.Cell*g.Cell)
		for j := range ny {
			for i := range nx {
				v := r.At(i, j)
				for k, b := range bands {
					own := v >= b.From && (v < b.To || k == len(bands)-1)
					require.Equal(t, own, NewRegion(b.Polygons).Contains(g.Middle(i, j)), "cell %d,%d of %v and band %g to %g", i, j, v, b.From, b.To)
				}
			}
		}
	})
}

func BenchmarkBands(b *testing.B) {
	for _, n := range []int{200, 400} {
		for _, name := range []string{"", "some cells without"} {
			r := NewRaster(Grid{Cell: 1, Nx: n, Ny: n})
			for i := range r.Values {
				x, y := float64(i%n)/float64(n), float64(i/n)/float64(n)
				r.Values[i] = 50 + 25*math.Sin(9*x+3*y) + 25*math.Cos(7*y*x)
				if name != "" && x+y < 0.4 {
					r.Values[i] = math.NaN()
				}
			}
			b.Run(fmt.Sprintf("%d cells %s", n*n, name), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					Bands(r, []float64{0, 20, 40, 60, 80, 100})
				}
			})
		}
	}
}
