package geo

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// elbow is the line of most drawings below:
//
//	(10,10) end, chainage 20
//	   |
//	   |
//	+--+ (10,0), chainage 10
//	(0,0) start
var elbow = orb.LineString{{0, 0}, {10, 0}, {10, 10}}

func near(t assert.TestingT, want, got orb.Point, tol float64, msg string, args ...any) {
	assert.InDelta(t, want[0], got[0], tol, append([]any{msg}, args...)...)
	assert.InDelta(t, want[1], got[1], tol, append([]any{msg}, args...)...)
}

func TestChainLooksUpChainage(t *testing.T) {
	rows := []struct {
		s       float64
		at      orb.Point
		bearing float64
	}{
		{-5, orb.Point{0, 0}, 90}, {0, orb.Point{0, 0}, 90}, {4, orb.Point{4, 0}, 90},
		{10, orb.Point{10, 0}, 0}, // a corner belongs to what follows
		{13, orb.Point{10, 3}, 0}, {20, orb.Point{10, 10}, 0}, {99, orb.Point{10, 10}, 0},
	}
	for _, tn := range turns {
		c := NewChain(tn.line(elbow))
		assert.Equal(t, 20.0, c.Length(), tn.name)
		assert.Equal(t, []float64{10}, c.Corners(), tn.name)
		for _, r := range rows {
			s := r.s
			if tn.reverse {
				s = 20 - s
			}
			near(t, tn.point(r.at), c.At(s), 1e-12, "%s, chainage %g", tn.name, r.s)
		}
	}
	c := NewChain(elbow)
	for _, r := range rows {
		assert.InDelta(t, r.bearing, c.BearingAtDeg(r.s), 1e-12, "bearing at %g", r.s)
	}
}

func TestChainOffset(t *testing.T) {
	// With d = 1 to the left, within 0.5 m of the corner the point goes along the
	// bisector, which points north-west.
	h := math.Sqrt2 / 2
	rows := []struct {
		s, d, w float64
		want    orb.Point
	}{
		{4, 1, 0.5, orb.Point{4, 1}},
		{4, -2, 0.5, orb.Point{4, -2}},
		{9.4, 1, 0.5, orb.Point{9.4, 1}},
		{9.5, 1, 0.5, orb.Point{9.5 - h, h}}, // just within
		{10, 1, 0.5, orb.Point{10 - h, h}},
		{10.25, 1, 0.5, orb.Point{10 - h, 0.25 + h}},
		{10.6, 1, 0.5, orb.Point{9, 0.6}},
		{10, 1, 0, orb.Point{10 - h, h}}, // the corner itself is always one
		{0, 1, 5, orb.Point{0, 1}},       // ends are no corners
		{20, 1, 5, orb.Point{9, 10}},
	}
	for _, r := range rows {
		for _, tn := range turns {
			s := r.s
			if tn.reverse {
				s = 20 - s
			}
			c := NewChain(tn.line(elbow))
			near(t, tn.point(r.want), c.OffsetBisect(s, r.d*tn.left(), r.w), 1e-12, "%s, chainage %g", tn.name, r.s)
		}
	}
	c := NewChain(elbow)
	near(t, orb.Point{9, 0}, c.Offset(10, 1), 1e-12, "at a corner, square to what follows")
	back := NewChain(orb.LineString{{0, 0}, {10, 0}, {0, 0}})
	near(t, orb.Point{10, -1}, back.OffsetBisect(10, 1, 0.5), 1e-12, "no bisector where the line turns back: square to what follows")
}

func TestChainProject(t *testing.T) {
	rows := []struct {
		p               orb.Point
		s, offset, dist float64
	}{
		{orb.Point{4, 3}, 4, 3, 3},
		{orb.Point{4, -3}, 4, -3, 3},
		{orb.Point{13, -4}, 10, -5, 5}, // outside the corner
		{orb.Point{8, 1}, 8, 1, 1},     // inside it, the first leg is nearer
		{orb.Point{-3, 4}, 0, 4, 5},    // beyond the start: the offset is square to the line drawn on
		{orb.Point{7, 14}, 20, 3, 5},   // beyond the end
		{orb.Point{10, 12}, 20, 0, 2},  // straight beyond the end
		{orb.Point{10, 5}, 15, 0, 0},   // on the line
	}
	for _, r := range rows {
		for _, tn := range turns {
			c := NewChain(tn.line(elbow))
			s, o, d := c.Project(tn.point(r.p))
			want := r.s
			if tn.reverse {
				want = 20 - want
			}
			assert.InDelta(t, want, s, 1e-9, "%v, %s", r.p, tn.name)
			assert.InDelta(t, r.offset*tn.left(), o, 1e-9, "%v, %s", r.p, tn.name)
			assert.InDelta(t, r.dist, d, 1e-9, "%v, %s", r.p, tn.name)
		}
	}
}

func TestChainSub(t *testing.T) {
	rows := []struct {
		from, to float64
		want     orb.LineString
	}{
		{2, 5, orb.LineString{{2, 0}, {5, 0}}},
		{8, 13, orb.LineString{{8, 0}, {10, 0}, {10, 3}}},
		{13, 8, orb.LineString{{10, 3}, {10, 0}, {8, 0}}},
		{-4, 40, elbow},
		{10, 20, orb.LineString{{10, 0}, {10, 10}}},
		{7, 7, nil},
		{25, 30, nil},
	}
	c := NewChain(elbow)
	for _, r := range rows {
		assert.Equal(t, r.want, c.Sub(r.from, r.to), "%g to %g", r.from, r.to)
	}
}

func TestChainOfLittle(t *testing.T) {
	for _, ls := range []orb.LineString{nil, {{3, 4}}, {{3, 4}, {3, 4}}} {
		c := NewChain(ls)
		assert.Equal(t, 0.0, c.Length())
		assert.Equal(t, 0.0, c.BearingAtDeg(1))
		assert.Nil(t, c.Sub(0, 1))
		assert.Equal(t, c.At(0), c.Offset(5, 2))
		_, _, d := c.Project(orb.Point{0, 0})
		assert.InDelta(t, math.Hypot(c.At(0)[0], c.At(0)[1]), d, 1e-12)
	}
	c := NewChain(orb.LineString{{0, 0}, {0, 0}, {5, 0}, {5, 0}, {5, 5}})
	assert.Equal(t, orb.LineString{{0, 0}, {5, 0}, {5, 5}}, c.Line(), "repeats are dropped")
}

func TestChainProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var ls orb.LineString
		for range rapid.IntRange(2, 12).Draw(t, "corners") {
			ls = append(ls, drawPoint(t, 500, "corner"))
		}
		given := append(orb.LineString{}, ls...)
		c := NewChain(ls)
		s := rapid.Float64Range(0, 1).Draw(t, "share") * c.Length()
		_, _, d := c.Project(c.At(s))
		assert.InDelta(t, 0, d, 1e-9, "a point of the line lies on it")
		part, rest := c.Sub(0, s), c.Sub(s, c.Length())
		assert.InDelta(t, c.Length(), Length(part)+Length(rest), 1e-7, "the parts make the whole")
		p := drawPoint(t, 500, "place")
		at, o, d := c.Project(p)
		assert.InDelta(t, d, Dist(p, c.At(at)), 1e-8, "the distance is that to the chainage given")
		assert.LessOrEqual(t, math.Abs(o), d+1e-9)
		assert.Equal(t, given, ls, "the line is not altered")
	})
}
