package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner/store"
	"quickthorn/testdata"
)

func TestHoldings(t *testing.T) {
	p := serve(t, Options{})
	var list []listed
	p.ask("GET", "/holdings", nil).is(http.StatusOK).into(&list)
	require.Len(t, list, 1)
	assert.Equal(t, "demo", list[0].ID)
	assert.Equal(t, "Sallow Bank", list[0].Name)
	assert.EqualValues(t, 1, list[0].Revision)
	assert.False(t, list[0].Changed.IsZero())

	a := p.ask("POST", "/holdings", testdata.Demo).is(http.StatusCreated)
	where := a.header.Get("Location")
	assert.Equal(t, "/holdings/sallow-bank", where)
	got := p.ask("GET", where, nil).is(http.StatusOK)
	assert.Equal(t, string(testdata.Demo), string(got.body), "byte for byte as it came")
	assert.Equal(t, "application/geo+json", got.header.Get("Content-Type"))
	assert.Equal(t, a.tag(), got.tag())
	assert.Equal(t, "/holdings/sallow-bank-2", p.ask("POST", "/holdings", testdata.Demo).is(http.StatusCreated).header.Get("Location"))

	p.ask("DELETE", where, nil, "If-Match", got.tag()).is(http.StatusNoContent)
	p.ask("GET", where, nil).problem(unknown)
	p.ask("GET", where+"/sheet", nil).problem(unknown)
}

func TestReplace(t *testing.T) {
	p := serve(t, Options{})
	before := p.planOf("demo")
	p.sheetOf("demo")
	p.ask("PUT", "/holdings/demo", `{"type":"FeatureCollection","holding":{"name":"bare"},"features":[]}`, "If-Match", p.tag("demo")).is(http.StatusOK)
	assert.Empty(t, p.sheetOf("demo").Features)
	for _, bad := range []string{`{}`, `{"type":"FeatureCollection"}`, `[]`, `{"type":"Feature"}`} {
		p.ask("PUT", "/holdings/demo", bad, "If-Match", p.tag("demo")).problem(unusable)
	}
	p.ask("PUT", "/holdings/demo", `{`, "If-Match", p.tag("demo")).problem(malformed)
	p.ask("POST", "/holdings/demo/undo", nil, "If-Match", p.tag("demo")).is(http.StatusOK)
	assert.Equal(t, before, p.planOf("demo"), "a replacement is taken back like any edit")
}

// On an empty holding, what is drawn first in metres stands where it was drawn, and all that comes after it too.
func TestEmptyHoldings(t *testing.T) {
	p := serve(t, Options{})
	for body, want := range map[string]struct {
		name   string
		origin []float64
	}{
		`{}`: {"Unnamed holding", []float64{nowhere[0], nowhere[1]}},
		`{"name":"Páirc Mhór","origin":[-8.25,52.5]}`:                                           {"Páirc Mhór", []float64{-8.25, 52.5}},
		`{"holding":{"name":"wrapped"}}`:                                                        {"wrapped", []float64{nowhere[0], nowhere[1]}},
		`{"name":"null origin","origin":null}`:                                                  {"null origin", []float64{nowhere[0], nowhere[1]}},
		`{"type":"FeatureCollection","features":[]}`:                                            {"Unnamed holding", []float64{nowhere[0], nowhere[1]}},
		`{"type":"FeatureCollection","holding":{"name":"plan","origin":[-3,57]},"features":[]}`: {"plan", []float64{-3, 57}},
	} {
		where := p.ask("POST", "/holdings", body).is(http.StatusCreated).header.Get("Location")
		id, err := url.PathUnescape(strings.TrimPrefix(where, "/holdings/"))
		require.NoError(t, err)
		s := p.sheetOf(id)
		assert.Equal(t, want.name, s.Name)
		assert.InDeltaSlice(t, want.origin, s.Origin[:], 1e-9)
		assert.Empty(t, s.Features)
		assert.Nil(t, s.Box)
		for i := range 2 {
			p.edit(id, fmt.Sprintf(`{"metres":true,"put":[%s]}`, hedge(fmt.Sprint("h", i), 1000*float64(i), 20, 1000*float64(i)+100.001, 20)))
		}
		s = p.sheetOf(id)
		assert.InDeltaSlice(t, want.origin, s.Origin[:], 1e-9, "nothing shifts")
		got, err := json.Marshal(s.Features[1].Geometry.Coordinates)
		require.NoError(t, err)
		assert.JSONEq(t, `[[1000,20],[1100.001,20]]`, string(got))
	}
	for body, property := range map[string]string{`{"nam":"x"}`: "nam", `{"holding":7}`: "holding"} {
		assert.Equal(t, property, p.ask("POST", "/holdings", body).problem(malformed).Property)
	}
	p.ask("POST", "/holdings", `[]`).problem(unusable)
	p.ask("POST", "/holdings", `{"type":"FeatureCollection","features":7}`).problem(unusable)
	p.ask("POST", "/holdings", ``).problem(malformed)
}

func TestSettings(t *testing.T) {
	p := serve(t, Options{})
	var was map[string]any
	a := p.ask("GET", "/holdings/demo/settings", nil).is(http.StatusOK).into(&was)
	assert.Equal(t, "Sallow Bank", was["name"])
	sheet := p.sheetOf("demo")
	was["name"] = "Another name"
	delete(was, "origin")
	p.ask("PUT", "/holdings/demo/settings", was, "If-Match", a.tag()).is(http.StatusOK)
	next := p.sheetOf("demo")
	assert.Equal(t, "Another name", next.Name)
	assert.Equal(t, sheet.Origin, next.Origin, "without an origin nothing shifts")
	assert.Equal(t, sheet.Features[0].Geometry, next.Features[0].Geometry)
	for _, bad := range []string{`[]`, `"x"`, `null`, `7`} {
		p.ask("PUT", "/holdings/demo/settings", bad, "If-Match", p.tag("demo")).problem(malformed)
	}
	var steps []entry
	p.ask("GET", "/holdings/demo/history", nil).is(http.StatusOK).into(&steps)
	assert.Equal(t, "Changed the settings of the holding", steps[0].Note)
	p.ask("POST", "/holdings/demo/undo", nil, "If-Match", p.tag("demo")).is(http.StatusOK)
	assert.Equal(t, "Sallow Bank", p.sheetOf("demo").Name)
	p.ask("PUT", "/holdings/demo/settings?note=Bundles+of+50", `{"bundle":50}`, "If-Match", p.tag("demo")).is(http.StatusOK)
	p.ask("GET", "/holdings/demo/history", nil).is(http.StatusOK).into(&steps)
	assert.Equal(t, "Bundles of 50", steps[0].Note)
	p.ask("PUT", "/holdings/demo/settings?note="+strings.Repeat("x", maxNote+1), `{}`, "If-Match", p.tag("demo")).problem(malformed)
}

// A rule set that cannot be had here does not keep the plan from being drawn: a finding says so, and it can be mended.
func TestUnknownRuleSet(t *testing.T) {
	p := serve(t, Options{})
	var was map[string]any
	p.ask("GET", "/holdings/demo/settings", nil).into(&was)
	for _, name := range []string{"./my-rules.csv", "narnia", "/etc/passwd"} {
		was["rule_set"] = name
		p.ask("PUT", "/holdings/demo/settings", was, "If-Match", p.tag("demo")).is(http.StatusOK)
		s := p.sheetOf("demo")
		said := false
		for _, f := range s.Findings {
			said = said || f.Rule == "input.property" && strings.Contains(f.Message, name)
		}
		assert.True(t, said, name)
		assert.Equal(t, "general", s.RuleSet)
	}
}

func TestFeatures(t *testing.T) {
	p := serve(t, Options{})
	path := "/holdings/demo/features/"
	p.ask("GET", path+"no-such", nil).problem(unknown)
	d := p.ask("DELETE", path+"no-such", nil, "If-Match", p.tag("demo")).problem(unknown)
	assert.Equal(t, "no-such", d.Feature)

	well := `{"type":"Feature","id":"other","properties":{"kind":"well","depth_m":12},"geometry":{"type":"Point","coordinates":[-2.584,53.9855]}}`
	a := p.ask("PUT", path+"a%2Fb%20c", well, "If-Match", p.tag("demo")).is(http.StatusCreated)
	assert.Equal(t, path+"a%2Fb%20c", a.header.Get("Location"))
	got := p.ask("GET", path+"a%2Fb%20c", nil).is(http.StatusOK)
	assert.JSONEq(t, strings.Replace(well, "other", "a/b c", 1), string(got.body), "the id of the path counts")
	assert.Equal(t, a.tag(), got.tag())
	p.ask("GET", path+"a%2Fb%20c", nil, "If-None-Match", got.tag()).is(http.StatusNotModified)

	// Its own tag holds while others change other features, and no longer once it is changed itself.
	p.edit("demo", `{"metres":true,"put":[`+hedge("h", 0, -60, 30, -60)+`]}`)
	deeper := strings.Replace(well, "12", "13", 1)
	b := p.ask("PUT", path+"a%2Fb%20c", deeper, "If-Match", got.tag()).is(http.StatusOK)
	assert.NotEqual(t, got.tag(), b.tag())
	p.ask("PUT", path+"a%2Fb%20c", well, "If-Match", got.tag()).problem(stale)
	p.ask("DELETE", path+"a%2Fb%20c", nil, "If-Match", got.tag()).problem(stale)
	p.ask("DELETE", path+"a%2Fb%20c", nil).problem(needsMatch)
	p.ask("DELETE", path+"a%2Fb%20c", nil, "If-Match", b.tag()).is(http.StatusOK)
	p.ask("GET", path+"a%2Fb%20c", nil).problem(unknown)
	p.ask("PUT", path+"a%2Fb%20c", well, "If-Match", b.tag()).problem(stale) // a tag of what is gone makes nothing anew

	for _, bad := range []string{`{}`, `[]`, `{"type":"FeatureCollection","features":[]}`} {
		d := p.ask("PUT", path+"w", bad, "If-Match", p.tag("demo")).problem(unusable)
		assert.Equal(t, "w", d.Feature)
	}
	d = p.ask("PUT", path+"w", feature("w", "well", 500, 0), "If-Match", p.tag("demo")).problem(unusable)
	assert.Equal(t, "w", d.Feature)
}

// Land drawn before anybody knew where it lies is carried to its place in one step that can be taken back; on the page nothing moves.
func TestPlace(t *testing.T) {
	p := serve(t, Options{})
	var made store.Holding
	p.ask("POST", "/holdings", `{"name":"Lost"}`).is(http.StatusCreated).into(&made)
	p.edit(made.ID, `{"metres":true,"put":[`+hedge("h", -30, -70, 12, -70)+`]}`)
	was, drawn := p.planOf(made.ID), p.sheetOf(made.ID)
	path := "/holdings/" + made.ID + "/place"
	a := p.ask("PUT", path+"?sheet=1", `{"origin":[174.8,-41.3]}`, "If-Match", p.tag(made.ID)).is(http.StatusOK)
	var e edited
	a.into(&e)
	require.NotNil(t, e.Sheet)
	require.Len(t, e.Sheet.Features, 1)
	assert.Equal(t, drawn.Features[0].Geometry, e.Sheet.Features[0].Geometry)
	assert.Contains(t, p.planOf(made.ID), `[174.8, -41.3]`)
	assert.Contains(t, p.planOf(made.ID), `[174.79`)
	var steps []entry
	p.ask("GET", "/holdings/"+made.ID+"/history", nil).into(&steps)
	assert.Equal(t, "Moved all that is drawn to latitude -41.3, longitude 174.8", steps[0].Note)
	p.ask("POST", "/holdings/"+made.ID+"/undo", nil, "If-Match", p.tag(made.ID)).is(http.StatusOK)
	assert.Equal(t, was, p.planOf(made.ID))
	for _, bad := range []string{`{}`, `[]`, `{"origin":[1]}`, `{"origin":["x",1]}`, `{"origin":null}`} {
		p.ask("PUT", path, bad, "If-Match", p.tag(made.ID)).problem(malformed)
	}
	for _, bad := range []string{`{"origin":[0,91]}`, `{"origin":[0,89]}`, `{"origin":[400,0]}`, `{"origin":[0,1e300]}`} {
		p.ask("PUT", path, bad, "If-Match", p.tag(made.ID)).problem(unusable)
	}
	assert.Equal(t, was, p.planOf(made.ID))
}
