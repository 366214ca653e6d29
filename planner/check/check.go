// Package check looks at a plan that has been set out and says what is wrong with it, why, and what to do. Each rule is data
// (id, title, why it matters, the limits it reads, its sources, its cautions) and one pure function, in a file of its own; Rules
// lists them in order. A rule can neither print nor store nor stop the others.
package check

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"runtime/debug"
	"sort"
	"strings"
	"sync"

	"github.com/paulmach/orb"

	"quickthorn/planner"
	"quickthorn/planner/growth"
	"quickthorn/planner/lists"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
	"quickthorn/planner/species"
)

// A Rule is one check.
type Rule struct {
	ID       string           // such as "hedge.gap"; in output, acceptances and file names; never reused
	Title    string           // what it asks, in a few words
	Why      string           // why it matters, in a sentence or two
	Severity planner.Severity // the gravest it reports
	Limits   []string         // names of the limits it reads under its own id; "other.rule/limit" for another rule's
	Sources  []planner.Source // besides those of its limits and of the catalogue
	Cautions []string         // shown with every finding of the rule
	Slow     bool             // it follows the sun or the like through the years: too slow while something is dragged
	Run      func(*Pass)
}

// Input is what every rule sees. It must not be altered.
type Input struct {
	Plan      *planner.Plan
	Site      *site.Site
	Out       *setout.Result
	Stand     *growth.Stand // how it grows; made from the rest where it is nil
	Catalogue *species.Catalogue
	Set       *rules.Set
	Assigned  *lists.Assignment // the list area of every plant
	Loosened  []rules.Loosened  // safety or legal limits that the plan loosens
	Year      int               // years after planting
}

// A Pass is what one rule sees of one plan, and where it reports.
type Pass struct {
	Input
	Shared *Shared         // worked out once for all rules
	ctx    context.Context // of Run, for rules whose work can be broken off
	rule   *Rule
	found  []planner.Finding
}

// Limit is the value the rule works to, from the holding's own limits, the rule set, or `general`, in that order. The name
// must be among the rule's Limits.
func (p *Pass) Limit(name string) (rules.Limit, bool) {
	declared := false
	for _, l := range p.rule.Limits {
		declared = declared || l == name
	}
	if !declared {
		panic("rule " + p.rule.ID + " reads a limit it does not declare: " + name)
	}
	id := p.rule.ID
	if other, own, ok := strings.Cut(name, "/"); ok {
		id, name = other, own
	}
	return p.Set.Get(id, name)
}

// MostPerRule is how many findings of one rule are reported; one more then says how many were left out.
const MostPerRule = 200

// placeMore is the place of the finding that says how many were left out.
const placeMore = "more"

// MostPlaces is how many places one finding carries.
const MostPlaces = 20

// Report adds a finding. Rule is filled in, and the rule's cautions come after the finding's own.
func (p *Pass) Report(f planner.Finding) {
	f.Rule = p.rule.ID
	f.Cautions = append(append([]string(nil), f.Cautions...), p.rule.Cautions...)
	if f.Count == 0 {
		f.Count = 1
	}
	if len(f.Places) > MostPlaces {
		f.Places = f.Places[:MostPlaces]
	}
	p.found = append(p.found, f)
}

// Run runs the rules over a plan; findings come ordered by severity, rule, feature and place, with their keys, and with the
// plan's acceptances applied. Rules run side by side on the cores; the result does not depend on it.
func Run(ctx context.Context, in Input, list []*Rule) ([]planner.Finding, error) {
	if in.Stand == nil {
		in.Stand = growth.New(in.Plan, in.Out, in.Catalogue, in.Set)
	}
	shared := newShared(in)
	found, faults := make([][]planner.Finding, len(list)), make([]error, len(list))
	var wg sync.WaitGroup
	next := make(chan int)
	for range min(len(list), runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			for i := range next {
				found[i], faults[i] = guarded(ctx, in, shared, list[i])
			}
		})
	}
	for i := range list {
		if ctx.Err() != nil {
			break
		}
		next <- i
	}
	close(next)
	wg.Wait()
	err := ctx.Err() // a rule that was broken off has not said all
	if err := errors.Join(append(faults, err)...); err != nil {
		return nil, err
	}
	var all []planner.Finding
	for _, f := range found {
		all = append(all, f...)
	}
	order(all)
	accept(all, in.Plan.Holding.Accepted)
	return all, nil
}

// guarded runs one rule. A fault of the program in it is told as an error, so that a server that runs rules for several people goes on.
func guarded(ctx context.Context, in Input, shared *Shared, r *Rule) (found []planner.Finding, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("the rule %s failed: %v\n%s", r.ID, fault, debug.Stack())
		}
	}()
	return runOne(ctx, in, shared, r), nil
}

func runOne(ctx context.Context, in Input, shared *Shared, r *Rule) []planner.Finding {
	p := &Pass{Input: in, Shared: shared, ctx: ctx, rule: r}
	r.Run(p)
	for i := range p.found {
		p.found[i].Key = Key(p.found[i])
	}
	distinct(p.found)
	order(p.found)
	if len(p.found) <= MostPerRule {
		return p.found
	}
	left := len(p.found) - MostPerRule
	kept := p.found[:MostPerRule:MostPerRule]
	worst := p.found[0].Severity
	more := planner.Finding{Rule: r.ID, Severity: worst, Count: left, Source: planner.Source{Text: "count of findings", Confidence: planner.Derived},
		Message: fmt.Sprintf("%d more findings of this kind are not shown. Mend the first ones and check again.", left)}
	more.Place = placeMore
	more.Key = Key(more)
	return append(kept, more)
}

// Key names a finding across runs, so that an acceptance holds: the rule, the feature ids in order of text, and the chainage to the
// metre or plant id.
func Key(f planner.Finding) string {
	ids := append([]string(nil), f.Features...)
	sort.Strings(ids)
	key := f.Rule + ":" + strings.Join(ids, "+")
	if f.Place != "" {
		key += "@" + f.Place
	}
	return key
}

// distinct gives findings that would share a key a running number, in their order of place.
func distinct(list []planner.Finding) {
	order(list)
	seen := map[string]int{}
	for i := range list {
		n := seen[list[i].Key]
		seen[list[i].Key] = n + 1
		if n > 0 {
			list[i].Key += fmt.Sprintf("-%d", n+1)
		}
	}
}

// order sorts by severity, rule, feature ids, place, and where on the map.
func order(list []planner.Finding) {
	sort.SliceStable(list, func(i, j int) bool {
		a, b := &list[i], &list[j]
		switch {
		case a.Severity != b.Severity:
			return a.Severity.Rank() < b.Severity.Rank()
		case a.Rule != b.Rule:
			return a.Rule < b.Rule
		case (a.Place == placeMore) != (b.Place == placeMore):
			return b.Place == placeMore // what was left out is said last
		}
		if c := strings.Compare(strings.Join(a.Features, "\x00"), strings.Join(b.Features, "\x00")); c != 0 {
			return c < 0
		}
		if x, y := placeNumber(a.Place), placeNumber(b.Place); x != y {
			return x < y
		}
		if a.Place != b.Place {
			return a.Place < b.Place
		}
		if a.At != b.At {
			return a.At[0] < b.At[0] || a.At[0] == b.At[0] && a.At[1] < b.At[1]
		}
		return a.Message < b.Message
	})
}

// placeNumber reads a chainage so that 9 comes before 31; other places compare as text after it.
func placeNumber(s string) float64 {
	var v float64
	if _, err := fmt.Sscanf(s, "%g", &v); err != nil {
		return math.Inf(1)
	}
	return v
}

// PlaceAt is the place of a chainage, to the metre.
func PlaceAt(chainage float64) string { return fmt.Sprintf("%.0f", chainage) }

// At sets where on the map to look.
func At(f planner.Finding, p orb.Point) planner.Finding {
	f.At, f.HasAt = p, true
	return f
}
