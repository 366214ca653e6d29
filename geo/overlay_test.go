package geo

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestOverlays(t *testing.T) {
	//  10 +---------+
	//     |    +----|----+     a: 0..10, b: 5..15 east, 2..8 north
	//     |    |    |    |
	//     |    +----|----+
	//   0 +---------+
	a := orb.MultiPolygon{{box(0, 0, 10, 10)}}
	b := orb.MultiPolygon{{box(5, 2, 15, 8)}}
	holed := orb.MultiPolygon{{box(0, 0, 10, 10), box(4, 4, 6, 6)}}
	rows := []struct {
		name               string
		a, b               orb.MultiPolygon
		both, less, either float64
	}{
		// Elementary geometry: sums of rectangles.
		{"squares that overlap", a, b, 30, 70, 130},
		{"a hole keeps out", holed, b, 28, 68, 128},
		{"one within the other", a, orb.MultiPolygon{{box(1, 1, 2, 3)}}, 2, 98, 100},
		{"side by side", a, orb.MultiPolygon{{box(10, 0, 12, 10)}}, 0, 100, 120},
		{"apart", a, orb.MultiPolygon{{box(20, 0, 22, 10)}}, 0, 100, 120},
		{"in the hole", holed, orb.MultiPolygon{{box(4, 4, 6, 6)}}, 0, 96, 100},
		{"the same", a, a, 100, 0, 100},
		{"nothing", a, nil, 0, 100, 100},
		{"two parts", a, orb.MultiPolygon{{box(-1, -1, 1, 1)}, {box(9, 9, 11, 11)}}, 2, 98, 106},
	}
	for _, r := range rows {
		for _, tn := range turns {
			p, q := tn.multi(r.a), tn.multi(r.b)
			m, exact := OverlapArea(p, q)
			assert.True(t, exact)
			assert.InDelta(t, r.both, m, 1e-8, "%s, %s", r.name, tn.name)
			m, _ = OverlapArea(q, p)
			assert.InDelta(t, r.both, m, 1e-8, "%s, %s, the other way about", r.name, tn.name)
			for k, op := range []func(a, b orb.MultiPolygon) (orb.MultiPolygon, error){Intersection, Difference, Union} {
				g, err := op(p, q)
				require.NoError(t, err)
				assert.InDelta(t, []float64{r.both, r.less, r.either}[k], MultiArea(g), 1e-8, "%s, %s, operation %d", r.name, tn.name, k)
			}
		}
	}
}

func TestOverlapOfPartsThatOverlap(t *testing.T) {
	// Two wet patches drawn over each other count once.
	wet := orb.MultiPolygon{{box(0, 0, 6, 10)}, {box(4, 0, 8, 10)}}
	m, exact := OverlapArea(orb.MultiPolygon{{box(0, 0, 10, 10)}}, wet)
	assert.True(t, exact)
	assert.InDelta(t, 80, m, 1e-9)
}

// star is a valid, hollow ring about a centre.
func star(rng *rand.Rand, c orb.Point, size float64, n int) orb.Ring {
	var r orb.Ring
	for i := range n {
		u := Direction(-360 * (float64(i) + 0.9*rng.Float64()) / float64(n))
		d := size * (0.3 + 0.7*rng.Float64())
		r = append(r, orb.Point{c[0] + d*u[0], c[1] + d*u[1]})
	}
	return append(r, r[0])
}

func TestOverlapAreaAgainstSimplefeatures(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		a := orb.MultiPolygon{{star(rng, orb.Point{0, 0}, 100, 3+rng.IntN(20))}}
		b := orb.MultiPolygon{{star(rng, orb.Point{60, 30}, 100, 3+rng.IntN(20))}, {star(rng, orb.Point{-200, 0}, 90, 3+rng.IntN(20))}}
		got, exact := OverlapArea(a, b)
		require.True(t, exact)
		g, err := Intersection(a, b)
		require.NoError(t, err)
		assert.InDelta(t, MultiArea(g), got, 1e-6)
		u, err := Union(a, b)
		require.NoError(t, err)
		assert.InDelta(t, MultiArea(a)+MultiArea(b)-got, MultiArea(u), 1e-6, "both together, less what is shared")
		d, err := Difference(a, b)
		require.NoError(t, err)
		assert.InDelta(t, MultiArea(a)-got, MultiArea(d), 1e-6)
	})
}

func TestOverlapOfManyCorners(t *testing.T) {
	rng := rand.New(rand.NewPCG(61, 62))
	a := orb.MultiPolygon{{star(rng, orb.Point{0, 0}, 500, 20_000)}}
	b := orb.MultiPolygon{{star(rng, orb.Point{200, 100}, 500, 20_000)}}
	start := time.Now()
	m, exact := OverlapArea(a, b)
	t.Logf("two rings of 20,000 corners: %.1f m2, exact %v, %.2f s", m, exact, time.Since(start).Seconds())
	assert.Less(t, time.Since(start), 30*time.Second)
	// Every star holds a disc of 0.3 of its size and lies in one of its size.
	assert.Greater(t, m, lens(149, math.Hypot(200, 100)))
	assert.Less(t, m, lens(500, math.Hypot(200, 100)))
	small := orb.MultiPolygon{{star(rng, orb.Point{0, 0}, 500, 2_000)}}
	m, exact = OverlapArea(small, small)
	assert.True(t, exact)
	assert.InEpsilon(t, MultiArea(small), m, 1e-9)
	_, err := Intersection(a, b)
	assert.ErrorIs(t, err, ErrTooManyCorners)
}

// lens is the area common to two discs of radius r, d apart: standard geometry.
func lens(r, d float64) float64 {
	return 2*r*r*math.Acos(d/(2*r)) - d/2*math.Sqrt(4*r*r-d*d)
}

func TestOverlapSampledWhenTooDear(t *testing.T) {
	rng := rand.New(rand.NewPCG(63, 64))
	a := orb.MultiPolygon{{star(rng, orb.Point{0, 0}, 100, 200)}}
	b := orb.MultiPolygon{{star(rng, orb.Point{50, 20}, 100, 200)}}
	want, exact := OverlapArea(a, b)
	require.True(t, exact)
	for _, budget := range []int{0, 2000} {
		got, exact := overlapArea(a, b, budget)
		assert.False(t, exact, "a sampled answer says so")
		assert.InEpsilon(t, want, got, 0.005)
	}
}

func TestLineInside(t *testing.T) {
	//       +-----------+
	//  o----|---+---+---|----o    a line through a field with a pond:
	//       |   +---+   |         in from 5, the pond from 9 to 11, out at 15
	//       +-----------+
	field := orb.MultiPolygon{{box(5, -5, 15, 5), box(9, -1, 11, 1)}}
	rows := []struct {
		name string
		ls   orb.LineString
		mp   orb.MultiPolygon
		want []Span
	}{
		{"through", orb.LineString{{0, 0}, {20, 0}}, field, []Span{{5, 9}, {11, 15}}},
		{"through, with corners", orb.LineString{{0, 0}, {7, 0}, {7, 3}, {20, 3}}, field, []Span{{5, 18}}},
		{"outside", orb.LineString{{0, 9}, {20, 9}}, field, nil},
		{"inside", orb.LineString{{6, 2}, {14, 2}}, field, []Span{{0, 8}}},
		{"along the edge", orb.LineString{{0, 5}, {20, 5}}, field, []Span{{5, 15}}},
		{"along the pond's edge", orb.LineString{{0, 1}, {20, 1}}, field, []Span{{5, 15}}},
		{"touching a corner", orb.LineString{{0, 0}, {10, 10}}, field, nil},
		{"across a shared edge", orb.LineString{{0, 0}, {20, 0}}, orb.MultiPolygon{{box(2, -1, 8, 1)}, {box(8, -1, 12, 1)}}, []Span{{2, 12}}},
		{"no line", nil, field, nil},
		{"no ground", orb.LineString{{0, 0}, {20, 0}}, nil, nil},
	}
	for _, r := range rows {
		for _, tn := range turns {
			got := LineInside(tn.line(r.ls), tn.multi(r.mp))
			if !assert.Len(t, got, len(r.want), "%s, %s: %v", r.name, tn.name, got) {
				continue
			}
			for i, w := range r.want {
				g := got[i]
				if l := Length(r.ls); tn.reverse {
					g = Span{l - got[len(got)-1-i].To, l - got[len(got)-1-i].From}
				}
				assert.InDelta(t, w.From, g.From, 1e-9, "%s, %s", r.name, tn.name)
				assert.InDelta(t, w.To, g.To, 1e-9, "%s, %s", r.name, tn.name)
			}
		}
	}
}

func TestLineInsideAgainstSampling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		mp := orb.MultiPolygon{{star(rng, orb.Point{0, 0}, 100, 3+rng.IntN(30))}}
		var ls orb.LineString
		for range 2 + rng.IntN(8) {
			ls = append(ls, orb.Point{240*rng.Float64() - 120, 240*rng.Float64() - 120})
		}
		c := NewChain(ls)
		spans := LineInside(ls, mp)
		for range 200 {
			s := c.Length() * rng.Float64()
			in := false
			for _, sp := range spans {
				in = in || (s >= sp.From && s <= sp.To)
			}
			if p := c.At(s); NewRegion(mp).DistToEdge(p) > 1e-6 {
				require.Equal(t, Inside(mp[0], p), in, "chainage %g", s)
			}
		}
		assert.False(t, math.IsNaN(Length(ls)))
	})
}
