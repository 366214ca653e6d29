package rules

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"quickthorn/planner"
)

// ownSource is the source of a limit that the plan itself states.
var ownSource = planner.Source{Code: "OWN", Text: "the holding's own limit", Confidence: planner.User}

// A Set is a rule set: its own rows over those of the set it stands on. It does not change; With and Read make new ones.
type Set struct {
	name     string
	own      map[key]Limit
	base     *Set // nil for general
	lib      *Library
	loosened []Loosened
}

// Own is a limit that the plan states for itself: a value, or a text where the limit is a word or a date, and the reason why
// a safety or legal limit is loosened.
type Own = planner.OwnLimit

// Loosened is a safety or legal limit that someone loosened, or tried to.
type Loosened struct {
	Limit   Limit  // as it was wanted
	Was     Limit  // as it was
	Reason  string // "" where none was given
	Applied bool   // false without a reason: the limit is then as it was
}

// Name is the name of the rule set.
func (s *Set) Name() string { return s.name }

// Get is the limit of a rule: the set's own row, else that of the set it stands on. It is false where there is no such limit,
// and where it is declared but unknown; the Limit then still has the note that says why.
func (s *Set) Get(rule, limit string) (Limit, bool) {
	l := s.find(key{rule, limit})
	return l, l.known
}

func (s *Set) find(k key) Limit {
	for at := s; at != nil; at = at.base {
		if l, ok := at.own[k]; ok {
			return l
		}
	}
	return Limit{}
}

// Rule lists all limits of a rule, in the order of the file of general, unknown ones too.
func (s *Set) Rule(rule string) []Limit {
	var out []Limit
	for _, k := range s.lib.order {
		if k.rule == rule {
			out = append(out, s.find(k))
		}
	}
	return out
}

// Others lists what the other rule sets and other bodies say of a limit: every row but the one that this set uses, rule sets
// first, in the order of Names. For a limit that only other bodies have (such as an insurer's distance) it lists those.
func (s *Set) Others(rule, limit string) []Limit {
	k := key{rule, limit}
	used := s.find(k)
	var out []Limit
	for _, name := range names {
		if l, ok := s.lib.sets[name].own[k]; ok && name != used.Set && l.known {
			out = append(out, l)
		}
	}
	return append(out, s.lib.opinions[k]...)
}

// Loosened lists the safety and legal limits that were loosened on the way to this set, by With or in a user's own file.
func (s *Set) Loosened() []Loosened { return slices.Clone(s.loosened) }

// With is the set under the plan's own limits. Tightening is always allowed. Loosening a safety or legal limit is done only
// with a reason; the list says what was loosened, done or not, so that the caller can refuse it or repeat it in what it puts
// out. Limits that do not exist, or do not fit, are left out: Faults names them. The order is by rule, then limit.
func (s *Set) With(own map[string]map[string]Own) (*Set, []Loosened) {
	out := &Set{name: s.name, own: map[key]Limit{}, base: s, lib: s.lib, loosened: slices.Clone(s.loosened)}
	var list []Loosened
	for _, k := range keysOf(own) {
		was, o := s.find(k), own[k.rule][k.limit]
		if misfit(was, k, o) != "" {
			continue
		}
		l := was
		l.Value, l.Text, l.Source, l.Year, l.Note, l.Set, l.known = o.Value, o.Text, ownSource, 0, o.Reason, ownSource.Text, true
		if was.Safety && l.looserThan(was) {
			done := strings.TrimSpace(o.Reason) != ""
			list = append(list, Loosened{Limit: l, Was: was, Reason: o.Reason, Applied: done})
			if !done {
				continue
			}
		}
		out.own[k] = l
	}
	out.loosened = append(out.loosened, list...)
	return out, list
}

// Faults says what is wrong with limits that a plan states for itself: a rule or limit that does not exist, a word where a
// number belongs. Each is a whole sentence; they are ordered by rule, then limit.
func (s *Set) Faults(own map[string]map[string]Own) []string {
	var out []string
	for _, k := range keysOf(own) {
		was := s.find(k)
		if f := misfit(was, k, own[k.rule][k.limit]); f != "" {
			if was.Name == "" {
				f += " " + s.offer(k.rule)
			}
			out = append(out, f)
		}
	}
	return out
}

// misfit says why a plan's own limit cannot be used, "" where it can.
func misfit(was Limit, k key, o Own) string {
	probe := Limit{Unit: was.Unit}
	r := row{cells: map[string]string{"value": o.Text}}
	switch {
	case was.Name == "":
		return fmt.Sprintf("There is no limit %q of a rule %q.", k.limit, k.rule)
	case o.Text != "" && !textual(was.Unit):
		return fmt.Sprintf("The limit %s of %s is a number in %s, not %q.", k.limit, k.rule, was.Unit, o.Text)
	case o.Text == "" && textual(was.Unit):
		return fmt.Sprintf("The limit %s of %s is a %s, not a number.", k.limit, k.rule, was.Unit)
	case o.Text != "" && r.value(&probe) != nil:
		return fmt.Sprintf("The limit %s of %s is a date, month-day as in 11-01, not %q.", k.limit, k.rule, o.Text)
	case o.Text == "" && !(o.Value >= 0 && o.Value <= greatestValue):
		return fmt.Sprintf("The limit %s of %s is a number from 0 to 1000000, not %v.", k.limit, k.rule, o.Value)
	}
	return ""
}

func textual(unit string) bool { return unit == "word" || unit == "list" || unit == "date" }

// offer says what there is instead: the limits of the rule, else the rules.
func (s *Set) offer(rule string) string {
	var have []string
	for _, l := range s.Rule(rule) {
		have = append(have, l.Name)
	}
	if len(have) > 0 {
		return fmt.Sprintf("The limits of %s are %s.", rule, strings.Join(have, ", "))
	}
	return "The rules that have limits are " + strings.Join(s.lib.Rules(), ", ") + "."
}

func keysOf(own map[string]map[string]Own) []key {
	var out []key
	for rule, limits := range own {
		for limit := range limits {
			out = append(out, key{rule, limit})
		}
	}
	slices.SortFunc(out, func(a, b key) int {
		return strings.Compare(a.rule+"\x00"+a.limit, b.rule+"\x00"+b.limit)
	})
	return out
}

// Read reads a user's own rule set: a CSV file of the Columns, of which rule, limit and value must be there. Its rows stand
// over base (general where base is nil). A row may change how strict a comparison is but not its side, nor the unit; it needs
// a note, the reason, where it loosens a safety or legal limit. A source is a code of ours or any words. Up to 20 faults are
// named at once, each with line, column and what is allowed.
func Read(r io.Reader, name string, base *Set) (*Set, error) {
	lib, err := Default()
	if err != nil {
		return nil, err
	}
	if base == nil {
		base = lib.sets[General]
	}
	rows, err := readRows(r, Columns, []string{"rule", "limit", "value"})
	if err != nil {
		return nil, named(err, name)
	}
	set := &Set{name: name, own: map[key]Limit{}, base: base, lib: base.lib, loosened: slices.Clone(base.loosened)}
	var faults []error
	for _, w := range rows {
		faults = append(faults, set.add(w)...)
	}
	if len(faults) > greatestFaults {
		more := len(faults) - greatestFaults
		faults = append(faults[:greatestFaults], planner.Problemf("", "", "And %d more.", more))
	}
	for i, f := range faults {
		faults[i] = named(f, name)
	}
	if err := errors.Join(faults...); err != nil {
		return nil, err
	}
	return set, nil
}

// add puts one row of a user's file into the set.
func (s *Set) add(r row) []error {
	k := key{r.get("rule"), r.get("limit")}
	was := s.base.find(k)
	if was.Name == "" {
		return []error{r.wrong("limit", s.offer(k.rule), "There is no limit %q of a rule %q.", k.limit, k.rule)}
	}
	l, faults := r.parse(was, s.lib.sources)
	faults = append(faults, r.fits(l, was)...)
	if r.get("value") == "" {
		faults = append(faults, r.wrong("value", "Leave the line out to keep the limit as it is.", "There is no value."))
	}
	if _, twice := s.own[k]; twice {
		faults = append(faults, r.wrong("limit", "Each limit of a rule stands once.", "%s %s comes twice.", k.rule, k.limit))
	}
	if l.Source.Text == "" {
		l.Source = ownSource
	}
	s.lib.mark(&l, s.name)
	if len(faults) == 0 && l.Safety && l.looserThan(was) {
		if l.Note == "" {
			faults = append(faults, r.wrong("note", "Give the reason in the note; every output repeats it.",
				"%s %s is a matter of %s and was %s: %s loosens it.", k.rule, k.limit, l.Because, was, l))
		}
		s.loosened = append(s.loosened, Loosened{Limit: l, Was: was, Reason: l.Note, Applied: true})
	}
	s.own[k] = l
	return faults
}

// fits holds a row against the row it overrides: same unit, same side.
func (r row) fits(l, was Limit) []error {
	var out []error
	if was.Name == "" {
		return []error{r.wrong("limit", "A row of another set overrides a row of general.", "general has no limit %q of a rule %q.", l.Name, l.Rule)}
	}
	if l.Unit != was.Unit {
		out = append(out, r.wrong("unit", fmt.Sprintf("It is %s.", was.Unit), "The unit is %q.", l.Unit))
	}
	if side(l.Comparison) != side(was.Comparison) {
		out = append(out, r.wrong("comparison", fmt.Sprintf("It was %q and may only become stricter or less strict.", was.Comparison), "The comparison %q turns the limit round.", l.Comparison))
	}
	return out
}

func named(err error, name string) error {
	var p *planner.Problem
	if errors.As(err, &p) {
		p.File = name
	}
	return err
}
