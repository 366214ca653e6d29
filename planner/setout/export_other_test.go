package setout_test

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
	"quickthorn/planner/setout"
)

// hostileNames is a plan whose names are made to break what they are written into.
func hostileNames(t *testing.T) *planner.Plan {
	p := workedExample(t)
	edited := bytes.ReplaceAll(must(p.Bytes())(t), []byte(`"name": "Worked example"`), []byte(`"name": "</text><script>alert(1)</script> & \"q\" \u0000\u001b ]]>"`))
	q, err := planner.Read(edited, planner.ReadOptions{})
	require.NoError(t, err)
	return q
}

func must[T any](v T, err error) func(*testing.T) T {
	return func(t *testing.T) T {
		require.NoError(t, err)
		return v
	}
}

func toFile(t *testing.T, format string, p *planner.Plan, s []setout.Station) string {
	path := filepath.Join(t.TempDir(), "points."+format)
	require.NoError(t, os.WriteFile(path, []byte(written(t, format, p, s)), 0o600))
	return path
}

func run(t *testing.T, name string, args ...string) string {
	out, err := exec.Command(name, args...).Output()
	require.NoError(t, err, "%s %s", name, strings.Join(args, " "))
	return string(out)
}

// GDAL reads every format with the right number of points, names and places to 1e-8 degrees; xmllint finds the XML well formed.
func TestGDALReadsWhatIsWritten(t *testing.T) {
	p := workedExample(t)
	stations := setout.Stations(p, set(t, p, "england"), setout.AllPoints, func(q *setout.Plant) string { return q.Feature.ID })
	require.Len(t, stations, 427)
	for _, c := range []struct{ format, layer, name, feature, species string }{
		{"geojson", "points", "plant", "feature", "species"},
		{"gpx", "waypoints", "name", "q_feature", "q_species"},
		{"kml", "Worked example", "Name", "feature", "species"},
		{"gpkg", setout.PointLayer, "plant", "feature", "species"},
	} {
		path := toFile(t, c.format, p, stations)
		layer := c.layer
		if c.format == "geojson" {
			layer = "" // GDAL calls it after the file
		}
		args := []string{"-f", "GeoJSON", "-lco", "COORDINATE_PRECISION=12", "/vsistdout/", path}
		if layer != "" {
			args = append(args, layer)
		}
		var read struct {
			Features []struct {
				Properties map[string]any
				Geometry   struct{ Coordinates []float64 }
			}
		}
		require.NoError(t, json.Unmarshal([]byte(run(t, "ogr2ogr", args...)), &read), c.format)
		require.Len(t, read.Features, 427, c.format)
		for i, s := range stations {
			f := read.Features[i]
			require.Equal(t, s.ID, f.Properties[c.name], c.format)
			require.Equal(t, s.Feature, f.Properties[c.feature], c.format)
			require.Equal(t, s.Species, f.Properties[c.species], c.format)
			require.InDelta(t, s.LonLat[0], f.Geometry.Coordinates[0], 1e-8)
			require.InDelta(t, s.LonLat[1], f.Geometry.Coordinates[1], 1e-8)
		}
	}
	for _, format := range []string{"gpx", "kml"} {
		for _, q := range []*planner.Plan{p, hostileNames(t)} {
			path := toFile(t, format, q, stations)
			run(t, "xmllint", "--noout", path)
			text := must(os.ReadFile(path))(t)
			assert.NotContains(t, string(text), "<script>")
		}
	}
}

// The plan's features in the GeoPackage, by GDAL: each kind a layer with as many features as the plan has.
func TestGeoPackageHoldsThePlan(t *testing.T) {
	data, err := os.ReadFile("../../testdata/demo.geojson")
	require.NoError(t, err)
	p, err := planner.Read(data, planner.ReadOptions{})
	require.NoError(t, err)
	stations := setout.Stations(p, set(t, p, "general"), setout.AllPoints, nil)
	path := toFile(t, "gpkg", p, stations)
	assert.Equal(t, written(t, "gpkg", p, stations), written(t, "gpkg", p, stations), "the same bytes")
	want := map[string]int{setout.PointLayer: len(stations), "holding": 1}
	for _, f := range p.Features {
		want[string(f.Kind)]++
	}
	got := map[string]int{}
	for _, block := range strings.Split(run(t, "ogrinfo", "-so", "-al", path), "Layer name: ")[1:] {
		name, rest, _ := strings.Cut(block, "\n")
		_, count, _ := strings.Cut(rest, "Feature Count: ")
		count, _, _ = strings.Cut(count, "\n")
		n, err := strconv.Atoi(count)
		require.NoError(t, err)
		got[name] = n
	}
	assert.Equal(t, want, got)
}

// GPX 1.1 (schema of topografix, 2004): the order of elements, the ranges, what is required; KML 2.3 (OGC 12-007r2, 2015): likewise.
func TestOrderOfElements(t *testing.T) {
	p := hostileNames(t)
	stations := setout.Stations(p, set(t, p, "england"), setout.EndPoints, nil)
	order := map[string][]string{
		"gpx":           {"metadata", "wpt"},
		"wpt":           {"name", "desc", "type", "extensions"},
		"kml":           {"Document"},
		"Document":      {"name", "Placemark"},
		"Placemark":     {"name", "description", "ExtendedData", "Point"},
		"Point":         {"coordinates"},
		"Data":          {"value"},
		"metadata":      {"name"},
		"extensions":    {"plant", "feature", "row", "number", "chainage_m", "offset_m", "species", "cultivar", "rootstock", "area", "use", "point"},
		"ExtendedData":  {"Data"},
		"(outside all)": {"gpx", "kml"},
	}
	for format, space := range map[string]string{"gpx": "http://www.topografix.com/GPX/1/1", "kml": "http://www.opengis.net/kml/2.2"} {
		d := xml.NewDecoder(strings.NewReader(written(t, format, p, stations)))
		stack, at := []string{"(outside all)"}, []int{0}
		points := 0
		for {
			token, err := d.Token()
			if token == nil {
				break
			}
			require.NoError(t, err)
			switch e := token.(type) {
			case xml.StartElement:
				in := stack[len(stack)-1]
				k := -1
				for i, name := range order[in] {
					if name == e.Name.Local {
						k = i
					}
				}
				require.GreaterOrEqual(t, k, at[len(at)-1], "%s in %s", e.Name.Local, in)
				at[len(at)-1] = k
				if in == "extensions" {
					require.NotEqual(t, space, e.Name.Space, "extensions are of another namespace")
				} else {
					require.Equal(t, space, e.Name.Space)
				}
				if e.Name.Local == "gpx" {
					require.Equal(t, []string{"1.1", "Quickthorn"}, []string{e.Attr[0].Value, e.Attr[1].Value})
				}
				if e.Name.Local == "wpt" {
					require.Equal(t, []string{"lat", "lon"}, []string{e.Attr[0].Name.Local, e.Attr[1].Name.Local})
					require.Regexp(t, `^-?\d+\.\d{9}$`, e.Attr[0].Value)
				}
				if e.Name.Local == "wpt" || e.Name.Local == "Placemark" {
					points++
				}
				stack, at = append(stack, e.Name.Local), append(at, 0)
			case xml.EndElement:
				stack, at = stack[:len(stack)-1], at[:len(at)-1]
			}
		}
		assert.Equal(t, len(stations), points)
	}
}
