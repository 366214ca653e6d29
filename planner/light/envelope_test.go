package light

import (
	"context"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/growth"
)

// anyYears draws a hedge, a tree and a screen that grow, shrink, lift off the ground and come and go as they please.
func anyYears(rt *rapid.T) Scenes {
	type size struct{ hedge, wide, tree, crown, base, closed, screen float64 }
	var sizes [growth.LastYear + 1]size
	metres := rapid.Float64Range(0, 1)
	s := size{hedge: 1, wide: 1, tree: 2, crown: 1, base: 0, closed: 0.5}
	wild := rapid.Bool().Draw(rt, "wild")
	for y := range sizes {
		s.hedge, s.wide, s.tree, s.crown = s.hedge+0.4*metres.Draw(rt, "h"), s.wide+0.1*metres.Draw(rt, "w"), s.tree+0.6*metres.Draw(rt, "t"), s.crown+0.4*metres.Draw(rt, "c")
		s.base, s.closed = s.tree*0.4*metres.Draw(rt, "b"), 0.5+0.5*metres.Draw(rt, "d")
		s.screen = 0
		if metres.Draw(rt, "screen") < 0.3 {
			s.screen = 2
		}
		if wild && metres.Draw(rt, "cut") < 0.1 {
			s.hedge, s.wide = 0.2, 0.5
		}
		sizes[y] = s
	}
	return func(year int, g Growth) *Scene {
		x := sizes[year]
		share := map[Growth]float64{Least: 0.7, Middling: 1, Most: 1.3}[g]
		bodies := []growth.Body{wall("hedge", x.hedge*share, x.wide, x.closed, orb.LineString{{-5, -1}, {8, -2}, {15, -1}})}
		if x.screen > 0 {
			bodies = append(bodies, wall("screen", x.screen, 0, 0.5, orb.LineString{{-5, -4}, {5, -4}}))
		}
		return sceneOf(bodies, []growth.Crown{tree("tree", orb.Point{12, -3}, x.tree*share, x.crown*share, x.base, 0.9),
			tree("tree", orb.Point{12, -3}, x.tree*share, x.crown*share, x.base, 0.9)})
	}
}

// The search by halves finds the very year that looking at every year finds, whatever the growth does.
func TestSearchFindsTheFirstYear(t *testing.T) {
	ctx := context.Background()
	ss := steps(ireland)
	b := cut(bedAt("bed", 6, square(0, 0, 10, 4)), 0)
	rapid.Check(t, func(rt *rapid.T) {
		scenes := anyYears(rt)
		wanted := rapid.Float64Range(5, 14).Draw(rt, "wanted")
		want := Never
		for year := 0; year <= growth.LastYear && want == Never; year++ {
			m, err := b.mean(ctx, scenes(year, Middling), ss)
			require.NoError(rt, err)
			if m < wanted-1e-9 {
				want = year
			}
		}
		got, err := newSearch(scenes).first(ctx, Middling, 0, growth.LastYear, wanted, func(s *Scene) (float64, error) { return b.mean(ctx, s, ss) })
		require.NoError(rt, err)
		assert.Equal(rt, want, got)
	})
}

// An envelope lets through no more than any of its years, at any point and for any sun.
func TestEnvelopeTakesTheMost(t *testing.T) {
	ss := steps(ireland)
	rapid.Check(t, func(rt *rapid.T) {
		scenes := anyYears(rt)
		over := newSearch(scenes).over(stretch{Middling, 3, 20})
		at := orb.Point{rapid.Float64Range(-10, 20).Draw(rt, "x"), rapid.Float64Range(-8, 15).Draw(rt, "y")}
		z := rapid.SampledFrom([]float64{0, 0.5, 1.5, 4}).Draw(rt, "z")
		through := func(s *Scene, st *step) float64 {
			pass := 1.0
			for k := range s.groups {
				pass *= s.groups[k].passAt(at, z, st)
			}
			return pass
		}
		year := rapid.IntRange(3, 20).Draw(rt, "year")
		one := scenes(year, Middling)
		for k := 0; k < len(ss); k += 7 {
			assert.LessOrEqual(rt, through(over, &ss[k]), through(one, &ss[k])+1e-12)
		}
	})
}

// The mean alone is the mean of the whole account, and asking only the groups behind which the sun may stand changes nothing.
func TestMeanAloneAndSectors(t *testing.T) {
	ctx := context.Background()
	for _, lat := range []float64{70, 53, 20, 0, -43} {
		p := Place{LatDeg: lat}
		ss := steps(p)
		rapid.Check(t, func(rt *rapid.T) {
			s := anyYears(rt)(rapid.IntRange(0, 30).Draw(rt, "year"), Middling)
			x, y := rapid.Float64Range(-20, 20).Draw(rt, "x"), rapid.Float64Range(-20, 20).Draw(rt, "y")
			b := cut(bedAt("bed", 6, square(x, y, x+3, y+4)), 0)
			whole, err := b.light(ctx, s, ss)
			require.NoError(rt, err)
			alone, err := b.mean(ctx, s, ss)
			require.NoError(rt, err)
			assert.InDelta(rt, whole.MeanHours, alone, 1e-9)
			c := newCanvas(b.grid, 0, b.grid.Ny, s, false)
			var months [6]float64
			for k := range ss {
				c.draw(&ss[k])
				for _, i := range b.cells {
					months[ss[k].month] += c.pass[i] * ss[k].hours / float64(len(b.cells))
				}
			}
			assert.InDelta(rt, meanOf(months), alone, 1e-9)
		})
	}
}

// About 800 cells a bed give its hours within 1 percent of those in cells of half a metre, close beside hedges and among 500 trees
// too, so long as no hedge runs through the bed.
func TestCoarserCells(t *testing.T) {
	const coarse = FairBedCells
	ctx := context.Background()
	bodies, crowns, _ := holding(4, 500, 5) // hedges 40 m apart
	s := sceneOf(bodies, crowns)
	ss := steps(ireland)
	for k := range 12 {
		x, y := 10+14*float64(k), 25.0+40*float64(k%4)
		bed := bedAt("bed", 6, square(x, y, x+20+float64(k%3)*11, y+16+float64(k%4)*4))
		few, fine := cut(bed, coarse), cut(bed, 0)
		fine.grid, fine.cells = inCells(bed, 0.5)
		assert.Less(t, len(few.cells), 3*coarse/2)
		assert.Greater(t, len(fine.cells), len(few.cells))
		want, err := fine.mean(ctx, s, ss)
		require.NoError(t, err)
		got, err := few.mean(ctx, s, ss)
		require.NoError(t, err)
		assert.InEpsilon(t, want, got, 0.01, "bed %d", k)
	}
	plan, scenes, p := stand(t, "demo-mended.geojson")
	for _, year := range []int{0, 10, 30} {
		want, err := Beds(ctx, plan, []int{year}, scenes, p, Options{})
		require.NoError(t, err)
		got, err := Beds(ctx, plan, []int{year}, scenes, p, Options{MostBedCells: coarse})
		require.NoError(t, err)
		for i := range want[0].Beds {
			assert.InEpsilon(t, want[0].Beds[i].MeanHours, got[0].Beds[i].MeanHours, 0.01)
		}
	}
}

// inCells is a bed in cells of some size.
func inCells(f *planner.Feature, cell float64) (geo.Grid, []int32) {
	region := geo.NewRegion(f.Shape.Polygons)
	g := geo.GridOver(region.Box(), cell, MostCells)
	var cells []int32
	for i := range g.Len() {
		if region.Contains(g.Middle(i%g.Nx, i/g.Nx)) {
			cells = append(cells, int32(i))
		}
	}
	return g, cells
}
