package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/growth"
)

// afterFix applies a fix and runs the rule again.
func afterFix(t testing.TB, in Input, fix *planner.Fix) (Input, []planner.Finding) {
	t.Helper()
	next := applied(t, in, fix)
	next.Stand = growth.New(next.Plan, next.Out, next.Catalogue, next.Set)
	return next, ruleOn(t, lightBed(), next)
}

// A hedge that is trimmed is kept at the greatest height that leaves the bed its hours; one that is coppiced is not kept lower.
func TestTheHedgeIsKeptLower(t *testing.T) {
	hedge := func(manage string, height float64) drawn {
		return lineOf("hedge", "hedge", props{"status": "existing", "species": "hawthorn", "manage": manage, "height_m": height, "width_m": 1.5}, [2]float64{-40, -2}, [2]float64{50, -2})
	}
	bed := boxOf("bed", "bed", 0, 0, 10, 6, props{"status": "existing", "light_hours": 14.0})
	in, found := lightOf(t, bed, hedge("trim", 5))
	require.Len(t, found, 1)
	require.NotNil(t, found[0].Fix)
	require.Regexp(t, `^Keep 'hedge hedge' at [0-9.]+ m$`, found[0].Fix.Say)
	next, after := afterFix(t, in, found[0].Fix)
	assert.Empty(t, after)
	kept := next.Plan.Feature("hedge").Detail.(*planner.Hedge).HeightM
	for _, h := range keptLowerM {
		if h > kept {
			_, found := lightOf(t, bed, hedge("trim", h))
			assert.NotEmpty(t, found, "%g m would have been too high", h)
		}
	}
	for _, c := range []struct {
		manage string
		height float64
		hours  float64
	}{{"coppice", 5, 14}, {"leave", 5, 14}, {"trim", 5, 14.949}} {
		_, found := lightOf(t, boxOf("bed", "bed", 0, 0, 10, 6, props{"status": "existing", "light_hours": c.hours}), hedge(c.manage, c.height))
		require.NotEmpty(t, found)
		assert.Nil(t, found[0].Fix, "%v", c)
	}
}

// A bed that is still to be dug is shifted to the nearest free place in its field where it has its hours, clear of what is drawn.
func TestTheBedIsShifted(t *testing.T) {
	field := boxOf("field", "parcel", -45, -30, 55, 60, nil)
	bed := boxOf("bed", "bed", 0, 0, 10, 6, props{"light_hours": 13.0})
	in, found := lightOf(t, field, bed, alderBelt("belt", -4))
	found = only(found, planner.Warn)
	require.Len(t, found, 1)
	require.NotNil(t, found[0].Fix)
	require.Regexp(t, `^Shift 'bed bed' by [0-9]+ m to the north`, found[0].Fix.Say)
	next, after := afterFix(t, in, found[0].Fix)
	assert.Empty(t, after)
	was, now := in.Plan.Feature("bed").Shape.Polygons, next.Plan.Feature("bed").Shape.Polygons
	assert.InDelta(t, geo.MultiArea(was), geo.MultiArea(now), 0.01)

	// No place is free: the way is barred by another bed, the field ends, the bed is dug.
	for name, list := range map[string][]drawn{
		"a bed in the way": {field, boxOf("other", "bed", -45, 7, 55, 60, props{"light_hours": 0}), bed, alderBelt("belt", -4)},
		"a small field":    {boxOf("field", "parcel", -45, -30, 55, 7, nil), bed, alderBelt("belt", -4)},
		"dug already":      {field, boxOf("bed", "bed", 0, 0, 10, 6, props{"light_hours": 13.0, "status": "existing"}), alderBelt("belt", -4)},
		"rows in the bed":  {field, bed, lineOf("row", "row", props{"species": "blackcurrant", "status": "planned"}, [2]float64{1, 3}, [2]float64{9, 3}), alderBelt("belt", -4)},
		"no place enough":  {field, boxOf("bed", "bed", 0, 0, 10, 6, props{"light_hours": 14.949}), alderBelt("belt", -4)},
	} {
		_, found := lightOf(t, list...)
		require.NotEmpty(t, found, name)
		for _, f := range found {
			if f.Features[0] == "bed" {
				assert.Nil(t, f.Fix, name)
			}
		}
	}

	// A single tree in the nearest place is not built over.
	tree := pointAt("tree", "plant", 5, 12, props{"species": "apple", "status": "planned", "rootstock": "M27"})
	in, found = lightOf(t, field, bed, alderBelt("belt", -4), tree)
	found = only(found, planner.Warn)
	require.NotEmpty(t, found)
	if fix := found[0].Fix; fix != nil {
		next, after := afterFix(t, in, fix)
		assert.Empty(t, only(after, planner.Warn))
		assert.False(t, geo.NewRegion(next.Plan.Feature("bed").Shape.Polygons).Contains(next.Plan.Feature("tree").Shape.Points[0]))
	}
}
