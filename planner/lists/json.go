package lists

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"unicode"
)

// WriteJSON writes the list as one JSON object, indented by two spaces. Ids and names are whole; characters that would end a
// script or a tag, and those that show nothing or turn the direction of writing, are written as escapes.
func WriteJSON(w io.Writer, l *List, _ Options) error {
	b, err := json.MarshalIndent(l, "", "  ")
	if err != nil {
		return err
	}
	_, err = w.Write(append(escapeUnseen(b), '\n'))
	return err
}

// escapeUnseen writes format and control characters as \u escapes. In JSON they can stand in strings only, so that the value
// stays the same. All of them but a few beyond the first plane, which turn nothing, are one escape.
func escapeUnseen(b []byte) []byte {
	unseen := func(r rune) bool { return r >= 0x7f && r <= 0xffff && unicode.In(r, unicode.Cf, unicode.Cc) }
	if bytes.IndexFunc(b, unseen) < 0 {
		return b
	}
	var out bytes.Buffer
	for _, r := range string(b) {
		if unseen(r) {
			fmt.Fprintf(&out, `\u%04x`, r)
			continue
		}
		out.WriteRune(r)
	}
	return out.Bytes()
}
