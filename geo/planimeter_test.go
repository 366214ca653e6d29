package geo

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// planimeter runs C. F. F. Karney's Planimeter on polygons of longitude and
// latitude, and gives the perimeter and the size of the area of each.
func planimeter(t *testing.T, rings []orb.Ring) (perimeter, area []float64) {
	t.Helper()
	tool, err := exec.LookPath("Planimeter")
	if err != nil {
		t.Fatal("this test compares with GeographicLib's Planimeter, which is not installed: apt-get install geographiclib-tools")
	}
	var in, out, complaints bytes.Buffer
	for _, r := range rings {
		for _, p := range r[:len(r)-1] {
			fmt.Fprintf(&in, "%.15f %.15f\n", p[1], p[0])
		}
		fmt.Fprintln(&in)
	}
	cmd := exec.Command(tool, "-p", "12")
	cmd.Stdin, cmd.Stdout, cmd.Stderr = &in, &out, &complaints
	require.NoError(t, cmd.Run(), complaints.String())
	for _, line := range strings.Split(strings.TrimSpace(out.String()), "\n") {
		f := strings.Fields(line)
		require.Len(t, f, 3, line)
		p, err := strconv.ParseFloat(f[1], 64)
		require.NoError(t, err)
		a, err := strconv.ParseFloat(f[2], 64)
		require.NoError(t, err)
		perimeter, area = append(perimeter, p), append(area, math.Abs(a))
	}
	require.Len(t, area, len(rings))
	return perimeter, area
}

func TestPlanimeterGivesItsPublishedAnswers(t *testing.T) {
	const doc = "GeographicLib documentation, Antarctica"
	const lib = "geographiclib-geodesic 2.2.0, test/geodesictest.js"
	latlon := func(v ...float64) orb.Ring {
		var r orb.Ring
		for i := 0; i < len(v); i += 2 {
			r = append(r, orb.Point{v[i+1], v[i]})
		}
		return append(r, r[0])
	}
	rows := []struct {
		ring            orb.Ring
		perimeter, area float64
		ptol, atol      float64
		source          string
	}{
		{latlon(-63.1, -58, -72.9, -74, -71.9, -102, -74.9, -102, -74.3, -131, -77.5, -163, -77.4, 163, -71.7, 172, -65.9, 140,
			-65.7, 113, -66.6, 88, -66.9, 59, -69.8, 25, -70.0, -4, -71.0, -14, -77.3, -33, -77.9, -46, -74.7, -61),
			16831067.893, 13662703680020.1, 0.001, 1, doc},
		{latlon(89, 0, 89, 90, 89, 180, 89, 270), 631819.8745, 24952305678, 1e-4, 1, lib},
		{latlon(0, -1, -1, 0, 0, 1, 1, 0), 627598.2731, 24619419146, 1e-4, 1, lib},
		{latlon(90, 0, 0, 0, 0, 90), 30022685, 63758202715511, 1, 1, lib},
		{latlon(89, 0.1, 89, 90.1, 89, -179.9), 539297, 12476152838.5, 1, 1, lib},
	}
	var rings []orb.Ring
	for _, r := range rows {
		rings = append(rings, r.ring)
	}
	p, a := planimeter(t, rings)
	for i, r := range rows {
		assert.InDelta(t, r.perimeter, p[i], r.ptol, r.source)
		assert.InDelta(t, r.area, a[i], r.atol, r.source)
	}
}

// generatedPolygon is a star-shaped polygon, often hollow or spiky, somewhere
// within 5 km of the origin.
func generatedPolygon(rng *rand.Rand) orb.Ring {
	u := Direction(360 * rng.Float64())
	far := 4000 * math.Sqrt(rng.Float64())
	size := math.Pow(10, 1+2*rng.Float64()) // 10 m to 1 km
	n := 3 + rng.IntN(60)
	var r orb.Ring
	for i := range n {
		v := Direction(360 * (float64(i) + 0.9*rng.Float64()) / float64(n))
		d := size * (0.1 + 0.9*rng.Float64())
		r = append(r, orb.Point{u[0]*far + d*v[0], u[1]*far + d*v[1]})
	}
	return append(r, r[0])
}

func TestGeneratedPolygonsAgainstPlanimeter(t *testing.T) {
	rng := rand.New(rand.NewPCG(31, 32))
	const n = 1000
	var rings, local []orb.Ring
	for range n {
		f, err := NewFrame(orb.Point{-180 + 360*rng.Float64(), -60 + 130*rng.Float64()})
		require.NoError(t, err)
		var ll orb.Ring
		for _, p := range generatedPolygon(rng) {
			require.Less(t, math.Hypot(p[0], p[1]), 5001.0)
			ll = append(ll, f.ToLonLat(p))
		}
		rings, local = append(rings, ll), append(local, localRing(f, ll))
	}
	perimeter, area := planimeter(t, rings)
	worstL, worstA := 0.0, 0.0
	for i := range n {
		p := orb.Polygon{local[i]}
		l, a := Perimeter(p)/perimeter[i]-1, Area(p)/area[i]-1
		worstL, worstA = max(worstL, math.Abs(l)), max(worstA, math.Abs(a))
		assert.InDelta(t, 0, l, 1e-6, "polygon %d: %.4f m against %.4f m, GeographicLib", i, Perimeter(p), perimeter[i])
		assert.InDelta(t, 0, a, 2e-6, "polygon %d: %.4f m2 against %.4f m2, GeographicLib", i, Area(p), area[i])
	}
	t.Logf("worst of %d: length %.3f ppm, area %.3f ppm", n, worstL*1e6, worstA*1e6)
}

// parcel is one row of testdata/parcels with its outline in degrees.
type parcel struct {
	id              string
	area, perimeter float64
	holes           int
	lonlat          orb.MultiPolygon
}

func readParcels(t testing.TB) []parcel {
	t.Helper()
	dir := filepath.Join("..", "testdata", "parcels")
	f, err := os.Open(filepath.Join(dir, "parcels.tsv"))
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comma = '\t'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	var out []parcel
	for _, row := range rows[1:] {
		p := parcel{id: row[0]}
		p.area, err = strconv.ParseFloat(row[1], 64)
		require.NoError(t, err)
		p.perimeter, err = strconv.ParseFloat(row[2], 64)
		require.NoError(t, err)
		p.holes, err = strconv.Atoi(row[4])
		require.NoError(t, err)
		p.lonlat = readParcel(t, filepath.Join(dir, p.id+".geojson"))
		out = append(out, p)
	}
	require.Len(t, out, 72)
	return out
}

func readParcel(t testing.TB, name string) orb.MultiPolygon {
	t.Helper()
	raw, err := os.ReadFile(name)
	require.NoError(t, err)
	var file struct {
		Features []struct {
			Geometry struct {
				Type        string
				Coordinates json.RawMessage
			}
		}
	}
	require.NoError(t, json.Unmarshal(raw, &file), name)
	require.Len(t, file.Features, 1, name)
	g := file.Features[0].Geometry
	var mp orb.MultiPolygon
	switch g.Type {
	case "Polygon":
		mp = make(orb.MultiPolygon, 1)
		require.NoError(t, json.Unmarshal(g.Coordinates, &mp[0]), name)
	case "MultiPolygon":
		require.NoError(t, json.Unmarshal(g.Coordinates, &mp), name)
	default:
		t.Fatalf("%s holds a %s", name, g.Type)
	}
	return mp
}

// rounded is the outline with its degrees rounded to 9 decimals.
func (p parcel) rounded() orb.MultiPolygon {
	var out orb.MultiPolygon
	for _, poly := range p.lonlat {
		var q orb.Polygon
		for _, r := range poly {
			var s orb.Ring
			for _, v := range r {
				s = append(s, orb.Point{math.Round(v[0]*1e9) / 1e9, math.Round(v[1]*1e9) / 1e9})
			}
			q = append(q, s)
		}
		out = append(out, q)
	}
	return out
}

func localMulti(t testing.TB, lonlat orb.MultiPolygon) orb.MultiPolygon {
	t.Helper()
	f, err := NewFrame(lonlat[0][0][0])
	require.NoError(t, err)
	var out orb.MultiPolygon
	for _, poly := range lonlat {
		var q orb.Polygon
		for _, r := range poly {
			q = append(q, localRing(f, r))
		}
		out = append(out, q)
	}
	return out
}

func TestRealParcels(t *testing.T) {
	// Source of both figures: GeographicLib, as testdata/parcels/README.md says.
	// They are those of the outlines rounded to 9 decimals of a degree, some 0.1
	// mm, which on the smallest parcels is up to 10 ppm of the area.
	for _, p := range readParcels(t) {
		t.Run(p.id, func(t *testing.T) {
			mp := localMulti(t, p.rounded())
			assert.InDelta(t, p.area, MultiArea(mp), 2e-6*p.area+0.00005, "area")
			assert.InDelta(t, p.perimeter, MultiPerimeter(mp), 1e-6*p.perimeter+0.00005, "perimeter")
			mp = localMulti(t, p.lonlat)
			holes := 0
			for _, q := range mp {
				holes += len(q) - 1
			}
			assert.Equal(t, p.holes, holes)
			assert.Empty(t, ValidateMultiPolygon(mp), "every parcel is valid as its register drew it")
			m, exact := OverlapArea(mp, mp)
			assert.True(t, exact)
			assert.InDelta(t, MultiArea(mp), m, 1e-6*p.area, "a parcel overlaps itself wholly")
		})
	}
}

func TestRealParcelsAgainstPlanimeter(t *testing.T) {
	// The outlines as they stand, each ring by itself.
	var rings, local []orb.Ring
	for _, p := range readParcels(t) {
		mp := localMulti(t, p.lonlat)
		for i, poly := range p.lonlat {
			for j, r := range poly {
				rings, local = append(rings, r), append(local, mp[i][j])
			}
		}
	}
	perimeter, area := planimeter(t, rings)
	for i, r := range local {
		p := orb.Polygon{r}
		assert.InEpsilon(t, area[i], Area(p), 2e-6, "area of ring %d, GeographicLib", i)
		assert.InEpsilon(t, perimeter[i], Perimeter(p), 1e-6, "perimeter of ring %d, GeographicLib", i)
	}
}
