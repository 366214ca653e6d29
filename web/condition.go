package web

import (
	"net/http"
	"slices"
	"strconv"
	"strings"
)

// Conditional requests (RFC 9110, 2022, sections 8.8.3 and 13). The tag of a holding and of everything worked out from it is its
// revision in quotes; it names the state of the holding, whatever the form of the answer.

func tagOf(revision int64) string { return `"` + strconv.FormatInt(revision, 10) + `"` }

// A tagList is the value of If-Match or If-None-Match.
type tagList struct {
	given bool
	any   bool     // *
	tags  []string // with quotes; weak ones with W/
}

// readTags reads the header. What is no list of tags is refused: a number without quotes is a slip that must not pass as a mismatch.
func readTags(r *http.Request, header string) (tagList, error) {
	values := r.Header.Values(header)
	if len(values) == 0 {
		return tagList{}, nil
	}
	l := tagList{given: true}
	rest := strings.TrimSpace(strings.Join(values, ","))
	if rest == "" {
		return l, refuse(malformed, "The header %s is empty.", header).about(header).so("Send the ETag as it was given, in quotes, such as %s: \"12\".", header)
	}
	if rest == "*" {
		l.any = true
		return l, nil
	}
	for rest != "" {
		weak := strings.HasPrefix(rest, "W/")
		body := strings.TrimPrefix(rest, "W/")
		end := -1
		if strings.HasPrefix(body, `"`) {
			end = strings.IndexByte(body[1:], '"') + 1
		}
		if end <= 0 {
			return l, refuse(malformed, "The header %s holds %q, which is no list of tags.", header, strings.Join(values, ",")).about(header).
				so("Send the ETag as it was given, in quotes, such as %s: \"12\".", header)
		}
		tag := body[:end+1]
		if weak {
			tag = "W/" + tag
		}
		l.tags = append(l.tags, tag)
		rest = strings.TrimLeft(body[end+1:], " \t")
		if rest != "" {
			if rest[0] != ',' {
				return l, refuse(malformed, "The header %s holds %q, which is no list of tags.", header, strings.Join(values, ",")).about(header).
					so("Put commas between tags.")
			}
			rest = strings.TrimLeft(rest, ", \t")
		}
	}
	return l, nil
}

// strong reports whether one of the tags is the list's, strongly compared.
func (l tagList) strong(tags ...string) bool {
	return l.any || slices.ContainsFunc(tags, func(t string) bool { return slices.Contains(l.tags, t) })
}

// weak compares without regard to W/.
func (l tagList) weak(tag string) bool {
	return l.any || slices.ContainsFunc(l.tags, func(t string) bool { return strings.TrimPrefix(t, "W/") == tag })
}

// mustMatch holds a change against the tags that stand for what is there now.
func mustMatch(r *http.Request, now ...string) error {
	l, err := readTags(r, "If-Match")
	switch {
	case err != nil:
		return err
	case !l.given:
		return refuse(needsMatch, "A change needs the header If-Match, so that nobody's work is written over unseen.").about("If-Match")
	case !l.strong(now...):
		return refuse(stale, "The change was made on %s, and the holding is at %s now.", strings.Join(l.tags, ", "), now[0]).about("If-Match")
	}
	return nil
}

// unchanged sets the tag of an answer and, where the asker has it already, answers 304 and reports true.
func unchanged(w http.ResponseWriter, r *http.Request, tag string) (bool, error) {
	w.Header().Set("ETag", tag)
	l, err := readTags(r, "If-None-Match")
	if err != nil || !l.given || !l.weak(tag) {
		return false, err
	}
	if w.Header().Get("Cache-Control") == "" {
		w.Header().Set("Cache-Control", "no-store")
	}
	w.WriteHeader(http.StatusNotModified)
	return true, nil
}
