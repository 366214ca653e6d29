package growth

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner/species"
)

func TestClassOfRow(t *testing.T) {
	cat, err := species.Default()
	require.NoError(t, err)
	for name, want := range map[string]RowClass{"hawthorn": ShrubRow, "hazel": ShrubRow, "common alder": TreeRow, "European larch": TreeRow, "holly": EvergreenRow,
		"Scots pine": EvergreenRow, "western red cedar": EvergreenRow} {
		s := cat.Find(name).Species
		require.NotNil(t, s, name)
		assert.Equal(t, want, ClassOf(s), name)
	}
	assert.Equal(t, UnknownRow, ClassOf(nil))
	assert.Equal(t, UnknownRow, ClassOf(&species.Species{}))
}

// By hand: half holly (50 percent closed), half hawthorn (30): 40 in leaf; bare 1 - (1 - 0.25) x (1 - (1 - 0.6 / 0.75) x 50 / 90) = 33.33.
func TestRowDensity(t *testing.T) {
	s := standOf(t, winter)
	find := func(name string) *species.Species { return s.cat.Find(name).Species }
	d := RowDensity(s.set, []Part{{Species: find("holly"), Share: 0.5}, {Species: find("hawthorn"), Share: 0.5}}, 1)
	require.Empty(t, d.Unknown)
	assert.InDelta(t, 0.4, d.LeafOn, 1e-9)
	keeps, ok := BareKeeps(s.set)
	require.True(t, ok)
	assert.InDelta(t, 50.0/90, keeps, 1e-6, "belts in Moravia, Contributions to Geophysics and Geodesy: porosity 10 percent in leaf, up to 50 bare")
	assert.InDelta(t, 0.33333, d.Bare(keeps), 1e-5)
	assert.InDelta(t, 0.15, RowDensity(s.set, []Part{{Species: find("hawthorn"), Share: 1, WidthM: 2}}, 4).LeafOn, 1e-9, "crowns of 2 m at 4 m cover half")
	assert.NotEmpty(t, RowDensity(s.set, nil, 1).Unknown)
	assert.Contains(t, RowDensity(s.set, []Part{{Name: "wobbleberry", Share: 1}}, 1).Unknown, "wobbleberry")
}
