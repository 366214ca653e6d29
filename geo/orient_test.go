package geo

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	gogeom "github.com/twpayne/go-geom"
	"github.com/twpayne/go-geom/bigxy"
	"github.com/twpayne/go-geom/xy/orientation"
	"pgregory.net/rapid"
)

// The oracle is orientRational, which is the definition in rational numbers.

func TestOrientationIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		half := rapid.SampledFrom([]float64{1e4, 1e-150, 1e160}).Draw(t, "half")
		a, b := drawPoint(t, half, "a"), drawPoint(t, half, "b")
		s := rapid.Float64Range(-1, 2).Draw(t, "share")
		c := orb.Point{a[0] + s*(b[0]-a[0]), a[1] + s*(b[1]-a[1])}
		for range rapid.IntRange(0, 3).Draw(t, "steps") {
			k := rapid.IntRange(0, 1).Draw(t, "axis")
			c[k] = math.Nextafter(c[k], math.Inf(rapid.SampledFrom([]int{-1, 1}).Draw(t, "way")))
		}
		want := orientRational(a, b, c)
		assert.Equal(t, want, Orientation(a, b, c))
		assert.Equal(t, want, Orientation(b, c, a), "turned round")
		assert.Equal(t, -want, Orientation(b, a, c), "the other way")
	})
}

// TestOrientationOnALine takes points that floating point alone gets wrong: the
// grid of Kettner, Mehlhorn, Pion, Schirra and Yap, "Classroom examples of
// robustness problems in geometric computations", 2008: points near (0.5, 0.5)
// against the line through (12, 12) and (24, 24).
func TestOrientationOnALine(t *testing.T) {
	a, b := orb.Point{12, 12}, orb.Point{24, 24}
	step := math.Ldexp(1, -53)
	plain, library := 0, 0
	for i := range 64 {
		for j := range 64 {
			p := orb.Point{0.5 + float64(i)*step, 0.5 + float64(j)*step}
			want := sign(p[1] - p[0])
			assert.Equal(t, want, Orientation(a, b, p), "%d %d", i, j)
			if sign((b[0]-a[0])*(p[1]-a[1])-(b[1]-a[1])*(p[0]-a[0])) != want {
				plain++
			}
			lib := bigxy.OrientationIndex(gogeom.Coord{12, 12}, gogeom.Coord{24, 24}, gogeom.Coord{p[0], p[1]})
			if wantLib := map[int]orientation.Type{1: orientation.CounterClockwise, -1: orientation.Clockwise, 0: orientation.Collinear}[want]; lib != wantLib {
				library++
			}
		}
	}
	assert.Positive(t, plain, "the plain determinant must fail somewhere, or the grid is no test")
	t.Logf("wrong of 4096: plain determinant %d, go-geom bigxy %d, Orientation 0", plain, library)
}

func TestOnSegment(t *testing.T) {
	a, b := orb.Point{1, 1}, orb.Point{4, 3}
	for _, p := range []orb.Point{a, b, {2.5, 2}} {
		assert.True(t, OnSegment(p, a, b), "%v", p)
	}
	for _, p := range []orb.Point{{2.5, math.Nextafter(2, 3)}, {7, 5}, {-2, -1}, {4, 1}} {
		assert.False(t, OnSegment(p, a, b), "%v", p)
	}
}
