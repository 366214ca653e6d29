package web

import (
	"bytes"
	"errors"
	"math"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/paulmach/orb"

	"quickthorn/geo/interchange"
	"quickthorn/planner"
)

// How many features are on a page (17-069r4, 7.15.2). The bounds there are an example.
const (
	pageDefault = 1000
	pageMost    = 10000
)

// itemQuery is what may be asked of the features of a holding.
type itemQuery struct {
	limit, offset int
	box           *[4]float64 // west, south, east, north; west is greater across 180 degrees
	from, to      *time.Time  // nil: open
	timed         bool
	kind          string
}

// itemParameters are the names of the parameters of items.
var itemParameters = []string{"limit", "offset", "bbox", "datetime", "kind"}

func readItemQuery(r *http.Request) (q itemQuery, values url.Values, err error) {
	values, err = asked(r, itemParameters...)
	if err != nil {
		return q, nil, err
	}
	q.kind = values.Get("kind")
	if q.limit, err = countOf(values, "limit", pageDefault, 1); err != nil {
		return q, nil, err
	}
	q.limit = min(q.limit, pageMost)
	if q.offset, err = countOf(values, "offset", 0, 0); err != nil {
		return q, nil, err
	}
	if values.Has("bbox") {
		if q.box, err = readBox(values.Get("bbox")); err != nil {
			return q, nil, err
		}
	}
	if values.Has("datetime") {
		q.timed = true
		q.from, q.to, err = readTimes(values.Get("datetime"))
	}
	return q, values, err
}

// countOf reads a parameter that is a whole number of at least least. One too large for any computer is as good as the largest.
func countOf(values url.Values, name string, or, least int) (int, error) {
	if !values.Has(name) {
		return or, nil
	}
	text := values.Get(name)
	n, err := strconv.Atoi(text)
	if errors.Is(err, strconv.ErrRange) && !strings.HasPrefix(text, "-") {
		n, err = math.MaxInt, nil
	}
	if err != nil || n < least {
		return 0, refuse(malformed, "%s is %q.", name, interchange.Shorten(text)).about(name).so("Give a whole number of at least %d.", least)
	}
	return n, nil
}

// readBox reads west,south,east,north in degrees, or with heights west,south,low,east,north,high (17-069r4, 7.15.3).
func readBox(text string) (*[4]float64, error) {
	no := func() (*[4]float64, error) {
		return nil, refuse(malformed, "bbox is %q.", interchange.Shorten(text)).about("bbox").
			so("Give west,south,east,north in degrees, such as -2.59,53.98,-2.58,53.99; south is not above north.")
	}
	parts := strings.Split(text, ",")
	if len(parts) != 4 && len(parts) != 6 {
		return no()
	}
	var n []float64
	for _, p := range parts {
		x, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			return no()
		}
		n = append(n, x)
	}
	if len(n) == 6 {
		n = []float64{n[0], n[1], n[3], n[4]}
	}
	if n[0] < -180 || n[0] > 180 || n[2] < -180 || n[2] > 180 || n[1] < -90 || n[3] > 90 || n[1] > n[3] {
		return no()
	}
	return (*[4]float64)(n), nil
}

// readTimes reads an instant or an interval of which one end may be open (17-069r4, 7.15.4; RFC 3339, 5.6). A date without a time is
// that whole day.
func readTimes(text string) (from, to *time.Time, err error) {
	no := refuse(malformed, "datetime is %q.", interchange.Shorten(text)).about("datetime").
		so("Give a time, such as 2027-05-01T12:00:00Z, or two with a slash between them, of which one may be two full stops.")
	first, last, interval := strings.Cut(text, "/")
	if !interval {
		last = first
	}
	read := func(s string, end bool) (*time.Time, bool) {
		if interval && (s == "" || s == "..") {
			return nil, true
		}
		if t, err := time.Parse(time.RFC3339, s); err == nil {
			return &t, true
		}
		t, err := time.Parse(time.DateOnly, s)
		if end {
			t = t.Add(24*time.Hour - time.Nanosecond)
		}
		return &t, err == nil
	}
	from, okFrom := read(first, false)
	to, okTo := read(last, true)
	if !okFrom || !okTo || from == nil && to == nil || from != nil && to != nil && from.After(*to) {
		return nil, nil, no
	}
	return from, to, nil
}

// lifetime is when a feature is there: from the November of its planting winter, to the end of the March of the winter in which it is
// taken away. nil is open.
func lifetime(f *planner.Feature) (from, to *time.Time) {
	if f.Planted != 0 {
		t := time.Date(f.Planted, time.November, 1, 0, 0, 0, 0, time.UTC)
		from = &t
	}
	if s, ok := f.Detail.(*planner.Screen); ok && s.Until != 0 {
		t := time.Date(s.Until+1, time.April, 1, 0, 0, 0, 0, time.UTC).Add(-time.Nanosecond)
		to = &t
	}
	return from, to
}

// matches tells whether a feature is asked for. One without a place fits every box and one without a time every time (17-069r4,
// 7.15.3 C and 7.15.4 C).
func (q *itemQuery) matches(plan *planner.Plan, f *planner.Feature) bool {
	if q.kind != "" && string(f.Kind) != q.kind {
		return false
	}
	if q.timed {
		from, to := lifetime(f)
		if from != nil && q.to != nil && from.After(*q.to) || to != nil && q.from != nil && to.Before(*q.from) {
			return false
		}
	}
	if q.box == nil || f.Shape.Empty() {
		return true
	}
	w, e := q.box[0], q.box[2]
	if w > e {
		return touches(plan, f.Shape, [4]float64{w, q.box[1], 180, q.box[3]}) || touches(plan, f.Shape, [4]float64{-180, q.box[1], e, q.box[3]})
	}
	return touches(plan, f.Shape, *q.box)
}

// touches tells whether any of a shape lies in a box of degrees or on its edge. O(positions).
func touches(plan *planner.Plan, s planner.Shape, box [4]float64) bool {
	b := orb.Bound{Min: orb.Point{box[0], box[1]}, Max: orb.Point{box[2], box[3]}}
	path := func(l []orb.Point) bool {
		var last orb.Point
		for i, p := range l {
			p = plan.Frame.ToLonLat(p)
			p = orb.Point{interchange.Round9(p[0]), interchange.Round9(p[1])}
			if i == 0 {
				last = p
			}
			if crosses(last, p, b) {
				return true
			}
			last = p
		}
		return false
	}
	for _, p := range s.Points {
		if path([]orb.Point{p}) {
			return true
		}
	}
	for _, l := range s.Lines {
		if path(l) {
			return true
		}
	}
	corner := plan.Frame.ToLocal(b.Min) // where no edge comes near, all of the box is inside or all of it outside
	for _, p := range s.Polygons {
		inside := false
		for _, r := range p {
			if path(r) {
				return true
			}
			inside = inside != within(corner, r)
		}
		if inside {
			return true
		}
	}
	return false
}

// crosses tells whether a segment has a point in a box, edges included (Y.-D. Liang and B. A. Barsky, "A new concept and method for
// line clipping", ACM Transactions on Graphics 3, 1984).
func crosses(a, b orb.Point, box orb.Bound) bool {
	t0, t1 := 0.0, 1.0
	for k := range 2 {
		d := b[k] - a[k]
		if d == 0 {
			if a[k] < box.Min[k] || a[k] > box.Max[k] {
				return false
			}
			continue
		}
		u, v := (box.Min[k]-a[k])/d, (box.Max[k]-a[k])/d
		t0, t1 = max(t0, min(u, v)), min(t1, max(u, v))
	}
	return t0 <= t1
}

// within tells by crossings whether a point lies in a ring. Its edge does not matter here.
func within(p orb.Point, r orb.Ring) bool {
	in := false
	for i := 1; i < len(r); i++ {
		a, b := r[i-1], r[i]
		if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0]+(p[1]-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
			in = !in
		}
	}
	return in
}

// items are the features of a holding, by id, in pages.
func (s *server) items(w http.ResponseWriter, r *http.Request) error {
	q, values, err := readItemQuery(r)
	if err != nil {
		return err
	}
	st, err := s.state(r)
	if err != nil {
		return err
	}
	if same, err := unchanged(w, r, tagOf(st.holding.Revision)); same || err != nil {
		return err
	}
	var page [][]byte
	matched := 0
	for _, f := range st.plan.Features {
		if !isFeature(f.Raw()) || !q.matches(st.plan, f) {
			continue
		}
		if matched >= q.offset && len(page) < q.limit {
			page = append(page, f.Text())
		}
		matched++
	}
	links, err := toJSON(pageLinks(base(r)+"/collections/"+url.PathEscape(st.holding.ID), q, values, len(page), matched))
	if err != nil {
		return err
	}
	var b bytes.Buffer
	b.WriteString(`{"type":"FeatureCollection","links":`)
	b.Write(bytes.TrimSpace(links))
	b.WriteString(`,"features":[`)
	for i, text := range page {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteByte('\n')
		b.Write(text)
	}
	b.WriteString("\n],\"numberMatched\":" + strconv.Itoa(matched) + `,"numberReturned":` + strconv.Itoa(len(page)) + "}\n")
	w.Header().Set("Cache-Control", "no-store")
	send(w, r, http.StatusOK, geoJSONMedia, b.Bytes())
	return nil
}

// pageLinks lead from a page to itself, the one before, the one after, and the holding.
func pageLinks(at string, q itemQuery, values url.Values, n, matched int) []link {
	to := func(offset int) string {
		v := url.Values{}
		for name, list := range values {
			v[name] = list
		}
		v.Set("limit", strconv.Itoa(q.limit))
		v.Set("offset", strconv.Itoa(offset))
		return at + "/items?" + v.Encode()
	}
	self := at + "/items"
	if len(values) > 0 {
		self += "?" + values.Encode()
	}
	links := []link{{self, "self", geoJSONMedia, "These features"}, {at, "collection", jsonMedia, "The holding"}}
	if n > 0 && q.offset+n < matched {
		links = append(links, link{to(q.offset + n), "next", geoJSONMedia, "The next page"})
	}
	if q.offset > 0 {
		links = append(links, link{to(max(0, min(q.offset, matched)-q.limit)), "prev", geoJSONMedia, "The page before"})
	}
	return links
}
