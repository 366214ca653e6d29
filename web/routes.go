package web

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/gorilla/mux"
)

// A handler answers a request or says why not.
type handler func(w http.ResponseWriter, r *http.Request) error

// A resource is one address and what can be done there. HEAD comes with GET, OPTIONS with everything.
type resource struct {
	path                    string
	get, post, put, deletes handler
}

// resources is the table of all that is served, in the order in which it is matched.
func (s *server) resources() []resource {
	return []resource{
		{path: "/", get: s.page},
		{path: "/static/{file:.*}", get: s.static},
		{path: "/favicon.ico", get: s.favicon},
		{path: "/healthz", get: s.health},
		{path: "/problems/{problem}", get: s.problems},
		{path: "/vocabulary", get: s.words},
		{path: "/bring-in", post: s.bringIn},
		{path: "/holdings", get: s.holdings, post: s.create},
		{path: "/holdings/{holding}", get: s.plan, put: s.replace, deletes: s.remove},
		{path: "/holdings/{holding}/sheet", get: s.sheet},
		{path: "/holdings/{holding}/trial", post: s.trial},
		{path: "/holdings/{holding}/edits", post: s.edits},
		{path: "/holdings/{holding}/features/{feature}", get: s.feature, put: s.putFeature, deletes: s.deleteFeature},
		{path: "/holdings/{holding}/settings", get: s.settings, put: s.putSettings},
		{path: "/holdings/{holding}/place", put: s.place},
		{path: "/holdings/{holding}/pictures/{picture}", get: s.picture, put: s.putPicture, deletes: s.deletePicture},
		{path: "/holdings/{holding}/undo", post: s.undo},
		{path: "/holdings/{holding}/redo", post: s.redo},
		{path: "/holdings/{holding}/history", get: s.history},
		{path: "/holdings/{holding}/suits", get: s.suits},
		{path: "/holdings/{holding}/report", get: s.report},
		{path: "/holdings/{holding}/planting-list", get: s.plantingList},
		{path: "/holdings/{holding}/setout", get: s.setout},
		{path: "/holdings/{holding}/drawing", get: s.drawing},
		{path: "/holdings/{holding}/shelter", get: s.shelter},
		{path: "/holdings/{holding}/shelter/field", get: s.shelterField},
		{path: "/holdings/{holding}/light", get: s.light},
		{path: "/holdings/{holding}/light/field", get: s.lightField},
		{path: "/holdings/{holding}/wood", get: s.wood},
		{path: "/holdings/{holding}/wood/sheet", get: s.cuttingSheet},
		{path: "/api", get: s.landing},
		{path: "/api/", get: s.landing},
		{path: "/api/openapi", get: s.openAPI},
		{path: "/api/conformance", get: s.conformance},
		{path: "/api/collections", get: s.collections},
		{path: "/api/collections/{holding}", get: s.collection},
		{path: "/api/collections/{holding}/schema", get: s.schema},
		{path: "/api/collections/{holding}/items", get: s.items},
		{path: "/api/collections/{holding}/items/{feature}", get: s.item},
	}
}

// router matches paths as they were sent, so that a feature's id may hold a slash (%2F).
func (s *server) router() http.Handler {
	m := mux.NewRouter().UseEncodedPath().SkipClean(true)
	for _, res := range s.resources() {
		m.Handle(res.path, s.answer(res))
	}
	m.NotFoundHandler = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.say(w, r, refuse(unknown, "There is nothing at %s.", r.URL.Path))
	})
	return m
}

// answer runs the handler of a resource for the method, in the time allowed.
func (s *server) answer(res resource) http.Handler {
	by := map[string]handler{http.MethodGet: res.get, http.MethodHead: res.get, http.MethodPost: res.post, http.MethodPut: res.put, http.MethodDelete: res.deletes}
	allow := []string{http.MethodOptions}
	for method, h := range by {
		if h != nil {
			allow = append(allow, method)
		}
	}
	slices.Sort(allow)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := by[r.Method]
		switch {
		case r.Method == http.MethodOptions:
			w.Header().Set("Allow", strings.Join(allow, ", "))
			w.WriteHeader(http.StatusNoContent)
			return
		case h == nil:
			w.Header().Set("Allow", strings.Join(allow, ", "))
			s.say(w, r, refuse(noMethod, "%s does not take %s.", r.URL.Path, r.Method).so("It takes %s.", strings.Join(allow, ", ")))
			return
		}
		ctx, cancel := context.WithTimeout(r.Context(), s.opt.MaxTime)
		defer cancel()
		if err := h(w, r.WithContext(ctx)); err != nil {
			s.say(w, r, err)
		}
	})
}

// recovered turns a panic into an answer, and tells where it was.
func (s *server) recovered(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			if p := recover(); p != nil {
				if p == http.ErrAbortHandler {
					panic(p)
				}
				s.say(w, r, fmt.Errorf("panic: %v\n%s", p, debug.Stack()))
			}
		}()
		next.ServeHTTP(w, r)
	})
}

// variable is a part of the path, with its escapes undone.
func variable(r *http.Request, name string) string {
	v := mux.Vars(r)[name]
	if text, err := url.PathUnescape(v); err == nil {
		return text
	}
	return v
}

func (s *server) health(w http.ResponseWriter, r *http.Request) error {
	if _, err := s.store.Holdings(r.Context()); err != nil {
		return err
	}
	return sendJSON(w, r, http.StatusOK, map[string]string{"status": "ok"})
}
