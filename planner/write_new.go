package planner

import (
	"bufio"
	"bytes"
	"encoding/json"
	"reflect"
	"slices"
)

// writeNew writes a plan that was made in code.
func (p *Plan) writeNew(b *bufio.Writer) error {
	h := p.Holding
	if h.Origin == nil {
		o := p.Frame.Origin()
		h.Origin = &o
	}
	holding, err := encodeHolding(&h)
	if err != nil {
		return err
	}
	b.WriteString("{\"type\": \"FeatureCollection\",\n \"holding\": ")
	b.Write(holding)
	b.WriteString(",\n \"features\": [")
	for i, f := range p.Features {
		raw, err := p.text(f)
		if err != nil {
			return err
		}
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString("\n  ")
		b.Write(raw)
	}
	b.WriteString("\n ]}\n")
	return nil
}

// text is the feature as GeoJSON: as it was read, or made from its fields.
func (p *Plan) text(f *Feature) ([]byte, error) {
	if f.raw != nil {
		return f.raw, nil
	}
	props, err := encodeProperties(f)
	if err != nil {
		return nil, err
	}
	return p.compose(f.ID, props, f.Shape)
}

// compose is a new feature of an id, encoded properties and a shape in metres.
func (p *Plan) compose(id string, props []byte, s Shape) ([]byte, error) {
	name, err := encode(id)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	b.WriteString(`{"type": "Feature", "id": `)
	b.Write(name)
	b.WriteString(`, "properties": `)
	b.Write(props)
	b.WriteString(`, "geometry": `)
	b.Write(geometryText(p.Frame, s, "", nil))
	b.WriteByte('}')
	return b.Bytes(), nil
}

// object writes members one after another.
type object struct {
	b   bytes.Buffer
	err error
}

func (o *object) add(name string, value any) {
	v, err := encode(value)
	if err != nil && o.err == nil {
		o.err = err
	}
	sep := ", "
	if o.b.Len() == 0 {
		sep = "{"
	}
	key, _ := encode(name)
	o.b.WriteString(sep)
	o.b.Write(key)
	o.b.WriteString(": ")
	o.b.Write(v)
}

func (o *object) text() ([]byte, error) {
	if o.b.Len() == 0 {
		return []byte("{}"), o.err
	}
	return append(o.b.Bytes(), '}'), o.err
}

// encode is JSON with <, > and & as they are: plan files are not pages.
func encode(v any) ([]byte, error) {
	if raw, ok := v.(json.RawMessage); ok {
		return raw, nil
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	err := e.Encode(v)
	return bytes.TrimRight(b.Bytes(), "\n"), err
}

func encodeProperties(f *Feature) ([]byte, error) {
	info := vocabulary.kinds[string(f.Kind)]
	if info == nil {
		info = vocabulary.common
	}
	var o object
	if f.Kind != "" {
		o.add("kind", string(f.Kind))
	}
	common := reflect.ValueOf(f).Elem()
	for i, p := range info.props {
		target := common
		if !isCommon(i) {
			if f.Detail == nil {
				continue
			}
			target = reflect.ValueOf(f.Detail).Elem()
		}
		if info.fields[i] != nil {
			encodeProp(&o, p, target.FieldByIndex(info.fields[i]), f.Stated(p.Name), f.Detail)
		}
	}
	return o.text()
}

func encodeHolding(h *Holding) ([]byte, error) {
	var o object
	for i, p := range vocabulary.holding.props {
		encodeProp(&o, p, reflect.ValueOf(h).Elem().FieldByIndex(vocabulary.holding.fields[i]), h.Stated(p.Name), nil)
	}
	return o.text()
}

// encodeProp writes a property where it is stated, or is neither empty nor its default.
func encodeProp(o *object, p Prop, v reflect.Value, stated bool, detail any) {
	if b, ok := detail.(*Block); ok && p.Type == TypeBearing && b.Auto {
		if stated {
			o.add(p.Name, "auto")
		}
		return
	}
	if !stated {
		if p.Default == nil && v.IsZero() || v.Kind() == reflect.Slice && v.Len() == 0 && isNoneOrEmpty(p.Default) {
			return
		}
		if d := reflect.ValueOf(p.Default); d.IsValid() && d.Type().ConvertibleTo(v.Type()) && reflect.DeepEqual(d.Convert(v.Type()).Interface(), v.Interface()) {
			return
		}
		if p.Type == TypeChoice && v.String() == "" {
			return
		}
	}
	o.add(p.Name, forFile(v.Interface()))
}

func isNoneOrEmpty(def any) bool {
	list, ok := def.([]string)
	return def == nil || ok && len(list) == 0
}

// forFile turns a field's value into what encodes as the file has it.
func forFile(v any) any {
	switch v := v.(type) {
	case []BeltRow:
		out := make([]json.RawMessage, len(v))
		for i, r := range v {
			var o object
			if len(r.Mix) == 1 {
				o.add("species", r.Mix[0].Species)
			} else {
				o.add("mix", r.Mix)
			}
			if r.SpacingM != 0 {
				o.add("spacing_m", r.SpacingM)
			}
			out[i], _ = o.text()
		}
		return out
	case []Tree:
		return treesForFile(v)
	case []Cut:
		out := make([]any, len(v))
		for i, c := range v {
			out[i] = c.Winter
			if c.FromM != 0 || c.ToM != 0 {
				var o object
				o.add("winter", c.Winter)
				o.add("from_m", c.FromM)
				if c.ToM != 0 {
					o.add("to_m", c.ToM)
				}
				text, _ := o.text()
				out[i] = json.RawMessage(text)
			}
		}
		return out
	case []Sward:
		out := make([]any, len(v))
		for i, s := range v {
			out[i] = s.Species
			if s.Percent != 0 {
				out[i] = map[string]any{"species": s.Species, "percent": s.Percent}
			}
		}
		return out
	case map[string]map[string]OwnLimit:
		out := map[string]map[string]any{}
		for rule, set := range v {
			out[rule] = map[string]any{}
			for name, l := range set {
				out[rule][name] = l.forFile()
			}
		}
		return out
	}
	return v
}

// treesForFile writes every entry with its share or every entry with its count, noughts too.
func treesForFile(trees []Tree) any {
	shares := slices.ContainsFunc(trees, func(t Tree) bool { return t.SharePercent != 0 })
	out := make([]json.RawMessage, len(trees))
	for i, t := range trees {
		var o object
		o.add("species", t.Species)
		for _, m := range [][2]string{{"cultivar", t.Cultivar}, {"rootstock", t.Rootstock}, {"form", t.Form}} {
			if m[1] != "" {
				o.add(m[0], m[1])
			}
		}
		if shares {
			o.add("share_percent", t.SharePercent)
		} else {
			o.add("count", t.Count)
		}
		out[i], _ = o.text()
	}
	return out
}

func (l OwnLimit) forFile() any {
	var value any = l.Value
	if l.Text != "" {
		value = l.Text
	}
	if l.Reason == "" {
		return value
	}
	return map[string]any{"value": value, "reason": l.Reason}
}
