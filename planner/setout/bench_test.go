package setout_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/require"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/setout"
)

// largePlan holds about n plants: half in one grove of many corners, with its bearing left open, the rest in hedges of bends.
func largePlan(t testing.TB, n int) *planner.Plan {
	var ring orb.Ring
	side := math.Sqrt(float64(n) / 2 * 4) // 2 m apart
	const corners = 60
	for i := range corners {
		a := 2 * math.Pi * float64(i) / corners
		r := side / math.Sqrt(math.Pi) * (1 + 0.1*math.Sin(3*a) + 0.03*math.Cos(7*a))
		ring = append(ring, orb.Point{r * math.Cos(a), r * math.Sin(a)})
	}
	ring = append(ring, ring[0])
	fs := []*planner.Feature{block("grove", planner.KindGrove, orb.Polygon{ring}, planner.Block{Pattern: "square", SpacingM: 2, Auto: true,
		Mix: []planner.Share{{Species: "common alder", SharePercent: 60}, {Species: "grey willow", SharePercent: 40}}})}
	const hedges = 10
	length := float64(n) / 2 / 6 / hedges
	for h := range hedges {
		var line orb.LineString
		for i := range 50 {
			x := length * float64(i) / 49
			line = append(line, orb.Point{x, 1000 + 40*float64(h) + 5*math.Sin(x/30)})
		}
		fs = append(fs, hedge(fmt.Sprintf("hedge-%02d", h), planner.Planned, planner.Hedge{Rows: 2, RowGapM: 0.4, PerMetre: 6,
			Mix: []planner.Share{{Species: "hawthorn", SharePercent: 60}, {Species: "blackthorn", SharePercent: 20}, {Species: "holly", SharePercent: 20}}}, line))
	}
	return plan(t, fs...)
}

func BenchmarkAll(b *testing.B) {
	for _, n := range []int{1_000, 10_000, 100_000} {
		p := largePlan(b, n)
		cat, rs := catalogue(b), ruleset(b, "general")
		b.Run(fmt.Sprintf("plants=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			got := 0
			for range b.N {
				out, err := setout.All(context.Background(), p, cat, rs)
				require.NoError(b, err)
				got = out.Listed()
			}
			b.ReportMetric(float64(got), "plants")
		})
	}
}

func BenchmarkLargeGrove(b *testing.B) {
	ring := orb.Ring{{0, 0}, {640, 20}, {655, 300}, {600, 640}, {20, 610}, {-30, 300}, {0, 0}}
	for _, pattern := range []string{"square", "triangle", "scatter"} {
		p := plan(b, block("grove", planner.KindGrove, orb.Polygon{ring}, planner.Block{Pattern: pattern, SpacingM: 2, Auto: true,
			Mix: []planner.Share{{Species: "common alder", SharePercent: 100}}}))
		cat, rs := catalogue(b), ruleset(b, "general")
		b.Run(pattern, func(b *testing.B) {
			got := 0
			for range b.N {
				out, err := setout.All(context.Background(), p, cat, rs)
				require.NoError(b, err)
				got = out.Listed()
			}
			b.ReportMetric(float64(got), "plants")
		})
	}
}

// A dense orchard whose one donor can reach few: the worst that the search for partners meets.
func BenchmarkPollination(b *testing.B) {
	for _, side := range []float64{75, 300} {
		p := plan(b, orchard(side, side, 1.5, apple("Egremont Russet", 0, 99), apple("James Grieve", 0, 1)))
		cat, rs := catalogue(b), ruleset(b, "general")
		b.Run(fmt.Sprintf("%gm", side), func(b *testing.B) {
			got := 0
			for range b.N {
				out, err := setout.All(context.Background(), p, cat, rs)
				require.NoError(b, err)
				got = out.Listed()
			}
			b.ReportMetric(float64(got), "plants")
		})
		one := plan(b, orchard(side, side, 1.5, apple("Egremont Russet", int(side*side/2.25)-1, 0), apple("James Grieve", 1, 0)))
		b.Run(fmt.Sprintf("%gm one donor", side), func(b *testing.B) {
			for range b.N {
				_, err := setout.All(context.Background(), one, cat, rs)
				require.NoError(b, err)
			}
		})
	}
}

// Plans in code, in metres of a frame at the worked example's origin.

func plan(t require.TestingT, fs ...*planner.Feature) *planner.Plan {
	return planWith(t, planner.DefaultHolding(), fs...)
}

func planWith(t require.TestingT, h planner.Holding, fs ...*planner.Feature) *planner.Plan {
	frame, err := geo.NewFrame(orb.Point{-2.602, 54.212})
	require.NoError(t, err)
	return planner.New(h, frame, fs...)
}

func block(id string, kind planner.Kind, poly orb.Polygon, d planner.Block, stated ...string) *planner.Feature {
	f := &planner.Feature{ID: id, Kind: kind, Status: planner.Planned, Sound: true, Shape: planner.Shape{Polygons: orb.MultiPolygon{poly}}, Detail: &d}
	f.State(stated...)
	return f
}

func hedge(id string, status planner.Status, d planner.Hedge, lines ...orb.LineString) *planner.Feature {
	return &planner.Feature{ID: id, Kind: planner.KindHedge, Status: status, Sound: true, Shape: planner.Shape{Lines: lines}, Detail: &d}
}
