package setout_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/setout"
)

// A property in the wrong form, or a shape that cannot be computed with, stops its own feature and no other.
func TestWhatCannotBeUsedIsNotGuessed(t *testing.T) {
	const (
		line = `{"type":"LineString","coordinates":[[-2.6,54.2],[-2.599,54.2]]}`
		poly = `{"type":"Polygon","coordinates":[[[-2.6,54.2],[-2.599,54.2],[-2.599,54.2005],[-2.6,54.2005],[-2.6,54.2]]]}`
		bow  = `{"type":"Polygon","coordinates":[[[-2.6,54.2],[-2.599,54.2005],[-2.599,54.2],[-2.6,54.2005],[-2.6,54.2]]]}`
	)
	cases := []struct{ name, geometry, props string }{
		{"per_metre as a word", line, `"kind":"hedge","status":"planned","species":"hawthorn","per_metre":"six"`},
		{"per_metre beyond the sensible", line, `"kind":"hedge","status":"planned","species":"hawthorn","per_metre":60`},
		{"a mix that does not add up", line, `"kind":"hedge","status":"planned","mix":[{"species":"hawthorn","share_percent":60}]`},
		{"rows without form", line, `"kind":"windbreak","rows":"two"`},
		{"a row's spacing", line, `"kind":"row","species":"hazel","spacing_m":-1`},
		{"a pattern that is none", poly, `"kind":"orchard","pattern":"spiral","spacing_m":5,"trees":[{"species":"apple","share_percent":100}]`},
		{"a bearing that is none", poly, `"kind":"grove","bearing_deg":"north","spacing_m":5,"species":"alder"`},
		{"an orchard scattered", poly, `"kind":"orchard","pattern":"scatter","spacing_m":5,"trees":[{"species":"apple","share_percent":100}]`},
		{"a polygon that crosses itself", bow, `"kind":"orchard","spacing_m":5,"trees":[{"species":"apple","share_percent":100}]`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			data := fmt.Sprintf(`{"type":"FeatureCollection","features":[
				{"type":"Feature","id":"bad","properties":{%s},"geometry":%s},
				{"type":"Feature","id":"good","properties":{"kind":"hedge","status":"planned","species":"hawthorn"},"geometry":%s}]}`, c.props, c.geometry, line)
			p, err := planner.Read([]byte(data), planner.ReadOptions{})
			require.NoError(t, err)
			out := set(t, p, "general")
			require.NotNil(t, out.Of("bad"))
			assert.NotEmpty(t, out.Of("bad").Failed)
			assert.Empty(t, out.Of("bad").Plants)
			assert.NotEmpty(t, out.Of("good").Plants)
		})
	}
}

// Real fields, as drawn by others: every pattern fills each of them, inside by its margin.
func TestRealFields(t *testing.T) {
	files, err := filepath.Glob("../../testdata/parcels/*.geojson")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		p, err := planner.Read(data, planner.ReadOptions{File: file})
		require.NoError(t, err)
		for _, f := range p.Of(planner.KindParcel) {
			for _, poly := range f.Shape.Polygons {
				for _, pattern := range setout.Patterns() {
					l := set(t, plan(t, grove(pattern.Name, poly, 6, 7, 3, 0, true)), "general").Of("b")
					require.Empty(t, l.Failed, file)
					inside(t, l, poly)
					if area := geo.Area(poly); area > 5000 {
						assert.Greater(t, len(l.Plants), int(area/6/7/4), "%s: %s", file, pattern.Name)
					}
				}
			}
		}
	}
}
