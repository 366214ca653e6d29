package web

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quickthorn/planner/report"
	"quickthorn/planner/store"
	"quickthorn/testdata"
)

// A place is a server on a store of its own, with one holding, "demo".
type place struct {
	t      testing.TB
	store  *store.Store
	at     string // address without a slash at the end
	client *http.Client
}

var engine = func() *report.Engine {
	e, err := report.NewEngine()
	if err != nil {
		panic(err)
	}
	return e
}()

// serve makes a place with the demo holding in it.
func serve(t testing.TB, opt Options) *place {
	t.Helper()
	s, err := store.Open(context.Background(), filepath.Join(t.TempDir(), "quickthorn.db"), nil)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	p := serveOn(t, s, opt)
	_, err = s.Create(context.Background(), "demo", testdata.Demo, "Brought in")
	require.NoError(t, err)
	p.store = s
	return p
}

// serveOn makes a place on any store.
func serveOn(t testing.TB, s Store, opt Options) *place {
	t.Helper()
	h, err := New(s, engine, opt)
	require.NoError(t, err)
	srv := httptest.NewServer(h)
	t.Cleanup(srv.Close)
	client := srv.Client()
	client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	client.Timeout = time.Minute
	return &place{t: t, at: srv.URL, client: client}
}

// on is the place for a subtest.
func (p *place) on(t testing.TB) *place {
	q := *p
	q.t = t
	return &q
}

// An answer is what came back.
type answer struct {
	t      testing.TB
	status int
	header http.Header
	body   []byte
}

// ask sends a request. Headers come in pairs; body is bytes, a string, or anything that becomes JSON; nil is none.
func (p *place) ask(method, path string, body any, headers ...string) answer {
	p.t.Helper()
	var r io.Reader
	switch b := body.(type) {
	case nil:
	case string:
		r = strings.NewReader(b)
	case []byte:
		r = bytes.NewReader(b)
	default:
		text, err := json.Marshal(b)
		require.NoError(p.t, err)
		r = bytes.NewReader(text)
	}
	req, err := http.NewRequest(method, p.at+path, r)
	require.NoError(p.t, err)
	for i := 0; i+1 < len(headers); i += 2 {
		if headers[i] == "Host" {
			req.Host = headers[i+1]
			continue
		}
		req.Header.Add(headers[i], headers[i+1])
	}
	res, err := p.client.Do(req)
	require.NoError(p.t, err)
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	require.NoError(p.t, err)
	return answer{p.t, res.StatusCode, res.Header, text}
}

// is requires the status.
func (a answer) is(status int) answer {
	a.t.Helper()
	require.Equal(a.t, status, a.status, "%s", a.body)
	return a
}

// into reads the body as JSON.
func (a answer) into(v any) answer {
	a.t.Helper()
	require.NoError(a.t, json.Unmarshal(a.body, v), "%s", a.body)
	return a
}

// problem requires a problem document of the kind, whole and in plain words, and gives it.
func (a answer) problem(k kind) document {
	a.t.Helper()
	a.is(k.status)
	require.Equal(a.t, "application/problem+json", a.header.Get("Content-Type"))
	require.Equal(a.t, "no-store", a.header.Get("Cache-Control"))
	var d document
	a.into(&d)
	require.Equal(a.t, document{Type: "/problems/" + k.slug, Title: k.title, Status: k.status, Detail: d.Detail, Feature: d.Feature, Property: d.Property, Mend: d.Mend}, d)
	require.NotEmpty(a.t, d.Detail)
	require.NotEmpty(a.t, d.Mend)
	require.NotContains(a.t, strings.ToLower(string(a.body)), "error")
	return d
}

func (a answer) tag() string { return a.header.Get("ETag") }

// tag is the holding's ETag now.
func (p *place) tag(holding string) string {
	p.t.Helper()
	return p.ask("GET", "/holdings/"+holding+"/settings", nil).is(200).tag()
}

// planOf is the whole plan of a holding.
func (p *place) planOf(holding string) string {
	p.t.Helper()
	return string(p.ask("GET", "/holdings/"+holding, nil).is(200).body)
}

// sheetOf is the sheet of a holding.
func (p *place) sheetOf(holding string) report.Sheet {
	p.t.Helper()
	var s report.Sheet
	p.ask("GET", "/holdings/"+holding+"/sheet", nil).is(200).into(&s)
	return s
}

// edited is the answer to a change.
type edited struct {
	Revision int64         `json:"revision"`
	IDs      []string      `json:"ids"`
	Sheet    *report.Sheet `json:"sheet"`
}

// edit makes an edit on the holding as it is.
func (p *place) edit(holding string, body any) edited {
	p.t.Helper()
	var e edited
	p.ask("POST", "/holdings/"+holding+"/edits", body, "If-Match", p.tag(holding)).is(200).into(&e)
	return e
}

func hedge(id string, x, y, x2, y2 float64) string {
	if id != "" {
		id = fmt.Sprintf(`"id":%q,`, id)
	}
	return fmt.Sprintf(`{"type":"Feature",%s"properties":{"kind":"hedge","species":"hawthorn"},"geometry":{"type":"LineString","coordinates":[[%g,%g],[%g,%g]]}}`, id, x, y, x2, y2)
}

func feature(id, kind string, x, y float64) string {
	return fmt.Sprintf(`{"type":"Feature","id":%q,"properties":{"kind":%q},"geometry":{"type":"Point","coordinates":[%g,%g]}}`, id, kind, x, y)
}
