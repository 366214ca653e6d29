package interchange

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A Feature or a geometry by itself is GeoJSON as well (RFC 7946, section 2), and a GeometryCollection (3.1.8) holds shapes that are
// things of their own, in collections of collections too.
func TestGeoJSONAloneAndInCollections(t *testing.T) {
	const line = `{"type":"LineString","coordinates":[[-2,54],[-2,54.001]]}`
	const point = `{"type":"Point","coordinates":[-2,54]}`
	collection := func(parts ...string) string {
		return `{"type":"GeometryCollection","geometries":[` + strings.Join(parts, ",") + `]}`
	}
	feature := func(geometry string) string {
		return `{"type":"Feature","id":"a","properties":{"name":"n"},"geometry":` + geometry + `}`
	}
	for _, row := range []struct {
		text   string
		shapes []string
		named  bool
		source string
	}{
		{feature(line), []string{"LineString"}, true, "RFC 7946, 3.2, alone"},
		{" \n" + feature(line) + "\n ", []string{"LineString"}, true, "with space about it"},
		{"\xEF\xBB\xBF" + line, []string{"LineString"}, false, "RFC 7946, 3.1, alone, behind a byte order mark"},
		{feature(collection(point, line)), []string{"Point", "LineString"}, true, "RFC 7946, 3.1.8"},
		{collection(point, collection(line, collection())), []string{"Point", "LineString", "GeometryCollection"}, false, "nested, and an empty one"},
		{feature("null"), []string{""}, true, "RFC 7946, 3.2, not located"},
		{`{"type":"FeatureCollection","features":[` + feature(collection(line, point)) + "," + feature(point) + `]}`, []string{"LineString", "Point", "Point"}, true, "among others"},
	} {
		b, f := ReadItems([]byte(row.text), nil)
		require.Nil(t, f, row.source)
		var shapes []string
		for _, it := range b.Items {
			shapes = append(shapes, it.Type)
			assert.Equal(t, row.named, it.Text("name") == "n", row.source)
			assert.Equal(t, it.Type == "" || it.Type == "GeometryCollection", it.Empty(), row.source)
		}
		assert.Equal(t, row.shapes, shapes, row.source)
	}
	// The place of a complaint is that in the file, in parts of parts too.
	_, f := ReadItems([]byte("{\"type\":\"Feature\",\n\"geometry\":"+collection(point, `{"type":"Point","coordinates":[200,1]}`)+"}"), nil)
	require.NotNil(t, f)
	assert.Equal(t, "line 2, column 124, feature 1", f.Where)
	// Coordinates of a grid in a collection (British National Grid, metres).
	grid, _ := GridByCode(27700)
	b, f := ReadItems([]byte(feature(collection(`{"type":"Point","coordinates":[368000,455000]}`))), &grid)
	require.Nil(t, f)
	assert.InDelta(t, 53.99, b.Items[0].Points[0][1], 0.01)
	// Deep nesting is refused before anything is made of it.
	_, f = ReadItems([]byte(strings.Repeat(`{"type":"GeometryCollection","geometries":[`, 50_000)+strings.Repeat("]}", 50_000)), nil)
	require.NotNil(t, f)
	assert.Contains(t, f.What, "nested more than")
}
