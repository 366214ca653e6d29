package interchange

import (
	"bufio"
	"bytes"
	"encoding/xml"
	"io"
	"strconv"

	"github.com/paulmach/orb"
)

// Namespace names the elements of our own in GPX and KML.
const Namespace = "urn:quickthorn:setout:1"

// A Waypoint is one named place.
type Waypoint struct {
	Name, Notes, Type string
	At                orb.Point
	Fields            [][2]string // name and value; a name is one XML name
}

// WriteGPX writes waypoints as GPX 1.1 (schema of topografix, 2004): longitude from -180 up to but not 180, 9 decimals, no time.
// Fields are extensions.
func WriteGPX(w io.Writer, name string, points []Waypoint) error {
	b := bufio.NewWriter(w)
	b.WriteString(xml.Header + `<gpx version="1.1" creator="Quickthorn" xmlns="http://www.topografix.com/GPX/1/1" xmlns:q="` + Namespace + `">` + "\n <metadata>")
	element(b, "name", name)
	b.WriteString("</metadata>\n")
	for i := range points {
		p := &points[i]
		lon := Round9(p.At[0])
		if lon >= 180 {
			lon -= 360
		}
		b.WriteString(` <wpt lat="` + nine(p.At[1]) + `" lon="` + nine(lon) + `">`)
		element(b, "name", p.Name)
		element(b, "desc", p.Notes)
		element(b, "type", p.Type)
		if len(p.Fields) > 0 {
			b.WriteString("<extensions>")
			for _, f := range p.Fields {
				element(b, "q:"+f[0], f[1])
			}
			b.WriteString("</extensions>")
		}
		b.WriteString("</wpt>\n")
	}
	b.WriteString("</gpx>\n")
	return b.Flush()
}

// WriteKML writes placemarks as KML 2.3 (OGC 12-007r2, 2015), all in one document: longitude, latitude, 9 decimals, clamped to
// the ground.
func WriteKML(w io.Writer, name string, points []Waypoint) error {
	b := bufio.NewWriter(w)
	b.WriteString(xml.Header + `<kml xmlns="http://www.opengis.net/kml/2.2" version="2.3">` + "\n<Document>")
	element(b, "name", name)
	b.WriteByte('\n')
	for i := range points {
		p := &points[i]
		b.WriteString(" <Placemark>")
		element(b, "name", p.Name)
		element(b, "description", p.Notes)
		if len(p.Fields) > 0 {
			b.WriteString("<ExtendedData>")
			for _, f := range p.Fields {
				b.WriteString(`<Data name="` + f[0] + `">`)
				element(b, "value", f[1])
				b.WriteString("</Data>")
			}
			b.WriteString("</ExtendedData>")
		}
		b.WriteString("<Point><coordinates>" + nine(p.At[0]) + "," + nine(p.At[1]) + "</coordinates></Point></Placemark>\n")
	}
	b.WriteString("</Document>\n</kml>\n")
	return b.Flush()
}

// nine is a number with 9 decimals, never a negative zero.
func nine(deg float64) string { return strconv.FormatFloat(Round9(deg)+0, 'f', 9, 64) }

// element writes an element of text; none for an empty text. Characters that XML does not know become U+FFFD.
func element(b *bufio.Writer, name, text string) {
	if text == "" {
		return
	}
	var safe bytes.Buffer
	xml.EscapeText(&safe, []byte(text)) // a buffer takes all
	b.WriteString("<" + name + ">")
	b.Write(safe.Bytes())
	b.WriteString("</" + name + ">")
}
