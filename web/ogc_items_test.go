package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

type page struct {
	linked
	NumberMatched, NumberReturned int
	Features                      []struct {
		ID         string
		Properties map[string]any
	}
}

func (p page) ids() (out []string) {
	for _, f := range p.Features {
		out = append(out, f.ID)
	}
	return out
}

const timely = `{"type":"FeatureCollection","holding":{"name":"timely"},"features":[
 {"type":"Feature","id":"a","properties":{"kind":"well"},"geometry":{"type":"Point","coordinates":[-8,53]}},
 {"type":"Feature","id":"b","properties":{"kind":"hedge","status":"planned","planted":2030},"geometry":{"type":"LineString","coordinates":[[-8.001,53],[-7.999,53.002]]}},
 {"type":"Feature","id":"c","properties":{"kind":"screen","until":2028},"geometry":{"type":"LineString","coordinates":[[-7.99,53],[-7.99,53.001]]}},
 {"type":"Feature","id":"d","properties":{"kind":"parcel"},"geometry":{"type":"Polygon","coordinates":[[[-8.01,53.01],[-8,53.01],[-8,53.02],[-8.01,53.02],[-8.01,53.01]],[[-8.008,53.012],[-8.008,53.018],[-8.002,53.018],[-8.002,53.012],[-8.008,53.012]]]}},
 {"type":"Feature","id":"e","properties":{"kind":"well"},"geometry":null}]}`

func timelyPlace(t *testing.T) (*place, string) {
	p := serve(t, Options{})
	where := p.ask("POST", "/holdings", timely).is(http.StatusCreated).header.Get("Location")
	return p, "/api/collections/" + strings.TrimPrefix(where, "/holdings/") + "/items"
}

// What is asked for is given: OGC 17-069r4 (1.0.1, 2022), the requirement in each row.
func TestItemsAskedFor(t *testing.T) {
	p, at := timelyPlace(t)
	cases := []struct{ query, want, source string }{
		{"", "abcde", "7.15.1"},
		{"?limit=2", "ab", "/req/core/fc-limit-response-1"},
		{"?limit=99999999", "abcde", "7.15.2: above the most is no fault"},
		{"?limit=99999999999999999999999999", "abcde", "7.15.2"},
		{"?limit=2&offset=3", "de", "paging by next"},
		{"?limit=2&offset=9", "", "paging beyond the end"},
		{"?kind=well", "ae", "/rec/core/fc-filters"},
		{"?bbox=-8.0004,52.9995,-7.9995,53.0005", "ae", "/req/core/fc-bbox-response; without a place: 7.15.3"},
		{"?bbox=-8.0006,53.0009,-7.9994,53.0011", "be", "a line that only passes through"},
		{"?bbox=-8,53,-8,53", "ae", "a box without extent"},
		{"?bbox=-8.007,53.013,-8.003,53.017", "e", "in a hole of the field"},
		{"?bbox=-8.0095,53.0105,-8.009,53.011", "de", "in the field, away from its edges"},
		{"?bbox=-9,52,-7,54", "abcde", "all"},
		{"?bbox=-9,52,-100,-7,54,500", "abcde", "/req/core/fc-bbox-definition: six numbers"},
		{"?bbox=170,-50,-170,50", "e", "/req/core/fc-bbox-response C: across 180 degrees"},
		{"?bbox=170,50,-7.995,54", "abde", "/req/core/fc-bbox-response C: across 180 degrees"},
		{"?bbox=-8.00000000000000000e0,5.29995e1,-7.9995,53.0005", "ae", "decimals and exponents as GDAL sends them"},
		{"?datetime=2026-06-01T00:00:00Z", "acde", "/req/core/fc-time-response; planted in winter 2030"},
		{"?datetime=2030-10-31T23:59:59Z", "ade", "the screen went in winter 2028"},
		{"?datetime=2030-11-01T00:00:00Z", "abde", "planted in winter 2030: from November"},
		{"?datetime=2029-03-31T23:59:59Z", "acde", "until the end of March"},
		{"?datetime=2029-01-01T00:00:00Z/2031-01-01T00:00:00Z", "abcde", "interval"},
		{"?datetime=../2020-01-01T00:00:00Z", "acde", "half open"},
		{"?datetime=2031-01-01T00:00:00Z/..", "abde", "half open"},
		{"?datetime=2031-01-01T00:00:00Z/", "abde", "half open, empty"},
		{"?datetime=2026-06-01T02:00:00%2B02:00", "acde", "RFC 3339 offset"},
		{"?datetime=2030-11-01", "abde", "a day"},
		{"?kind=hedge&bbox=-9,52,-7,54&datetime=2040-01-01T00:00:00Z&limit=1", "b", "all together"},
	}
	for _, c := range cases {
		var got page
		p.ask("GET", at+c.query, nil).is(http.StatusOK).into(&got)
		assert.Equal(t, c.want, strings.Join(got.ids(), ""), "%s (%s)", c.query, c.source)
		assert.Equal(t, len(c.want), got.NumberReturned, c.query)
		assert.Equal(t, p.at+at, strings.SplitN(got.rel("self").Href, "?", 2)[0])
		p.ask("HEAD", at+c.query, nil).is(http.StatusOK)
	}
}

// /req/core/query-param-invalid and query-param-unknown: 400.
func TestItemsRefused(t *testing.T) {
	p, at := timelyPlace(t)
	for query, name := range map[string]string{
		"limit=0": "limit", "limit=-1": "limit", "limit=x": "limit", "limit=1.5": "limit", "limit=": "limit", "limit=1&limit=2": "limit", "limit=-99999999999999999999": "limit",
		"offset=-1": "offset", "offset=x": "offset",
		"bbox=1,2,3": "bbox", "bbox=a,b,c,d": "bbox", "bbox=1,2,3,4,5": "bbox", "bbox=-200,0,0,10": "bbox", "bbox=0,10,1,5": "bbox", "bbox=NaN,0,1,1": "bbox", "bbox=0,0,Inf,1": "bbox", "bbox=": "bbox", "bbox=0,-91,1,1": "bbox",
		"datetime=2026-02-30T00:00:00Z": "datetime", "datetime=../..": "datetime", "datetime=/": "datetime", "datetime=": "datetime", "datetime=..": "datetime", "datetime=yesterday": "datetime",
		"datetime=2027-01-01T00:00:00Z/2026-01-01T00:00:00Z": "datetime", "datetime=2026-01-01T00:00:00Z/2027-01-01T00:00:00Z/..": "datetime", "foo=1": "foo", "BBOX=1,2,3,4": "BBOX",
	} {
		assert.Equal(t, name, p.ask("GET", at+"?"+query, nil).problem(malformed).Property, query)
	}
	p.ask("GET", strings.TrimSuffix(at, "/items")+"/schema?limit=1", nil).problem(malformed)
	p.ask("GET", "/api/openapi?limit=1", nil).problem(malformed)
}

// Following next from page to page shows each feature once, whatever the size of a page, and prev leads back (7.15.5).
func TestPaging(t *testing.T) {
	p := serve(t, Options{})
	var all page
	p.ask("GET", "/api/collections/demo/items", nil).is(http.StatusOK).into(&all)
	require.Nil(t, all.rel("next"))
	require.Greater(t, len(all.Features), 20)
	for _, query := range []string{"limit=1", "limit=7", "limit=20&kind=hedge", fmt.Sprintf("limit=%d", len(all.Features)), "limit=13&bbox=-2.5835,53.985,-2.582,53.9865"} {
		var whole page
		values, err := url.ParseQuery(query)
		require.NoError(t, err)
		values.Del("limit")
		p.ask("GET", "/api/collections/demo/items?"+values.Encode(), nil).is(http.StatusOK).into(&whole)
		var ids []string
		next, last := "/api/collections/demo/items?"+query, ""
		for next != "" {
			var one page
			p.ask("GET", next, nil).is(http.StatusOK).into(&one)
			require.Equal(t, whole.NumberMatched, one.NumberMatched)
			require.NotEmpty(t, one.Features, "no page is empty")
			ids = append(ids, one.ids()...)
			if last != "" {
				require.NotNil(t, one.rel("prev"))
				var before page
				p.ask("GET", strings.TrimPrefix(one.rel("prev").Href, p.at), nil).is(http.StatusOK).into(&before)
				require.Contains(t, before.ids(), last)
			}
			last = one.ids()[len(one.Features)-1]
			next = ""
			if l := one.rel("next"); l != nil {
				require.Equal(t, geoJSONMedia, l.Type)
				next = strings.TrimPrefix(l.Href, p.at)
			}
		}
		require.Equal(t, whole.ids(), ids, query)
	}
}

// The API document is whole: references lead somewhere, and what it lists is served (OpenAPI Specification 3.0.3, 2020; 17-069r4, /req/oas30).
func TestOpenAPI(t *testing.T) {
	p := serve(t, Options{})
	var landing linked
	p.ask("GET", "/api/", nil).is(http.StatusOK).into(&landing)
	l := landing.rel("service-desc")
	require.NotNil(t, l)
	a := p.ask("GET", strings.TrimPrefix(l.Href, p.at), nil).is(http.StatusOK)
	assert.Equal(t, openAPIMedia, a.header.Get("Content-Type"))
	var doc struct {
		OpenAPI string
		Info    struct{ Title, Version string }
		Servers []struct{ URL string }
		Paths   map[string]map[string]struct {
			Parameters []map[string]string
			Responses  map[string]json.RawMessage
		}
		Components struct {
			Parameters map[string]struct {
				Name, In string
				Required bool
				Schema   map[string]any
			}
			Schemas, Responses map[string]any
		}
	}
	a.into(&doc)
	assert.Equal(t, "3.0.3", doc.OpenAPI)
	assert.NotEmpty(t, doc.Info.Title)
	assert.NotEmpty(t, doc.Info.Version)
	require.Len(t, doc.Servers, 1)
	assert.Equal(t, p.at+"/api", doc.Servers[0].URL)
	refs := regexp.MustCompile(`"\$ref":"#/components/(\w+)/(\w+)"`).FindAllStringSubmatch(string(a.body), -1)
	require.NotEmpty(t, refs)
	for _, r := range refs {
		found := map[string]bool{"parameters": doc.Components.Parameters[r[2]].Name == r[2], "schemas": doc.Components.Schemas[r[2]] != nil, "responses": doc.Components.Responses[r[2]] != nil}
		assert.True(t, found[r[1]], r[0])
	}
	for path, methods := range doc.Paths {
		require.Len(t, methods, 1)
		address := strings.NewReplacer("{holding}", "demo", "{feature}", "x").Replace(path)
		status := p.ask("GET", "/api"+address, nil).status
		if strings.Contains(path, "{feature}") {
			assert.Equal(t, http.StatusNotFound, status)
		} else {
			assert.Equal(t, http.StatusOK, status, path)
		}
		var in []string
		for _, ref := range methods["get"].Parameters {
			name := ref["$ref"][strings.LastIndex(ref["$ref"], "/")+1:]
			if doc.Components.Parameters[name].In == "path" {
				assert.True(t, doc.Components.Parameters[name].Required)
				in = append(in, "{"+name+"}")
			} else if name != "f" {
				assert.Contains(t, itemParameters, name)
			}
		}
		assert.ElementsMatch(t, in, regexp.MustCompile(`\{\w+\}`).FindAllString(path, -1), path)
		assert.Contains(t, methods["get"].Responses, "200")
	}
	require.Contains(t, doc.Paths, "/collections/demo/items")
	for _, name := range itemParameters {
		assert.Equal(t, "query", doc.Components.Parameters[name].In, name)
	}
	limit := doc.Components.Parameters["limit"].Schema
	assert.Equal(t, []any{1.0, 10000.0, 1000.0}, []any{limit["minimum"], limit["maximum"], limit["default"]}, "7.15.2; the bounds are an example there")
}

// A segment crosses a box where some of many points along it lie in the box.
func TestCrossesAgainstManyPoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := func(name string) float64 { return float64(rapid.IntRange(-4, 4).Draw(t, name)) }
		a, b := orb.Point{n("ax"), n("ay")}, orb.Point{n("bx"), n("by")}
		box := orb.Bound{Min: orb.Point{n("w"), n("s")}}
		box.Max = orb.Point{box.Min[0] + float64(rapid.IntRange(0, 4).Draw(t, "x")), box.Min[1] + float64(rapid.IntRange(0, 4).Draw(t, "y"))}
		want := false
		const steps = 840 // every denominator up to 8 goes into it, so that a touch at a corner is met
		for i := 0; i <= steps && !want; i++ {
			// in whole numbers: no rounding
			x, y := a[0]*steps+(b[0]-a[0])*float64(i), a[1]*steps+(b[1]-a[1])*float64(i)
			want = x >= box.Min[0]*steps && x <= box.Max[0]*steps && y >= box.Min[1]*steps && y <= box.Max[1]*steps
		}
		require.Equal(t, want, crosses(a, b, box))
	})
}

// GDAL's driver for this standard lists, pages, filters and converts the collections.
func TestReadByGDAL(t *testing.T) {
	p := serve(t, Options{})
	root := "OAPIF:" + p.at + "/api"
	run := func(args ...string) string {
		t.Helper()
		out, err := exec.Command(args[0], args[1:]...).CombinedOutput()
		require.NoError(t, err, "%s: %s", strings.Join(args, " "), out)
		return string(out)
	}
	count := func(args ...string) string {
		t.Helper()
		m := regexp.MustCompile(`Feature Count: (\d+)`).FindStringSubmatch(run(append([]string{"ogrinfo", "-so", root, "demo"}, args...)...))
		require.NotNil(t, m)
		return m[1]
	}
	var all page
	p.ask("GET", "/api/collections/demo/items", nil).is(http.StatusOK).into(&all)
	hedges := 0
	for _, f := range all.Features {
		if f.Properties["kind"] == "hedge" {
			hedges++
		}
	}
	assert.Contains(t, run("ogrinfo", root), "1: demo (title: Sallow Bank)")
	assert.Equal(t, fmt.Sprint(len(all.Features)), count())
	assert.Equal(t, fmt.Sprint(hedges), count("-where", "kind = 'hedge'"))
	assert.Contains(t, run("ogrinfo", "-so", root, "demo"), "height_m: Real", "the columns come from the schema, not from the first page")

	read := run("ogrinfo", "-al", "-q", root, "-oo", "PAGE_SIZE=7")
	var ids []string
	for _, m := range regexp.MustCompile(`(?m)^  id \(String\) = (.*)$`).FindAllStringSubmatch(read, -1) {
		ids = append(ids, m[1])
	}
	assert.Equal(t, all.ids(), ids, "through pages of 7")

	var some page
	p.ask("GET", "/api/collections/demo/items?bbox=-2.5835,53.9852,-2.583,53.9858", nil).is(http.StatusOK).into(&some)
	require.Less(t, len(some.Features), len(all.Features))
	assert.Equal(t, fmt.Sprint(len(some.Features)), count("-spat", "-2.5835", "53.9852", "-2.583", "53.9858"), "the box is sent, and GDAL's own test of intersection agrees")

	file := t.TempDir() + "/out.gpkg"
	run("ogr2ogr", "-f", "GPKG", file, root, "-oo", "PAGE_SIZE=9")
	out := run("ogrinfo", "-al", "-q", file)
	assert.Equal(t, len(all.Features), strings.Count(out, "OGRFeature("))
	for _, id := range all.ids() {
		assert.True(t, slices.Contains(ids, id) && strings.Contains(out, " = "+id+"\n"), id)
	}
}
