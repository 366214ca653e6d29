package check

import (
	"fmt"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/prose"
	"quickthorn/planner/rules"
)

func inputLimits() *Rule {
	return &Rule{
		ID:    "input.limits",
		Title: "Limits of your own can be used, and those about safety or law are loosened only with a reason",
		Why: "A limit with a misspelt name would change nothing, and you would think it did. Any limit may be made tighter. One about buildings, wires, " +
			"buried services or law may be made looser only with a reason, and every output repeats it, so that whoever reads the plan knows.",
		Severity: planner.Stop,
		Sources:  []planner.Source{planFile()},
		Run:      runInputLimits,
	}
}

func runInputLimits(p *Pass) {
	for i, f := range p.Set.Faults(p.Plan.Holding.Limits) {
		p.Report(planner.Finding{Severity: planner.Stop, Place: fmt.Sprintf("fault-%d", i+1), Source: planFile(),
			Message: "In the holding's limits: " + prose.Clean(f) + " It was left out. Mend the name or the value, or take it out."})
	}
	list := p.Set.Loosened() // the user's own file first, then the plan's
	if len(list) < len(p.Loosened) {
		list = p.Loosened
	}
	for _, l := range list {
		p.loosened(l)
	}
}

func (p *Pass) loosened(l rules.Loosened) {
	f := planner.Finding{Severity: planner.Note, Place: l.Limit.Rule + "/" + l.Limit.Name, Source: l.Was.Source}
	if !l.Limit.IsText() && !l.Was.IsText() {
		f.Measured, f.Limit, f.Unit, f.Worse = planner.Figure(l.Limit.Value), planner.Figure(l.Was.Value), l.Was.Unit, worseSide(l.Was)
	}
	what := fmt.Sprintf("the limit %s of %s, a matter of %s,", l.Limit.Name, l.Limit.Rule, l.Was.Because)
	if !l.Applied {
		f.Severity = planner.Stop
		f.Message = fmt.Sprintf("The holding would loosen %s from %s to %s and gives no reason, so it stays as it was. Write it as {\"value\": %s, \"reason\": \"...\"}, or take it out.",
			what, l.Was, l.Limit, valueText(l.Limit))
		p.Report(f)
		return
	}
	f.Cautions = []string{"A limit that is loosened protects nobody: ask the body that it is from, or someone licensed, before you plant by it."}
	f.Message = fmt.Sprintf("The holding loosens %s from %s to %s. The reason given: %s.", what, l.Was, l.Limit, strings.TrimSuffix(prose.Clean(strings.TrimSpace(l.Reason)), "."))
	p.Report(f)
}

// valueText is a limit's value as it would be written in the plan.
func valueText(l rules.Limit) string {
	if l.IsText() {
		return fmt.Sprintf("%q", l.Text)
	}
	return figure(l.Value)
}
