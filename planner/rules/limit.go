package rules

import (
	"math"
	"strconv"
	"strings"

	"quickthorn/planner"
)

// slack is how far two figures may differ and still count as equal: rounding of the arithmetic, nothing more. The 20 mm of
// planner.Tolerance, where a rule forgives it, is for the caller to add.
const slack = 1e-9

// A Limit is one figure of a rule: what a measured value is held against, or a default that is read.
// The zero Limit is an unknown limit.
type Limit struct {
	Rule       string  // rule id, such as "hedge.gap"
	Name       string  // lower case, with its unit at the end: "gap_greatest_m"
	Comparison string  // what the measured value must satisfy: ">=", ">", "<=", "<"; "=" for a default or a word that is read
	Value      float64 // in Unit; 0 where the limit is a word, a date or unknown
	Text       string  // words, a list ("a|b") or a date (month-day, "11-01"); "" for a number
	Unit       string  // one of Units
	Source     planner.Source
	Year       int // of the source, 0 where it is not known
	Note       string
	Set        string // the rule set it comes from; "other opinion" for figures that are shown and never applied
	Safety     bool   // buildings, wires, buried services, law: loosened only with a reason
	Because    string // why Safety is set: "buildings", "wires", ...
	known      bool
}

// Known reports whether there is a figure. A limit that is declared but unknown has a note that says why.
func (l Limit) Known() bool { return l.known }

// IsText reports whether the limit is a word, a list or a date instead of a number.
func (l Limit) IsText() bool { return l.Text != "" }

// Holds reports whether a measured value, in the limit's unit, satisfies the limit. Values within 1e-9 of the limit count as
// exactly on it, so that ">=" and "<=" hold there, and ">" and "<" do not. Nothing satisfies an unknown limit or one that is a
// word or a date, and a value that is not a number satisfies nothing.
func (l Limit) Holds(measured float64) bool {
	if !l.known || l.IsText() || math.IsNaN(measured) {
		return false
	}
	equal := math.Abs(measured-l.Value) <= slack
	switch l.Comparison {
	case ">=":
		return equal || measured > l.Value
	case ">":
		return !equal && measured > l.Value
	case "<=":
		return equal || measured < l.Value
	case "<":
		return !equal && measured < l.Value
	case "=":
		return equal
	}
	return false
}

// Tighter reports whether v in place of the limit's value would let less through. The same value is not tighter, and "=" has
// no tighter side.
func (l Limit) Tighter(v float64) bool {
	switch side(l.Comparison) {
	case 1:
		return v > l.Value+slack
	case -1:
		return v < l.Value-slack
	}
	return false
}

// same reports whether another limit has the same value as this one.
func (l Limit) same(v float64, text string) bool {
	return l.Text == text && math.Abs(l.Value-v) <= slack
}

// looserThan reports whether l lets more through than was, the comparison counted: "at most 10" is looser than "less than 10".
// Where there is no tighter side (words, defaults) any change counts as looser, since nothing says it is not. Where nothing was
// known there was nothing to loosen.
func (l Limit) looserThan(was Limit) bool {
	if !was.known {
		return false
	}
	if was.IsText() || side(was.Comparison) == 0 {
		return !was.same(l.Value, l.Text)
	}
	if was.same(l.Value, l.Text) {
		return strict(was.Comparison) && !strict(l.Comparison)
	}
	return !was.Tighter(l.Value)
}

// Words are the parts of a limit that is a list.
func (l Limit) Words() []string {
	if l.Text == "" {
		return nil
	}
	return strings.Split(l.Text, "|")
}

// String says the limit in words: "at least 1.2 m", "less than 10 percent", "6 plants per m", "not known".
func (l Limit) String() string {
	if !l.known {
		return "not known"
	}
	if l.IsText() {
		return strings.Join(l.Words(), ", ")
	}
	s := strconv.FormatFloat(l.Value, 'f', -1, 64)
	if l.Unit != "" {
		s += " " + l.Unit
	}
	if w := words[l.Comparison]; w != "" {
		return w + " " + s
	}
	return s
}

// words are the comparisons as they are said.
var words = map[string]string{">=": "at least", ">": "more than", "<=": "at most", "<": "less than", "=": ""}

// Comparisons lists the comparisons that a row may have.
var Comparisons = []string{">=", ">", "<=", "<", "="}

// Units lists the units that a row may have.
var Units = []string{
	"m", "ha", "percent", "deg", "years", "plants per m", "plants per 100 m", "plants", "rows", "species", "heights", "spreads",
	"spacings", "pH", "R", "groups", "days", "classes", "plants per ha", "m3", "date", "word", "list",
}

// side is 1 where more is tighter, -1 where less is tighter, 0 where neither is.
func side(comparison string) int {
	switch comparison {
	case ">=", ">":
		return 1
	case "<=", "<":
		return -1
	}
	return 0
}

func strict(comparison string) bool { return comparison == ">" || comparison == "<" }
