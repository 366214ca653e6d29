package interchange

import (
	"bytes"
	"encoding/json"
	"testing"
	"unicode/utf8"

	"github.com/paulmach/orb"
)

// FuzzReadGeoJSON holds the reader to what its comments promise: it agrees with the standard library on what JSON is, never
// panics, and hands out only finite positions on the globe in closed, rightly wound rings, no more of them than there are bytes.
func FuzzReadGeoJSON(f *testing.F) {
	for _, s := range []string{
		`{"type":"FeatureCollection","features":[{"type":"Feature","id":1,"properties":null,"geometry":{"type":"Point","coordinates":[1,2]}}]}`,
		`{"type":"FeatureCollection","features":[{"geometry":{"type":"Polygon","coordinates":[[[0,0],[0,2],[2,2],[2,0]],[[1,1],[1,1]]]}}]}`,
		`{"type":"FeatureCollection","features":[{"geometry":{"type":"MultiPolygon","coordinates":[[[[0,0],[1,0],[1,1]]],[]]}},{"geometry":{"type":"GeometryCollection","geometries":[{"type":"LineString","coordinates":[[0,0],[1]]}]}}],"crs":{"type":"name","properties":{"name":"EPSG:27700"}}}`,
		"\xef\xbb\xbf{\"type\":\"FeatureCollection\",\"features\":[ ] }", `[[[[`, `{"a":"\ud800\u0041"}`,
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		bad := Check(data)
		if good := json.Valid(data) && utf8.Valid(data) && depth(data) <= MaxDepth; good != (bad == nil) {
			t.Fatalf("standard library says %v, Check says %v", good, bad)
		}
		c, bad := ReadCollection(data)
		if bad != nil {
			if bad.Offset < 0 || bad.Offset > len(data) || bad.Line < 1 || bad.Column < 1 || bad.What == "" {
				t.Fatalf("fault without a place: %+v", bad)
			}
			return
		}
		arr := c.Array.Of(c.Text)
		for s := range Elements(arr) {
			v := Find(s.Of(arr), "geometry")
			if IsNull(v) {
				continue
			}
			g, fault := ReadGeometry(v, 1000)
			if fault != nil {
				if fault.Offset < 0 || fault.Offset > len(v) || fault.What == "" {
					t.Fatalf("fault without a place: %+v", fault)
				}
				continue
			}
			checkGeometry(t, g, len(v))
		}
	})
}

func depth(data []byte) int {
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	deep, most := 0, 0
	for {
		tok, err := d.Token()
		if err != nil {
			return most
		}
		switch tok {
		case json.Delim('{'), json.Delim('['):
			deep++
			most = max(most, deep)
		case json.Delim('}'), json.Delim(']'):
			deep--
		}
	}
}

func checkGeometry(t *testing.T, g Geometry, size int) {
	n := 0
	check := func(ps []orb.Point) {
		n += len(ps)
		for _, p := range ps {
			if !(p[0] >= -180 && p[0] <= 180 && p[1] >= -90 && p[1] <= 90) {
				t.Fatalf("position %v", p)
			}
		}
	}
	check(g.Points)
	for _, l := range g.Lines {
		check(l)
	}
	for _, p := range g.Polygons {
		for i, r := range p {
			check(r)
			if len(r) > 1 && r[0] != r[len(r)-1] {
				t.Fatalf("open ring %v", r)
			}
			if a := windingArea(r); i == 0 && a < -1e-9 || i > 0 && a > 1e-9 {
				t.Fatalf("ring %d winds %v", i, a)
			}
		}
	}
	if n > size {
		t.Fatalf("%d positions from %d bytes", n, size)
	}
}
