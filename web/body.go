package web

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"unicode/utf8"

	"quickthorn/geo/interchange"
	"quickthorn/planner"
)

// readBody reads a body of at most most bytes.
func readBody(w http.ResponseWriter, r *http.Request, most int64) ([]byte, error) {
	if r.ContentLength > most {
		return nil, refuse(tooLarge, "The body has %d bytes; at most %s are read.", r.ContentLength, megabytes(most))
	}
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, most))
	if err != nil {
		return nil, bodyFault(err)
	}
	return body, nil
}

// bodyFault tells a body that broke off from one that is too large.
func bodyFault(err error) error {
	if r := refusalOf(err); r.kind.slug == tooLarge.slug {
		return r
	}
	out := refuse(malformed, "The body broke off before its end.").so("Send it again.")
	out.cause = err
	return out
}

// readJSON reads a body of JSON, whatever Content-Type it claims (a program that sends none would else be turned away; foreign pages
// are kept out elsewhere). It is UTF-8 and not nested deeper than interchange.MaxDepth.
func (s *server) readJSON(w http.ResponseWriter, r *http.Request) ([]byte, error) {
	body, err := readBody(w, r, s.opt.MaxBody)
	if err != nil {
		return nil, err
	}
	if bad := interchange.Check(body); bad != nil {
		return nil, refuse(malformed, "line %d, column %d: %s", bad.Line, bad.Column, bad.What).so("%s", bad.Mend)
	}
	return body, nil
}

// A change is the body of an edit or a trial.
type change struct {
	note   string
	put    []json.RawMessage
	delete []string
	metres bool
}

// readChange reads the body of an edit. Features are slices of it, white space and all.
func readChange(body []byte) (change, error) {
	c := change{put: []json.RawMessage{}, delete: []string{}}
	if !interchange.IsObject(body) {
		return c, refuse(malformed, "The body is no JSON object.").so(`Send {"note": "...", "put": [features], "delete": ["id"]}.`)
	}
	for m := range interchange.Members(body) {
		if err := c.member(string(m.Name), m.Value.Of(body)); err != nil {
			return c, err
		}
	}
	if len(c.put)+len(c.delete) == 0 {
		return c, refuse(malformed, "The edit puts nothing and deletes nothing.").so("Name features in put or ids in delete.")
	}
	return c, nil
}

func (c *change) member(name string, v []byte) error {
	if interchange.IsNull(v) {
		return nil
	}
	ok := false
	switch name {
	case "note", "say": // a fix says what it does under the name say
		var text string
		if text, ok = interchange.Text(v); ok && (name == "note" || c.note == "") {
			c.note = text
		}
		if utf8.RuneCountInString(c.note) > maxNote {
			return refuse(malformed, "The note has %d characters; at most %d are kept.", utf8.RuneCountInString(c.note), maxNote).about("note").so("Make it shorter.")
		}
	case "put":
		if ok = interchange.IsArray(v); ok {
			c.put = c.put[:0]
			for s := range interchange.Elements(v) {
				c.put = append(c.put, json.RawMessage(s.Of(v)))
			}
		}
	case "delete":
		if ok = interchange.IsArray(v); ok {
			c.delete = c.delete[:0]
			for s := range interchange.Elements(v) {
				id, isText := textOrNumber(s.Of(v))
				if ok = ok && isText; isText {
					c.delete = append(c.delete, id)
				}
			}
		}
	case "metres":
		c.metres, ok = interchange.Bool(v)
	default:
		return refuse(malformed, "An edit has no member %q.", interchange.Shorten(name)).about(interchange.Shorten(name)).
			so("Its members are note, put, delete and metres.")
	}
	if !ok {
		return refuse(malformed, "The member %s holds %s.", name, interchange.Shorten(string(v))).about(name).
			so("note is text, put a list of GeoJSON features, delete a list of ids, metres true or false.")
	}
	if len(c.put) > maxFeatures || len(c.delete) > maxFeatures {
		return refuse(tooLarge, "The edit names %d features; at most %d go into one.", max(len(c.put), len(c.delete)), maxFeatures).about(name)
	}
	return nil
}

// textOrNumber is an id: text, or a number that counts as text.
func textOrNumber(v []byte) (string, bool) {
	if interchange.IsNumber(v) {
		return string(v), true
	}
	return interchange.Text(v)
}

// edit makes the edit of a change, on the plan that it was made on: coordinates in degrees, every feature with an id.
func (c change) edit(plan *planner.Plan) (planner.Edit, []string, error) {
	e := planner.Edit{Note: c.note, Put: c.put, Delete: c.delete}
	if c.metres {
		put, err := plan.FromMetres(c.put)
		if err != nil {
			return e, nil, err
		}
		e.Put = put
	}
	var ids []string
	e.Put, ids = plan.GiveIDs(e.Put)
	if ids == nil {
		ids, e.Put = []string{}, []json.RawMessage{}
	}
	if e.Note == "" {
		e.Note = noteOf(e)
	}
	return e, ids, nil
}

// noteOf says what an edit did, where nobody said it.
func noteOf(e planner.Edit) string {
	switch {
	case len(e.Delete) == 0:
		return counted("Changed", len(e.Put))
	case len(e.Put) == 0:
		return counted("Deleted", len(e.Delete))
	}
	return counted("Changed", len(e.Put)) + ", deleted " + strconv.Itoa(len(e.Delete))
}

func counted(verb string, n int) string {
	if n == 1 {
		return verb + " 1 feature"
	}
	return fmt.Sprintf("%s %d features", verb, n)
}

// yearOf reads ?year=, years after planting.
func yearOf(r *http.Request) (int, error) { return wholeNumber(r, "year", 0, 0, maxYear) }

// wholeNumber reads a parameter that is a whole number.
func wholeNumber(r *http.Request, name string, or, least, most int) (int, error) {
	v := r.URL.Query().Get(name)
	if v == "" {
		return or, nil
	}
	n, err := strconv.Atoi(v)
	if err != nil || n < least || n > most {
		return 0, refuse(malformed, "%s is %q.", name, interchange.Shorten(v)).about(name).so("Give a whole number from %d to %d.", least, most)
	}
	return n, nil
}
