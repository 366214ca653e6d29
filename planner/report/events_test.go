package report

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

// eventsOf are the events of a plan of the features given, planted in winter 2026.
func eventsOf(t *testing.T, features string) (*Report, []SheetEvent) {
	t.Helper()
	r := grownDemo(t, []byte(`{"type": "FeatureCollection", "holding": {"name": "Brook End", "origin": [-2, 54], "planting_winter": 2026}, "features": [`+features+`]}`))
	require.NoError(t, r.Check(context.Background()))
	return r, r.Sheet().Events
}

func eventWith(list []SheetEvent, text string) *SheetEvent {
	for i := range list {
		if list[i].Text == text {
			return &list[i]
		}
	}
	return nil
}

// hazel is a hazel hedge 100 m long that is coppiced, with further properties.
func hazel(props string) string {
	return `{"type": "Feature", "id": "nuts", "properties": {"kind": "hedge", "name": "Nut hedge", "status": "existing", "height_m": 4, "manage": "coppice",
	 "mix": [{"species": "hazel", "share_percent": 100}]` + props + `}, "geometry": {"type": "LineString", "coordinates": [[-2, 54], [-1.9985, 54]]}}`
}

// The winter of a cut is the plan's own: winter 2031 is year 5 of a planting in winter 2026.
func TestEventsOfCutsToTheStool(t *testing.T) {
	for _, c := range []struct {
		name, props string
		texts       []string
		years       []int
	}{
		{"all at once", `, "cut_in": [{"winter": 2031}]`, []string{"Nut hedge is cut to the stool, winter 2031/32."}, []int{5}},
		{"in two stretches", `, "cut_in": [{"winter": 2034, "from_m": 50}, {"winter": 2029, "from_m": 0, "to_m": 50}]`,
			[]string{"Nut hedge is cut to the stool from 0 m to 50 m, winter 2029/30.", "Nut hedge is cut to the stool from 50 m to its end, winter 2034/35."}, []int{3, 8}},
		{"beyond thirty years, and before planting", `, "cut_in": [{"winter": 2057}, {"winter": 2020}]`, nil, nil},
	} {
		_, list := eventsOf(t, hazel(c.props))
		n := 0
		for _, e := range list {
			if len(e.Text) > 25 && e.Text[:25] == "Nut hedge is cut to the s" {
				n++
			}
		}
		assert.Equal(t, len(c.texts), n, "%s: %v", c.name, list)
		for i, text := range c.texts {
			e := eventWith(list, text)
			require.NotNil(t, e, "%s: %s", c.name, text)
			for _, y := range []*int{e.From, e.Mid, e.To} {
				assert.Equal(t, c.years[i], *y, c.name)
			}
			assert.Equal(t, string(planner.User), e.Confidence)
		}
	}
}

// A hedge that is laid is said to be laid, and does not come to its old height again: it is kept low.
func TestEventsOfLaying(t *testing.T) {
	_, list := eventsOf(t, strings.Replace(hazel(`, "cut_in": [{"winter": 2031}]`), `"coppice"`, `"lay"`, 1))
	e := eventWith(list, "Nut hedge is laid, winter 2031/32.")
	require.NotNil(t, e, "%v", list)
	assert.Equal(t, 5, *e.Mid)
	for _, e := range list {
		assert.NotContains(t, e.Text, "as high again")
		assert.NotContains(t, e.Text, "stool")
	}
}

// A coppiced hedge is as high again in the first year in which its growth says so, and not said to be where the next cut is sooner.
func TestEventsOfRegrowth(t *testing.T) {
	r, list := eventsOf(t, hazel(`, "cut_in": [{"winter": 2031}]`))
	f := r.Plan.Features[0]
	before := r.Stand.Line(f, 0, 4).Height.Mid
	e := eventWith(list, fmt.Sprintf("Nut hedge is as high again as before its cut, %s m.", figure(round(before, 1))))
	require.NotNil(t, e, "%v", list)
	require.NotNil(t, e.Mid)
	assert.Greater(t, *e.Mid, 5, "after the cut")
	assert.GreaterOrEqual(t, r.Stand.Line(f, 0, *e.Mid).Height.Mid, before-planner.Tolerance)
	assert.Less(t, r.Stand.Line(f, 0, *e.Mid-1).Height.Mid, before-planner.Tolerance)
	assert.NotEmpty(t, e.Rests)

	_, list = eventsOf(t, hazel(`, "cut_in": [{"winter": 2031}, {"winter": 2032}]`))
	for _, e := range list {
		if e.Mid != nil && *e.Mid < 7 {
			assert.NotContains(t, e.Text, "high again", "one summer between the two cuts")
		}
	}
}

// Events stand in the same order whatever the order of the features.
func TestEventsDoNotDependOnTheOrderOfFeatures(t *testing.T) {
	data := demo(t, "demo.geojson")
	of := func(data []byte) []SheetEvent {
		r := grownDemo(t, data)
		require.NoError(t, r.Check(context.Background()))
		return r.Sheet().Events
	}
	assert.Equal(t, of(data), of(reversed(t, data)))
}
