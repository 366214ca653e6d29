package lists

import (
	"encoding/json"
	"io"
)

// WriteJSON writes the list as one JSON object, indented by two spaces. Characters that would end a script or a tag are escaped,
// so that it can stand inside a page.
func WriteJSON(w io.Writer, l *List, _ Options) error {
	b, err := json.MarshalIndent(l, "", "  ")
	if err != nil {
		return err
	}
	_, err = w.Write(append(b, '\n'))
	return err
}
