package geo

import (
	"math"
	"testing"
	"time"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestParallelOfDrawnLines(t *testing.T) {
	long := 100.0
	rows := []struct {
		name    string
		ls      orb.LineString
		d       float64
		want    orb.LineString
		trimmed bool
	}{
		//  ============   parallel
		//  ------------>  line
		{"straight", orb.LineString{{0, 0}, {long, 0}}, 2, orb.LineString{{0, 2}, {long, 2}}, false},
		{"straight, corners on it dropped", orb.LineString{{0, 0}, {40, 0}, {long, 0}}, 2, orb.LineString{{0, 2}, {long, 2}}, false},
		{"no offset", orb.LineString{{0, 0}, {5, 0}, {5, 5}}, 0, orb.LineString{{0, 0}, {5, 0}, {5, 5}}, false},
		//        |  ^        inside of a right angle: mitred inward
		//   =====+  |
		//   --------+
		{"inside of a corner", orb.LineString{{0, 0}, {10, 0}, {10, 10}}, 2, orb.LineString{{0, 2}, {8, 2}, {8, 10}}, false},
		{"outside of a corner", orb.LineString{{0, 0}, {10, 0}, {10, 10}}, -2, orb.LineString{{0, -2}, {12, -2}, {12, 10}}, false},
		// Interior angle of 60 degrees: the mitre is 2 d from the corner (1/sin 30).
		{"outside of 60 degrees", orb.LineString{{-10, 0}, {0, 0}, {-5, 5 * math.Sqrt(3)}}, -1,
			orb.LineString{{-10, -1}, {math.Sqrt(3), -1}, {-5 + math.Sqrt(3)/2, 5*math.Sqrt(3) + 0.5}}, false},
		//   |  ======  ^     a bay as wide as twice the offset or less has no parallel
		//   |  |    |  |     inside but its ends
		//   +----------+
		{"inside of a U, wide enough", orb.LineString{{0, 10}, {0, 0}, {6, 0}, {6, 10}}, 2, orb.LineString{{2, 10}, {2, 2}, {4, 2}, {4, 10}}, false},
		{"inside of a U, too narrow", orb.LineString{{0, 10}, {0, 0}, {3, 0}, {3, 10}}, 2, nil, true},
		// A notch narrower than twice the offset is passed by:
		//  =======\/=======    its walls' parallels would cross
		//  -----+    +----->
		//       |    |
		//       +----+
		{"over a narrow notch", orb.LineString{{0, 0}, {10, 0}, {10, -5}, {12, -5}, {12, 0}, {30, 0}}, 2,
			orb.LineString{{0, 2}, {30, 2}}, true},
		// A chamfer shorter than the offset needs: the long sides meet instead.
		{"short chamfer inside", orb.LineString{{0, 0}, {9, 0}, {10, 1}, {10, 10}}, 4, orb.LineString{{0, 4}, {6, 4}, {6, 10}}, true},
	}
	for _, r := range rows {
		for _, tn := range turns {
			given := tn.line(r.ls)
			got, trimmed := Parallel(given, r.d*tn.left())
			want := tn.line(r.want)
			if !assert.Len(t, got, len(want), "%s, %s: %v", r.name, tn.name, got) {
				continue
			}
			for i := range want {
				near(t, want[i], got[i], 1e-4, "%s, %s", r.name, tn.name)
			}
			assert.Equal(t, r.trimmed, trimmed, "%s, %s", r.name, tn.name)
			assert.Equal(t, tn.line(r.ls), given, "the line is not altered")
		}
	}
}

func TestParallelMitreIsLimited(t *testing.T) {
	// Mitre over offset is 1/sin(half the interior angle); SVG's default limit of
	// 4 is reached at 28.96 degrees.
	for _, angle := range []float64{5, 15, 28, 29.5, 45, 60, 90, 150} {
		u := Direction(270 + angle)
		ls := orb.LineString{{-300, 0}, {0, 0}, {300 * u[0], 300 * u[1]}}
		got, trimmed := Parallel(ls, -1)
		assert.False(t, trimmed, "%g degrees", angle)
		far := 0.0
		for _, p := range got[1 : len(got)-1] {
			far = max(far, Dist(p, orb.Point{}))
		}
		if angle > 28.96 {
			assert.InDelta(t, 1/math.Sin(angle*math.Pi/360), far, 1e-9, "%g degrees: standard geometry", angle)
			assert.Len(t, got, 3)
		} else {
			assert.Len(t, got, 4, "%g degrees: cut square", angle)
			m := lerp(got[1], got[2], 0.5)
			assert.InDelta(t, 4, Dist(m, orb.Point{}), 1e-9, "%g degrees: cut at the limit", angle)
		}
		requireSoundParallel(t, ls, -1, got)
	}
}

func TestStripBetweenParallels(t *testing.T) {
	// A strip of half-width w with mitred joins and flat ends has an area of
	// exactly 2wL while nothing overlaps: 40.0000 m2 for two legs of 10 m and w =
	// 1 m. Standard geometry.
	l, _ := Parallel(elbow, 1)
	r, _ := Parallel(elbow, -1)
	ring := orb.Ring(append(orb.LineString{}, r...))
	for i := len(l) - 1; i >= 0; i-- {
		ring = append(ring, l[i])
	}
	assert.InDelta(t, 40.0000, RingArea(append(ring, ring[0])), 1e-9)
	// Bevelled, the same strip has 39.5 m2: the mitre's outer triangle is missing.
	assert.InDelta(t, 0.5, 0.5*Dist(r[1], orb.Point{10, -1})*Dist(r[1], orb.Point{11, 0}), 1e-9)
}

// requireSoundParallel checks what every parallel must keep: no nearer than |d|
// to the line, on the right side, never crossing itself.
func requireSoundParallel(t require.TestingT, ls orb.LineString, d float64, got orb.LineString) {
	c := NewChain(ls)
	for i := 1; i < len(got); i++ {
		for k := range 9 {
			p := lerp(got[i-1], got[i], float64(k)/8)
			_, _, dist := c.Project(p)
			require.GreaterOrEqual(t, dist, math.Abs(d)-2e-3, "%v of %v", p, got)
		}
		for j := i + 2; j < len(got); j++ {
			_, meets := segmentsMeet(got[i-1], got[i], got[j-1], got[j])
			require.False(t, meets, "pieces %d and %d of %v", i, j, got)
		}
	}
}

func TestParallelProperties(t *testing.T) {
	kept := 0
	rapid.Check(t, func(t *rapid.T) {
		var ls orb.LineString
		p := orb.Point{}
		b := 0.0
		for range rapid.IntRange(2, 15).Draw(t, "corners") {
			ls = append(ls, p)
			b += rapid.Float64Range(-170, 170).Draw(t, "turn")
			u := Direction(b)
			s := rapid.Float64Range(0.01, 60).Draw(t, "leg")
			p = orb.Point{p[0] + s*u[0], p[1] + s*u[1]}
		}
		d := rapid.Float64Range(-8, 8).Draw(t, "d")
		if math.Abs(d) < 0.01 {
			return
		}
		got, trimmed := Parallel(ls, d)
		if got == nil {
			require.True(t, trimmed)
			return
		}
		kept++
		requireSoundParallel(t, ls, d, got)
		if !trimmed {
			require.InDelta(t, 0, Dist(got[0], NewChain(ls).Offset(0, d)), 1e-9, "whole: it begins beside the start")
		}
	})
	assert.Positive(t, kept)
}

func TestParallelOfCurves(t *testing.T) {
	// An arc of radius 50 m in 1-degree steps: inside at 20 m the length is that
	// of the 30 m arc; inside at 60 m, beyond the centre, nothing is left.
	var arc orb.LineString
	for a := 0; a <= 180; a++ {
		s, c := math.Sincos(float64(a) * math.Pi / 180)
		arc = append(arc, orb.Point{50 * c, 50 * s})
	}
	l, trimmed := Parallel(arc, 20)
	assert.False(t, trimmed)
	// 179 corners of 1 degree, each of which takes 2 d tan(half a degree).
	turn := 179 * 2 * math.Tan(math.Pi/360)
	assert.InDelta(t, Length(arc)-20*turn, Length(l), 1e-6, "standard geometry")
	l, trimmed = Parallel(arc, -20)
	assert.False(t, trimmed)
	assert.InDelta(t, Length(arc)+20*turn, Length(l), 1e-6, "standard geometry")
	l, trimmed = Parallel(arc, 60)
	assert.True(t, trimmed)
	assert.Nil(t, l)
}

func TestParallelOfLongLines(t *testing.T) {
	// A spiral of 20,000 corners, 3 m from turn to turn: the parallel at 1 m keeps
	// nearly all of its length, and a slow curve keeps its shape.
	var ls orb.LineString
	for i := range 20_000 {
		a := float64(i) / 100
		s, c := math.Sincos(a)
		r := 20 + 3*a/(2*math.Pi)
		ls = append(ls, orb.Point{r * c, r * s})
	}
	for _, d := range []float64{1, -1} {
		start := time.Now()
		got, trimmed := Parallel(ls, d)
		assert.False(t, trimmed)
		assert.InEpsilon(t, Length(ls)-d*199.99, Length(got), 1e-3, "length L - turn x d, standard geometry")
		assert.Less(t, time.Since(start), 30*time.Second)
	}
	got, trimmed := Parallel(ls, 1.6)
	assert.True(t, trimmed, "more than half way to the next turn")
	assert.Less(t, Length(got), 0.2*Length(ls))
}
