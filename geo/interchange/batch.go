package interchange

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
)

// A Batch is what a file of another program holds: things with a name, a shape in longitude and latitude, and fields.
type Batch struct {
	Format  string // in words, such as GPX 1.1
	Name    string // of the whole, "" where it has none
	Credit  string // whose data it is, as the file says
	Creator string // the program that wrote it, as the file says
	Holding json.RawMessage
	Grid    Grid // the reference system that the places came in
	Items   []Item
	Lost    Tally // what was there and is not in Items, in words
}

// An Item is one thing of a Batch.
type Item struct {
	ID     string // "" where the file has none
	Name   string
	Notes  string
	Layer  string // folder, table or kind of element it stood in
	Track  bool   // walked, not drawn: many positions, each some metres out
	Fields []Field
	Geometry
}

// A Field is a value that an Item has besides, as JSON.
type Field struct {
	Name  string
	Value json.RawMessage
}

// Field is the value of the field of that name, nil where there is none.
func (it *Item) Field(name string) json.RawMessage {
	for _, f := range it.Fields {
		if f.Name == name {
			return f.Value
		}
	}
	return nil
}

// Text is the field of that name as text; "" where it is none.
func (it *Item) Text(name string) string {
	v := it.Field(name)
	if s, ok := Text(v); ok {
		return s
	}
	if IsNumber(v) || string(v) == "true" || string(v) == "false" {
		return string(v)
	}
	return ""
}

// textField is a field that holds text.
func textField(name, value string) Field {
	v, err := json.Marshal(value)
	if err != nil { // no string fails to marshal
		v = []byte(`""`)
	}
	return Field{name, v}
}

// A Tally counts by name.
type Tally map[string]int

// Add counts n more of the name; nothing for 0.
func (t *Tally) Add(name string, n int) {
	if n == 0 {
		return
	}
	if *t == nil {
		*t = Tally{}
	}
	(*t)[name] += n
}

// Lines lists the tally by falling count, then by name, as "name (count)".
func (t Tally) Lines() []string {
	names := make([]string, 0, len(t))
	for name := range t {
		names = append(names, name)
	}
	slices.SortFunc(names, func(a, b string) int {
		if d := cmp.Compare(t[b], t[a]); d != 0 {
			return d
		}
		return cmp.Compare(a, b)
	})
	for i, name := range names {
		names[i] = fmt.Sprintf("%s (%d)", name, t[name])
	}
	return names
}

// MaxPlaces bounds the positions of one file: what a plan file of 50 MB could hold at most.
const MaxPlaces = 2_000_000

// maxItems bounds the things of one file.
const maxItems = 200_000

// A FormatFault is a file of another program that cannot be read: what, where, and how to mend it.
type FormatFault struct {
	Where, What, Mend string
}

// Error says where and what.
func (f *FormatFault) Error() string {
	if f.Where == "" {
		return f.What
	}
	return f.Where + ": " + f.What
}

func formatFault(where, mend, format string, args ...any) *FormatFault {
	return &FormatFault{Where: where, What: fmt.Sprintf(format, args...), Mend: mend}
}
