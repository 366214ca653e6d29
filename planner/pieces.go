package planner

import (
	"encoding/json"
	"fmt"
	"slices"

	"quickthorn/geo/interchange"
)

// Pieces is the plan file cut up: what stands before the features, each of them, and what stands behind. Put together again they
// are the bytes that Write gives. None may be altered.
type Pieces struct {
	Head     []byte // up to and with the [ of features
	Features []Piece
	Empty    []byte // what stands between [ and ] where there is no feature
	Tail     []byte // from the end of the last feature
}

// A Piece is one entry of the list of features with the white space around it, without commas.
type Piece struct {
	ID   string // what the plan calls it by: the file's own, or given by the reader
	Text []byte
}

// Pieces cuts the plan file up as reading it afresh would, however the plan came about: white space behind the last feature belongs
// to the tail, and that between [ and ] is Empty. Features stand in the order of the file.
func (p *Plan) Pieces() (Pieces, error) {
	if p.doc == nil {
		next, err := p.reread()
		if err != nil {
			return Pieces{}, err
		}
		p = next
	}
	head, tail := p.doc.withOrigin(p)
	out := Pieces{Head: head, Features: make([]Piece, len(p.doc.items)), Empty: p.doc.empty, Tail: tail}
	for i, it := range p.doc.items {
		out.Features[i] = Piece{ID: it.feature.ID, Text: it.text}
	}
	if n := len(out.Features); n > 0 {
		last := p.doc.items[n-1]
		out.Features[n-1].Text = last.text[:last.to:last.to]
		out.Tail = slices.Concat(last.text[last.to:], tail)
		out.Empty = nil
		return out, nil
	}
	lead := spaces(tail)
	out.Empty, out.Tail = slices.Concat(out.Empty, tail[:lead]), tail[lead:]
	return out, nil
}

// Bytes is the file put together, in a buffer of its own.
func (c Pieces) Bytes() []byte {
	b := make([]byte, 0, c.Size())
	b = append(b, c.Head...)
	for i, f := range c.Features {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(b, f.Text...)
	}
	if len(c.Features) == 0 {
		b = append(b, c.Empty...)
	}
	return append(b, c.Tail...)
}

// Size is the number of bytes of the file.
func (c Pieces) Size() int {
	n := len(c.Head) + len(c.Empty) + len(c.Tail)
	for _, f := range c.Features {
		n += len(f.Text) + 1
	}
	return n
}

// WithHolding is the plan with another `holding` member; all else keeps its bytes. Where the new member states no origin, that
// of the plan is kept, so that local coordinates do not shift. Cost: the whole plan is read once.
func (p *Plan) WithHolding(holding json.RawMessage) (*Plan, error) {
	if bad := interchange.Check(holding); bad != nil {
		return nil, &Problem{Where: fmt.Sprintf("holding, line %d, column %d", bad.Line, bad.Column), What: bad.What, Mend: bad.Mend, Err: bad}
	}
	raw := slices.Clone(newItem(holding).raw())
	if !interchange.IsObject(raw) {
		return nil, &Problem{Where: "holding", What: "The settings of a holding are an object.", Mend: `Send {"name": ..., "planting_winter": ..., ...}.`}
	}
	p, err := p.reread()
	if err != nil {
		return nil, err
	}
	d := *p.doc
	if p.Holding.Origin != nil && interchange.IsNull(interchange.Find(raw, "origin")) {
		raw = setMember(raw, "origin", interchange.AppendPosition(nil, *p.Holding.Origin))
	}
	return Read(d.text(raw), d.again())
}

// again are the options for reading what was read before, with something more in it.
func (d document) again() ReadOptions {
	opt := d.opt
	opt.MaxBytes = max(opt.MaxBytes, DefaultMaxBytes)
	return opt
}

// text is the document with another holding member.
func (d document) text(holding []byte) []byte {
	switch {
	case d.holding.To == 0:
		d.head = splice(d.head, interchange.Span{From: d.key, To: d.key}, append(append([]byte(`"holding": `), holding...), ", "...))
	case d.inTail:
		d.tail = splice(d.tail, d.holding, holding)
	default:
		d.head = splice(d.head, d.holding, holding)
	}
	text := make([]byte, 0, len(d.head)+len(d.tail))
	text = append(text, d.head...)
	for i, it := range d.items {
		if i > 0 {
			text = append(text, ',')
		}
		text = append(text, it.text...)
	}
	if len(d.items) == 0 {
		text = append(text, d.empty...)
	}
	return append(text, d.tail...)
}

// WithID is a feature under another id; all else keeps its bytes.
func WithID(feature json.RawMessage, id string) (json.RawMessage, error) {
	if bad := interchange.Check(feature); bad != nil {
		return nil, &Problem{Where: fmt.Sprintf("feature, line %d, column %d", bad.Line, bad.Column), What: bad.What, Mend: bad.Mend, Err: bad}
	}
	raw := newItem(feature).raw()
	if !interchange.IsObject(raw) {
		return nil, &Problem{Where: "feature", What: "It is not a GeoJSON Feature.", Mend: `Send {"type": "Feature", "id": ..., "properties": ..., "geometry": ...}.`}
	}
	name, err := encode(id)
	if err != nil {
		return nil, err
	}
	return setMember(raw, "id", name), nil
}

// StatedID is the id that the text of a feature states, and the kind; "" for what it does not state. The text must be JSON.
func StatedID(feature json.RawMessage) (id string, kind Kind) {
	raw := newItem(feature).raw()
	if !interchange.IsObject(raw) {
		return "", ""
	}
	return rawID(raw), kindOf(interchange.Find(interchange.Find(raw, "properties"), "kind"))
}
