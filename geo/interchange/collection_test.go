package interchange

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Source: RFC 7946 (IETF 2016), 1.4, 3.3; RFC 8259, 8.1 for the byte order mark.
func TestReadCollectionRefuses(t *testing.T) {
	for _, c := range []struct{ name, text, says string }{
		{"empty", " \n", "The file is empty"},
		{"a list", `[]`, "JSON but not GeoJSON"},
		{"a number", `5`, "JSON but not GeoJSON"},
		{"no type", `{"features": []}`, "has no type"},
		{"type a number", `{"type": 5, "features": []}`, "has no type"},
		{"a Feature", `{"type": "Feature", "geometry": null, "properties": null}`, "one GeoJSON Feature"},
		{"a geometry", `{"type": "Point", "coordinates": [1, 2]}`, `"Point", not FeatureCollection`},
		{"TopoJSON", `{"type": "Topology", "objects": {}}`, `"Topology", not FeatureCollection`},
		{"no features", `{"type": "FeatureCollection"}`, "no list of features"},
		{"features null", `{"type": "FeatureCollection", "features": null}`, "no list of features"},
		{"features an object", `{"type": "FeatureCollection", "features": {}}`, "no list of features"},
	} {
		_, f := ReadCollection([]byte(c.text))
		require.NotNil(t, f, c.name)
		assert.Contains(t, f.What, c.says, c.name)
		assert.NotEmpty(t, f.Mend)
	}
}

// Source: GeoJSON format specification 1.0 (2008), section 3, for the crs member; EPSG Geodetic Parameter Dataset for the codes.
func TestCRS(t *testing.T) {
	name := func(s string) string { return `{"type": "name", "properties": {"name": "` + s + `"}}` }
	for _, c := range []struct {
		crs  string
		ok   bool
		says string
	}{
		{name("urn:ogc:def:crs:OGC:1.3:CRS84"), true, ""},
		{name("urn:ogc:def:crs:OGC::CRS84"), true, ""},
		{name("EPSG:4326"), true, ""},
		{name("urn:ogc:def:crs:EPSG::4326"), true, ""},
		{name("urn:ogc:def:crs:EPSG:6.18.3:4326"), true, ""},
		{name("http://www.opengis.net/def/crs/OGC/1.3/CRS84"), true, ""},
		{name("urn:ogc:def:crs:EPSG::27700"), false, "EPSG::27700 (British National Grid)"},
		{name("EPSG:27700"), false, "British National Grid"},
		{name("EPSG:29903"), false, "Irish Grid (TM75)"},
		{name("EPSG:2157"), false, "Irish Transverse Mercator"},
		{name("EPSG:32630"), false, "UTM zone 30"},
		{name("EPSG:32709"), false, "UTM zone 9"},
		{name("EPSG:31370"), false, "EPSG:31370"},
		{name("EPSG:43260"), false, "EPSG:43260"},
		{name("local grid of the estate"), false, "local grid of the estate"},
		{`null`, false, "unknown"},
		{`{"type": "link", "properties": {"href": "x"}}`, false, "only linked to"},
		{`{"type": "name"}`, false, "without a name"},
		{`"EPSG:4326"`, false, `"EPSG:4326"`},
	} {
		_, f := ReadCollection([]byte(`{"type": "FeatureCollection", "crs": ` + c.crs + `, "features": []}`))
		if c.ok {
			assert.Nil(t, f, c.crs)
			continue
		}
		require.NotNil(t, f, c.crs)
		assert.Contains(t, f.What, c.says)
		assert.Contains(t, f.Mend, "bring-in")
	}
	_, f := ReadGeometry([]byte(`{"type": "Point", "coordinates": [1, 2], "crs": `+name("EPSG:27700")+`}`), 1000)
	require.NotNil(t, f)
	assert.Contains(t, f.CRS, "British National Grid")
}

func TestReadCollectionKeepsPlaces(t *testing.T) {
	text := "\xef\xbb\xbf" + `{"type": "x", "features": [1], "features": [ 2, {"a": 3} ], "type": "FeatureCollection"}`
	c, f := ReadCollection([]byte(text))
	require.Nil(t, f)
	assert.True(t, c.BOM)
	assert.Equal(t, `[ 2, {"a": 3} ]`, string(c.Array.Of(c.Text)), "the last one counts")
	assert.Equal(t, `"features"`, string(c.Key.Of(c.Text)))
	assert.Equal(t, []string{"features", "type"}, c.Twice)
}
