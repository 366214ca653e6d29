package main

import (
	"context"
	"fmt"
	"io"

	"quickthorn/planner/sheets"
)

// drawing holds the flags of draw.
type drawing struct {
	scale, page         int
	paper, turn, author string
}

func drawCommand() command {
	var formats []string
	for _, f := range sheets.Formats() {
		formats = append(formats, f.Name)
	}
	return command{name: "draw", args: "FILE", does: "the plan as a drawing to scale on paper", formats: formats, run: runDraw,
		flags: func(inv *invocation) {
			f := inv.flags
			f.IntVar(&inv.draw.scale, "scale", 0, "`N` of 1:N: 200, 250, 500, 1000, 1250 or 2500; the largest that fits one sheet where it is left out")
			f.StringVar(&inv.draw.paper, "paper", "A3", "`SIZE`: A4, A3, A2, A1 or A0")
			f.StringVar(&inv.draw.turn, "turn", "", "portrait or landscape; what fits better where it is left out")
			f.StringVar(&inv.draw.author, "author", "", "`NAME` printed as who drew it; a blank to write in without it")
			f.IntVar(&inv.draw.page, "page", 1, "`N`th page, of formats that hold one page: 1 is the whole plan, or the key sheet of a tiled one")
		}}
}

func runDraw(ctx context.Context, inv *invocation) (int, error) {
	r, err := inv.setOut(ctx)
	if err != nil {
		return exitInput, err
	}
	if err := r.Check(ctx); err != nil {
		return exitFault, err
	}
	o := inv.draw
	d, err := sheets.Draw(r.DrawingInput(inv.year), sheets.Options{Scale: o.scale, Paper: o.paper, Turn: o.turn, Year: inv.year, Date: inv.date, Author: o.author})
	if err != nil {
		return exitInput, err
	}
	f, ok := sheets.FormatNamed(inv.format)
	if !ok {
		return exitInput, inputf("quickthorn draw does not write %q.", inv.format)
	}
	if f.OnePage && (o.page < 1 || o.page > len(d.Pages)) {
		return exitInput, inputf("--page is from 1 to %d for this drawing, not %d.", len(d.Pages), o.page)
	}
	inv.log.Info(sayDrawing(d, f, o.page))
	return exitDone, inv.write(func(w io.Writer) error { return f.Write(w, d, o.page) })
}

// sayDrawing says what was drawn, and which page of it was written.
func sayDrawing(d *sheets.Drawing, f sheets.Format, page int) string {
	say := fmt.Sprintf("drawn at 1:%d on %s", d.Scale, d.Paper)
	if d.Tiles > 0 {
		say += fmt.Sprintf(": a key sheet and %d sheets", d.Tiles)
	}
	if f.OnePage && len(d.Pages) > 1 {
		say += fmt.Sprintf("; this is page %d of %d, --page N writes another and --format pdf writes all", page, len(d.Pages))
	}
	return say + "."
}
