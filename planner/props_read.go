package planner

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"quickthorn/geo/interchange"
)

// Winters that a plan may name: a hedge may be a thousand years old.
const (
	firstWinter = 1000
	lastWinter  = 2200
)

// readValue reads the text of a property's value as the table asks. The Go types are float64, int, string, bool, []string,
// []Share, []Tree, []BeltRow, []Cut, []Sward, and for the members of the holding those of its fields; Auto for a bearing that
// is "auto". Where the value is not allowed, why says what is wrong with it, or is "" where naming what is allowed says it all.
func readValue(p Prop, v []byte) (value any, ok bool, why string) {
	switch p.Type {
	case TypeNumber:
		x, ok := interchange.Number(v)
		return x, ok && inRange(p, x), ""
	case TypeInteger:
		n, ok := wholeNumber(v)
		return n, ok && inRange(p, float64(n)), ""
	case TypeWinter:
		n, ok := wholeNumber(v)
		return n, ok && n >= firstWinter && n <= lastWinter, ""
	case TypeBearing:
		if s, isText := interchange.Text(v); isText {
			return Auto{}, s == "auto" && p.Default == "auto", ""
		}
		x, ok := interchange.Number(v)
		return x, ok && x >= 0 && x <= 360, ""
	case TypeText, TypeSpecies:
		s, ok := interchange.Text(v)
		if p.Type == TypeSpecies && ok && strings.TrimSpace(s) == "" {
			return nil, false, "the name is empty"
		}
		return s, ok, ""
	case TypeID:
		s := idText(v)
		return s, s != "", ""
	case TypeYesNo:
		b, ok := yesNo(v)
		return b, ok, ""
	case TypeChoice:
		return readChoice(p, v)
	}
	return readList(p, v)
}

// Auto stands for a bearing that is "auto".
type Auto struct{}

func inRange(p Prop, x float64) bool {
	return p.Least == 0 && p.Most == 0 || x >= p.Least && x <= p.Most
}

func wholeNumber(v []byte) (int, bool) {
	x, ok := interchange.Number(v)
	if !ok || x != math.Trunc(x) || math.Abs(x) > 1e9 {
		return 0, false
	}
	return int(x), true
}

// yesNo reads true, false, "yes" and "no".
func yesNo(v []byte) (value, ok bool) {
	switch string(v) {
	case "true", `"yes"`:
		return true, true
	case "false", `"no"`:
		return false, true
	}
	return false, false
}

// idText is an id as text: a string, or a number as it is written.
func idText(v []byte) string {
	if interchange.IsNumber(v) {
		return string(v)
	}
	s, _ := interchange.Text(v)
	return s
}

func readChoice(p Prop, v []byte) (any, bool, string) {
	s, ok := interchange.Text(v)
	if b, isBool := interchange.Bool(v); isBool && slices.Contains(p.Allowed, "yes") {
		s, ok = "no", true
		if b {
			s = "yes"
		}
	}
	for _, a := range p.Allowed {
		if ok && s == a {
			return a, true, ""
		}
		if ok && strings.EqualFold(strings.TrimSpace(s), a) {
			return nil, false, fmt.Sprintf("write it %q", a)
		}
	}
	return nil, false, ""
}

// allowed says in words which values a property takes.
func allowed(p Prop) string {
	switch p.Type {
	case TypeNumber:
		return "a number" + rangeOf(p)
	case TypeInteger:
		return "a whole number" + rangeOf(p)
	case TypeWinter:
		return fmt.Sprintf("the year in which a winter begins, such as 2026 (%d to %d)", firstWinter, lastWinter)
	case TypeBearing:
		if p.Default == "auto" {
			return `a bearing from 0 to 360 degrees, or "auto"`
		}
		return "a bearing from 0 to 360 degrees"
	case TypeText:
		return "text in quotes"
	case TypeSpecies:
		return "the name of a species, in quotes"
	case TypeID:
		return "the id of a feature"
	case TypeYesNo:
		return `true, false, "yes" or "no"`
	case TypeChoice:
		return "one of " + strings.Join(p.Allowed, ", ")
	}
	return allowedList(p)
}

func rangeOf(p Prop) string {
	if p.Least == 0 && p.Most == 0 {
		return ""
	}
	s := " from " + figure(p.Least) + " to " + figure(p.Most)
	switch p.Unit {
	case "":
		return s
	case "per metre":
		return s + " a metre"
	}
	return s + " " + p.Unit
}

// figure writes a number the short way.
func figure(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
