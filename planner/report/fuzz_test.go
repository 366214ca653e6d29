package report

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/txtar"

	"quickthorn/planner"
	"quickthorn/planner/lists"
	"quickthorn/planner/setout"
)

// FuzzCheck feeds whole files to the whole program: whatever comes in, it is refused with a Problem or checked to the end,
// listed and exported, without a crash, and what was read is written back and read again with the same findings.
func FuzzCheck(f *testing.F) {
	for _, pattern := range []string{"../../testdata/*.geojson", "../../testdata/parcels/fi0*.geojson"} {
		files, err := filepath.Glob(pattern)
		if err != nil {
			f.Fatal(err)
		}
		for _, name := range files {
			data, err := os.ReadFile(name)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	examples, err := filepath.Glob(filepath.Join(rulesDir, "*.txtar"))
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range examples {
		archive, err := txtar.ParseFile(name)
		if err != nil {
			f.Fatal(err)
		}
		for _, file := range archive.Files {
			if filepath.Ext(file.Name) == ".geojson" {
				f.Add(file.Data)
			}
		}
	}
	engine, err := NewEngine()
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 1<<20 {
			t.Skip("larger than what is worth mutating")
		}
		ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
		defer cancel()
		r, err := engine.Build(ctx, data, Options{File: "fuzz"})
		if err != nil {
			var p *planner.Problem
			if !errors.As(err, &p) {
				t.Fatalf("refused with what the user cannot mend: %v", err)
			}
			return
		}
		if r.Out.Listed() > 20_000 {
			return // a line drawn across a county is checked; writing it ten times over would only slow the search down
		}
		write := map[string]error{"text": r.WriteText(io.Discard, TextOptions{}), "json": r.WriteJSON(io.Discard), "geojson": r.WriteGeoJSON(io.Discard)}
		for _, format := range lists.Formats() {
			write["list "+format.Name] = format.Write(io.Discard, r.List(), lists.Options{})
		}
		for _, format := range setout.Formats() {
			write["setout "+format.Name] = format.Write(io.Discard, r.Plan, r.Stations(setout.AllPoints))
		}
		for name, err := range write {
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
		}
	})
}
