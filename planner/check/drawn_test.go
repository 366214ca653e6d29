package check

import (
	"context"
	"encoding/json"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/require"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
	"quickthorn/planner/species"
)

// A drawn is a feature drawn in metres from the origin of a test's holding.
type drawn struct {
	id, kind string
	at       [][2]float64 // one position: a point; closed: a polygon
	closed   bool
	props    map[string]any
}

type props = map[string]any

func pointAt(id, kind string, x, y float64, p props) drawn {
	return drawn{id: id, kind: kind, at: [][2]float64{{x, y}}, props: p}
}

func lineOf(id, kind string, p props, at ...[2]float64) drawn {
	return drawn{id: id, kind: kind, at: at, props: p}
}

func boxOf(id, kind string, x0, y0, x1, y1 float64, p props) drawn {
	return ringOf(id, kind, p, [2]float64{x0, y0}, [2]float64{x1, y0}, [2]float64{x1, y1}, [2]float64{x0, y1})
}

func ringOf(id, kind string, p props, at ...[2]float64) drawn {
	return drawn{id: id, kind: kind, at: append(at, at[0]), closed: true, props: p}
}

// planFileOf writes a plan file round 52.2 north, 3.9 west, with positions to 12 decimals, so that lengths are exact to a micrometre.
func planFileOf(t testing.TB, holding props, list ...drawn) []byte {
	t.Helper()
	origin := orb.Point{-3.9, 52.2}
	frame, err := geo.NewFrame(origin)
	require.NoError(t, err)
	h := props{"origin": origin, "name": "Test"}
	for k, v := range holding {
		h[k] = v
	}
	features := []any{}
	for _, d := range list {
		var at []orb.Point
		for _, p := range d.at {
			at = append(at, frame.ToLonLat(orb.Point(p)))
		}
		geometry := props{"type": "LineString", "coordinates": at}
		switch {
		case len(at) == 1:
			geometry = props{"type": "Point", "coordinates": at[0]}
		case d.closed:
			geometry = props{"type": "Polygon", "coordinates": [][]orb.Point{at}}
		}
		pr := props{"kind": d.kind}
		for k, v := range d.props {
			pr[k] = v
		}
		features = append(features, props{"type": "Feature", "id": d.id, "properties": pr, "geometry": geometry})
	}
	data, err := json.Marshal(props{"type": "FeatureCollection", "holding": h, "features": features})
	require.NoError(t, err)
	return data
}

// inputOf reads a plan and sets it out.
func inputOf(t testing.TB, holding props, list ...drawn) Input {
	t.Helper()
	plan, err := planner.Read(planFileOf(t, holding, list...), planner.ReadOptions{})
	require.NoError(t, err)
	require.Empty(t, plan.Faults, "the test's own plan is sound")
	return inputOfPlan(t, plan)
}

func inputOfPlan(t testing.TB, plan *planner.Plan) Input {
	t.Helper()
	cat, err := species.Default()
	require.NoError(t, err)
	lib, err := rules.Default()
	require.NoError(t, err)
	set, err := lib.Set(plan.Holding.RuleSet)
	require.NoError(t, err)
	set, loosened := set.With(plan.Holding.Limits)
	out, err := setout.All(context.Background(), plan, cat, set)
	require.NoError(t, err)
	return Input{Plan: plan, Site: site.New(plan, cat), Out: out, Catalogue: cat, Set: set, Loosened: loosened}
}

// ruleOn runs one rule over a plan.
func ruleOn(t testing.TB, rule *Rule, in Input) []planner.Finding {
	t.Helper()
	found, err := Run(context.Background(), in, []*Rule{rule})
	require.NoError(t, err)
	for _, f := range found {
		require.NotEmpty(t, f.Message)
		require.NotEmpty(t, f.Source.Text, f.Message)
		require.NotEmpty(t, f.Source.Confidence, f.Message)
		require.NotContains(t, f.Message, "%!", f.Message)
	}
	return found
}

// only is the findings of a severity.
func only(found []planner.Finding, s planner.Severity) []planner.Finding {
	var out []planner.Finding
	for _, f := range found {
		if f.Severity == s {
			out = append(out, f)
		}
	}
	return out
}

// applied is the plan after a fix.
func applied(t testing.TB, in Input, fix *planner.Fix) Input {
	t.Helper()
	require.NotNil(t, fix)
	next, _, err := in.Plan.Apply(planner.Edit{Note: fix.Say, Put: fix.Put, Delete: fix.Delete})
	require.NoError(t, err)
	return inputOfPlan(t, next)
}
