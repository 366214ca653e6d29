package web

import (
	"bytes"
	"encoding/json"
	"net/http"
	"strings"

	"quickthorn/planner/bringin"
	"quickthorn/planner/prose"
)

// bringIn makes a plan of a file of another program: GPX, KML, KMZ, GeoPackage, GeoJSON of a grid or with tags of OpenStreetMap. The
// body is the file, ?name= what it is called. Nothing is kept: the answer is the plan and what was done to come by it, in sentences.
func (s *server) bringIn(w http.ResponseWriter, r *http.Request) error {
	data, err := readBody(w, r, s.opt.MaxBody)
	if err != nil {
		return err
	}
	got, err := bringin.Bring(r.Context(), data, bringin.Options{File: prose.Short(prose.Clean(r.URL.Query().Get("name")), 120), MaxBytes: s.opt.MaxBody})
	if err != nil {
		return err
	}
	var plan bytes.Buffer
	if err := got.Plan.Write(&plan); err != nil {
		return err
	}
	notes := []string{}
	for _, n := range got.Notes {
		notes = append(notes, withoutFlags(prose.Clean(n)))
	}
	w.Header().Set("Cache-Control", "no-store")
	return sendJSON(w, r, http.StatusOK, struct {
		Plan  json.RawMessage `json:"plan"`
		Notes []string        `json:"notes"`
	}{plan.Bytes(), notes})
}

// withoutFlags leaves out the sentences of a note that tell of flags of the command line, which the page does not have.
func withoutFlags(note string) string {
	var out []string
	for _, s := range strings.SplitAfter(note, ". ") {
		if !strings.Contains(s, "--") {
			out = append(out, s)
		}
	}
	return strings.TrimSpace(strings.Join(out, ""))
}
