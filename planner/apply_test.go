package planner

import (
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestApply(t *testing.T) {
	text := string(readFile(t, "worked-example.geojson"))
	p, err := Read([]byte(text), ReadOptions{})
	require.NoError(t, err)
	before := written(t, p)
	edit := Edit{Note: "less wind", Put: []json.RawMessage{
		changed(t, p, "west-belt", map[string]any{"row_gap_m": 3}),
		json.RawMessage(feature("old-oak", "plant", at(-2.6025, 54.2119), `"species": "oak"`))},
		Delete: []string{"corner-beech", "bottom"}}
	next, back, err := p.Apply(edit)
	require.NoError(t, err)
	assert.Equal(t, before, written(t, p), "the plan itself stays as it was")
	assert.Nil(t, next.Feature("bottom"))
	assert.Equal(t, 3.0, next.Feature("west-belt").Detail.(*Windbreak).RowGapM)
	assert.Equal(t, "oak", next.Feature("old-oak").Detail.(*Plant).Species)
	assert.Equal(t, p.Frame, next.Frame)
	lines, left := strings.Split(before, "\n"), strings.Split(written(t, next), "\n")
	assert.Equal(t, lines[:4], left[:4])
	assert.Equal(t, lines[5:8], left[4:7], "what nobody touched keeps its bytes")
	assert.Len(t, left, len(lines)-1)
	assert.Equal(t, "less wind", back.Note)
	again, forth, err := next.Apply(back)
	require.NoError(t, err)
	assert.Equal(t, before, written(t, again), "the inverse gives the very bytes back")
	last, _, err := again.Apply(forth)
	require.NoError(t, err)
	assert.Equal(t, written(t, next), written(t, last), "and its inverse the edit")
}

func TestApplyRefuses(t *testing.T) {
	p, err := Read([]byte(file(someField, someOak)), ReadOptions{})
	require.NoError(t, err)
	before := written(t, p)
	for _, c := range []struct {
		name string
		edit Edit
		says string
	}{
		{"unknown id", Edit{Delete: []string{"oak", "elm"}}, "feature elm: There is no feature with this id to delete. Nothing was changed."},
		{"not JSON", Edit{Put: []json.RawMessage{[]byte(`{"type": `)}}, "put, entry 1, line 1"},
		{"nested too deep", Edit{Put: []json.RawMessage{[]byte(strings.Repeat("[", 101) + strings.Repeat("]", 101))}}, "more than 100 deep"},
		{"not a Feature", Edit{Put: []json.RawMessage{[]byte(at(1, 2))}}, "not a GeoJSON Feature"},
		{"no id", Edit{Put: []json.RawMessage{[]byte(`{"type": "Feature", "properties": null, "geometry": null}`)}}, "has no id"},
		{"twice", Edit{Put: []json.RawMessage{[]byte(someOak), []byte(someOak)}}, "puts the feature oak twice"},
		{"off the globe", Edit{Put: []json.RawMessage{[]byte(feature("a", "plant", at(200, 1)))}}, "not on the globe"},
		{"too far", Edit{Put: []json.RawMessage{[]byte(feature("a", "plant", at(-1, 52)))}}, "at most 100 km"},
		{"swapped", Edit{Put: []json.RawMessage{[]byte(feature("a", "plant", at(54.2, -2.6)))}}, "swapped"},
		{"another reference system", Edit{Put: []json.RawMessage{[]byte(`{"type": "Feature", "id": "a", "crs": {"type": "name", "properties": {"name": "EPSG:27700"}}, "properties": null, "geometry": null}`)}}, "British National Grid"},
	} {
		next, _, err := p.Apply(c.edit)
		require.Error(t, err, c.name)
		assert.Nil(t, next)
		var problem *Problem
		require.True(t, errors.As(err, &problem), c.name)
		assert.Contains(t, err.Error(), c.says)
		assert.NotEmpty(t, problem.Mend)
		assert.Equal(t, before, written(t, p))
	}
}

func TestApplyPlaces(t *testing.T) {
	p, err := Read([]byte(`{"type":"FeatureCollection","features":[ 5 ,`+someOak+" , "+someOak+`,`+"\n"+someField+"\n ]}"), ReadOptions{})
	require.NoError(t, err)
	before := written(t, p)
	for _, f := range p.Features {
		edit := Edit{Delete: []string{f.ID}}
		next, back, err := p.Apply(edit)
		require.NoError(t, err)
		_, err = Read([]byte(written(t, next)), ReadOptions{})
		require.NoError(t, err)
		again, _, err := next.Apply(back)
		require.NoError(t, err)
		assert.Equal(t, before, written(t, again), f.ID)
		assert.Equal(t, ids(p), ids(again))
	}
	all := Edit{}
	for _, f := range p.Features {
		all.Delete = append(all.Delete, f.ID)
	}
	next, back, err := p.Apply(all)
	require.NoError(t, err)
	assert.Empty(t, next.Features)
	again, _, err := next.Apply(back)
	require.NoError(t, err)
	assert.Equal(t, before, written(t, again))
}

// The first thing drawn on an empty plan gives it its origin.
func TestApplyToEmptyPlan(t *testing.T) {
	p, err := Read([]byte(`{"type": "FeatureCollection", "features": []}`), ReadOptions{})
	require.NoError(t, err)
	next, back, err := p.Apply(Edit{Put: []json.RawMessage{[]byte(someField)}})
	require.NoError(t, err)
	assert.Equal(t, -2.5995, next.Frame.Origin()[0])
	assert.True(t, next.Feature("field").Sound)
	again, _, err := next.Apply(back)
	require.NoError(t, err)
	assert.Empty(t, again.Features)
}

func ids(p *Plan) []string {
	var out []string
	for _, f := range p.Features {
		out = append(out, f.ID)
	}
	return out
}

// anyFeature draws features good and bad, with and without ids, many of them alike.
func anyFeature(t *rapid.T) string {
	kind := rapid.SampledFrom([]Kind{KindPlant, KindHedge, KindParcel, KindBuilding, KindOrchard, "beehive"}).Draw(t, "kind")
	geometry := rapid.SampledFrom([]string{
		at(-2.6, 54.2), at(-2.5991, 54.2003), drawnLine, drawnRing, `{"type": "Polygon", "coordinates": [[[-2.6,54.2],[-2.599,54.201],[-2.599,54.2],[-2.6,54.2],[-2.6,54.2]]]}`,
		`{"type":"LineString","coordinates":[[-2.6,54.2,1],[-2.6,54.21,2.50],[-2.59,54.2]]}`, "null", `{"type": "Point", "coordinates": [1]}`,
	}).Draw(t, "geometry")
	props := rapid.SampledFrom([]string{``, `, "species": "oak"`, `, "height_m": "x"`, `, "rows": 2, "x": [1.0, {"y": null}]`, `, "name": "a", "name": "b"`, `, "planted": 2027`, `, "dwelling": "yes"`}).Draw(t, "props")
	id := rapid.SampledFrom([]string{``, `"id": "a", `, `"id": "b", `, `"id": 7, `, `"id": "7", `, `"id": null, `, `"id": "plant-2702b50b", `, `"id": "c", `, `"id": "d", `}).Draw(t, "id")
	space := rapid.SampledFrom([]string{"", " ", "\n  "}).Draw(t, "space")
	return fmt.Sprintf(`%s{%s"type": "Feature", "properties": {"kind": %q%s}, "geometry": %s}%s`, space, id, kind, props, geometry, space)
}

func anyPlan(t *rapid.T) string {
	features := rapid.SliceOfN(rapid.Custom(anyFeature), 0, 7).Draw(t, "features")
	holding := rapid.SampledFrom([]string{``, `"holding": {"planting_winter": 2026}, `, `"holding": {"origin": [-2.6, 54.2]}, `}).Draw(t, "holding")
	return `{"type": "FeatureCollection", ` + holding + `"features": [` + strings.Join(features, ",") + "]}"
}

// seen is all that can be seen of a plan. Places in the file are left out of the messages.
func seen(p *Plan) string {
	var b strings.Builder
	if p.doc.placeable {
		fmt.Fprintf(&b, "%+v\n", p.Frame.Origin())
	}
	for _, f := range p.Features {
		g := *f
		g.raw, g.Detail, g.Index = nil, nil, 0
		d, _ := json.Marshal(f.Detail)
		fmt.Fprintf(&b, "%+v %s\n", g, d)
	}
	for _, f := range p.Faults {
		if strings.Contains(f.Message, "of the file") {
			f.Message = ""
		}
		fmt.Fprintf(&b, "%+v\n", f)
	}
	return b.String()
}

// Whatever the plan and the edit: the next plan is the one that its file gives, the inverse gives the same bytes back, and its
// inverse the edited ones. Features put back by an inverse include repeated ids and entries that are no features.
func TestApplyInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, err := Read([]byte(anyPlan(t)), ReadOptions{})
		require.NoError(t, err)
		before := written(t, p)
		var edit Edit
		puts := map[string]bool{}
		for _, f := range p.Features {
			switch rapid.IntRange(0, 3).Draw(t, "do") {
			case 0:
				edit.Delete = append(edit.Delete, f.ID)
			case 1:
				if raw, err := p.Change(f, map[string]any{"notes": rapid.SampledFrom([]string{"x", "y"}).Draw(t, "notes")}); err == nil {
					edit.Put = append(edit.Put, raw)
					puts[f.ID] = true
				}
			}
		}
		for range rapid.IntRange(0, 2).Draw(t, "new") {
			raw := anyFeature(t)
			if id := rawID([]byte(strings.TrimSpace(raw))); id != "" && !puts[id] {
				edit.Put = append(edit.Put, json.RawMessage(raw))
				puts[id] = true
			}
		}
		next, back, err := p.Apply(edit)
		require.NoError(t, err)
		after := written(t, next)
		fresh, err := Read([]byte(after), ReadOptions{})
		require.NoError(t, err)
		require.Equal(t, seen(fresh), seen(next), "the plan after an edit is the plan that its file gives")
		require.Equal(t, after, written(t, fresh))
		again, forth, err := next.Apply(back)
		require.NoError(t, err)
		require.Equal(t, before, written(t, again), "edit %+v back %+v", edit, back)
		require.Equal(t, seen(p), seen(again))
		last, _, err := again.Apply(forth)
		require.NoError(t, err)
		require.Equal(t, after, written(t, last))
	})
}

// The order of features in the file changes nothing that is read.
func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		features := rapid.SliceOfN(rapid.Custom(anyFeature), 0, 8).Draw(t, "features")
		p, err := Read([]byte(file(features...)), ReadOptions{})
		require.NoError(t, err)
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		r.Shuffle(len(features), func(i, j int) { features[i], features[j] = features[j], features[i] })
		q, err := Read([]byte(file(features...)), ReadOptions{})
		require.NoError(t, err)
		require.Equal(t, seen(p), seen(q))
	})
}
