package main

import (
	"context"
	"fmt"
	"io"

	"quickthorn/planner/report"
)

func checkCommand() command {
	return command{name: "check", args: "FILE...", does: "measures, sets out and checks; one report per file",
		formats: []string{"text", "json", "geojson"}, run: runCheck,
		flags: func(inv *invocation) {
			inv.flags.StringVar(&inv.explain, "explain", "", "print the whole `RULE` with its sources and cautions, and check nothing")
		}}
}

// runCheck reports on each file in the order given; the worst exit code of all is returned.
func runCheck(ctx context.Context, inv *invocation) (int, error) {
	engine, err := report.NewEngine()
	if err != nil {
		return exitFault, err
	}
	if inv.explain != "" {
		return inv.explainRule(engine)
	}
	if len(inv.files) == 0 {
		return exitInput, inputf("quickthorn check takes one or more plan files (- is standard input).")
	}
	if inv.format == "geojson" && len(inv.files) > 1 {
		return exitInput, inputf("findings as GeoJSON are for one file at a time, and there are %d.", len(inv.files))
	}
	worst := exitDone
	err = inv.write(func(w io.Writer) error {
		for i, path := range inv.files {
			if i > 0 && inv.format == "text" {
				fmt.Fprint(w, "\n\n")
			}
			code, err := inv.checkOne(ctx, engine, path, w)
			if err != nil {
				return err
			}
			worst = max(worst, code)
		}
		return nil
	})
	return worst, err
}

// checkOne reports on one file. What the user can mend is said and counted; only faults of the machine stop the others.
func (inv *invocation) checkOne(ctx context.Context, engine *report.Engine, path string, w io.Writer) (int, error) {
	data, err := inv.readPlan(path)
	var r *report.Report
	if err == nil {
		r, err = engine.Build(ctx, data, inv.options(path))
	}
	if err != nil {
		code := exitOf(err)
		if code == exitFault {
			return code, err
		}
		inv.log.Error(err.Error())
		if inv.format == "json" {
			return code, report.WriteRefused(w, path, err)
		}
		return code, nil
	}
	switch inv.format {
	case "json":
		err = r.WriteJSON(w)
	case "geojson":
		err = r.WriteGeoJSON(w)
	default:
		err = r.WriteText(w, inv.textOptions())
	}
	if r.Clean() {
		return exitDone, err
	}
	return exitFindings, err
}

func (inv *invocation) explainRule(engine *report.Engine) (int, error) {
	name := inv.ruleSet
	if name == "" {
		name = "general"
	}
	set, err := engine.RuleSet(name, inv.options("-"))
	if err != nil {
		return exitInput, err
	}
	return exitDone, inv.write(func(w io.Writer) error { return report.Explain(w, inv.explain, set, inv.textOptions()) })
}
