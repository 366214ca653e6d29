package bringin

import (
	"encoding/json"
	"regexp"
	"strings"

	"quickthorn/geo/interchange"
	"quickthorn/planner"
)

// Formats such as KML know nothing but text, and others turn yes and no into 1 and 0 and lists into one line. typed gives what such a
// text means for a property of a kind: a number, yes or no, a list. What the property has no use for stays as it is, and the plan says
// so; an empty text says nothing, and is left out: false.
func typed(words map[string]planner.Prop, f interchange.Field) (interchange.Field, bool) {
	p, ok := words[f.Name]
	if !ok {
		return f, true
	}
	text, isText := interchange.Text(f.Value)
	if !isText {
		return yesNo(p, f), true
	}
	text = strings.TrimSpace(text)
	if text == "" {
		return f, p.Type == planner.TypeText
	}
	switch p.Type {
	case planner.TypeNumber, planner.TypeInteger, planner.TypeWinter, planner.TypeBearing:
		if plainNumber.MatchString(text) {
			f.Value = []byte(text)
		}
	case planner.TypeYesNo:
		switch strings.ToLower(text) {
		case "true", "1":
			f.Value = []byte("true")
		case "false", "0":
			f.Value = []byte("false")
		}
	case planner.TypeChoices, planner.TypeIDs:
		f.Value = listed(text, f.Value)
	case planner.TypeMix, planner.TypeTrees, planner.TypeRows, planner.TypeCuts, planner.TypeSward:
		if text[0] == '[' && interchange.Check([]byte(text)) == nil {
			f.Value = []byte(text)
		}
	}
	return f, true
}

// plainNumber is a number as JSON writes it.
var plainNumber = regexp.MustCompile(`^-?(0|[1-9][0-9]*)(\.[0-9]+)?([eE][-+]?[0-9]+)?$`)

// countedList is a list of texts as GDAL writes it where a format has none: (2:cattle,sheep).
var countedList = regexp.MustCompile(`^\([0-9]+:(.*)\)$`)

// yesNo takes 1 and 0 for yes and no where a property asks for these.
func yesNo(p planner.Prop, f interchange.Field) interchange.Field {
	if p.Type == planner.TypeYesNo {
		switch string(f.Value) {
		case "1":
			f.Value = []byte("true")
		case "0":
			f.Value = []byte("false")
		}
	}
	return f
}

// listed is a text as a list: JSON, or names with commas between them.
func listed(text string, as []byte) []byte {
	if text[0] == '[' {
		if interchange.Check([]byte(text)) == nil {
			return []byte(text)
		}
		return as
	}
	if m := countedList.FindStringSubmatch(text); m != nil {
		text = m[1]
	}
	var names []string
	for name := range strings.SplitSeq(text, ",") {
		if name = strings.TrimSpace(name); name != "" {
			names = append(names, name)
		}
	}
	out, err := json.Marshal(names)
	if err != nil || len(names) == 0 {
		return as
	}
	return out
}
