package report

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What stands but has no known height takes no light, and that is said of each feature once. The dragon trees are in no catalogue.
func TestWhatTakesNoLightIsSaid(t *testing.T) {
	line := `"geometry": {"type": "LineString", "coordinates": [[-2, 54], [-1.9995, 54]]}}`
	point := `"geometry": {"type": "Point", "coordinates": [-1.9996, 54.0002]}}`
	field := `"geometry": {"type": "Polygon", "coordinates": [[[-2, 54], [-1.9995, 54], [-1.9995, 54.0003], [-2, 54.0003], [-2, 54]]]}}`
	crossed := `"geometry": {"type": "Polygon", "coordinates": [[[-2, 54], [-1.9995, 54.0003], [-1.9995, 54], [-2, 54.0003], [-2, 54]]]}}`
	head := `{"type": "Feature", "id": "x", "properties": {"name": "Épine", `
	for _, c := range []struct {
		name, feature string
		want          []string
	}{
		{"a tree of no known kind", head + `"kind": "plant", "species": "dragon tree"}, ` + point,
			[]string{"Épine takes no light in these figures: its height is not known. State height_m, or name a species of the catalogue."}},
		{"the same with its height, but no known width", head + `"kind": "plant", "status": "existing", "species": "dragon tree", "height_m": 8}, ` + point,
			[]string{"The width of Épine is not known, so it takes no light here. State spread_m, or name the species."}},
		{"a known tree", head + `"kind": "plant", "species": "pedunculate oak"}, ` + point, nil},
		{"one row of two", head + `"kind": "windbreak", "rows": [{"species": "common alder", "spacing_m": 2}, {"species": "dragon tree", "spacing_m": 2}]}, ` + line,
			[]string{"1 of the 2 rows of Épine take no light in these figures: their height is not known. Name species of the catalogue."}},
		{"a standing grove that does not say of what it is", head + `"kind": "grove", "status": "existing", "height_m": 14}, ` + field,
			[]string{"Épine takes no light in these figures: it states no spacing_m and the catalogue has none for what grows in it. State its spacing_m, in metres."}},
		{"a standing row, the same", head + `"kind": "row", "status": "existing", "height_m": 3}, ` + line,
			[]string{"How dense Épine is in leaf is not known (no species is stated). It is taken as 90 percent closed (common practice)."}},
		{"a wall without a height", head + `"kind": "wall"}, ` + line, []string{"Épine takes no light in these figures: its height is not known. State height_m."}},
		{"a wall with one", head + `"kind": "wall", "height_m": 2}, ` + line, nil},
		{"a fence lets the light through", head + `"kind": "fence"}, ` + line, nil},
		{"a building that crosses itself", head + `"kind": "building", "height_m": 4}, ` + crossed,
			[]string{"Épine takes no light in these figures: its outline cannot be used."}},
		{"a standing hedge of which nothing is said", head + `"kind": "hedge", "status": "existing"}, ` + line,
			[]string{"Épine states neither height_m nor planted, and is taken as 2 m high (common practice).", "Épine states no species, and counts as deciduous shrubs (common practice)."}},
		{"a standing belt of no stated height", head + `"kind": "windbreak", "status": "existing", "rows": [{"species": "common alder", "spacing_m": 2}]}, ` + line,
			[]string{"Épine states neither height_m nor planted, and counts as grown (common practice)."}},
		{"a screen of which nothing is said", head + `"kind": "screen"}, ` + line,
			[]string{"Épine states no height_m and is taken as 2 m high (common practice).", "Épine states no density_percent and is taken as 50 percent closed (common practice)."}},
		{"planted after the years that are told", head + `"kind": "plant", "species": "dragon tree", "planted": 2050}, ` + point, nil},
	} {
		r := grownDemo(t, []byte(`{"type": "FeatureCollection", "holding": {"name": "Brook End", "origin": [-2, 54], "planting_winter": 2026}, "features": [`+c.feature+`]}`))
		l, err := r.Light(context.Background(), []int{5, 20}, nil)
		require.NoError(t, err)
		var got []string
		for _, u := range l.unknown() {
			assert.Equal(t, "x", u.ID)
			got = append(got, u.Why)
		}
		assert.Equal(t, c.want, got, c.name)
		f, err := r.LightField(context.Background(), 20, MeanMonth, nil)
		require.NoError(t, err)
		for _, say := range c.want {
			assert.Contains(t, f.Said, say, c.name)
		}
	}
}
