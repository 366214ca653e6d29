package interchange

import (
	"fmt"
	"slices"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func geometry(kind, coords string) []byte {
	return []byte(fmt.Sprintf(`{"type": %q, "coordinates": %s}`, kind, coords))
}

// Source: RFC 7946 (IETF 2016), 3.1.1 (positions), 3.1.2 to 3.1.7 (shapes), 3.1.6 (rings), 1.4 (types).
func TestReadGeometryRefuses(t *testing.T) {
	for _, c := range []struct{ name, kind, coords, path, says, source string }{
		{"one number", "Point", `[1]`, "coordinates", "has 1 of the two numbers", "3.1.1"},
		{"no numbers", "Point", `[]`, "coordinates", "has 0 of the two numbers", "3.1.1"},
		{"null", "Point", `[null, 2]`, "coordinates", "null stands where a number", "3.1.1"},
		{"texts", "Point", `["1", "2"]`, "coordinates", `"1" stands where a number`, "3.1.1"},
		{"too large to hold", "Point", `[1e400, 2]`, "coordinates", "1e400 is too large", "3.1.1"},
		{"third is no number", "Point", `[1, 2, "3"]`, "coordinates", `"3" stands where a number`, "3.1.1"},
		{"third too large to hold", "Point", `[1, 2, -1e999]`, "coordinates", "too large", "3.1.1"},
		{"short one in a line", "LineString", `[[1, 2], [], [3, 4]]`, "coordinates[1]", "has 0 of the two", "3.1.1"},
		{"number for a position", "LineString", `[1, 2]`, "coordinates[0]", "a position should stand here", "3.1.4"},
		{"line as a polygon", "Polygon", `[[1, 2], [3, 4], [5, 6], [1, 2]]`, "coordinates[0][0]", "a position should stand here", "3.1.6"},
		{"polygon as a multipolygon", "MultiPolygon", `[[[1, 2], [3, 4], [5, 6], [1, 2]]]`, "coordinates[0][0][0]", "a position should stand here", "3.1.7"},
		{"polygon as a line", "LineString", `[[[1, 2], [3, 4]]]`, "coordinates[0]", "stands where a number", "3.1.4"},
		{"null ring", "Polygon", `[null]`, "coordinates[0]", "a list should stand here", "3.1.6"},
		{"coordinates an object", "Point", `{"x": 1, "y": 2}`, "coordinates", "the coordinates of a Point are a list", "3.1.2"},
		{"coordinates null", "LineString", `null`, "coordinates", "are a list", "3.1.4"},
		{"unknown type", "Circle", `[1, 2]`, "type", "not a type of GeoJSON geometry", "1.4"},
		{"type in small letters", "point", `[1, 2]`, "type", "not a type of GeoJSON geometry", "1.4"},
		{"far end of a multipolygon", "MultiPolygon", `[[[[0,0],[1,0],[1,1],[0,0]]], [[[0,0],[1,0],[1,1],[0]]]]`, "coordinates[1][0][3]", "has 1 of the two", "3.1.1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			raw := geometry(c.kind, c.coords)
			require.Nil(t, Check(raw))
			g, f := ReadGeometry(raw, 1000)
			require.NotNil(t, f, c.source)
			assert.Equal(t, c.path, f.Path)
			assert.Contains(t, f.What, c.says)
			if c.source == "3.1.1" {
				assert.Contains(t, f.What, "3.1.1")
			}
			assert.True(t, g.Empty(), "nothing of a refused geometry is handed out")
			assert.False(t, f.Range)
		})
	}
}

func TestReadGeometryRange(t *testing.T) {
	for coords, inside := range map[string]bool{
		`[180, 90]`: true, `[-180, -90]`: true, `[180.000001, 0]`: false, `[0, -90.000001]`: false, `[530000, 180000]`: false,
		`[54.2, -102.6]`: false,
	} {
		_, f := ReadGeometry(geometry("Point", coords), 1000)
		if inside {
			assert.Nil(t, f, coords)
			continue
		}
		require.NotNil(t, f, coords)
		assert.True(t, f.Range, coords)
		assert.Contains(t, f.What, "not on the globe")
	}
}

func TestReadGeometryEmpty(t *testing.T) {
	for _, kind := range []string{"MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon"} {
		g, f := ReadGeometry(geometry(kind, " [ ] "), 1000)
		require.Nil(t, f, kind)
		assert.True(t, g.Empty(), "RFC 7946, 3.1: empty coordinates may be taken as null")
	}
	g, f := ReadGeometry([]byte(`{"type": "GeometryCollection", "geometries": []}`), 1000)
	require.Nil(t, f)
	assert.True(t, g.Empty())
	_, f = ReadGeometry([]byte(`{"type": "GeometryCollection", "geometries": [{"type": "Point", "coordinates": [1]}]}`), 1000)
	require.NotNil(t, f)
	assert.Equal(t, "geometries[0].coordinates", f.Path)
}

func TestReadGeometryMends(t *testing.T) {
	square := orb.Ring{{0, 0}, {2, 0}, {2, 2}, {0, 2}, {0, 0}}
	hole := orb.Ring{{0.5, 0.5}, {0.5, 1}, {1, 1}, {1, 0.5}, {0.5, 0.5}}
	for _, c := range []struct {
		name, coords string
		want         orb.Polygon
		mended       Mended
	}{
		{"clean", `[[[0,0],[2,0],[2,2],[0,2],[0,0]]]`, orb.Polygon{square}, Mended{}},
		{"unclosed", `[[[0,0],[2,0],[2,2],[0,2]]]`, orb.Polygon{square}, Mended{Closed: 1}},
		{"clockwise", `[[[0,0],[0,2],[2,2],[2,0],[0,0]]]`, orb.Polygon{square}, Mended{Rewound: 1}},
		{"repeated", `[[[0,0],[2,0],[2,0],[2,2],[0,2],[0,2],[0,0]]]`, orb.Polygon{square}, Mended{Repeated: 2}},
		{"repeated at the end", `[[[0,0],[2,0],[2,2],[0,2],[0,0],[0,0]]]`, orb.Polygon{square}, Mended{Repeated: 1}},
		{"another start", `[[[2,2],[0,2],[0,0],[2,0],[2,2]]]`, orb.Polygon{square}, Mended{}},
		{"heights", `[[[0,0,9],[2,0,9],[2,2,9,1],[0,2,9],[0,0,9]]]`, orb.Polygon{square}, Mended{}},
		{"hole the wrong way", `[[[0,0],[2,0],[2,2],[0,2],[0,0]],[[0.5,0.5],[1,0.5],[1,1],[0.5,1],[0.5,0.5]]]`, orb.Polygon{square, hole}, Mended{Rewound: 1}},
		{"everything", `[[[0,0],[0,2],[2,2],[2,2],[2,0]],[[1,1],[0.5,1],[0.5,0.5],[1,0.5]]]`, orb.Polygon{square, hole}, Mended{Closed: 2, Rewound: 2, Repeated: 1}},
		{"too few, kept", `[[[0,0],[1,1],[0,0]]]`, orb.Polygon{{{0, 0}, {1, 1}, {0, 0}}}, Mended{}},
		{"all in one place", `[[[1,1],[1,1],[1,1],[1,1]]]`, orb.Polygon{{{1, 1}}}, Mended{Repeated: 3}},
	} {
		t.Run(c.name, func(t *testing.T) {
			g, f := ReadGeometry(geometry("Polygon", c.coords), 1000)
			require.Nil(t, f)
			assert.Equal(t, orb.MultiPolygon{c.want}, g.Polygons)
			assert.Equal(t, c.mended, g.Mended)
			assert.Equal(t, c.name == "heights", g.Heights)
		})
	}
	g, f := ReadGeometry(geometry("LineString", `[[0,0],[0,0],[1,0],[1,0],[0,0]]`), 1000)
	require.Nil(t, f)
	assert.Equal(t, []orb.LineString{{{0, 0}, {1, 0}, {0, 0}}}, g.Lines, "a line keeps its direction and may come back")
	assert.Equal(t, Mended{Repeated: 2}, g.Mended)
}

// Where a ring begins, which way it runs and whether it is closed change nothing of what is read.
func TestRingStartAndDirectionDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 9).Draw(t, "n")
		ring := make([]orb.Point, n)
		seen := map[orb.Point]bool{}
		for i := range ring {
			p := orb.Point{float64(rapid.IntRange(-40, 40).Draw(t, "x")) / 8, float64(rapid.IntRange(-40, 40).Draw(t, "y")) / 8}
			if seen[p] {
				t.Skip("a position twice")
			}
			seen[p] = true
			ring[i] = p
		}
		if windingArea(append(slices.Clone(ring), ring[0])) == 0 {
			t.Skip("no area, so no direction")
		}
		text := func(ps []orb.Point, close bool) []byte {
			b := []byte("[[")
			for i, p := range ps {
				if i > 0 {
					b = append(b, ',')
				}
				b = AppendPosition(b, p)
			}
			if close {
				b = AppendPosition(append(b, ','), ps[0])
			}
			return geometry("Polygon", string(append(b, "]]"...)))
		}
		want, f := ReadGeometry(text(ring, true), 1000)
		require.Nil(t, f)
		k := rapid.IntRange(0, n-1).Draw(t, "start")
		other := append(slices.Clone(ring[k:]), ring[:k]...)
		if rapid.Bool().Draw(t, "reverse") {
			slices.Reverse(other)
		}
		got, f := ReadGeometry(text(other, rapid.Bool().Draw(t, "close")), 1000)
		require.Nil(t, f)
		require.Equal(t, want.Polygons, got.Polygons)
	})
}

func TestAppendDegrees(t *testing.T) {
	for deg, want := range map[float64]string{
		0: "0", -1e-10: "0", -2.6031: "-2.6031", 54.2117: "54.2117", 180: "180", 1e-9: "0.000000001", -2.601260711: "-2.601260711", 100: "100",
		0.12345678949: "0.123456789",
	} {
		assert.Equal(t, want, string(AppendDegrees(nil, deg)))
	}
}
