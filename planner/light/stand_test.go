package light

import (
	"context"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
	"quickthorn/planner/growth"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

var _ Grower = (*growth.Stand)(nil)

// stand reads a plan that comes with the program and grows it.
func stand(t testing.TB, file string) (*planner.Plan, Scenes, Place) {
	data, err := os.ReadFile("../../testdata/" + file)
	require.NoError(t, err)
	plan, err := planner.Read(data, planner.ReadOptions{})
	require.NoError(t, err)
	cat, err := species.Default()
	require.NoError(t, err)
	lib, err := rules.Default()
	require.NoError(t, err)
	set, err := lib.Set(plan.Holding.RuleSet)
	require.NoError(t, err)
	out, err := setout.All(context.Background(), plan, cat, set)
	require.NoError(t, err)
	box := plan.Features[0].Shape.Bound()
	return plan, Through(plan, growth.New(plan, out, cat, set)), PlaceOf(plan.Frame, box.Center())
}

// On the plans that come with the program the light of every bed stays within the day, what is taken adds up, and a bed that falls in
// some year has its light by itself above what it wants in the year before.
func TestPlansThatComeWithTheProgram(t *testing.T) {
	ctx := context.Background()
	for _, file := range []string{"worked-example.geojson", "demo-mended.geojson"} {
		t.Run(file, func(t *testing.T) {
			plan, scenes, p := stand(t, file)
			years := []int{0, 5, 10, 20, 30}
			beds, err := Beds(ctx, plan, years, scenes, p, Options{})
			require.NoError(t, err)
			for _, y := range beds {
				assert.Len(t, y.Beds, len(plan.Of(planner.KindBed)))
				for _, b := range y.Beds {
					var hours float64
					for _, x := range b.TakenBy {
						hours += x.Hours
					}
					assert.InDelta(t, b.OpenHours-b.MeanHours, hours, 1e-9)
					assert.LessOrEqual(t, b.WorstHours, b.MeanHours)
					assert.GreaterOrEqual(t, b.WorstHours, 0.0)
					t.Logf("year %d %s: mean %.2f of %.2f h, worst %.2f, %d takers", y.Year, b.Bed.Label(), b.MeanHours, b.OpenHours, b.WorstHours, len(b.TakenBy))
				}
			}
			falls, err := FallsBelow(ctx, plan, scenes, p, Options{})
			require.NoError(t, err)
			for _, f := range falls {
				t.Logf("%s wants %g h: years %d, %d, %d; %.2f h then", f.Bed.Label(), f.Wanted, f.Earliest, f.Year, f.Latest, f.Light.MeanHours)
				assert.Less(t, f.Light.MeanHours, f.Wanted)
				if f.Year > 0 {
					assert.LessOrEqual(t, f.Earliest, f.Year)
					before, err := Beds(ctx, plan, []int{f.Year - 1}, scenes, p, Options{})
					require.NoError(t, err)
					for _, b := range before[0].Beds {
						if b.Bed == f.Bed {
							assert.GreaterOrEqual(t, b.MeanHours, f.Wanted)
						}
					}
				}
			}
			losses, err := LosesLight(ctx, plan, scenes, p, NoticedShare, Options{})
			require.NoError(t, err)
			for _, l := range losses {
				assert.Less(t, l.Hours, NoticedShare*l.Before)
				t.Logf("%s: %.2f h, %.2f h in year %d", l.Building.Label(), l.Before, l.Hours, l.Year)
			}
		})
	}
}

func BenchmarkDemo(b *testing.B) {
	plan, scenes, p := stand(b, "demo-mended.geojson")
	box := plan.Features[0].Shape.Bound()
	for _, f := range plan.Features {
		box = box.Union(f.Shape.Bound())
	}
	g, _ := GridFor(box)
	b.Run("field", func(b *testing.B) {
		for range b.N {
			_, err := Field(context.Background(), scenes(20, Middling), g, p, Options{})
			require.NoError(b, err)
		}
		b.ReportMetric(float64(g.Len()), "cells")
	})
	b.Run("falls", func(b *testing.B) {
		for range b.N {
			_, err := FallsBelow(context.Background(), plan, scenes, p, Options{})
			require.NoError(b, err)
		}
	})
}
