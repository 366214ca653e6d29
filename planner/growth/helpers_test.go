package growth

import (
	"context"
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

type props = map[string]any

// mPerDeg is what a degree of latitude measures at the equator, near enough for plans made here: metres are checked after reading.
const mPerDeg = 110574.0

// feature is one drawn thing, its positions in metres from a place on the equator.
func feature(id, kind, shape string, p props, at ...[2]float64) props {
	var pos [][2]float64
	for _, q := range at {
		pos = append(pos, [2]float64{q[0] / 111319.49, q[1] / mPerDeg})
	}
	var coords any = pos
	switch shape {
	case "Point":
		coords = pos[0]
	case "Polygon":
		coords = [][][2]float64{append(pos, pos[0])}
	}
	all := props{"kind": kind}
	for k, v := range p {
		all[k] = v
	}
	return props{"type": "Feature", "id": id, "properties": all, "geometry": props{"type": shape, "coordinates": coords}}
}

func planOf(t testing.TB, holding props, features ...props) *planner.Plan {
	t.Helper()
	h := props{"origin": []float64{0, 0}}
	for k, v := range holding {
		h[k] = v
	}
	data, err := json.Marshal(props{"type": "FeatureCollection", "holding": h, "features": append([]props{}, features...)})
	require.NoError(t, err)
	plan, err := planner.Read(data, planner.ReadOptions{})
	require.NoError(t, err)
	require.Empty(t, plan.Faults, "the test's own plan is sound")
	return plan
}

func standOfPlan(t testing.TB, plan *planner.Plan) *Stand {
	t.Helper()
	cat, err := species.Default()
	require.NoError(t, err)
	lib, err := rules.Default()
	require.NoError(t, err)
	set, err := lib.Set("general")
	require.NoError(t, err)
	out, err := setout.All(context.Background(), plan, cat, set)
	require.NoError(t, err)
	return New(plan, out, cat, set)
}

func standOf(t testing.TB, holding props, features ...props) *Stand {
	t.Helper()
	return standOfPlan(t, planOf(t, holding, features...))
}

func demo(t testing.TB) *planner.Plan {
	t.Helper()
	data, err := os.ReadFile("../../testdata/demo.geojson")
	require.NoError(t, err)
	plan, err := planner.Read(data, planner.ReadOptions{})
	require.NoError(t, err)
	return plan
}

// body is the only body of a feature in a year, row 0.
func body(t testing.TB, s *Stand, id string, year int) Body {
	t.Helper()
	var out []Body
	for _, b := range s.Bodies(year) {
		if b.Feature.ID == id && b.Row == 0 {
			out = append(out, b)
		}
	}
	require.Len(t, out, 1, "%s in year %d", id, year)
	return out[0]
}

func plantOf(t testing.TB, s *Stand, id string) *setout.Plant {
	t.Helper()
	l := s.out.Of(id)
	require.NotNil(t, l, id)
	require.NotEmpty(t, l.Plants, id)
	return &l.Plants[0]
}
