// Package setout turns a plan into positions: where every plant of every hedge, windbreak, orchard, grove and row stands,
// and how long lines are and where their openings lie. Positions are made from features and never stored. A feature's
// positions depend on that feature, on what cuts it (gateways, gaps) and on the catalogue and rule set only, so that a sheet
// in the field still fits the plan after something else was edited.
package setout

import (
	"strconv"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/planner"
	"quickthorn/planner/species"
)

// Use is what a plant is planted as. It decides stock, spacing and guards.
type Use string

// The uses of plants.
const (
	UseHedge     Use = "hedge"
	UseFill      Use = "fill"          // fills a gap of an existing hedge
	UseTree      Use = "hedgerow tree" // stands in a hedge in place of a hedge plant
	UseWindbreak Use = "windbreak"
	UseOrchard   Use = "orchard"
	UseGrove     Use = "grove"
	UseRow       Use = "row"
	UsePlant     Use = "plant" // a single tree or bush
)

// Uses lists every Use.
var Uses = []Use{UseHedge, UseFill, UseTree, UseWindbreak, UseOrchard, UseGrove, UseRow, UsePlant}

// A Plant is one position.
type Plant struct {
	Feature  *planner.Feature
	Row      int // from 0: hedges from the left, windbreaks from the windward side, lattices in the order of their rows
	Number   int // from 0, along its row (hedges: along the whole hedge); fills continue after the plants of the hedge
	At       orb.Point
	Chainage float64 // along its row's line from the drawn start
	Offset   float64 // from the drawn line, left positive

	Name      string           // the species as the plan writes it
	Species   *species.Species // nil where the name is unknown or fits several
	Cultivar  string
	Rootstock string
	Form      string
	Use       Use
	Stock     string // what the plan states, else the catalogue's for that use, else ""
	RaisedM   float64
	Listed    bool // a planned position or the fill of an existing hedge; the others stand there already
}

// ID is the plant's stable name: feature id, row and number.
func (p *Plant) ID() string {
	return p.Feature.ID + "/" + strconv.Itoa(p.Row) + "/" + strconv.Itoa(p.Number)
}

// Action says what is done about an opening in a line.
type Action string

// The four answers to an opening.
const (
	Fill          Action = "fill"
	NewHedge      Action = "new-hedge"       // so long that the rule set counts two hedges
	LeaveOpen     Action = "leave-open"      // a gateway
	CloseByLaying Action = "close-by-laying" // so short that the neighbours close it
)

// An Opening is a break in a hedge, windbreak or row, from one chainage to another along the line with its gaps.
type Opening struct {
	FromM, ToM float64
	Action     Action
	Gateway    string // id of the gateway, "" for a gap
	Drawn      string // id of the gap feature, or of the hedge across the opening, "" where parts of a MultiLineString leave it
	Plants     int    // listed plants that fill it
	Would      int    // plants it would take; the same as Plants where it is filled
	A, B       orb.Point
}

// Length is the width of the opening in metres.
func (o Opening) Length() float64 { return o.ToM - o.FromM }

// A Run is a stretch of planting between openings, by chainage.
type Run struct {
	FromM, ToM float64
	Plants     int
}

// A Line is what is measured of a hedge, windbreak or row.
type Line struct {
	Path     orb.LineString // the line with its gaps bridged, from the drawn start
	LengthM  float64        // with its gaps, without those that split it into two hedges
	Openings []Opening      // by chainage; an opening between two hedges that face each other is only at the lower id
	Runs     []Run
	GapM     float64 // sum of the openings that count in the percent
	// GapPercent is GapM over LengthM; where two hedges face each other it is over both.
	GapPercent float64
	PerMetre   float64 // density asked for: hedges per metre over all rows; windbreaks and rows plants per metre of the line
	RowGapM    float64
	Rows       int
	Closed     bool // closes on itself
	// Continues is the id of the hedge this one goes on from or into across an opening that still counts as one hedge.
	Continues []string
	Backwards bool // parts of a MultiLineString cross or run backwards
}

// A RowLine is one row of plants as pegged out.
type RowLine struct {
	Row      int
	Path     orb.LineString
	OffsetM  float64
	SpacingM float64 // in the row
	Plants   int
	Trimmed  bool // a parallel that was cut where it folded over itself
}

// A Remark is something setting out noticed that the reader should know: trees beyond the lattice, a windbreak parallel to the wind.
type Remark struct {
	Rule     string // the rule under which it is reported
	Severity planner.Severity
	Message  string
	At       orb.Point
	Measured *float64
	Limit    *float64
	Unit     string
	Place    string
}

// A Layout is one feature set out.
type Layout struct {
	Feature *planner.Feature
	Line    *Line // hedges, windbreaks, rows
	Rows    []RowLine
	Plants  []Plant // by row, then number
	// Orchards and groves: what was used, stated or worked out, and how many the lattice holds.
	Pattern    string
	SpacingM   float64
	RowSpaceM  float64
	BearingDeg float64
	MarginM    float64
	Holds      int
	Remarks    []Remark
	// Failed says why nothing was set out ("" otherwise): a property in the wrong form, a polygon that is not valid.
	Failed string
	// Mend says how to mend that, where it is known.
	Mend string
}

// A Result is the whole plan set out.
type Result struct {
	Layouts []*Layout // by feature id
	byID    map[string]*Layout
}

// Of is the layout of a feature, or nil.
func (r *Result) Of(id string) *Layout { return r.byID[id] }

// Each calls f for every plant, by feature id, row and number, until f returns false.
func (r *Result) Each(f func(*Plant) bool) {
	for _, l := range r.Layouts {
		for i := range l.Plants {
			if !f(&l.Plants[i]) {
				return
			}
		}
	}
}

// Listed counts the plants that are to be ordered.
func (r *Result) Listed() int {
	n := 0
	r.Each(func(p *Plant) bool {
		if p.Listed {
			n++
		}
		return true
	})
	return n
}

// WhyNot says why nothing was set out and, where that is known, how to mend it.
func (l *Layout) WhyNot() string { return strings.TrimSpace(l.Failed + " " + l.Mend) }
