package geo

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func bound(x0, y0, x1, y1 float64) orb.Bound {
	return orb.Bound{Min: orb.Point{x0, y0}, Max: orb.Point{x1, y1}}
}

func countLattice(origin orb.Point, bearing, along, across, shift float64, b orb.Bound) (n int, rows map[int]int) {
	rows = map[int]int{}
	Lattice(origin, bearing, along, across, shift, b, func(row, _ int, _ orb.Point) { n++; rows[row]++ })
	return n, rows
}

func TestLatticeCountsInRectangles(t *testing.T) {
	//  triangle: s apart along the row, rows s*sqrt(3)/2 apart, odd rows moved s/2
	//    o   o   o   o
	//  o   o   o   o   o
	//    o   o   o   o
	//  o   o   o   o   o   first point in the corner, rows along w
	const source = "exact counts in a closed rectangle: floor(w/s)+1 to an even row, floor((w-s/2)/s)+1 to an odd one"
	rows := []struct {
		w, h, s          float64
		square, triangle int
		rows, even, odd  int
	}{
		{10, 10, 1, 121, 126, 12, 11, 10},
		{10, 10, 2, 36, 33, 6, 6, 5},
		{20, 10, 1.5, 98, 108, 8, 14, 13},
		{6, 3, 0.5, 91, 88, 7, 13, 12},
		{100, 50, 2.5, 861, 972, 24, 41, 40},
		{100, 100, 2, 2601, 2929, 58, 51, 50},
		{5, 4, 10, 1, 1, 1, 1, 0},
	}
	for _, r := range rows {
		// Rows run east; across is to the right of the bearing, so start north-west.
		n, _ := countLattice(orb.Point{0, r.h}, 90, r.s, r.s, 0, bound(0, 0, r.w, r.h))
		assert.Equal(t, r.square, n, "square %g x %g at %g: %s", r.w, r.h, r.s, source)
		n, per := countLattice(orb.Point{0, r.h}, 90, r.s, r.s*math.Sqrt(3)/2, r.s/2, bound(0, 0, r.w, r.h))
		assert.Equal(t, r.triangle, n, "triangle %g x %g at %g: %s", r.w, r.h, r.s, source)
		assert.Len(t, per, r.rows, source)
		assert.Equal(t, r.even, per[0], source)
		assert.Equal(t, r.odd, per[1], source)
		// The same rectangle on its side, rows running north.
		n, _ = countLattice(orb.Point{0, 0}, 0, r.s, r.s*math.Sqrt(3)/2, r.s/2, bound(0, 0, r.h, r.w))
		assert.Equal(t, r.triangle, n, "on its side")
	}
	n, _ := countLattice(orb.Point{0, 0}, 90, 0.3, 0.3, 0, bound(0, -3, 3, 0))
	assert.Equal(t, 121, n, "3/0.3 is 10 spaces, although 0.3 is no binary fraction")
}

func TestLatticePerHectare(t *testing.T) {
	const source = "1/s2 for squares, 2/(sqrt(3) s2) for triangles; standard geometry"
	rows := []struct{ s, square, triangle float64 }{
		{0.5, 40000, 46188.0}, {1, 10000, 11547.0}, {1.5, 4444.4, 5132.0}, {2, 2500, 2886.8}, {2.5, 1600, 1847.5},
		{3, 1111.1, 1283.0}, {4, 625, 721.7}, {5, 400, 461.9},
	}
	for _, r := range rows {
		// On a plot large against the spacing the count tends to the density. The
		// origin lies off the lattice lines of the box; 1000 spacings a side.
		side := 1000 * r.s
		b := bound(0, 0, side, side)
		n, _ := countLattice(orb.Point{0.3 * r.s, 0.4 * r.s}, 90, r.s, r.s, 0, b)
		assert.InEpsilon(t, r.square, float64(n)*1e4/(side*side), 2e-3, "square %g m: %s", r.s, source)
		n, _ = countLattice(orb.Point{0.3 * r.s, 0.4 * r.s}, 90, r.s, r.s*math.Sqrt(3)/2, r.s/2, b)
		assert.InEpsilon(t, r.triangle, float64(n)*1e4/(side*side), 2e-3, "triangle %g m: %s", r.s, source)
	}
}

func TestLatticeGivesEveryPointOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := drawPoint(t, 50, "origin")
		bearing := rapid.Float64Range(0, 360).Draw(t, "bearing")
		along := rapid.Float64Range(0.5, 8).Draw(t, "along")
		across := rapid.Float64Range(0.5, 8).Draw(t, "across")
		shift := rapid.SampledFrom([]float64{0, along / 2}).Draw(t, "shift")
		b := bound(-10, -20, 30, 15)
		u, v := Direction(bearing), Direction(bearing+90)
		got := map[[2]int]orb.Point{}
		lastRow, lastN := math.MinInt, math.MinInt
		Lattice(o, bearing, along, across, shift, b, func(row, n int, p orb.Point) {
			require.True(t, row > lastRow || (row == lastRow && n > lastN), "in order")
			lastRow, lastN = row, n
			got[[2]int{row, n}] = p
		})
		// The slow way: far more rows and points than can meet the box.
		const eps = 1e-8
		must, may := 0, 0
		for row := -250; row <= 250; row++ {
			for n := -250; n <= 250; n++ {
				s := float64(n) * along
				if row%2 != 0 {
					s += shift
				}
				p := orb.Point{o[0] + s*u[0] + float64(row)*across*v[0], o[1] + s*u[1] + float64(row)*across*v[1]}
				clear := min(p[0]-b.Min[0], b.Max[0]-p[0], p[1]-b.Min[1], b.Max[1]-p[1])
				if clear > -eps {
					may++
				}
				if clear < eps {
					continue
				}
				must++
				q, ok := got[[2]int{row, n}]
				require.True(t, ok, "row %d, point %d", row, n)
				near(t, p, q, 1e-9, "row %d, point %d", row, n)
			}
		}
		assert.True(t, must <= len(got) && len(got) <= may, "%d, from %d to %d", len(got), must, may)
	})
}

func TestLatticeRefuses(t *testing.T) {
	nan := math.NaN()
	for _, r := range []struct{ along, across, shift, bearing float64 }{
		{0, 1, 0, 0}, {1, 0, 0, 0}, {-1, 1, 0, 0}, {nan, 1, 0, 0}, {1, nan, 0, 0}, {1, 1, nan, 0}, {1, 1, 0, nan}, {1e-9, 1e-9, 0, 0},
	} {
		n, _ := countLattice(orb.Point{}, r.bearing, r.along, r.across, r.shift, bound(0, 0, 10, 10))
		assert.Zero(t, n, "%+v", r)
	}
	n, _ := countLattice(orb.Point{}, 0, 1, 1, 0, bound(1, 1, 0, 0))
	assert.Zero(t, n, "an empty box")
}

func TestScatter(t *testing.T) {
	//  a field with a pond in it, and a second part beside it
	mp := orb.MultiPolygon{
		{box(0, 0, 60, 40), box(20, 10, 40, 30)},
		{box(70, 0, 90, 20)},
	}
	r := NewRegion(mp)
	pts := Scatter(r, 1, 2, 42)
	right := 0
	for i, p := range pts {
		assert.True(t, r.ContainsBy(p, 1, 0), "point %v keeps the margin", p)
		if p[0] > 65 {
			right++
		}
		for _, q := range pts[:i] {
			require.GreaterOrEqual(t, Dist(p, q), 2.0)
		}
	}
	assert.Positive(t, right, "the part that stands by itself is sown too")
	// No room is left for a disc of twice the distance: a maximal sowing leaves
	// no place further than minDist from a point. Bridson's method comes near it.
	g := NewPoints(pts, 2)
	gaps, places := 0, 0
	Lattice(orb.Point{0, 0}, 0, 0.5, 0.5, 0, r.Box(), func(_, _ int, p orb.Point) {
		if r.ContainsBy(p, 1, 0) {
			places++
			if _, d := g.Nearest(p, -1); d > 2 {
				gaps++
			}
		}
	})
	assert.Less(t, float64(gaps), 0.01*float64(places), "%d of %d places are free", gaps, places)
	assert.Equal(t, pts, Scatter(r, 1, 2, 42), "the same seed, the same points")
	assert.NotEqual(t, pts, Scatter(r, 1, 2, 43), "another seed, others")
	assert.Empty(t, Scatter(r, 1, 0, 1))
	assert.Empty(t, Scatter(r, 1, math.NaN(), 1))
	assert.Empty(t, Scatter(NewRegion(nil), 1, 2, 1))
	assert.Empty(t, Scatter(r, 25, 2, 1), "the margin leaves no ground")
	assert.Empty(t, Scatter(r, 1, 1e-5, 1), "more points than are laid out")
}
