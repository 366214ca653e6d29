package main

import (
	"context"
	"io"
	"slices"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/report"
	"quickthorn/planner/species"
)

func speciesCommand() command {
	var formats []string
	for _, f := range report.SpeciesFormats() {
		formats = append(formats, f.Name)
	}
	return command{name: "species", args: "[NAME]", does: "the catalogue, one plant of it, or what suits a ground", formats: formats, run: runSpecies,
		flags: func(inv *invocation) {
			inv.flags.StringVar(&inv.ground, "ground", "", "rank for this `GROUND`: dry, moist, damp, wet or waterlogged")
			inv.flags.StringVar(&inv.purpose, "for", "", "rank for this `PURPOSE`: hedge, windbreak, grove, orchard, row, ...")
		}}
}

func runSpecies(_ context.Context, inv *invocation) (int, error) {
	cat, err := species.Default()
	if err != nil {
		return exitFault, err
	}
	var found report.Found
	switch name := strings.Join(inv.files, " "); {
	case inv.ground == "" && inv.purpose == "":
		found, err = report.Query(cat, name)
	case name != "":
		return exitInput, inputf("--ground and --for rank the whole catalogue and go without a name.")
	default:
		found, err = inv.rank(cat)
	}
	if err != nil {
		return exitInput, err
	}
	for _, f := range report.SpeciesFormats() {
		if f.Name == inv.format {
			return exitDone, inv.write(func(w io.Writer) error { return f.Write(w, found, inv.textOptions()) })
		}
	}
	return exitInput, inputf("quickthorn species does not write %q.", inv.format)
}

func (inv *invocation) rank(cat *species.Catalogue) (report.Found, error) {
	ground := planner.Moisture(inv.ground)
	if inv.ground != "" && ground.Rank() < 0 {
		return report.Found{}, inputf("--ground is one of dry, moist, damp, wet and waterlogged, not %q.", inv.ground)
	}
	purposes := report.Purposes(cat)
	if inv.purpose != "" && !slices.Contains(purposes, inv.purpose) {
		return report.Found{}, inputf("--for is one of %s, not %q.", strings.Join(purposes, ", "), inv.purpose)
	}
	country := ""
	if inv.ruleSet != "" {
		country = inv.ruleSet
	}
	return report.Rank(cat, species.Want{Ground: ground, Purpose: inv.purpose, Country: country}), nil
}
