package report

import (
	"fmt"
	"io"
	"sort"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/check"
	"quickthorn/planner/prose"
	"quickthorn/planner/rules"
)

// Explain writes one rule whole: what it asks and why, its limits in the rule set and where others differ, its sources and its
// cautions. An unknown id is a Problem that lists the ids there are.
func Explain(w io.Writer, id string, set *rules.Set, opt TextOptions) error {
	rule := check.Find(id)
	if rule == nil {
		return planner.Problemf("--explain", "The rules are: "+strings.Join(RuleIDs(), ", ")+".", "there is no rule %q.", id)
	}
	if opt.Width <= 0 {
		opt.Width = prose.DefaultWidth
	}
	t := &text{width: max(40, opt.Width), paint: opt.Paint}
	t.line(t.paint.Bold(rule.ID))
	t.wrap(rule.Title, "", "")
	t.line("")
	t.wrap(rule.Why, "", "")
	t.line("")
	t.wrap("At its gravest: "+map[planner.Severity]string{planner.Stop: "mend first", planner.Warn: "look again", planner.Note: "worth knowing"}[rule.Severity]+" ("+string(rule.Severity)+").", "", "")
	t.limits(rule, set)
	if len(rule.Sources) > 0 {
		t.section("Sources besides those of the limits")
		for _, s := range rule.Sources {
			t.wrap(source(s)+address(s), "  - ", "    ")
		}
	}
	if len(rule.Cautions) > 0 {
		t.section("Take care")
		for _, c := range rule.Cautions {
			t.wrap(c, "  - ", "    ")
		}
	}
	_, err := io.WriteString(w, t.b.String())
	return err
}

func (t *text) limits(rule *check.Rule, set *rules.Set) {
	if len(rule.Limits) == 0 {
		return
	}
	t.section(fmt.Sprintf("Limits under the rule set %q", set.Name()))
	for _, name := range rule.Limits {
		id, own := rule.ID, name
		if other, n, ok := strings.Cut(name, "/"); ok {
			id, own = other, n
		}
		l, ok := set.Get(id, own)
		if !ok {
			t.wrap(own+": not known.", "  - ", "    ")
			continue
		}
		t.wrap(own+": "+l.String()+". "+source(l.Source)+address(l.Source), "  - ", "    ")
		if l.Note != "" {
			t.wrap(l.Note, "    ", "    ")
		}
		for _, o := range set.Others(id, own) {
			t.wrap("Others: "+o.String()+" ("+o.Set+"). "+source(o.Source), "    ", "      ")
		}
	}
}

func address(s planner.Source) string {
	if s.URL == "" {
		return "."
	}
	return ". " + s.URL
}

// RuleIDs lists the ids of all rules in order of text.
func RuleIDs() []string {
	var ids []string
	for _, r := range check.Rules() {
		ids = append(ids, r.ID)
	}
	sort.Strings(ids)
	return ids
}
