package planner

import (
	"encoding/json"
	"slices"

	"quickthorn/geo/interchange"
)

// HoldingJSON is the holding member as the file has it, or an empty object where it has none or something else in its place.
func (p *Plan) HoldingJSON() json.RawMessage {
	if p.doc != nil {
		if raw := p.doc.holdingRaw(); interchange.IsObject(raw) {
			return slices.Clone(raw)
		}
	}
	return json.RawMessage("{}")
}

// Properties are the properties of the feature as the file states them, unknown ones included; the last of a name given twice. A
// feature made in code, or without properties, has none.
func (f *Feature) Properties() map[string]json.RawMessage {
	out := map[string]json.RawMessage{}
	if !interchange.IsObject(f.raw) {
		return out
	}
	for m := range interchange.Members(f.raw) {
		if string(m.Name) != "properties" || !interchange.IsObject(m.Value.Of(f.raw)) {
			continue
		}
		clear(out)
		props := m.Value.Of(f.raw)
		for q := range interchange.Members(props) {
			out[string(q.Name)] = slices.Clone(q.Value.Of(props))
		}
	}
	return out
}
