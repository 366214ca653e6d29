package geo

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestInside(t *testing.T) {
	//  10 +-----------+
	//     |  6 +---+  |      a hole from (3,3) to (6,6)
	//     |    |   |  |
	//     |  3 +---+  |
	//   0 +-----------+
	p := orb.Polygon{box(0, 0, 10, 10), box(3, 3, 6, 6)}
	rows := []struct {
		q    orb.Point
		want bool
		why  string
	}{
		{orb.Point{1, 1}, true, "ground"},
		{orb.Point{4, 4}, false, "in the hole"},
		{orb.Point{3, 4}, true, "on the hole's edge"},
		{orb.Point{3, 3}, true, "on the hole's corner"},
		{orb.Point{0, 5}, true, "on the outline"},
		{orb.Point{10, 10}, true, "on a corner"},
		{orb.Point{5, 10}, true, "on the top edge"},
		{orb.Point{-1, 0}, false, "level with the bottom edge"},
		{orb.Point{11, 10}, false, "level with the top edge"},
		{orb.Point{-1, 3}, false, "level with the hole's bottom edge"},
		{orb.Point{1, 3}, true, "level with the hole's bottom edge, inside"},
		{orb.Point{math.Nextafter(10, 11), 5}, false, "the next number beyond the edge"},
		{orb.Point{5, math.Nextafter(3, 4)}, false, "the next number inside the hole"},
	}
	for _, tn := range turns[:4] { // moving would round the next number away
		poly := tn.polygon(p)
		r := NewRegion(orb.MultiPolygon{poly})
		for _, row := range rows {
			q := tn.point(row.q)
			assert.Equal(t, row.want, Inside(poly, q), "%s, %s", row.why, tn.name)
			assert.Equal(t, row.want, r.Contains(q), "%s, %s", row.why, tn.name)
		}
	}
	assert.False(t, Inside(nil, orb.Point{}))
	assert.False(t, NewRegion(nil).Contains(orb.Point{}))
	assert.True(t, math.IsInf(NewRegion(nil).DistToEdge(orb.Point{}), 1))
}

func TestContainsBy(t *testing.T) {
	p := orb.MultiPolygon{{box(0, 0, 10, 10), box(4, 4, 6, 6)}}
	rows := []struct {
		q           orb.Point
		margin, tol float64
		want        bool
		why         string
	}{
		{orb.Point{2, 5}, 2, 0, true, "exactly 2 m from both the edge and the hole"},
		{orb.Point{1.99, 5}, 2, 0, false, "10 mm short"},
		{orb.Point{1.99, 5}, 2, 0.02, true, "10 mm short, 20 mm forgiven"},
		{orb.Point{1.97, 5}, 2, 0.02, false, "30 mm short, 20 mm forgiven"},
		{orb.Point{2.01, 5}, 2, 0, false, "too near the hole"},
		{orb.Point{-2, 5}, 2, 0, false, "as far outside"},
		{orb.Point{0, 5}, 0, 0, true, "on the edge, no margin"},
		{orb.Point{-0.01, 5}, 0, 0.02, true, "10 mm outside, no margin, 20 mm forgiven"},
		{orb.Point{-0.03, 5}, 0, 0.02, false, "30 mm outside, no margin, 20 mm forgiven"},
		{orb.Point{5, 5}, 0, 0.02, false, "in the middle of the hole"},
		{orb.Point{4.01, 5}, 0, 0.02, true, "10 mm into the hole, 20 mm forgiven"},
		{orb.Point{2, 2}, 1, 0.02, true, "well inside"},
		{orb.Point{20, 20}, -15, 0, true, "a margin below 0 takes in the ground around"},
	}
	for _, tn := range turns {
		r := NewRegion(tn.multi(p))
		for _, row := range rows {
			assert.Equal(t, row.want, r.ContainsBy(tn.point(row.q), row.margin, row.tol), "%s, %s", row.why, tn.name)
		}
	}
}

func TestRegionAgainstInside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Any rings at all, also crossed ones: both must give the even-odd answer.
		p := orb.Polygon{drawRing(t, rapid.IntRange(3, 12).Draw(t, "n"), 12, "ring")}
		if rapid.Bool().Draw(t, "hole") {
			p = append(p, drawRing(t, 4, 12, "hole"))
		}
		r := NewRegion(orb.MultiPolygon{p})
		q := drawGridPoint(t, 12, "place")
		if rapid.Bool().Draw(t, "between") {
			q = drawPoint(t, 13, "place")
		}
		assert.Equal(t, Inside(p, q), r.Contains(q))
		want := math.Inf(1)
		for _, s := range PolygonSegments(p, 0) {
			d, _ := DistToSegment(q, s.A, s.B)
			want = min(want, d)
		}
		assert.Equal(t, want, r.DistToEdge(q))
		m := rapid.Float64Range(-3, 3).Draw(t, "margin")
		signed := want
		if !r.Contains(q) {
			signed = -want
		}
		assert.Equal(t, signed >= m, r.ContainsBy(q, m, 0), "signed distance %g, margin %g", signed, m)
	})
}

func TestRegionOfManyParts(t *testing.T) {
	mp := orb.MultiPolygon{{box(0, 0, 2, 2)}, {box(1, 1, 3, 3)}, {box(10, 0, 12, 2)}}
	r := NewRegion(mp)
	assert.True(t, r.Contains(orb.Point{1.5, 1.5}), "parts that overlap count once, not evenly")
	assert.False(t, r.Contains(orb.Point{5, 1}))
	assert.Equal(t, orb.Bound{Min: orb.Point{0, 0}, Max: orb.Point{12, 3}}, r.Box())
	assert.Equal(t, 2, r.Edges().At(11).Tag, "the tag is the number of the part")
}

func TestInsetEdgesAndCorners(t *testing.T) {
	//  10 +-----------+        the outline moves in by 1 m,
	//     |   +---+   |        the hole's edges move out
	//     |   +---+   |
	//   0 +-----------+
	p := orb.Polygon{box(0, 0, 10, 10), box(4, 4, 6, 6)}
	for _, tn := range turns {
		poly := tn.polygon(p)
		edges := InsetEdges(poly, 1)
		assert.Len(t, edges, 8, tn.name)
		for i, e := range edges {
			assert.Equal(t, i, e.Tag)
			m := lerp(e.A, e.B, 0.5)
			assert.True(t, Inside(poly, m), "%s: an edge moved in lies inside", tn.name)
			assert.InDelta(t, 1, NewRegion(orb.MultiPolygon{poly}).DistToEdge(m), 1e-12, tn.name)
		}
		corners := InsetCorners(poly, 1)
		assert.Len(t, corners, 8, tn.name)
		want := map[orb.Point]bool{}
		for _, q := range []orb.Point{{1, 1}, {9, 1}, {9, 9}, {1, 9}, {3, 3}, {7, 3}, {7, 7}, {3, 7}} {
			want[tn.point(q)] = true
		}
		for _, c := range corners {
			assert.True(t, want[c], "%s: %v", tn.name, c)
		}
	}
	// A corner of 60 degrees: 1 m from both edges is 2 m from the corner.
	tri := orb.Polygon{{{0, 0}, {10, 0}, {5, 5 * math.Sqrt(3)}, {0, 0}}}
	c := InsetCorners(tri, 1)
	near(t, orb.Point{math.Sqrt(3), 1}, c[0], 1e-12, "1/sin 30 degrees is 2")
	assert.Empty(t, InsetCorners(orb.Polygon{{{0, 0}, {1, 1}, {0, 0}}}, 1), "no ground, no corners")
}
