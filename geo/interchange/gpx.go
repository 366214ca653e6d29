package interchange

import (
	"encoding/xml"
	"fmt"

	"github.com/paulmach/orb"
)

// ReadGPX reads waypoints, routes and tracks (GPX 1.1 schema, topografix, 2004; 1.0 is read the same way). A segment of a track is a
// thing of its own. Heights and times are counted as lost. O(bytes).
func ReadGPX(data []byte) (*Batch, *FormatFault) {
	m, f := newMarkup(data, "GPX")
	if f != nil {
		return nil, f
	}
	root, f := m.root("gpx")
	if f != nil {
		return nil, f
	}
	g := &gpxReader{markup: m, batch: &Batch{Format: "GPX", Creator: attr(root, "creator")}}
	g.batch.Grid, _ = GridByCode(4326)
	f = m.children(func(s xml.StartElement) *FormatFault {
		if len(g.batch.Items) >= maxItems {
			return formatFault("", "Split the file.", "The file has more than %d things.", maxItems)
		}
		switch s.Name.Local {
		case "metadata":
			return m.children(func(s xml.StartElement) *FormatFault { return g.about(s) })
		case "wpt":
			it := Item{Layer: "wpt"}
			p, f := g.point(s, &it)
			it.Geometry = PointShape(p)
			g.batch.Items = append(g.batch.Items, it)
			return f
		case "rte":
			return g.route()
		case "trk":
			return g.track()
		}
		return g.about(s)
	})
	if f != nil {
		return nil, f
	}
	return g.batch, nil
}

type gpxReader struct {
	*markup
	batch *Batch
}

// about reads what is said of the whole file.
func (g *gpxReader) about(s xml.StartElement) (f *FormatFault) {
	switch s.Name.Local {
	case "name":
		g.batch.Name, f = g.text()
	case "copyright":
		g.batch.Credit = attr(s, "author")
		return g.children(func(s xml.StartElement) *FormatFault {
			t, f := g.text()
			if t != "" {
				g.batch.Credit += ", " + t
			}
			return f
		})
	}
	return f
}

// common reads an element that waypoints, routes and tracks share; false where it is none.
func (g *gpxReader) common(s xml.StartElement, it *Item) (bool, *FormatFault) {
	var to *string
	field := ""
	switch s.Name.Local {
	case "name":
		to = &it.Name
	case "desc":
		to = &it.Notes
	case "cmt":
		t, f := g.text()
		if it.Notes == "" {
			it.Notes = t
		}
		return true, f
	case "type", "sym":
		field = s.Name.Local
	case "extensions":
		return true, g.children(func(s xml.StartElement) *FormatFault {
			t, f := g.text()
			if s.Name.Space == Namespace {
				it.Fields = append(it.Fields, textField(s.Name.Local, t))
			} else {
				g.batch.Lost.Add("extensions of other programs", 1)
			}
			return f
		})
	default:
		return false, nil
	}
	t, f := g.text()
	if to != nil {
		*to = t
	} else {
		it.Fields = append(it.Fields, textField(field, t))
	}
	return true, f
}

// point reads a wpt, rtept or trkpt. it takes its name and the like; nil where nobody wants them.
func (g *gpxReader) point(s xml.StartElement, it *Item) (orb.Point, *FormatFault) {
	p, f := g.place(attr(s, "lon"), attr(s, "lat"))
	if f != nil {
		return p, f
	}
	return p, g.children(func(s xml.StartElement) *FormatFault {
		switch s.Name.Local {
		case "ele":
			g.batch.Lost.Add("heights", 1)
			return nil
		case "time":
			g.batch.Lost.Add("times", 1)
			return nil
		}
		if it == nil {
			return nil
		}
		_, f := g.common(s, it)
		return f
	})
}

func (g *gpxReader) route() *FormatFault {
	it := Item{Layer: "rte"}
	var ps []orb.Point
	f := g.children(func(s xml.StartElement) *FormatFault {
		if s.Name.Local == "rtept" {
			p, f := g.point(s, nil)
			ps = append(ps, p)
			return f
		}
		_, f := g.common(s, &it)
		return f
	})
	it.Geometry = lineShape(ps)
	g.batch.Items = append(g.batch.Items, it)
	return f
}

func (g *gpxReader) track() *FormatFault {
	it := Item{Layer: "trk", Track: true}
	var parts [][]orb.Point
	f := g.children(func(s xml.StartElement) *FormatFault {
		if s.Name.Local != "trkseg" {
			_, f := g.common(s, &it)
			return f
		}
		var ps []orb.Point
		f := g.children(func(s xml.StartElement) *FormatFault {
			if s.Name.Local != "trkpt" {
				return nil
			}
			p, f := g.point(s, nil)
			ps = append(ps, p)
			return f
		})
		if len(ps) > 0 {
			parts = append(parts, ps)
		}
		if len(g.batch.Items)+len(parts) > maxItems {
			return formatFault("", "Split the file.", "The file has more than %d things.", maxItems)
		}
		return f
	})
	for i, ps := range parts {
		part := it
		if len(parts) > 1 && it.Name != "" {
			part.Name = fmt.Sprintf("%s, part %d", it.Name, i+1)
		}
		part.Geometry = lineShape(ps)
		g.batch.Items = append(g.batch.Items, part)
	}
	return f
}
