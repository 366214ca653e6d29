package web

import (
	"encoding/json"
	"encoding/xml"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var hostile = []string{
	`<script>alert(1)</script>`, `</title><script>alert(1)</script>`, `]]>`, `"><img src=x onerror=alert(1)>`, `'"&<>`, "\u202egnp.exe", `=cmd|' /C calc'!A0`, `@SUM(1)`, `+1`, `-1`,
	"\tx", "a\nb", "\x00\x1b[31m", "${7*7}", `{{.}}`, "javascript:alert(1)", strings.Repeat("n", 10_000), "../../../etc/passwd", "a/b?c#d", "\u2028", `</style><script>alert(1)</script>`, "%3Cscript%3E",
}

// Names from a file are text everywhere: as ids, names, species, in every answer.
func TestHostileNames(t *testing.T) {
	p := serve(t, Options{})
	for _, name := range hostile {
		text, err := json.Marshal(name)
		require.NoError(t, err)
		plan := `{"type":"FeatureCollection","holding":{"name":` + string(text) + `,"origin":[-2.5,54]},"features":[
			{"type":"Feature","id":` + string(text) + `,"properties":{"kind":"row","name":` + string(text) + `,"notes":` + string(text) + `,"species":` + string(text) + `,"spacing_m":2},"geometry":{"type":"LineString","coordinates":[[-2.5,54],[-2.4995,54]]}},
			{"type":"Feature","id":"k","properties":{"kind":` + string(text) + `},"geometry":{"type":"Point","coordinates":[-2.5,54]}}]}`
		a := p.ask("POST", "/holdings", plan).is(http.StatusCreated)
		at := a.header.Get("Location")
		assert.Regexp(t, `^/holdings/[a-z0-9-]+$`, at, "addresses are plain whatever the name")
		sheet := p.ask("GET", at+"/sheet", nil).is(http.StatusOK)
		var s struct {
			Name     string
			Features []struct{ ID, Label string }
		}
		sheet.into(&s)
		if strings.TrimSpace(name) == name {
			assert.Equal(t, name, s.Name, "text comes through as it was")
		}
		for _, path := range []string{"/sheet", "/report", "/settings", "/history", "/planting-list?format=json", "/planting-list?format=csv", "/planting-list?format=text", "/setout?format=csv", "/setout?format=geojson", "", "/suits?x=0&y=0"} {
			got := p.ask("GET", at+path, nil).is(http.StatusOK)
			kind := got.header.Get("Content-Type")
			assert.NotContains(t, kind, "html", path)
			assert.NotContains(t, kind, "svg", path)
			assert.Equal(t, "nosniff", got.header.Get("X-Content-Type-Options"))
			assert.NotContains(t, got.header.Get("Content-Disposition"), "<")
			if strings.HasSuffix(kind, "json") {
				assert.True(t, json.Valid(got.body), path)
			}
		}
		page := p.ask("GET", at+"/planting-list?format=html&date="+strings.Repeat("%3Cblink%3E", 3), nil).is(http.StatusOK)
		assertInert(t, string(page.body), page.header.Get("Content-Security-Policy"))
		p.ask("GET", strings.Replace(at, "/holdings", "/api/collections", 1)+"/items", nil).is(http.StatusOK)
	}
	assert.True(t, json.Valid(p.ask("GET", "/api/collections", nil).is(http.StatusOK).body))
}

// assertInert holds that a page has no script and no element or attribute that a name could have brought in.
func assertInert(t *testing.T, page, policy string) {
	t.Helper()
	assert.NotRegexp(t, `(?i)<script|<img|<svg|<iframe|javascript:[^<]*["']>`, page)
	assert.NotRegexp(t, `(?i)<[^>]+\son\w+\s*=`, page)
	assert.Len(t, regexp.MustCompile(`(?i)<style`).FindAllString(page, -1), 1)
	assert.Contains(t, policy, "default-src 'none'")
	assert.Regexp(t, `style-src 'sha256-[A-Za-z0-9+/=]{44}'`, policy)
	assert.NotContains(t, policy, "script-src")
	assert.NotContains(t, policy, "unsafe")
	d := xml.NewDecoder(strings.NewReader(page))
	d.Strict = false
	d.AutoClose, d.Entity = xml.HTMLAutoClose, xml.HTMLEntity
	for {
		tok, err := d.Token()
		if err != nil {
			break
		}
		if e, ok := tok.(xml.StartElement); ok {
			assert.NotEqual(t, "blink", e.Name.Local, "markup from a parameter")
		}
	}
}

// What is asked for by a hostile name is said back as text, cut to a sensible length.
func TestHostileAddresses(t *testing.T) {
	p := serve(t, Options{})
	for _, path := range []string{"/%3Cscript%3Ealert(1)%3C/script%3E", "/holdings/%3Cscript%3E", "/holdings/demo/features/%3Cimg%20src=x%3E", "/holdings/" + strings.Repeat("n", 5000), "/problems/%3Cb%3E", "/holdings/%00", "/holdings/..%2f..%2fetc%2fpasswd"} {
		a := p.ask("GET", path, nil)
		a.problem(unknown)
		assert.Less(t, len(a.body), 6000)
	}
}
