package bringin

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"strings"

	"quickthorn/geo/interchange"
	"quickthorn/planner"
)

// Options are what the caller knows besides the file. The zero value takes the file's word and the defaults.
type Options struct {
	File       string            // its name, for messages
	Grid       *interchange.Grid // the grid of its coordinates, whatever it says; nil: what it says
	LinesAs    planner.Kind      // what a line becomes that says nothing of itself; "": a hedge
	PointsAs   planner.Kind      // likewise a point; "": a single tree
	ToleranceM *float64          // how far a line may stray when it is thinned; nil: TrackToleranceM for walked tracks, else nothing is thinned
	KindColumn string            // the field that names the kind; "": kind
	MaxBytes   int64             // 0: planner.DefaultMaxBytes
}

// TrackToleranceM is how far the thinned line of a walked track may lie from its positions. A handheld errs by some metres, so that
// nothing is lost by it (common practice).
const TrackToleranceM = 1.0

// A Result is the plan, and what was done to come by it, one sentence each.
type Result struct {
	Plan  *planner.Plan
	Notes []string
}

// Bring reads a file of another program and makes a plan of it. A file that cannot be used is refused with a *planner.Problem.
func Bring(ctx context.Context, data []byte, opt Options) (*Result, error) {
	if opt.MaxBytes <= 0 {
		opt.MaxBytes = planner.DefaultMaxBytes
	}
	if int64(len(data)) > opt.MaxBytes {
		return nil, &planner.Problem{File: opt.File, What: fmt.Sprintf("The file is larger than %d MB.", opt.MaxBytes>>20), Mend: "Leave out what is not part of the plan, or raise --max-mb."}
	}
	if err := opt.settle(); err != nil {
		return nil, err
	}
	batch, err := read(ctx, data, opt)
	if err != nil {
		return nil, err
	}
	b := &bringing{opt: opt, batch: batch, used: map[string]bool{}, next: map[string]int{}}
	if err := b.run(ctx); err != nil {
		return nil, err
	}
	plan, err := planner.Read(b.text(), planner.ReadOptions{File: opt.File, MaxBytes: max(opt.MaxBytes, 4*int64(len(data))+1<<20)})
	if err != nil {
		return nil, err
	}
	return &Result{Plan: plan, Notes: b.notes}, nil
}

// settle fills in and checks the kinds that are given.
func (o *Options) settle() error {
	if o.LinesAs == "" {
		o.LinesAs = planner.KindHedge
	}
	if o.PointsAs == "" {
		o.PointsAs = planner.KindPlant
	}
	if o.KindColumn == "" {
		o.KindColumn = "kind"
	}
	if spec, ok := planner.SpecOf(o.LinesAs); !ok || !slices.Contains(spec.Geometries, "LineString") && !slices.Contains(spec.Geometries, "Polygon") {
		return &planner.Problem{What: fmt.Sprintf("A line cannot become %q.", o.LinesAs), Mend: "--as is one of " + kindsWith("LineString", "Polygon") + "."}
	}
	if spec, ok := planner.SpecOf(o.PointsAs); !ok || !slices.Contains(spec.Geometries, "Point") {
		return &planner.Problem{What: fmt.Sprintf("A point cannot become %q.", o.PointsAs), Mend: "--points-as is one of " + kindsWith("Point") + "."}
	}
	if o.ToleranceM != nil && !(*o.ToleranceM >= 0 && *o.ToleranceM <= 1000) {
		return &planner.Problem{What: "The tolerance is no length.", Mend: "--tolerance is 0 to 1000 m; 0 thins nothing."}
	}
	return nil
}

func kindsWith(shapes ...string) string {
	var names []string
	for _, s := range planner.Kinds() {
		if slices.ContainsFunc(shapes, func(shape string) bool { return slices.Contains(s.Geometries, shape) }) {
			names = append(names, string(s.Kind))
		}
	}
	return strings.Join(names, ", ")
}

// FormatOf tells by its first bytes what a file is: GPX, KML (any other XML too), KMZ (any archive), GeoPackage (any SQLite database);
// "" for text that may be GeoJSON, and so a plan.
func FormatOf(data []byte) string {
	head := headOf(data)
	switch {
	case bytes.HasPrefix(data, []byte("SQLite format 3\x00")):
		return "GeoPackage"
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return "KMZ"
	case bytes.HasPrefix(head, []byte("<")) && bytes.Contains(head, []byte("<gpx")):
		return "GPX"
	case bytes.HasPrefix(head, []byte("<")):
		return "KML"
	}
	return ""
}

func headOf(data []byte) []byte {
	return bytes.TrimLeft(bytes.TrimPrefix(data[:min(len(data), 4096)], []byte("\xEF\xBB\xBF")), " \t\r\n")
}

func read(ctx context.Context, data []byte, opt Options) (*interchange.Batch, error) {
	var b *interchange.Batch
	var f *interchange.FormatFault
	switch head := headOf(data); FormatOf(data) {
	case "GeoPackage":
		b, f = interchange.ReadGeoPackage(ctx, data, opt.Grid)
	case "KMZ":
		b, f = interchange.ReadKMZ(data, opt.MaxBytes)
	case "GPX":
		b, f = interchange.ReadGPX(data)
	case "KML":
		b, f = interchange.ReadKML(data)
	default:
		if len(head) == 0 && len(data) <= 4096 {
			return nil, &planner.Problem{File: opt.File, What: "The file is empty.", Mend: "Export it again, as GPX, KML, KMZ, GeoPackage or GeoJSON."}
		}
		if bytes.HasPrefix(data, []byte("\xFF\xFE")) || bytes.HasPrefix(data, []byte("\xFE\xFF")) {
			return nil, &planner.Problem{File: opt.File, What: "The file is not written in UTF-8 but in UTF-16 or UTF-32.", Mend: "Save it as UTF-8."}
		}
		if len(head) > 0 && head[0] != '{' {
			return nil, &planner.Problem{File: opt.File, What: "This is none of GPX, KML, KMZ, GeoPackage and GeoJSON.", Mend: "Export it in one of these."}
		}
		b, f = interchange.ReadItems(data, opt.Grid)
	}
	if f != nil {
		return nil, &planner.Problem{File: opt.File, Where: f.Where, What: f.What, Mend: f.Mend, Err: f}
	}
	if opt.Grid != nil && opt.Grid.Code != b.Grid.Code {
		return nil, &planner.Problem{File: opt.File, What: b.Format + " has longitude and latitude by its own rules; --crs is for GeoJSON and GeoPackage.", Mend: "Leave --crs out."}
	}
	return b, nil
}
