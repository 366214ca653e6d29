package web

import (
	"net/http"
	"net/url"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo/interchange"
	"quickthorn/planner"
	"quickthorn/planner/store"
)

// Reading for other programs after OGC API - Features - Part 1: Core (17-069r4, 1.0.1, 2022): each holding is a collection. The
// features and their parameters are in ogc_items.go, the API document in ogc_api.go.

type link struct {
	Href  string `json:"href"`
	Rel   string `json:"rel"`
	Type  string `json:"type"`
	Title string `json:"title"`
}

const (
	jsonMedia    = "application/json"
	geoJSONMedia = "application/geo+json"
	schemaMedia  = "application/schema+json"
	openAPIMedia = "application/vnd.oai.openapi+json;version=3.0"
)

// base is the address of /api as the asker knows it.
func base(r *http.Request) string {
	scheme := "http"
	if r.TLS != nil {
		scheme = "https"
	}
	return scheme + "://" + r.Host + "/api"
}

// asked reads the parameters of a request and refuses those that are not in may: an answer that passes one by would be taken for what
// was asked (17-069r4, requirement /req/core/query-param-unknown). Every resource takes f, which can only be what it is anyway.
func asked(r *http.Request, may ...string) (url.Values, error) {
	q, err := url.ParseQuery(r.URL.RawQuery)
	if err != nil {
		return nil, refuse(malformed, "The part of the address after ? cannot be read.")
	}
	names := make([]string, 0, len(q))
	for name := range q {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		short := interchange.Shorten(name)
		switch values := q[name]; {
		case name == "f" && len(values) == 1 && (values[0] == "json" || values[0] == "geojson"):
		case !slices.Contains(may, name):
			return nil, refuse(malformed, "There is no parameter %q here.", short).about(short).so("Leave it out.")
		case len(values) > 1:
			return nil, refuse(malformed, "The parameter %q is given %d times.", short, len(values)).about(short).so("Give it once.")
		}
	}
	return q, nil
}

func plainQuery(r *http.Request) error {
	_, err := asked(r)
	return err
}

func (s *server) landing(w http.ResponseWriter, r *http.Request) error {
	if err := plainQuery(r); err != nil {
		return err
	}
	at := base(r)
	return sendJSON(w, r, http.StatusOK, map[string]any{
		"title": "Quickthorn", "description": "The holdings of this store, one collection each, for reading. Coordinates are longitude and latitude on WGS 84.",
		"links": []link{
			{at, "self", jsonMedia, "This page"},
			{at + "/openapi", "service-desc", openAPIMedia, "What can be asked for, and how (OpenAPI 3.0)"},
			{at + "/conformance", "conformance", jsonMedia, "What of the standard is claimed"},
			{at + "/collections", "data", jsonMedia, "The holdings"},
		},
	})
}

func (s *server) conformance(w http.ResponseWriter, r *http.Request) error {
	if err := plainQuery(r); err != nil {
		return err
	}
	return sendJSON(w, r, http.StatusOK, map[string]any{"conformsTo": conformsTo})
}

// conformsTo are the classes of 17-069r4 that are held to.
var conformsTo = []string{
	"http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/core",
	"http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/oas30",
	"http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/geojson",
}

type collection struct {
	ID          string   `json:"id"`
	Title       string   `json:"title"`
	Description string   `json:"description"`
	ItemType    string   `json:"itemType"`
	CRS         []string `json:"crs"`
	Extent      *extent  `json:"extent,omitempty"`
	Links       []link   `json:"links"`
}

type extent struct {
	Spatial  *spatial `json:"spatial,omitempty"`
	Temporal temporal `json:"temporal"`
}

// temporal is when the features are there; null is open.
type temporal struct {
	Interval [][2]*string `json:"interval"`
	TRS      string       `json:"trs"`
}

type spatial struct {
	BBox [][4]float64 `json:"bbox"`
	CRS  string       `json:"crs"`
}

const (
	gregorian = "http://www.opengis.net/def/uom/ISO-8601/0/Gregorian"
	crs84     = "http://www.opengis.net/def/crs/OGC/1.3/CRS84"
)

func (s *server) collectionOf(r *http.Request, h store.Holding, box *[4]float64) collection {
	at := base(r) + "/collections/" + url.PathEscape(h.ID)
	c := collection{ID: h.ID, Title: h.Name, Description: "The plan of " + h.Name + ": land, hedges, windbreaks, orchards and single plants.", ItemType: "feature", CRS: []string{crs84},
		Links: []link{
			{at, "self", jsonMedia, "This holding"},
			{at + "/items", "items", geoJSONMedia, "Its features"},
			{at + "/schema", "describedby", schemaMedia, "The properties that its features may have"},
			{at + "/schema", "describedBy", schemaMedia, "The same, in a spelling that some programs look for"},
		}}
	c.Extent = &extent{Temporal: temporal{[][2]*string{{nil, nil}}, gregorian}}
	if box != nil {
		c.Extent.Spatial = &spatial{[][4]float64{*box}, crs84}
	}
	return c
}

// boxOf is the box round what is drawn, in longitude and latitude; nil where nothing is.
func boxOf(plan *planner.Plan) *[4]float64 {
	var box *[4]float64
	add := func(p orb.Point) {
		p = plan.Frame.ToLonLat(p)
		p = orb.Point{interchange.Round9(p[0]), interchange.Round9(p[1])}
		if box == nil {
			box = &[4]float64{p[0], p[1], p[0], p[1]}
		}
		*box = [4]float64{min(box[0], p[0]), min(box[1], p[1]), max(box[2], p[0]), max(box[3], p[1])}
	}
	for _, f := range plan.Features {
		if f.Shape.Empty() {
			continue
		}
		b := f.Shape.Bound()
		for _, p := range []orb.Point{b.Min, b.Max, {b.Min[0], b.Max[1]}, {b.Max[0], b.Min[1]}} {
			add(p)
		}
	}
	return box
}

func (s *server) collections(w http.ResponseWriter, r *http.Request) error {
	if err := plainQuery(r); err != nil {
		return err
	}
	all, err := s.store.Holdings(r.Context())
	if err != nil {
		return err
	}
	list := []collection{}
	for _, h := range all {
		list = append(list, s.collectionOf(r, h, s.box(r, h)))
	}
	return sendJSON(w, r, http.StatusOK, map[string]any{
		"links":       []link{{base(r) + "/collections", "self", jsonMedia, "The holdings"}, {base(r), "root", jsonMedia, "The start"}},
		"collections": list,
	})
}

// box is the extent of a holding; nil where it cannot be had.
func (s *server) box(r *http.Request, h store.Holding) *[4]float64 {
	st, err := s.desk.at(r.Context(), h.ID)
	if err != nil {
		return nil
	}
	return boxOf(st.plan)
}

func (s *server) collection(w http.ResponseWriter, r *http.Request) error {
	if err := plainQuery(r); err != nil {
		return err
	}
	st, err := s.state(r)
	if err != nil {
		return err
	}
	if same, err := unchanged(w, r, tagOf(st.holding.Revision)); same || err != nil {
		return err
	}
	return sendJSON(w, r, http.StatusOK, s.collectionOf(r, st.holding, boxOf(st.plan)))
}

// isFeature leaves out what stands among the features of a file and is none.
func isFeature(text []byte) bool {
	t, _ := interchange.Text(interchange.Find(text, "type"))
	return t == "Feature"
}

// item is one feature, with links.
func (s *server) item(w http.ResponseWriter, r *http.Request) error {
	if err := plainQuery(r); err != nil {
		return err
	}
	st, err := s.state(r)
	if err != nil {
		return err
	}
	id := variable(r, "feature")
	f := st.plan.Feature(id)
	if f == nil || !isFeature(f.Text()) {
		return noFeature(id)
	}
	if same, err := unchanged(w, r, featureTag(f)); same || err != nil {
		return err
	}
	at := base(r) + "/collections/" + url.PathEscape(st.holding.ID)
	links, err := toJSON([]link{
		{at + "/items/" + url.PathEscape(id), "self", geoJSONMedia, "This feature"},
		{at, "collection", jsonMedia, "The holding"},
	})
	if err != nil {
		return err
	}
	w.Header().Set("Cache-Control", "no-store")
	send(w, r, http.StatusOK, geoJSONMedia, planner.WithMember(f.Text(), "links", []byte(strings.TrimSpace(string(links)))))
	return nil
}
