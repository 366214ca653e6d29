package interchange

import (
	"bytes"
	"encoding/json"
	"iter"
	"math"
	"strconv"
)

// The functions of this file read JSON that Check has passed. They hand out slices of it, without white space around them.
// On anything else they end early or return false; they never panic.

// A Span is where a value stands in the text it was found in: text[From:To].
type Span struct{ From, To int }

// Of cuts the span out of the text.
func (s Span) Of(text []byte) []byte { return text[s.From:s.To:s.To] }

// A Member is one member of an object, with its places in the text of that object.
type Member struct {
	Name  []byte // without quotes and escapes; comparing string(Name) allocates nothing
	Key   Span   // the name with its quotes
	Value Span
}

// skipValue is the index just after the value that starts at i, for checked text. It uses no stack: brackets are counted.
func skipValue(data []byte, i int) int {
	if i >= len(data) {
		return i
	}
	switch data[i] {
	case '"':
		return skipString(data, i)
	case '{', '[':
		depth := 0
		for i < len(data) {
			switch data[i] {
			case '"':
				i = skipString(data, i)
				continue
			case '{', '[':
				depth++
			case '}', ']':
				depth--
				if depth == 0 {
					return i + 1
				}
			}
			i++
		}
		return i
	}
	for i < len(data) {
		switch data[i] {
		case ',', '}', ']', ' ', '\n', '\r', '\t', ':':
			return i
		}
		i++
	}
	return i
}

func skipString(data []byte, i int) int {
	for i++; i < len(data); i++ {
		switch data[i] {
		case '\\':
			i++
		case '"':
			return i + 1
		}
	}
	return len(data)
}

// Members lists the members of an object in their order, each with its places in obj, repeated names and all.
// It yields nothing for a value that is not an object.
func Members(obj []byte) iter.Seq[Member] {
	return func(yield func(Member) bool) {
		i := skipSpace(obj, 0)
		if i >= len(obj) || obj[i] != '{' {
			return
		}
		i = skipSpace(obj, i+1)
		for i < len(obj) && obj[i] == '"' {
			m := Member{Key: Span{i, skipString(obj, i)}}
			m.Name = obj[i+1 : max(i+1, m.Key.To-1)]
			if bytes.IndexByte(m.Name, '\\') >= 0 {
				name, _ := Text(m.Key.Of(obj))
				m.Name = []byte(name)
			}
			i = skipSpace(obj, m.Key.To)
			if i >= len(obj) || obj[i] != ':' {
				return
			}
			i = skipSpace(obj, i+1)
			m.Value = Span{i, skipValue(obj, i)}
			if !yield(m) {
				return
			}
			i = skipSpace(obj, m.Value.To)
			if i >= len(obj) || obj[i] != ',' {
				return
			}
			i = skipSpace(obj, i+1)
		}
	}
}

// Elements lists where the elements of an array stand in arr. It yields nothing for a value that is not an array.
func Elements(arr []byte) iter.Seq[Span] {
	return func(yield func(Span) bool) {
		i := skipSpace(arr, 0)
		if i >= len(arr) || arr[i] != '[' {
			return
		}
		i = skipSpace(arr, i+1)
		for i < len(arr) && arr[i] != ']' {
			s := Span{i, skipValue(arr, i)}
			if s.To == s.From || !yield(s) {
				return
			}
			i = skipSpace(arr, s.To)
			if i >= len(arr) || arr[i] != ',' {
				return
			}
			i = skipSpace(arr, i+1)
		}
	}
}

// Count is the number of elements of an array. O(bytes), no allocation.
func Count(arr []byte) int {
	n := 0
	for range Elements(arr) {
		n++
	}
	return n
}

// Find is the value of the member with that name, the last one where it is given twice, or nil.
func Find(obj []byte, name string) []byte {
	var v []byte
	for m := range Members(obj) {
		if string(m.Name) == name {
			v = m.Value.Of(obj)
		}
	}
	return v
}

// IsNull reports whether the value is absent or null.
func IsNull(v []byte) bool { return len(v) == 0 || v[0] == 'n' }

// IsObject reports whether the value is an object.
func IsObject(v []byte) bool { return len(v) > 0 && v[0] == '{' }

// IsArray reports whether the value is an array.
func IsArray(v []byte) bool { return len(v) > 0 && v[0] == '[' }

// IsNumber reports whether the value is a number, of whatever size.
func IsNumber(v []byte) bool {
	return len(v) > 0 && (v[0] == '-' || v[0] >= '0' && v[0] <= '9')
}

// Text is the value of a string. A lone surrogate in it becomes U+FFFD; the text it was read from is untouched.
func Text(v []byte) (string, bool) {
	if len(v) < 2 || v[0] != '"' || v[len(v)-1] != '"' {
		return "", false
	}
	if bytes.IndexByte(v, '\\') < 0 {
		return string(v[1 : len(v)-1]), true
	}
	var s string
	if json.Unmarshal(v, &s) != nil {
		return "", false
	}
	return s, true
}

// Number is the value of a number. It is false for anything else and for numbers that are too large to be held (1e400).
func Number(v []byte) (float64, bool) {
	if !IsNumber(v) {
		return 0, false
	}
	x, err := strconv.ParseFloat(string(v), 64)
	if err != nil || math.IsInf(x, 0) || math.IsNaN(x) {
		return 0, false
	}
	return x, true
}

// Bool is the value of true or false.
func Bool(v []byte) (value, ok bool) {
	switch string(v) {
	case "true":
		return true, true
	case "false":
		return false, true
	}
	return false, false
}
