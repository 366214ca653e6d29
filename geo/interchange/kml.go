package interchange

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"path"
	"regexp"
	"strings"

	"github.com/paulmach/orb"
)

// ReadKML reads the placemarks of KML 2.2 and 2.3 (OGC 07-147r2, 12-007r2), of every folder. Polygons of a MultiGeometry become one
// MultiPolygon, its lines one MultiLineString and its points one MultiPoint; where several of these are there, each is a thing of its
// own. Styles, heights, times, pictures and links to other files are counted as lost. O(bytes).
func ReadKML(data []byte) (*Batch, *FormatFault) {
	m, f := newMarkup(data, "KML")
	if f != nil {
		return nil, f
	}
	if _, f = m.root("kml"); f != nil {
		return nil, f
	}
	k := &kmlReader{markup: m, batch: &Batch{Format: "KML"}}
	k.batch.Grid, _ = GridByCode(4326)
	if f := m.children(func(s xml.StartElement) *FormatFault { return k.feature(s, "") }); f != nil {
		return nil, f
	}
	return k.batch, nil
}

// Most that is taken out of a KMZ.
const (
	maxZipEntries = 1000
	maxZipRatio   = 200
)

// ReadKMZ reads the first KML of a zip archive (OGC 12-007r2, annex C). It unpacks at most most bytes, and refuses archives with more
// than maxZipEntries entries and ones that swell more than maxZipRatio times.
func ReadKMZ(data []byte, most int64) (*Batch, *FormatFault) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, formatFault("", "Export it again, or unpack the KML and bring that in.", "The archive cannot be read: %v.", err)
	}
	if len(z.File) > maxZipEntries {
		return nil, formatFault("", "Unpack the KML and bring that in.", "The archive has %d entries; at most %d are looked at.", len(z.File), maxZipEntries)
	}
	for _, e := range z.File {
		if !strings.EqualFold(path.Ext(e.Name), ".kml") {
			continue
		}
		limit := min(most, int64(len(data))*maxZipRatio)
		r, err := e.Open()
		if err != nil {
			return nil, formatFault(Shorten(e.Name), "Export it again.", "The entry cannot be unpacked: %v.", err)
		}
		defer r.Close()
		text, err := io.ReadAll(io.LimitReader(r, limit+1))
		switch {
		case int64(len(text)) > limit:
			return nil, formatFault(Shorten(e.Name), "Unpack the KML by hand and look at it first.", "The archive of %d bytes swells to more than %d. It is not unpacked further.", len(data), limit)
		case err != nil:
			return nil, formatFault(Shorten(e.Name), "Export it again.", "The entry cannot be unpacked: %v.", err)
		}
		b, f := ReadKML(text)
		if f == nil {
			b.Lost.Add("other entries of the archive", len(z.File)-1)
		}
		return b, f
	}
	return nil, formatFault("", "A KMZ holds one KML file. Of other archives, and of spreadsheets and the like, unpack or export the map itself.", "The file is an archive without a KML file in it.")
}

type kmlReader struct {
	*markup
	batch *Batch
}

// feature reads what may stand in a document or folder.
func (k *kmlReader) feature(s xml.StartElement, folder string) *FormatFault {
	switch s.Name.Local {
	case "Document", "Folder":
		name := folder
		return k.children(func(c xml.StartElement) *FormatFault {
			if c.Name.Local != "name" {
				return k.feature(c, name)
			}
			t, f := k.text()
			if s.Name.Local == "Document" && k.batch.Name == "" {
				k.batch.Name = t
			} else {
				name = t
			}
			return f
		})
	case "Placemark":
		return k.placemark(s, folder)
	case "NetworkLink":
		k.batch.Lost.Add("links to other files", 1)
	case "GroundOverlay", "ScreenOverlay", "PhotoOverlay", "Tour":
		k.batch.Lost.Add("pictures and tours", 1)
	case "Style", "StyleMap":
		k.batch.Lost.Add("styles", 1)
	}
	return nil
}

// parts are the geometries of a placemark by kind.
type parts struct {
	points []orb.Point
	lines  [][]orb.Point
	areas  [][][]orb.Point
}

var tags = regexp.MustCompile(`<[^<>]*>`)

// plain is text without marks of a page.
func plain(s string) string {
	if !strings.ContainsRune(s, '<') {
		return s
	}
	return strings.Join(strings.Fields(tags.ReplaceAllString(s, " ")), " ")
}

func (k *kmlReader) placemark(s xml.StartElement, folder string) *FormatFault {
	it := Item{ID: attr(s, "id"), Layer: folder}
	var g parts
	f := k.children(func(s xml.StartElement) (f *FormatFault) {
		switch s.Name.Local {
		case "name":
			it.Name, f = k.text()
		case "description":
			it.Notes, f = k.text()
			it.Notes = plain(it.Notes)
		case "ExtendedData":
			return k.extended(&it)
		case "TimeStamp", "TimeSpan":
			k.batch.Lost.Add("times", 1)
		case "Style", "StyleMap", "styleUrl":
			k.batch.Lost.Add("styles", 1)
		default:
			return k.geometry(s, &g, &it)
		}
		return f
	})
	if f != nil {
		return f
	}
	var shapes []Geometry
	if len(g.areas) > 0 {
		shapes = append(shapes, areaShape(g.areas))
	}
	if len(g.lines) > 0 {
		shapes = append(shapes, linesShape(g.lines))
	}
	if len(g.points) > 0 {
		shapes = append(shapes, pointsShape(g.points))
	}
	if len(shapes) == 0 {
		k.batch.Lost.Add("placemarks without a shape", 1)
	}
	for i, shape := range shapes {
		part := it
		if i > 0 && it.ID != "" {
			part.ID = fmt.Sprintf("%s-%d", it.ID, i+1)
		}
		part.Geometry = shape
		k.batch.Items = append(k.batch.Items, part)
	}
	if len(k.batch.Items) > maxItems {
		return formatFault("", "Split the file.", "The file has more than %d things.", maxItems)
	}
	return nil
}

// extended reads ExtendedData: Data with a value, and SimpleData.
func (k *kmlReader) extended(it *Item) *FormatFault {
	return k.children(func(s xml.StartElement) *FormatFault {
		name := attr(s, "name")
		return k.children(func(c xml.StartElement) *FormatFault {
			if c.Name.Local != "value" && c.Name.Local != "SimpleData" {
				return nil
			}
			field := name
			if c.Name.Local == "SimpleData" {
				field = attr(c, "name")
			}
			t, f := k.text()
			it.Fields = append(it.Fields, textField(field, t))
			return f
		})
	})
}

func (k *kmlReader) geometry(s xml.StartElement, g *parts, it *Item) *FormatFault {
	switch s.Name.Local {
	case "Point", "LineString", "LinearRing":
		ps, f := k.ring()
		switch {
		case f != nil || len(ps) == 0:
		case s.Name.Local == "Point":
			g.points = append(g.points, ps[0])
		default:
			g.lines = append(g.lines, ps)
		}
		return f
	case "Polygon":
		return k.polygon(g)
	case "MultiGeometry", "MultiTrack":
		return k.children(func(s xml.StartElement) *FormatFault { return k.geometry(s, g, it) })
	case "Track":
		it.Track = true
		return k.trackPoints(g)
	case "Model":
		k.batch.Lost.Add("models", 1)
	}
	return nil
}

// ring reads the coordinates directly inside an element.
func (k *kmlReader) ring() (ps []orb.Point, f *FormatFault) {
	f = k.children(func(s xml.StartElement) *FormatFault {
		if s.Name.Local != "coordinates" {
			return nil
		}
		t, f := k.text()
		if f == nil {
			ps, f = k.coordinates(t)
		}
		return f
	})
	return ps, f
}

func (k *kmlReader) polygon(g *parts) *FormatFault {
	var outer []orb.Point
	var holes [][]orb.Point
	f := k.children(func(s xml.StartElement) *FormatFault {
		in := s.Name.Local
		if in != "outerBoundaryIs" && in != "innerBoundaryIs" {
			return nil
		}
		return k.children(func(s xml.StartElement) *FormatFault {
			if s.Name.Local != "LinearRing" {
				return nil
			}
			ps, f := k.ring()
			if in == "outerBoundaryIs" {
				outer = ps
			} else if len(ps) > 0 {
				holes = append(holes, ps)
			}
			return f
		})
	})
	if f == nil && len(outer) == 0 {
		k.batch.Lost.Add("polygons without an outline", 1)
	} else {
		g.areas = append(g.areas, append([][]orb.Point{outer}, holes...))
	}
	return f
}

// trackPoints reads a Track: one `coord` of three numbers with spaces between them for each position.
func (k *kmlReader) trackPoints(g *parts) *FormatFault {
	var ps []orb.Point
	f := k.children(func(s xml.StartElement) *FormatFault {
		switch s.Name.Local {
		case "when":
			k.batch.Lost.Add("times", 1)
		case "coord":
			t, f := k.text()
			if f != nil {
				return f
			}
			n := strings.Fields(t)
			if len(n) < 2 {
				return k.fault("Longitude and latitude are wanted.", "A position of a track is %q.", Shorten(t))
			}
			if len(n) > 2 {
				k.batch.Lost.Add("heights", 1)
			}
			p, f := k.place(n[0], n[1])
			ps = append(ps, p)
			return f
		}
		return nil
	})
	if len(ps) > 0 {
		g.lines = append(g.lines, ps)
	}
	return f
}

// coordinates reads tuples: longitude, latitude and perhaps a height, with commas between them and white space round them.
func (k *kmlReader) coordinates(text string) ([]orb.Point, *FormatFault) {
	var ps []orb.Point
	for tuple := range strings.FieldsSeq(text) {
		lon, rest, two := strings.Cut(tuple, ",")
		lat, height, three := strings.Cut(rest, ",")
		if !two {
			return nil, k.fault("Write longitude,latitude without a space after the comma.", "A position is %q.", Shorten(tuple))
		}
		if three && strings.Trim(height, "0.") != "" {
			k.batch.Lost.Add("heights", 1)
		}
		p, f := k.place(lon, lat)
		if f != nil {
			return nil, f
		}
		ps = append(ps, p)
	}
	return ps, nil
}
