package planner

import (
	"encoding/json"

	"quickthorn/geo/interchange"
)

// setMember is the object with a member set: the value of the last one of that name replaced, or the member added at the end.
// Everything else stays as it is written.
func setMember(obj []byte, name string, value []byte) []byte {
	var at interchange.Span
	colon, end, found, any := ": ", 0, false, false
	for m := range interchange.Members(obj) {
		if string(m.Name) == name {
			at, found = m.Value, true
		}
		if !any && m.Value.From == m.Key.To+1 {
			colon = ":"
		}
		any, end = true, m.Value.To
	}
	if found {
		return splice(obj, at, value)
	}
	key, _ := json.Marshal(name)
	member := append(append(key, colon...), value...)
	if !any {
		return append(append([]byte{'{'}, member...), '}')
	}
	sep := ", "
	if colon == ":" {
		sep = ","
	}
	return splice(obj, interchange.Span{From: end, To: end}, append([]byte(sep), member...))
}

// dropMember is the object without the members of that name.
func dropMember(obj []byte, name string) []byte {
	for {
		var at interchange.Span
		prev, found := 0, false // end of the member before
		for m := range interchange.Members(obj) {
			if string(m.Name) == name {
				at, found = interchange.Span{From: m.Key.From, To: m.Value.To}, true
				break
			}
			prev = m.Value.To
		}
		if !found {
			return obj
		}
		if prev > 0 {
			at.From = prev // with the comma before it
		} else if next := at.To + spaces(obj[at.To:]); next < len(obj) && obj[next] == ',' {
			at.To = next + 1 + spaces(obj[next+1:])
		}
		obj = splice(obj, at, nil)
	}
}

func spaces(b []byte) int {
	n := 0
	for n < len(b) && isSpace(b[n]) {
		n++
	}
	return n
}
