package planner

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"hash"
	"io"
	"regexp"
	"slices"
	"strconv"

	"quickthorn/geo/interchange"
)

// giveIDs gives every feature its id: its own where no other has it, else one made of its kind and a short hash of geometry and
// properties as read, with -2, -3 and so on where that is taken. The order of the features in the file makes no difference.
func (r *reading) giveIDs() {
	features := r.plan.Features
	owner := make(map[string]*Feature, len(features))
	r.plan.byID = owner
	shared := map[string]bool{}
	nameless := 0
	ids := make([]string, len(features))
	for i, f := range features {
		switch id := rawID(f.raw); {
		case id == "":
			nameless++
		case owner[id] != nil:
			ids[i], shared[id] = id, true
			nameless++
		default:
			ids[i], owner[id] = id, f
		}
	}
	for id := range shared {
		delete(owner, id)
	}
	without := make([]namelessFeature, 0, nameless+len(shared))
	hash := sha256.New()
	for i, f := range features {
		if id := ids[i]; owner[id] != nil {
			features[i] = r.named(f, id, false)
			owner[id] = features[i]
			continue
		}
		without = append(without, namelessFeature{f, givenID(f, hash), ids[i]})
	}
	slices.SortStableFunc(without, func(a, b namelessFeature) int {
		return cmp.Or(cmp.Compare(a.base, b.base), bytes.Compare(a.feature.raw, b.feature.raw))
	})
	last, n := "", 0
	for _, w := range without {
		if w.base != last {
			last, n = w.base, 0
		}
		id := w.base
		for n++; ; n++ {
			if n > 1 {
				id = w.base + "-" + strconv.Itoa(n)
			}
			if owner[id] == nil {
				break
			}
		}
		f := r.named(w.feature, id, true)
		features[f.Index], owner[id] = f, f
		r.idFault(f, w.shared)
	}
}

// namelessFeature is a feature that has no id of its own: base is what its given id begins with, shared the id that others have too.
type namelessFeature struct {
	feature *Feature
	base    string
	shared  string
}

// named is the feature under its id; a feature of an earlier plan is copied rather than changed.
func (r *reading) named(f *Feature, id string, given bool) *Feature {
	if f.ID == id && f.GivenID == given {
		return f
	}
	if r.reused[f] {
		// Its faults and its id belong together: read it afresh.
		delete(r.reused, f)
		g := &Feature{Index: f.Index, raw: f.raw}
		_ = r.outline(g) // it was read before, so it cannot refuse the file now
		f = g
		r.plan.doc.items[f.Index].feature = g
	}
	f.ID, f.GivenID = id, given
	return f
}

func (r *reading) idFault(f *Feature, shared string) {
	v := interchange.Find(f.raw, "id")
	if interchange.IsNull(v) && r.faults.full("input.id", Note) {
		return
	}
	fault := Fault{Rule: "input.id", Severity: Note, Feature: f.ID}
	switch {
	case shared != "":
		fault.Message = fmt.Sprintf("Several features have the id %q, so none of them keeps it. This one, a %s, is called %s here. Give each an id of its own.", interchange.Shorten(shared), f.noun(), f.ID)
	case interchange.IsNull(v) || string(v) == `""`:
		fault.Message = fmt.Sprintf("A %s has no id in the file. It is called %s here. Give it an id, so that it keeps its name when it is changed.", f.noun(), f.ID)
	default:
		fault.Severity = Stop
		fault.Message = fmt.Sprintf("A %s has the id %s, which is neither text nor a number (RFC 7946, 3.2). It is called %s here. Write its id in quotes.", f.noun(), interchange.Shorten(string(v)), f.ID)
	}
	r.faults.add(fault)
}

// noun is the kind as a word for a message.
func (f *Feature) noun() string {
	if f.Kind == "" {
		return "feature without a kind"
	}
	return interchange.Shorten(string(f.Kind))
}

var plainKind = regexp.MustCompile(`^[a-z][a-z0-9_-]{0,39}$`)

// givenID is the kind and eight hexadecimal digits of the hash of geometry and properties, white space aside. A missing
// member counts as null.
func givenID(f *Feature, h hash.Hash) string {
	kind := "feature"
	if plainKind.MatchString(string(f.Kind)) {
		kind = string(f.Kind)
	}
	h.Reset()
	if interchange.IsObject(f.raw) {
		hashCompact(h, interchange.Find(f.raw, "geometry"))
		io.WriteString(h, "\n")
		hashCompact(h, interchange.Find(f.raw, "properties"))
	} else {
		hashCompact(h, f.raw)
	}
	var sum [sha256.Size]byte
	return kind + "-" + hex.EncodeToString(h.Sum(sum[:0])[:4])
}

// hashCompact writes checked JSON to h without the white space between its tokens.
func hashCompact(h hash.Hash, v []byte) {
	if len(v) == 0 {
		io.WriteString(h, "null")
		return
	}
	start, quoted := 0, false
	for i := 0; i < len(v); i++ {
		switch b := v[i]; {
		case quoted && b == '\\':
			i++
		case b == '"':
			quoted = !quoted
		case !quoted && isSpace(b):
			h.Write(v[start:i])
			start = i + 1
		}
	}
	h.Write(v[start:])
}
