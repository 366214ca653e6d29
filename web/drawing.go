package web

import (
	"errors"
	"io"
	"net/http"
	"strconv"

	"quickthorn/planner"
	"quickthorn/planner/prose"
	"quickthorn/planner/sheets"
)

// drawing is the plan as a drawing to scale: ?scale=500&paper=A3&turn=landscape&page=1&year=10&date=&author=.
func (s *server) drawing(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	number := func(name string, or int) (int, error) {
		v := q.Get(name)
		if v == "" {
			return or, nil
		}
		n, err := strconv.Atoi(v)
		if err != nil || n < 0 || n > 100_000 {
			return 0, refuse(malformed, "%s is %q.", name, v).about(name).so("Give a whole number.")
		}
		return n, nil
	}
	scale, err := number("scale", 0)
	if err != nil {
		return err
	}
	page, err := number("page", 1)
	if err != nil {
		return err
	}
	st, rep, err := s.reported(w, r)
	if rep == nil || err != nil {
		return err
	}
	d, err := sheets.Draw(rep.DrawingInput(rep.Year), sheets.Options{Scale: scale, Paper: q.Get("paper"), Turn: q.Get("turn"), Year: rep.Year,
		Date: prose.Short(q.Get("date"), 60), Author: prose.Short(q.Get("author"), 60)})
	var p *planner.Problem
	if errors.As(err, &p) {
		return refuse(malformed, "%s", p.What).so("%s", p.Mend)
	}
	if err != nil {
		return err
	}
	if page < 1 || page > len(d.Pages) {
		return refuse(malformed, "page is %d.", page).about("page").so("This drawing has %d.", len(d.Pages))
	}
	var forms []form
	for _, f := range sheets.Formats() {
		forms = append(forms, form{f.Name, f.Media, f.Ext, func(b io.Writer) error { return f.Write(b, d, page) }})
	}
	return s.offer(w, r, st.holding.ID+"-drawing", forms)
}
