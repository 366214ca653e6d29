package planner

import (
	"bufio"
	"io"

	"quickthorn/geo/interchange"
)

// Write writes the plan as a file. What was read is written back byte for byte, white space and all, but for three things: a
// byte order mark is left out, features that an edit put are written as the edit gave them, and `holding.origin` is added where
// the file has none, so that local coordinates never shift.
func (p *Plan) Write(w io.Writer) error {
	b := bufio.NewWriterSize(w, 1<<16)
	if p.doc == nil {
		if err := p.writeNew(b); err != nil {
			return err
		}
		return b.Flush()
	}
	head, tail := p.doc.withOrigin(p)
	b.Write(head)
	for i, it := range p.doc.items {
		if i > 0 {
			b.WriteByte(',')
		}
		b.Write(it.text)
	}
	if len(p.doc.items) == 0 {
		b.Write(p.doc.empty)
	}
	b.Write(tail)
	return b.Flush()
}

// withOrigin is head and tail of the document with the origin of the frame in the holding, where the file states none and
// something is drawn. An origin that could not be used is replaced by the one that was.
func (d *document) withOrigin(p *Plan) (head, tail []byte) {
	if d.hasOrigin || !d.placeable {
		return d.head, d.tail
	}
	origin := interchange.AppendPosition(nil, p.Frame.Origin())
	raw := d.holdingRaw()
	switch {
	case d.anyOrigin && !interchange.IsNull(interchange.Find(raw, "origin")):
		return d.head, d.tail // it is wrong and reported; the user's to mend
	case !interchange.IsObject(raw) && !interchange.IsNull(raw):
		return d.head, d.tail // likewise
	case raw == nil:
		member := append(append([]byte(`"holding": {"origin": `), origin...), "}, "...)
		return splice(d.head, interchange.Span{From: d.key, To: d.key}, member), d.tail
	case interchange.IsNull(raw):
		raw = append(append([]byte(`{"origin": `), origin...), '}')
	default:
		raw = setMember(raw, "origin", origin)
	}
	if d.inTail {
		return d.head, splice(d.tail, d.holding, raw)
	}
	return splice(d.head, d.holding, raw), d.tail
}

// splice is text with the span replaced; text itself is not altered.
func splice(text []byte, at interchange.Span, by []byte) []byte {
	out := make([]byte, 0, len(text)-(at.To-at.From)+len(by))
	out = append(out, text[:at.From]...)
	out = append(out, by...)
	return append(out, text[at.To:]...)
}
