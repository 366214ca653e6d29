package store

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"quickthorn/planner"
)

// checkID refuses names that cannot stand as one part of an address or of a file's path.
func checkID(what, id string) error {
	bad := ""
	switch {
	case id == "" || id == "." || id == "..":
		bad = fmt.Sprintf("%q is no name for a %s.", id, what)
	case len(id) > 200:
		bad = fmt.Sprintf("The name of the %s is %d bytes long; at most 200 are kept.", what, len(id))
	case !utf8.ValidString(id) || strings.ContainsFunc(id, func(r rune) bool { return r == '/' || r == '\\' || unicode.IsControl(r) }):
		bad = fmt.Sprintf("The name of the %s has a slash or a control character in it: %q.", what, id)
	}
	if bad == "" {
		return nil
	}
	return &planner.Problem{Where: what, What: bad, Mend: "Use letters, digits and hyphens."}
}

// plainLetters are Latin letters without their accents, for ids that everybody can type.
var plainLetters = strings.NewReplacer(letters("a", "àáâãäåāăą", "ae", "æ", "c", "çćč", "d", "ďđð", "e", "èéêëēėęě", "g", "ğģ", "i", "ìíîïīįı", "k", "ķ", "l", "łļľĺ", "n", "ñńņň",
	"o", "òóôõöøōő", "oe", "œ", "r", "řŕ", "s", "śšşș", "ss", "ß", "t", "ťţț", "th", "þ", "u", "ùúûüūůűų", "w", "ŵẁẃẅ", "y", "ýÿŷ", "z", "źżž", "", "'’")...)

func letters(pairs ...string) []string {
	var out []string
	for i := 0; i < len(pairs); i += 2 {
		for _, r := range pairs[i+1] {
			out = append(out, string(r), pairs[i])
		}
	}
	return out
}

var notInSlug = regexp.MustCompile(`[^a-z0-9]+`)

// Slug is a readable id made of a name, as Create makes it: "Páirc Mhór" is pairc-mhor. "holding" where nothing is left.
func Slug(name string) string {
	s := notInSlug.ReplaceAllString(plainLetters.Replace(strings.ToLower(name)), "-")
	s = strings.Trim(s[:min(len(s), 60)], "-")
	if s == "" {
		return "holding"
	}
	return s
}

// free is the name itself, or with -2, -3 and so on where that is taken.
func free(name string, taken func(string) (bool, error)) (string, error) {
	for n := 1; ; n++ {
		id := name
		if n > 1 {
			id += "-" + strconv.Itoa(n)
		}
		if is, err := taken(id); err != nil || !is {
			return id, err
		}
	}
}

var plainKind = regexp.MustCompile(`^[a-z][a-z0-9_-]{0,39}$`)

// withIDs is the edit with an id for every feature that states none, made of its kind and the first number that is free, and the
// ids of all that are put, in order. What cannot be read is left for Apply to refuse.
func withIDs(p *planner.Plan, e planner.Edit) (planner.Edit, []string, error) {
	ids := make([]string, len(e.Put))
	kinds := make([]planner.Kind, len(e.Put))
	taken := map[string]bool{}
	nameless := false
	for i, text := range e.Put {
		if !json.Valid(text) {
			continue
		}
		ids[i], kinds[i] = planner.StatedID(text)
		taken[ids[i]] = true
		nameless = nameless || ids[i] == ""
	}
	if !nameless {
		return e, ids, nil
	}
	next := map[string]int{}
	e.Put = slices.Clone(e.Put)
	for i, text := range e.Put {
		if ids[i] != "" || i < len(e.Places) && e.Places[i] >= 0 || !json.Valid(text) || json.Valid(text) && strings.TrimSpace(string(text))[0] != '{' {
			continue
		}
		kind := string(kinds[i])
		if !plainKind.MatchString(kind) {
			kind = "feature"
		}
		for ids[i] == "" {
			next[kind]++
			if id := kind + "-" + strconv.Itoa(next[kind]); !taken[id] && p.Feature(id) == nil {
				ids[i] = id
			}
		}
		var err error
		if e.Put[i], err = planner.WithID(text, ids[i]); err != nil {
			return e, nil, err
		}
	}
	return e, ids, nil
}
