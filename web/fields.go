package web

import (
	"context"
	"io"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"quickthorn/planner/growth"
	"quickthorn/planner/report"
	"quickthorn/planner/shelter"
)

// mostFieldsKept is how many fields and tables of years one revision keeps.
const mostFieldsKept = 48

// A fieldShelf keeps what was worked out of the fields of one revision. Several who ask for the same wait for one.
type fieldShelf struct {
	turn  chan struct{} // held by whoever works one out
	kept  map[string]any
	order []string // the oldest first
}

func newFieldShelf() *fieldShelf {
	return &fieldShelf{turn: make(chan struct{}, 1), kept: map[string]any{}}
}

// once is what work makes for a key, made one at a time for each holding, so that a slider that is drawn to and fro cannot keep more
// than one core's share busy; whoever is gone by the time it is their turn is not worked for.
func (f *fieldShelf) once(ctx context.Context, room chan struct{}, key string, work func() (any, error)) (any, error) {
	select {
	case f.turn <- struct{}{}:
		defer func() { <-f.turn }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	if v, ok := f.kept[key]; ok {
		return v, nil
	}
	select {
	case room <- struct{}{}:
		defer func() { <-room }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	v, err := work()
	if err != nil {
		return nil, err
	}
	if len(f.order) >= mostFieldsKept {
		delete(f.kept, f.order[0])
		f.order = f.order[1:]
	}
	f.kept[key] = v
	f.order = append(f.order, key)
	return v, nil
}

// yearsOf reads ?years=0,5,10, ?years=all or ?year=7; nil where nobody asks.
func yearsOf(r *http.Request) ([]int, error) {
	q := r.URL.Query()
	wrong := func(name, v string) error {
		return refuse(malformed, "%s is %q.", name, v).about(name).so("Give years from 0 to %d with commas between, or all.", growth.LastYear)
	}
	if v := q.Get("year"); v != "" {
		y, err := strconv.Atoi(v)
		if err != nil || y < 0 || y > growth.LastYear {
			return nil, wrong("year", v)
		}
		return []int{y}, nil
	}
	v := q.Get("years")
	switch v {
	case "":
		return nil, nil
	case "all":
		var out []int
		for y := range growth.LastYear + 1 {
			out = append(out, y)
		}
		return out, nil
	}
	var out []int
	for _, part := range strings.Split(v, ",") {
		y, err := strconv.Atoi(strings.TrimSpace(part))
		if err != nil || y < 0 || y > growth.LastYear {
			return nil, wrong("years", v)
		}
		out = append(out, y)
	}
	slices.Sort(out)
	return slices.Compact(out), nil
}

// grownAt is the holding that the path names with its positions and growth; nil where the asker has it already.
func (s *server) grownAt(w http.ResponseWriter, r *http.Request) (*state, *report.Report, error) {
	st, err := s.state(r)
	if err != nil {
		return nil, nil, err
	}
	if same, err := unchanged(w, r, tagOf(st.holding.Revision)); same || err != nil {
		return st, nil, err
	}
	w.Header().Set("Cache-Control", "no-store")
	rep, err := s.desk.quickReport(r.Context(), st, 0)
	return st, rep, err
}

// key names what was asked for within a revision.
func key(what string, years []int, more ...string) string {
	parts := []string{what}
	for _, y := range years {
		parts = append(parts, strconv.Itoa(y))
	}
	return strings.Join(append(parts, more...), " ")
}

// shelter is the wind left on beds by year.
func (s *server) shelter(w http.ResponseWriter, r *http.Request) error {
	leaf, err := leafOf(r)
	if err != nil {
		return err
	}
	return s.byYear(w, r, "shelter",
		func(ctx context.Context, rep *report.Report, years []int) (report.ByYears, error) {
			return rep.Shelter(ctx, years, nil)
		},
		func(st *state, rep *report.Report, year int) (*report.Field, error) {
			return s.shelterIn(r.Context(), st, rep, year, leaf)
		})
}

// light is the hours of sun on beds by year.
func (s *server) light(w http.ResponseWriter, r *http.Request) error {
	month, err := monthOf(r)
	if err != nil {
		return err
	}
	return s.byYear(w, r, "light",
		func(ctx context.Context, rep *report.Report, years []int) (report.ByYears, error) {
			return rep.Light(ctx, years, nil)
		},
		func(st *state, rep *report.Report, year int) (*report.Field, error) {
			return s.lightIn(r.Context(), st, rep, year, month)
		})
}

// byYear sends shelter or light in the format asked for. The tables and the fields are worked out only where that format needs them;
// the picture shows the last of the years.
func (s *server) byYear(w http.ResponseWriter, r *http.Request, what string, work func(context.Context, *report.Report, []int) (report.ByYears, error),
	field func(*state, *report.Report, int) (*report.Field, error)) error {
	years, err := yearsOf(r)
	if err != nil {
		return err
	}
	st, rep, err := s.grownAt(w, r)
	if rep == nil || err != nil {
		return err
	}
	years = report.YearsWithin(years)
	table := func(write func(report.ByYears) error) error {
		v, err := st.fields.once(r.Context(), s.desk.room, key(what, years), func() (any, error) { return work(r.Context(), rep, years) })
		if err != nil {
			return err
		}
		return write(v.(report.ByYears))
	}
	in := func(year int) (*report.Field, error) { return field(st, rep, year) }
	return s.offer(w, r, st.holding.ID+"-"+what, []form{
		{"json", "application/json", "json", func(b io.Writer) error { return table(func(t report.ByYears) error { return t.WriteJSON(b) }) }},
		{"geojson", "application/geo+json", "geojson", func(b io.Writer) error {
			fields, err := report.FieldsOf(years, in)
			if err != nil {
				return err
			}
			return table(func(t report.ByYears) error { return t.WriteGeoJSON(b, fields) })
		}},
		{"text", "text/plain; charset=utf-8", "txt", func(b io.Writer) error {
			return table(func(t report.ByYears) error { return t.WriteText(b, report.TextOptions{}) })
		}},
		{"svg", "image/svg+xml", "svg", func(b io.Writer) error {
			f, err := in(years[len(years)-1])
			if err != nil {
				return err
			}
			return rep.WriteFieldSVG(b, f, "")
		}},
	})
}

func (s *server) shelterIn(ctx context.Context, st *state, rep *report.Report, year int, leaf shelter.Leaf) (*report.Field, error) {
	v, err := st.fields.once(ctx, s.desk.room, key("shelter field", []int{year}, leaf.String()), func() (any, error) { return rep.ShelterField(ctx, year, leaf, nil) })
	if err != nil {
		return nil, err
	}
	return v.(*report.Field), nil
}

func (s *server) lightIn(ctx context.Context, st *state, rep *report.Report, year, month int) (*report.Field, error) {
	v, err := st.fields.once(ctx, s.desk.room, key("light field", []int{year, month}), func() (any, error) { return rep.LightField(ctx, year, month, nil) })
	if err != nil {
		return nil, err
	}
	return v.(*report.Field), nil
}

// fieldYear is the one year of a field; planting where nobody asks.
func fieldYear(r *http.Request) (int, error) {
	years, err := yearsOf(r)
	switch {
	case err != nil:
		return 0, err
	case len(years) == 0:
		return 0, nil
	case len(years) > 1:
		return 0, refuse(malformed, "A field is of one year, and %d are asked for.", len(years)).about("years").so("Give ?year=7.")
	}
	return years[0], nil
}

// leafOf reads ?leaf=on or off; on where nobody asks.
func leafOf(r *http.Request) (shelter.Leaf, error) {
	switch v := r.URL.Query().Get("leaf"); v {
	case "", "on":
		return shelter.InLeaf, nil
	case "off":
		return shelter.Bare, nil
	default:
		return 0, refuse(malformed, "leaf is %q.", v).about("leaf").so("Give on or off.")
	}
}

// monthOf reads ?month=4 to 9 or mean; the mean where nobody asks.
func monthOf(r *http.Request) (int, error) {
	v := r.URL.Query().Get("month")
	if v == "" || v == "mean" {
		return report.MeanMonth, nil
	}
	month, err := strconv.Atoi(v)
	if err != nil || month < 4 || month > 9 {
		return 0, refuse(malformed, "month is %q.", v).about("month").so("Give mean, or 4 (April) to 9 (September).")
	}
	return month, nil
}

// shelterField is the wind left over the holding in one year, as the page draws it.
func (s *server) shelterField(w http.ResponseWriter, r *http.Request) error {
	year, err := fieldYear(r)
	if err != nil {
		return err
	}
	leaf, err := leafOf(r)
	if err != nil {
		return err
	}
	st, rep, err := s.grownAt(w, r)
	if rep == nil || err != nil {
		return err
	}
	f, err := s.shelterIn(r.Context(), st, rep, year, leaf)
	if err != nil {
		return err
	}
	return sendJSON(w, r, http.StatusOK, f.JSON())
}

// lightField is the hours of sun over the holding in one year, as the page draws it.
func (s *server) lightField(w http.ResponseWriter, r *http.Request) error {
	year, err := fieldYear(r)
	if err != nil {
		return err
	}
	month, err := monthOf(r)
	if err != nil {
		return err
	}
	st, rep, err := s.grownAt(w, r)
	if rep == nil || err != nil {
		return err
	}
	f, err := s.lightIn(r.Context(), st, rep, year, month)
	if err != nil {
		return err
	}
	return sendJSON(w, r, http.StatusOK, f.JSON())
}
