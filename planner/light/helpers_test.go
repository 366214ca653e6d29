package light

import (
	"context"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/growth"
	"quickthorn/planner/setout"
)

var ireland = Place{LatDeg: 53, LonDeg: -8}

func known(m float64) growth.Span { return growth.Span{Low: m, Mid: m, High: m, Known: true} }

func feature(id string, k planner.Kind, detail any, stated ...string) *planner.Feature {
	f := &planner.Feature{ID: id, Kind: k, Sound: true, Detail: detail}
	f.State(stated...)
	return f
}

// wall is a body of known size and density.
func wall(id string, high, wide, closed float64, runs ...orb.LineString) growth.Body {
	return growth.Body{Feature: feature(id, planner.KindHedge, &planner.Hedge{}), Runs: runs, Size: growth.Size{Height: known(high), Spread: known(wide)},
		DensityKnown: true, DensityLeafOn: closed, DensityLeafOff: closed}
}

// tree is a crown of known size and density.
func tree(id string, at orb.Point, high, wide, base, closed float64) growth.Crown {
	return growth.Crown{Plant: &setout.Plant{Feature: feature(id, planner.KindPlant, &planner.Plant{}), At: at},
		Size: growth.Size{Height: known(high), Spread: known(wide), BaseM: base}, DensityKnown: true, DensityLeafOn: closed, DensityLeafOff: closed}
}

func square(x0, y0, x1, y1 float64) orb.MultiPolygon {
	return orb.MultiPolygon{{{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}}}}
}

func house(id string, high float64, shape orb.MultiPolygon) *planner.Feature {
	f := feature(id, planner.KindBuilding, &planner.Building{HeightM: high, WantsLight: true}, "height_m")
	f.Shape.Polygons = shape
	return f
}

func bedAt(id string, wanted float64, shape orb.MultiPolygon) *planner.Feature {
	f := feature(id, planner.KindBed, &planner.Bed{LightHours: wanted})
	f.Shape.Polygons = shape
	return f
}

func planOf(fs ...*planner.Feature) *planner.Plan {
	return planner.New(planner.DefaultHolding(), geo.Frame{}, fs...)
}

func sceneOf(bodies []growth.Body, crowns []growth.Crown, fs ...*planner.Feature) *Scene {
	return Obstacles(planOf(fs...), bodies, crowns, Middling)
}

// always is the same scene in every year.
func always(s *Scene) Scenes { return func(int, Growth) *Scene { return s } }

func field(t require.TestingT, s *Scene, g geo.Grid, p Place) *Result {
	r, err := Field(context.Background(), s, g, p, Options{})
	require.NoError(t, err)
	return r
}

func gridAt(x, y, cell float64, nx, ny int) geo.Grid {
	return geo.Grid{Min: orb.Point{x, y}, Cell: cell, Nx: nx, Ny: ny}
}

// drawScene draws a scene of some walls, trees and buildings in a square of 60 m.
func drawScene(t *rapid.T, label string) (bodies []growth.Body, crowns []growth.Crown, fs []*planner.Feature) {
	at := func() orb.Point {
		return orb.Point{rapid.Float64Range(-30, 30).Draw(t, label+" x"), rapid.Float64Range(-30, 30).Draw(t, label+" y")}
	}
	size := func(lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, label+" size") }
	for i := range rapid.IntRange(0, 3).Draw(t, label+" walls") {
		var line orb.LineString
		for range rapid.IntRange(2, 5).Draw(t, label+" corners") {
			line = append(line, at())
		}
		w := wall(string(rune('a'+i)), size(0.5, 8), rapid.SampledFrom([]float64{0, 1, 3}).Draw(t, label+" width"), size(0.1, 1), line)
		w.BaseM = rapid.SampledFrom([]float64{0, 0, 1.5}).Draw(t, label+" base")
		bodies = append(bodies, w)
	}
	for i := range rapid.IntRange(0, 5).Draw(t, label+" trees") {
		crowns = append(crowns, tree(string(rune('k'+i/2)), at(), size(2, 15), size(0.5, 8), rapid.SampledFrom([]float64{0, 1.8}).Draw(t, label+" base"), size(0.1, 1)))
	}
	for i := range rapid.IntRange(0, 2).Draw(t, label+" houses") {
		p := at()
		fs = append(fs, house(string(rune('u'+i)), size(2, 9), square(p[0], p[1], p[0]+size(1, 9), p[1]+size(1, 9))))
	}
	return bodies, crowns, fs
}

// declination is that of the sun at noon of the day of a month of the season.
func declination(p Place, month int) float64 {
	m := Months(p.LatDeg)[month]
	year := calendarYear
	if m < 4 {
		year++
	}
	return geo.SunAt(geo.SunDayOf(year, m, 21, p.LatDeg, p.LonDeg).Noon, 90, 0).AltitudeDeg
}

func tan(deg float64) float64 { return math.Tan(deg * math.Pi / 180) }

func scenesNow(t *testing.T, bodies func(year int, g Growth) []growth.Body, fs ...*planner.Feature) Scenes {
	t.Helper()
	return func(year int, g Growth) *Scene { return Obstacles(planOf(fs...), bodies(year, g), nil, Middling) }
}
