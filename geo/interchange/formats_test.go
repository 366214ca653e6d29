package interchange

import (
	"archive/zip"
	"bytes"
	"context"
	"database/sql/driver"
	"encoding/hex"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/twpayne/go-geom/encoding/wkb"
	"pgregory.net/rapid"
)

func zipped(t testing.TB, files map[string]string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for name, text := range files {
		w, err := z.Create(name)
		require.NoError(t, err)
		_, err = w.Write([]byte(text))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return b.Bytes()
}

func sampleShapes() []Geometry {
	ring := []orb.Point{{-2, 54}, {-1.99, 54}, {-1.99, 54.01}, {-2, 54}}
	hole := []orb.Point{{-1.995, 54.001}, {-1.995, 54.002}, {-1.994, 54.001}, {-1.995, 54.001}}
	return []Geometry{PointShape(orb.Point{-2, 54}), pointsShape([]orb.Point{{-2, 54}, {-1, 55}}), lineShape([]orb.Point{{-2, 54}, {-1, 55}}),
		linesShape([][]orb.Point{{{-2, 54}, {-1, 55}}, {{0, 1}, {2, 3}}}), areaShape([][][]orb.Point{{ring, hole}}), areaShape([][][]orb.Point{{slices.Clone(ring)}, {slices.Clone(hole)}})}
}

func samplePackage(t testing.TB) []byte {
	t.Helper()
	l := Layer{Table: "things", Title: "Things", Shape: "GEOMETRY", Columns: []Column{{"id", "TEXT"}, {"height", "REAL"}, {"n", "INTEGER"}, {"yes", "BOOLEAN"}}}
	for i, g := range sampleShapes() {
		l.Rows = append(l.Rows, Row{g, []any{fmt.Sprintf("thing %d", i), 1.5, int64(i), i%2 == 0}})
	}
	l.Rows = append(l.Rows, Row{Geometry{}, []any{nil, nil, nil, nil}})
	var b bytes.Buffer
	require.NoError(t, WriteGeoPackage(&b, []Layer{l, {Table: HoldingTable, Title: "holding", Columns: []Column{{"name", "TEXT"}, {"holding", "TEXT"}}, Rows: []Row{{Values: []any{"Bank", `{"name":"Bank"}`}}}}}))
	return b.Bytes()
}

func TestReadGPX(t *testing.T) {
	b, f := ReadGPX([]byte(sampleGPX))
	require.Nil(t, f)
	assert.Equal(t, "n", b.Name)
	assert.Equal(t, "a, 2026", b.Credit)
	require.Len(t, b.Items, 4)
	w := b.Items[0]
	assert.Equal(t, []string{"w & x", "d", "a/0/1", "t"}, []string{w.Name, w.Notes, w.Text("plant"), w.Text("type")})
	assert.Equal(t, []orb.Point{{-2, 54}}, w.Points)
	assert.Equal(t, []orb.LineString{{{-2, 54}, {-2, 54.1}}}, b.Items[1].Lines)
	assert.False(t, b.Items[1].Track)
	assert.Equal(t, []string{"t, part 1", "t, part 2"}, []string{b.Items[2].Name, b.Items[3].Name})
	assert.True(t, b.Items[2].Track)
	assert.Equal(t, []string{"extensions of other programs (1)", "heights (1)", "times (1)"}, b.Lost.Lines())
}

func TestReadKML(t *testing.T) {
	for _, read := range []func() (*Batch, *FormatFault){
		func() (*Batch, *FormatFault) { return ReadKML([]byte(sampleKML)) },
		func() (*Batch, *FormatFault) {
			return ReadKMZ(zipped(t, map[string]string{"doc.kml": sampleKML}), 1<<20)
		},
	} {
		b, f := read()
		require.Nil(t, f)
		assert.Equal(t, "d", b.Name)
		require.Len(t, b.Items, 4)
		area := b.Items[0]
		assert.Equal(t, []string{"p", "area", "bold text", "f", "parcel", "1"}, []string{area.ID, area.Name, area.Notes, area.Layer, area.Text("kind"), area.Text("x")})
		require.Len(t, area.Polygons, 1)
		assert.Len(t, area.Polygons[0], 2)
		assert.Equal(t, []string{"p-2", "p-3"}, []string{b.Items[1].ID, b.Items[2].ID})
		assert.Equal(t, []orb.LineString{{{-2, 54}, {-2.1, 54.1}}}, b.Items[1].Lines)
		assert.True(t, b.Items[3].Track)
		assert.Equal(t, []string{"heights (3)", "styles (2)", "links to other files (1)", "times (1)"}, b.Lost.Lines())
	}
}

// Files that are broken, huge in what they claim, or mean harm.
func TestHostileMarkup(t *testing.T) {
	kml := func(inside string) string {
		return `<kml xmlns="http://www.opengis.net/kml/2.2"><Document>` + inside + `</Document></kml>`
	}
	bomb := `<!DOCTYPE lolz [<!ENTITY lol "lol">`
	for i := 1; i < 10; i++ {
		bomb += fmt.Sprintf(`<!ENTITY lol%d "%s">`, i, strings.Repeat(fmt.Sprintf("&lol%d;", i-1), 10))
	}
	cases := []struct{ text, says, source string }{
		{bomb + "]>" + kml("<name>&lol9;</name>"), "document type", "CWE-776, entity expansion"},
		{`<!DOCTYPE kml SYSTEM "file:///etc/passwd">` + kml(""), "document type", "CWE-611, external entity"},
		{kml("<name>&lol;</name>"), "entity", "an entity that nobody declared"},
		{kml(strings.Repeat("<Folder>", 100_000)), "nested more than 100 deep", "deep nesting"},
		{kml("<Placemark>"), "not sound XML", "an element left open"},
		{"<kml", "ends in the middle", "cut off"},
		{kml("<Placemark></Folder>"), "not sound XML", "elements crossed"},
		{"<!DOCTYPE html><html><body>Log in</body></html>", "a web page", "HTML, as a login page is saved"},
		{"", "no element", "empty"},
		{"<svg/>", "outermost element", "another format"},
		{`<?xml version="1.0" encoding="EUC-JP"?>` + kml(""), `the character set "EUC-JP"`, "a character set that is not read"},
		{"\xFF\xFE<\x00k\x00m\x00l\x00", "UTF-16", "UTF-16"},
		{kml("<name>\xC3\x28</name>"), "not UTF-8", "not UTF-8"},
		{kml("<Placemark><Point><coordinates>1</coordinates></Point></Placemark>"), "A position is", "one number"},
		{kml("<Placemark><Point><coordinates>1, 2</coordinates></Point></Placemark>"), "latitude", "a space after the comma"},
		{kml("<Placemark><Point><coordinates>200,2</coordinates></Point></Placemark>"), "not on the globe", "range"},
		{kml("<Placemark><Point><coordinates>NaN,2</coordinates></Point></Placemark>"), "not on the globe", "not a number"},
		{kml("<Placemark><Point><coordinates>1,Inf</coordinates></Point></Placemark>"), "not on the globe", "infinite"},
	}
	for _, c := range cases {
		b, f := ReadKML([]byte(c.text))
		require.NotNil(t, f, c.source)
		assert.Nil(t, b)
		assert.Contains(t, f.Error(), c.says, c.source)
		assert.NotEmpty(t, f.Mend, c.source)
		assert.NotContains(t, strings.ToLower(f.Error()+f.Mend), "error", c.source)
	}
	_, f := ReadGPX([]byte(`<gpx><wpt lat="91" lon="0"/></gpx>`))
	require.NotNil(t, f)
	assert.Equal(t, "line 1, column 29", f.Where)
	b, f := ReadGPX([]byte(`<?xml version="1.0" encoding="ISO-8859-1"?><gpx><wpt lat="1" lon="0"><name>Caf` + "\xE9 \x80" + `</name></wpt></gpx>`))
	require.Nil(t, f)
	assert.Equal(t, "Café €", b.Items[0].Name, "WHATWG Encoding Standard: ISO-8859-1 is read as windows-1252")
}

// An archive that swells is not unpacked further than the limit, and the memory it took stays near it.
func TestZipBomb(t *testing.T) {
	bomb := zipped(t, map[string]string{"doc.kml": "<kml>" + strings.Repeat(" ", 200<<20)})
	require.Less(t, len(bomb), 1<<20)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, f := ReadKMZ(bomb, 8<<20)
	runtime.ReadMemStats(&after)
	require.NotNil(t, f)
	assert.Contains(t, f.What, "swells")
	assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(64<<20))

	many := map[string]string{}
	for i := range maxZipEntries + 1 {
		many[fmt.Sprintf("%d.kml", i)] = ""
	}
	_, f = ReadKMZ(zipped(t, many), 8<<20)
	require.NotNil(t, f)
	assert.Contains(t, f.What, "entries")
	_, f = ReadKMZ(zipped(t, map[string]string{"a.txt": "x"}), 8<<20)
	require.NotNil(t, f)
	assert.Contains(t, f.What, "without a KML")
	_, f = ReadKMZ([]byte("PK\x03\x04 broken"), 8<<20)
	require.NotNil(t, f)
}

// Well-known binary, byte for byte (OGC 06-103r4, 2011, section 8), and against go-geom.
func TestWKB(t *testing.T) {
	g, _ := GridByCode(4326)
	cases := []struct {
		shape Geometry
		hex   string
	}{
		{PointShape(orb.Point{1, 2}), "0101000000000000000000f03f0000000000000040"},
		{lineShape([]orb.Point{{0, 0}, {1, 1}}), "01020000000200000000000000000000000000000000000000000000000000f03f000000000000f03f"},
		{Geometry{Type: "MultiPoint", Points: []orb.Point{{1, 2}}}, "0104000000010000000101000000000000000000f03f0000000000000040"},
		{areaShape([][][]orb.Point{{{{0, 0}, {1, 0}, {1, 1}, {0, 1}, {0, 0}}}}), "0103000000010000000500000000000000000000000000000000000000000000000000f03f0000000000000000000000000000f03f000000000000f03f0000000000000000000000000000f03f00000000000000000000000000000000"},
	}
	for _, c := range cases {
		assert.Equal(t, c.hex, hex.EncodeToString(appendWKB(nil, &c.shape)))
	}
	for _, text := range []string{"00000000013ff00000000000004000000000000000", "0101000020e6100000000000000000f03f0000000000000040", "01e9030000000000000000f03f00000000000000400000000000000840"} {
		raw, err := hex.DecodeString(text)
		require.NoError(t, err)
		shapes, _, err := readWKB(raw, g)
		require.NoError(t, err)
		require.Len(t, shapes, 1, text)
		assert.Equal(t, []orb.Point{{1, 2}}, shapes[0].Points, "big-endian, with a reference system, with a height")
	}
	for _, s := range sampleShapes() {
		raw := appendWKB(nil, &s)
		other, err := wkb.Unmarshal(raw)
		require.NoError(t, err)
		again, err := wkb.Marshal(other, wkb.NDR)
		require.NoError(t, err)
		assert.Equal(t, again, raw, s.Type)
		back, flat, err := readBlob(appendBlob(&s), g)
		require.NoError(t, err)
		assert.False(t, flat)
		require.Len(t, back, 1)
		assert.Equal(t, s.Type, back[0].Type)
		assert.Equal(t, [3]any{s.Points, s.Lines, s.Polygons}, [3]any{back[0].Points, back[0].Lines, back[0].Polygons})
		for n := range raw {
			_, _, err := readWKB(raw[:n], g)
			assert.Error(t, err, "cut off at %d", n)
		}
	}
	for _, text := range []string{"0102000000ffffffff", "0103000000ffffffff", "0106000000ffffff7f", "0108000000", "0111000000", "0201000000", strings.Repeat("010700000001000000", 50)} {
		raw, _ := hex.DecodeString(text)
		_, _, err := readWKB(raw, g)
		assert.Error(t, err, text)
	}
}

// The GeoPackage of ours as OGC 12-128r18 (2021) wants it; the requirement in each message.
func TestGeoPackage(t *testing.T) {
	data := samplePackage(t)
	require.Equal(t, data, samplePackage(t), "the same layers give the same bytes")
	assert.Equal(t, "SQLite format 3\x00", string(data[:16]), "requirement 1")
	assert.Equal(t, "GPKG", string(data[68:72]), "requirement 2")
	assert.Equal(t, []byte{0, 0, 0x28, 0x3C}, data[60:64], "requirement 2: 10300")

	conn, err := memory()
	require.NoError(t, err)
	defer conn.Close()
	require.NoError(t, conn.Deserialize(data, "main"))
	p := &packageReader{ctx: context.Background(), conn: conn}
	ask := func(sql string) [][]driver.Value {
		rows, err := p.rows(sql, 1000)
		require.NoError(t, err, sql)
		return rows
	}
	assert.Equal(t, "ok", asText(ask("PRAGMA integrity_check")[0][0]), "requirement 6")
	assert.Empty(t, ask("PRAGMA foreign_key_check"), "requirement 7")
	assert.Equal(t, [][]driver.Value{{int64(-1), "NONE", int64(-1)}, {int64(0), "NONE", int64(0)}, {int64(4326), "EPSG", int64(4326)}},
		ask("SELECT srs_id, organization, organization_coordsys_id FROM gpkg_spatial_ref_sys ORDER BY 1"), "requirement 11")
	assert.Equal(t, [][]driver.Value{{"holding", "attributes", nil}, {"things", "features", int64(4326)}}, ask("SELECT table_name, data_type, srs_id FROM gpkg_contents ORDER BY 1"), "requirements 13 to 18")
	assert.Equal(t, [][]driver.Value{{"things", "geom", "GEOMETRY", int64(4326), int64(0), int64(0)}}, ask("SELECT * FROM gpkg_geometry_columns"), "requirements 21 to 28")
	assert.Equal(t, Fixed, asText(ask("SELECT CAST(last_change AS TEXT) FROM gpkg_contents")[0][0]), "requirement 15")
	assert.Equal(t, [][]driver.Value{{-2.0, 1.0, 2.0, 55.0}}, ask("SELECT min_x, min_y, max_x, max_y FROM gpkg_contents WHERE table_name = 'things'"))

	b, f := ReadGeoPackage(context.Background(), data, nil)
	require.Nil(t, f)
	require.Len(t, b.Items, len(sampleShapes())+1)
	assert.Equal(t, "Bank", b.Name)
	assert.JSONEq(t, `{"name":"Bank"}`, string(b.Holding))
	for i, s := range sampleShapes() {
		it := b.Items[i]
		assert.Equal(t, s.Type, it.Type)
		assert.Equal(t, s.Polygons, it.Polygons)
		assert.Equal(t, fmt.Sprintf(`"thing %d"`, i), string(it.Field("id")))
		assert.Equal(t, []string{"1.5", fmt.Sprint(i), fmt.Sprint(i%2 == 0)}, []string{string(it.Field("height")), string(it.Field("n")), string(it.Field("yes"))})
	}
	assert.True(t, b.Items[len(b.Items)-1].Empty())
}

// packageOf makes a GeoPackage by any SQL after the tables that every one has.
func packageOf(t *testing.T, sql string) []byte {
	t.Helper()
	conn, err := memory()
	require.NoError(t, err)
	defer conn.Close()
	_, err = conn.Exec(gpkgTables+sql, nil)
	require.NoError(t, err)
	data, err := conn.Serialize("main")
	require.NoError(t, err)
	return data
}

const layerRow = `INSERT INTO gpkg_contents (table_name, data_type, identifier, srs_id) VALUES ('l', 'features', 'l', 4326); INSERT INTO gpkg_geometry_columns VALUES ('l', 'geom', 'GEOMETRY', 4326, 0, 0);`

// GeoPackages that are broken or mean harm.
func TestHostileGeoPackage(t *testing.T) {
	good := samplePackage(t)
	spoiled := bytes.Clone(good)
	for i := 4096; i < len(spoiled); i += 7 {
		spoiled[i] ^= 0x5A
	}
	wal := bytes.Clone(good)
	wal[18], wal[19] = 2, 2
	_, f := ReadGeoPackage(context.Background(), wal, nil)
	assert.Nil(t, f, "written with a journal ahead")
	cases := []struct {
		data []byte
		says string
	}{
		{[]byte("SQLite format 3\x00"), "shorter than its header"},
		{good[:len(good)/2], "broken"},
		{spoiled, "broken"},
		{packageOf(t, `DROP TABLE gpkg_contents`), "no GeoPackage"},
		{packageOf(t, layerRow+`CREATE TABLE l (fid INTEGER PRIMARY KEY, geom BLOB); INSERT INTO l VALUES (1, x'00')`), "does not begin with GP"},
		{packageOf(t, layerRow+`CREATE TABLE l (fid INTEGER PRIMARY KEY, geom BLOB); INSERT INTO l VALUES (1, x'47500001E61000000102000000FFFFFF7F')`), "ends in the middle"},
		{packageOf(t, layerRow+`CREATE TABLE l (fid INTEGER PRIMARY KEY, geom BLOB); INSERT INTO l VALUES (1, 'POINT(1 2)')`), "no binary shape"},
		{packageOf(t, layerRow+`CREATE TABLE l (fid INTEGER PRIMARY KEY, geom BLOB, g BLOB GENERATED ALWAYS AS (zeroblob(200000000))); INSERT INTO l (geom) VALUES (NULL)`), "broken"},
		{packageOf(t, strings.Replace(layerRow, "'l', 'geom', 'GEOMETRY', 4326", "'l', 'geom', 'GEOMETRY', -1", 1)+`CREATE TABLE l (fid INTEGER PRIMARY KEY, geom BLOB)`), "not known here"},
	}
	for i, c := range cases {
		b, f := ReadGeoPackage(context.Background(), c.data, nil)
		require.NotNil(t, f, "case %d, %s", i, c.says)
		assert.Nil(t, b)
		assert.Contains(t, f.Error(), c.says)
	}
	// a view can be made to run for ever: none is run
	view := packageOf(t, layerRow+`CREATE VIEW l AS WITH RECURSIVE n(fid) AS (SELECT 1 UNION ALL SELECT fid + 1 FROM n) SELECT fid, NULL AS geom FROM n`)
	b, f := ReadGeoPackage(context.Background(), view, nil)
	require.Nil(t, f)
	assert.Empty(t, b.Items)
	assert.Equal(t, []string{"layers that are not plain tables (1)"}, b.Lost.Lines())

	ctx, cancel := context.WithDeadline(context.Background(), time.Unix(0, 0))
	defer cancel()
	_, f = ReadGeoPackage(ctx, good, nil)
	require.NotNil(t, f)
	assert.Contains(t, f.What, "too long")
}

// What is written is read again: names with marks, places to 9 decimals.
func TestWaypointsThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.StringMatching(`[ -~éß€\t]{1,40}`)
		var points []Waypoint
		for range rapid.IntRange(0, 5).Draw(t, "n") {
			at := orb.Point{Round9(rapid.Float64Range(-180, 180).Draw(t, "lon")), Round9(rapid.Float64Range(-90, 90).Draw(t, "lat"))}
			points = append(points, Waypoint{Name: name.Draw(t, "name"), Notes: "n", Type: "tree", At: at, Fields: [][2]string{{"plant", "<&>\"'"}}})
		}
		title := name.Draw(t, "title")
		var gpx, kml bytes.Buffer
		require.NoError(t, WriteGPX(&gpx, title, points))
		require.NoError(t, WriteKML(&kml, title, points))
		b, f := ReadGPX(gpx.Bytes())
		require.Nil(t, f)
		k, f := ReadKML(kml.Bytes())
		require.Nil(t, f)
		for i, p := range points {
			lon := p.At[0]
			if lon == 180 {
				lon = -180
			}
			for _, it := range []Item{b.Items[i], k.Items[i]} {
				require.Equal(t, strings.TrimSpace(p.Name), it.Name)
				require.InDelta(t, 0, math.Mod(p.At[0]-it.Points[0][0], 360), 1e-9)
				require.InDelta(t, p.At[1], it.Points[0][1], 1e-9)
				require.Equal(t, "<&>\"'", it.Text("plant"))
			}
			require.InDelta(t, lon, b.Items[i].Points[0][0], 1e-9)
		}
	})
	var b bytes.Buffer
	require.NoError(t, WriteGPX(&b, "x", []Waypoint{{Name: "a\x00b\x1bc", At: orb.Point{180, 90}}}))
	assert.Contains(t, b.String(), `lat="90.000000000" lon="-180.000000000"`, "GPX 1.1: longitude below 180")
	_, f := ReadGPX(b.Bytes())
	assert.Nil(t, f, "characters that XML does not know are replaced")
}

func TestReadItems(t *testing.T) {
	grid := `{"type":"FeatureCollection",%s"features":[{"type":"Feature","id":9007199254740993,"properties":{"a":[1]},"geometry":{"type":"Polygon","coordinates":[[[400000,400000,5],[400100,400000],[400100,400100],[400000,400000]]]}},{"type":"Feature","properties":{},"geometry":{"type":"Point","coordinates":["x",1]}}]}`
	b, f := ReadItems([]byte(fmt.Sprintf(grid, `"crs":{"type":"name","properties":{"name":"EPSG:27700"}},"copyright":"Crown",`)), nil)
	require.Nil(t, f)
	assert.Equal(t, 27700, b.Grid.Code)
	assert.Equal(t, "Crown", b.Credit)
	require.Len(t, b.Items, 1)
	assert.Equal(t, "9007199254740993", b.Items[0].ID)
	assert.InDelta(t, -2, b.Items[0].Polygons[0][0][0][0], 0.002)
	assert.Equal(t, []string{"features whose shape cannot be read (1)", "shapes with heights, which are left out (1)"}, b.Lost.Lines())
	for text, says := range map[string]string{
		fmt.Sprintf(grid, ""): "not on the globe",
		fmt.Sprintf(grid, `"crs":{"type":"name","properties":{"name":"EPSG:2263"}},`): "not known here",
		fmt.Sprintf(grid, `"crs":null,`):                                              "unknown",
		`{"type":"FeatureCollection"}`:                                                "no list of features",
		`[`:                                                                           "",
	} {
		_, f := ReadItems([]byte(text), nil)
		require.NotNil(t, f, text)
		assert.Contains(t, f.Error(), says)
		assert.NotEmpty(t, f.Mend)
	}
}
