package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"unicode/utf8"

	"github.com/paulmach/orb"

	"quickthorn/geo/interchange"
	"quickthorn/planner/store"
)

// settings is the holding member of the plan: what is said once for the whole place.
func (s *server) settings(w http.ResponseWriter, r *http.Request) error {
	st, err := s.state(r)
	if err != nil {
		return err
	}
	if same, err := unchanged(w, r, tagOf(st.holding.Revision)); same || err != nil {
		return err
	}
	return sendJSON(w, r, http.StatusOK, st.plan.HoldingJSON())
}

// putSettings replaces the holding member. Without an origin the one that is measured from stays, so that nothing shifts.
// ?note= says in the history what was changed.
func (s *server) putSettings(w http.ResponseWriter, r *http.Request) error {
	h, body, err := s.sent(w, r)
	if err != nil {
		return err
	}
	if !interchange.IsObject(body) {
		return refuse(malformed, "The settings are no JSON object.").so(`Send the whole holding member, such as {"name": "...", "rule_set": "general"}.`)
	}
	note := r.URL.Query().Get("note")
	switch {
	case note == "":
		note = "Changed the settings of the holding"
	case utf8.RuneCountInString(note) > maxNote:
		return refuse(malformed, "The note has %d characters; at most %d are kept.", utf8.RuneCountInString(note), maxNote).about("note").so("Make it shorter.")
	}
	h, err = s.store.Settings(r.Context(), h.ID, h.Revision, body, note)
	if err != nil {
		return err
	}
	return s.changed(w, r, h, nil)
}

// place carries all that is drawn to another place on earth, in one step: for land that was drawn before anybody knew where it lies.
// {"origin": [longitude, latitude]} is where the point comes to lie that metres are measured from.
func (s *server) place(w http.ResponseWriter, r *http.Request) error {
	h, body, err := s.sent(w, r)
	if err != nil {
		return err
	}
	var to struct {
		Origin []float64 `json:"origin"`
	}
	if json.Unmarshal(body, &to) != nil || len(to.Origin) != 2 {
		return refuse(malformed, "No place is given.").about("origin").so(`Send {"origin": [longitude, latitude]}, in degrees.`)
	}
	st, err := s.desk.at(r.Context(), h.ID)
	if err != nil {
		return err
	}
	if st.holding.Revision != h.Revision {
		return store.ErrStale
	}
	moved, err := st.plan.MovedTo(orb.Point{to.Origin[0], to.Origin[1]})
	if err != nil {
		return err
	}
	text, err := moved.Bytes()
	if err != nil {
		return err
	}
	h, err = s.store.Replace(r.Context(), h.ID, h.Revision, text, fmt.Sprintf("Moved all that is drawn to latitude %g, longitude %g", to.Origin[1], to.Origin[0]))
	if err != nil {
		return err
	}
	return s.changed(w, r, h, nil)
}

// sent is the holding that a request changes, if it is the one the asker knows, and what is sent. A ?year= that is none is refused
// before anything is saved.
func (s *server) sent(w http.ResponseWriter, r *http.Request) (store.Holding, []byte, error) {
	h, err := s.changing(r)
	if err != nil {
		return h, nil, err
	}
	if _, err := yearOf(r); err != nil {
		return h, nil, err
	}
	body, err := s.readJSON(w, r)
	return h, body, err
}
