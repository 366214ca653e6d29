// Package growth gives every plant, row and hedge of a plan its height and width in any year, with a range and what it rests on,
// and turns a plan in a given year into what stands in the way of wind and light.
//
// Year 0 is the holding's planting winter. A plant's age in a year counts from the winter in which it is planted. Heights follow
// H(t) = Hmax (1 - exp(-k t))^p, fitted to the published heights of its species where there are some, else to its growth class.
package growth

import (
	"github.com/paulmach/orb"

	"quickthorn/planner"
	"quickthorn/planner/setout"
)

// LastYear is the last year that is looked at.
const LastYear = 30

// A Span is a figure in metres with its range. The three are equal where the figure was measured.
type Span struct {
	Low, Mid, High float64
	Known          bool
}

// A Size is how large a plant, a row or a hedge is in one year.
type Size struct {
	Height Span
	Spread Span           // of a plant: diameter of its crown; of a row or hedge: full width
	BaseM  float64        // height of the lowest leaves; 0 where it is closed to the ground
	Source planner.Source // what the height rests on
	Rests  string         // the same in words: "common alder, Johansson 1999, 20 m at 40 years"
}

// A Body is a wall of leaves, boards or stone along a line in one year: a run of a hedge, a row of a windbreak, a row of plants, a
// screen or a wall. Openings (gateways, gaps that nothing fills) are left out of its runs.
type Body struct {
	Feature *planner.Feature
	Row     int              // of a windbreak, from the windward side in; 0 for all else
	Runs    []orb.LineString // its middle line, in the direction of drawing
	Size
	// DensityLeafOn and DensityLeafOff are the share of its face that is closed, 0 to 1, looked at square on; 1 is solid.
	DensityKnown                  bool
	DensityLeafOn, DensityLeafOff float64
	DensityUnknown                string // why it is not known, in words
	DensitySource                 planner.Source
}

// A Crown is one plant in one year that does not stand in a body: in an orchard, a grove, alone, or a hedgerow tree above its hedge.
// It is an ellipsoid of Spread width from BaseM to Height.
type Crown struct {
	Plant *setout.Plant
	Size
	DensityKnown                  bool
	DensityLeafOn, DensityLeafOff float64
}
