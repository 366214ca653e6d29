package web

import (
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// concrete puts the demo's names into a path of the table.
func concrete(path string) string {
	return strings.NewReplacer("{file:.*}", "index.html", "{problem}", "stale", "{holding}", "demo", "{feature}", "lane-hedge", "{picture}", "air.png").Replace(path)
}

// query is what a path cannot do without.
func query(path string) string {
	if strings.HasSuffix(path, "/suits") {
		return "?x=0&y=0"
	}
	return ""
}

// Every address of the table answers GET and HEAD alike, says what it does, and refuses what it does not do.
func TestEveryResource(t *testing.T) {
	p := serve(t, Options{})
	p.ask("PUT", "/holdings/demo/pictures/air.png", onePixel, "If-Match", p.tag("demo")).is(http.StatusOK)
	id := p.sheetOf("demo").Features[0].ID
	srv := &server{}
	for _, res := range srv.resources() {
		path := strings.ReplaceAll(concrete(res.path), "lane-hedge", id) + query(res.path)
		t.Run(res.path, func(t *testing.T) {
			p := p.on(t)
			allow := p.ask("OPTIONS", path, nil).is(http.StatusNoContent).header.Get("Allow")
			assert.Contains(t, allow, "OPTIONS")
			for method, h := range map[string]handler{"GET": res.get, "POST": res.post, "PUT": res.put, "DELETE": res.deletes, "PATCH": nil} {
				if h != nil {
					assert.Contains(t, allow, method)
					continue
				}
				assert.NotContains(t, allow, method)
				a := p.ask(method, path, nil)
				a.problem(noMethod)
				assert.Equal(t, allow, a.header.Get("Allow"))
			}
			if res.get == nil {
				return
			}
			got := p.ask("GET", path, nil, "Accept-Encoding", "identity").is(http.StatusOK) // Go's client does not ask for gzip with HEAD
			head := p.ask("HEAD", path, nil).is(http.StatusOK)
			assert.Empty(t, head.body)
			for _, name := range []string{"Content-Type", "ETag", "Cache-Control", "Content-Security-Policy", "Content-Disposition"} {
				assert.Equal(t, got.header.Get(name), head.header.Get(name), name)
			}
			assert.NotEmpty(t, got.header.Get("Content-Type"))
			assert.NotEmpty(t, got.header.Get("Cache-Control"))
			assert.Equal(t, got.header.Get("Content-Length"), head.header.Get("Content-Length"))
		})
	}
}

// Every address of a holding says so where there is none of that name, whatever is asked of it.
func TestUnknownHolding(t *testing.T) {
	p := serve(t, Options{})
	srv := &server{}
	for _, res := range srv.resources() {
		if !strings.Contains(res.path, "{holding}") {
			continue
		}
		path := strings.ReplaceAll(concrete(res.path), "/demo", "/no-such") + query(res.path)
		for method, h := range map[string]handler{"GET": res.get, "POST": res.post, "PUT": res.put, "DELETE": res.deletes} {
			if h == nil {
				continue
			}
			t.Run(method+" "+res.path, func(t *testing.T) {
				p := p.on(t)
				d := p.ask(method, path, `{"type":"Feature","properties":null,"geometry":null}`, "If-Match", `"1"`).problem(unknown)
				assert.Contains(t, d.Detail, "no-such")
			})
		}
	}
	p.ask("GET", "/nothing", nil).problem(unknown)
	p.ask("POST", "/holdings/demo/nothing", "{}").problem(unknown)
	p.ask("GET", "/holdings/", nil).problem(unknown)
	p.ask("GET", "/holdings//sheet", nil).problem(unknown)
	p.ask("GET", "/static/../web.go", nil).problem(unknown)
}

// Every address that changes a holding needs If-Match (428) and refuses a stale one (412), and then nothing is changed.
func TestEveryChangeNeedsTheRevision(t *testing.T) {
	p := serve(t, Options{})
	p.ask("PUT", "/holdings/demo/pictures/air.png", onePixel, "If-Match", p.tag("demo")).is(http.StatusOK)
	p.edit("demo", `{"metres":true,"put":[`+hedge("h", 0, -60, 30, -60)+`]}`)
	before, tag := p.planOf("demo"), p.tag("demo")
	srv := &server{}
	n := 0
	for _, res := range srv.resources() {
		if !strings.HasPrefix(res.path, "/holdings/{holding}") || strings.HasSuffix(res.path, "/trial") {
			continue
		}
		path := strings.ReplaceAll(concrete(res.path), "lane-hedge", "h")
		for method, h := range map[string]handler{"POST": res.post, "PUT": res.put, "DELETE": res.deletes} {
			if h == nil {
				continue
			}
			n++
			t.Run(method+" "+res.path, func(t *testing.T) {
				p := p.on(t)
				body := `{"type":"Feature","properties":{"kind":"well"},"geometry":null}`
				d := p.ask(method, path, body).problem(needsMatch)
				assert.Equal(t, "If-Match", d.Property)
				for _, old := range []string{`"1"`, `"999999"`, `W/` + tag, `"` + strings.Trim(tag, `"`) + `.gz"`, `"1", "2"`} {
					p.ask(method, path, body, "If-Match", old).problem(stale)
				}
				for _, no := range []string{strings.Trim(tag, `"`), `"1`, `1"`, tag + " " + tag, "", "W/"} {
					p.ask(method, path, body, "If-Match", no).problem(malformed)
				}
			})
		}
	}
	require.Equal(t, 11, n)
	assert.Equal(t, before, p.planOf("demo"))
	assert.Equal(t, tag, p.tag("demo"))
	p.ask("GET", "/holdings/demo/pictures/air.png", nil).is(http.StatusOK)
}

func TestIfMatchForms(t *testing.T) {
	p := serve(t, Options{})
	for _, c := range []struct {
		header func(tag string) []string
		source string
	}{
		{func(tag string) []string { return []string{"If-Match", tag} }, "RFC 9110, 2022, 13.1.1"},
		{func(tag string) []string { return []string{"If-Match", `"zzz", ` + tag} }, "a list, 13.1.1"},
		{func(tag string) []string { return []string{"If-Match", `"zzz"`, "If-Match", tag} }, "two lines are one list, 5.3"},
		{func(tag string) []string { return []string{"If-Match", `"a,b" ,` + tag} }, "a comma inside a tag, 8.8.3"},
		{func(string) []string { return []string{"If-Match", "*"} }, "* is whatever is there, 13.1.1"},
	} {
		p.ask("POST", "/holdings/demo/edits", `{"put":[`+feature("w", "well", -2.58, 53.98)+`]}`, c.header(p.tag("demo"))...).is(http.StatusOK)
	}
}

// What derives from a holding has its revision for a tag, and is not sent again to who has it (RFC 9110, 2022, 13.1.2, 15.4.5).
func TestNotModified(t *testing.T) {
	p := serve(t, Options{})
	id := p.sheetOf("demo").Features[0].ID
	srv := &server{}
	tagged := 0
	for _, res := range srv.resources() {
		if res.get == nil {
			continue
		}
		path := strings.ReplaceAll(concrete(res.path), "lane-hedge", id) + query(res.path)
		if strings.Contains(path, "pictures") {
			continue
		}
		a := p.ask("GET", path, nil).is(http.StatusOK)
		if a.tag() == "" {
			continue
		}
		tagged++
		for _, tag := range []string{a.tag(), "W/" + a.tag(), `"x", ` + a.tag(), "*"} {
			same := p.ask("GET", path, nil, "If-None-Match", tag).is(http.StatusNotModified)
			assert.Empty(t, same.body)
			assert.Equal(t, a.tag(), same.tag(), path)
			assert.Equal(t, a.header.Get("Cache-Control"), same.header.Get("Cache-Control"), path)
		}
		p.ask("GET", path, nil, "If-None-Match", `"x"`).is(http.StatusOK)
		p.ask("GET", path, nil, "If-None-Match", `x`).problem(malformed)
	}
	assert.GreaterOrEqual(t, tagged, 14)
	tag := p.tag("demo")
	p.edit("demo", `{"put":[`+feature("w", "well", -2.584, 53.9855)+`]}`)
	assert.NotEqual(t, tag, p.ask("GET", "/holdings/demo/sheet", nil, "If-None-Match", tag).is(http.StatusOK).tag())
}
