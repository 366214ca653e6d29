package planner

import (
	"bytes"
	"encoding/json"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/geo/interchange"
)

// Text is the feature as it stands in the file, with its id, also where the file gave it none and the reader did. A feature made in
// code has none (nil).
func (f *Feature) Text() []byte {
	if f.GivenID && interchange.IsObject(f.raw) {
		id, _ := json.Marshal(f.ID)
		return setMember(f.raw, "id", id)
	}
	return bytes.Clone(f.raw)
}

// Anchored is the plan with an origin written down even though nothing is drawn yet, so that what is drawn first in metres stands
// where it was drawn. A plan that has an origin, or from which one follows, is given back as it is.
func (p *Plan) Anchored(origin orb.Point) (*Plan, error) {
	if p.doc == nil || p.doc.placeable || p.doc.hasOrigin {
		return p, nil
	}
	frame, err := geo.NewFrame(origin)
	if err != nil {
		return nil, err
	}
	q, doc := *p, *p.doc
	doc.placeable = true
	q.doc, q.Frame = &doc, frame
	return q.reread()
}

// Bytes is the plan as Write writes it.
func (p *Plan) Bytes() ([]byte, error) {
	var b bytes.Buffer
	err := p.Write(&b)
	return b.Bytes(), err
}

// WithMember is the text of a JSON object with that member, whatever it had under the name.
func WithMember(object []byte, name string, value []byte) []byte {
	return setMember(object, name, value)
}
