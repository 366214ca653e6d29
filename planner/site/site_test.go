package site

import (
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/species"
)

func square(x0, y0, x1, y1 float64) orb.Polygon {
	return orb.Polygon{{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}}}
}

func parcel(id string, g planner.Ground, grazed []string, shape ...orb.Polygon) *planner.Feature {
	f := &planner.Feature{ID: id, Kind: planner.KindParcel, Sound: true, Shape: planner.Shape{Polygons: shape}, Detail: &planner.Parcel{Ground: g, GrazedBy: grazed}}
	if g.Moisture != "" {
		f.State("moisture")
	}
	return f
}

func patch(id string, g planner.Ground, shape ...orb.Polygon) *planner.Feature {
	f := &planner.Feature{ID: id, Kind: planner.KindGround, Sound: true, Shape: planner.Shape{Polygons: shape}, Detail: &planner.Patch{Ground: g}}
	if g.Moisture != "" {
		f.State("moisture")
	}
	if g.Soil != "" {
		f.State("soil")
	}
	return f
}

func plan(t *rapid.T, fs ...*planner.Feature) *planner.Plan {
	frame, err := geo.NewFrame(orb.Point{-2.585, 53.985})
	if err != nil {
		if t == nil {
			panic(err)
		}
		t.Fatal(err)
	}
	return planner.New(planner.DefaultHolding(), frame, fs...)
}

func catalogue() *species.Catalogue {
	cat, err := species.Default()
	if err != nil {
		panic(err)
	}
	return cat
}

func landOf(p *planner.Plan) *Site { return New(p, catalogue()) }

func TestEstimateSward(t *testing.T) {
	const source = "Ellenberg F by Hill, Preston & Roy 2004, PLANTATT; classes derived from the definitions of F there"
	cases := []struct {
		say    string
		plants []planner.Sward
		mean   float64
		want   planner.Moisture
		source string
	}{
		{"rushes and buttercup", []planner.Sward{{Species: "soft rush", Percent: 40}, {Species: "creeping buttercup", Percent: 30}, {Species: "Yorkshire fog", Percent: 30}}, 6.70, planner.Wet, source},
		{"a ley", []planner.Sward{{Species: "ryegrass", Percent: 70}, {Species: "white clover", Percent: 30}}, 5.00, planner.Moist, source},
		{"no percents: even weights", []planner.Sward{{Species: "soft rush"}, {Species: "creeping buttercup"}}, 7, planner.Wet, source},
		{"botanical names", []planner.Sward{{Species: "Juncus effusus", Percent: 50}, {Species: "Holcus lanatus", Percent: 50}}, 6.5, planner.Wet, source + "; on the step the wetter class"},
		{"reed", []planner.Sward{{Species: "common reed"}}, 10, planner.Waterlogged, source},
		{"fog and bent", []planner.Sward{{Species: "Yorkshire fog"}, {Species: "creeping bent"}}, 6, planner.Damp, source},
	}
	for _, c := range cases {
		e := EstimateSward(catalogue(), c.plants)
		assert.InDelta(t, c.mean, e.MeanF, 1e-9, "%s (%s)", c.say, c.source)
		assert.Equal(t, c.want, e.Moisture, "%s (%s)", c.say, c.source)
	}
	e := EstimateSward(catalogue(), []planner.Sward{{Species: "soft rush", Percent: 50}, {Species: "moon grass", Percent: 50}})
	assert.Equal(t, []string{"moon grass"}, e.Unknown, "an unknown plant is told, not guessed")
	assert.InDelta(t, 7, e.MeanF, 1e-9)
	assert.Equal(t, planner.Moisture(""), EstimateSward(catalogue(), []planner.Sward{{Species: "moon grass"}}).Moisture)
}

func TestAtTakesTheWetterPatchAndKeepsWhatPatchesDoNotState(t *testing.T) {
	s := landOf(plan(nil,
		parcel("field", planner.Ground{Moisture: planner.Damp, Soil: planner.Clay}, nil, square(0, 0, 100, 100)),
		patch("dry-rise", planner.Ground{Moisture: planner.Dry}, square(0, 0, 50, 50)),
		patch("wet-foot", planner.Ground{Moisture: planner.Wet}, square(40, 0, 80, 50)),
		patch("sandy", planner.Ground{Soil: planner.Sand}, square(90, 90, 100, 100)),
	))
	assert.Equal(t, planner.Dry, s.At(orb.Point{10, 10}).Moisture, "a patch may be drier than its field")
	assert.Equal(t, planner.Wet, s.At(orb.Point{45, 10}).Moisture, "where two overlap the wetter wins")
	assert.Equal(t, planner.Damp, s.At(orb.Point{95, 95}).Moisture)
	assert.Equal(t, planner.Sand, s.At(orb.Point{95, 95}).Soil)
	assert.Equal(t, planner.Clay, s.At(orb.Point{45, 10}).Soil)
	assert.Equal(t, planner.Wet, s.At(orb.Point{80, 25}).Moisture, "the edge counts as inside")
	out := s.At(orb.Point{500, 500})
	assert.False(t, out.Known)
	assert.Equal(t, Assumed, out.Basis)
}

func TestSwardOfAParcelStandsWhereMoistureIsNotStated(t *testing.T) {
	g := planner.Ground{Soil: planner.Clay, Sward: []planner.Sward{{Species: "soft rush"}}}
	u := landOf(plan(nil, parcel("field", g, nil, square(0, 0, 10, 10)))).At(orb.Point{5, 5})
	assert.Equal(t, planner.Wet, u.Moisture)
	assert.Equal(t, FromPlan, u.Basis)
	g.Moisture = planner.Dry
	u = landOf(plan(nil, parcel("field", g, nil, square(0, 0, 10, 10)))).At(orb.Point{5, 5})
	assert.Equal(t, planner.Dry, u.Moisture, "what is stated stands over what is estimated")
}

func TestGrazedListsTheNearestFirst(t *testing.T) {
	s := landOf(plan(nil,
		parcel("far", planner.Ground{}, []string{"cattle"}, square(20, 0, 30, 10)),
		parcel("near", planner.Ground{}, []string{"sheep"}, square(0, 0, 10, 10)),
		parcel("ungrazed", planner.Ground{}, nil, square(0, 20, 10, 30)),
	))
	got := s.Grazed(orb.Point{12, 5}, 10)
	require.Len(t, got, 2)
	assert.Equal(t, "near", got[0].Parcel.ID)
	assert.InDelta(t, 2, got[0].DistM, 1e-9)
	assert.InDelta(t, 8, got[1].DistM, 1e-9)
	assert.Len(t, s.Grazed(orb.Point{12, 5}, 2), 1)
}

func TestMoistureAreasByHand(t *testing.T) {
	s := landOf(plan(nil,
		parcel("field", planner.Ground{Moisture: planner.Moist}, nil, square(0, 0, 100, 100)),
		patch("wet", planner.Ground{Moisture: planner.Wet}, square(0, 0, 50, 20)),
		patch("damp", planner.Ground{Moisture: planner.Damp}, square(0, 0, 100, 30)),
	))
	parts, exact := s.MoistureAreas(orb.MultiPolygon{square(0, 0, 100, 100)})
	assert.True(t, exact)
	assert.InDelta(t, 1000, parts[planner.Wet], 1e-6)
	assert.InDelta(t, 2000, parts[planner.Damp], 1e-6)
	assert.InDelta(t, 7000, parts[planner.Moist], 1e-6)
}

// Patches whose edges all but meet: a plain overlay of them fails, found by the property below.
func TestMoistureAreasOfEdgesThatAlmostMeet(t *testing.T) {
	box := func(x, y, w, h float64) orb.Polygon { return square(x, y, x+w, y+h) }
	s := landOf(plan(nil, parcel("field", planner.Ground{Moisture: planner.Moist}, nil, square(0, 0, 100, 100)),
		patch("a", planner.Ground{Moisture: planner.Moist}, box(1.6839034925993099e-109, -4.5495878768519834e-38, 1, 3.658112049102783)),
		patch("b", planner.Ground{Moisture: planner.Moist}, box(-1.3220845098842785e-07, -4.3965242965172666e-234, 3.45267915725708, 1.0215116739273071)),
		patch("c", planner.Ground{Moisture: planner.Moist}, box(7.972817024216056, -27.17317290360097, 1, 30.612802866965467)),
		patch("d", planner.Ground{Moisture: planner.Dry}, box(-0.04851436987519264, -0.08837890625, 40.50729243225983, 90)),
		patch("e", planner.Ground{Moisture: planner.Damp}, box(1.8136121488629355e-07, -0.0947648286819458, 8.83410099078619, 6.591272556370029))))
	shape := orb.MultiPolygon{box(1.701149501723246e-248, 0.5670555258830063, 5.341037149278392, 3.741745849776329)}
	parts, exact := s.MoistureAreas(shape)
	assert.True(t, exact)
	assert.InDelta(t, geo.MultiArea(shape), parts[planner.Damp], 1e-4, "the damp patch is the wettest and holds all of it but a sliver")
}

func TestMoistureAreasAddUpToTheShape(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		coord := rapid.Float64Range(-60, 160)
		side := rapid.Float64Range(1, 90)
		box := func(name string) orb.Polygon {
			x, y := coord.Draw(t, name+" x"), coord.Draw(t, name+" y")
			return square(x, y, x+side.Draw(t, name+" w"), y+side.Draw(t, name+" h"))
		}
		fs := []*planner.Feature{parcel("field", planner.Ground{Moisture: planner.Moist}, nil, square(0, 0, 100, 100))}
		n := rapid.IntRange(0, 5).Draw(t, "patches")
		for i := range n {
			m := rapid.SampledFrom(planner.Moistures).Draw(t, "class")
			fs = append(fs, patch(string(rune('a'+i)), planner.Ground{Moisture: m}, box("patch")))
		}
		s := landOf(plan(t, fs...))
		shape := orb.MultiPolygon{box("shape")}
		parts, exact := s.MoistureAreas(shape)
		sum := 0.0
		for _, v := range parts {
			assert.GreaterOrEqual(t, v, 0.0)
			sum += v
		}
		assert.InDelta(t, geo.MultiArea(shape), sum, 0.01)
		assert.True(t, exact)
		// A slow obvious version: the class under the middle of every cell of a fine grid.
		box0 := shape.Bound()
		cells, counted := 40, map[planner.Moisture]float64{}
		dx, dy := (box0.Max[0]-box0.Min[0])/float64(cells), (box0.Max[1]-box0.Min[1])/float64(cells)
		for i := range cells {
			for j := range cells {
				p := orb.Point{box0.Min[0] + (float64(i)+0.5)*dx, box0.Min[1] + (float64(j)+0.5)*dy}
				counted[s.At(p).Moisture] += dx * dy
			}
		}
		for _, m := range planner.Moistures {
			// A straight edge can misplace a row and a column of cells for every patch.
			assert.InDelta(t, counted[m], parts[m], float64(n+1)*2*(dx*90+dy*90)+0.1, "%s", m)
		}
	})
}
