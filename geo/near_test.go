package geo

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

type gotPair struct {
	i, j int
	d    float64
}

func allPairs(pts []orb.Point, reach []float64) []gotPair {
	var out []gotPair
	Pairs(pts, reach, func(i, j int, d float64) { out = append(out, gotPair{i, j, d}) })
	return out
}

// brutePairs compares every point with every other.
func brutePairs(pts []orb.Point, reach []float64) []gotPair {
	var out []gotPair
	for i := range pts {
		for j := i + 1; j < len(pts); j++ {
			dx, dy := pts[j][0]-pts[i][0], pts[j][1]-pts[i][1]
			m := max(0, reach[i])/2 + max(0, reach[j])/2
			if d2 := dx*dx + dy*dy; d2 < m*m {
				out = append(out, gotPair{i, j, math.Sqrt(d2)})
			}
		}
	}
	return out
}

func sortPairs(p []gotPair) []gotPair {
	slices.SortFunc(p, func(a, b gotPair) int { return cmp.Or(cmp.Compare(a.i, b.i), cmp.Compare(a.j, b.j)) })
	return p
}

func TestPairsOnARow(t *testing.T) {
	//  0   1   2       3        reach 2 each: neighbours 1 m apart meet,
	//  o---o---o-------o        2 m apart do not (exactly the mean is not less)
	pts := []orb.Point{{0, 0}, {1, 0}, {2, 0}, {4, 0}}
	reach := []float64{2, 2, 2, 2}
	assert.Equal(t, []gotPair{{0, 1, 1}, {1, 2, 1}}, sortPairs(allPairs(pts, reach)))
	reach[3] = 2.5 // 2 m to plant 2, and the mean is 2.25
	assert.Equal(t, []gotPair{{0, 1, 1}, {1, 2, 1}, {2, 3, 2}}, sortPairs(allPairs(pts, reach)))
	reach[3] = 100
	assert.Len(t, allPairs(pts, reach), 5, "one reach of 100 m takes in the whole row")
}

func TestPairsOfLittle(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	assert.Empty(t, allPairs(nil, nil))
	assert.Empty(t, allPairs([]orb.Point{{0, 0}}, []float64{5}))
	assert.Empty(t, allPairs([]orb.Point{{0, 0}, {0, 0}}, []float64{0, 0}), "0 is not less than 0")
	assert.Len(t, allPairs([]orb.Point{{0, 0}, {0, 0}}, []float64{0, 1}), 1)
	assert.Len(t, allPairs([]orb.Point{{0, 0}, {0.4, 0}}, []float64{-1, 1}), 1, "a reach below 0 counts as 0")
	assert.Empty(t, allPairs([]orb.Point{{0, 0}, {nan, 0}, {inf, 0}, {0, 0}, {0, 0}}, []float64{1, 1, 1, nan, inf}))
}

func TestPairsAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 120).Draw(t, "n")
		half := rapid.SampledFrom([]float64{1, 20, 300}).Draw(t, "half")
		pts, reach := make([]orb.Point, n), make([]float64, n)
		for i := range pts {
			switch rapid.IntRange(0, 9).Draw(t, "kind") {
			case 0: // far outlier: the sparse grid
				pts[i] = drawPoint(t, 1e6, "far")
			case 1, 2: // on a lattice: repeats and exact distances
				pts[i] = drawGridPoint(t, 10, "lattice")
			default:
				pts[i] = drawPoint(t, half, "near")
			}
			reach[i] = rapid.SampledFrom([]float64{0, 0.3, 0.3, 1, 2, 3.3, 6, 50}).Draw(t, "reach")
		}
		assert.Equal(t, brutePairs(pts, reach), sortPairs(allPairs(pts, reach)))
	})
}

func TestPairsLargeAndInOrder(t *testing.T) {
	// Enough points for several tasks and goroutines.
	rng := rand.New(rand.NewPCG(5, 6))
	n := 30_000
	pts, reach := make([]orb.Point, n), make([]float64, n)
	for i := range pts {
		pts[i] = orb.Point{600 * rng.Float64(), 600 * rng.Float64()}
		reach[i] = []float64{0.3, 1, 3, 6}[i%4]
		if i%10_000 == 0 {
			reach[i] = 50
		}
	}
	first := allPairs(pts, reach)
	for range 3 {
		require.Equal(t, first, allPairs(pts, reach), "the same order every time")
	}
	g := NewPoints(pts, 6)
	var want []gotPair
	for i, p := range pts {
		g.Within(p, reach[i]/2+25, func(j int, d float64) bool {
			if i < j && d < (reach[i]+reach[j])/2 {
				want = append(want, gotPair{i, j, d})
			}
			return true
		})
	}
	got := sortPairs(first)
	require.Len(t, got, len(sortPairs(want)))
	for k := range got {
		require.Equal(t, [2]int{want[k].i, want[k].j}, [2]int{got[k].i, got[k].j})
	}
}

func TestPairsStopsWhenTheCallerPanics(t *testing.T) {
	pts, reach := sownField(40_000)
	assert.Panics(t, func() { Pairs(pts, reach, func(_, _ int, _ float64) { panic("enough") }) })
}

func TestGridAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 80).Draw(t, "n")
		pts := make([]orb.Point, n)
		for i := range pts {
			if rapid.IntRange(0, 15).Draw(t, "kind") == 0 {
				pts[i] = drawPoint(t, 1e6, "far")
			} else {
				pts[i] = drawGridPoint(t, 30, "near")
			}
		}
		g := NewPoints(pts, rapid.SampledFrom([]float64{0, 0.5, 3, 100}).Draw(t, "cell"))
		p := drawPoint(t, rapid.SampledFrom([]float64{40, 2e6}).Draw(t, "where"), "place")
		r := rapid.SampledFrom([]float64{0, 1, 7.5, 100, 1e7}).Draw(t, "r")
		var want, got []int
		bi, bd := -1, math.Inf(1)
		skip := rapid.IntRange(-1, n).Draw(t, "skip")
		for i, q := range pts {
			d := Dist(p, q)
			if d <= r {
				want = append(want, i)
			}
			if i != skip && d < bd {
				bi, bd = i, d
			}
		}
		g.Within(p, r, func(i int, d float64) bool {
			assert.Equal(t, Dist(p, pts[i]), d)
			got = append(got, i)
			return true
		})
		slices.Sort(got)
		assert.Equal(t, want, got)
		i, d := g.Nearest(p, skip)
		assert.Equal(t, bd, d)
		assert.Equal(t, bi, i, "the lowest of those as near")
	})
}

func TestGridWithinStops(t *testing.T) {
	g := NewPoints([]orb.Point{{0, 0}, {1, 0}, {2, 0}}, 1)
	calls := 0
	g.Within(orb.Point{1, 0}, 5, func(int, float64) bool { calls++; return false })
	assert.Equal(t, 1, calls)
}

func drawSegments(t *rapid.T, n int) []Segment {
	segs := make([]Segment, n)
	for i := range segs {
		a := drawGridPoint(t, 40, "a")
		b := drawGridPoint(t, 40, "b")
		switch rapid.IntRange(0, 19).Draw(t, "kind") {
		case 0:
			b = drawPoint(t, 1e6, "far")
		case 1:
			b = a
		}
		segs[i] = Segment{A: a, B: b, Tag: 100 + i}
	}
	return segs
}

func TestSegmentsAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		segs := drawSegments(t, rapid.IntRange(0, 50).Draw(t, "n"))
		s := NewSegments(segs)
		p := drawPoint(t, rapid.SampledFrom([]float64{50, 2e6}).Draw(t, "where"), "place")
		r := rapid.SampledFrom([]float64{0, 1, 7.5, 100, 1e7}).Draw(t, "r")
		var want, got []int
		bi, bd := -1, math.Inf(1)
		for i, g := range segs {
			d, _ := DistToSegment(p, g.A, g.B)
			if d <= r {
				want = append(want, i)
			}
			if d < bd {
				bi, bd = i, d
			}
		}
		s.Within(p, r, func(i int, _ float64) bool { got = append(got, i); return true })
		assert.Equal(t, want, got, "each once, ascending")
		i, d := s.Nearest(p)
		assert.Equal(t, bd, d)
		assert.Equal(t, bi, i)
		if i >= 0 {
			assert.Equal(t, 100+i, s.At(i).Tag)
		}
		a, b := drawGridPoint(t, 40, "from"), drawGridPoint(t, 40, "to")
		seen := map[int]bool{}
		s.Crossing(a, b, func(i int) { seen[i] = true })
		for i, g := range segs {
			if _, meets := segmentsMeet(a, b, g.A, g.B); meets {
				assert.True(t, seen[i], "segment %d crosses and must be a candidate", i)
			}
		}
	})
}

func TestSegmentsLeavesOutWhatIsNotFinite(t *testing.T) {
	s := NewSegments([]Segment{{A: orb.Point{math.NaN(), 0}}, {A: orb.Point{0, 0}, B: orb.Point{math.Inf(1), 0}}, {A: orb.Point{1, 1}, B: orb.Point{2, 1}}})
	i, d := s.Nearest(orb.Point{0, 0})
	assert.Equal(t, 2, i)
	assert.InDelta(t, math.Sqrt2, d, 1e-12)
	i, d = NewSegments(nil).Nearest(orb.Point{0, 0})
	assert.Equal(t, -1, i)
	assert.True(t, math.IsInf(d, 1))
}

// Segments meet where their ends touch, where they cross, and where they lie on each other; not where only their boxes overlap.
func TestSegmentMeets(t *testing.T) {
	seg := func(ax, ay, bx, by float64) Segment { return Segment{A: orb.Point{ax, ay}, B: orb.Point{bx, by}} }
	for _, c := range []struct {
		name string
		s, t Segment
		want bool
	}{
		{"cross", seg(0, 0, 2, 2), seg(0, 2, 2, 0), true},
		{"end on end", seg(0, 0, 1, 1), seg(1, 1, 2, 0), true},
		{"end on the middle", seg(0, 0, 2, 0), seg(1, 0, 1, 1), true},
		{"one on the other", seg(0, 0, 3, 3), seg(1, 1, 2, 2), true},
		{"in line, apart", seg(0, 0, 1, 1), seg(2, 2, 3, 3), false},
		{"parallel", seg(0, 0, 2, 2), seg(0, 1, 2, 3), false},
		{"boxes overlap", seg(0, 0, 4, 4), seg(3, 0, 4, 1), false},
		{"a point on it", seg(1, 1, 1, 1), seg(0, 0, 2, 2), true},
		{"a point beside it", seg(1, 1.0000001, 1, 1.0000001), seg(0, 0, 2, 2), false},
	} {
		require.Equal(t, c.want, c.s.Meets(c.t), c.name)
		require.Equal(t, c.want, c.t.Meets(c.s), c.name)
	}
}
