package web

import (
	"encoding/json"
	"errors"
	"net/http"
	"net/url"
	"time"

	"github.com/paulmach/orb"

	"quickthorn/geo/interchange"
	"quickthorn/planner"
	"quickthorn/planner/store"
)

// listed is a holding in a list.
type listed struct {
	ID       string    `json:"id"`
	Name     string    `json:"name"`
	Revision int64     `json:"revision"`
	Changed  time.Time `json:"changed"`
}

func listedOf(h store.Holding) listed {
	return listed{ID: h.ID, Name: h.Name, Revision: h.Revision, Changed: h.Changed}
}

func (s *server) holdings(w http.ResponseWriter, r *http.Request) error {
	all, err := s.store.Holdings(r.Context())
	if err != nil {
		return err
	}
	out := []listed{}
	for _, h := range all {
		out = append(out, listedOf(h))
	}
	return sendJSON(w, r, http.StatusOK, out)
}

// current is the holding that the path names. An unknown one is said by name.
func (s *server) current(r *http.Request) (store.Holding, error) {
	id := variable(r, "holding")
	h, err := s.store.Holding(r.Context(), id)
	if errors.Is(err, store.ErrNotFound) {
		return h, noHolding(id)
	}
	return h, err
}

func noHolding(id string) *refusal {
	return refuse(unknown, "There is no holding %q.", interchange.Shorten(id)).so("GET /holdings lists the holdings there are.")
}

// changing is the holding that the path names, held against If-Match.
func (s *server) changing(r *http.Request) (store.Holding, error) {
	h, err := s.current(r)
	if err != nil {
		return h, err
	}
	return h, mustMatch(r, tagOf(h.Revision))
}

// plan is the whole plan as GeoJSON, byte for byte as it was brought in but for what was edited.
func (s *server) plan(w http.ResponseWriter, r *http.Request) error {
	h, err := s.current(r)
	if err != nil {
		return err
	}
	if same, err := unchanged(w, r, tagOf(h.Revision)); same || err != nil {
		return err
	}
	data, h, err := s.store.Plan(r.Context(), h.ID)
	if err != nil {
		return err
	}
	w.Header().Set("ETag", tagOf(h.Revision))
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("Content-Disposition", disposition("inline", h.ID+".geojson"))
	send(w, r, http.StatusOK, "application/geo+json", data)
	return nil
}

// nowhere is the origin of a holding that nobody has placed yet, longitude and latitude: a place in the sea between Britain and
// Ireland, whose rule sets there are, so that nobody takes it for theirs.
var nowhere = orb.Point{-4.7, 53.7}

// create takes in a plan, or begins an empty holding where the body has no features.
func (s *server) create(w http.ResponseWriter, r *http.Request) error {
	body, err := s.readJSON(w, r)
	if err != nil {
		return err
	}
	note := "Brought in"
	if !isPlan(body) {
		if body, err = emptyPlan(body); err != nil {
			return err
		}
		note = "Begun"
	}
	data, err := Anchored(body, "")
	if err != nil {
		return err
	}
	h, err := s.store.Create(r.Context(), "", data, note)
	if err != nil {
		return err
	}
	w.Header().Set("Location", "/holdings/"+url.PathEscape(h.ID))
	w.Header().Set("ETag", tagOf(h.Revision))
	return sendJSON(w, r, http.StatusCreated, listedOf(h))
}

// isPlan tells a plan from the few words that begin an empty holding.
func isPlan(body []byte) bool {
	return !interchange.IsObject(body) || interchange.Find(body, "type") != nil || interchange.Find(body, "features") != nil
}

// emptyPlan is a plan without features: its holding has the members of the body, {} for none.
func emptyPlan(body []byte) ([]byte, error) {
	allowed := map[string]bool{}
	for _, p := range planner.HoldingProps() {
		allowed[p.Name] = true
	}
	holding := body
	for m := range interchange.Members(body) {
		name := string(m.Name)
		if name == "holding" {
			holding = m.Value.Of(body)
		} else if !allowed[name] {
			return nil, refuse(malformed, "A new holding has no member %q.", interchange.Shorten(name)).about(interchange.Shorten(name)).
				so(`Send {"name": "...", "origin": [longitude, latitude]}, both of them optional, or a whole plan.`)
		}
	}
	if !interchange.IsObject(holding) {
		return nil, refuse(malformed, "The member holding is no object.").about("holding")
	}
	return json.Marshal(map[string]any{"type": "FeatureCollection", "holding": json.RawMessage(holding), "features": []any{}})
}

// Anchored is a plan that was looked through and has an origin to measure from, even where nothing is drawn yet: else the metres of
// the first edit would shift under it. file names it in messages.
func Anchored(data []byte, file string) ([]byte, error) {
	p, err := planner.Read(data, planner.ReadOptions{File: file, MaxBytes: int64(len(data)) + 1})
	if err != nil {
		return nil, err
	}
	q, err := p.Anchored(nowhere)
	if err != nil || q == p {
		return data, err
	}
	return q.Bytes()
}

// replace puts a whole plan in the place of another. It is an edit like any other and can be taken back.
func (s *server) replace(w http.ResponseWriter, r *http.Request) error {
	h, body, err := s.sent(w, r)
	if err != nil {
		return err
	}
	data, err := Anchored(body, "")
	if err != nil {
		return err
	}
	h, err = s.store.Replace(r.Context(), h.ID, h.Revision, data, "Replaced by another plan")
	if err != nil {
		return err
	}
	return s.changed(w, r, h, nil)
}

func (s *server) remove(w http.ResponseWriter, r *http.Request) error {
	h, err := s.changing(r)
	if err != nil {
		return err
	}
	if err := s.store.Delete(r.Context(), h.ID, h.Revision); err != nil {
		return err
	}
	s.desk.forget(h.ID)
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(http.StatusNoContent)
	return nil
}
