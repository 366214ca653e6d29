package planner

import (
	"encoding/json"
	"strconv"

	"github.com/paulmach/orb"
)

// Severity says what a finding asks of the reader.
type Severity string

// The three severities: Stop must be mended, Warn should be thought about, Note is worth knowing.
const (
	Stop Severity = "stop"
	Warn Severity = "warn"
	Note Severity = "note"
)

// Severities lists them, gravest first.
var Severities = []Severity{Stop, Warn, Note}

// Rank orders severities: 0 for stop, 1 for warn, 2 for note.
func (s Severity) Rank() int {
	switch s {
	case Stop:
		return 0
	case Warn:
		return 1
	}
	return 2
}

// A Finding is something a rule has to say about a place.
type Finding struct {
	Key      string // names it across runs; filled in by the checks
	Rule     string // rule id, such as "hedge.gap"
	Severity Severity
	Message  string   // whole sentences with the figures in them: what, where, and what to do
	Features []string // ids, the feature it is about first
	At       orb.Point
	HasAt    bool        // At is where to look on the map, in metres
	Places   []orb.Point // up to 20, where one finding speaks of many plants
	// Place tells findings of one rule on the same features apart: a chainage to the metre ("31") or a plant id.
	Place    string
	Measured *float64 // nil where the rule does not measure
	Limit    *float64
	Unit     string
	// Worse says which way a measured value gets worse: "more" (the default) or "less". Acceptance lapses when it does.
	Worse    string
	Count    int // how many plants or places it speaks of; 0 counts as 1
	Source   Source
	Cautions []string
	Accepted *Accepted // set where the user lives with it
	Lapsed   string    // why an acceptance no longer holds, "" otherwise
	Years    *Years    // when it comes to pass, nil where it does not hang on time
	Fix      *Fix
}

// Years is when something comes to pass, in years after the planting winter: at the earliest, most likely, and at the latest. Never
// stands for a year that is not reached within those looked at.
type Years struct{ From, Mid, To int }

// Never is a year beyond all that are looked at.
const Never = 1000

// String says it in words: "year 9", "years 7 to 12", "year 25 or later", "after year 30".
func (y Years) String() string {
	switch {
	case y.From >= Never:
		return "after all years looked at"
	case y.To >= Never:
		return "year " + strconv.Itoa(y.From) + " or later"
	case y.From == y.To:
		return "year " + strconv.Itoa(y.From)
	}
	return "years " + strconv.Itoa(y.From) + " to " + strconv.Itoa(y.To)
}

// A Fix is an ordinary edit that would mend a finding, and the words on its button.
type Fix struct {
	Say    string            `json:"say"`
	Put    []json.RawMessage `json:"put"`    // whole GeoJSON features
	Delete []string          `json:"delete"` // feature ids
}

// Accepted is a finding that the user lives with, as it stands in the holding.
type Accepted struct {
	Key      string   `json:"key"`
	Reason   string   `json:"reason"`
	Date     string   `json:"date,omitempty"`
	Measured *float64 `json:"measured,omitempty"`
	Limit    *float64 `json:"limit,omitempty"`
	Source   string   `json:"source,omitempty"`
}

// Figure is a pointer to v, for Measured and Limit.
func Figure(v float64) *float64 { return &v }

// A Fault is something wrong with the file itself, found while reading. The checks of the input.* family turn faults into findings.
type Fault struct {
	Rule     string // input.geometry, input.property, input.mended, input.kind, input.id, input.width, input.swapped, ...
	Severity Severity
	Feature  string // id, "" where it is about the whole file
	Property string
	Message  string // what, where and how to mend it
	At       orb.Point
	HasAt    bool
	Place    string // tells faults of one rule on one feature apart
	Measured *float64
	Limit    *float64
	Unit     string
}
