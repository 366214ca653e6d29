package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/geo/interchange"
	"quickthorn/planner/report"
	"quickthorn/planner/store"
	"quickthorn/testdata"
)

func TestEditInMetres(t *testing.T) {
	p := serve(t, Options{})
	e := p.edit("demo", `{"note":"A hedge by the lane","metres":true,"put":[`+hedge("", -30, -70, 12.345, -70)+`,`+hedge("mine", 0, -80, 30, -80)+`]}`)
	require.Len(t, e.IDs, 2)
	assert.Regexp(t, `^hedge-\d+$`, e.IDs[0])
	assert.Equal(t, "mine", e.IDs[1])
	assert.Nil(t, e.Sheet)
	byID := map[string]report.SheetFeature{}
	for _, f := range p.sheetOf("demo").Features {
		byID[f.ID] = f
	}
	got, err := json.Marshal(byID[e.IDs[0]].Geometry)
	require.NoError(t, err)
	assert.JSONEq(t, `{"type":"LineString","coordinates":[[-30,-70],[12.345,-70]]}`, string(got))
	assert.InDelta(t, 42.345, *byID[e.IDs[0]].LengthM, 0.0005)
	assert.Contains(t, p.planOf("demo"), `"mine"`)
}

// What the page puts back as it had it leaves the plan as it is, byte for byte.
func TestPuttingBackEveryFeatureOfTheSheetChangesNothing(t *testing.T) {
	p := serve(t, Options{})
	before := p.planOf("demo")
	var sheet struct {
		Features []struct {
			ID                   string
			Properties, Geometry any
		}
	}
	p.ask("GET", "/holdings/demo/sheet", nil).into(&sheet)
	var put []any
	for _, f := range sheet.Features {
		put = append(put, map[string]any{"type": "Feature", "id": f.ID, "properties": f.Properties, "geometry": f.Geometry})
	}
	require.NotEmpty(t, put)
	p.edit("demo", map[string]any{"metres": true, "put": put})
	assert.Equal(t, before, p.planOf("demo"))
}

// bedOf is a bed of 10 x 10 m, in metres.
func bedOf(id string, x, y, hours float64) string {
	return fmt.Sprintf(`{"type":"Feature","id":%q,"properties":{"kind":"bed","light_hours":%g},"geometry":{"type":"Polygon","coordinates":[[[%g,%g],[%g,%g],[%g,%g],[%g,%g],[%g,%g]]]}}`,
		id, hours, x, y, x+10, y, x+10, y+10, x, y+10, x, y)
}

// withoutLater is a whole sheet without what the rules that were left out of a quick one say.
func withoutLater(t *testing.T, whole []byte, later []string) string {
	t.Helper()
	var s map[string]any
	require.NoError(t, json.Unmarshal(whole, &s))
	require.Empty(t, s["later"], "nothing is left out of a whole sheet")
	counts := map[string]any{"stop": 0.0, "warn": 0.0, "note": 0.0, "accepted": 0.0}
	kept := []any{}
	for _, f := range s["findings"].([]any) {
		f := f.(map[string]any)
		if slices.Contains(later, f["rule"].(string)) {
			continue
		}
		kept = append(kept, f)
		f["n"] = len(kept)
		what := f["severity"].(string)
		if f["accepted"] != nil {
			what = "accepted"
		}
		counts[what] = counts[what].(float64) + 1
	}
	require.Less(t, len(kept), len(s["findings"].([]any)), "the slow rules have something to say")
	s["findings"], s["counts"], s["later"] = kept, counts, later
	out, err := json.Marshal(s)
	require.NoError(t, err)
	return string(out)
}

// With sheet=1 the answer brings the sheet that a GET would bring, without the slow rules; it names them.
func TestEditWithSheet(t *testing.T) {
	p := serve(t, Options{})
	a := p.ask("POST", "/holdings/demo/edits?sheet=1&year=7", `{"metres":true,"put":[`+hedge("h", -30, -70, 12, -70)+`,`+bedOf("b", -30, -90, 24)+`]}`, "If-Match", p.tag("demo")).is(http.StatusOK)
	var e struct {
		Revision int64
		IDs      []string
		Sheet    json.RawMessage
	}
	a.into(&e)
	var quick struct{ Later []string }
	require.NoError(t, json.Unmarshal(e.Sheet, &quick))
	assert.Contains(t, quick.Later, "light.bed")
	sheet := p.ask("GET", "/holdings/demo/sheet?year=7", nil).is(http.StatusOK)
	assert.JSONEq(t, withoutLater(t, sheet.body, quick.Later), string(e.Sheet))
	assert.Contains(t, string(sheet.body), `"light.bed:b@wanted"`)
	assert.Equal(t, tagOf(e.Revision), a.tag())
	assert.Equal(t, a.tag(), sheet.tag())
	for _, step := range []string{"redo", "undo"} {
		if step == "redo" {
			p.ask("POST", "/holdings/demo/undo", nil, "If-Match", p.tag("demo")).is(http.StatusOK)
		} else {
			p.edit("demo", `{"delete":["h"]}`)
		}
		a := p.ask("POST", "/holdings/demo/"+step+"?sheet=1", nil, "If-Match", p.tag("demo")).is(http.StatusOK)
		a.into(&e)
		assert.JSONEq(t, withoutLater(t, p.ask("GET", "/holdings/demo/sheet", nil).body, quick.Later), string(e.Sheet), step)
	}
}

// Once the whole report is there it is given; the quick one is not made beside it, and the whole one is worked out once.
func TestWholeReportTakesThePlaceOfTheQuick(t *testing.T) {
	s, err := store.Open(context.Background(), filepath.Join(t.TempDir(), "quickthorn.db"), nil)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	_, err = s.Create(context.Background(), "demo", testdata.Demo, "Brought in")
	require.NoError(t, err)
	d := newDesk(s, engine)
	st, err := d.at(context.Background(), "demo")
	require.NoError(t, err)
	get := func(how func(context.Context, *state, int) (*report.Report, error), year int) *report.Report {
		r, err := how(context.Background(), st, year)
		require.NoError(t, err)
		return r
	}
	quick := get(d.quickReport, 0)
	assert.NotEmpty(t, quick.Later)
	assert.Same(t, quick, get(d.quickReport, 0))
	whole := get(d.report, 0)
	assert.Empty(t, whole.Later)
	assert.Same(t, quick.Out, whole.Out, "the positions are taken over")
	assert.Same(t, whole, get(d.report, 0))
	assert.Same(t, whole, get(d.quickReport, 0))
	assert.NotSame(t, whole, get(d.report, 3))
	assert.LessOrEqual(t, len(st.years), deskYears)
}

// What lies ready from the edit is what the store gives when it is read anew.
func TestSheetAfterEditsIsThatOfTheStoredPlan(t *testing.T) {
	p := serve(t, Options{})
	for i := range 5 {
		p.edit("demo", fmt.Sprintf(`{"metres":true,"put":[%s],"delete":[%s]}`, hedge("", float64(i), -70, 12, -70-float64(i)), map[bool]string{true: `"hedge-1"`}[i == 3]))
	}
	warm := p.ask("GET", "/holdings/demo/sheet", nil).is(http.StatusOK)
	cold := serveOn(t, p.store, Options{}).ask("GET", "/holdings/demo/sheet", nil).is(http.StatusOK)
	assert.Equal(t, string(cold.body), string(warm.body))
}

func TestTrialSavesNothing(t *testing.T) {
	p := serve(t, Options{})
	before, tag := p.planOf("demo"), p.tag("demo")
	body := `{"metres":true,"put":[` + hedge("h", -30, -70, 12, -70) + `]}`
	trial := p.ask("POST", "/holdings/demo/trial?year=3", body).is(http.StatusOK)
	assert.Equal(t, tag, trial.tag())
	assert.Equal(t, before, p.planOf("demo"))
	p.ask("POST", "/holdings/demo/trial", body, "If-Match", `"999"`).problem(stale)
	a := p.ask("POST", "/holdings/demo/edits?sheet=1&year=3", body, "If-Match", tag).is(http.StatusOK)
	var e struct{ Sheet json.RawMessage }
	a.into(&e)
	assert.Equal(t, strings.TrimSpace(string(trial.body)), string(e.Sheet), "the trial shows what the edit brings")
}

func TestUndoRedoHistory(t *testing.T) {
	p := serve(t, Options{})
	start := p.planOf("demo")
	p.ask("POST", "/holdings/demo/undo", nil, "If-Match", p.tag("demo")).problem(nothingLeft)
	p.edit("demo", `{"note":"first","metres":true,"put":[`+hedge("h", -30, -70, 12, -70)+`]}`)
	p.edit("demo", `{"note":"second","delete":["h"]}`)
	undo := func() { p.ask("POST", "/holdings/demo/undo", nil, "If-Match", p.tag("demo")).is(http.StatusOK) }
	undo()
	assert.Contains(t, p.planOf("demo"), `"h"`)
	undo()
	assert.Equal(t, start, p.planOf("demo"))
	p.ask("POST", "/holdings/demo/redo", nil, "If-Match", p.tag("demo")).is(http.StatusOK)
	assert.Contains(t, p.planOf("demo"), `"h"`)
	var list []entry
	p.ask("GET", "/holdings/demo/history", nil).is(http.StatusOK).into(&list)
	notes := map[string]bool{}
	for i, e := range list {
		notes[e.Note] = true
		assert.Regexp(t, `^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ$`, e.When)
		if i > 0 {
			assert.Less(t, e.Revision, list[i-1].Revision, "the newest first")
		}
	}
	assert.True(t, notes["first"] && notes["second"], "%v", list)
	p.ask("GET", "/holdings/demo/history?most=1", nil).is(http.StatusOK).into(&list)
	assert.Len(t, list, 1)
	p.ask("GET", "/holdings/demo/history?most=0", nil).problem(malformed)
}

func TestBadEdits(t *testing.T) {
	p := serve(t, Options{})
	before, tag := p.planOf("demo"), p.tag("demo")
	deep := strings.Repeat("[", interchange.MaxDepth+1) + strings.Repeat("]", interchange.MaxDepth+1)
	for name, c := range map[string]struct {
		body     string
		kind     kind
		feature  string
		property string
		says     string
	}{
		"nothing":                 {"", malformed, "", "", "line 1"},
		"no JSON":                 {`{"put":[`, malformed, "", "", "line 1, column"},
		"no UTF-8":                {"{\"note\":\"\xff\"}", malformed, "", "", ""},
		"no object":               {`[1]`, malformed, "", "", "no JSON object"},
		"too deep":                {`{"put":` + deep + `}`, malformed, "", "", ""},
		"empty":                   {`{}`, malformed, "", "", "puts nothing"},
		"empty lists":             {`{"put":[],"delete":[]}`, malformed, "", "", "puts nothing"},
		"put is no list":          {`{"put":{}}`, malformed, "", "put", ""},
		"delete is no list":       {`{"delete":"h"}`, malformed, "", "delete", ""},
		"delete of no text":       {`{"delete":[{}]}`, malformed, "", "delete", ""},
		"note is no text":         {`{"note":5,"delete":["x"]}`, malformed, "", "note", ""},
		"a long note":             {`{"note":"` + strings.Repeat("n", maxNote+1) + `","delete":["x"]}`, malformed, "", "note", "501 characters"},
		"metres is no truth":      {`{"metres":"yes","put":[1]}`, malformed, "", "metres", ""},
		"a slip of the pen":       {`{"puts":[]}`, malformed, "", "puts", "no member"},
		"unknown id":              {`{"delete":["no-such"]}`, unknown, "no-such", "", "no-such"},
		"one known, one unknown":  {`{"put":[` + feature("w", "well", -2.58, 53.98) + `],"delete":["no-such"]}`, unknown, "no-such", "", ""},
		"a number for a feature":  {`{"put":[7]}`, unusable, "", "", "entry 1"},
		"not a Feature":           {`{"put":[{"id":"a","type":"Polygon"}]}`, unusable, "", "", "entry 1"},
		"twice":                   {`{"put":[` + feature("w", "well", 0, 0) + `,` + feature("w", "well", 0, 0) + `]}`, unusable, "w", "", "twice"},
		"off the globe":           {`{"put":[` + feature("w", "well", 500, 400) + `]}`, unusable, "w", "", ""},
		"in another country":      {`{"put":[` + feature("w", "well", 12, 48) + `]}`, unusable, "", "", ""},
		"metres off the frame":    {`{"metres":true,"put":[` + feature("w", "well", 1e7, 0) + `]}`, unusable, "w", "geometry", "km from the origin"},
		"metres where a grid was": {`{"put":[` + feature("w", "well", 365000, 455000) + `]}`, unusable, "w", "", "metres of a grid"},
	} {
		t.Run(name, func(t *testing.T) {
			p := p.on(t)
			for _, path := range []string{"/holdings/demo/edits", "/holdings/demo/trial"} {
				d := p.ask("POST", path, c.body, "If-Match", tag).problem(c.kind)
				assert.Equal(t, c.property, d.Property)
				if c.feature != "" {
					assert.Equal(t, c.feature, d.Feature)
				}
				assert.Contains(t, d.Detail, c.says)
			}
		})
	}
	for _, year := range []string{"-1", "101", "ten", "1.5"} {
		d := p.ask("POST", "/holdings/demo/edits?year="+year, `{"put":[`+feature("w", "well", -2.58, 53.98)+`]}`, "If-Match", tag).problem(malformed)
		assert.Equal(t, "year", d.Property)
	}
	assert.Equal(t, before, p.planOf("demo"), "nothing was changed")
	assert.Equal(t, tag, p.tag("demo"))
}

func TestTooLarge(t *testing.T) {
	p := serve(t, Options{MaxBody: 300_000})
	tag := p.tag("demo")
	exact := `{"delete":["` + strings.Repeat("x", 300_000-15) + `"]}`
	require.True(t, len(exact) == 300_000)
	p.ask("POST", "/holdings/demo/edits", exact, "If-Match", tag).problem(unknown)
	for _, send := range []any{exact + " ", []byte(exact + " ")} {
		d := p.ask("POST", "/holdings/demo/edits", send, "If-Match", tag).problem(tooLarge)
		assert.NotEmpty(t, d.Detail)
	}
	many := `{"delete":["a"` + strings.Repeat(`,"a"`, maxFeatures) + `]}`
	p.ask("POST", "/holdings/demo/edits", many, "If-Match", tag).problem(tooLarge)
	assert.Equal(t, tag, p.tag("demo"))
}

// A body without a length is cut off just the same.
func TestTooLargeWithoutLength(t *testing.T) {
	p := serve(t, Options{MaxBody: 1000})
	req, err := http.NewRequest("POST", p.at+"/holdings/demo/edits", struct{ *strings.Reader }{strings.NewReader(strings.Repeat(" ", 2000))})
	require.NoError(t, err)
	req.ContentLength = -1
	req.Header.Set("If-Match", p.tag("demo"))
	res, err := p.client.Do(req)
	require.NoError(t, err)
	defer res.Body.Close()
	assert.Equal(t, http.StatusRequestEntityTooLarge, res.StatusCode)
}

func FuzzEdits(f *testing.F) {
	for _, s := range []string{`{}`, `{"put":[` + hedge("h", 0, 0, 10, 0) + `],"metres":true}`, `{"delete":["lane-hedge"],"note":"x"}`, `{"put":[{"type":"Feature"}]}`, `{"put":null}`, `[`, "\xef\xbb\xbf{}",
		`{"put":[{"type":"Feature","properties":{"kind":"gap"},"geometry":{"type":"Point","coordinates":[1]}}],"metres":true}`} {
		f.Add(s)
	}
	p := serve(f, Options{})
	h, err := New(p.store, engine, Options{})
	require.NoError(f, err)
	local := &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 80}
	f.Fuzz(func(t *testing.T, body string) {
		r := httptest.NewRequest("POST", "http://127.0.0.1/holdings/demo/trial", strings.NewReader(body))
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), http.LocalAddrContextKey, local)))
		switch w.Code {
		case http.StatusOK:
			require.True(t, json.Valid(w.Body.Bytes()))
		case http.StatusBadRequest, http.StatusNotFound, http.StatusUnprocessableEntity:
			var d document
			require.NoError(t, json.Unmarshal(w.Body.Bytes(), &d))
			require.NotEmpty(t, d.Mend)
		default:
			t.Fatalf("%d for %q: %s", w.Code, body, w.Body)
		}
	})
}
