package rules

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"quickthorn/planner"
)

// Columns are the columns of a rule set file. A user's own file needs rule, limit and value; the rest is then as in the rule
// set below it.
var Columns = []string{"rule", "limit", "comparison", "value", "unit", "source", "year", "confidence", "note"}

// Bounds of a file: the largest rule set here has some 250 rows.
const (
	greatestFile   = 1 << 20 // bytes
	greatestFaults = 20      // faults named at once
	greatestValue  = 1e6
)

var limitName = regexp.MustCompile(`^[a-z][a-z0-9]*(_[a-z0-9]+)*$`)

// row is one line of a file, with where each cell stands.
type row struct {
	cells map[string]string
	line  int
	cols  map[string]int
}

func (r row) get(column string) string { return r.cells[column] }

// wrong is a fault in one cell: where, what, and what is allowed.
func (r row) wrong(column, mend, format string, args ...any) *planner.Problem {
	where := fmt.Sprintf("line %d", r.line)
	if c, ok := r.cols[column]; ok {
		where += fmt.Sprintf(", column %d (%s)", c, column)
	}
	return planner.Problemf(where, mend, format, args...)
}

// readRows reads a CSV file with a header. Columns may come in any order; need are those that must be there.
func readRows(r io.Reader, allowed, need []string) ([]row, error) {
	data, err := io.ReadAll(io.LimitReader(r, greatestFile+1))
	if err != nil {
		return nil, err
	}
	if len(data) > greatestFile {
		return nil, planner.Problemf("", "A rule set is a small table; is this the right file?", "The file is larger than %d bytes.", greatestFile)
	}
	cr := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(data), "\ufeff")))
	cr.FieldsPerRecord = -1
	header, err := cr.Read()
	if err != nil {
		return nil, unreadable(err)
	}
	for i, h := range header {
		h = strings.TrimSpace(h)
		header[i] = h
		if !slices.Contains(allowed, h) || slices.Contains(header[:i], h) {
			return nil, planner.Problemf(fmt.Sprintf("line 1, column %d", i+1), "The columns are "+strings.Join(allowed, ", ")+".", "The column %q is not known, or comes twice.", h)
		}
	}
	for _, n := range need {
		if !slices.Contains(header, n) {
			return nil, planner.Problemf("line 1", "The first line must name the columns "+strings.Join(need, ", ")+".", "The column %q is missing.", n)
		}
	}
	return readBody(cr, header)
}

func readBody(cr *csv.Reader, header []string) ([]row, error) {
	var out []row
	for {
		rec, err := cr.Read()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, unreadable(err)
		}
		line, _ := cr.FieldPos(0)
		if len(rec) != len(header) {
			return nil, planner.Problemf(fmt.Sprintf("line %d", line), fmt.Sprintf("Each line has %d cells; a cell with a comma in it stands in double quotes.", len(header)), "This line has %d cells.", len(rec))
		}
		w := row{cells: map[string]string{}, cols: map[string]int{}, line: line}
		for i, h := range header {
			_, c := cr.FieldPos(i)
			w.cells[h], w.cols[h] = strings.TrimSpace(rec[i]), c
		}
		out = append(out, w)
	}
}

func unreadable(err error) error {
	if errors.Is(err, io.EOF) {
		return planner.Problemf("", "The first line names the columns: "+strings.Join(Columns, ", ")+".", "The file is empty.")
	}
	p := planner.Problemf("", "A cell with a comma or a quote in it stands in double quotes, and a quote in it is doubled.", "The file is not readable as CSV: %v.", err)
	p.Err = err
	var pe *csv.ParseError
	if errors.As(err, &pe) {
		p.Where, p.What = fmt.Sprintf("line %d, column %d", pe.Line, pe.Column), fmt.Sprintf("This is not readable as CSV: %v.", pe.Err)
	}
	return p
}

// parse turns a row into a Limit. base is what the same limit is in the rule set below; its comparison and unit stand where the
// row has none. Empty values are unknown limits, which only our own files may state.
func (r row) parse(base Limit, sources map[string]planner.Source) (Limit, []error) {
	l := Limit{Rule: r.get("rule"), Name: r.get("limit"), Comparison: r.get("comparison"), Unit: r.get("unit"), Note: r.get("note")}
	var faults []error
	fault := func(p *planner.Problem) { faults = append(faults, p) }
	if !limitName.MatchString(l.Name) {
		fault(r.wrong("limit", "Names are lower case letters, digits and single underscores.", "The limit %q has no proper name.", l.Name))
	}
	if l.Comparison == "" {
		l.Comparison = base.Comparison
	}
	if !slices.Contains(Comparisons, l.Comparison) {
		fault(r.wrong("comparison", "It is one of "+strings.Join(Comparisons, ", ")+".", "The comparison %q is not known.", l.Comparison))
	}
	if l.Unit == "" {
		l.Unit = base.Unit
	}
	if !slices.Contains(Units, l.Unit) {
		fault(r.wrong("unit", "It is one of "+strings.Join(Units, ", ")+".", "The unit %q is not known.", l.Unit))
	}
	if p := r.value(&l); p != nil {
		fault(p)
	}
	if p := r.year(&l); p != nil {
		fault(p)
	}
	if p := r.source(&l, sources); p != nil {
		fault(p)
	}
	return l, faults
}

func (r row) value(l *Limit) *planner.Problem {
	v := r.get("value")
	if v == "" {
		return nil
	}
	l.known = true
	switch l.Unit {
	case "word", "list":
		l.Text = v
	case "date":
		if _, err := time.Parse("2006-01-02", "2024-"+v); err != nil {
			return r.wrong("value", "A date is month-day, such as 11-01 for 1 November.", "The date %q is not one.", v)
		}
		l.Text = v
	default:
		f, err := strconv.ParseFloat(v, 64)
		if err != nil || math.IsInf(f, 0) || math.IsNaN(f) || f < 0 || f > greatestValue {
			return r.wrong("value", "It is a number from 0 to 1000000, with a point before decimals and no unit.", "The value %q is not one that can be used.", v)
		}
		l.Value = f
	}
	return nil
}

func (r row) year(l *Limit) *planner.Problem {
	y := r.get("year")
	if y == "" {
		return nil
	}
	n, err := strconv.Atoi(y)
	if err != nil || n < 1800 || n > 2200 {
		return r.wrong("year", "It is the year of the source in four figures, or empty.", "The year %q is not one.", y)
	}
	l.Year = n
	return nil
}

func (r row) source(l *Limit, sources map[string]planner.Source) *planner.Problem {
	code := r.get("source")
	s, ok := sources[code]
	if !ok {
		s = planner.Source{Text: code, Confidence: planner.User}
	}
	if c := planner.Confidence(r.get("confidence")); c != "" {
		if !slices.Contains(planner.Confidences, c) {
			return r.wrong("confidence", "It is one of "+confidences()+".", "The confidence %q is not known.", c)
		}
		s.Confidence = c
	}
	l.Source = s
	return nil
}

func confidences() string {
	var s []string
	for _, c := range planner.Confidences {
		s = append(s, string(c))
	}
	return strings.Join(s, ", ")
}
