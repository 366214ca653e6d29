package web

import (
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo/interchange"
	"quickthorn/planner"
	"quickthorn/planner/report"
)

// suits ranks the species for the ground under ?x=&y= (metres), for a purpose or a kind of feature ?for=, on a mound of ?raised= metres.
func (s *server) suits(w http.ResponseWriter, r *http.Request) error {
	x, err := metres(r, "x", true)
	if err != nil {
		return err
	}
	y, err := metres(r, "y", true)
	if err != nil {
		return err
	}
	raised, err := metres(r, "raised", false)
	if err != nil {
		return err
	}
	purpose, err := purposeOf(r.URL.Query().Get("for"), report.Purposes(s.engine.Catalogue))
	if err != nil {
		return err
	}
	_, rep, err := s.reported(w, r)
	if rep == nil || err != nil {
		return err
	}
	return sendJSON(w, r, http.StatusOK, rep.Suits(orb.Point{x, y}, purpose, raised))
}

// purposeOf is what a plant is wanted for. A single plant or a plant in a gap is wanted for anything a plant can be, or for a hedge.
func purposeOf(name string, purposes []string) (string, error) {
	switch {
	case name == "" || name == string(planner.KindPlant):
		return "", nil
	case name == string(planner.KindGap):
		return string(planner.KindHedge), nil
	case slices.Contains(purposes, name):
		return name, nil
	}
	return "", refuse(malformed, "for is %q.", interchange.Shorten(name)).about("for").so("It is one of %s, or left out for every plant.", strings.Join(purposes, ", "))
}

// metres reads a parameter that is a number of metres.
func metres(r *http.Request, name string, needed bool) (float64, error) {
	v := r.URL.Query().Get(name)
	if v == "" && !needed {
		return 0, nil
	}
	n, err := strconv.ParseFloat(v, 64)
	if err != nil || math.IsNaN(n) || math.Abs(n) > 1e6 {
		return 0, refuse(malformed, "%s is %q.", name, interchange.Shorten(v)).about(name).so("Give a number of metres in the holding's frame.")
	}
	return n, nil
}
