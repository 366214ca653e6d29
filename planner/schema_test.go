package planner

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func compiled(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	c.DefaultDraft(jsonschema.Draft2020)
	require.NoError(t, c.AddResource("plan.json", doc))
	s, err := c.Compile("plan.json")
	require.NoError(t, err)
	return s
}

func valid(t *testing.T, s *jsonschema.Schema, text []byte) error {
	t.Helper()
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	require.NoError(t, err)
	return s.Validate(v)
}

// Every plan file of the project that reads without a fault of the file itself keeps to the schema.
func TestSchemaFitsExamples(t *testing.T) {
	s := compiled(t)
	n := 0
	err := filepath.WalkDir("..", func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".geojson") {
			return err
		}
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		p, err := Read(data, ReadOptions{})
		if err != nil {
			return nil
		}
		for _, f := range p.Faults {
			if f.Severity == Stop {
				return nil
			}
		}
		n++
		assert.NoError(t, valid(t, s, data), path)
		return nil
	})
	require.NoError(t, err)
	assert.Positive(t, n)
	assert.NoError(t, valid(t, s, readFile(t, "worked-example.geojson")))
}

// What the schema cannot say, so that the reader refuses more than it does.
var beyondSchema = map[string]bool{
	`[{"species": "oak", "share_percent": 60}]`:                                                        true, // a sum
	`[{"species": "apple", "count": 2}, {"species": "pear"}]`:                                          true, // counts throughout
	`[{"species": "apple", "share_percent": 50}, {"species": "pear"}]`:                                 true,
	`[{"species": "apple", "count": 2, "share_percent": 3}]`:                                           true, // one of the two
	`[{"species": "apple"}, {"species": "pear"}]`:                                                      true,
	`[{"winter": 2027, "from_m": 20, "to_m": 10}]`:                                                     true, // an order
	`[{"species": "alder", "mix": [{"species": "alder", "share_percent": 100}]}]`:                      true, // one of the two
	`[{"mix": [{"species": "alder", "share_percent": 10}]}]`:                                           true,
	`[{"species": "a", "share_percent": 100}, {"species": "b", "share_percent": 1}]`:                   true,
	`[{"from_deg": 0, "percent": 60, "speed_m_s": 5}, {"from_deg": 9, "percent": 60, "speed_m_s": 5}]`: true,
	`[{"species": null}]`: true, // null is "not given" in an entry too
	`[{"mix": null}]`:     true,
}

// The schema and the reader agree on every property of every kind, over values good and bad.
func TestSchemaAgreesWithReader(t *testing.T) {
	s := compiled(t)
	values := []string{
		"null", "true", "false", "0", "1", "2", "2.0", "0.05", "0.1", "0.75", "3.5", "12", "14", "24.5", "45.5", "60", "60.5", "90", "100", "100.5", "360", "361", "1000", "2026", "2026.5", "2300", "-1",
		`""`, `" "`, `"a"`, `"yes"`, `"no"`, `"Yes"`, `"auto"`, `"unknown"`, `"wet"`, `"clay"`, `"2026"`, `"existing"`, `"./own.csv"`,
		"[]", "{}", `["a"]`, `[7]`, `[true]`, `[""]`, `["sheep"]`, `["sheep", "sheep"]`, `["sheep", "goats"]`, `["roe"]`, `["logs", "paths"]`, `[2027]`, `[27]`, `[2027.5]`, `[null]`, `[-2.6, 54.2]`, `[-2.6, 54.2, 80]`, `[-2.6]`, `[200, 1]`, `[1, 91]`,
		`[{"species": "oak", "share_percent": 100}]`, `[{"species": "oak"}]`, `[{"share_percent": 100}]`, `[{"species": 5, "share_percent": 100}]`, `[{"species": " ", "share_percent": 100}]`, `[{"species": "oak", "share_percent": "100"}]`, `[{"species": "oak", "share_percent": null}]`,
		`[{"species": "apple", "cultivar": "a", "rootstock": "b", "form": "c", "count": 4}]`, `[{"species": "apple", "count": 2.5}]`, `[{"species": "apple", "count": -1}]`, `[{"species": "apple", "cultivar": 5}]`, `[{"species": "apple", "form": null, "count": null}]`,
		`[{"species": "alder", "spacing_m": 2}]`, `[{"species": "alder", "spacing_m": 0.05}]`, `[{"spacing_m": 2}]`, `[{"mix": [{"species": "alder", "share_percent": 100}]}]`, `[{"mix": 5}]`,
		`[{"winter": 2027, "from_m": 1, "to_m": 10}]`, `[{"winter": 27}]`, `[{"from_m": 1}]`, `[{"winter": 2027, "from_m": -1}]`,
		`[{"species": "rush", "percent": 5}]`, `[{"species": "rush", "percent": 500}]`, `[{"percent": 5}]`,
		`[{"from_deg": 0, "percent": 60, "speed_m_s": 5}]`, `[{"from_deg": 0, "percent": 60}]`, `[{"from_deg": 400, "percent": 60, "speed_m_s": 5}]`,
		`{"bedding_m3": 3}`, `{"bedding_m3": "x"}`, `{"mulch_depth_m": 2}`, `{"hedge.gap": {"greatest_m": 3}}`, `{"hedge.gap": 3}`, `{"hedge.gap": {"greatest_m": {"value": 3, "reason": "x"}}}`, `{"hedge.gap": {"greatest_m": {"reason": "x"}}}`, `{"hedge.gap": {"greatest_m": []}}`,
		`[{"key": "a", "reason": "b", "measured": 1}]`, `[{"key": "a", "measured": "x"}]`, `[{"reason": "b"}]`, `[5]`,
	}
	for v := range beyondSchema {
		values = append(values, v)
	}
	agree := func(where, v, text string) {
		p, err := Read([]byte(text), ReadOptions{})
		require.NoError(t, err, text)
		read := true
		for _, f := range p.Faults {
			read = read && f.Rule != "input.property"
		}
		says := valid(t, s, []byte(text))
		if beyondSchema[v] && !read {
			return
		}
		assert.Equal(t, read, says == nil, "%s = %s: the schema says %v, the reader %+v", where, v, says, p.Faults)
	}
	done := map[string]bool{}
	for _, k := range Kinds() {
		for _, prop := range append(CommonProps(), k.Props...) {
			sort := fmt.Sprint(prop.Name, prop.Type, prop.Allowed, prop.Least, prop.Most)
			few := values
			if done[sort] {
				few = values[:4] // the same property of another kind
			}
			done[sort] = true
			for _, v := range few {
				agree(string(k.Kind)+"."+prop.Name, v, file(feature("x", string(k.Kind), drawn(k.Kind), `"`+prop.Name+`": `+v)))
			}
		}
		for geometry, kind := range map[string]string{at(-2.6, 54.2): point, drawnLine: line, drawnRing: polygon} {
			allowed := false
			for _, g := range k.Geometries {
				allowed = allowed || g == kind
			}
			assert.Equal(t, allowed, valid(t, s, []byte(file(feature("x", string(k.Kind), geometry)))) == nil, "%s drawn as a %s", k.Kind, kind)
		}
	}
	for _, prop := range HoldingProps() {
		for _, v := range values {
			agree("holding."+prop.Name, v, `{"type": "FeatureCollection", "holding": {"`+prop.Name+`": `+v+`}, "features": []}`)
		}
	}
}

func TestSchemaIsStable(t *testing.T) {
	a, b := Schema(), Schema()
	assert.True(t, bytes.Equal(a, b))
	assert.True(t, json.Valid(a))
	assert.True(t, bytes.HasSuffix(a, []byte("}\n")))
}

func TestSchemaRefuses(t *testing.T) {
	s := compiled(t)
	for _, text := range []string{
		`{"type": "Feature", "geometry": null, "properties": null}`, `{"type": "FeatureCollection"}`, `{"type": "FeatureCollection", "features": {}}`,
		`{"type": "FeatureCollection", "features": [5]}`, file(`{"type": "Feature", "properties": null, "geometry": {"type": "Point", "coordinates": [1]}}`),
		file(`{"type": "Feature", "properties": null, "geometry": {"type": "Polygon", "coordinates": [[[0,0],[1,1],[0,0]]]}}`),
		file(`{"type": "Feature", "id": true, "properties": null, "geometry": null}`),
	} {
		assert.Error(t, valid(t, s, []byte(text)), text)
	}
	assert.NoError(t, valid(t, s, []byte(file(feature("x", "beehive", drawnLine, `"height_m": "any"`)))), "other kinds are nobody's business")
}
