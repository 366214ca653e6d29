package rules

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"

	"quickthorn/planner"
)

//go:embed *.csv
var files embed.FS

// General is the name of the rule set that every other stands on.
const General = "general"

// otherOpinion is the Set of figures that are shown beside a limit and never applied.
const otherOpinion = "other opinion"

// names are the rule sets in the repository, in the order of menus: each is the file of that name.
var names = []string{General, "england", "ireland", "scotland", "northern-ireland", "wales"}

type key struct{ rule, limit string }

// A Library holds the rule sets of the repository, their sources, and the figures of other bodies. It does not change.
type Library struct {
	sets     map[string]*Set
	sources  map[string]planner.Source
	order    []key // of general, as in its file
	opinions map[key][]Limit
	safety   map[key]string // why a limit is a safety or legal one; a limit of "*" means all limits of the rule
}

var load = sync.OnceValues(func() (*Library, error) { return read(files) })

// Default is the library in the repository, read once.
func Default() (*Library, error) { return load() }

func read(fsys embed.FS) (*Library, error) {
	l := &Library{sets: map[string]*Set{}, opinions: map[key][]Limit{}, safety: map[key]string{}, sources: map[string]planner.Source{}}
	if err := l.readSources(fsys); err != nil {
		return nil, err
	}
	if err := l.readSafety(fsys); err != nil {
		return nil, err
	}
	for _, name := range names {
		if err := l.readSet(fsys, name); err != nil {
			return nil, err
		}
	}
	return l, l.readOpinions(fsys)
}

func open(fsys embed.FS, name string, allowed, need []string) ([]row, error) {
	data, err := fsys.ReadFile(name + ".csv")
	if err != nil {
		return nil, err
	}
	rows, err := readRows(bytes.NewReader(data), allowed, need)
	if err != nil {
		return nil, fmt.Errorf("%s.csv: %w", name, err)
	}
	return rows, nil
}

func (l *Library) readSources(fsys embed.FS) error {
	cols := []string{"code", "text", "url", "confidence"}
	rows, err := open(fsys, "sources", cols, cols)
	for _, r := range rows {
		s := planner.Source{Code: r.get("code"), Text: r.get("text"), URL: r.get("url"), Confidence: planner.Confidence(r.get("confidence"))}
		if _, twice := l.sources[s.Code]; twice || s.Code == "" || s.Text == "" || !slices.Contains(planner.Confidences, s.Confidence) {
			return fmt.Errorf("sources.csv: %w", r.wrong("code", "Each code stands once, with a text and a confidence.", "The source %q is not whole.", s.Code))
		}
		l.sources[s.Code] = s
	}
	return err
}

func (l *Library) readSafety(fsys embed.FS) error {
	cols := []string{"rule", "limit", "because"}
	rows, err := open(fsys, "safety", cols, cols)
	for _, r := range rows {
		l.safety[key{r.get("rule"), r.get("limit")}] = r.get("because")
	}
	return err
}

// readSet reads one of our own files. A country's row must override a row of general, in the same unit and on the same side.
func (l *Library) readSet(fsys embed.FS, name string) error {
	rows, err := open(fsys, name, Columns, Columns)
	if err != nil {
		return err
	}
	set := &Set{name: name, own: map[key]Limit{}, lib: l}
	if name != General {
		set.base = l.sets[General]
	}
	for _, r := range rows {
		limit, faults := l.row(set, r)
		if len(faults) > 0 {
			return fmt.Errorf("%s.csv: %w", name, errors.Join(faults...))
		}
		k := key{limit.Rule, limit.Name}
		set.own[k] = limit
		if name == General {
			l.order = append(l.order, k)
		}
	}
	l.sets[name] = set
	return nil
}

func (l *Library) row(set *Set, r row) (Limit, []error) {
	k := key{r.get("rule"), r.get("limit")}
	var base Limit
	if set.base != nil {
		base = set.base.find(k)
	}
	limit, faults := r.parse(base, l.sources)
	if _, ok := l.sources[r.get("source")]; !ok {
		faults = append(faults, r.wrong("source", "It is a code of sources.csv.", "The source %q is not there.", r.get("source")))
	}
	if _, twice := set.own[k]; twice {
		faults = append(faults, r.wrong("limit", "Each limit of a rule stands once.", "%s %s comes twice.", k.rule, k.limit))
	}
	if set.base != nil {
		faults = append(faults, r.fits(limit, base)...)
	}
	l.mark(&limit, set.name)
	return limit, faults
}

// mark says which set a limit is of, and whether and why it is a safety or legal one.
func (l *Library) mark(limit *Limit, set string) {
	limit.Set = set
	because, ok := l.safety[key{limit.Rule, limit.Name}]
	if !ok {
		because, ok = l.safety[key{limit.Rule, "*"}]
	}
	limit.Safety, limit.Because = ok, because
}

func (l *Library) readOpinions(fsys embed.FS) error {
	rows, err := open(fsys, "opinions", Columns, Columns)
	for _, r := range rows {
		limit, faults := r.parse(Limit{}, l.sources)
		if _, ok := l.sources[r.get("source")]; !ok {
			faults = append(faults, r.wrong("source", "It is a code of sources.csv.", "The source %q is not there.", r.get("source")))
		}
		if len(faults) > 0 {
			return fmt.Errorf("opinions.csv: %w", errors.Join(faults...))
		}
		limit.Set = otherOpinion
		k := key{limit.Rule, limit.Name}
		l.opinions[k] = append(l.opinions[k], limit)
	}
	return err
}

// Names lists the rule sets, general first.
func (l *Library) Names() []string { return slices.Clone(names) }

// Set is the rule set of that name.
func (l *Library) Set(name string) (*Set, error) {
	if s, ok := l.sets[name]; ok {
		return s, nil
	}
	return nil, planner.Problemf("", "There are "+strings.Join(names, ", ")+"; a file of your own is given by its path.", "There is no rule set called %q.", name)
}

// Rules lists the ids of all rules that have limits, sorted.
func (l *Library) Rules() []string {
	var out []string
	for _, k := range l.order {
		out = append(out, k.rule)
	}
	slices.Sort(out)
	return slices.Compact(out)
}
