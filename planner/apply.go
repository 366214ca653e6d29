package planner

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"

	"quickthorn/geo/interchange"
)

// Apply makes the plan that an edit leads to, and the edit that leads back. The plan itself stays as it is. The new plan is the
// one that reading the written file would give, in the frame of the old one. Applying the inverse gives back a plan that writes
// the very same bytes, provided that the bytes of Put were kept: encoding/json strips the white space of a RawMessage.
//
// An edit is made whole or not at all: an id to delete that is not there, a feature that is none, coordinates off the globe or
// far from the rest refuse it with a *Problem. Cost grows with the number of features and the size of those put.
func (p *Plan) Apply(e Edit) (*Plan, Edit, error) {
	if p.doc == nil || p.doc.capped {
		var err error
		if p, err = p.reread(); err != nil {
			return nil, Edit{}, err
		}
	}
	c := change{old: p, gone: map[int]bool{}, instead: map[int]item{}}
	if err := c.delete(e.Delete); err != nil {
		return nil, Edit{}, err
	}
	if err := c.put(e); err != nil {
		return nil, Edit{}, err
	}
	next, err := c.read()
	if err != nil {
		return nil, Edit{}, err
	}
	return next, c.inverse(e.Note), nil
}

// reread is the plan as its own file gives it.
func (p *Plan) reread() (*Plan, error) {
	var b bytes.Buffer
	if err := p.Write(&b); err != nil {
		return nil, err
	}
	opt := ReadOptions{MaxBytes: int64(b.Len()) + 1}
	if p.doc != nil {
		opt = p.doc.opt
		opt.MaxBytes = int64(b.Len()) + 1
	}
	next, err := Read(b.Bytes(), opt)
	if err == nil {
		next.doc.capped = false // its faults were read afresh
	}
	return next, err
}

// change is an edit on its way into a document.
type change struct {
	old     *Plan
	gone    map[int]bool // items of the old document that are deleted
	instead map[int]item // items that replace old ones
	added   []item       // to the end
	placed  []placedItem // to a place
	items   []item       // of the new document
}

type placedItem struct {
	place int
	item  item
}

func (c *change) delete(ids []string) error {
	for _, id := range ids {
		f := c.old.Feature(id)
		if f == nil {
			return &Problem{Feature: id, Where: "feature " + interchange.Shorten(id), What: "There is no feature with this id to delete.",
				Mend: "Nothing was changed. Look at the plan again: it may have been deleted already."}
		}
		c.gone[f.Index] = true
	}
	return nil
}

func (c *change) put(e Edit) error {
	seen := map[string]bool{}
	for i, text := range e.Put {
		if bad := interchange.Check(text); bad != nil {
			return &Problem{Where: fmt.Sprintf("put, entry %d, line %d, column %d", i+1, bad.Line, bad.Column), What: bad.What, Mend: bad.Mend, Err: bad}
		}
		it := newItem(slices.Clone(text))
		if i < len(e.Places) && e.Places[i] >= 0 {
			c.placed = append(c.placed, placedItem{e.Places[i], it})
			continue
		}
		id := rawID(it.raw())
		if t, _ := interchange.Text(interchange.Find(it.raw(), "type")); t != "Feature" {
			return &Problem{Where: fmt.Sprintf("put, entry %d", i+1), What: "It is not a GeoJSON Feature.", Mend: `Send {"type": "Feature", "id": ..., "properties": ..., "geometry": ...}.`}
		}
		if id == "" {
			return &Problem{Where: fmt.Sprintf("put, entry %d", i+1), What: "The feature has no id.", Mend: "Give it an id, as text in quotes."}
		}
		if seen[id] {
			return &Problem{Where: fmt.Sprintf("put, entry %d", i+1), Feature: id, What: fmt.Sprintf("The edit puts the feature %s twice.", interchange.Shorten(id)), Mend: "Put it once."}
		}
		seen[id] = true
		if f := c.old.Feature(id); f != nil && !c.gone[f.Index] {
			c.instead[f.Index] = it.within(c.old.doc.items[f.Index])
			continue
		}
		c.added = append(c.added, it)
	}
	slices.SortStableFunc(c.placed, func(a, b placedItem) int { return a.place - b.place })
	return nil
}

// within is the item with the white space of another, where it has none of its own.
func (it item) within(other item) item {
	if it.from > 0 || int(it.to) < len(it.text) {
		return it
	}
	raw := it.raw()
	text := append(append(slices.Clone(other.text[:other.from]), raw...), other.text[other.to:]...)
	return item{text: text, from: other.from, to: other.from + uint32(len(raw))}
}

// read lays the items out and reads the new document, taking over the features that stay.
func (c *change) read() (*Plan, error) {
	doc := *c.old.doc
	c.arrange()
	doc.items = c.items
	next := &Plan{doc: &doc}
	r := &reading{plan: next, reused: map[*Feature]bool{}}
	if doc.framed {
		r.fixed = &c.old.Frame
	}
	for i := range doc.items {
		if f := doc.items[i].feature; f != nil {
			g := *f
			g.Index = i
			doc.items[i].feature = &g
			r.reused[&g] = true
		}
	}
	r.takeOver(c.old.Faults)
	if err := r.run(); err != nil {
		return nil, err
	}
	return next, nil
}

// arrange makes the new list of items: the old ones that stay, changed where they are replaced, then the added ones, and the
// placed ones between them.
func (c *change) arrange() {
	rest := make([]item, 0, len(c.old.doc.items)+len(c.added))
	for i, it := range c.old.doc.items {
		if by, ok := c.instead[i]; ok {
			it = by
		}
		if !c.gone[i] {
			rest = append(rest, it)
		}
	}
	for _, it := range c.added {
		rest = append(rest, it.within(c.old.doc.blank()))
	}
	c.items = make([]item, 0, len(rest)+len(c.placed))
	placed := c.placed
	for len(rest)+len(placed) > 0 {
		if len(placed) > 0 && (placed[0].place <= len(c.items) || len(rest) == 0) {
			c.items = append(c.items, placed[0].item)
			placed = placed[1:]
			continue
		}
		c.items = append(c.items, rest[0])
		rest = rest[1:]
	}
}

// blank is an item without a feature, with the white space that goes around a new one: as the last one has it.
func (d *document) blank() item {
	lead := []byte("\n")
	if n := len(d.items); n > 0 {
		last := d.items[n-1]
		lead = last.text[:last.from]
		if n == 1 && bytes.IndexByte(lead, '\n') < 0 {
			lead = []byte(" ")
		}
	}
	return item{text: lead, from: uint32(len(lead)), to: uint32(len(lead))}
}

// inverse is the edit that leads back. What was replaced is put again under its id; where that id is not the feature's own on
// both sides, and where it was deleted, it is put back at its place, white space and all.
func (c *change) inverse(note string) Edit {
	inv := Edit{Note: note, Put: []json.RawMessage{}, Delete: []string{}}
	now := make(map[*byte]*Feature, len(c.items))
	for _, it := range c.items {
		now[&it.text[0]] = it.feature
	}
	stays := map[*Feature]bool{}
	put := func(text []byte, place int) {
		inv.Put = append(inv.Put, text)
		inv.Places = append(inv.Places, place)
	}
	for i, it := range c.old.doc.items {
		by, replaced := c.instead[i]
		if !replaced {
			by = it
		}
		f := now[&by.text[0]]
		switch {
		case c.gone[i]:
			put(it.text, i)
		case !replaced:
			stays[f] = true
		case it.feature.ID == f.ID && !it.feature.GivenID && !f.GivenID && it.sameSpace(by):
			put(it.raw(), -1)
			stays[f] = true
		default:
			put(it.text, i)
		}
	}
	for _, it := range c.items {
		if !stays[it.feature] {
			inv.Delete = append(inv.Delete, it.feature.ID)
		}
	}
	if !slices.ContainsFunc(inv.Places, func(n int) bool { return n >= 0 }) {
		inv.Places = nil
	}
	return inv
}

// sameSpace reports whether two items have the same white space around them.
func (it item) sameSpace(other item) bool {
	return bytes.Equal(it.text[:it.from], other.text[:other.from]) && bytes.Equal(it.text[it.to:], other.text[other.to:])
}
