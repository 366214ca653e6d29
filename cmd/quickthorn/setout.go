package main

import (
	"context"
	"io"

	"quickthorn/planner/setout"
	"quickthorn/planner/sheets"
)

func setoutCommand() command {
	var formats []string
	for _, f := range setout.Formats() {
		formats = append(formats, f.Name)
	}
	for _, f := range sheets.FieldFormats() {
		formats = append(formats, f.Name)
	}
	return command{name: "setout", args: "FILE", does: "positions with chainage and offset for pegging out", formats: formats, run: runSetout,
		flags: func(inv *invocation) {
			inv.flags.StringVar(&inv.points, "points", "", "`WHICH` positions: all, or ends (row ends, corners and single trees), which is what gpx has where nobody says")
		}}
}

func runSetout(ctx context.Context, inv *invocation) (int, error) {
	if inv.points != "" && inv.points != "all" && inv.points != "ends" {
		return exitInput, inputf("--points is all or ends, not %q.", inv.points)
	}
	r, err := inv.setOut(ctx)
	if err != nil {
		return exitInput, err
	}
	if f, ok := sheets.FieldFormatNamed(inv.format); ok {
		return exitDone, inv.write(func(w io.Writer) error { return f.Write(w, r.DrawingInput(inv.year), sheets.Options{Date: inv.date}) })
	}
	for _, f := range setout.Formats() {
		if f.Name == inv.format {
			points := setout.Points(inv.points)
			if points == "" {
				points = f.Points
			}
			return exitDone, inv.write(func(w io.Writer) error {
				return f.Write(w, r.Plan, r.Stations(points))
			})
		}
	}
	return exitInput, inputf("quickthorn setout does not write %q.", inv.format)
}
