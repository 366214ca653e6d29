package interchange

import (
	"fmt"
	"math"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/geo"
)

func dms(d, m, s float64) float64 { return d + m/60 + s/3600 }

func known(t *testing.T, code int) Grid {
	t.Helper()
	g, ok := GridByCode(code)
	require.True(t, ok, code)
	return g
}

// metresApart is the distance of two places that lie near each other.
func metresApart(a, b orb.Point) float64 {
	x := (a[0] - b[0]) * math.Pi / 180 * geo.WGS84.RadiusN(a[1]) * math.Cos(a[1]*math.Pi/180)
	y := (a[1] - b[1]) * math.Pi / 180 * geo.WGS84.RadiusM(a[1])
	return math.Hypot(x, y)
}

// Ordnance Survey, "A guide to coordinate systems in Great Britain", annexe C, worked example of the projection; annexe B and section
// 6.6, worked example of the shift from ETRS89 to OSGB36.
func TestOrdnanceSurveyExamples(t *testing.T) {
	g := known(t, 27700)
	ll := g.proj.Inverse(orb.Point{651409.903, 313177.270})
	assert.InDelta(t, dms(52, 39, 27.2531), ll[1], 0.0005/3600*2)
	assert.InDelta(t, dms(1, 43, 4.5177), ll[0], 0.0005/3600*2)

	there := shift{-446.448, 125.157, -542.060, -0.1502, -0.2470, -0.8421, 20.4894}
	etrs := [3]float64{3790644.900, -110149.210, 5111482.970}
	airy := toGeodetic(geo.Airy1830, there.apply(etrs))
	assert.InDelta(t, dms(53, 36, 42.2972), airy[1], 0.0001/3600)
	assert.InDelta(t, -dms(1, 39, 46.5416), airy[0], 0.0001/3600)

	// and back again by the grid: the signs turned are the guide's own way back, good to a centimetre
	en := g.proj.Forward(airy)
	back, ok := g.ToLonLat(en)
	require.True(t, ok)
	assert.Less(t, metresApart(back, toGeodetic(geo.GRS80, etrs)), 0.02)
}

// The middle of one monument in two grids: the Spire of Dublin, 715830 734697 on Irish Transverse Mercator and 315904 234671 on the
// Irish Grid (as the monument is commonly given in both; from memory). The shift is good to 1 m and the figures are whole metres.
func TestIrishGridMeetsITM(t *testing.T) {
	itm, ok := known(t, 2157).ToLonLat(orb.Point{715830, 734697})
	require.True(t, ok)
	assert.InDelta(t, -6.260247773, itm[0], 1e-9, "computed with Karney's series of order 6")
	assert.InDelta(t, 53.349793912, itm[1], 1e-9)
	for _, code := range []int{29900, 29902, 29903} {
		old, ok := known(t, code).ToLonLat(orb.Point{315904, 234671})
		require.True(t, ok)
		assert.Less(t, metresApart(itm, old), 1.8, code)
		assert.Greater(t, metresApart(old, known(t, code).proj.Inverse(orb.Point{315904, 234671})), 40.0, "the datum is shifted")
	}
}

// Places spread over each grid against PROJ (by gdaltransform), whose parameters come from the EPSG dataset.
func TestGridsAgainstPROJ(t *testing.T) {
	tool, err := exec.LookPath("gdaltransform")
	require.NoError(t, err, "gdaltransform is in Debian's gdal-bin")
	cases := []struct {
		code       int
		w, s, e, n float64
		operation  string // forced where PROJ would choose by place
	}{
		{27700, 100000, 20000, 650000, 1200000, "+proj=pipeline +step +inv +proj=tmerc +lat_0=49 +lon_0=-2 +k=0.9996012717 +x_0=400000 +y_0=-100000 +ellps=airy +step +proj=push +v_3 +step +proj=cart +ellps=airy +step +proj=helmert +x=446.448 +y=-125.157 +z=542.06 +rx=0.15 +ry=0.247 +rz=0.842 +s=-20.489 +convention=position_vector +step +inv +proj=cart +ellps=WGS84 +step +proj=pop +v_3 +step +proj=unitconvert +xy_in=rad +xy_out=deg"},
		{29902, 20000, 20000, 360000, 460000, "+proj=pipeline +step +inv +proj=tmerc +lat_0=53.5 +lon_0=-8 +k=1.000035 +x_0=200000 +y_0=250000 +a=6377340.189 +rf=299.3249646 +step +proj=push +v_3 +step +proj=cart +a=6377340.189 +rf=299.3249646 +step +proj=helmert +x=482.5 +y=-130.6 +z=564.6 +rx=-1.042 +ry=-0.214 +rz=-0.631 +s=8.15 +convention=position_vector +step +inv +proj=cart +ellps=WGS84 +step +proj=pop +v_3 +step +proj=unitconvert +xy_in=rad +xy_out=deg"},
		{29903, 20000, 20000, 360000, 460000, ""},
		{2157, 420000, 520000, 760000, 960000, ""},
		{32630, 200000, 5400000, 800000, 6800000, ""},
		{32629, 300000, 5600000, 800000, 6200000, ""},
		{32756, 200000, 5700000, 800000, 8000000, ""},
		{25830, 200000, 5400000, 800000, 6800000, ""},
		{3857, -900000, 6300000, 200000, 8000000, ""},
	}
	for _, c := range cases {
		g := known(t, c.code)
		var in strings.Builder
		var want []orb.Point
		for i := range 8 {
			for k := range 8 {
				p := orb.Point{c.w + (c.e-c.w)*float64(i)/7 + 0.123, c.s + (c.n-c.s)*float64(k)/7 + 0.456}
				fmt.Fprintf(&in, "%.3f %.3f 0\n", p[0], p[1])
				ll, ok := g.ToLonLat(p)
				require.True(t, ok)
				want = append(want, ll)
			}
		}
		args := []string{"-s_srs", fmt.Sprintf("EPSG:%d", c.code), "-t_srs", "OGC:CRS84"}
		if c.operation != "" {
			args = []string{"-ct", c.operation}
		}
		cmd := exec.Command(tool, args...)
		cmd.Stdin = strings.NewReader(in.String())
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, "%s", out)
		lines := strings.Split(strings.TrimSpace(string(out)), "\n")
		require.Len(t, lines, len(want), c.code)
		for i, line := range lines {
			f := strings.Fields(line)
			lon, err := strconv.ParseFloat(f[0], 64)
			require.NoError(t, err)
			lat, err := strconv.ParseFloat(f[1], 64)
			require.NoError(t, err)
			assert.Less(t, metresApart(want[i], orb.Point{lon, lat}), 0.001, "EPSG:%d, point %d: %s", c.code, i, line)
		}
	}
}

// UTM against GeographicLib's GeoConvert (C. F. F. Karney).
func TestUTMAgainstGeoConvert(t *testing.T) {
	tool, err := exec.LookPath("GeoConvert")
	require.NoError(t, err, "GeoConvert is in Debian's geographiclib-tools")
	cases := []struct {
		code int
		zone string
		at   orb.Point
	}{{32629, "29n", orb.Point{682372.013, 5914706.015}}, {32630, "30n", orb.Point{418541.853, 5817328.802}}, {32630, "30n", orb.Point{500000, 5761038.213}}, {32631, "31n", orb.Point{200000, 6000000}}, {32755, "55s", orb.Point{600000, 5200000}}}
	for _, c := range cases {
		cmd := exec.Command(tool, "-g", "-p", "9")
		cmd.Stdin = strings.NewReader(fmt.Sprintf("%s %.3f %.3f\n", c.zone, c.at[0], c.at[1]))
		out, err := cmd.Output()
		require.NoError(t, err)
		var lat, lon float64
		_, err = fmt.Sscan(string(out), &lat, &lon)
		require.NoError(t, err)
		ll, ok := known(t, c.code).ToLonLat(c.at)
		require.True(t, ok)
		assert.InDelta(t, lat, ll[1], 1e-11)
		assert.InDelta(t, lon, ll[0], 1e-11)
	}
}

func TestGridNames(t *testing.T) {
	for name, code := range map[string]int{"27700": 27700, "EPSG:27700": 27700, "epsg:2157": 2157, "EPSG 29903": 29903, "urn:ogc:def:crs:EPSG::32630": 32630, "urn:ogc:def:crs:EPSG:8.8:25830": 25830,
		"http://www.opengis.net/def/crs/EPSG/0/2157": 2157, "CRS84": 4326, "urn:ogc:def:crs:OGC:1.3:CRS84": 4326, " 4326 ": 4326, "4258": 4258} {
		g, ok := GridNamed(name)
		assert.True(t, ok, name)
		assert.Equal(t, code, g.Code, name)
		assert.NotEmpty(t, g.Name)
	}
	for _, name := range []string{"", "2770", "99999", "EPSG:1", "British", "32600", "32661", "32761", "27700 or so", "EPSG:27700; DROP"} {
		_, ok := GridNamed(name)
		assert.False(t, ok, name)
	}
	for _, p := range []orb.Point{{math.NaN(), 0}, {math.Inf(1), 0}, {0, 1e300}, {5e6, 0}} {
		_, ok := known(t, 27700).ToLonLat(p)
		assert.False(t, ok)
	}
}
