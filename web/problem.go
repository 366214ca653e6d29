package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/store"
)

// A kind of problem has one status, one title and one address, at which it is explained (RFC 9457).
type kind struct {
	slug   string
	status int
	title  string
	mend   string // what to do, where nothing closer is known
}

var (
	malformed    = kind{"malformed", http.StatusBadRequest, "The request could not be read", "Send it in the form that is described for this address."}
	unusable     = kind{"unusable", http.StatusUnprocessableEntity, "The plan cannot be used like this", "Nothing was changed. Mend what is named and send it again."}
	unknown      = kind{"unknown", http.StatusNotFound, "There is no such thing here", "GET /holdings lists the holdings; the sheet and the plan of a holding list its features."}
	taken        = kind{"taken", http.StatusConflict, "It is there already", "Nothing was changed. Choose another name, or change the one that is there."}
	nothingLeft  = kind{"nothing-left", http.StatusConflict, "There is nothing left to take back or to repeat", "Nothing was changed."}
	needsMatch   = kind{"needs-match", http.StatusPreconditionRequired, "The change must say what it was made on", "Send the header If-Match with the ETag of what you saw last, in quotes."}
	stale        = kind{"stale", http.StatusPreconditionFailed, "The holding has changed in the meantime", "Nothing was changed. Fetch it again, look at what is new, and send the change with the new ETag."}
	noMethod     = kind{"method", http.StatusMethodNotAllowed, "This address does not do that", "The header Allow lists what it does."}
	notOffered   = kind{"not-offered", http.StatusNotAcceptable, "It is not written in that format", "Choose one of the formats with ?format=."}
	tooLarge     = kind{"too-large", http.StatusRequestEntityTooLarge, "It is too large", "Nothing was changed. Split it into smaller parts."}
	notPicture   = kind{"not-a-picture", http.StatusUnsupportedMediaType, "This is no picture that can be kept", "Send a PNG, JPEG or WebP picture."}
	foreign      = kind{"foreign", http.StatusForbidden, "Another page asked for this change", "Nothing was changed. Open the address of this program itself."}
	misdirected  = kind{"misdirected", http.StatusMisdirectedRequest, "This server does not answer to that name", "Open the address that was printed when it started."}
	needsPhrase  = kind{"passphrase", http.StatusUnauthorized, "The passphrase is asked for", "Open /login, or send the header Authorization: Bearer with the passphrase."}
	tooManyTries = kind{"tries", http.StatusTooManyRequests, "Too many wrong passphrases at once", "Wait a few seconds and try again."}
	tooLong      = kind{"too-long", http.StatusServiceUnavailable, "It took too long", "Try again; if it stays so, the holding is too large for this machine."}
	noRoom       = kind{"no-room", http.StatusInsufficientStorage, "There is no room left to save it", "Nothing was changed. Make room on the disk and try again."}
	noWriting    = kind{"read-only", http.StatusServiceUnavailable, "The store cannot be written to", "Nothing was changed. Make the file of the store writable."}
	busy         = kind{"busy", http.StatusServiceUnavailable, "Another program holds the store", "Nothing was changed. Try again in a moment."}
	trouble      = kind{"trouble", http.StatusInternalServerError, "The store is in trouble", "Nothing was changed. Make a copy with quickthorn backup, and look after the disk."}
	broken       = kind{"broken", http.StatusInternalServerError, "Something went wrong in the program", "What was saved before is still there. Look at the program's own messages, and try again."}
)

// kinds lists every kind of problem.
var kinds = []kind{malformed, unusable, unknown, taken, nothingLeft, needsMatch, stale, noMethod, notOffered, tooLarge, notPicture, foreign,
	misdirected, needsPhrase, tooManyTries, tooLong, noRoom, noWriting, busy, trouble, broken}

// A refusal is a problem that a handler states itself.
type refusal struct {
	kind     kind
	detail   string
	feature  string
	property string
	mend     string
	cause    error
}

func (r *refusal) Error() string { return r.kind.title + ": " + r.detail }

func (r *refusal) Unwrap() error { return r.cause }

func refuse(k kind, format string, args ...any) *refusal {
	return &refusal{kind: k, detail: fmt.Sprintf(format, args...)}
}

// about names the property, parameter or header that is meant.
func (r *refusal) about(property string) *refusal {
	r.property = property
	return r
}

func (r *refusal) of(feature string) *refusal {
	r.feature = feature
	return r
}

// so says what to do instead of what the kind says.
func (r *refusal) so(format string, args ...any) *refusal {
	r.mend = fmt.Sprintf(format, args...)
	return r
}

// meaning is the one table from what went wrong to the kinds of problems, most particular first.
var meaning = []struct {
	err    error
	kind   kind
	detail string
}{
	{store.ErrNotFound, unknown, "There is nothing of that name in the store."},
	{store.ErrExists, taken, "There is a holding of that name already."},
	{store.ErrStale, stale, "Somebody else, or another window, changed the holding since you looked."},
	{store.ErrNothing, nothingLeft, "The journal has no further step in that direction."},
	{store.ErrFull, noRoom, "The disk is full, or the file may not grow further."},
	{store.ErrReadOnly, noWriting, "The disk or the file is read-only, or belongs to somebody else."},
	{store.ErrBusy, busy, "Another program has been writing to it for long."},
	{store.ErrDamaged, trouble, "The file of the store is damaged."},
	{store.ErrDisk, trouble, "The disk could not be read or written."},
	{context.DeadlineExceeded, tooLong, "The answer was not ready in time."},
	{context.Canceled, tooLong, "The request was given up before the answer was ready."},
}

// refusalOf is what an error comes to.
func refusalOf(err error) *refusal {
	var r *refusal
	if errors.As(err, &r) {
		return r
	}
	var size *http.MaxBytesError
	if errors.As(err, &size) {
		return refuse(tooLarge, "At most %s are read.", megabytes(size.Limit))
	}
	var p *planner.Problem
	isProblem := errors.As(err, &p)
	for _, m := range meaning {
		if errors.Is(err, m.err) {
			out := &refusal{kind: m.kind, detail: m.detail, cause: err}
			if isProblem {
				out.detail, out.feature, out.property, out.mend = detailOf(p), p.Feature, p.Property, p.Mend
			}
			return out
		}
	}
	if isProblem {
		return &refusal{kind: unusable, detail: detailOf(p), feature: p.Feature, property: p.Property, mend: p.Mend, cause: err}
	}
	return &refusal{kind: broken, detail: "The request was not answered.", cause: err}
}

// detailOf says what and where, without the name of a file.
func detailOf(p *planner.Problem) string {
	if p.Where == "" {
		return p.What
	}
	return p.Where + ": " + p.What
}

func megabytes(n int64) string {
	if n < 1<<20 {
		return fmt.Sprintf("%d bytes", n)
	}
	return fmt.Sprintf("%d MB", n>>20)
}

// A document is a problem as it is sent.
type document struct {
	Type     string `json:"type"`
	Title    string `json:"title"`
	Status   int    `json:"status"`
	Detail   string `json:"detail"`
	Feature  string `json:"feature"`
	Property string `json:"property"`
	Mend     string `json:"mend"`
}

// say answers with the problem that an error comes to. Causes go to the program's own messages, never to the asker.
func (s *server) say(w http.ResponseWriter, r *http.Request, err error) {
	p := refusalOf(err)
	if p.kind.status >= 500 && r.Context().Err() != context.Canceled {
		s.opt.Fault(r.Method, r.URL.Path, err)
	}
	doc := document{Type: "/problems/" + p.kind.slug, Title: p.kind.title, Status: p.kind.status, Detail: p.detail, Feature: p.feature,
		Property: p.property, Mend: p.mend}
	if doc.Mend == "" {
		doc.Mend = p.kind.mend
	}
	body, err := json.Marshal(doc)
	if err != nil {
		body = []byte("{}")
	}
	h := w.Header()
	for _, name := range []string{"ETag", "Content-Disposition", "Last-Modified"} {
		if p.kind.status != stale.status {
			h.Del(name)
		}
	}
	h.Set("Cache-Control", "no-store")
	if p.kind.slug == tooLong.slug || p.kind.slug == busy.slug {
		h.Set("Retry-After", "2")
	}
	send(w, r, p.kind.status, "application/problem+json", append(body, '\n'))
}

// problems explains the kinds of problems at the addresses that the documents name.
func (s *server) problems(w http.ResponseWriter, r *http.Request) error {
	name := variable(r, "problem")
	for _, k := range kinds {
		if k.slug == name {
			text := fmt.Sprintf("%s (%d %s).\n%s\n", k.title, k.status, strings.ToLower(http.StatusText(k.status)), k.mend)
			w.Header().Set("Cache-Control", "no-cache")
			send(w, r, http.StatusOK, "text/plain; charset=utf-8", []byte(text))
			return nil
		}
	}
	return refuse(unknown, "There is no kind of problem called %q.", name)
}
