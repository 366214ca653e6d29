package lists

import (
	"context"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
	"quickthorn/planner/species"
)

const workedFile = "../../testdata/worked-example.geojson"

// ruleSet is one of the rule sets that come with the program.
func ruleSet(t testing.TB, name string) *rules.Set {
	t.Helper()
	lib, err := rules.Default()
	require.NoError(t, err)
	set, err := lib.Set(name)
	require.NoError(t, err)
	return set
}

// catalogue is the one that comes with the program.
func catalogue(t testing.TB) *species.Catalogue {
	t.Helper()
	cat, err := species.Default()
	require.NoError(t, err)
	return cat
}

// whole reads a plan, sets it out with the catalogue and rule set that come with the program, and lists it.
func whole(t *testing.T, data []byte, alter func(*planner.Plan)) *List {
	t.Helper()
	p, err := planner.Read(data, planner.ReadOptions{})
	require.NoError(t, err)
	if alter != nil {
		alter(p)
	}
	cat, set := catalogue(t), ruleSet(t, p.Holding.RuleSet)
	out, err := setout.All(context.Background(), p, cat, set)
	require.NoError(t, err)
	l := Make(p, site.New(p, cat), out, cat, set)
	require.Equal(t, out.Listed(), l.TotalPlants)
	require.Equal(t, out.Listed(), sum(l))
	return l
}

// The worked example read from its file, whose points were set out along geodesics: nothing here is laid out by hand.
func TestWorkedExampleFromItsFile(t *testing.T) {
	data, err := os.ReadFile(workedFile)
	require.NoError(t, err)
	l := whole(t, data, nil)
	for _, row := range []struct {
		what   string
		got    any
		want   any
		source string
	}{
		{"plants in all", l.TotalPlants, 427, "291 + 20 + 67 + 48 + 1"},
		{"orchard", area(t, l, "orchard").Total, 48, "35 x 25 m at 5 m: 8 x 6"},
		{"long-field", area(t, l, "long-field").Total, 379, "427 - 48: hedges on its edge belong to it"},
		{"kitchen-bed", area(t, l, "kitchen-bed").Total, 0, "nothing stands in it"},
		{"outside", l.OutsideAnyArea, 0, "nothing stands outside"},
		{"hawthorn", orderOf(t, l, "hawthorn"), []int{229, 23, 252, 11}, "175 + 20 + 34; ceil(22.9); ceil(252 / 25)"},
		{"blackthorn", orderOf(t, l, "blackthorn"), []int{58, 6, 64, 3}, "largest remainder of 58.2; ceil(5.8); ceil(64 / 25)"},
		{"holly is cell-grown: no bundles", orderOf(t, l, "holly"), []int{58, 6, 64, 0}, "largest remainder of 58.2; ceil(5.8)"},
		{"a line under 10 has no spares", orderOf(t, l, "beech"), []int{1, 0, 1, 1}, "one tree"},
		{"stakes", sundryOf(l.Sundries, "stake", "").Quantity, 48.0, "MM106 is staked for up to 5 years (RHS, from memory)"},
		{"ties", sundryOf(l.Sundries, "tie", "").Quantity, 48.0, "one a stake"},
		{"stock guards", sundryOf(l.Sundries, "guard", "stock guard 1.5 m").Quantity, 49.0, "48 apples and a beech among sheep; Countryside Stewardship TE8"},
		{"no canes where nothing browses", sundryOf(l.Sundries, "cane", "").Quantity, 0.0, "the plan names no browsing"},
		{"orchard mulch", sundryOf(area(t, l, "orchard").Sundries, "mulch", "").Quantity, 3.958, "48 x 0.08247"},
		{"fence", sundryOf(l.Sundries, "fence", "").Quantity, 48.5, "north side of lane-hedge: sheep; the south side is the lane"},
	} {
		assert.Equal(t, row.want, row.got, "%s (%s)", row.what, row.source)
	}
	mulch := 48*0.082467 + 68*0.082467 + (48.5+3.2)*0.8*0.075
	assert.InDelta(t, mulch, sundryOf(l.Sundries, "mulch", "").Quantity, 0.002, "116 trees, 51.7 m of double row")
	assert.Empty(t, l.Notes)
}

// orderOf is plants, spare, order and bundles of the one order line of an English name.
func orderOf(t *testing.T, l *List, english string) []int {
	t.Helper()
	var got []int
	for _, o := range l.Order {
		if o.English == english {
			require.Nil(t, got, "%s has two order lines", english)
			got = []int{o.Plants, o.Spare, o.Order, o.Bundles}
		}
	}
	return got
}

// Names that the catalogue does not know, or that fit several species, stay in the list under the name as written.
func TestNamesInDoubtAreListed(t *testing.T) {
	plan := `{"type":"FeatureCollection","holding":{"name":"x","rule_set":"general"},"features":[
	 {"type":"Feature","id":"p","properties":{"kind":"parcel"},"geometry":{"type":"Polygon","coordinates":[[[-2.6,54.2],[-2.598,54.2],[-2.598,54.201],[-2.6,54.201],[-2.6,54.2]]]}},
	 {"type":"Feature","id":"a","properties":{"kind":"plant","species":"birch"},"geometry":{"type":"Point","coordinates":[-2.5995,54.2005]}},
	 {"type":"Feature","id":"b","properties":{"kind":"plant","species":"Birch "},"geometry":{"type":"Point","coordinates":[-2.5994,54.2005]}},
	 {"type":"Feature","id":"c","properties":{"kind":"plant","species":"triffid"},"geometry":{"type":"Point","coordinates":[-2.5993,54.2005]}}]}`
	l := whole(t, []byte(plan), nil)
	require.Equal(t, 3, l.TotalPlants)
	require.Len(t, l.Order, 2)
	assert.Equal(t, 2, l.Order[0].Plants)
	assert.Contains(t, l.Order[0].Note, "silver birch")
	assert.Contains(t, l.Order[0].Note, "downy birch")
	assert.Equal(t, "triffid", l.Order[1].Species)
	assert.Contains(t, l.Order[1].Note, "does not know this name")
	require.Len(t, l.Notes, 2)
	assert.Contains(t, l.Notes[0], "2 plants are listed under the name as written")
	assert.Contains(t, l.Notes[1], "1 plant is listed under the name as written")
}
