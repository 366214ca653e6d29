package planner

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo/interchange"
)

// FromMetres turns GeoJSON features whose coordinates are metres of the plan's frame (x east, y north) into features in
// longitude and latitude, ready to be put. What the plan already holds under the same id is kept wherever it says the same:
// a geometry that equals the stored one to 1 mm keeps its stored text, a single position likewise, and so do foreign members of the
// feature and properties whose value did not change. Properties that the new feature does not have go; where it has no member
// `properties` at all they stay. New positions have 9 decimals, 0.1 mm on the ground.
//
// A text that is no JSON, and a position further than maxFromOrigin from the origin, are refused with a *Problem; whatever else is
// wrong with a geometry is left for the reader to say. O(bytes put and bytes stored).
func (p *Plan) FromMetres(put []json.RawMessage) ([]json.RawMessage, error) {
	out := make([]json.RawMessage, len(put))
	for i, raw := range put {
		if bad := interchange.Check(raw); bad != nil {
			return nil, &Problem{Where: fmt.Sprintf("put, entry %d, line %d, column %d", i+1, bad.Line, bad.Column), What: bad.What, Mend: bad.Mend, Err: bad}
		}
		text, err := p.fromMetres(newItem(raw).raw())
		if err != nil {
			err.Where = fmt.Sprintf("put, entry %d", i+1)
			return nil, err
		}
		out[i] = text
	}
	return out, nil
}

// maxFromOrigin bounds how far from its origin the frame is used, in metres. A holding is a few kilometres wide.
const maxFromOrigin = 100_000

func (p *Plan) fromMetres(put []byte) (json.RawMessage, *Problem) {
	if !interchange.IsObject(put) {
		return put, nil // the reader says what it is not
	}
	c := conversion{frame: p, feature: rawID(put)}
	old := p.Feature(c.feature)
	if old != nil && !interchange.IsObject(old.raw) {
		old = nil
	}
	given := interchange.Find(put, "geometry")
	if old == nil {
		if interchange.IsNull(given) {
			return put, nil
		}
		geometry, bad := c.geometry(given)
		if bad != nil {
			return nil, bad
		}
		return setMember(put, "geometry", geometry), nil
	}
	text := old.raw
	if given != nil && metresOf(given) != old.Shape.inMillimetres() {
		c.keep(interchange.Find(old.raw, "geometry"))
		geometry, bad := c.geometry(given)
		if bad != nil {
			return nil, bad
		}
		text = dropMember(setMember(text, "geometry", geometry), "bbox")
	}
	for m := range interchange.Members(put) {
		name, value := string(m.Name), m.Value.Of(put)
		switch name {
		case "geometry":
		case "properties":
			text = setMember(text, name, mergedProperties(interchange.Find(old.raw, name), value))
		case "id":
			if rawID(text) != c.feature {
				text = setMember(text, name, value)
			}
		default:
			if !sameValue(interchange.Find(text, name), value) {
				text = setMember(text, name, value)
			}
		}
	}
	return bytes.Clone(text), nil
}

// mergedProperties are the properties as put, with the text of the old ones where the value is the same, in the old order.
func mergedProperties(old, put []byte) []byte {
	if !interchange.IsObject(old) || !interchange.IsObject(put) {
		return put
	}
	text := old
	for m := range interchange.Members(old) {
		if interchange.Find(put, string(m.Name)) == nil {
			text = dropMember(text, string(m.Name))
		}
	}
	for m := range interchange.Members(put) {
		name, value := string(m.Name), interchange.Find(put, string(m.Name))
		if was := interchange.Find(text, name); was == nil || !sameValue(was, value) {
			text = setMember(text, name, value)
		}
	}
	return text
}

// sameValue reports whether two JSON values are the same to a reader that holds numbers in 64 bits, as a browser does: a number of
// 20 digits that comes back with 17 has not changed.
func sameValue(a, b []byte) bool {
	if bytes.Equal(a, b) {
		return true
	}
	var x, y any
	if json.Unmarshal(a, &x) != nil || json.Unmarshal(b, &y) != nil {
		return false
	}
	return reflect.DeepEqual(x, y)
}

// A conversion is one feature on its way from metres to degrees.
type conversion struct {
	frame   *Plan
	feature string
	kept    map[[2]int64][]byte // stored positions by their millimetres
}

// keep remembers the positions of a stored geometry, so that those that did not move keep their text, heights and all.
func (c *conversion) keep(geometry []byte) {
	c.kept = map[[2]int64][]byte{}
	eachPosition(geometry, func(text []byte, at orb.Point) {
		if !(math.Abs(at[0]) <= 180 && math.Abs(at[1]) <= 90) {
			return
		}
		local := c.frame.Frame.ToLocal(at)
		c.kept[[2]int64{millimetres(local[0]), millimetres(local[1])}] = text
	})
}

// geometry is a geometry object with its coordinates in degrees.
func (c *conversion) geometry(raw []byte) ([]byte, *Problem) { return rewritten(raw, c.position) }

// rewritten is a geometry object whose positions were written anew, each by write: at is its first two numbers, rest what follows
// them, as it stands. What is no position stays as it is; a bbox would be stale and goes.
func rewritten(raw []byte, write func(b []byte, at orb.Point, rest []byte) ([]byte, *Problem)) ([]byte, *Problem) {
	if !interchange.IsObject(raw) {
		return raw, nil
	}
	out := raw
	if v := interchange.Find(raw, "coordinates"); interchange.IsArray(v) {
		text, bad := positions(nil, v, write)
		if bad != nil {
			return nil, bad
		}
		out = dropMember(setMember(out, "coordinates", text), "bbox")
	}
	if v := interchange.Find(raw, "geometries"); interchange.IsArray(v) {
		parts := []byte{'['}
		for s := range interchange.Elements(v) {
			part, bad := rewritten(s.Of(v), write)
			if bad != nil {
				return nil, bad
			}
			if len(parts) > 1 {
				parts = append(parts, ", "...)
			}
			parts = append(parts, part...)
		}
		out = dropMember(setMember(out, "geometries", append(parts, ']')), "bbox")
	}
	return out, nil
}

// positions writes an array of positions, however deep. What is no position is written as it is.
func positions(b, arr []byte, write func(b []byte, at orb.Point, rest []byte) ([]byte, *Problem)) ([]byte, *Problem) {
	if at, rest, ok := position(arr); ok {
		return write(b, at, rest)
	}
	b = append(b, '[')
	first := true
	for s := range interchange.Elements(arr) {
		if !first {
			b = append(b, ", "...)
		}
		first = false
		v := s.Of(arr)
		if !interchange.IsArray(v) {
			b = append(b, v...)
			continue
		}
		var bad *Problem
		if b, bad = positions(b, v, write); bad != nil {
			return nil, bad
		}
	}
	return append(b, ']'), nil
}

func (c *conversion) position(b []byte, at orb.Point, rest []byte) ([]byte, *Problem) {
	if far := math.Max(math.Abs(at[0]), math.Abs(at[1])); !(far <= maxFromOrigin) {
		return nil, &Problem{Feature: c.feature, Property: "geometry",
			What: fmt.Sprintf("The position [%g, %g] lies %.0f km from the origin of the holding.", at[0], at[1], far/1000),
			Mend: fmt.Sprintf("With \"metres\": true coordinates are metres east and north of the origin, within %d km of it.", maxFromOrigin/1000)}
	}
	if text := c.kept[[2]int64{millimetres(at[0]), millimetres(at[1])}]; text != nil && rest == nil {
		return append(b, text...), nil
	}
	return appendPosition(b, c.frame.Frame.ToLonLat(at), rest), nil
}

// appendPosition writes a position in degrees with what follows its first two numbers.
func appendPosition(b []byte, at orb.Point, rest []byte) []byte {
	b = interchange.AppendPosition(b, at)
	if rest != nil {
		b = append(append(append(b[:len(b)-1], ", "...), rest...), ']')
	}
	return b
}

// position reads an array that begins with two numbers; rest is what follows them, as it stands.
func position(arr []byte) (at orb.Point, rest []byte, ok bool) {
	n := 0
	for s := range interchange.Elements(arr) {
		v := s.Of(arr)
		if n == 2 {
			return at, bytes.TrimSpace(arr[s.From : len(arr)-1]), true
		}
		f, isNumber := interchange.Number(v)
		if !isNumber {
			return at, nil, false
		}
		at[n] = f
		n++
	}
	return at, nil, n == 2
}

// eachPosition calls f for every position of a geometry, in the order they stand.
func eachPosition(geometry []byte, f func(text []byte, at orb.Point)) {
	var walk func(arr []byte)
	walk = func(arr []byte) {
		if at, _, ok := position(arr); ok {
			f(arr, at)
			return
		}
		for s := range interchange.Elements(arr) {
			walk(s.Of(arr))
		}
	}
	walk(interchange.Find(geometry, "coordinates"))
	parts := interchange.Find(geometry, "geometries")
	for s := range interchange.Elements(parts) {
		eachPosition(s.Of(parts), f)
	}
}

func millimetres(m float64) int64 { return int64(math.Round(m * 1000)) }

// metresOf writes what a geometry in metres draws, to the millimetre, so that two can be compared; "" where nothing is drawn.
func metresOf(geometry []byte) string {
	if interchange.IsNull(geometry) {
		return ""
	}
	var b strings.Builder
	var walk func(arr []byte)
	walk = func(arr []byte) {
		if at, rest, ok := position(arr); ok && rest == nil {
			writeMillimetres(&b, at)
			return
		}
		b.WriteByte('[')
		for s := range interchange.Elements(arr) {
			if v := s.Of(arr); interchange.IsArray(v) {
				walk(v)
			} else {
				b.Write(v)
			}
		}
		b.WriteByte(']')
	}
	t, _ := interchange.Text(interchange.Find(geometry, "type"))
	b.WriteString(t)
	walk(interchange.Find(geometry, "coordinates"))
	return b.String()
}

// inMillimetres is metresOf for a shape as the page is given it: one part is a Point, LineString or Polygon, several are the
// Multi form of it.
func (s Shape) inMillimetres() string {
	var b strings.Builder
	list := func(l []orb.Point) {
		b.WriteByte('[')
		for _, at := range l {
			writeMillimetres(&b, at)
		}
		b.WriteByte(']')
	}
	rings := func(g orb.Polygon) {
		b.WriteByte('[')
		for _, r := range g {
			list(r)
		}
		b.WriteByte(']')
	}
	switch {
	case len(s.Points) == 1:
		b.WriteString("Point")
		writeMillimetres(&b, s.Points[0])
	case len(s.Points) > 1:
		b.WriteString("MultiPoint")
		list(s.Points)
	case len(s.Lines) == 1:
		b.WriteString("LineString")
		list(s.Lines[0])
	case len(s.Lines) > 1:
		b.WriteString("MultiLineString[")
		for _, l := range s.Lines {
			list(l)
		}
		b.WriteByte(']')
	case len(s.Polygons) == 1:
		b.WriteString("Polygon")
		rings(s.Polygons[0])
	case len(s.Polygons) > 1:
		b.WriteString("MultiPolygon[")
		for _, g := range s.Polygons {
			rings(g)
		}
		b.WriteByte(']')
	}
	return b.String()
}

func writeMillimetres(b *strings.Builder, at orb.Point) {
	var buf [48]byte
	text := append(buf[:0], '(')
	text = strconv.AppendInt(text, millimetres(at[0]), 10)
	text = append(text, ' ')
	text = strconv.AppendInt(text, millimetres(at[1]), 10)
	b.Write(append(text, ')'))
}

// GiveIDs gives every feature of put that has no id one that the plan does not use: its kind and a running number, such as hedge-3.
// ids are those of all of put, in order. put itself stays as it is.
func (p *Plan) GiveIDs(put []json.RawMessage) (out []json.RawMessage, ids []string) {
	taken := map[string]bool{}
	for _, raw := range put {
		taken[rawID(raw)] = true
	}
	next := map[string]int{}
	for _, raw := range put {
		id := rawID(raw)
		if id == "" && interchange.IsObject(raw) {
			kind := "feature"
			if k := kindOf(interchange.Find(interchange.Find(raw, "properties"), "kind")); vocabulary.kinds[string(k)] != nil {
				kind = strings.ReplaceAll(string(k), "_", "-")
			}
			if next[kind] == 0 {
				next[kind] = p.lastNumber(kind)
			}
			for id == "" || taken[id] || p.Feature(id) != nil {
				next[kind]++
				id = kind + "-" + strconv.Itoa(next[kind])
			}
			text, _ := json.Marshal(id)
			raw = setMember(raw, "id", text)
		}
		taken[id] = true
		out, ids = append(out, raw), append(ids, id)
	}
	return out, ids
}

// lastNumber is the greatest running number among ids of the form kind-number: a number that was used is not used again while a
// higher one is there, so that what once pointed to a feature does not come to point to another.
func (p *Plan) lastNumber(kind string) int {
	most := 0
	for _, f := range p.Features {
		if rest, ok := strings.CutPrefix(f.ID, kind+"-"); ok && len(rest) < 9 {
			if n, err := strconv.Atoi(rest); err == nil && n > most {
				most = n
			}
		}
	}
	return most
}
