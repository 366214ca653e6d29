// Package report is the one call that the command line and the page need: read a plan, set it out, check it, list it. It
// also writes what `check` prints.
package report

import (
	"context"
	"errors"
	"io"
	"sort"

	"quickthorn/planner"
	"quickthorn/planner/check"
	"quickthorn/planner/growth"
	"quickthorn/planner/lists"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
	"quickthorn/planner/species"
)

// An Engine holds what every report shares: the catalogue and the rule sets. It is safe for concurrent use.
type Engine struct {
	Catalogue *species.Catalogue
	Library   *rules.Library
}

// NewEngine reads the embedded catalogue and rule sets.
func NewEngine() (*Engine, error) {
	cat, err := species.Default()
	if err != nil {
		return nil, err
	}
	lib, err := rules.Default()
	if err != nil {
		return nil, err
	}
	return &Engine{Catalogue: cat, Library: lib}, nil
}

// Options says how a plan is to be read and looked at. The zero value takes everything from the plan.
type Options struct {
	File     string // its name in messages
	RuleSet  string // overrides the plan's
	Winter   int    // overrides the plan's planting winter
	Year     int    // years after planting
	Quick    bool   // leave the slow rules out; Report.Later then names them
	MaxBytes int64  // 0: 50 MB
	// OpenRules opens a user's own rule set by the path that the plan or the command line gives. Nil refuses such paths.
	OpenRules func(path string) (io.ReadCloser, error)
	// Progress is told what is being done, and how far it is; nil for nobody.
	Progress func(stage string, done, total int)
}

// A Report is everything worked out from a plan. Nothing in it is ever stored.
type Report struct {
	File      string
	Plan      *planner.Plan
	Set       *rules.Set
	SetName   string
	Year      int
	Site      *site.Site
	Out       *setout.Result
	Stand     *growth.Stand
	Assigned  *lists.Assignment
	Findings  []planner.Finding
	Quick     bool     // Check leaves the slow rules out
	Later     []string // the rules that Check left out
	Catalogue *species.Catalogue
	// Loosened are the safety or legal limits that the plan loosens, each with its reason; every output repeats them.
	Loosened []rules.Loosened
}

// Read reads a plan and chooses its rule set, and goes no further.
func (e *Engine) Read(data []byte, opt Options) (*Report, error) {
	plan, err := planner.Read(data, planner.ReadOptions{File: opt.File, MaxBytes: opt.MaxBytes, Winter: opt.Winter, RuleSet: opt.RuleSet})
	if err != nil {
		return nil, err
	}
	return e.Of(plan, opt)
}

// Of is Read for a plan that was read already.
func (e *Engine) Of(plan *planner.Plan, opt Options) (*Report, error) {
	r := &Report{File: opt.File, Plan: plan, Year: opt.Year, Quick: opt.Quick, Catalogue: e.Catalogue, SetName: plan.Holding.RuleSet}
	set, err := e.RuleSet(plan.Holding.RuleSet, opt)
	if err != nil {
		var p *planner.Problem
		if errors.As(err, &p) && p.File == "" {
			p.File = opt.File
		}
		return nil, err
	}
	r.Set, r.Loosened = set.With(plan.Holding.Limits)
	return r, nil
}

// Build reads a plan, sets it out and checks it.
func (e *Engine) Build(ctx context.Context, data []byte, opt Options) (*Report, error) {
	step := opt.Progress
	if step == nil {
		step = func(string, int, int) {}
	}
	const stages = 4
	step("reading", 0, stages)
	r, err := e.Read(data, opt)
	if err != nil {
		return nil, err
	}
	step("setting out", 1, stages)
	if err := r.SetOut(ctx); err != nil {
		return nil, err
	}
	step("checking", 2, stages)
	if err := r.Check(ctx); err != nil {
		return nil, err
	}
	step("done", stages, stages)
	return r, nil
}

// SetOut works out the positions and the list area of every plant.
func (r *Report) SetOut(ctx context.Context) error {
	out, err := setout.All(ctx, r.Plan, r.Catalogue, r.Set)
	if err != nil {
		return err
	}
	r.Out = out
	r.Site = site.New(r.Plan, r.Catalogue)
	r.Stand = growth.New(r.Plan, r.Out, r.Catalogue, r.Set)
	r.Assigned = lists.Assign(r.Plan, r.Site, r.Out)
	return nil
}

// Check runs every rule, or every quick one. SetOut comes first.
func (r *Report) Check(ctx context.Context) error {
	list := check.Rules()
	r.Later = nil
	if r.Quick {
		list, r.Later = check.Quick()
	}
	found, err := check.Run(ctx, r.Input(), list)
	r.Findings = found
	return err
}

// Input is what the rules see.
func (r *Report) Input() check.Input {
	return check.Input{Plan: r.Plan, Site: r.Site, Out: r.Out, Stand: r.Stand, Catalogue: r.Catalogue, Set: r.Set, Year: r.Year,
		Assigned: r.Assigned, Loosened: r.Loosened}
}

// List is the planting list, with the dates of its winter. SetOut comes first.
func (r *Report) List() *lists.List {
	l := lists.Make(r.Plan, r.Site, r.Out, r.Catalogue, r.Set)
	l.Dates = append(l.Dates, r.listDates()...)
	return l
}

// Counts counts findings by severity; those that are accepted are counted apart.
type Counts struct{ Stop, Warn, Note, Accepted int }

// Count counts the findings.
func (r *Report) Count() Counts {
	var c Counts
	for _, f := range r.Findings {
		switch {
		case f.Accepted != nil:
			c.Accepted++
		case f.Severity == planner.Stop:
			c.Stop++
		case f.Severity == planner.Warn:
			c.Warn++
		default:
			c.Note++
		}
	}
	return c
}

// Clean reports whether nothing of severity stop or warn is left that is not accepted.
func (r *Report) Clean() bool {
	c := r.Count()
	return c.Stop+c.Warn == 0
}

// RuleSet finds a rule set by name, or reads the user's own file where the name looks like a path.
func (e *Engine) RuleSet(name string, opt Options) (*rules.Set, error) {
	set, err := e.Library.Set(name)
	if err == nil {
		return set, nil
	}
	if !isPath(name) || opt.OpenRules == nil {
		return nil, planner.Problemf("holding.rule_set", "Choose one of them, or give the path of a rule file that ends in .csv.", "%v", err)
	}
	file, openErr := opt.OpenRules(name)
	if openErr != nil {
		return nil, &planner.Problem{Where: "holding.rule_set", What: "the rule file " + name + " could not be opened: " + openErr.Error() + ".",
			Mend: "Give its path from where the plan file lies.", Err: openErr}
	}
	defer file.Close()
	general, err := e.Library.Set("general")
	if err != nil {
		return nil, err
	}
	own, err := rules.Read(file, name, general)
	if err != nil {
		return nil, &planner.Problem{Where: name, What: err.Error(), Err: err}
	}
	return own, nil
}

// isPath tells a user's own file from a misspelt name.
func isPath(name string) bool {
	for _, c := range name {
		if c == '/' || c == '\\' || c == '.' {
			return true
		}
	}
	return false
}

// sortedKeys lists the keys of a map in order of text.
func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}
