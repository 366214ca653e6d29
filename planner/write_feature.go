package planner

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"sort"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/geo/interchange"
)

// Change is the feature as GeoJSON with properties set and others taken out; all else stays as it was written. A yes/no that
// was written "yes" or "no" stays in that form. It is what Edit.Put takes.
func (p *Plan) Change(f *Feature, set map[string]any, unset ...string) (json.RawMessage, error) {
	raw, err := p.named(f)
	if err != nil {
		return nil, err
	}
	props := interchange.Find(raw, "properties")
	if !interchange.IsObject(props) {
		props = []byte("{}")
	}
	names := make([]string, 0, len(set))
	for name := range set {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		v, err := encode(forFile(set[name]))
		if err != nil {
			return nil, fmt.Errorf("property %s of %s: %w", name, f.ID, err)
		}
		props = setMember(props, name, likeWritten(interchange.Find(props, name), v))
	}
	for _, name := range unset {
		props = dropMember(props, name)
	}
	return setMember(raw, "properties", props), nil
}

// likeWritten is a yes or no in the form that the old value has.
func likeWritten(old, v []byte) []byte {
	if b, isBool := interchange.Bool(v); isBool && (string(old) == `"yes"` || string(old) == `"no"`) {
		if b {
			return []byte(`"yes"`)
		}
		return []byte(`"no"`)
	}
	return v
}

// named is the text of the feature with the id that the plan calls it by.
func (p *Plan) named(f *Feature) ([]byte, error) {
	raw, err := p.text(f)
	if err != nil {
		return nil, err
	}
	if !interchange.IsObject(raw) {
		return nil, &Problem{Feature: f.ID, Where: "feature " + f.ID, What: "It is not a GeoJSON Feature and cannot be changed.", Mend: "Delete it and draw it anew."}
	}
	if rawID(raw) == f.ID {
		return raw, nil
	}
	id, err := encode(f.ID)
	if err != nil {
		return nil, err
	}
	return setMember(raw, "id", id), nil
}

// Reshape is the feature as GeoJSON with a new geometry, given in metres; all else stays as it was written. Coordinates have 9
// decimals. Positions that stay where they were keep their heights. The bbox of the feature follows; one inside the geometry goes.
func (p *Plan) Reshape(f *Feature, s Shape) (json.RawMessage, error) {
	if s.Empty() {
		return nil, fmt.Errorf("feature %s: the new shape is empty", f.ID)
	}
	raw, err := p.named(f)
	if err != nil {
		return nil, err
	}
	old := interchange.Find(raw, "geometry")
	was, _ := interchange.Text(interchange.Find(old, "type"))
	text := geometryText(p.Frame, s, was, heights(interchange.Find(old, "coordinates")))
	if interchange.IsObject(old) {
		geometry := dropMember(dropMember(dropMember(old, "bbox"), "geometries"), "crs")
		geometry = setMember(geometry, "type", interchange.Find(text, "type"))
		text = setMember(geometry, "coordinates", interchange.Find(text, "coordinates"))
	}
	raw = setMember(raw, "geometry", text)
	if interchange.Find(raw, "bbox") != nil {
		raw = setMember(raw, "bbox", boxText(p.Frame, s))
	}
	return raw, nil
}

// NewFeature is a feature of the kind as GeoJSON, its shape given in metres. Numbers, texts, lists and the types of this package
// may be properties.
func (p *Plan) NewFeature(id string, kind Kind, s Shape, props map[string]any) (json.RawMessage, error) {
	if id == "" || s.Empty() {
		return nil, fmt.Errorf("a new %s needs an id and a shape", kind)
	}
	var o object
	o.add("kind", string(kind))
	names := make([]string, 0, len(props))
	for name := range props {
		if name != "kind" {
			names = append(names, name)
		}
	}
	sort.Strings(names)
	for _, name := range names {
		o.add(name, forFile(props[name]))
	}
	text, err := o.text()
	if err != nil {
		return nil, fmt.Errorf("a new %s, %s: %w", kind, id, err)
	}
	return p.compose(id, text, s)
}

// geometryText is a shape in metres as a GeoJSON geometry. It is a Multi type where there are several parts, or where was, the
// type before, is one. tails has what followed longitude and latitude in positions as they were.
func geometryText(frame geo.Frame, s Shape, was string, tails map[string]string) []byte {
	multi := strings.HasPrefix(was, "Multi")
	w := geometryWriter{frame: frame, tails: tails}
	switch {
	case len(s.Points) > 1 || len(s.Points) == 1 && multi:
		w.begin("MultiPoint")
		w.positions(s.Points)
	case len(s.Points) == 1:
		w.begin("Point")
		w.position(s.Points[0])
	case len(s.Lines) > 1 || len(s.Lines) == 1 && multi:
		w.begin("MultiLineString")
		list(&w, s.Lines, func(l orb.LineString) { w.positions(l) })
	case len(s.Lines) == 1:
		w.begin("LineString")
		w.positions(s.Lines[0])
	case len(s.Polygons) > 1 || len(s.Polygons) == 1 && multi:
		w.begin("MultiPolygon")
		list(&w, s.Polygons, w.polygon)
	case len(s.Polygons) == 1:
		w.begin("Polygon")
		w.polygon(s.Polygons[0])
	default:
		return []byte("null")
	}
	return append(w.b, '}')
}

type geometryWriter struct {
	b     []byte
	frame geo.Frame
	tails map[string]string
}

func (w *geometryWriter) begin(kind string) {
	w.b = append(append(append(w.b, `{"type": "`...), kind...), `", "coordinates": `...)
}

func list[T any](w *geometryWriter, parts []T, write func(T)) {
	w.b = append(w.b, '[')
	for i, x := range parts {
		if i > 0 {
			w.b = append(w.b, ", "...)
		}
		write(x)
	}
	w.b = append(w.b, ']')
}

func (w *geometryWriter) positions(ps []orb.Point) { list(w, ps, w.position) }

func (w *geometryWriter) position(p orb.Point) {
	start := len(w.b)
	w.b = interchange.AppendPosition(w.b, w.frame.ToLonLat(p))
	if tail, ok := w.tails[string(w.b[start:])]; ok {
		w.b = append(append(w.b[:len(w.b)-1], tail...), ']')
	}
}

// polygon writes rings as RFC 7946 has them: closed, the outer one anticlockwise, holes clockwise.
func (w *geometryWriter) polygon(p orb.Polygon) {
	first := true
	list(w, p, func(r orb.Ring) {
		out := slices.Clone(r)
		if n := len(out); n > 1 && out[0] != out[n-1] {
			out = append(out, out[0])
		}
		if a := geo.RingArea(out); a != 0 && a > 0 != first {
			slices.Reverse(out)
		}
		first = false
		w.positions(out)
	})
}

// heights finds what follows longitude and latitude in the positions of coordinates, by the position as it would be written.
func heights(coords []byte) map[string]string {
	out := map[string]string{}
	var walk func(v []byte)
	walk = func(v []byte) {
		var p orb.Point
		n, tail := 0, 0
		for s := range interchange.Elements(v) {
			e := s.Of(v)
			if interchange.IsArray(e) {
				walk(e) // no deeper than interchange.MaxDepth
				continue
			}
			if n < 2 {
				p[n], _ = interchange.Number(e)
				tail = s.To
			}
			n++
		}
		if n > 2 {
			out[string(interchange.AppendPosition(nil, p))] = strings.TrimSpace(string(bytes.TrimSuffix(v[tail:], []byte("]"))))
		}
	}
	walk(coords)
	return out
}

// boxText is the bbox of a shape: longitude and latitude of the south-west corner, then of the north-east one (RFC 7946, 5).
func boxText(frame geo.Frame, s Shape) []byte {
	var box orb.Bound
	any := false
	each(s, func(p orb.Point) {
		box, any = joined(box, frame.ToLonLat(p).Bound(), any), true
	})
	b := []byte{'['}
	for i, x := range []float64{box.Min[0], box.Min[1], box.Max[0], box.Max[1]} {
		if i > 0 {
			b = append(b, ", "...)
		}
		b = interchange.AppendDegrees(b, x)
	}
	return append(b, ']')
}

func each(s Shape, visit func(orb.Point)) {
	for _, p := range s.Points {
		visit(p)
	}
	for _, l := range s.Lines {
		for _, p := range l {
			visit(p)
		}
	}
	for _, g := range s.Polygons {
		for _, r := range g {
			for _, p := range r {
				visit(p)
			}
		}
	}
}
