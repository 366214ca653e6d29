package setout_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/setout"
)

var alder = []planner.Share{{Species: "common alder", SharePercent: 100}}

func rectangle(w, h float64) orb.Polygon {
	return orb.Polygon{{{0, 0}, {w, 0}, {w, h}, {0, h}, {0, 0}}}
}

func grove(pattern string, poly orb.Polygon, s, r, margin, bearing float64, auto bool) *planner.Feature {
	return block("b", planner.KindGrove, poly, planner.Block{Pattern: pattern, SpacingM: s, RowSpacingM: r, MarginM: margin, BearingDeg: bearing, Auto: auto, Mix: alder}, "margin_m")
}

// How many trees stand on a hectare without edges.
func TestPerHectare(t *testing.T) {
	const (
		formula = "square, triangular and quincunx planting: 10000/s2, 1.1547 times that, 20000/s2 (standard geometry)"
		rhs     = "Royal Horticultural Society, apples on MM106 at 3.6 by 4.5 m; count by geometry"
		cornell = "Cornell Guide to Growing Fruit at Home, table 2, MM106 at 5.5 by 7.3 m; count by geometry"
	)
	cases := []struct {
		pattern string
		s, r    float64
		want    float64
		tol     float64
		source  string
	}{
		{"square", 2, 2, 2500, 0.05, formula}, {"square", 2.5, 2.5, 1600, 0.05, formula}, {"square", 3, 3, 1111.1, 0.05, formula}, {"square", 5, 5, 400, 0.05, formula},
		{"square", 7, 7, 204.1, 0.05, formula}, {"square", 8, 8, 156.25, 0.05, formula}, {"square", 12, 12, 69.4, 0.05, formula}, {"square", 20, 20, 25, 0.05, formula},
		{"triangle", 3, 3, 1283.0, 0.05, formula}, {"triangle", 1, 1, 11547.0, 0.05, formula}, {"triangle", 2.5, 2.5, 1847.5, 0.05, formula}, {"triangle", 5, 5, 461.9, 0.05, formula},
		{"quincunx", 10, 10, 200, 0.05, formula}, {"quincunx", 3.6, 3.6, 1543.2, 0.05, formula}, {"quincunx", 6, 6, 555.6, 0.05, formula},
		{"rectangle", 3.6, 4.5, 617.3, 0.05, rhs}, {"rectangle", 5.5, 7.3, 249.2, 0.15, cornell}, {"rectangle", 1.2, 1.8, 4629.6, 0.05, "Royal Horticultural Society, M27 at 1.2 by 1.8 m; count by geometry"},
		{"rectangle", 3, 5, 666.7, 0.05, formula}, {"rectangle", 2.4, 3.6, 1157.4, 0.05, formula}, {"offset", 4.5, 6, 370.4, 0.05, "offset rows hold as many as a rectangle (geometry)"},
		{"rectangle", 0.45, 1.8, 12345.7, 0.05, formula}, {"rectangle", 1.2, 3.5, 2381.0, 0.05, "East Malling plum trial: 2381 trees a hectare at 3.5 by 1.2 m"},
		{"rectangle", 0.6, 3.5, 4761.9, 0.05, "East Malling plum trial: 4762 trees a hectare"},
	}
	for _, c := range cases {
		p, ok := setout.PatternOf(c.pattern, planner.KindGrove)
		require.True(t, ok)
		assert.InDelta(t, c.want, p.PerHectare(c.s, c.r), c.tol, "%s %g x %g: %s", c.pattern, c.s, c.r, c.source)
		g := p.Grid(c.s, c.r)
		assert.InDelta(t, p.PerHectare(c.s, c.r), 10000/(g.Along*g.Across), 1e-6, "the lattice is as dense as the formula says")
	}
	q, _ := setout.PatternOf("quincunx", planner.KindOrchard)
	assert.InDelta(t, 7.0711, q.Least(10, 10), 0.001, "quincunx of 10 m: 7.07 m from main to filler, not 8.66 (geometry)")
	_, ok := setout.PatternOf("scatter", planner.KindOrchard)
	assert.False(t, ok, "an orchard is not scattered")
}

// Counts in a rectangle with rows along its longer side. Where the spacing fits exactly there is one answer; where it does not,
// the greatest number that fits is at least that of the usual layout, which starts in a corner.
func TestRectangleCounts(t *testing.T) {
	const (
		fruit = "geometry of finite rectangles: nx ny; and (nx-1)(ny-1) for the fillers of a quincunx; rows of n and n-1 for a triangle"
		point = "exact counts of a closed rectangle, first point in a corner (computed)"
	)
	cases := []struct {
		w, h, s, r, margin float64
		pattern            string
		want               int
		exact              bool
		source             string
	}{
		{100, 100, 10, 10, 0, "square", 121, true, fruit},
		{100, 100, 10, 10, 5, "square", 100, true, fruit},
		{100, 100, 10, 10, 5, "quincunx", 181, true, fruit},
		{100, 100, 10, 10, 5, "triangle", 105, true, fruit},
		{100, 100, 10, 10, 5, "offset", 95, true, fruit},
		{100, 100, 5, 5, 5, "square", 361, true, fruit},
		{100, 100, 5, 5, 5, "quincunx", 685, true, fruit},
		{100, 100, 5, 5, 5, "triangle", 389, true, fruit},
		{100, 100, 6, 6, 5, "square", 256, true, fruit},
		{100, 100, 6, 6, 6, "square", 225, true, fruit},
		{100, 100, 6, 6, 6, "triangle", 255, true, fruit},
		{60, 40, 5, 5, 5, "square", 77, true, fruit},
		{60, 40, 5, 5, 5, "quincunx", 137, true, fruit},
		{60, 40, 5, 5, 5, "triangle", 74, true, fruit},
		{60, 40, 3.6, 4.5, 6, "rectangle", 98, true, fruit},
		{100, 50, 3, 5, 6, "rectangle", 240, true, fruit},
		{40, 30, 5, 5, 2.5, "square", 48, true, "by hand: 35 x 25 m at 5 m: 8 x 6"},
		{10, 10, 1, 1, 0, "square", 121, true, point}, {10, 10, 1, 1, 0, "triangle", 126, true, point},
		{10, 10, 2, 2, 0, "square", 36, true, point}, {10, 10, 2, 2, 0, "triangle", 33, true, point},
		{20, 10, 1.5, 1.5, 0, "square", 98, true, point}, {20, 10, 1.5, 1.5, 0, "triangle", 108, true, point},
		{6, 3, 0.5, 0.5, 0, "square", 91, true, point}, {6, 3, 0.5, 0.5, 0, "triangle", 88, false, point + "; 7 x 0.4330 = 3.031 m, so an eighth row fits where 20 mm are forgiven at both edges"},
		{100, 50, 2.5, 2.5, 0, "square", 861, true, point}, {100, 50, 2.5, 2.5, 0, "triangle", 972, true, point},
		{100, 100, 2, 2, 0, "square", 2601, true, point}, {100, 100, 2, 2, 0, "triangle", 2929, true, point},
		{5, 4, 10, 10, 0, "square", 1, true, point}, {5, 4, 10, 10, 0, "triangle", 1, true, point},
		{22.4, 22.4, 7, 7, 0, "square", 16, true, "Irish GLAS sheet: 10 trees at 7 m fit in 0.05 ha; 16 in a square of that size from edge to edge"},
		// The usual layout puts fillers only inside whole squares and gives 421; more rows of the same lattice fit.
		{100, 100, 6, 6, 6, "quincunx", 421, false, fruit},
		// Bailey 1915: 67 trees on an acre at 25 ft in triangles, 68 where the first row is the fuller.
		{63.61, 63.61, 7.62, 7.62, 3.81, "triangle", 67, false, "Bailey, 1915: 25 ft on a square acre"},
		{63.61, 63.61, 7.62, 7.62, 3.81, "square", 64, true, "Bailey, 1915: 25 ft on a square acre, 8 x 8"},
	}
	for _, c := range cases {
		t.Run(fmt.Sprintf("%s %gx%g %g", c.pattern, c.w, c.h, c.s), func(t *testing.T) {
			l := set(t, plan(t, grove(c.pattern, rectangle(c.w, c.h), c.s, c.r, c.margin, 90, false)), "general").Of("b")
			require.Empty(t, l.Failed)
			if c.exact {
				assert.Equal(t, c.want, l.Holds, c.source)
			} else {
				assert.GreaterOrEqual(t, l.Holds, c.want, c.source)
			}
			assert.Len(t, l.Plants, l.Holds)
			inside(t, l, rectangle(c.w, c.h))
			// The same ground turned by 30 degrees, with the bearing left open, holds at least as many.
			auto := set(t, plan(t, grove(c.pattern, turned(rectangle(c.w, c.h), 30), c.s, c.r, c.margin, 0, true)), "general").Of("b")
			assert.GreaterOrEqual(t, auto.Holds, l.Holds)
		})
	}
}

// inside checks that every tree stands inside its ground by the margin, 20 mm forgiven, and none nearer to another than the
// pattern's least distance.
func inside(t require.TestingT, l *setout.Layout, poly orb.Polygon) {
	region := geo.NewRegion(orb.MultiPolygon{poly})
	p, ok := setout.PatternOf(l.Pattern, planner.KindGrove)
	require.True(t, ok)
	least := p.Least(l.SpacingM, l.RowSpaceM)
	pts := make([]orb.Point, len(l.Plants))
	for i := range l.Plants {
		pts[i] = l.Plants[i].At
	}
	grid := geo.NewPoints(pts, least)
	for i, at := range pts {
		require.True(t, region.ContainsBy(at, l.MarginM, planner.Tolerance+1e-6), "%s: tree %d at %v is %.3f m from the edge", l.Pattern, i, at, region.DistToEdge(at))
		_, d := grid.Nearest(at, i)
		require.GreaterOrEqual(t, d, least-1e-6, "%s: tree %d at %v", l.Pattern, i, at)
	}
}

func turned(poly orb.Polygon, deg float64) orb.Polygon {
	s, c := math.Sincos(deg * math.Pi / 180)
	out := make(orb.Polygon, len(poly))
	for i, r := range poly {
		for _, p := range r {
			out[i] = append(out[i], orb.Point{c*p[0] - s*p[1], s*p[0] + c*p[1]})
		}
	}
	return out
}

// Left open, the bearing follows the edge that holds the most trees: an exact fit is found on ground turned any way.
func TestAutoBearingFindsTheExactFit(t *testing.T) {
	for _, deg := range []float64{0, 7.3, 30, 45, 61.7, 89.9} {
		for pattern, want := range map[string]int{"square": 48, "rectangle": 8 * 6, "offset": 8*3 + 7*3} {
			l := set(t, plan(t, grove(pattern, turned(rectangle(40, 30), deg), 5, 5, 2.5, 0, true)), "general").Of("b")
			assert.GreaterOrEqual(t, l.Holds, want, "%s turned by %g", pattern, deg)
			if pattern == "square" {
				assert.Equal(t, want, l.Holds)
				assert.InDelta(t, math.Mod(360-deg, 90), l.BearingDeg, 1e-6)
			}
		}
	}
}

// Ties go to the most even margins: the trees stand in the middle of ground that they do not fill.
func TestMarginsAreEven(t *testing.T) {
	l := set(t, plan(t, grove("square", rectangle(42, 33), 5, 5, 2.5, 90, false)), "general").Of("b")
	require.Equal(t, 48, l.Holds)
	var b orb.Bound
	for i, p := range l.Plants {
		if i == 0 {
			b = p.At.Bound()
		}
		b = b.Extend(p.At)
	}
	assert.InDelta(t, 42, b.Min[0]+b.Max[0], 1e-6)
	assert.InDelta(t, 33, b.Min[1]+b.Max[1], 1e-6)
}

// The margin is round at inner corners and holes, and holds there too.
func TestHolesAndInnerCorners(t *testing.T) {
	ell := orb.Polygon{{{0, 0}, {60, 0}, {60, 25}, {25, 25}, {25, 60}, {0, 60}, {0, 0}}}
	holed := orb.Polygon{{{0, 0}, {60, 0}, {60, 60}, {0, 60}, {0, 0}}, {{20, 20}, {20, 40}, {40, 40}, {40, 20}, {20, 20}}}
	thin := orb.Polygon{{{0, 0}, {40, 0}, {40, 5}, {0, 5}, {0, 0}}}
	tooThin := orb.Polygon{{{0, 0}, {40, 0}, {40, 4.9}, {0, 4.9}, {0, 0}}}
	for _, p := range setout.Patterns() {
		for name, poly := range map[string]orb.Polygon{"L": ell, "hole": holed} {
			l := set(t, plan(t, grove(p.Name, poly, 3, 3, 2.5, 0, true)), "general").Of("b")
			require.Positive(t, l.Holds, "%s %s", p.Name, name)
			inside(t, l, poly)
		}
		if p.Grid == nil {
			continue // a scatter does not find a line without width
		}
		l := set(t, plan(t, grove(p.Name, thin, 5, 5, 2.5, 0, true)), "general").Of("b")
		assert.Equal(t, 8, l.Holds, "%s: one row of 8 where the margins meet", p.Name)
		l = set(t, plan(t, grove(p.Name, tooThin, 5, 5, 2.5, 0, true)), "general").Of("b")
		assert.Zero(t, l.Holds, "%s: no room", p.Name)
	}
}

// A slow search over many places of the lattice finds no more trees than the fast one, beyond the few that its bounded choice of
// first rows can miss.
func TestSearchAgainstSlowOne(t *testing.T) {
	shapes := map[string]orb.Polygon{
		"triangle": {{{0, 0}, {50, 5}, {20, 45}, {0, 0}}},
		"L":        {{{0, 0}, {60, 0}, {60, 25}, {25, 25}, {25, 60}, {0, 60}, {0, 0}}},
		"kite":     {{{0, 20}, {30, 0}, {70, 22}, {28, 50}, {0, 20}}},
		"hole":     {{{0, 0}, {50, 3}, {47, 52}, {-3, 49}, {0, 0}}, {{18, 20}, {20, 33}, {30, 30}, {28, 17}, {18, 20}}},
	}
	for name, poly := range shapes {
		region := geo.NewRegion(orb.MultiPolygon{poly})
		for _, pattern := range []string{"square", "triangle", "offset", "quincunx"} {
			p, _ := setout.PatternOf(pattern, planner.KindGrove)
			g := p.Grid(4, 5)
			l := set(t, plan(t, grove(pattern, poly, 4, 5, 2, 90, false)), "general").Of("b")
			best := 0
			const steps = 24
			for i := range steps {
				for k := range steps {
					origin := orb.Point{poly.Bound().Min[0] + g.Along*float64(i)/steps, poly.Bound().Min[1] + g.Across*float64(k)/steps}
					n := 0
					geo.Lattice(origin, 90, g.Along, g.Across, g.Shift, poly.Bound(), func(_, _ int, at orb.Point) {
						if region.ContainsBy(at, 2, planner.Tolerance) {
							n++
						}
					})
					best = max(best, n)
				}
			}
			assert.GreaterOrEqual(t, l.Holds, best, "%s %s", name, pattern)
			inside(t, l, poly)
		}
	}
}

func TestRowsOfALattice(t *testing.T) {
	l := set(t, plan(t, grove("square", rectangle(40, 30), 5, 5, 2.5, 0, false)), "general").Of("b")
	require.Len(t, l.Rows, 8)
	for i, r := range l.Rows {
		assert.Equal(t, i, r.Row)
		assert.Equal(t, 6, r.Plants)
		assert.InDelta(t, 5*float64(i), r.OffsetM, 1e-9, "rows lie to the left of the first")
		assert.InDelta(t, 37.5-5*float64(i), r.Path[0][0], 1e-6, "northward rows, the first in the east")
	}
	for i, p := range l.Plants {
		assert.Equal(t, i/6, p.Row)
		assert.Equal(t, i%6, p.Number)
		assert.InDelta(t, 5*float64(i%6), p.Chainage, 1e-9)
	}
	assert.Equal(t, "b/7/5", l.Plants[47].ID())
}

func TestBlocksThatCannotBeSetOut(t *testing.T) {
	unsound := grove("square", rectangle(40, 30), 5, 5, 2.5, 0, true)
	unsound.Sound = false
	l := set(t, plan(t, unsound), "general").Of("b")
	assert.NotEmpty(t, l.Failed)
	assert.Empty(t, l.Plants)
	l = set(t, plan(t, block("b", planner.KindGrove, rectangle(40, 30), planner.Block{Pattern: "square", Auto: true, Mix: []planner.Share{{Species: "moonberry", SharePercent: 100}}})), "general").Of("b")
	assert.Contains(t, l.Failed, "spacing_m")
	l = set(t, plan(t, grove("square", rectangle(4000, 4000), 0.1, 0.1, 0, 0, true)), "general").Of("b")
	assert.Contains(t, l.Remarks[0].Message, "500000")
}

// The vocabulary allows the patterns there are, and no others.
func TestPatternsAreThoseOfTheVocabulary(t *testing.T) {
	for _, kind := range []planner.Kind{planner.KindOrchard, planner.KindGrove} {
		spec, ok := planner.SpecOf(kind)
		require.True(t, ok)
		var names []string
		for _, p := range setout.Patterns() {
			if _, ok := setout.PatternOf(p.Name, kind); ok {
				names = append(names, p.Name)
			}
		}
		for _, prop := range spec.Props {
			if prop.Name == "pattern" {
				assert.ElementsMatch(t, prop.Allowed, names, string(kind))
			}
		}
	}
}
