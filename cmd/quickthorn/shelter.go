package main

import (
	"context"
	"flag"
	"io"

	"quickthorn/planner/growth"
	"quickthorn/planner/report"
	"quickthorn/planner/shelter"
)

// fieldFormats are the formats of shelter and light.
var fieldFormats = []string{"text", "json", "geojson", "svg"}

func shelterCommand() command {
	return command{name: "shelter", args: "FILE", does: "wind left at each bed and over the holding, by year", formats: fieldFormats, run: runShelter,
		flags: func(inv *invocation) {
			inv.flags.BoolVar(&inv.bare, "bare", false, "draw the field as it is without leaves (geojson, svg)")
		}}
}

func runShelter(ctx context.Context, inv *invocation) (int, error) {
	r, years, err := inv.grown(ctx)
	if err != nil {
		return exitInput, err
	}
	leaf := shelter.InLeaf
	if inv.bare {
		leaf = shelter.Bare
	}
	field := func(year int) (*report.Field, error) { return r.ShelterField(ctx, year, leaf, inv.counted("shelter")) }
	return inv.writeYears(r, years, field, func() (report.ByYears, error) { return r.Shelter(ctx, years, inv.counted("shelter")) })
}

// writeYears writes shelter or light in the format asked for; the picture shows the last of the years.
func (inv *invocation) writeYears(r *report.Report, years []int, field func(year int) (*report.Field, error), all func() (report.ByYears, error)) (int, error) {
	if inv.format == "svg" {
		f, err := field(years[len(years)-1])
		if err != nil {
			return exitFault, err
		}
		return exitDone, inv.write(func(w io.Writer) error { return r.WriteFieldSVG(w, f, inv.date) })
	}
	list, err := all()
	if err != nil {
		return exitFault, err
	}
	var fields []*report.Field
	if inv.format == "geojson" {
		if fields, err = report.FieldsOf(years, field); err != nil {
			return exitFault, err
		}
	}
	return exitDone, inv.write(func(w io.Writer) error {
		switch inv.format {
		case "json":
			return list.WriteJSON(w)
		case "geojson":
			return list.WriteGeoJSON(w, fields)
		}
		return list.WriteText(w, inv.textOptions())
	})
}

// grown is a plan set out, and the years to look at: the one asked for, or the usual ones.
func (inv *invocation) grown(ctx context.Context) (*report.Report, []int, error) {
	if inv.year > growth.LastYear {
		return nil, nil, inputf("growth is looked at for %d years; --year is from 0 to %d, not %d.", growth.LastYear, growth.LastYear, inv.year)
	}
	r, err := inv.setOut(ctx)
	if err != nil {
		return nil, nil, err
	}
	if inv.stated("year") {
		return r, []int{inv.year}, nil
	}
	return r, report.FieldYears, nil
}

// stated reports whether a flag was given.
func (inv *invocation) stated(name string) bool {
	given := false
	inv.flags.Visit(func(f *flag.Flag) { given = given || f.Name == name })
	return given
}

// counted is the progress of one stage, nil where nobody looks.
func (inv *invocation) counted(stage string) func(done, total int) {
	show := inv.progress()
	if show == nil {
		return nil
	}
	return func(done, total int) { show(stage, done, total) }
}
