package planner

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/geo/interchange"
)

// A plan whose origin is stated, so that its metres are known: 0.001 degrees of latitude at 54 N are 111.3 m (WGS 84).
const metresPlan = `{"type": "FeatureCollection", "holding": {"name": "m", "origin": [-2.5, 54]}, "features": [
 {"type": "Feature", "id": "h", "colour": "green", "bbox": [-2.5, 54, -2.498, 54.001],
  "properties": {"kind": "hedge",  "ref": 12345678901234567890, "width_m": 1.50, "name": "old"},
  "geometry": {"type": "LineString", "coordinates": [[-2.5, 54, 101.5], [-2.4990000, 54.0005000], [-2.498, 54.001]]}},
 {"type": "Feature", "id": 7, "properties": {"kind": "parcel"}, "geometry": {"type": "Polygon", "coordinates": [[[-2.5, 54], [-2.5, 54.001], [-2.499, 54.001], [-2.499, 54]]]}},
 {"type": "Feature", "properties": null, "geometry": {"type": "MultiPolygon", "coordinates": [[[[-2.5, 54], [-2.499, 54], [-2.499, 54.001], [-2.5, 54]]]]}},
 {"type": "Feature", "id": "none", "properties": {"kind": "well"}, "geometry": null}
]}`

func metresOn(t *testing.T) *Plan {
	t.Helper()
	p, err := Read([]byte(metresPlan), ReadOptions{})
	require.NoError(t, err)
	return p
}

// asDrawn is a feature as the page has it: mended, in metres to the millimetre.
func asDrawn(f *Feature, properties string) string {
	mm := func(v float64) string { return fmt.Sprintf("%g", math.Round(v*1000)/1000+0) }
	at := func(p orb.Point) string { return "[" + mm(p[0]) + "," + mm(p[1]) + "]" }
	list := func(l []orb.Point) string {
		parts := []string{}
		for _, p := range l {
			parts = append(parts, at(p))
		}
		return "[" + strings.Join(parts, ",") + "]"
	}
	rings := func(g orb.Polygon) string {
		parts := []string{}
		for _, r := range g {
			parts = append(parts, list(r))
		}
		return "[" + strings.Join(parts, ",") + "]"
	}
	geometry := "null"
	switch s := f.Shape; {
	case len(s.Points) == 1:
		geometry = `{"type":"Point","coordinates":` + at(s.Points[0]) + "}"
	case len(s.Lines) == 1:
		geometry = `{"type":"LineString","coordinates":` + list(s.Lines[0]) + "}"
	case len(s.Polygons) == 1:
		geometry = `{"type":"Polygon","coordinates":` + rings(s.Polygons[0]) + "}"
	}
	return fmt.Sprintf(`{"type":"Feature","id":%q,"properties":%s,"geometry":%s}`, f.ID, properties, geometry)
}

func convert(t *testing.T, p *Plan, put string) string {
	t.Helper()
	out, err := p.FromMetres([]json.RawMessage{json.RawMessage(put)})
	require.NoError(t, err)
	require.Len(t, out, 1)
	require.Nil(t, interchange.Check(out[0]), "%s", out[0])
	return string(out[0])
}

func propertiesOf(f *Feature) string {
	text, _ := json.Marshal(f.Properties())
	return string(text)
}

// What comes back as it was given changes nothing, not a byte: rings that were mended, numbers that a browser cannot hold, foreign
// members, heights.
func TestFromMetresKeepsWhatIsTheSame(t *testing.T) {
	p := metresOn(t)
	for _, f := range p.Features {
		var props any // as a browser reads and writes it
		require.NoError(t, json.Unmarshal([]byte(propertiesOf(f)), &props))
		text, err := json.Marshal(props)
		require.NoError(t, err)
		if f.GivenID {
			text = []byte("null")
		}
		got := convert(t, p, asDrawn(f, string(text)))
		want := string(f.Raw())
		if f.GivenID {
			want = string(setMember(f.Raw(), "id", []byte(`"`+f.ID+`"`)))
		}
		assert.Equal(t, want, got)
	}
}

func TestFromMetresMovesOnlyWhatMoved(t *testing.T) {
	p := metresOn(t)
	f := p.Feature("h")
	end := f.Shape.Lines[0][2]
	put := fmt.Sprintf(`{"type":"Feature","id":"h","properties":{"kind":"hedge","ref":12345678901234567000,"width_m":2,"new":true},"geometry":{"type":"LineString","coordinates":[[%.3f,%.3f],[%.3f,%.3f],[%.3f,%.3f]]}}`,
		f.Shape.Lines[0][0][0], f.Shape.Lines[0][0][1], f.Shape.Lines[0][1][0], f.Shape.Lines[0][1][1], end[0]+5, end[1])
	got := convert(t, p, put)
	assert.Contains(t, got, `[-2.5, 54, 101.5], [-2.4990000, 54.0005000], [-2.49792`, "positions that did not move keep their text and height")
	assert.Contains(t, got, `"colour": "green"`, "foreign members stay")
	assert.NotContains(t, got, "bbox", "the box would be wrong")
	assert.Contains(t, got, `"ref": 12345678901234567890`, "a number that a browser rounds has not changed")
	assert.Contains(t, got, `"width_m": 2`)
	assert.Contains(t, got, `"new": true`)
	assert.NotContains(t, got, `"name"`, "what the feature no longer has is gone")

	next, _, err := p.Apply(Edit{Put: []json.RawMessage{json.RawMessage(got)}})
	require.NoError(t, err)
	moved := next.Feature("h").Shape.Lines[0]
	assert.InDelta(t, end[0]+5, moved[2][0], 0.0005)
	assert.InDelta(t, end[1], moved[2][1], 0.0005)
	assert.Equal(t, f.Shape.Lines[0][:2], moved[:2])
}

func TestFromMetresCases(t *testing.T) {
	p := metresOn(t)
	for name, c := range map[string]struct{ put, want, refused string }{
		"a new point":              {put: `{"type":"Feature","properties":{"kind":"well"},"geometry":{"type":"Point","coordinates":[0,0]}}`, want: `{"type":"Feature","properties":{"kind":"well"},"geometry":{"type":"Point","coordinates":[-2.5, 54]}}`},
		"a height stays":           {put: `{"type":"Feature","geometry":{"type":"Point","coordinates":[0, 0, 12.5]}}`, want: `{"type":"Feature","geometry":{"type":"Point","coordinates":[-2.5, 54, 12.5]}}`},
		"geometry taken away":      {put: `{"type":"Feature","id":7,"properties":{"kind":"parcel"},"geometry":null}`, want: `{"type": "Feature", "id": 7, "properties": {"kind": "parcel"}, "geometry": null}`},
		"geometry not mentioned":   {put: `{"type":"Feature","id":"h","properties":{"kind":"wall"}}`, want: `"coordinates": [[-2.5, 54, 101.5]`},
		"properties not spoken of": {put: `{"type":"Feature","id":"none"}`, want: `{"type": "Feature", "id": "none", "properties": {"kind": "well"}, "geometry": null}`},
		"no coordinates at all":    {put: `{"type":"Feature","id":"x","geometry":{"type":"Point"}}`, want: `{"type":"Feature","id":"x","geometry":{"type":"Point"}}`},
		"text for coordinates":     {put: `{"type":"Feature","id":"x","geometry":{"type":"LineString","coordinates":[["a",1],[5]]}}`, want: `[["a", 1], [5]]`},
		"a collection":             {put: `{"type":"Feature","id":"x","geometry":{"type":"GeometryCollection","geometries":[{"type":"Point","coordinates":[0,0]}]}}`, want: `"coordinates":[-2.5, 54]`},
		"no feature":               {put: `[1, 2]`, want: `[1, 2]`},
		"no JSON":                  {put: `{"type":`, refused: "line 1"},
		"another country":          {put: `{"type":"Feature","id":"h","geometry":{"type":"LineString","coordinates":[[0,0],[250000,0]]}}`, refused: "250 km"},
		"too large for a number":   {put: `{"type":"Feature","id":"x","geometry":{"type":"Point","coordinates":[1e300,0]}}`, refused: "km from the origin"},
	} {
		t.Run(name, func(t *testing.T) {
			out, err := p.FromMetres([]json.RawMessage{json.RawMessage(c.put)})
			if c.refused != "" {
				var problem *Problem
				require.ErrorAs(t, err, &problem)
				assert.Contains(t, err.Error(), c.refused)
				assert.NotEmpty(t, problem.Mend)
				return
			}
			require.NoError(t, err)
			assert.Contains(t, string(out[0]), c.want)
		})
	}
}

// Any line drawn to the millimetre comes back from the plan to the millimetre, wherever the holding lies.
func TestFromMetresRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lon, lat := rapid.Float64Range(-179, 179).Draw(t, "lon"), rapid.Float64Range(-70, 70).Draw(t, "lat")
		p, err := Read(fmt.Appendf(nil, `{"type":"FeatureCollection","holding":{"origin":[%.6f,%.6f]},"features":[]}`, lon, lat), ReadOptions{})
		require.NoError(t, err)
		n := rapid.IntRange(2, 20).Draw(t, "corners")
		var want []orb.Point
		var list []string
		for i := range n {
			x, y := rapid.IntRange(-2_000_000, 2_000_000).Draw(t, "x"), rapid.IntRange(-2_000_000, 2_000_000).Draw(t, "y")
			at := orb.Point{float64(x) / 1000, float64(y) / 1000}
			if i > 0 && at == want[len(want)-1] {
				continue
			}
			want = append(want, at)
			list = append(list, fmt.Sprintf("[%.3f,%.3f]", at[0], at[1]))
		}
		if len(want) < 2 {
			return
		}
		put, err := p.FromMetres([]json.RawMessage{json.RawMessage(`{"type":"Feature","id":"a","properties":{"kind":"fence"},"geometry":{"type":"LineString","coordinates":[` + strings.Join(list, ",") + `]}}`)})
		require.NoError(t, err)
		next, _, err := p.Apply(Edit{Put: put})
		require.NoError(t, err)
		got := next.Feature("a").Shape.Lines[0]
		require.Len(t, got, len(want))
		for i := range want {
			require.Equal(t, millimetres(want[i][0]), millimetres(got[i][0]))
			require.Equal(t, millimetres(want[i][1]), millimetres(got[i][1]))
		}
	})
}

func TestGiveIDs(t *testing.T) {
	p, err := Read([]byte(`{"type":"FeatureCollection","features":[{"type":"Feature","id":"hedge-2","properties":{"kind":"hedge"},"geometry":null},{"type":"Feature","id":"hedge-99999999999","properties":{},"geometry":null}]}`), ReadOptions{})
	require.NoError(t, err)
	put := func(list ...string) (out []json.RawMessage) {
		for _, s := range list {
			out = append(out, json.RawMessage(s))
		}
		return out
	}
	out, ids := p.GiveIDs(put(`{"properties":{"kind":"hedge"}}`, `{"id":"hedge-4"}`, `{"properties":{"kind":"hedge"}}`, `{"id":null,"properties":{"kind":"overhead_line"}}`,
		`{"id":"","properties":{"kind":"<script>"}}`, `{"id":12}`, `{"properties":7}`, `"text"`))
	assert.Equal(t, []string{"hedge-3", "hedge-4", "hedge-5", "overhead-line-1", "feature-1", "12", "feature-2", ""}, ids)
	for i, raw := range out[:7] {
		assert.Equal(t, ids[i], rawID(raw), "%s", raw)
	}
	assert.Equal(t, `"text"`, string(out[7]))
}

// Texts of any kind are converted or refused, never more.
func FuzzFromMetres(f *testing.F) {
	for _, s := range []string{`{"type":"Feature","id":"h","geometry":{"type":"LineString","coordinates":[[0,0],[1,1]]}}`, `{"id":7,"properties":{"kind":"parcel"},"geometry":null}`,
		`{"geometry":{"geometries":[{"coordinates":[[[]]]}]}}`, `{"id":"h","properties":{"a":{},"a":1},"geometry":{"coordinates":[1,2,3,4]}}`, `[`, `{"id":"h","id":"none","bbox":[]}`} {
		f.Add([]byte(s))
	}
	p, err := Read([]byte(metresPlan), ReadOptions{})
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		out, err := p.FromMetres([]json.RawMessage{data})
		if err != nil {
			return
		}
		if bad := interchange.Check(out[0]); bad != nil {
			t.Fatalf("%q became %q: %v", data, out[0], bad)
		}
		named, ids := p.GiveIDs(out)
		if interchange.IsObject(named[0]) && (ids[0] == "" || rawID(named[0]) != ids[0]) {
			t.Fatalf("%q has the id %q", named[0], ids[0])
		}
		next, _, err := p.Apply(Edit{Put: named})
		if err != nil {
			return
		}
		if next.Feature(ids[0]) == nil {
			t.Fatalf("%q was put and is not there", named[0])
		}
	})
}
