package bringin_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/geo"
	"quickthorn/geo/interchange"
	"quickthorn/planner"
	"quickthorn/planner/bringin"
	"quickthorn/planner/report"
	"quickthorn/planner/setout"
)

func bring(t testing.TB, data []byte, opt bringin.Options) *bringin.Result {
	t.Helper()
	r, err := bringin.Bring(context.Background(), data, opt)
	require.NoError(t, err)
	return r
}

func notes(r *bringin.Result) string { return strings.Join(r.Notes, "\n") }

func build(t testing.TB, p *planner.Plan) *report.Report {
	t.Helper()
	engine, err := report.NewEngine()
	require.NoError(t, err)
	r, err := engine.Of(p, report.Options{})
	require.NoError(t, err)
	require.NoError(t, r.SetOut(context.Background()))
	return r
}

func out(t testing.TB, format string, r *report.Report) []byte {
	t.Helper()
	f, ok := setout.FormatNamed(format)
	require.True(t, ok)
	var b bytes.Buffer
	require.NoError(t, f.Write(&b, r.Plan, r.Stations(setout.AllPoints)))
	return b.Bytes()
}

// same holds one plan against another: every feature with its kind, shape and properties as they are understood, and the holding.
// What GeoPackage cannot hold, and what is therefore not compared: how numbers, yes and no were written, heights, members of a feature
// besides id, properties and geometry, the order of features, and where a ring was begun.
func same(t testing.TB, a, b *planner.Plan) {
	t.Helper()
	require.Equal(t, a.Frame.Origin(), b.Frame.Origin())
	require.Len(t, b.Features, len(a.Features))
	assert.True(t, reflect.DeepEqual(comparable(a.Holding), comparable(b.Holding)), "the holding")
	for i, f := range a.Features {
		g := b.Features[i]
		require.Equal(t, []any{f.ID, f.Kind, f.Name, f.Notes, f.Status, f.Planted, f.Area, f.Sound}, []any{g.ID, g.Kind, g.Name, g.Notes, g.Status, g.Planted, g.Area, g.Sound})
		require.Equal(t, f.Detail, g.Detail, f.ID)
		near(t, f.Shape, g.Shape)
		var x, y map[string]any
		_ = json.Unmarshal(interchange.Find(f.Text(), "properties"), &x)
		_ = json.Unmarshal(interchange.Find(g.Text(), "properties"), &y)
		require.Len(t, y, len(x), f.ID)
		for name, v := range x {
			if s, ok := v.(string); ok && (s == "yes" || s == "no") && y[name] == (s == "yes") {
				continue
			}
			require.Equal(t, v, y[name], "%s of %s", name, f.ID)
		}
	}
	require.Len(t, severe(b), len(severe(a)))
}

func comparable(h planner.Holding) []any {
	return []any{h.Name, *h.Origin, h.RuleSet, h.WindFromDeg, h.WindRose, h.PlantingWinter, h.Browsing, h.SparePercent, h.Bundle, h.HeatKWhPerYear, h.StoveEfficiency, h.ChipUse, h.Uses, string(h.Prices), string(h.Pictures), h.Limits, h.Accepted}
}

func severe(p *planner.Plan) (out []planner.Fault) {
	for _, f := range p.Faults {
		if f.Severity == planner.Stop {
			out = append(out, f)
		}
	}
	return out
}

func near(t testing.TB, a, b planner.Shape) {
	t.Helper()
	flat := func(s planner.Shape) (out []orb.Point) {
		out = append(out, s.Points...)
		for _, l := range s.Lines {
			out = append(out, l...)
		}
		for _, p := range s.Polygons {
			for _, r := range p {
				out = append(out, r...)
			}
		}
		return out
	}
	x, y := flat(a), flat(b)
	require.Len(t, y, len(x))
	for i := range x {
		require.Less(t, geo.Dist(x[i], y[i]), 0.0002, "9 decimals of a degree")
	}
}

// A plan that went out as a GeoPackage comes back as it was: the demo holding, the worked example, real parcels, and plans with faults.
func TestThereAndBack(t *testing.T) {
	var files []string
	for _, pattern := range []string{"../../testdata/*.geojson", "../../testdata/parcels/*0.geojson"} {
		found, err := filepath.Glob(pattern)
		require.NoError(t, err)
		files = append(files, found...)
	}
	require.Greater(t, len(files), 4)
	for _, path := range files {
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		p, err := planner.Read(data, planner.ReadOptions{})
		require.NoError(t, err)
		written, err := p.Bytes() // with its origin, which the first save adds
		require.NoError(t, err)
		p, err = planner.Read(written, planner.ReadOptions{})
		require.NoError(t, err)
		r := build(t, p)
		back := bring(t, out(t, "gpkg", r), bringin.Options{})
		same(t, p, back.Plan)
		if len(r.Stations(setout.AllPoints)) > 0 {
			assert.Contains(t, notes(back), "positions of the layer points")
			assert.Equal(t, string(out(t, "csv", r)), string(out(t, "csv", build(t, back.Plan))), "the same plants in the same places")
		}
		again := bring(t, out(t, "gpkg", r), bringin.Options{})
		assert.Equal(t, must(back.Plan.Bytes())(t), must(again.Plan.Bytes())(t))
	}
}

func must[T any](v T, err error) func(testing.TB) T {
	return func(t testing.TB) T {
		require.NoError(t, err)
		return v
	}
}

// What our own table cannot take stays as it was: properties nobody knows, values that do not fit, names that SQL would trip over.
func TestOddPropertiesThereAndBack(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		props := map[string]any{"kind": rapid.SampledFrom([]string{"hedge", "well", "nothing known", "parcel"}).Draw(rt, "kind")}
		names := rapid.SampledFrom([]string{"height_m", "name", "rows", "other", "fid", "id", "geom", "x\"y", "grün", "stockproof", "NAME", "planted", "mix", ""})
		for range rapid.IntRange(0, 5).Draw(rt, "n") {
			props[names.Draw(rt, "name")] = rapid.SampledFrom([]any{nil, 1, 1.5, -2.5, true, "no", "text", "", "a\x00b", []any{1, "x"}, map[string]any{"a": nil}, 1e300, 9007199254740993}).Draw(rt, "value")
		}
		text, err := json.Marshal(props)
		require.NoError(t, err)
		data := fmt.Sprintf(`{"type":"FeatureCollection","holding":{"origin":[-2.5,54]},"features":[{"type":"Feature","id":"a","properties":%s,"geometry":{"type":"Point","coordinates":[-2.5,54]}}]}`, text)
		p, err := planner.Read([]byte(data), planner.ReadOptions{})
		require.NoError(t, err)
		layers, err := setout.PlanLayers(p)
		require.NoError(t, err)
		var b bytes.Buffer
		require.NoError(t, interchange.WriteGeoPackage(&b, layers))
		back := bring(t, b.Bytes(), bringin.Options{})
		require.Len(t, back.Plan.Features, 1)
		var x, y map[string]any
		require.NoError(t, json.Unmarshal(interchange.Find(p.Features[0].Text(), "properties"), &x))
		require.NoError(t, json.Unmarshal(interchange.Find(back.Plan.Features[0].Text(), "properties"), &y))
		for name, v := range x {
			if v == "no" && y[name] == false {
				y[name] = v
			}
		}
		require.Equal(t, x, y)
	})
}

// Waypoints and placemarks of our own come back as plants that are still to come, where they were.
func TestPointsThereAndBack(t *testing.T) {
	data, err := os.ReadFile("../../testdata/worked-example.geojson")
	require.NoError(t, err)
	p, err := planner.Read(data, planner.ReadOptions{})
	require.NoError(t, err)
	r := build(t, p)
	stations := r.Stations(setout.AllPoints)
	for _, format := range []string{"gpx", "kml", "geojson"} {
		back := bring(t, out(t, format, r), bringin.Options{})
		require.Len(t, back.Plan.Features, len(stations), format)
		assert.Contains(t, notes(back), "chainages and offsets", "what is lost is said")
		for _, s := range stations {
			f := back.Plan.Feature(s.ID)
			require.NotNil(t, f, s.ID)
			require.Equal(t, []any{planner.KindPlant, planner.Planned, s.Species, s.Cultivar, s.Rootstock},
				[]any{f.Kind, f.Status, f.Detail.(*planner.Plant).Species, f.Detail.(*planner.Plant).Cultivar, f.Detail.(*planner.Plant).Rootstock})
			ll := back.Plan.Frame.ToLonLat(f.Shape.Points[0])
			require.InDelta(t, s.LonLat[0], ll[0], 1e-9)
			require.InDelta(t, s.LonLat[1], ll[1], 1e-9)
		}
	}
}

func gpx(tracks ...[]orb.Point) []byte {
	var b strings.Builder
	b.WriteString(`<gpx version="1.1" creator="handheld" xmlns="http://www.topografix.com/GPX/1/1">`)
	for i, ps := range tracks {
		fmt.Fprintf(&b, "<trk><name>walk %d</name><trkseg>", i)
		for _, p := range ps {
			fmt.Fprintf(&b, `<trkpt lat="%.9f" lon="%.9f"/>`, p[1], p[0])
		}
		b.WriteString("</trkseg></trk>")
	}
	b.WriteString("</gpx>")
	return []byte(b.String())
}

// walked is a rectangle of 120 by 80 m walked with a place every metre, each up to wobble metres out, from gap metres after its
// first corner round to it.
func walked(frame geo.Frame, gap, wobble float64) []orb.Point {
	corners := orb.LineString{{0, 0}, {120, 0}, {120, 80}, {0, 80}, {0, 0}}
	c := geo.NewChain(corners)
	var out []orb.Point
	for s := gap; s <= 400; s++ {
		p := c.At(s)
		k := wobble * math.Sin(s*1.7)
		out = append(out, frame.ToLonLat(orb.Point{p[0] + k, p[1] - k}))
	}
	return out
}

// A walk round a field is a field; one that does not close is what --as says. Thinning keeps within what is said.
func TestTracks(t *testing.T) {
	frame, err := geo.NewFrame(orb.Point{-2.6, 54.2})
	require.NoError(t, err)
	cases := []struct {
		what      string
		gap       float64
		as        planner.Kind
		tolerance *float64
		kind      planner.Kind
	}{
		{"closed", 0, "", nil, planner.KindParcel},
		{"closed but for 4 m", 4, "", nil, planner.KindParcel},
		{"open by 40 m", 40, "", nil, planner.KindHedge},
		{"open, said to be a track", 40, planner.KindTrack, nil, planner.KindTrack},
		{"closed, open lines are fences", 0, planner.KindFence, nil, planner.KindParcel},
		{"open by 40 m, said to be a bed", 40, planner.KindBed, nil, planner.KindBed},
		{"closed, not thinned", 0, "", ptr(0.0), planner.KindParcel},
		{"closed, thinned to 3 m", 0, "", ptr(3.0), planner.KindParcel},
	}
	for _, c := range cases {
		walk := walked(frame, c.gap, 0.3)
		r := bring(t, gpx(walk), bringin.Options{LinesAs: c.as, ToleranceM: c.tolerance})
		require.Len(t, r.Plan.Features, 1, c.what)
		f := r.Plan.Features[0]
		assert.Equal(t, c.kind, f.Kind, c.what)
		assert.Equal(t, "walk 0", f.Name)
		var kept []orb.Point
		if len(f.Shape.Polygons) > 0 {
			kept = f.Shape.Polygons[0][0]
			assert.Contains(t, notes(r), "closed to areas")
			if c.gap < 10 {
				assert.InDelta(t, 9600, geo.Area(f.Shape.Polygons[0]), 9600*0.02, c.what)
			}
		} else {
			kept = f.Shape.Lines[0]
			assert.NotContains(t, notes(r), "closed to areas")
		}
		tolerance := bringin.TrackToleranceM
		if c.tolerance != nil {
			tolerance = *c.tolerance
		}
		if tolerance == 0 {
			assert.NotContains(t, notes(r), "thinned")
			assert.GreaterOrEqual(t, len(kept), len(walk))
			continue
		}
		assert.Contains(t, notes(r), fmt.Sprintf("further than %g m", tolerance))
		assert.Less(t, len(kept), 20, c.what)
		line := geo.NewChain(kept)
		for _, ll := range walk {
			_, _, d := line.Project(r.Plan.Frame.ToLocal(ll))
			require.LessOrEqual(t, d, tolerance+0.001, c.what)
		}
	}
}

// A line that keeps its positions one by one would take the square of its size to thin; so long a one must still come through, and
// within what is said.
func TestThinningOfALongZigzag(t *testing.T) {
	var walk []orb.Point
	const n = 60_000
	for i := range n {
		f := float64(i) / n
		walk = append(walk, orb.Point{-2.5 + float64(i%2)*0.0001*(1-f), 54 + 0.5*f*f})
	}
	r := bring(t, gpx(walk), bringin.Options{})
	assert.Contains(t, notes(r), fmt.Sprintf("from %d to", n))
	assert.Greater(t, len(r.Plan.Features[0].Shape.Lines[0]), n/2)
}

func ptr[T any](v T) *T { return &v }

// Others' layers by shape, and by a column that says the kind; a word that the plan means otherwise is kept under another name.
func TestForeignLayers(t *testing.T) {
	square := func(e float64) interchange.Geometry {
		return interchange.ClosedLine(orb.LineString{{e, 54}, {e + 0.001, 54}, {e + 0.001, 54.001}, {e, 54.001}})
	}
	line := interchange.Geometry{Type: "MultiLineString", Lines: []orb.LineString{{{-2.5, 54}, {-2.499, 54}}, {{-2.498, 54}, {-2.497, 54}}}}
	var b bytes.Buffer
	require.NoError(t, interchange.WriteGeoPackage(&b, []interchange.Layer{
		{Table: "land", Title: "land", Shape: "POLYGON", Columns: []interchange.Column{{Name: "Name", Type: "TEXT"}, {Name: "area", Type: "REAL"}, {Name: "use_class", Type: "TEXT"}},
			Rows: []interchange.Row{{Shape: square(-2.6), Values: []any{"Croft", 0.7, "field"}}, {Shape: square(-2.59), Values: []any{"Garden", 0.1, "Bed"}}}},
		{Table: "lines", Title: "lines", Shape: "MULTILINESTRING", Columns: []interchange.Column{{Name: "use_class", Type: "TEXT"}}, Rows: []interchange.Row{{Shape: line, Values: []any{"overhead line"}}, {Shape: line, Values: []any{"who knows"}}}},
		{Table: "spots", Title: "spots", Shape: "POINT", Columns: []interchange.Column{{Name: "use_class", Type: "TEXT"}}, Rows: []interchange.Row{{Shape: interchange.PointShape(orb.Point{-2.6, 54}), Values: []any{nil}}}},
	}))
	kinds := func(r *bringin.Result) (out []string) {
		for _, f := range r.Plan.Features {
			out = append(out, string(f.Kind))
		}
		slices.Sort(out)
		return out
	}
	r := bring(t, b.Bytes(), bringin.Options{})
	assert.Equal(t, []string{"hedge", "hedge", "parcel", "parcel", "plant"}, kinds(r))
	assert.Contains(t, notes(r), "By their shape alone")
	croft := r.Plan.Features[slices.IndexFunc(r.Plan.Features, func(f *planner.Feature) bool { return f.Name == "Croft" })]
	assert.Empty(t, croft.Area)
	assert.Contains(t, string(croft.Text()), `"area_as_given": 0.7`)
	assert.Contains(t, string(croft.Text()), `"use_class": "field"`)

	r = bring(t, b.Bytes(), bringin.Options{KindColumn: "use_class", LinesAs: planner.KindFence, PointsAs: planner.KindWell})
	assert.Equal(t, []string{"bed", "fence", "fence", "overhead_line", "overhead_line", "parcel", "well"}, kinds(r))
}

// The made-up neighbourhood: what GDAL measures in an equal-area projection (EPSG:3035) and along UTM, the plan measures within 0.1 %.
func TestNeighbourhood(t *testing.T) {
	const path = "../../testdata/neighbourhood/tagged.geojson"
	r := bring(t, must(os.ReadFile(path))(t), bringin.Options{})
	sql := `SELECT "@id" AS what, ST_Area(ST_Transform(geometry, 3035)) AS area, ST_Length(ST_Transform(geometry, 32630)) AS length, ST_Perimeter(ST_Transform(geometry, 32630)) AS around FROM tagged`
	text, err := exec.Command("ogr2ogr", "-f", "CSV", "-dialect", "SQLite", "-sql", sql, "/vsistdout/", path).Output()
	require.NoError(t, err)
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	require.NoError(t, err)
	number := func(s string) float64 {
		if s == "" {
			return 0
		}
		x, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		return x
	}
	areas, lines := 0, 0
	for _, row := range rows[1:] {
		id, area, length, around := row[0], number(row[1]), number(row[2]), number(row[3])
		got, outline := 0.0, 0.0
		for _, f := range r.Plan.Features {
			if f.ID != id && !strings.HasPrefix(f.ID, id+"-") {
				continue
			}
			got += geo.MultiArea(f.Shape.Polygons)
			for _, l := range f.Shape.Lines {
				outline += geo.Length(l)
			}
		}
		if got > 0 {
			require.InEpsilon(t, area, got, 0.001, id)
			areas++
		}
		if outline > 0 {
			require.InEpsilon(t, max(length, around), outline, 0.001, id)
			lines++
		}
	}
	assert.Equal(t, []int{12, 15}, []int{areas, lines}, "a line round the areas that are hedged, and every open line")

	kinds := map[planner.Kind]int{}
	for _, f := range r.Plan.Features {
		kinds[f.Kind]++
		assert.True(t, f.Sound, f.ID)
	}
	assert.Equal(t, map[planner.Kind]int{"parcel": 5, "hedge": 4, "grove": 2, "orchard": 1, "fence": 1, "wall": 1, "plant": 2, "row": 1, "gateway": 1, "watercourse": 2, "ground": 1,
		"ditch": 1, "building": 3, "overhead_line": 2, "service": 1, "road": 1, "track": 1, "path": 1}, kinds)
	assert.Empty(t, severe(r.Plan))
	detail := func(id string) any { return r.Plan.Feature(id).Detail }
	assert.Equal(t, 11.0, detail("way/300050").(*planner.OverheadLine).VoltageKV)
	assert.Equal(t, 400.0, detail("way/300051").(*planner.OverheadLine).VoltageKV, "the greatest of several")
	assert.Equal(t, 1.829, detail("way/300012").(*planner.Hedge).HeightM, "6 feet of 0.3048 m")
	assert.Equal(t, 12.0, detail("node/200001").(*planner.Plant).SpreadM)
	assert.Equal(t, "gas", detail("way/300052").(*planner.Service).Carries)
	assert.True(t, detail("way/300040").(*planner.Building).Dwelling)
	assert.Equal(t, planner.Existing, r.Plan.Feature("way/300012").Status)
	for _, said := range []string{"amenity=bench (1)", "highway=service (1)", "points without tags (2)", "lines and areas without tags (1)", "surface (1)", "OpenStreetMap contributors", "drawn as areas"} {
		assert.Contains(t, notes(r), said)
	}
	assert.Contains(t, string(must(r.Plan.Bytes())(t)), `"attribution": "`)

	// another order of features, the same plan
	var doc struct {
		Type     string            `json:"type"`
		Features []json.RawMessage `json:"features"`
	}
	require.NoError(t, json.Unmarshal(must(os.ReadFile(path))(t), &doc))
	one := bring(t, must(json.Marshal(doc))(t), bringin.Options{})
	slices.Reverse(doc.Features)
	other := bring(t, must(json.Marshal(doc))(t), bringin.Options{})
	assert.Equal(t, string(must(one.Plan.Bytes())(t)), string(must(other.Plan.Bytes())(t)))
	assert.Equal(t, one.Notes, other.Notes)
	assert.Contains(t, notes(one), "Map data © OpenStreetMap contributors", "the line that the ids call for, where the file has none")
}

// GDAL makes a GeoPackage of the neighbourhood on the British grid; brought in it is the same place within the datum's metre.
func TestNeighbourhoodOnTheGrid(t *testing.T) {
	const path = "../../testdata/neighbourhood/tagged.geojson"
	plain := bring(t, must(os.ReadFile(path))(t), bringin.Options{})
	for _, code := range []string{"32630", "25830", "3857"} {
		file := filepath.Join(t.TempDir(), "n.gpkg")
		said, err := exec.Command("ogr2ogr", "-f", "GPKG", "-t_srs", "EPSG:"+code, file, path).CombinedOutput()
		require.NoError(t, err, "%s", said)
		r := bring(t, must(os.ReadFile(file))(t), bringin.Options{})
		require.Len(t, r.Plan.Features, len(plain.Plan.Features))
		for i, f := range plain.Plan.Features {
			g := r.Plan.Features[i]
			require.Equal(t, []any{f.ID, f.Kind}, []any{g.ID, g.Kind})
			near(t, f.Shape, planner.Shape{Points: moved(r, plain, g.Shape.Points), Lines: each(g.Shape.Lines, func(l orb.LineString) orb.LineString { return moved(r, plain, l) }),
				Polygons: each(g.Shape.Polygons, func(p orb.Polygon) orb.Polygon {
					return each(p, func(x orb.Ring) orb.Ring { return moved(r, plain, x) })
				})})
		}
	}
}

func moved(from, to *bringin.Result, ps []orb.Point) []orb.Point {
	return each(ps, func(p orb.Point) orb.Point { return to.Plan.Frame.ToLocal(from.Plan.Frame.ToLonLat(p)) })
}

func each[T any](list []T, f func(T) T) []T {
	var out []T
	for _, x := range list {
		out = append(out, f(x))
	}
	return out
}

// Every row of the table of tags names a kind that takes such a shape, properties that the kind has, and takers that are there.
func TestTagTable(t *testing.T) {
	shapes := map[string][]string{"point": {"Point"}, "line": {"LineString"}, "area": {"Polygon"}, "any": {"Point", "LineString", "Polygon"}}
	for i, row := range bringin.TagRows() {
		where := fmt.Sprintf("row %d, %s", i+2, row.Key)
		require.NotEmpty(t, shapes[row.Shape], where)
		if row.Kind == "" {
			assert.Empty(t, row.Set, where)
			continue
		}
		spec, ok := planner.SpecOf(row.Kind)
		require.True(t, ok, where)
		value := "anything"
		if row.Values != nil {
			value = row.Values[0]
		}
		for _, shape := range shapes[row.Shape] {
			if row.Kind == planner.KindWell && shape == "Polygon" {
				continue
			}
			assert.Contains(t, spec.Geometries, shape, where)
			coords := map[string]string{"Point": "[-2.5,54]", "LineString": "[[-2.5,54],[-2.499,54]]", "Polygon": "[[[-2.5,54],[-2.499,54],[-2.499,54.001],[-2.5,54]]]"}[shape]
			extra := ""
			if row.When[0] != "" {
				extra = fmt.Sprintf(`,%q:%q`, row.When[0], row.When[1])
			}
			data := fmt.Sprintf(`{"type":"FeatureCollection","features":[{"type":"Feature","id":"way/1","properties":{%q:%q,"height":"3","width":"2","voltage":"11000","access":"no"%s},"geometry":{"type":%q,"coordinates":%s}}]}`, row.Key, value, extra, shape, coords)
			r, err := bringin.Bring(context.Background(), []byte(data), bringin.Options{})
			require.NoError(t, err, where)
			require.NotEmpty(t, r.Plan.Features, where)
			assert.Empty(t, severe(r.Plan), where)
			assert.Equal(t, row.Kind, r.Plan.Features[0].Kind, where)
		}
	}
}

// It is said where the land lies, so that coordinates in the wrong order are seen.
func TestThePlaceIsSaid(t *testing.T) {
	for coords, says := range map[string]string{"[-2.5,53.9]": "about 53.900° N, 2.500° W", "[53.9,-2.5]": "about 2.500° S, 53.900° E"} {
		r := bring(t, []byte(`{"type":"Point","coordinates":`+coords+`}`), bringin.Options{})
		assert.Contains(t, notes(r), says)
	}
}

// What cannot be used is refused with what, where and how to mend it.
func TestRefused(t *testing.T) {
	cases := []struct {
		data, says string
		opt        bringin.Options
	}{
		{"hello", "none of GPX", bringin.Options{}},
		{"", "The file is empty. Export it again, as GPX", bringin.Options{}},
		{"\xEF\xBB\xBF \n", "The file is empty.", bringin.Options{}},
		{"PK\x05\x06", "none of GPX", bringin.Options{}},
		{"\xFF\xFE{\x00}\x00", "not written in UTF-8 but in UTF-16", bringin.Options{}},
		{`{"type":"Feature"}`, "features without a shape (1)", bringin.Options{}},
		{`{"type":"Topology"}`, "not FeatureCollection", bringin.Options{}},
		{`{"type":"FeatureCollection","features":[]}`, "Nothing in the file", bringin.Options{}},
		{`{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"kind":"hedge"},"geometry":{"type":"Point","coordinates":[0,0]}}]}`, "a hedge drawn as Point (1)", bringin.Options{}},
		{string(gpx([]orb.Point{{0, 0}, {1, 1}})), "A line cannot become", bringin.Options{LinesAs: planner.KindWell}},
		{string(gpx([]orb.Point{{0, 0}, {1, 1}})), "A point cannot become", bringin.Options{PointsAs: planner.KindHedge}},
		{string(gpx([]orb.Point{{0, 0}, {1, 1}})), "tolerance", bringin.Options{ToleranceM: ptr(math.NaN())}},
		{string(gpx([]orb.Point{{0, 0}, {0.0001, 0}}, []orb.Point{{60, 0}, {60.0001, 0}})), "wide", bringin.Options{}},
		{"<html></html>", "outermost element", bringin.Options{}},
		{strings.Repeat("x", 2<<20), "larger than 1 MB", bringin.Options{MaxBytes: 1 << 20}},
	}
	for _, c := range cases {
		_, err := bringin.Bring(context.Background(), []byte(c.data), c.opt)
		var p *planner.Problem
		require.ErrorAs(t, err, &p, c.says)
		assert.Contains(t, p.Error(), c.says)
		assert.NotEmpty(t, p.Mend, c.says)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := bringin.Bring(ctx, gpx([]orb.Point{{0, 0}, {1, 1}}), bringin.Options{})
	assert.ErrorIs(t, err, context.Canceled)
}

// Whatever a file holds, it becomes a plan that can be read and written again, or is refused in words.
func FuzzBring(f *testing.F) {
	f.Add(gpx([]orb.Point{{-2, 54}, {-2.001, 54}, {-2, 54.001}, {-2, 54}}))
	f.Add(must(os.ReadFile("../../testdata/worked-example.geojson"))(f))
	f.Add([]byte(`{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"barrier":"hedge","tags":{"natural":"tree"},"other_tags":"\"a\"=>\"b\""},"geometry":{"type":"MultiPolygon","coordinates":[[[[0,0],[0.001,0],[0,0.001]]]]}}]}`))
	f.Add([]byte(`<kml><Placemark><name>n</name><ExtendedData><Data name="kind"><value>parcel</value></Data></ExtendedData><Polygon><outerBoundaryIs><LinearRing><coordinates>0,0 0.001,0 0,0.001</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></kml>`))
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := bringin.Bring(context.Background(), data, bringin.Options{})
		if err != nil {
			var p *planner.Problem
			require.ErrorAs(t, err, &p)
			require.NotEmpty(t, p.What)
			return
		}
		require.NotEmpty(t, r.Plan.Features)
		again, err := planner.Read(must(r.Plan.Bytes())(t), planner.ReadOptions{})
		require.NoError(t, err)
		require.Len(t, again.Features, len(r.Plan.Features))
	})
}
