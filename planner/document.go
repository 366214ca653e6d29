package planner

import (
	"slices"

	"quickthorn/geo/interchange"
)

// document is the file as it was read, cut into pieces that are written back as they are: what stands before the features,
// each feature with the white space around it, and what stands behind them. All are slices of the one buffer that was read.
type document struct {
	head  []byte // up to and with the [ of features
	items []item // in the order of the file
	empty []byte // the white space inside an empty list of features
	tail  []byte // from the end of the last feature, or from the ] of an empty list

	holding    interchange.Span // of the value of holding in head or tail, {0, 0} where there is none
	inTail     bool             // the holding stands behind the features
	key        int              // where in head the name "features" begins
	hasOrigin  bool             // the file states an origin that is used
	anyOrigin  bool             // the file has a member origin, used or not
	placeable  bool             // something is drawn, so that the frame has an origin worth writing
	framed     bool             // something was drawn once: the frame stays
	opt        ReadOptions
	capped     bool    // more faults were found than are kept
	fileFaults []Fault // of the text itself: the byte order mark, members given twice
}

// An item is one entry of the list of features: the feature's bytes and the white space before and behind them.
type item struct {
	text     []byte // with the white space
	from, to uint32 // the feature in text
	at       uint32 // where the feature begins in the file that was read
	feature  *Feature
}

func (it item) raw() []byte { return it.text[it.from:it.to:it.to] }

// newItem makes an item of a text that may have white space around it.
func newItem(text []byte) item {
	from, to := 0, len(text)
	for from < to && isSpace(text[from]) {
		from++
	}
	for to > from && isSpace(text[to-1]) {
		to--
	}
	return item{text: text, from: uint32(from), to: uint32(to)}
}

func isSpace(b byte) bool { return b == ' ' || b == '\n' || b == '\r' || b == '\t' }

// openDocument cuts up a collection that was checked. It refuses more features than maxFeatures.
func openDocument(c *interchange.Collection) (*document, *interchange.SyntaxFault) {
	arr := c.Array.Of(c.Text)
	d := &document{head: c.Text[: c.Array.From+1 : c.Array.From+1], key: c.Key.From}
	n := interchange.Count(arr)
	if n > maxFeatures {
		return nil, interchange.FaultAt(c.Text, c.Array.From, "Split the holding into several files.", "The file has %d features; at most %d are read.", n, maxFeatures)
	}
	d.items = make([]item, 0, n)
	start := 1 // just behind [ or the comma before
	for s := range interchange.Elements(arr) {
		end := s.To
		for isSpace(arr[end]) {
			end++
		}
		if end == len(arr)-1 {
			end = s.To // what follows the last feature belongs to the list
		}
		d.items = append(d.items, item{text: arr[start:end:end], from: uint32(s.From - start), to: uint32(s.To - start), at: uint32(c.Array.From + s.From)})
		start = end + 1
	}
	end := c.Array.To - 1
	if n == 0 {
		d.empty = arr[1 : len(arr)-1]
	} else {
		last := d.items[n-1]
		end = int(last.at) + len(last.raw())
	}
	d.tail = c.Text[end:]
	for m := range interchange.Members(c.Text) {
		if string(m.Name) != "holding" {
			continue
		}
		d.holding, d.inTail = m.Value, m.Value.From >= c.Array.To
		if d.inTail {
			d.holding = interchange.Span{From: m.Value.From - end, To: m.Value.To - end}
		}
	}
	return d, nil
}

// holdingRaw is the value of the holding member, or nil.
func (d *document) holdingRaw() []byte {
	if d.holding.To == 0 {
		return nil
	}
	if d.inTail {
		return d.holding.Of(d.tail)
	}
	return d.holding.Of(d.head)
}

// maxFeatures bounds the memory of the smallest possible features. Nobody draws half a million things.
const maxFeatures = 500_000

// propSet is a small set of property names.
type propSet []string

func (s propSet) has(name string) bool { return slices.Contains(s, name) }

func (s propSet) with(name string) propSet {
	if s.has(name) {
		return s
	}
	return append(s, name)
}
