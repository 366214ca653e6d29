package main

import (
	"context"
	"io"

	"quickthorn/planner/report"
	"quickthorn/planner/wood"
)

func woodCommand() command {
	return command{name: "wood", args: "FILE", does: "cutting rota, logs, chip, balance by winter",
		formats: []string{"text", "json", "csv", "svg", "html"}, run: runWood,
		flags: func(inv *invocation) {
			inv.flags.Lookup("winter").Usage = "print the dates, the sections to cut and the cutting sheet of this winter, by the `YEAR` it starts in (text, html)"
		}}
}

// runWood writes the balance, or one winter's work where --winter names it. html is the cutting sheet for paper: of that winter, else
// of the first in which something is cut.
func runWood(ctx context.Context, inv *invocation) (int, error) {
	winter := inv.winter
	if winter != 0 && inv.format != "text" && inv.format != "html" {
		return exitInput, inputf("--winter prints one winter's work as text or html; %s holds every winter, so leave --winter out.", inv.format)
	}
	r, res, err := inv.balanced(ctx, winter)
	if err != nil {
		return exitInput, err
	}
	last := res.First + len(res.Winters) - 1
	if winter != 0 && (winter < res.First || winter > last) {
		return exitInput, inputf("the rota runs from winter %d to %d, and --winter asks for %d.", res.First, last, winter)
	}
	return exitDone, inv.write(func(w io.Writer) error {
		switch inv.format {
		case "json":
			return wood.WriteJSON(w, res)
		case "csv":
			return wood.WriteCSV(w, res)
		case "svg":
			return wood.WriteSVG(w, res)
		case "html":
			if winter == 0 {
				winter = report.FirstCutting(res)
			}
			return wood.WriteSheetHTML(w, res.CuttingSheet(r.WoodInput(), winter, inv.date))
		}
		if winter != 0 {
			return r.WriteWinter(w, res, winter, inv.textOptions())
		}
		return r.WriteWood(w, res, inv.textOptions())
	})
}

// balanced plans the rota. --winter says which winter to print; only where the plan names none at all is it also the first.
func (inv *invocation) balanced(ctx context.Context, winter int) (*report.Report, *wood.Result, error) {
	inv.winter = 0
	r, err := inv.setOut(ctx)
	if err != nil {
		return nil, nil, err
	}
	show := inv.progress()
	step := func(done int) {
		if show != nil {
			show("cutting", done, 2)
		}
	}
	step(0)
	defer step(2)
	if first, _ := r.Stand.Winter(); first == 0 && winter != 0 {
		r.Plan.Holding.PlantingWinter = winter
		if err := r.SetOut(ctx); err != nil {
			return nil, nil, err
		}
	}
	step(1)
	return r, r.Wood(), ctx.Err()
}
