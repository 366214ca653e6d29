package planner

import (
	"bytes"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/testdata"
)

// What was drawn keeps its metres wherever it is carried: all corners of the demo, to 1 mm, in all parts of the world, and back again.
func TestMovedTo(t *testing.T) {
	was, err := Read(testdata.Demo, ReadOptions{})
	require.NoError(t, err)
	was, err = was.WithHolding([]byte(`{"rule_set": "general"}`)) // a rule set of one country suspects swapped numbers elsewhere
	require.NoError(t, err)
	start := was.Frame.Origin()
	for _, to := range []orb.Point{start, {-4.7, 53.7}, {0, 0}, {179.9, 10}, {-179.9, -10}, {25.4, 68.9}, {-70.2, -54.9}, {174.8, -41.3}, {100, mostLatitude}, {-20, -mostLatitude}} {
		moved, err := was.MovedTo(to)
		require.NoError(t, err, "%v", to)
		require.NotNil(t, moved.Holding.Origin)
		assert.Equal(t, to, *moved.Holding.Origin)
		require.Len(t, moved.Features, len(was.Features))
		sameMetres(t, was, moved)
		for i, f := range moved.Features {
			assert.Equal(t, was.Features[i].Properties(), f.Properties())
		}
		back, err := moved.MovedTo(start)
		require.NoError(t, err)
		sameMetres(t, was, back)
	}
}

func sameMetres(t require.TestingT, a, b *Plan) {
	for i, f := range a.Features {
		g := b.Features[i]
		require.Equal(t, f.ID, g.ID)
		x, y := f.Shape.corners(), g.Shape.corners()
		require.Len(t, y, len(x), f.ID)
		for _, at := range x { // a ring may begin at another of its corners
			nearest := math.Inf(1)
			for _, there := range y {
				nearest = min(nearest, math.Hypot(at[0]-there[0], at[1]-there[1]))
			}
			require.Less(t, nearest, 0.001, f.ID)
		}
	}
}

// corners are all corners of a shape in their order.
func (s Shape) corners() (out []orb.Point) {
	out = append(out, s.Points...)
	for _, l := range s.Lines {
		out = append(out, l...)
	}
	for _, g := range s.Polygons {
		for _, r := range g {
			out = append(out, r...)
		}
	}
	return out
}

// Heights, foreign members and things without geometry stay; boxes that would be stale go, of the file too.
func TestMovedToKeepsTheRest(t *testing.T) {
	plan := []byte(`{"type": "FeatureCollection", "bbox": [0, 50, 1, 51], "mine": 1, "holding": {"name": "Lost", "origin": [-4.7, 53.7]}, "features": [
		{"type": "Feature", "id": "w", "bbox": [0, 0, 1, 1], "own": true, "properties": {"kind": "well", "notes": "deep"}, "geometry": {"type": "Point", "bbox": [1, 2, 3, 4], "coordinates": [-4.7, 53.7, 120.5]}},
		{"type": "Feature", "id": "n", "properties": {"kind": "well"}, "geometry": null},
		{"type": "Feature", "properties": {"kind": "gateway"}, "geometry": {"type": "Point", "coordinates": [-4.7, 53.701]}}]}`)
	p, err := Read(plan, ReadOptions{})
	require.NoError(t, err)
	moved, err := p.MovedTo(orb.Point{-3.5, 52})
	require.NoError(t, err)
	text, err := moved.Bytes()
	require.NoError(t, err)
	assert.Contains(t, string(text), `"mine": 1`)
	assert.Contains(t, string(text), `"own": true`)
	assert.Contains(t, string(text), `[-3.5, 52, 120.5]`)
	assert.Contains(t, string(text), `"origin": [-3.5, 52]`)
	assert.Contains(t, string(text), `"geometry": null`)
	assert.NotContains(t, string(text), "bbox")
	assert.Empty(t, faultsOf(moved, "input.property"), "the origin is near what is drawn")
	same, err := p.Bytes()
	require.NoError(t, err)
	assert.True(t, bytes.Contains(same, []byte(`"bbox": [0, 50, 1, 51]`)), "the plan itself stays as it is")
}

func faultsOf(p *Plan, rule string) (out []Fault) {
	for _, f := range p.Faults {
		if f.Rule == rule {
			out = append(out, f)
		}
	}
	return out
}

func TestMovedToNowhere(t *testing.T) {
	p, err := Read(testdata.Demo, ReadOptions{})
	require.NoError(t, err)
	for _, to := range []orb.Point{{0, 90}, {0, -86}, {0, 91}, {math.NaN(), 0}, {math.Inf(1), 0}, {400, 0}} {
		_, err := p.MovedTo(to)
		var bad *Problem
		require.ErrorAs(t, err, &bad, "%v", to)
		assert.NotEmpty(t, bad.Mend)
	}
}
