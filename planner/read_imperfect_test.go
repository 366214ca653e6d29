package planner

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	someField = `{"type": "Feature", "id": "field", "properties": {"kind": "parcel", "name": "Long Field"}, "geometry": {"type": "Polygon", "coordinates": [[[-2.6, 54.2], [-2.599, 54.2], [-2.599, 54.201], [-2.6, 54.201], [-2.6, 54.2]]]}}`
	someOak   = `{"type": "Feature", "id": "oak", "properties": {"kind": "plant", "species": "oak"}, "geometry": {"type": "Point", "coordinates": [-2.5995, 54.2005]}}`
)

// file is a plan file of the features, one a line.
func file(features ...string) string {
	return "{\"type\": \"FeatureCollection\", \"features\": [\n" + strings.Join(features, ",\n") + "\n]}"
}

func feature(id, kind, geometry string, more ...string) string {
	props := append([]string{`"kind": "` + kind + `"`}, more...)
	return fmt.Sprintf(`{"type": "Feature", "id": %q, "properties": {%s}, "geometry": %s}`, id, strings.Join(props, ", "), geometry)
}

func at(lon, lat float64) string {
	return fmt.Sprintf(`{"type": "Point", "coordinates": [%v, %v]}`, lon, lat)
}

// The files that are refused whole. Source: the reading of imperfect files in the README; JSON as RFC 8259 (IETF 2017), GeoJSON as
// RFC 7946 (IETF 2016), the old crs member as the GeoJSON specification of 2008, section 3.
func TestReadRefusesWhole(t *testing.T) {
	grid := `{"type": "FeatureCollection", "crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::27700"}}, "features": []}`
	gb := func(rest string) string {
		return strings.Replace(rest, `"features"`, `"holding": {"rule_set": "wales"}, "features"`, 1)
	}
	for _, c := range []struct {
		name, text string
		opt        ReadOptions
		where      string
		says       []string
	}{
		{"not JSON", "{\"type\": \"FeatureCollection\",\n \"features\": [}", ReadOptions{}, "line 2, column 15 (byte 44)", []string{"A value should stand here"}},
		{"cut short", file(someField)[:201], ReadOptions{}, "line 2", []string{"cut short"}},
		{"two texts", file(someField) + "\n{}", ReadOptions{}, "line 4, column 1", []string{"One file holds one text"}},
		{"not GeoJSON", `{"plan": 1}`, ReadOptions{}, "line 1, column 1", []string{"not GeoJSON"}},
		{"one Feature", someField, ReadOptions{}, "line 1", []string{"not a FeatureCollection", `{"type": "FeatureCollection", "features": [`}},
		{"not UTF-8", file("{\"type\": \"Feature\", \"id\": \"caf\xe9\"}"), ReadOptions{}, "line 2, column 31 (byte 74)", []string{"not UTF-8", "Save it again"}},
		{"over the limit", file(someField), ReadOptions{MaxBytes: 100}, "", []string{"at most 100 bytes"}},
		{"nested too deep", file(`{"type": "Feature", "properties": {"x": ` + strings.Repeat("[", 98) + strings.Repeat("]", 98) + `}, "geometry": null}`), ReadOptions{},
			"line 2", []string{"more than 100 deep"}},
		{"another reference system", grid, ReadOptions{}, "line 1", []string{"British National Grid", "bring-in"}},
		{"another one in a feature", file(`{"type": "Feature", "id": "a", "crs": {"type": "name", "properties": {"name": "EPSG:2157"}}, "properties": null, "geometry": null}`),
			ReadOptions{}, "feature 1 of the file (id a)", []string{"Irish Transverse Mercator", "bring-in"}},
		{"another one in a geometry", file(feature("a", "plant", `{"type": "Point", "coordinates": [1, 2], "crs": {"type": "name", "properties": {"name": "EPSG:32630"}}}`)),
			ReadOptions{}, "(id a)", []string{"UTM zone 30", "bring-in"}},
		{"metres of a grid", file(someField, feature("shed", "plant", at(352100, 480200))), ReadOptions{}, "line 3, column 113, feature 2 of the file (id shed)",
			[]string{"352100", "not on the globe", "metres of a grid", "bring-in"}},
		{"latitude out of range", file(feature("a", "plant", at(54.2, -102.6))), ReadOptions{}, "(id a)", []string{"not on the globe", "may be swapped", "Longitude comes first"}},
		{"too wide", file(someField, someOak, feature("far", "plant", at(-1.0, 54.2))), ReadOptions{}, "features far", []string{"104 km wide", "at most 100 km"}},
		{"a feature that reaches too far", file(someField, someOak, feature("line", "drain", `{"type": "LineString", "coordinates": [[-2.6, 54.2], [-2.6, 55.2]]}`)),
			ReadOptions{}, "features line", []string{"111 km wide"}},
		{"across the 180th meridian", file(feature("a", "plant", at(179.99, -17)), feature("b", "plant", at(-179.99, -17))), ReadOptions{}, "", []string{"180th meridian"}},
		{"one feature swapped", file(someField, someOak, feature("pond", "watercourse", at(0, 0)), feature("ash", "plant", at(54.2005, -2.5995))), ReadOptions{},
			"features ash", []string{"as if longitude and latitude were swapped", "Write longitude first"}},
		{"half of them swapped, in Britain", file(someOak, feature("ash", "plant", at(54.2005, -2.5995))), ReadOptions{}, "features ash", []string{"swapped"}},
		{"one swapped near the diagonal", file(feature("a", "plant", at(45.30, 45.00)), feature("b", "plant", at(45.301, 45.001)), feature("c", "plant", at(45.0, 45.3))),
			ReadOptions{}, "features c", []string{"swapped"}},
		{"all swapped, Welsh rules", gb(file(feature("ash", "plant", at(52.2, -3.5)), feature("oak", "plant", at(52.201, -3.501)))), ReadOptions{},
			"features ash, oak", []string{"swapped", "rule set wales"}},
		{"all swapped, Irish rules by flag", file(feature("ash", "plant", at(53.2, -8.5))), ReadOptions{RuleSet: "ireland"}, "features ash", []string{"swapped", "rule set ireland"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			opt := c.opt
			opt.File = "plan.geojson"
			p, err := Read([]byte(c.text), opt)
			require.Error(t, err)
			assert.Nil(t, p)
			var problem *Problem
			require.True(t, errors.As(err, &problem), "a problem that the user can mend")
			assert.True(t, strings.HasPrefix(err.Error(), "plan.geojson: "), err.Error())
			assert.Contains(t, problem.Where, c.where)
			assert.NotEmpty(t, problem.Mend)
			for _, s := range c.says {
				assert.Contains(t, err.Error(), s)
			}
			assert.NotContains(t, strings.ToLower(err.Error()), "error")
		})
	}
}

// one is the single fault of the rule that a plan has.
func one(t *testing.T, p *Plan, rule string) Fault {
	t.Helper()
	var found []Fault
	for _, f := range p.Faults {
		if f.Rule == rule {
			found = append(found, f)
		}
	}
	require.Len(t, found, 1, "faults of %s in %+v", rule, p.Faults)
	return found[0]
}

// Geometry that refuses its feature alone. Sources: RFC 7946, 3.1; OGC 06-103r4 (2011), 6.1.11 and 6.1.14, for validity.
func TestReadRefusesFeature(t *testing.T) {
	poly := func(rings string) string { return `{"type": "Polygon", "coordinates": [` + rings + `]}` }
	square := `[[-2.6,54.2],[-2.599,54.2],[-2.599,54.201],[-2.6,54.201],[-2.6,54.2]]`
	for _, c := range []struct {
		name, kind, geometry string
		place                bool // the fault has a place on the map
		says                 string
	}{
		{"position with one number", "plant", `{"type": "Point", "coordinates": [1]}`, false, "coordinates (feature 2 of the file, line 3, column 130)"},
		{"position with none", "plant", `{"type": "Point", "coordinates": []}`, false, "has 0 of the two numbers"},
		{"position not finite", "plant", `{"type": "Point", "coordinates": [1e400, 2]}`, false, "1e400 is too large"},
		{"position of texts", "plant", `{"type": "Point", "coordinates": ["1", 2]}`, false, "stands where a number"},
		{"short position in a line", "drain", `{"type": "LineString", "coordinates": [[-2.6, 54.2], [-2.6]]}`, false, "at coordinates[1]"},
		{"wrong shape", "parcel", poly(`[-2.6, 54.2]`), false, "a position should stand here"},
		{"unknown type", "plant", `{"type": "Circle", "coordinates": [1, 2]}`, false, `"Circle" is not a type`},
		{"geometry a list", "plant", `[1, 2]`, false, "a geometry is an object"},
		{"wrong type for the kind", "hedge", at(-2.6, 54.2), false, "is drawn as a Point, and the kind hedge needs a LineString or MultiLineString"},
		{"collection", "protected", `{"type": "GeometryCollection", "geometries": [` + at(-2.6, 54.2) + `]}`, false, "is drawn as a GeometryCollection"},
		{"too many positions", "drain", `{"type": "LineString", "coordinates": [` + strings.Repeat("[-2.6,54.2],[-2.6,54.3],", 50_000) + `[-2.6,54.2]]}`, false, "has 100002 positions, lines and rings; at most 100000"},
		{"self-crossing", "parcel", poly(`[[-2.6,54.2],[-2.599,54.201],[-2.599,54.2],[-2.6,54.201],[-2.6,54.2]]`), true, "near longitude -2.5995000, latitude 54.2005"},
		{"hole outside", "parcel", poly(square + `,[[-2.598,54.2],[-2.597,54.2],[-2.597,54.201],[-2.598,54.2]]`), true, "cannot be worked with"},
		{"nested holes", "parcel", poly(square + `,[[-2.5998,54.2002],[-2.5992,54.2002],[-2.5992,54.2008],[-2.5998,54.2008],[-2.5998,54.2002]],[[-2.5996,54.2004],[-2.5994,54.2004],[-2.5994,54.2006],[-2.5996,54.2004]]`), true, "cannot be worked with"},
		{"overlapping holes", "parcel", poly(square + `,[[-2.5998,54.2002],[-2.5994,54.2002],[-2.5994,54.2008],[-2.5998,54.2002]],[[-2.5996,54.2002],[-2.5992,54.2002],[-2.5996,54.2008],[-2.5996,54.2002]]`), true, "cannot be worked with"},
		{"hole that cuts the inside", "parcel", poly(square + `,[[-2.6,54.2005],[-2.5995,54.2008],[-2.599,54.2005],[-2.5995,54.2002],[-2.6,54.2005]]`), true, "cannot be worked with"},
		{"zero area", "parcel", poly(`[[-2.6,54.2],[-2.599,54.2],[-2.598,54.2],[-2.6,54.2]]`), true, "cannot be worked with"},
		{"zero length", "drain", `{"type": "LineString", "coordinates": [[-2.6,54.2],[-2.6,54.2]]}`, true, "cannot be worked with"},
		{"three positions in a ring", "parcel", poly(`[[-2.6,54.2],[-2.599,54.2],[-2.6,54.2]]`), true, "cannot be worked with"},
		{"one position in a ring", "parcel", poly(`[[-2.6,54.2]]`), true, "cannot be worked with"},
		{"overlapping parts", "parcel", `{"type": "MultiPolygon", "coordinates": [[` + square + `],[` + square + `]]}`, true, "cannot be worked with"},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := file(someField, feature("bad", c.kind, c.geometry, `"name": "Bottom"`), someOak)
			p, err := Read([]byte(text), ReadOptions{})
			require.NoError(t, err)
			fault := p.Faults[0]
			for _, f := range p.Faults {
				if f.Rule == "input.geometry" {
					fault = f
				}
			}
			assert.Equal(t, "input.geometry", fault.Rule)
			assert.Equal(t, Stop, fault.Severity)
			assert.Equal(t, "bad", fault.Feature)
			assert.Equal(t, c.place, fault.HasAt, "a place on the map")
			assert.Contains(t, fault.Message, c.says)
			assert.True(t, strings.HasPrefix(fault.Message, "Bottom "), fault.Message)
			assert.False(t, p.Feature("bad").Sound)
			assert.True(t, p.Feature("field").Sound, "one bad feature hides nothing of the others")
			assert.True(t, p.Feature("oak").Sound)
			assert.Contains(t, written(t, p), feature("bad", c.kind, c.geometry, `"name": "Bottom"`), "kept as it is")
			for _, f := range p.Faults {
				assert.Equal(t, "bad", f.Feature, f.Message)
			}
		})
	}
}

func written(t require.TestingT, p *Plan) string {
	var b strings.Builder
	require.NoError(t, p.Write(&b))
	return b.String()
}

// What is mended or merely noted. Sources: RFC 7946, 3.1, 3.1.6 and 3.2; RFC 8259, 4 and 8.1.
func TestReadNotes(t *testing.T) {
	ring := func(coords string) string {
		return feature("field", "parcel", `{"type": "Polygon", "coordinates": [`+coords+`]}`)
	}
	for _, c := range []struct {
		name, text, rule string
		severity         Severity
		feature, says    string
	}{
		{"unclosed ring", file(ring(`[[-2.6,54.2],[-2.599,54.2],[-2.599,54.201]]`)), "input.mended", Note, "field", "a ring that was not closed was closed"},
		{"ring the wrong way", file(ring(`[[-2.6,54.2],[-2.599,54.201],[-2.599,54.2],[-2.6,54.2]]`)), "input.mended", Note, "field", "a ring that ran the wrong way was turned"},
		{"repeated positions", file(ring(`[[-2.6,54.2],[-2.6,54.2],[-2.6,54.2],[-2.599,54.2],[-2.599,54.201],[-2.6,54.2]]`)), "input.mended", Note, "field", "2 repeated positions were dropped"},
		{"byte order mark", "\xef\xbb\xbf" + file(someField), "input.mended", Note, "", "byte order mark"},
		{"null geometry", file(someField, feature("lost", "plant", "null")), "input.geometry", Note, "lost", "is not drawn: its geometry is null or empty"},
		{"no geometry", file(`{"type": "Feature", "id": "lost", "properties": {"kind": "plant"}}`), "input.geometry", Note, "lost", "is not drawn"},
		{"empty geometry", file(someField, feature("lost", "drain", `{"type": "LineString", "coordinates": []}`)), "input.geometry", Note, "lost", "null or empty"},
		{"collection", file(someField, `{"type": "Feature", "id": "what", "properties": {"kind": "parcel"}, "geometry": {"type": "GeometryCollection", "geometries": []}}`), "input.geometry", Stop, "what", "is drawn as a GeometryCollection. Draw its parts"},
		{"not a Feature", file(someField, `{"type": "feature", "id": "what", "properties": {"kind": "plant"}, "geometry": `+at(-2.6, 54.2)+`}`), "input.geometry", Stop, "what", `has the type "feature", not Feature`},
		{"null properties", file(`{"type": "Feature", "id": "what", "properties": null, "geometry": ` + at(-2.6, 54.2) + `}`), "input.kind", Note, "what", "has no properties"},
		{"no kind", file(`{"type": "Feature", "id": "what", "properties": {"name": "Old Tom"}, "geometry": ` + at(-2.6, 54.2) + `}`), "input.kind", Note, "what", "Old Tom has no kind"},
		{"unknown kind", file(feature("a", "beehive", at(-2.6, 54.2)), feature("b", "beehive", at(-2.6, 54.2))), "input.kind", Note, "a", `"beehive" is not one that is known here (a, b)`},
		{"no id", file(strings.Replace(someOak, `"id": "oak", `, "", 1)), "input.id", Note, "plant-2702b50b", "has no id in the file. It is called plant-2702b50b here"},
		{"null id", file(strings.Replace(someOak, `"id": "oak"`, `"id": null`, 1)), "input.id", Note, "plant-2702b50b", "has no id"},
		{"empty id", file(strings.Replace(someOak, `"id": "oak"`, `"id": ""`, 1)), "input.id", Note, "plant-2702b50b", "has no id"},
		{"id neither text nor number", file(strings.Replace(someOak, `"id": "oak"`, `"id": true`, 1)), "input.id", Stop, "plant-2702b50b", "neither text nor a number (RFC 7946, 3.2)"},
		{"name given twice", file(feature("a", "plant", at(-2.6, 54.2), `"species": "oak"`, `"species": "ash"`)), "input.mended", Note, "a", `gives "species" twice. The last one counts`},
		{"features given twice", strings.Replace(file(someOak), `"features"`, `"features": [], "features"`, 1), "input.mended", Note, "", `gives "features" twice`},
		{"all swapped, general rules", file(feature("ash", "plant", at(52.2, -3.5))), "input.swapped", Warn, "", "as if longitude and latitude were swapped"},
		{"wide", file(someField, feature("far", "plant", at(-2.5, 54.2))), "input.width", Note, "", "parts per million"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := Read([]byte(c.text), ReadOptions{})
			require.NoError(t, err)
			f := one(t, p, c.rule)
			assert.Len(t, p.Faults, 1)
			assert.Equal(t, c.severity, f.Severity)
			assert.Equal(t, c.feature, f.Feature)
			assert.Contains(t, f.Message, c.says)
			assert.NotContains(t, strings.ToLower(f.Message), "error")
		})
	}
	p, err := Read([]byte(file(someField, feature("h", "plant", `{"type": "Point", "coordinates": [-2.6, 54.2, 81.25]}`))), ReadOptions{})
	require.NoError(t, err)
	assert.Empty(t, p.Faults, "a height is ignored and kept")
	assert.Contains(t, written(t, p), "[-2.6, 54.2, 81.25]")
}

// The measured distance and the scale beyond 5 km. A transverse Mercator of scale 1 is too long by x²/2R² at x metres from its
// meridian (Snyder, Map projections, USGS PP 1395, 1987, eq. 8-11 to first order), R = 6,383 km at this latitude.
func TestReadWidth(t *testing.T) {
	p, err := Read([]byte(file(someField, feature("far", "plant", at(-2.4465, 54.2005)))), ReadOptions{})
	require.NoError(t, err)
	f := one(t, p, "input.width")
	assert.InDelta(t, 9_983, *f.Measured, 60)
	assert.Equal(t, 5_000.0, *f.Limit)
	assert.Contains(t, f.Message, "1.2 parts per million too long")
	p, err = Read([]byte(file(someField, feature("near", "plant", at(-2.5235, 54.2005)))), ReadOptions{})
	require.NoError(t, err)
	assert.Empty(t, p.Faults, "4.96 km from the origin")
}

// Ids compare as text, numeric ones are written back as numbers, and none of several keeps a shared one.
func TestReadIDs(t *testing.T) {
	plant := func(id, species string) string {
		return strings.Replace(strings.Replace(someOak, `"oak", "prop`, id+`, "prop`, 1), `: "oak"}`, `: "`+species+`"}`, 1)
	}
	t.Run("numbers", func(t *testing.T) {
		text := file(plant("9007199254740993", "ash"), plant("7", "elm"), plant("1.50", "yew"))
		p, err := Read([]byte(text), ReadOptions{})
		require.NoError(t, err)
		assert.Empty(t, p.Faults)
		for id, species := range map[string]string{"9007199254740993": "ash", "7": "elm", "1.50": "yew"} {
			require.NotNil(t, p.Feature(id), id)
			assert.Equal(t, species, p.Feature(id).Detail.(*Plant).Species)
		}
		next, _, err := p.Apply(Edit{Put: []rawMessage{changed(t, p, "9007199254740993", map[string]any{"species": "oak"})}})
		require.NoError(t, err)
		assert.Contains(t, written(t, next), `"id": 9007199254740993, "prop`, "an edited feature keeps its number")
		assert.Equal(t, "oak", next.Feature("9007199254740993").Detail.(*Plant).Species)
	})
	t.Run("7 and \"7\"", func(t *testing.T) {
		p, err := Read([]byte(file(plant("7", "elm"), plant(`"7"`, "ash"))), ReadOptions{})
		require.NoError(t, err)
		assert.Nil(t, p.Feature("7"))
		assert.Len(t, p.Features, 2)
		assert.Len(t, p.Faults, 2)
		assert.Contains(t, p.Faults[0].Message, `Several features have the id "7"`)
	})
	t.Run("identical twins", func(t *testing.T) {
		bare := strings.Replace(someOak, `"id": "oak", `, "", 1)
		p, err := Read([]byte(file(bare, bare, someOak, bare)), ReadOptions{})
		require.NoError(t, err)
		var ids []string
		for _, f := range p.Features {
			ids = append(ids, f.ID)
			assert.Equal(t, f.ID != "oak", f.GivenID)
		}
		assert.Equal(t, []string{"oak", "plant-2702b50b", "plant-2702b50b-2", "plant-2702b50b-3"}, ids)
	})
	t.Run("a given id that is taken", func(t *testing.T) {
		bare := strings.Replace(someOak, `"id": "oak", `, "", 1)
		p, err := Read([]byte(file(bare, plant(`"plant-2702b50b"`, "ash"), plant(`"plant-2702b50b-2"`, "elm"))), ReadOptions{})
		require.NoError(t, err)
		require.NotNil(t, p.Feature("plant-2702b50b-3"))
		assert.Equal(t, "ash", p.Feature("plant-2702b50b").Detail.(*Plant).Species)
	})
	t.Run("white space and the order of features make no difference", func(t *testing.T) {
		a := strings.Replace(someOak, `"id": "oak", `, "", 1)
		b := strings.NewReplacer(": ", ":", ", ", " ,\n").Replace(a)
		p, err := Read([]byte(file(b)), ReadOptions{})
		require.NoError(t, err)
		assert.NotNil(t, p.Feature("plant-2702b50b"))
	})
}
