package web

import (
	"context"
	"errors"
	"net/http"
	"strconv"

	"quickthorn/planner"
	"quickthorn/planner/store"
)

// edits makes an edit, whole or not at all.
func (s *server) edits(w http.ResponseWriter, r *http.Request) error {
	h, err := s.changing(r)
	if err != nil {
		return err
	}
	if _, err := yearOf(r); err != nil {
		return err // before anything is saved
	}
	st, next, e, ids, err := s.asked(w, r, h)
	if err != nil {
		return err
	}
	h, err = s.save(r.Context(), st, e, next)
	if err != nil {
		return err
	}
	return s.changed(w, r, h, ids)
}

// asked reads the change that a request asks for: the state it is made on, the plan it leads to, the edit it comes to, and the ids of what
// it puts.
func (s *server) asked(w http.ResponseWriter, r *http.Request, h store.Holding) (st *state, next *planner.Plan, e planner.Edit, ids []string, err error) {
	body, err := s.readJSON(w, r)
	if err != nil {
		return nil, nil, e, nil, err
	}
	c, err := readChange(body)
	if err != nil {
		return nil, nil, e, nil, err
	}
	st, e, ids, err = s.editOf(r.Context(), h, c)
	if err != nil {
		return nil, nil, e, nil, err
	}
	next, err = applied(st.plan, e)
	return st, next, e, ids, err
}

// editOf is the edit that a change comes to on the holding, and the state it is made on. A holding that has moved on is stale.
func (s *server) editOf(ctx context.Context, h store.Holding, c change) (*state, planner.Edit, []string, error) {
	st, err := s.desk.at(ctx, h.ID)
	if err != nil {
		return nil, planner.Edit{}, nil, err
	}
	if st.holding.Revision != h.Revision {
		return nil, planner.Edit{}, nil, store.ErrStale
	}
	e, ids, err := c.edit(st.plan)
	return st, e, ids, err
}

// applied is the plan that an edit leads to. An id in delete that is not there is not found; all else is the plan's to say.
func applied(plan *planner.Plan, e planner.Edit) (*planner.Plan, error) {
	for _, id := range e.Delete {
		if plan.Feature(id) == nil {
			return nil, noFeature(id)
		}
	}
	next, _, err := plan.Apply(e)
	return next, err
}

// save writes an edit to the store, and lays the plan it leads to on the desk.
func (s *server) save(ctx context.Context, st *state, e planner.Edit, next *planner.Plan) (store.Holding, error) {
	h, _, err := s.store.Edit(ctx, st.holding.ID, st.holding.Revision, e)
	if err != nil {
		return h, err
	}
	grown := st.bytes
	for _, f := range e.Put {
		grown += len(f)
	}
	s.desk.put(h, next, grown, s.desk.tried(st, e))
	return h, nil
}

// changed answers a change that was saved: its revision, and with ?sheet=1 the new sheet, without the slow rules: its "later" names
// them, and GET of the sheet has them. The change stands even where the sheet
// cannot be had in time: it is then left out, and the page asks for it.
func (s *server) changed(w http.ResponseWriter, r *http.Request, h store.Holding, ids []string) error {
	if ids == nil {
		ids = []string{}
	}
	list, err := toJSON(ids)
	if err != nil {
		return err
	}
	body := append([]byte(`{"revision":`), strconv.FormatInt(h.Revision, 10)...)
	body = append(append(body, `,"ids":`...), list[:len(list)-1]...)
	if wants(r, "sheet") {
		sheet, err := s.sheetAfter(r, h)
		if err == nil {
			body = append(append(body, `,"sheet":`...), sheet[:len(sheet)-1]...)
		} else if !errors.Is(err, errMoved) {
			s.opt.Fault(r.Method, r.URL.Path, err)
		}
	}
	body = append(body, "}\n"...)
	w.Header().Set("ETag", tagOf(h.Revision))
	w.Header().Set("Cache-Control", "no-store")
	send(w, r, http.StatusOK, "application/json", body)
	return nil
}

// errMoved: the holding has moved on since; the sheet of the revision just made is no longer to be had.
var errMoved = errors.New("the holding has moved on")

func (s *server) sheetAfter(r *http.Request, h store.Holding) ([]byte, error) {
	year, err := yearOf(r)
	if err != nil {
		year = 0
	}
	st := s.desk.find(h)
	if st == nil {
		if st, err = s.desk.at(r.Context(), h.ID); err != nil {
			return nil, err
		}
	}
	if st.holding.Revision != h.Revision {
		return nil, errMoved
	}
	rep, err := s.desk.quickReport(r.Context(), st, year)
	if err != nil {
		return nil, err
	}
	if st.try != nil && rep == st.try.report {
		return st.try.sheet, nil
	}
	return toJSON(rep.Sheet())
}

// wants reads a parameter that is yes or no.
func wants(r *http.Request, name string) bool {
	switch r.URL.Query().Get(name) {
	case "1", "true", "yes":
		return true
	}
	return false
}

// trial is the sheet as if an edit had been made on the holding as it is, without the slow rules. Nothing is saved. With If-Match it is refused where the
// holding has moved on.
func (s *server) trial(w http.ResponseWriter, r *http.Request) error {
	h, err := s.current(r)
	if err != nil {
		return err
	}
	if r.Header.Get("If-Match") != "" {
		if err := mustMatch(r, tagOf(h.Revision)); err != nil {
			return err
		}
	}
	year, err := yearOf(r)
	if err != nil {
		return err
	}
	st, next, e, _, err := s.asked(w, r, h)
	if err != nil {
		return err
	}
	t, err := s.desk.try(r.Context(), st, e, next, year)
	if err != nil {
		return err
	}
	w.Header().Set("ETag", tagOf(h.Revision))
	send(w, r, http.StatusOK, "application/json", t.sheet)
	return nil
}

// undo takes the last change back that was not taken back yet; redo makes it again. Both are new revisions.
func (s *server) undo(w http.ResponseWriter, r *http.Request) error {
	return s.step(w, r, s.store.Undo)
}

func (s *server) redo(w http.ResponseWriter, r *http.Request) error {
	return s.step(w, r, s.store.Redo)
}

func (s *server) step(w http.ResponseWriter, r *http.Request, how func(context.Context, string, int64) (store.Holding, error)) error {
	h, err := s.changing(r)
	if err != nil {
		return err
	}
	if _, err := yearOf(r); err != nil {
		return err
	}
	h, err = how(r.Context(), h.ID, h.Revision)
	if err != nil {
		return err
	}
	return s.changed(w, r, h, nil)
}

// step of the journal as it is shown.
type entry struct {
	Revision int64  `json:"revision"`
	When     string `json:"when"` // UTC
	Note     string `json:"note"`
	Kind     string `json:"kind"`
	Undone   bool   `json:"undone"`
}

// history lists the journal, the newest first.
func (s *server) history(w http.ResponseWriter, r *http.Request) error {
	h, err := s.current(r)
	if err != nil {
		return err
	}
	most, err := wholeNumber(r, "most", 500, 1, 100_000)
	if err != nil {
		return err
	}
	if same, err := unchanged(w, r, tagOf(h.Revision)); same || err != nil {
		return err
	}
	list, err := s.store.History(r.Context(), h.ID, most)
	if err != nil {
		return err
	}
	out := []entry{}
	for _, e := range list {
		out = append(out, entry{Revision: e.Revision, When: e.When.UTC().Format("2006-01-02T15:04:05Z"), Note: e.Note, Kind: e.Kind, Undone: e.Undone})
	}
	return sendJSON(w, r, http.StatusOK, out)
}
