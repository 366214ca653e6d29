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
	head := `{"type": "Feature", "id": "x", "properties": {"name": "Épine", `
	for _, c := range []struct {
		name, feature string
		want          []string
	}{
		{"a tree of no known kind", head + `"kind": "plant", "species": "dragon tree"}, ` + point,
			[]string{"Épine takes no light in these figures: its height is not known. State height_m, or name a species of the catalogue."}},
		{"the same with its height, but no known width", head + `"kind": "plant", "status": "existing", "species": "dragon tree", "height_m": 8}, ` + point,
			[]string{"How high and wide Épine grows is not known, so its plants take no light here. State height_m, or name the species."}},
		{"a known tree", head + `"kind": "plant", "species": "pedunculate oak"}, ` + point, nil},
		{"one row of two", head + `"kind": "windbreak", "rows": [{"species": "common alder", "spacing_m": 2}, {"species": "dragon tree", "spacing_m": 2}]}, ` + line,
			[]string{"1 of the 2 rows of Épine take no light in these figures: their height is not known. Name species of the catalogue."}},
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
