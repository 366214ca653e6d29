package web

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"net/http"
	"regexp"
	"strings"

	"quickthorn/planner/lists"
	"quickthorn/planner/prose"
	"quickthorn/planner/report"
	"quickthorn/planner/setout"
	"quickthorn/planner/sheets"
	"quickthorn/planner/store"
)

// state is the holding that the path names, read.
func (s *server) state(r *http.Request) (*state, error) {
	id := variable(r, "holding")
	st, err := s.desk.at(r.Context(), id)
	if errors.Is(err, store.ErrNotFound) {
		return nil, noHolding(id)
	}
	return st, err
}

// reported is the report on the holding that the path names in the year asked for, or nil where the asker has it already.
func (s *server) reported(w http.ResponseWriter, r *http.Request) (*state, *report.Report, error) {
	year, err := yearOf(r)
	if err != nil {
		return nil, nil, err
	}
	st, err := s.state(r)
	if err != nil {
		return nil, nil, err
	}
	if same, err := unchanged(w, r, tagOf(st.holding.Revision)); same || err != nil {
		return st, nil, err
	}
	w.Header().Set("Cache-Control", "no-store")
	rep, err := s.desk.report(r.Context(), st, year)
	return st, rep, err
}

// sheet is what the page draws.
func (s *server) sheet(w http.ResponseWriter, r *http.Request) error {
	_, rep, err := s.reported(w, r)
	if rep == nil || err != nil {
		return err
	}
	return sendJSON(w, r, http.StatusOK, rep.Sheet())
}

// A form is one format of something that is worked out, as a handler offers it.
type form struct {
	name, media, ext string
	write            func(io.Writer) error
}

// report is the object of `check`, or its text, or the findings as features.
func (s *server) report(w http.ResponseWriter, r *http.Request) error {
	st, rep, err := s.reported(w, r)
	if rep == nil || err != nil {
		return err
	}
	named := *rep
	named.File = st.holding.ID
	return s.offer(w, r, st.holding.ID+"-report", []form{
		{"json", "application/json", "json", named.WriteJSON},
		{"geojson", "application/geo+json", "geojson", named.WriteGeoJSON},
		{"text", "text/plain; charset=utf-8", "txt", func(b io.Writer) error { return named.WriteText(b, report.TextOptions{}) }},
	})
}

// plantingList is the list of plants and sundries. Where the asker does not care it is JSON, as every other resource.
func (s *server) plantingList(w http.ResponseWriter, r *http.Request) error {
	st, rep, err := s.reported(w, r)
	if rep == nil || err != nil {
		return err
	}
	list := rep.List()
	opt := lists.Options{Date: prose.Short(r.URL.Query().Get("date"), 60)}
	var forms []form
	for _, f := range lists.Formats() {
		offered := form{f.Name, f.Media, f.Ext, func(b io.Writer) error { return f.Write(b, list, opt) }}
		if f.Name == "json" {
			forms = append([]form{offered}, forms...)
		} else {
			forms = append(forms, offered)
		}
	}
	return s.offer(w, r, st.holding.ID+"-planting-list", forms)
}

// setout is the positions for pegging out. ?points=all or ends.
func (s *server) setout(w http.ResponseWriter, r *http.Request) error {
	st, rep, err := s.reported(w, r)
	if rep == nil || err != nil {
		return err
	}
	points := r.URL.Query().Get("points")
	if points != "" && points != string(setout.AllPoints) && points != string(setout.EndPoints) {
		return refuse(malformed, "points is %q.", points).about("points").so("Give all or ends.")
	}
	var forms []form
	for _, f := range setout.Formats() {
		which := setout.Points(points)
		if which == "" {
			which = f.Points
		}
		forms = append(forms, form{f.Name, f.Media, f.Ext, func(b io.Writer) error {
			return f.Write(b, rep.Plan, rep.Stations(which))
		}})
	}
	for _, f := range sheets.FieldFormats() {
		forms = append(forms, form{f.Name, f.Media, f.Ext, func(b io.Writer) error {
			return f.Write(b, rep.DrawingInput(rep.Year), sheets.Options{Date: prose.Short(r.URL.Query().Get("date"), 60)})
		}})
	}
	return s.offer(w, r, st.holding.ID+"-setout", forms)
}

// offer writes the format that ?format= names, or else the one that Accept likes best; the first where it does not care.
func (s *server) offer(w http.ResponseWriter, r *http.Request, name string, forms []form) error {
	w.Header().Add("Vary", "Accept")
	f, err := choose(r, forms)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := f.write(&b); err != nil {
		return err
	}
	w.Header().Set("Cache-Control", "no-store")
	how := "inline"
	if f.ext == "csv" || wants(r, "download") {
		how = "attachment"
	}
	w.Header().Set("Content-Disposition", disposition(how, name+"."+f.ext))
	if strings.HasPrefix(f.media, "text/html") {
		w.Header().Set("Content-Security-Policy", sheetPolicy(b.Bytes()))
	}
	send(w, r, http.StatusOK, f.media, b.Bytes())
	return nil
}

func choose(r *http.Request, forms []form) (form, error) {
	var names []string
	for _, f := range forms {
		names = append(names, f.name)
	}
	if want := r.URL.Query().Get("format"); want != "" {
		for _, f := range forms {
			if f.name == want {
				return f, nil
			}
		}
		return form{}, refuse(malformed, "It is not written as %q.", want).about("format").so("format is one of %s.", strings.Join(names, ", "))
	}
	accept := strings.Join(r.Header.Values("Accept"), ",")
	if strings.TrimSpace(accept) == "" {
		return forms[0], nil
	}
	best, bestQ := -1, 0.0
	for i, f := range forms {
		if q := liking(accept, f.media); q > bestQ {
			best, bestQ = i, q
		}
	}
	if best < 0 {
		return form{}, refuse(notOffered, "It is not written as %s.", accept).about("Accept").so("format is one of %s.", strings.Join(names, ", "))
	}
	return forms[best], nil
}

// liking is the weight that an Accept header gives a media type: that of its most particular range (RFC 9110, 2022, section 12.5.1).
func liking(accept, kind string) float64 {
	kind, _, _ = strings.Cut(kind, ";")
	group, _, _ := strings.Cut(kind, "/")
	best, q := 0, 0.0
	for _, part := range strings.Split(accept, ",") {
		name, params, _ := strings.Cut(part, ";")
		rank := 0
		switch strings.ToLower(strings.TrimSpace(name)) {
		case kind:
			rank = 3
		case group + "/*":
			rank = 2
		case "*/*":
			rank = 1
		}
		if rank > best {
			best, q = rank, weight(params)
		}
	}
	return q
}

// disposition names a download. Ids of holdings and names of pictures are plain; anything else in a name becomes a hyphen.
func disposition(how, name string) string {
	return fmt.Sprintf("%s; filename=%q", how, strings.Map(func(c rune) rune {
		if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '.' || c == '-' || c == '_' {
			return c
		}
		return '-'
	}, name))
}

var styleElement = regexp.MustCompile(`(?s)<style>(.*?)</style>`)

// sheetPolicy lets a sheet for printing have the one style that it brings along, and nothing else. Names in it are escaped, so that
// the first style element is its own.
func sheetPolicy(page []byte) string {
	policy := "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
	if m := styleElement.FindSubmatch(page); m != nil {
		sum := sha256.Sum256(m[1])
		policy += "; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
	}
	return policy
}
