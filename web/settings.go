package web

import (
	"net/http"

	"quickthorn/geo/interchange"
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
func (s *server) putSettings(w http.ResponseWriter, r *http.Request) error {
	h, err := s.changing(r)
	if err != nil {
		return err
	}
	if _, err := yearOf(r); err != nil {
		return err
	}
	body, err := s.readJSON(w, r)
	if err != nil {
		return err
	}
	if !interchange.IsObject(body) {
		return refuse(malformed, "The settings are no JSON object.").so(`Send the whole holding member, such as {"name": "...", "rule_set": "general"}.`)
	}
	h, err = s.store.Settings(r.Context(), h.ID, h.Revision, body, "Changed the settings of the holding")
	if err != nil {
		return err
	}
	return s.changed(w, r, h, nil)
}
