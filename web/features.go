package web

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"net/http"
	"net/url"

	"quickthorn/geo/interchange"
	"quickthorn/planner"
	"quickthorn/planner/store"
)

func noFeature(id string) *refusal {
	return refuse(unknown, "There is no feature %q in the holding.", interchange.Shorten(id)).of(id).
		so("Nothing was changed. Fetch the plan again: it may have been deleted already.")
}

// featureTag is a feature's own tag: the hash of its text.
func featureTag(f *planner.Feature) string {
	sum := sha256.Sum256(f.Text())
	return `"f-` + hex.EncodeToString(sum[:12]) + `"`
}

// feature is one feature in longitude and latitude.
func (s *server) feature(w http.ResponseWriter, r *http.Request) error {
	st, err := s.state(r)
	if err != nil {
		return err
	}
	id := variable(r, "feature")
	f := st.plan.Feature(id)
	if f == nil {
		return noFeature(id)
	}
	if same, err := unchanged(w, r, featureTag(f)); same || err != nil {
		return err
	}
	w.Header().Set("Cache-Control", "no-store")
	send(w, r, http.StatusOK, "application/geo+json", f.Text())
	return nil
}

// tries is how often a change of one feature is made again where others change other features at the same time.
const tries = 50

// putFeature replaces a feature, or makes it where If-Match holds the holding's revision. The id of the path counts.
func (s *server) putFeature(w http.ResponseWriter, r *http.Request) error {
	id := variable(r, "feature")
	body, err := s.readJSON(w, r)
	if err != nil {
		return err
	}
	if t, _ := interchange.Text(interchange.Find(body, "type")); t != "Feature" {
		return refuse(unusable, "The body is no GeoJSON Feature.").of(id).so(`Send {"type": "Feature", "properties": {...}, "geometry": {...}}.`)
	}
	if stated, _ := planner.StatedID(body); stated != id {
		if body, err = planner.WithID(body, id); err != nil {
			return err
		}
	}
	return s.changeFeature(w, r, id, planner.Edit{Put: []json.RawMessage{body}})
}

func (s *server) deleteFeature(w http.ResponseWriter, r *http.Request) error {
	id := variable(r, "feature")
	return s.changeFeature(w, r, id, planner.Edit{Delete: []string{id}})
}

// changeFeature makes an edit of one feature under the tag of the holding or the feature's own. Under its own it is made again where
// others were quicker on other features: the tag is held against the feature each time.
func (s *server) changeFeature(w http.ResponseWriter, r *http.Request, id string, e planner.Edit) error {
	e.Note = noteOf(e)
	var err error
	for range tries {
		var st *state
		if st, err = s.state(r); err != nil {
			return err
		}
		f := st.plan.Feature(id)
		if f == nil && len(e.Delete) > 0 {
			return noFeature(id)
		}
		tags := []string{tagOf(st.holding.Revision)}
		if f != nil {
			tags = append(tags, featureTag(f))
		}
		if err := mustMatch(r, tags...); err != nil {
			return err
		}
		var next *planner.Plan
		if next, err = applied(st.plan, e); err != nil {
			return err
		}
		var h store.Holding
		if h, err = s.save(r.Context(), st, e, next); errors.Is(err, store.ErrStale) {
			continue
		} else if err != nil {
			return err
		}
		return s.changedFeature(w, r, h, next.Feature(id), id, f == nil)
	}
	return err
}

func (s *server) changedFeature(w http.ResponseWriter, r *http.Request, h store.Holding, f *planner.Feature, id string, isNew bool) error {
	ids, status := []string{}, http.StatusOK
	w.Header().Set("ETag", tagOf(h.Revision))
	if f != nil {
		ids = append(ids, id)
		w.Header().Set("ETag", featureTag(f))
	}
	if isNew {
		status = http.StatusCreated
		w.Header().Set("Location", "/holdings/"+url.PathEscape(h.ID)+"/features/"+url.PathEscape(id))
	}
	return sendJSON(w, r, status, map[string]any{"revision": h.Revision, "ids": ids})
}
