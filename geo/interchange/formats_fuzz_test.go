package interchange

import (
	"context"
	"math"
	"testing"
	"time"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/require"
)

// holds checks what every reader promises, whatever it was given: a batch or a complaint in words, and every place on the globe.
func holds(t *testing.T, b *Batch, f *FormatFault) {
	if f != nil {
		require.Nil(t, b)
		require.NotEmpty(t, f.What)
		require.NotEmpty(t, f.Mend)
		return
	}
	require.NotNil(t, b)
	for i := range b.Items {
		it := &b.Items[i]
		for _, f := range it.Fields {
			require.Nil(t, Check(f.Value), "%s: %s", f.Name, f.Value)
		}
		if it.Empty() {
			continue
		}
		box := it.bound()
		ok := box.Min[0] >= -180.0000001 && box.Max[0] <= 180.0000001 && box.Min[1] >= -90 && box.Max[1] <= 90
		require.True(t, ok && !math.IsNaN(box.Min[0]+box.Min[1]), "%v", box)
		for _, l := range it.Lines {
			require.NotEmpty(t, l)
		}
		for _, p := range it.Polygons {
			require.NotEmpty(t, p)
			for _, r := range p {
				require.True(t, len(r) < 2 || r[0] == r[len(r)-1])
			}
		}
	}
}

const sampleGPX = `<?xml version="1.0"?><gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1" xmlns:q="urn:quickthorn:setout:1"><metadata><name>n</name><copyright author="a"><year>2026</year></copyright></metadata>
<wpt lat="54" lon="-2"><ele>1</ele><time>2026-01-01T00:00:00Z</time><name>w &amp; x</name><desc>d</desc><type>t</type><extensions><q:plant>a/0/1</q:plant><other>z</other></extensions></wpt>
<rte><name>r</name><rtept lat="54" lon="-2"/><rtept lat="54.1" lon="-2"/></rte><trk><name>t</name><trkseg><trkpt lat="54" lon="-2"/><trkpt lat="54" lon="-2.1"/></trkseg><trkseg><trkpt lat="55" lon="-2"/></trkseg></trk></gpx>`

const sampleKML = `<?xml version="1.0" encoding="UTF-8"?><kml xmlns="http://www.opengis.net/kml/2.2" xmlns:gx="http://www.google.com/kml/ext/2.2"><Document><name>d</name><Style id="s"/><Folder><name>f</name>
<Placemark id="p"><name>area</name><description><![CDATA[<b>bold</b> text]]></description><styleUrl>#s</styleUrl><ExtendedData><Data name="kind"><value>parcel</value></Data><SchemaData><SimpleData name="x">1</SimpleData></SchemaData></ExtendedData>
<MultiGeometry><Polygon><outerBoundaryIs><LinearRing><coordinates>-2,54,0 -1.99,54,0 -1.99,54.01,7 -2,54,0</coordinates></LinearRing></outerBoundaryIs><innerBoundaryIs><LinearRing><coordinates>-1.995,54.001 -1.994,54.001 -1.994,54.002 -1.995,54.001</coordinates></LinearRing></innerBoundaryIs></Polygon>
<LineString><coordinates>-2,54 -2.1,54.1</coordinates></LineString><Point><coordinates> -2,54 </coordinates></Point></MultiGeometry></Placemark>
<Placemark><gx:Track><when>2026</when><gx:coord>-2 54 10</gx:coord><gx:coord>-2 54.1 10</gx:coord></gx:Track></Placemark><NetworkLink/></Folder></Document></kml>`

func FuzzReadGPX(f *testing.F) {
	f.Add([]byte(sampleGPX))
	f.Add([]byte("\xEF\xBB\xBF<gpx/>"))
	f.Add([]byte(`<?xml version="1.0" encoding="windows-1252"?><gpx><wpt lat="1" lon="1"><name>Caf` + "\xE9\x80" + `</name></wpt></gpx>`))
	f.Fuzz(func(t *testing.T, data []byte) {
		b, bad := ReadGPX(data)
		holds(t, b, bad)
	})
}

func FuzzReadKML(f *testing.F) {
	f.Add([]byte(sampleKML))
	f.Add([]byte(`<!DOCTYPE kml [<!ENTITY a "b">]><kml>&a;</kml>`))
	f.Fuzz(func(t *testing.T, data []byte) {
		b, bad := ReadKML(data)
		holds(t, b, bad)
	})
}

func FuzzReadKMZ(f *testing.F) {
	f.Add(zipped(f, map[string]string{"doc.kml": sampleKML, "a.png": "x"}))
	f.Fuzz(func(t *testing.T, data []byte) {
		b, bad := ReadKMZ(data, 1<<20)
		holds(t, b, bad)
	})
}

func FuzzReadGeoPackage(f *testing.F) {
	f.Add(samplePackage(f))
	f.Fuzz(func(t *testing.T, data []byte) {
		ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
		defer cancel()
		b, bad := ReadGeoPackage(ctx, data, nil)
		holds(t, b, bad)
	})
}

func FuzzReadItems(f *testing.F) {
	f.Add([]byte(`{"type":"FeatureCollection","crs":{"type":"name","properties":{"name":"EPSG:27700"}},"features":[{"type":"Feature","id":7,"properties":{"a":1},"geometry":{"type":"MultiPolygon","coordinates":[[[[400000,400000],[400100,400000],[400100,400100]]]]}}]}`), 0)
	f.Add([]byte(`{"type":"FeatureCollection","features":[{"type":"Feature","properties":null,"geometry":null}]}`), 2157)
	f.Fuzz(func(t *testing.T, data []byte, code int) {
		var as *Grid
		if g, ok := GridByCode(code); ok {
			as = &g
		}
		b, bad := ReadItems(data, as)
		holds(t, b, bad)
	})
}

func ringSizes(mp orb.MultiPolygon) (out [][]int) {
	for _, p := range mp {
		var n []int
		for _, r := range p {
			n = append(n, len(r))
		}
		out = append(out, n)
	}
	return out
}

// FuzzReadWKB reads shapes, and reads what is written of them again.
func FuzzReadWKB(f *testing.F) {
	for _, g := range sampleShapes() {
		f.Add(appendWKB(nil, &g))
	}
	g, _ := GridByCode(4326)
	f.Fuzz(func(t *testing.T, data []byte) {
		shapes, _, err := readWKB(data, g)
		if err != nil {
			return
		}
		for _, s := range shapes {
			again, _, err := readWKB(appendWKB(nil, &s), g)
			if s.Empty() {
				continue
			}
			require.NoError(t, err)
			require.Len(t, again, 1)
			require.Equal(t, s.Points, again[0].Points)
			require.Equal(t, s.Lines, again[0].Lines)
			// which way round a ring of 1e-76 degrees runs is lost in the rounding of its area
			require.Equal(t, ringSizes(s.Polygons), ringSizes(again[0].Polygons))
		}
	})
}
