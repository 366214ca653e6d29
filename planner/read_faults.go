package planner

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"unicode/utf8"
)

// maxFaults bounds how many faults of one rule are kept; the rest are counted and reported together.
const maxFaults = 10_000

// faultList collects faults. The zero value is ready.
type faultList struct {
	kept  []Fault
	count map[string]int
	more  map[string]Severity // of the faults that were not kept, the gravest
}

func (l *faultList) add(faults ...Fault) {
	for _, f := range faults {
		if l.count == nil {
			l.count, l.more = map[string]int{}, map[string]Severity{}
		}
		l.count[f.Rule]++
		if l.count[f.Rule] <= maxFaults {
			l.kept = append(l.kept, f)
			continue
		}
		if old, ok := l.more[f.Rule]; !ok || f.Severity.Rank() < old.Rank() {
			l.more[f.Rule] = f.Severity
		}
	}
}

// full counts a fault instead of adding it where there are enough of its rule, so that its message need not be made.
func (l *faultList) full(rule string, severity Severity) bool {
	if l.count[rule] < maxFaults {
		return false
	}
	l.add(Fault{Rule: rule, Severity: severity})
	return true
}

// sorted gives the faults in order: those of the whole file first, then by feature, rule, property and place.
func (l *faultList) sorted() []Fault {
	out := l.kept
	for rule, severity := range l.more {
		n := l.count[rule] - maxFaults
		out = append(out, Fault{Rule: rule, Severity: severity, Place: "more",
			Message: fmt.Sprintf("%d more places in the file have the same to say (%s). Mend the first ones; the rest will then be named.", n, rule)})
	}
	slices.SortStableFunc(out, func(a, b Fault) int {
		return cmp.Or(cmp.Compare(a.Feature, b.Feature), cmp.Compare(a.Severity.Rank(), b.Severity.Rank()), cmp.Compare(a.Rule, b.Rule),
			cmp.Compare(a.Property, b.Property), cmp.Compare(a.Place, b.Place), cmp.Compare(a.Message, b.Message))
	})
	return out
}

// lineCounter knows the line of the offset it was last asked for, so that asking in order costs one pass in all.
type lineCounter struct {
	offset, line int // line counts the breaks before offset
}

// of is the line and the column, in characters, of an offset in text; both from 1.
func (c *lineCounter) of(text []byte, offset int) (line, column int) {
	offset = min(max(offset, 0), len(text))
	if offset < c.offset {
		*c = lineCounter{}
	}
	c.line += bytes.Count(text[c.offset:offset], []byte{'\n'})
	c.offset = offset
	start := bytes.LastIndexByte(text[:offset], '\n') + 1
	// A file without line breaks would be counted from its start each time: beyond some thousand characters the column is in
	// bytes, which is what editors show for such lines anyway.
	if offset-start > 4096 {
		return c.line + 1, offset - start + 1
	}
	return c.line + 1, utf8.RuneCount(text[start:offset]) + 1
}

// place is the line and column of an offset in a feature, in the file where there is one, else in the feature's own text.
func (r *reading) place(f *Feature, offset int) (line, column int) {
	if r.text == nil {
		return new(lineCounter).of(f.raw, offset)
	}
	return r.lines.of(r.text, int(r.plan.doc.items[f.Index].at)+offset)
}

// takeOver keeps the faults of an earlier plan that are about one feature alone, for the features that are taken over from it.
func (r *reading) takeOver(faults []Fault) {
	r.old = map[string][]Fault{}
	for _, f := range faults {
		switch f.Rule {
		case "input.geometry", "input.property", "input.mended":
			if f.Feature != "" {
				r.old[f.Feature] = append(r.old[f.Feature], f)
			}
		}
	}
}
