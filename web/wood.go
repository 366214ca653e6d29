package web

import (
	"io"
	"net/http"
	"strconv"

	"quickthorn/planner/prose"
	"quickthorn/planner/report"
	"quickthorn/planner/wood"
)

// rota is the cutting rota of the holding that the path names, worked out once for each revision; nil where the asker has it already.
func (s *server) rota(w http.ResponseWriter, r *http.Request) (*state, *report.Report, *wood.Result, error) {
	st, rep, err := s.grownAt(w, r)
	if rep == nil || err != nil {
		return nil, nil, nil, err
	}
	v, err := st.fields.once(r.Context(), s.desk.room, "wood", func() (any, error) { return rep.Wood(), nil })
	if err != nil {
		return nil, nil, nil, err
	}
	return st, rep, v.(*wood.Result), nil
}

// wood is the rota and the balance of logs and chip: what the command writes, and ?format=page, which has the shapes of the sections
// in metres besides.
func (s *server) wood(w http.ResponseWriter, r *http.Request) error {
	st, rep, res, err := s.rota(w, r)
	if res == nil || err != nil {
		return err
	}
	return s.offer(w, r, st.holding.ID+"-wood", []form{
		{"json", "application/json", "json", func(b io.Writer) error { return wood.WriteJSON(b, res) }},
		{"text", "text/plain; charset=utf-8", "txt", func(b io.Writer) error { return rep.WriteWood(b, res, report.TextOptions{}) }},
		{"csv", "text/csv; charset=utf-8", "csv", func(b io.Writer) error { return wood.WriteCSV(b, res) }},
		{"svg", "image/svg+xml", "svg", func(b io.Writer) error { return wood.WriteSVG(b, res) }},
		{"page", "application/json", "json", func(b io.Writer) error {
			page, err := rep.WoodPageOf(res)
			if err != nil {
				return err
			}
			body, err := toJSON(page)
			if err != nil {
				return err
			}
			_, err = b.Write(body)
			return err
		}},
	})
}

// cuttingSheet is one winter's work for paper: of ?winter=, else of the first winter in which something is cut.
func (s *server) cuttingSheet(w http.ResponseWriter, r *http.Request) error {
	asked := r.URL.Query().Get("winter")
	winter, wrong := strconv.Atoi(asked)
	if asked != "" && wrong != nil {
		return refuse(malformed, "winter is %q.", asked).about("winter").so("Give the year in which the winter starts, such as 2027.")
	}
	st, rep, res, err := s.rota(w, r)
	if res == nil || err != nil {
		return err
	}
	last := res.First + len(res.Winters) - 1
	switch {
	case asked == "":
		winter = report.FirstCutting(res)
	case winter < res.First || winter > last:
		return refuse(malformed, "The rota has no winter %d.", winter).about("winter").so("Give a winter from %d to %d.", res.First, last)
	}
	date := prose.Short(r.URL.Query().Get("date"), 60)
	return s.offer(w, r, st.holding.ID+"-cutting-"+strconv.Itoa(winter), []form{
		{"html", "text/html; charset=utf-8", "html", func(b io.Writer) error {
			return wood.WriteSheetHTML(b, res.CuttingSheet(rep.WoodInput(), winter, date))
		}},
		{"text", "text/plain; charset=utf-8", "txt", func(b io.Writer) error {
			return rep.WriteWinter(b, res, winter, report.TextOptions{Date: date})
		}},
	})
}
