package setout_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
	"quickthorn/planner/setout"
)

func workedExample(t *testing.T) *planner.Plan {
	data, err := os.ReadFile("../../testdata/worked-example.geojson")
	require.NoError(t, err)
	p, err := planner.Read(data, planner.ReadOptions{File: "worked-example.geojson"})
	require.NoError(t, err)
	return p
}

func written(t *testing.T, format string, p *planner.Plan, s []setout.Station) string {
	f, ok := setout.FormatNamed(format)
	require.True(t, ok, format)
	var b bytes.Buffer
	require.NoError(t, f.Write(&b, p, s))
	return b.String()
}

// Every format carries the same points: those to be planted, by feature id, row and number.
func TestExportsAgree(t *testing.T) {
	p := workedExample(t)
	out := set(t, p, "england")
	stations := setout.Stations(p, out, setout.AllPoints, func(q *setout.Plant) string { return "area of " + q.Feature.ID })
	require.Len(t, stations, 427)
	for i := 1; i < len(stations); i++ {
		a, b := stations[i-1], stations[i]
		ordered := a.Feature < b.Feature || a.Feature == b.Feature && (a.Row < b.Row || a.Row == b.Row && a.Number < b.Number)
		require.True(t, ordered, "%s before %s", a.ID, b.ID)
	}

	var collection struct {
		Type, Holding string
		Features      []struct {
			Type, ID   string
			Properties map[string]any
			Geometry   struct {
				Type        string
				Coordinates []float64
			}
		}
	}
	require.NoError(t, json.Unmarshal([]byte(written(t, "geojson", p, stations)), &collection))
	assert.Equal(t, "FeatureCollection", collection.Type)
	require.Len(t, collection.Features, 427)

	var object struct {
		Holding string
		Points  []map[string]any
	}
	require.NoError(t, json.Unmarshal([]byte(written(t, "json", p, stations)), &object))
	require.Len(t, object.Points, 427)

	text := written(t, "csv", p, stations)
	assert.Equal(t, strings.Count(text, "\n"), strings.Count(text, "\r\n"), "RFC 4180: lines end in CR LF")
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 428)
	assert.Equal(t, []string{"plant", "feature", "row", "number", "chainage_m", "offset_m", "species", "cultivar", "rootstock", "area", "use", "point",
		"easting_m", "northing_m", "lon", "lat"}, rows[0])

	for i, s := range stations {
		g, j, c := collection.Features[i], object.Points[i], rows[i+1]
		require.Equal(t, "Feature", g.Type)
		require.Equal(t, "Point", g.Geometry.Type)
		for k, name := range rows[0] {
			if k < 12 {
				sameCell(t, c[k], g.Properties[name], name+" of "+s.ID)
			}
			sameCell(t, c[k], j[name], name+" of "+s.ID)
		}
		require.Equal(t, c[14], strconv.FormatFloat(g.Geometry.Coordinates[0], 'f', 9, 64))
		require.Equal(t, c[15], strconv.FormatFloat(g.Geometry.Coordinates[1], 'f', 9, 64))
		back := p.Frame.ToLocal(orb.Point{g.Geometry.Coordinates[0], g.Geometry.Coordinates[1]})
		require.InDelta(t, s.At[0], back[0], 0.001)
		require.InDelta(t, s.At[1], back[1], 0.001)
		require.Equal(t, "area of "+s.Feature, s.Area)
	}
}

// sameCell compares a value of JSON with a cell of the CSV.
func sameCell(t *testing.T, cell string, v any, what string) {
	if n, ok := v.(float64); ok {
		got, err := strconv.ParseFloat(cell, 64)
		require.NoError(t, err, what)
		require.Equal(t, n, got, what)
		return
	}
	require.Equal(t, cell, v, what)
}

// Ends: the first and last of each row and on both sides of an opening, single trees, trees in hedges, and corners.
func TestExportEnds(t *testing.T) {
	p := workedExample(t)
	out := set(t, p, "england")
	marks := map[string]int{}
	for _, s := range setout.Stations(p, out, setout.EndPoints, nil) {
		marks[s.Feature+" "+s.Mark]++
	}
	assert.Equal(t, map[string]int{"corner-beech tree": 1, "lane-hedge row end": 4, "old-hedge row end": 4, "orchard row end": 16, "west-belt row end": 4}, marks)

	bend := hedge("h", planner.Planned, planner.Hedge{Rows: 1, PerMetre: 5, Mix: hawthorn, TreesEveryM: 20, TreeMix: alder}, orb.LineString{{0, 0}, {30, 0}, {30, 30}})
	q := plan(t, bend, gateway("g", orb.Point{15, 0}, 4))
	marks = map[string]int{}
	for _, s := range setout.Stations(q, set(t, q, "general"), setout.EndPoints, nil) {
		marks[s.Mark]++
	}
	assert.Equal(t, map[string]int{"row end": 4, "tree": 3, "corner": 1}, marks)
}

// A text cell that a spreadsheet would run as a formula is made inert; numbers stay numbers. Lists of first characters: OWASP
// Application Security Verification Standard 5.0, 1.2.10; MITRE CWE-1236.
func TestCSVIsInert(t *testing.T) {
	cases := []struct{ text, want string }{
		{"=1+1", "'=1+1"}, {"+44", "'+44"}, {"-a", "'-a"}, {"@sum", "'@sum"}, {"\tx", "'\tx"}, {"\x00x", "'\x00x"}, {"\uff1dx", "'\uff1dx"}, {"\uff20x", "'\uff20x"},
		{" =1", "' =1"}, {"oak", "oak"}, {`say "oak"`, `say "oak"`}, {"a,b", "a,b"}, {"two\nlines", "two\nlines"}, {"", ""}, {"'quoted", "'quoted"},
	}
	for _, c := range cases {
		text := written(t, "csv", &planner.Plan{}, []setout.Station{{ID: "p", Feature: c.text, Species: c.text, Cultivar: c.text, Area: c.text, ChainageM: -0.0001, OffsetM: -3.5}})
		rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
		require.NoError(t, err)
		require.Len(t, rows, 2)
		for _, k := range []int{1, 6, 7, 9} {
			assert.Equal(t, c.want, rows[1][k])
		}
		assert.Equal(t, "0.000", rows[1][4], "no negative zero")
		assert.Equal(t, "-3.500", rows[1][5], "a number stays a number")
	}
}

func TestFormats(t *testing.T) {
	names := map[string]bool{}
	for _, f := range setout.Formats() {
		assert.False(t, names[f.Name])
		names[f.Name] = true
		assert.NotEmpty(t, f.Media)
		assert.NotEmpty(t, f.Ext)
		assert.Contains(t, []setout.Points{setout.AllPoints, setout.EndPoints}, f.Points)
		var b bytes.Buffer
		require.NoError(t, f.Write(&b, planner.New(planner.Holding{Name: `of "none"`}, workedExample(t).Frame), nil))
		assert.NotEmpty(t, b.Bytes(), f.Name)
		if f.Name == "json" || f.Name == "geojson" {
			assert.True(t, json.Valid(b.Bytes()), f.Name)
			assert.Contains(t, b.String(), "[]")
		}
	}
	_, ok := setout.FormatNamed("dwg")
	assert.False(t, ok)
}
