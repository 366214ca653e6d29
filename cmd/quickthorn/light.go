package main

import (
	"context"

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
	field := func(year int) (*report.Field, error) { return r.LightField(ctx, year, inv.month, inv.counted("light")) }
	return inv.writeYears(r, years, field, func() (report.ByYears, error) { return r.Light(ctx, years, inv.counted("light")) })
}
