package main

import (
	"context"
	"io"

	"quickthorn/planner/report"
)

func lightCommand() command {
	return command{name: "light", args: "FILE", does: "hours of direct sun on each bed, by year", formats: fieldFormats, run: runLight,
		flags: func(inv *invocation) {
			inv.flags.IntVar(&inv.month, "month", 0, "draw the field on the 21st of month `N`, 4 to 9, in place of the mean (geojson, svg); south of the equator the month half a year later")
		}}
}

func runLight(ctx context.Context, inv *invocation) (int, error) {
	if inv.month != report.MeanMonth && (inv.month < 4 || inv.month > 9) {
		return exitInput, inputf("--month is from 4 (April) to 9 (September), not %d.", inv.month)
	}
	r, years, err := inv.grown(ctx)
	if err != nil {
		return exitInput, err
	}
	if inv.format == "svg" {
		f, err := r.LightField(ctx, years[len(years)-1], inv.month, inv.counted("light"))
		if err != nil {
			return exitFault, err
		}
		return exitDone, inv.write(func(w io.Writer) error { return r.WriteFieldSVG(w, f, inv.date) })
	}
	l, err := r.Light(ctx, years, inv.counted("light"))
	if err != nil {
		return exitFault, err
	}
	var fields []*report.Field
	for _, y := range years {
		if inv.format != "geojson" {
			break
		}
		f, err := r.LightField(ctx, y, inv.month, nil)
		if err != nil {
			return exitFault, err
		}
		fields = append(fields, f)
	}
	return exitDone, inv.write(func(w io.Writer) error {
		switch inv.format {
		case "json":
			return l.WriteJSON(w)
		case "geojson":
			return l.WriteGeoJSON(w, fields)
		}
		return l.WriteText(w, inv.textOptions())
	})
}
