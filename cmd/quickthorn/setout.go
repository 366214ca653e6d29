package main

import (
	"context"
	"io"

	"quickthorn/planner/setout"
)

func setoutCommand() command {
	var formats []string
	for _, f := range setout.Formats() {
		formats = append(formats, f.Name)
	}
	return command{name: "setout", args: "FILE", does: "positions with chainage and offset for pegging out", formats: formats, run: runSetout,
		flags: func(inv *invocation) {
			inv.flags.StringVar(&inv.points, "points", "all", "`WHICH` positions: all, or ends (row ends, corners and single trees)")
		}}
}

func runSetout(ctx context.Context, inv *invocation) (int, error) {
	if inv.points != "all" && inv.points != "ends" {
		return exitInput, inputf("--points is all or ends, not %q.", inv.points)
	}
	r, err := inv.setOut(ctx)
	if err != nil {
		return exitInput, err
	}
	for _, f := range setout.Formats() {
		if f.Name == inv.format {
			return exitDone, inv.write(func(w io.Writer) error {
				return f.Write(w, r.Plan.Holding.Name, r.Stations(setout.Points(inv.points)))
			})
		}
	}
	return exitInput, inputf("quickthorn setout does not write %q.", inv.format)
}
