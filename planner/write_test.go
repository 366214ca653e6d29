package planner

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/geo"
)

// What was read is written back byte for byte, but for the origin, which is written once.
func TestWriteKeepsBytes(t *testing.T) {
	origin := `"holding": {"origin": [-2.6, 54.2]}`
	for name, text := range map[string]string{
		"compact":             `{"type":"FeatureCollection",` + origin + `,"features":[{"type":"Feature","id":1,"properties":null,"geometry":null},5]}`,
		"wild white space":    "\n{ \"features\" : [\r\n\t" + someOak + "  ,\n\n " + someField + "\n ]\n, " + origin + " ,\"type\":\"FeatureCollection\" }\n\n",
		"empty list":          `{"type": "FeatureCollection", ` + origin + `, "features": [ ` + "\n" + ` ]}`,
		"nothing drawn":       `{"type": "FeatureCollection", "features": [{"type": "Feature", "geometry": null, "properties": {}}]}`,
		"members given twice": `{"type": "x", "type": "FeatureCollection", "features": [7], ` + origin + `, "features": [` + someOak + `], "bbox": [1, 2, 3, 4]}`,
		"foreign members":     `{"type": "FeatureCollection", "licence": {"of": ["all", 1.50, -0.0e-7]}, ` + origin + `, "features": [{"type": "Feature", "when": "1887", "id": "a", "bbox": [0,0,1,1], "properties": {"kind": "plant", "tags": {"a": [null]}, "height_m": 4.50}, "geometry": {"type": "Point", "coordinates": [-2.60000000, 5.42e1, 81], "source": "tape"}}], "end": true}`,
		"escapes kept":        `{"type": "FeatureCollection", ` + origin + `, "features": [{"type": "Feature", "id": "caf\u00e9 \ud800", "properties": {"kind": "plant", "name": "<b>&\u2028"}, "geometry": null}]}`,
	} {
		t.Run(name, func(t *testing.T) {
			p, err := Read([]byte(text), ReadOptions{})
			require.NoError(t, err)
			assert.Equal(t, text, written(t, p))
		})
	}
	p, err := Read([]byte("\xef\xbb\xbf"+file()), ReadOptions{})
	require.NoError(t, err)
	assert.Equal(t, file(), written(t, p), "a byte order mark is left out")
}

// The origin goes into the file on the first save and stays.
func TestWriteOrigin(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"no holding": {`{"type": "FeatureCollection", "features": [` + someOak + `]}`,
			`{"type": "FeatureCollection", "holding": {"origin": [-2.5995, 54.2005]}, "features": [` + someOak + `]}`},
		"empty holding": {`{"holding": { }, "type": "FeatureCollection", "features": [` + someOak + `]}`,
			`{"holding": {"origin": [-2.5995, 54.2005]}, "type": "FeatureCollection", "features": [` + someOak + `]}`},
		"null holding": {`{"holding": null, "type": "FeatureCollection", "features": [` + someOak + `]}`,
			`{"holding": {"origin": [-2.5995, 54.2005]}, "type": "FeatureCollection", "features": [` + someOak + `]}`},
		"holding behind, compact": {`{"type":"FeatureCollection","features":[` + someOak + ` ],"holding":{"name":"x","motto":1.0}}`,
			`{"type":"FeatureCollection","features":[` + someOak + ` ],"holding":{"name":"x","motto":1.0,"origin":[-2.5995, 54.2005]}}`},
		"null origin": {`{"holding": {"origin": null}, "type": "FeatureCollection", "features": [` + someOak + `]}`,
			`{"holding": {"origin": [-2.5995, 54.2005]}, "type": "FeatureCollection", "features": [` + someOak + `]}`},
	} {
		t.Run(name, func(t *testing.T) {
			p, err := Read([]byte(c.text), ReadOptions{})
			require.NoError(t, err)
			got := written(t, p)
			assert.Equal(t, c.want, got)
			again, err := Read([]byte(got), ReadOptions{})
			require.NoError(t, err)
			assert.Equal(t, got, written(t, again), "the second save changes nothing")
			assert.Equal(t, p.Frame, again.Frame)
			assert.Equal(t, p.Features[0].Shape, again.Features[0].Shape, "local coordinates do not shift by a bit")
		})
	}
}

// The origin is the middle of the box round all parcels, else round everything.
func TestOrigin(t *testing.T) {
	p, err := Read([]byte(file(someField, someOak, feature("far", "plant", at(-2.59, 54.21)))), ReadOptions{})
	require.NoError(t, err)
	assert.Equal(t, orb.Point{-2.5995, 54.2005}, p.Frame.Origin())
	p, err = Read([]byte(file(feature("a", "plant", at(-2.6, 54.2)), feature("b", "plant", at(-2.59, 54.21)))), ReadOptions{})
	require.NoError(t, err)
	assert.Equal(t, orb.Point{-2.595, 54.205}, p.Frame.Origin())
}

func TestChange(t *testing.T) {
	text := file(`{"id": "h", "type": "Feature", "when": 1.50, "properties": {"kind": "building", "dwelling": "no", "height_m": 4.50, "wants_light": true, "x": {"y": [1.0]}}, "geometry": ` + drawnRing + `}`)
	p, err := Read([]byte(text), ReadOptions{})
	require.NoError(t, err)
	assert.Equal(t, `{"id": "h", "type": "Feature", "when": 1.50, "properties": {"kind": "building", "dwelling": "yes", "height_m": 6.25, "x": {"y": [1.0]}, "name": "<Barn>"}, "geometry": `+drawnRing+`}`,
		string(changed(t, p, "h", map[string]any{"dwelling": true, "height_m": 6.25, "name": "<Barn>"}, "wants_light")))
	assert.Equal(t, text, strings.Replace(written(t, p), `"holding": {"origin": [-2.5995, 54.2005]}, `, "", 1), "the plan itself stays as it was")

	bare := `{"type":"Feature","properties":null,"geometry":` + at(-2.6, 54.2) + `}`
	p, err = Read([]byte(file(bare)), ReadOptions{})
	require.NoError(t, err)
	id := p.Features[0].ID
	got := string(changed(t, p, id, map[string]any{"kind": "plant"}))
	assert.Equal(t, `{"type":"Feature","properties":{"kind": "plant"},"geometry":`+at(-2.6, 54.2)+`,"id":"`+id+`"}`, got, "the id that it was given becomes its own")
	assert.Equal(t, `{"kind": "plant", "name": "a"}`, string(dropMember([]byte(`{"x": 1, "kind": "plant", "x": {"x": 2}, "name": "a", "x": 3}`), "x")), "all of a name go")
}

func TestReshape(t *testing.T) {
	text := file(`{"type": "Feature", "bbox": [-2.6, 54.2, -2.599, 54.2], "id": "d", "properties": {"kind": "drain"}, "geometry": {"type": "LineString", "source": "tape", "bbox": [1,2,3,4], "coordinates": [[-2.6, 54.2, 80.50], [-2.599, 54.2, 81], [-2.598, 54.2]]}}`)
	p, err := Read([]byte(text), ReadOptions{})
	require.NoError(t, err)
	f := p.Feature("d")
	l := f.Shape.Lines[0].Clone()
	l[1][1] += 10
	raw, err := p.Reshape(f, Shape{Lines: []orb.LineString{l}})
	require.NoError(t, err)
	assert.Contains(t, string(raw), `{"type": "LineString", "source": "tape", "coordinates": [[-2.6, 54.2, 80.50], [-2.599`)
	assert.Contains(t, string(raw), `[-2.598, 54.2]]}}`)
	assert.NotContains(t, string(raw), "81", "a position that moved loses its height")
	assert.NotContains(t, string(raw), "[1,2,3,4]")
	assert.Contains(t, string(raw), `"bbox": [-2.6, 54.2, -2.598, 54.2000`)
	next, _, err := p.Apply(Edit{Put: []json.RawMessage{raw}})
	require.NoError(t, err)
	for i, q := range next.Feature("d").Shape.Lines[0] {
		assert.InDelta(t, 0, geo.Dist(l[i], q), 1e-4, "9 decimals are 0.1 mm")
	}

	// A Multi type stays one, several parts make one, and rings are written as RFC 7946, 3.1.6 has them.
	p, err = Read([]byte(file(feature("h", "hedge", `{"type": "MultiLineString", "coordinates": [[[-2.6, 54.2], [-2.599, 54.2]]]}`), feature("f", "parcel", drawnRing))), ReadOptions{})
	require.NoError(t, err)
	raw, err = p.Reshape(p.Feature("h"), p.Feature("h").Shape)
	require.NoError(t, err)
	assert.JSONEq(t, `{"type": "MultiLineString", "coordinates": [[[-2.6, 54.2], [-2.599, 54.2]]]}`, geometryOf(t, raw))
	ring := orb.Ring{{0, 0}, {0, 10}, {10, 0}}
	raw, err = p.Reshape(p.Feature("f"), Shape{Polygons: orb.MultiPolygon{{ring}, {{{20, 0}, {30, 0}, {30, 10}, {20, 0}}}}})
	require.NoError(t, err)
	next, _, err = p.Apply(Edit{Put: []json.RawMessage{raw}})
	require.NoError(t, err)
	assert.Empty(t, next.Faults, "closed and wound")
	assert.Contains(t, geometryOf(t, raw), "MultiPolygon")
	assert.Equal(t, orb.Ring{{0, 0}, {0, 10}, {10, 0}}, ring, "the argument stays as it was")
	_, err = p.Reshape(p.Feature("f"), Shape{})
	assert.Error(t, err)
}

func geometryOf(t *testing.T, raw []byte) string {
	var f struct{ Geometry json.RawMessage }
	require.NoError(t, json.Unmarshal(raw, &f))
	return string(f.Geometry)
}

func TestNewFeature(t *testing.T) {
	p, err := Read([]byte(file(someField)), ReadOptions{})
	require.NoError(t, err)
	raw, err := p.NewFeature("f", KindFence, Shape{Lines: []orb.LineString{{{0, 0}, {10, 0}}}}, map[string]any{"stockproof": true, "height_m": 1.2, "name": "a & b"})
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(string(raw), `{"type": "Feature", "id": "f", "properties": {"kind": "fence", "height_m": 1.2, "name": "a & b", "stockproof": true}, "geometry": {"type": "LineString", "coordinates": [[-2.5995, 54.2005], [`), string(raw))
	next, back, err := p.Apply(Edit{Put: []json.RawMessage{raw}})
	require.NoError(t, err)
	assert.Empty(t, next.Faults)
	assert.InDelta(t, 10, geo.Length(next.Feature("f").Shape.Lines[0]), 1e-4)
	assert.Equal(t, []string{"f"}, back.Delete)
}

// A plan made in code is written as a file that reads as the same plan.
func TestWriteNew(t *testing.T) {
	p, err := Read(readFile(t, "worked-example.geojson"), ReadOptions{})
	require.NoError(t, err)
	var features []*Feature
	for _, f := range p.Features {
		g := *f
		g.raw = nil
		features = append(features, &g)
	}
	h := p.Holding
	h.Limits = map[string]map[string]OwnLimit{"hedge.gap": {"greatest_m": {Value: 3}, "word": {Text: "x", Reason: "y"}}}
	h.Accepted = []Accepted{{Key: "a", Reason: "b"}}
	var b bytes.Buffer
	require.NoError(t, New(h, p.Frame, features...).Write(&b))
	again, err := Read(b.Bytes(), ReadOptions{})
	require.NoError(t, err)
	assert.Empty(t, again.Faults)
	for i, f := range p.Features {
		g := again.Features[i]
		assert.Equal(t, f.ID, g.ID)
		assert.Equal(t, f.Kind, g.Kind)
		assert.Equal(t, f.Status, g.Status)
		assert.Equal(t, f.Name, g.Name)
		assert.Equal(t, f.Detail, g.Detail)
		assert.InDelta(t, 0, geo.Dist(f.Shape.Bound().Min, g.Shape.Bound().Min), 1e-4)
	}
	assert.Equal(t, h.Limits, again.Holding.Limits)
	assert.Equal(t, h.Accepted, again.Holding.Accepted)
	assert.Equal(t, "england", again.Holding.RuleSet)
	assert.Equal(t, 2026, again.Holding.PlantingWinter)
	assert.NotContains(t, b.String(), "bundle", "defaults are not written")
}

// Whatever a kind's properties are, writing them from the fields and reading them again gives the same fields.
func TestEncodeEveryProperty(t *testing.T) {
	values := map[PropType][]string{
		TypeNumber: {"0", "1.5", "4"}, TypeInteger: {"1", "3"}, TypeText: {`"a"`, `""`}, TypeYesNo: {"true", "false"}, TypeWinter: {"2027"},
		TypeBearing: {"0", "45.5", `"auto"`}, TypeID: {`"a"`}, TypeIDs: {`["a", 7]`, `[]`}, TypeSpecies: {`"oak"`},
		TypeMix:   {`[{"species": "oak", "share_percent": 60}, {"species": "ash", "share_percent": 40}]`},
		TypeTrees: {`[{"species": "apple", "cultivar": "Ashmead's Kernel", "rootstock": "M26", "form": "bush", "share_percent": 100}]`, `[{"species": "apple", "count": 3}]`},
		TypeRows:  {`[{"species": "alder", "spacing_m": 2}, {"mix": [{"species": "a", "share_percent": 50}, {"species": "b", "share_percent": 50}]}]`, `[]`},
		TypeCuts:  {`[2027, {"winter": 2030, "from_m": 5, "to_m": 9}, {"winter": 2031, "from_m": 5}]`}, TypeSward: {`["rush", {"species": "sedge", "percent": 5}]`},
	}
	for _, s := range Kinds() {
		for _, p := range append(CommonProps(), s.Props...) {
			list := values[p.Type]
			if p.Type == TypeChoice || p.Type == TypeChoices {
				for _, a := range p.Allowed {
					v := `"` + a + `"`
					if p.Type == TypeChoices {
						v = "[" + v + "]"
					}
					list = append(list, v)
				}
			}
			require.NotEmpty(t, list, p.Type)
			for _, v := range list {
				_, f := read1(t, s.Kind, `"`+p.Name+`": `+v)
				if f.Wrong(p.Name) {
					continue // out of this property's range
				}
				props, err := encodeProperties(f)
				require.NoError(t, err)
				q, err := Read([]byte(file(`{"type": "Feature", "id": "x", "properties": `+string(props)+`, "geometry": `+drawn(s.Kind)+`}`)), ReadOptions{})
				require.NoError(t, err)
				assert.Empty(t, q.Faults, "%s", props)
				g := q.Features[0]
				assert.Equal(t, f.Detail, g.Detail, "%s %s", s.Kind, props)
				assert.Equal(t, [5]any{f.Name, f.Notes, f.Status, f.Planted, f.Area}, [5]any{g.Name, g.Notes, g.Status, g.Planted, g.Area}, "%s", props)
			}
		}
	}
}
