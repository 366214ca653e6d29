package web

import (
	"bytes"
	"encoding/json"
	"net/http"
	"net/url"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo/interchange"
	"quickthorn/planner"
	"quickthorn/planner/store"
)

// Reading for other programs after OGC API - Features - Part 1: Core (17-069r4, 1.0.1, 2022): each holding is a collection. What it
// asks for besides (paging, bbox, datetime, an OpenAPI document) is not there, and so no conformance is claimed.

type link struct {
	Href  string `json:"href"`
	Rel   string `json:"rel"`
	Type  string `json:"type"`
	Title string `json:"title"`
}

const (
	jsonMedia    = "application/json"
	geoJSONMedia = "application/geo+json"
)

// base is the address of /api as the asker knows it.
func base(r *http.Request) string {
	scheme := "http"
	if r.TLS != nil {
		scheme = "https"
	}
	return scheme + "://" + r.Host + "/api"
}

// plainQuery refuses parameters that are not known: an answer that passes one by would be taken for what was asked.
func plainQuery(r *http.Request) error {
	q, err := url.ParseQuery(r.URL.RawQuery)
	if err != nil {
		return refuse(malformed, "The part of the address after ? cannot be read.")
	}
	for name, values := range q {
		if name == "f" && len(values) == 1 && (values[0] == "json" || values[0] == "geojson") {
			continue
		}
		return refuse(malformed, "There is no parameter %q here.", interchange.Shorten(name)).about(interchange.Shorten(name)).so("Leave it out.")
	}
	return nil
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
			{at + "/conformance", "conformance", jsonMedia, "What of the standard is claimed"},
			{at + "/collections", "data", jsonMedia, "The holdings"},
		},
	})
}

func (s *server) conformance(w http.ResponseWriter, r *http.Request) error {
	if err := plainQuery(r); err != nil {
		return err
	}
	return sendJSON(w, r, http.StatusOK, map[string]any{"conformsTo": []string{}})
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
	Spatial spatial `json:"spatial"`
}

type spatial struct {
	BBox [][4]float64 `json:"bbox"`
	CRS  string       `json:"crs"`
}

const crs84 = "http://www.opengis.net/def/crs/OGC/1.3/CRS84"

func (s *server) collectionOf(r *http.Request, h store.Holding, box *[4]float64) collection {
	at := base(r) + "/collections/" + url.PathEscape(h.ID)
	c := collection{ID: h.ID, Title: h.Name, Description: "The plan of " + h.Name + ": land, hedges, windbreaks, orchards and single plants.", ItemType: "feature", CRS: []string{crs84},
		Links: []link{
			{at, "self", jsonMedia, "This holding"},
			{at + "/items", "items", geoJSONMedia, "Its features"},
		}}
	if box != nil {
		c.Extent = &extent{spatial{[][4]float64{*box}, crs84}}
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

// items are the features of a holding, by id.
func (s *server) items(w http.ResponseWriter, r *http.Request) error {
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
	at := base(r) + "/collections/" + url.PathEscape(st.holding.ID)
	links, err := toJSON([]link{
		{at + "/items", "self", geoJSONMedia, "These features"},
		{at, "collection", jsonMedia, "The holding"},
	})
	if err != nil {
		return err
	}
	var b bytes.Buffer
	b.WriteString(`{"type":"FeatureCollection","links":`)
	b.Write(bytes.TrimSpace(links))
	b.WriteString(`,"features":[`)
	n := 0
	for _, f := range st.plan.Features {
		text := f.Text()
		if !isFeature(text) {
			continue
		}
		if n > 0 {
			b.WriteByte(',')
		}
		b.WriteByte('\n')
		b.Write(text)
		n++
	}
	count, err := json.Marshal(n)
	if err != nil {
		return err
	}
	b.WriteString("\n],\"numberMatched\":")
	b.Write(count)
	b.WriteString(`,"numberReturned":`)
	b.Write(count)
	b.WriteString("}\n")
	w.Header().Set("Cache-Control", "no-store")
	send(w, r, http.StatusOK, geoJSONMedia, b.Bytes())
	return nil
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
