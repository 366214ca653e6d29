package main

import (
	"context"
	"io"

	"quickthorn/planner/lists"
)

func listCommand() command {
	var formats []string
	for _, f := range lists.Formats() {
		formats = append(formats, f.Name)
	}
	return command{name: "list", args: "FILE", does: "planting list per area, order list and sundries", formats: formats, run: runList}
}

func runList(ctx context.Context, inv *invocation) (int, error) {
	r, err := inv.setOut(ctx)
	if err != nil {
		return exitInput, err
	}
	for _, f := range lists.Formats() {
		if f.Name == inv.format {
			opt := inv.textOptions()
			return exitDone, inv.write(func(w io.Writer) error {
				return f.Write(w, r.List(), lists.Options{Width: opt.Width, Date: inv.date})
			})
		}
	}
	return exitInput, inputf("quickthorn list does not write %q.", inv.format)
}
