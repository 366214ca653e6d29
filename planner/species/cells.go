package species

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"quickthorn/planner"
)

// A Fault is one cell of a data file that cannot be used.
type Fault struct {
	File         string
	Line, Column int    // from 1; Column counts bytes in the line
	Head         string // the column's heading
	Cell         string // what stands there
	Want         string // what is allowed
}

// Error says where, what and what is allowed.
func (f *Fault) Error() string {
	at := fmt.Sprintf("%s line %d", f.File, f.Line)
	if f.Column > 0 {
		at += fmt.Sprintf(" column %d", f.Column)
	}
	if f.Head != "" {
		at += " (" + f.Head + ")"
	}
	return fmt.Sprintf("%s: %q: %s", at, f.Cell, f.Want)
}

// mostFaults is where Load stops collecting: a file in the wrong shape would list every cell.
const mostFaults = 50

// A table reads one CSV file row by row. Cells are asked for by heading; what cannot be used is noted as a Fault and
// read as unknown, so that one bad cell does not hide the next.
type table struct {
	file    string
	csv     *csv.Reader
	head    map[string]int
	cells   []string
	line    int
	sources map[string]planner.Source
	faults  *[]error
}

// openTable reads the heading, which must hold exactly the columns given, in any order.
func openTable(fsys fs.FS, file string, columns []string, sources map[string]planner.Source, faults *[]error) (*table, func(), error) {
	f, err := fsys.Open(file)
	if err != nil {
		return nil, nil, fmt.Errorf("the catalogue lacks %s: %w", file, err)
	}
	t := &table{file: file, csv: csv.NewReader(f), head: map[string]int{}, line: 1, sources: sources, faults: faults}
	heading, err := t.csv.Read()
	if err != nil {
		f.Close()
		return nil, nil, fmt.Errorf("%s: no heading line: %w", file, err)
	}
	for i, h := range heading {
		_, twice := t.head[h]
		if twice || !slices.Contains(columns, h) {
			t.note(i, h, h, "no such column, or twice; allowed: "+strings.Join(columns, ", "))
			continue
		}
		t.head[h] = i
	}
	for _, c := range columns {
		if _, ok := t.head[c]; !ok {
			f.Close()
			return nil, nil, errors.Join(append(*faults, &Fault{File: file, Line: 1, Cell: c, Want: "this column is missing"})...)
		}
	}
	return t, func() { f.Close() }, nil
}

// next reads a row and reports whether there was one. A row that is not CSV is a fault, and reading goes on behind it
// where the reader can.
func (t *table) next() bool {
	for {
		cells, err := t.csv.Read()
		if err == io.EOF || len(*t.faults) >= mostFaults {
			return false
		}
		if err != nil {
			var pe *csv.ParseError
			f := &Fault{File: t.file, Line: t.line + 1, Want: err.Error()}
			if errors.As(err, &pe) {
				f.Line, f.Column, f.Want = pe.Line, pe.Column, pe.Err.Error()
			}
			*t.faults = append(*t.faults, f)
			if !errors.Is(err, csv.ErrFieldCount) {
				return false
			}
			continue
		}
		t.cells = cells
		t.line, _ = t.csv.FieldPos(0)
		return true
	}
}

func (t *table) note(i int, head, cell, want string) {
	f := &Fault{File: t.file, Line: t.line, Head: head, Cell: cell, Want: want}
	if t.cells != nil && i < len(t.cells) {
		f.Line, f.Column = t.csv.FieldPos(i)
	}
	*t.faults = append(*t.faults, f)
}

func (t *table) bad(col, want string) { t.note(t.head[col], col, t.cells[t.head[col]], want) }

// text is the plain cell; one of allowed, where any are given.
func (t *table) text(col string, allowed ...string) string {
	v := strings.TrimSpace(t.cells[t.head[col]])
	if len(allowed) > 0 && !slices.Contains(allowed, v) {
		t.bad(col, "allowed: "+strings.Join(allowed, ", "))
	}
	return v
}

// list is a cell of several parts, "a|b|c"; empty parts are a fault.
func (t *table) list(col string) []string {
	v := t.text(col)
	if v == "" {
		return nil
	}
	parts := strings.Split(v, "|")
	for i, p := range parts {
		parts[i] = strings.TrimSpace(p)
		if parts[i] == "" {
			t.bad(col, "an empty name between bars; allowed: a|b|c")
		}
	}
	return parts
}

// source turns "A" or "A+B" into a Source: texts joined, and the weakest confidence of them.
func (t *table) source(col, codes string) planner.Source {
	out := planner.Source{Code: codes}
	for _, code := range strings.Split(codes, "+") {
		s, ok := t.sources[code]
		if !ok {
			t.bad(col, fmt.Sprintf("the source code %q is not in sources.csv", code))
			return out
		}
		if out.Text == "" {
			out.Text, out.URL, out.Confidence = s.Text, s.URL, s.Confidence
			continue
		}
		out.Text += "; " + s.Text
		if out.URL == "" {
			out.URL = s.URL
		}
		if s.Confidence.Weaker(out.Confidence) {
			out.Confidence = s.Confidence
		}
	}
	return out
}

// sourced splits "value@CODE". An empty cell is unknown: ok is false.
func (t *table) sourced(col, cell string) (value string, src planner.Source, ok bool) {
	if cell == "" {
		return "", planner.Source{}, false
	}
	at := strings.LastIndexByte(cell, '@')
	if at <= 0 || at == len(cell)-1 {
		t.bad(col, "no source; allowed: value@CODE, with the code in sources.csv")
		return "", planner.Source{}, false
	}
	return strings.TrimSpace(cell[:at]), t.source(col, cell[at+1:]), true
}

// num reads "6@CODE" between least and greatest.
func (t *table) num(col string, least, greatest float64) Num {
	v, src, ok := t.sourced(col, t.text(col))
	if !ok {
		return Num{}
	}
	f, err := strconv.ParseFloat(v, 64)
	if err != nil || !(f >= least && f <= greatest) {
		t.bad(col, fmt.Sprintf("allowed: a number from %g to %g, as in %g@CODE", least, greatest, least))
		return Num{}
	}
	return Num{V: f, Known: true, Source: src}
}

// span reads "6@CODE", "4-8@CODE", "4-6-8@CODE" or ">8@CODE" between least and greatest.
func (t *table) span(col string, least, greatest float64) Range {
	v, src, ok := t.sourced(col, t.text(col))
	if !ok {
		return Range{}
	}
	r, ok := parseRange(v)
	if !ok || r.Low < least || r.High > greatest {
		t.bad(col, fmt.Sprintf("allowed: one, two or three numbers, rising, from %g to %g, as in 4-6-8@CODE, or >8@CODE", least, greatest))
		return Range{}
	}
	r.Source = src
	return r
}

// parseRange reads the value of a range cell; the three figures must not fall.
func parseRange(v string) (Range, bool) {
	atLeast := strings.HasPrefix(v, ">")
	parts := strings.Split(strings.TrimPrefix(v, ">"), "-")
	var f []float64
	for _, p := range parts {
		x, err := strconv.ParseFloat(p, 64)
		if err != nil || !(x >= 0 && x <= 1e9) || (len(f) > 0 && x < f[len(f)-1]) {
			return Range{}, false
		}
		f = append(f, x)
	}
	switch {
	case len(f) == 1:
		return Range{Low: f[0], Usual: f[0], High: f[0], AtLeast: atLeast, Known: true}, true
	case len(f) == 2 && !atLeast:
		return Range{Low: f[0], Usual: (f[0] + f[1]) / 2, High: f[1], Known: true}, true
	case len(f) == 3 && !atLeast:
		return Range{Low: f[0], Usual: f[1], High: f[2], Known: true}, true
	}
	return Range{}, false
}

// word reads "yes@CODE", the word one of allowed where any are given.
func (t *table) word(col string, allowed ...string) Word {
	v, src, ok := t.sourced(col, t.text(col))
	if !ok {
		return Word{}
	}
	if len(allowed) > 0 && !slices.Contains(allowed, v) {
		t.bad(col, "allowed: "+strings.Join(allowed, ", ")+", each as in "+allowed[0]+"@CODE")
		return Word{}
	}
	return Word{V: v, Known: true, Source: src}
}

// fields reads "a:b:c@CODE; a:b:c@CODE": each entry split into n parts, the last of which may hold colons.
func (t *table) fields(col string, n int, each func(parts []string, src planner.Source)) {
	cell := t.text(col)
	if cell == "" {
		return
	}
	for _, entry := range strings.Split(cell, "; ") {
		v, src, ok := t.sourced(col, entry)
		if !ok {
			continue
		}
		parts := strings.SplitN(v, ":", n)
		if len(parts) != n {
			t.bad(col, fmt.Sprintf("allowed: %d parts with colons between, then @CODE; several entries with a semicolon and a space between", n))
			continue
		}
		each(parts, src)
	}
}
