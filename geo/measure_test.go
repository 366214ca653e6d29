package geo

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestAreaPerimeterCentroid(t *testing.T) {
	//  10 +---------+        10 +---------+       10 +---+
	//     |         |           |  +---+  |          |   |
	//     |         |           |  |   |  |        4 |   +-----+
	//     |         |           |  +---+  |          |         |
	//   0 +---------+         0 +---------+        0 +---------+
	//     0        10           0        10          0   4    10
	square := orb.Polygon{box(0, 0, 10, 10)}
	holed := orb.Polygon{box(0, 0, 10, 10), box(3, 2, 5, 4)}
	ell := orb.Polygon{{{0, 0}, {10, 0}, {10, 4}, {4, 4}, {4, 10}, {0, 10}, {0, 0}}}
	open := orb.Polygon{{{0, 0}, {10, 0}, {10, 10}, {0, 10}}}
	rows := []struct {
		name            string
		p               orb.Polygon
		area, perimeter float64
		centre          orb.Point
	}{
		// Elementary geometry: sums of rectangles.
		{"square", square, 100, 40, orb.Point{5, 5}},
		{"square with a hole", holed, 96, 48, orb.Point{(500 - 16) / 96.0, (500 - 12) / 96.0}},
		{"L", ell, 64, 40, orb.Point{(40*5 + 24*2) / 64.0, (40*2 + 24*7) / 64.0}},
		{"open ring, taken as closed", open, 100, 40, orb.Point{5, 5}},
		{"line there and back", orb.Polygon{{{0, 0}, {4, 0}, {0, 0}}}, 0, 8, orb.Point{2, 0}},
		{"one place", orb.Polygon{{{3, 4}, {3, 4}}}, 0, 0, orb.Point{3, 4}},
		{"nothing", orb.Polygon{}, 0, 0, orb.Point{}},
	}
	for _, r := range rows {
		for _, tn := range turns {
			p := tn.polygon(r.p)
			assert.InDelta(t, r.area, Area(p), 1e-9, "%s, %s", r.name, tn.name)
			assert.InDelta(t, r.perimeter, Perimeter(p), 1e-9, "%s, %s", r.name, tn.name)
			if len(r.p) == 0 {
				continue
			}
			want := tn.point(r.centre)
			got := Centroid(p)
			assert.InDelta(t, want[0], got[0], 1e-9, "%s, %s", r.name, tn.name)
			assert.InDelta(t, want[1], got[1], 1e-9, "%s, %s", r.name, tn.name)
		}
	}
	mp := orb.MultiPolygon{square, holed}
	assert.Equal(t, 196.0, MultiArea(mp))
	assert.Equal(t, 88.0, MultiPerimeter(mp))
	assert.Equal(t, 100.0, RingArea(square[0]), "counter-clockwise is positive")
}

func TestAreaFarFromTheOrigin(t *testing.T) {
	// A square of 1 m at 6,000 km, as on a national grid: the corners are whole
	// numbers, so nothing may be lost.
	far := orb.Polygon{box(6_000_000, 5_000_000, 6_000_001, 5_000_001)}
	assert.Equal(t, 1.0, Area(far))
	assert.Equal(t, orb.Point{6_000_000.5, 5_000_000.5}, Centroid(far))
}

func TestAreaDoesNotDependOnStart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 30).Draw(t, "corners")
		var r orb.Ring
		for range n {
			r = append(r, drawPoint(t, 5000, "corner"))
		}
		k := rapid.IntRange(0, n-1).Draw(t, "start")
		turned := append(append(orb.Ring{}, r[k:]...), r[:k]...)
		a, b := RingArea(r), RingArea(turned)
		assert.InDelta(t, a, b, 1e-6)
		assert.InDelta(t, Perimeter(orb.Polygon{r}), Perimeter(orb.Polygon{turned}), 1e-8)
	})
}

func TestBearings(t *testing.T) {
	o := orb.Point{100, 200}
	rows := []struct {
		dx, dy, want float64
	}{
		{0, 1, 0}, {1, 1, 45}, {1, 0, 90}, {1, -1, 135}, {0, -1, 180}, {-1, -1, 225}, {-1, 0, 270}, {-1, 1, 315}, {0, 0, 0},
	}
	for _, r := range rows {
		got := BearingDeg(o, orb.Point{o[0] + r.dx, o[1] + r.dy})
		assert.InDelta(t, r.want, got, 1e-12, "compass, (%g, %g)", r.dx, r.dy)
		if l := math.Hypot(r.dx, r.dy); l > 0 {
			u := Direction(r.want)
			assert.InDelta(t, r.dx/l, u[0], 1e-15)
			assert.InDelta(t, r.dy/l, u[1], 1e-15)
		}
	}
	assert.Equal(t, orb.Point{0, -1}, Direction(180), "quarters are exact")
	assert.Equal(t, orb.Point{-1, 0}, Direction(-90), "quarters are exact")
	assert.Equal(t, 0.0, NormBearing(360))
	assert.Equal(t, 350.0, NormBearing(-10))
	assert.Equal(t, 0.0, NormBearing(-1e-18), "a hair below north is north, never 360")
	for _, r := range []struct{ a, b, want float64 }{
		{0, 0, 0}, {10, 350, 20}, {350, 10, 20}, {0, 180, 180}, {270, 90, 180}, {-90, 270, 0}, {45, 720, 45}, {0, 181, 179},
	} {
		assert.InDelta(t, r.want, AngleBetweenDeg(r.a, r.b), 1e-12, "%g and %g", r.a, r.b)
	}
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.Float64Range(0, 359.999).Draw(t, "bearing")
		d := rapid.Float64Range(0.1, 1000).Draw(t, "far")
		u := Direction(b)
		got := BearingDeg(orb.Point{}, orb.Point{d * u[0], d * u[1]})
		assert.InDelta(t, 0, AngleBetweenDeg(b, got), 1e-9)
		assert.True(t, got >= 0 && got < 360)
	})
}

func TestDistToSegment(t *testing.T) {
	//        p1
	//        |          p2
	//   a----+------b
	//  p3
	a, b := orb.Point{0, 0}, orb.Point{10, 0}
	rows := []struct {
		p    orb.Point
		d, t float64
	}{
		{orb.Point{4, 3}, 3, 0.4}, {orb.Point{13, 4}, 5, 1}, {orb.Point{-3, -4}, 5, 0}, {orb.Point{7, 0}, 0, 0.7}, {b, 0, 1},
	}
	for _, r := range rows {
		for _, tn := range turns {
			l := tn.line(orb.LineString{a, b})
			d, s := DistToSegment(tn.point(r.p), l[0], l[1])
			want := r.t
			if tn.reverse {
				want = 1 - want
			}
			assert.InDelta(t, r.d, d, 1e-12, "%v, %s", r.p, tn.name)
			assert.InDelta(t, want, s, 1e-12, "%v, %s", r.p, tn.name)
		}
	}
	d, s := DistToSegment(orb.Point{3, 4}, orb.Point{}, orb.Point{})
	assert.Equal(t, 5.0, d)
	assert.Equal(t, 0.0, s)
	assert.Equal(t, 7.0, Length(orb.LineString{{0, 0}, {3, 4}, {3, 2}}))
	assert.Equal(t, 0.0, Length(orb.LineString{{1, 1}}))
	assert.Equal(t, 0.0, Length(nil))
}
