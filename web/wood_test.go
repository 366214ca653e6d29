package web

import (
	"bytes"
	"encoding/json"
	"math"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner/report"
	"quickthorn/planner/wood"
)

// What is served of wood is what the command line writes.
func TestWoodIsThatOfTheCommand(t *testing.T) {
	p := serve(t, Options{})
	r := demoReport(t, 0)
	res := r.Wood()
	var asJSON, text, asCSV, svg bytes.Buffer
	require.NoError(t, wood.WriteJSON(&asJSON, res))
	require.NoError(t, wood.WriteText(&text, res, 80))
	require.NoError(t, wood.WriteCSV(&asCSV, res))
	require.NoError(t, wood.WriteSVG(&svg, res))
	for _, c := range []struct{ query, accept, media, body string }{
		{"", "", "application/json", asJSON.String()},
		{"?format=json", "text/csv", "application/json", asJSON.String()},
		{"", "application/json", "application/json", asJSON.String()},
		{"?format=text", "", "text/plain; charset=utf-8", text.String()},
		{"", "text/plain", "text/plain; charset=utf-8", text.String()},
		{"?format=csv", "", "text/csv; charset=utf-8", asCSV.String()},
		{"", "text/csv", "text/csv; charset=utf-8", asCSV.String()},
		{"?format=svg", "", "image/svg+xml", svg.String()},
		{"", "image/*", "image/svg+xml", svg.String()},
	} {
		a := p.ask("GET", "/holdings/demo/wood"+c.query, nil, "Accept", c.accept).is(http.StatusOK)
		assert.Equal(t, c.body, string(a.body), "%s %s", c.query, c.accept)
		assert.Equal(t, c.media, a.header.Get("Content-Type"))
	}
}

// The page gets the same object, in sentences too, and each section where the rota has it.
func TestWoodForThePageHasShapes(t *testing.T) {
	p := serve(t, Options{})
	var page struct {
		Summary  []string           `json:"summary"`
		Sections []report.WoodShape `json:"sections"`
		Uses     []string           `json:"uses"`
		Dates    []struct{ What, From, Until string }
		Wood     struct {
			Sections []struct {
				ID     string  `json:"id"`
				Length float64 `json:"length_m"`
				Area   float64 `json:"area_m2"`
			} `json:"sections"`
		} `json:"wood"`
	}
	require.NoError(t, json.Unmarshal(p.ask("GET", "/holdings/demo/wood?format=page", nil).is(http.StatusOK).body, &page))
	require.NotEmpty(t, page.Summary)
	require.Len(t, page.Sections, len(page.Wood.Sections))
	require.NotEmpty(t, page.Sections)
	hedges, coupes := 0, 0
	for i, s := range page.Sections {
		of := page.Wood.Sections[i]
		assert.Equal(t, of.ID, s.ID)
		if of.Area > 0 {
			coupes++
			assert.NotEmpty(t, s.Rings, s.ID)
			continue
		}
		hedges++
		length := 0.0
		for k := 1; k < len(s.Path); k++ {
			length += distance(s.Path[k-1], s.Path[k])
		}
		assert.InDelta(t, of.Length, length, 0.01, s.ID)
	}
	assert.Positive(t, hedges)
	assert.Positive(t, coupes)
	assert.Equal(t, []string{"bare_root", "container", "willow_cuttings", "coppice", "lay", "closed"}, whats(page.Dates))
	assert.NotEmpty(t, page.Uses)
}

func whats(list []struct{ What, From, Until string }) []string {
	var out []string
	for _, d := range list {
		out = append(out, d.What)
	}
	return out
}

// The winter's sheet is a page for paper with one style of its own, and the work in words.
func TestCuttingSheet(t *testing.T) {
	p := serve(t, Options{})
	first := report.FirstCutting(demoReport(t, 0).Wood())
	require.Equal(t, 2028, first)
	for _, query := range []string{"", "?winter=2028", "?winter=2028&date=third+of+May"} {
		a := p.ask("GET", "/holdings/demo/wood/sheet"+query, nil).is(http.StatusOK)
		assert.Equal(t, "text/html; charset=utf-8", a.header.Get("Content-Type"))
		body := string(a.body)
		assert.Contains(t, body, "<h1>Cutting sheet, winter 2028 to 2029</h1>")
		assert.Equal(t, sheetPolicy(a.body), a.header.Get("Content-Security-Policy"))
		assert.Contains(t, a.header.Get("Content-Security-Policy"), "style-src 'sha256-")
		assert.Equal(t, 1, strings.Count(body, "<style>"))
		assert.NotContains(t, body, "<script")
		assert.Equal(t, strings.Contains(query, "date"), strings.Contains(body, "third of May"))
	}
	text := p.ask("GET", "/holdings/demo/wood/sheet?format=text", nil).is(http.StatusOK)
	assert.Contains(t, string(text.body), "The work of the winter of 2028 to 2029.")
	assert.Contains(t, string(p.ask("GET", "/holdings/demo/wood/sheet?winter=2026", nil).is(http.StatusOK).body), "Nothing is cut in this winter")
	assert.Contains(t, string(p.ask("GET", "/holdings/demo/wood/sheet?winter=2055", nil).is(http.StatusOK).body), "winter 2055")
}

// A name in the plan is text on the sheet, never markup, and brings no style along.
func TestCuttingSheetEscapesNames(t *testing.T) {
	p := serve(t, Options{})
	evil := `{"type": "FeatureCollection", "holding": {"name": "</title><style>*{}</style>", "origin": [-2, 54], "planting_winter": 2026}, "features": [
 {"type": "Feature", "id": "<b>", "properties": {"kind": "hedge", "name": "<script>alert(1)</script>", "status": "existing", "manage": "coppice", "last_cut": 2010, "mix": [{"species": "hazel", "share_percent": 100}]},
  "geometry": {"type": "LineString", "coordinates": [[-2, 54], [-2, 54.001]]}}]}`
	at := p.ask("POST", "/holdings", []byte(evil), "Content-Type", "application/geo+json").is(http.StatusCreated).header.Get("Location")
	a := p.ask("GET", at+"/wood/sheet", nil).is(http.StatusOK)
	assert.NotContains(t, string(a.body), "<script")
	assert.Equal(t, 1, strings.Count(string(a.body), "<style>"))
	assert.Contains(t, string(a.body), "&lt;script&gt;")
	assert.Contains(t, string(p.ask("GET", at+"/wood?format=svg", nil).is(http.StatusOK).body), "&lt;")
}

// Whoever has the revision gets no body again; what cannot be asked is named.
func TestWoodIsConditionalAndRefuses(t *testing.T) {
	p := serve(t, Options{})
	for _, path := range []string{"wood", "wood?format=page", "wood/sheet", "wood/sheet?winter=2028"} {
		a := p.ask("GET", "/holdings/demo/"+path, nil).is(http.StatusOK)
		tag := a.header.Get("ETag")
		require.NotEmpty(t, tag, path)
		b := p.ask("GET", "/holdings/demo/"+path, nil, "If-None-Match", tag).is(http.StatusNotModified)
		assert.Empty(t, b.body)
		p.ask("GET", "/holdings/nowhere/"+path, nil).is(http.StatusNotFound)
	}
	for path, property := range map[string]string{
		"wood?format=pdf": "format", "wood/sheet?winter=x": "winter", "wood/sheet?winter=2025": "winter", "wood/sheet?winter=2056": "winter",
		"wood/sheet?winter=99999999999999999999": "winter", "wood/sheet?format=csv": "format",
	} {
		assert.Equal(t, property, p.ask("GET", "/holdings/demo/"+path, nil).problem(malformed).Property, path)
	}
}

func distance(a, b [2]float64) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }
