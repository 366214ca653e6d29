package web

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
	"quickthorn/planner/check"
	"quickthorn/planner/lists"
	"quickthorn/planner/report"
	"quickthorn/planner/setout"
	"quickthorn/planner/sheets"
	"quickthorn/testdata"
)

func demoReport(t *testing.T, year int) *report.Report {
	t.Helper()
	r, err := engine.Build(context.Background(), testdata.Demo, report.Options{File: "demo", Year: year})
	require.NoError(t, err)
	return r
}

// What is served is what the command line writes.
func TestReportListAndSetoutAreThoseOfTheCommands(t *testing.T) {
	p := serve(t, Options{})
	for _, year := range []int{0, 12} {
		r := demoReport(t, year)
		var b bytes.Buffer
		require.NoError(t, r.WriteJSON(&b))
		a := p.ask("GET", fmt.Sprintf("/holdings/demo/report?year=%d", year), nil).is(http.StatusOK)
		assert.Equal(t, b.String(), string(a.body))
		sheet, err := toJSON(r.Sheet())
		require.NoError(t, err)
		assert.Equal(t, string(sheet), string(p.ask("GET", fmt.Sprintf("/holdings/demo/sheet?year=%d", year), nil).is(http.StatusOK).body))
	}
	r := demoReport(t, 0)
	for _, f := range lists.Formats() {
		var b bytes.Buffer
		require.NoError(t, f.Write(&b, r.List(), lists.Options{}))
		a := p.ask("GET", "/holdings/demo/planting-list?format="+f.Name, nil).is(http.StatusOK)
		assert.Equal(t, b.String(), string(a.body), f.Name)
		assert.Equal(t, f.Media, a.header.Get("Content-Type"))
		assert.Contains(t, a.header.Get("Content-Disposition"), "demo-planting-list."+f.Ext)
	}
	for _, f := range setout.Formats() {
		for _, points := range []setout.Points{"", setout.AllPoints, setout.EndPoints} {
			which := points
			if which == "" {
				which = f.Points
			}
			var b bytes.Buffer
			require.NoError(t, f.Write(&b, r.Plan, r.Stations(which)))
			a := p.ask("GET", "/holdings/demo/setout?format="+f.Name+"&points="+string(points), nil).is(http.StatusOK)
			assert.Equal(t, b.String(), string(a.body), f.Name)
			assert.Equal(t, f.Media, a.header.Get("Content-Type"))
		}
	}
	for _, path := range []string{"report?format=pdf", "planting-list?format=CSV", "setout?format=x", "setout?points=some", "report?year=x", "sheet?year=-1", "planting-list?year=1e9"} {
		d := p.ask("GET", "/holdings/demo/"+path, nil).problem(malformed)
		assert.NotEmpty(t, d.Property)
	}
}

// Without ?format= the header Accept decides (RFC 9110, 2022, 12.5.1).
func TestAccept(t *testing.T) {
	p := serve(t, Options{})
	for accept, want := range map[string]string{
		"": "application/json", "*/*": "application/json", "text/csv": "text/csv", "text/html,application/xhtml+xml,*/*;q=0.8": "text/html",
		"text/*": "text/plain", "text/*;q=0.5, text/csv;q=0.9": "text/csv", "application/json;q=0, text/csv;q=0.1": "text/csv", "TEXT/CSV": "text/csv",
	} {
		a := p.ask("GET", "/holdings/demo/planting-list", nil, "Accept", accept).is(http.StatusOK)
		assert.True(t, strings.HasPrefix(a.header.Get("Content-Type"), want), "%q gives %s", accept, a.header.Get("Content-Type"))
		assert.Contains(t, a.header.Values("Vary"), "Accept")
	}
	p.ask("GET", "/holdings/demo/planting-list", nil, "Accept", "image/png").problem(notOffered)
	p.ask("GET", "/holdings/demo/planting-list", nil, "Accept", "text/csv;q=0").problem(notOffered)
	assert.Equal(t, "application/geo+json", p.ask("GET", "/holdings/demo/setout", nil).is(http.StatusOK).header.Get("Content-Type"))
}

// The years share what does not depend on them, and do not mix.
func TestYearsDoNotMix(t *testing.T) {
	p := serve(t, Options{})
	for _, year := range []int{30, 0, 15, 30, 1, 2, 3, 4, 5, 30, 0} {
		var s report.Sheet
		p.ask("GET", fmt.Sprintf("/holdings/demo/sheet?year=%d", year), nil).is(http.StatusOK).into(&s)
		assert.Equal(t, year, s.Year)
		want, err := json.Marshal(demoReport(t, year).Sheet().Findings)
		require.NoError(t, err)
		got, err := json.Marshal(s.Findings)
		require.NoError(t, err)
		assert.JSONEq(t, string(want), string(got))
	}
}

func TestSuits(t *testing.T) {
	p := serve(t, Options{})
	ask := func(query string) []report.Suit {
		var list []report.Suit
		p.ask("GET", "/holdings/demo/suits?"+query, nil).is(http.StatusOK).into(&list)
		return list
	}
	// In the middle of the wettest patch of the demo, what cannot stand there is barred and comes last.
	r := demoReport(t, 0)
	var wet *planner.Feature
	for _, f := range r.Plan.Of(planner.KindGround) {
		if f.Detail.(*planner.Patch).Moisture == planner.Wet {
			wet = f
			break
		}
	}
	require.NotNil(t, wet)
	c := wet.Shape.Bound().Center()
	list := ask(fmt.Sprintf("x=%g&y=%g&for=windbreak", c[0], c[1]))
	require.NotEmpty(t, list)
	barred := false
	for _, s := range list {
		assert.NotEmpty(t, s.ID)
		assert.NotEmpty(t, s.Name)
		assert.NotEmpty(t, s.Botanical)
		assert.Contains(t, []string{"suitable", "marginal", "unsuitable", "not known"}, s.Verdict)
		assert.False(t, barred && !s.Barred, "barred ones come last")
		barred = s.Barred
		if s.Barred {
			assert.NotEmpty(t, s.Against, "and say why not")
		}
	}
	assert.True(t, barred)
	verdict := func(list []report.Suit, id string) string {
		i := slices.IndexFunc(list, func(s report.Suit) bool { return s.ID == id })
		require.GreaterOrEqual(t, i, 0, id)
		return list[i].Verdict
	}
	assert.NotEqual(t, "unsuitable", verdict(list, "alnus-glutinosa"), "common alder stands on wet ground")
	on, off := ask(fmt.Sprintf("x=%g&y=%g", c[0], c[1])), ask(fmt.Sprintf("x=%g&y=%g&raised=0.3", c[0], c[1]))
	assert.NotEqual(t, on, off, "a mound makes a difference")
	assert.Equal(t, on, ask(fmt.Sprintf("x=%g&y=%g&for=plant&raised=0.05", c[0], c[1])), "a lump does not")
	assert.Equal(t, ask("x=0&y=0&for=hedge"), ask("x=0&y=0&for=gap"))
	for query, property := range map[string]string{"": "x", "x=1": "y", "x=a&y=1": "x", "x=1&y=NaN": "y", "x=1&y=1e99": "y", "x=1&y=1&raised=high": "raised", "x=1&y=1&for=beauty": "for"} {
		assert.Equal(t, property, p.ask("GET", "/holdings/demo/suits?"+query, nil).problem(malformed).Property)
	}
}

func TestVocabulary(t *testing.T) {
	p := serve(t, Options{})
	var v vocabulary
	a := p.ask("GET", "/vocabulary", nil).is(http.StatusOK).into(&v)
	assert.NotContains(t, string(a.body), "null,null")
	require.Len(t, v.Kinds, len(planner.Kinds()))
	for i, k := range planner.Kinds() {
		assert.Equal(t, string(k.Kind), v.Kinds[i].Kind)
		assert.Len(t, v.Kinds[i].Props, len(k.Props))
	}
	assert.Len(t, v.Common, len(planner.CommonProps()))
	assert.Len(t, v.Holding, len(planner.HoldingProps()))
	assert.Len(t, v.Species, len(engine.Catalogue.All()))
	require.Len(t, v.Rules, len(check.Rules()))
	for _, r := range v.Rules {
		assert.NotEmpty(t, r.Title)
		assert.NotEmpty(t, r.Why)
	}
	assert.Len(t, v.Patterns, len(setout.Patterns()))
	assert.Equal(t, engine.Library.Names(), v.RuleSets)
	assert.Equal(t, []string{"text", "csv", "json", "html"}, v.Formats["list"][:4])
	assert.Len(t, v.Formats["setout"], len(setout.Formats())+len(sheets.FieldFormats()))
	assert.Equal(t, []string{"dry", "moist", "damp", "wet", "waterlogged"}, v.Moistures)
	assert.NotEmpty(t, v.Soils)
	assert.NotEmpty(t, v.Exposures)
	for _, k := range v.Kinds {
		if k.Kind == "hedge" {
			for _, prop := range k.Props {
				if prop.Name == "rows" {
					assert.Equal(t, vocabProp{Name: "rows", Type: "integer", Default: 2.0, Allowed: []string{}, Least: planner.Figure(1), Most: planner.Figure(6), Help: "number of rows"}, prop)
				}
			}
		}
	}
}

func TestCSVOfTheListIsInert(t *testing.T) {
	p := serve(t, Options{})
	p.edit("demo", `{"metres":true,"put":[{"type":"Feature","id":"=1+1","properties":{"kind":"row","name":"=cmd|' /C calc'!A0","spacing_m":2,"species":"=HYPERLINK(\"http://evil.example\")"},"geometry":{"type":"LineString","coordinates":[[0,-60],[20,-60]]}}]}`)
	for _, path := range []string{"planting-list", "setout"} {
		a := p.ask("GET", "/holdings/demo/"+path+"?format=csv", nil).is(http.StatusOK)
		assert.True(t, strings.HasPrefix(a.header.Get("Content-Disposition"), "attachment"), path)
		rows, err := csv.NewReader(bytes.NewReader(a.body)).ReadAll()
		require.NoError(t, err)
		for _, row := range rows {
			for _, cell := range row {
				assert.NotRegexp(t, `^[=@]`, cell)
			}
		}
	}
}
