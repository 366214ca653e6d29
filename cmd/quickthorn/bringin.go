package main

import (
	"context"
	"strconv"

	"quickthorn/geo/interchange"
	"quickthorn/planner"
	"quickthorn/planner/bringin"
	"quickthorn/planner/prose"
)

func bringInCommand() command {
	return command{name: "bring-in", args: "FILE", does: "GPX, KML, GeoPackage, GeoJSON of a grid or of OpenStreetMap to a plan", formats: []string{"geojson"}, run: runBringIn,
		flags: func(inv *invocation) {
			f := inv.flags
			f.StringVar(&inv.crs, "crs", "", "EPSG `CODE` of the grid of the coordinates, such as 27700, whatever the file says")
			f.StringVar(&inv.linesAs, "as", "", "`KIND` that open lines become which say nothing of themselves (hedge where nobody says)")
			f.StringVar(&inv.pointsAs, "points-as", "", "`KIND` that such points become (plant where nobody says)")
			f.StringVar(&inv.kindColumn, "kind-column", "kind", "`NAME` of the field that says what a thing is")
			f.StringVar(&inv.tolerance, "tolerance", "", "how far, in `METRES`, a thinned line may stray; tracks 1, all else 0 where nobody says")
		}}
}

func runBringIn(ctx context.Context, inv *invocation) (int, error) {
	path, err := inv.oneFile()
	if err != nil {
		return exitInput, err
	}
	opt := bringin.Options{File: path, LinesAs: planner.Kind(inv.linesAs), PointsAs: planner.Kind(inv.pointsAs), KindColumn: inv.kindColumn, MaxBytes: int64(inv.maxMB) << 20}
	if inv.crs != "" {
		g, ok := interchange.GridNamed(inv.crs)
		if !ok {
			return exitInput, inputf("--crs %q is not known here. Known are %s.", inv.crs, interchange.KnownGrids)
		}
		opt.Grid = &g
	}
	if inv.tolerance != "" {
		m, err := strconv.ParseFloat(inv.tolerance, 64)
		if err != nil {
			return exitInput, inputf("--tolerance is a number of metres, such as 0.5, not %q.", inv.tolerance)
		}
		opt.ToleranceM = &m
	}
	data, err := inv.read(path)
	if err != nil {
		return exitInput, err
	}
	r, err := bringin.Bring(ctx, data, opt)
	if err != nil {
		return exitInput, err
	}
	for _, note := range r.Notes {
		inv.log.Info(prose.Clean(note))
	}
	for _, f := range r.Plan.Faults {
		if f.Severity == planner.Stop {
			inv.log.Warn(prose.Clean(f.Message))
		}
	}
	return exitDone, inv.write(r.Plan.Write)
}

// readPlan reads a plan file. What is plainly a file of another program is refused with the way to make a plan of it, since where its
// first byte is wrong helps nobody.
func (inv *invocation) readPlan(path string) ([]byte, error) {
	data, err := inv.read(path)
	if err != nil {
		return nil, err
	}
	named := map[string]string{"GPX": "GPX", "KML": "KML or other XML", "KMZ": "an archive, such as KMZ", "GeoPackage": "a database, such as GeoPackage"}
	what, foreign := named[bringin.FormatOf(data)]
	if !foreign {
		return data, nil
	}
	return nil, &planner.Problem{File: path, What: "This is " + what + ", not a plan.", Mend: "Make a plan of it first: quickthorn bring-in " + path + " --out plan.geojson."}
}
