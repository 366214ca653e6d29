package setout

import (
	"slices"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// A Pattern is one way to fill a block of ground with trees. To add one, write its file and put it in Patterns; the
// vocabulary's list of allowed patterns (in the table of kinds) names it too.
type Pattern struct {
	Name   string         // as in the plan file
	Title  string         // in the user's words
	Help   string         // one line
	Kinds  []planner.Kind // which blocks may have it
	Params []string       // the properties that it reads, besides margin_m
	// Grid gives the lattice for trees s apart in rows r apart; nil for patterns that are sown.
	Grid func(s, r float64) Grid
	// Sow gives the places inside the region by the margin, for patterns without a lattice. Coordinates are from the
	// feature's own box, and seed comes from its id.
	Sow func(region *geo.Region, margin, s float64, seed uint64) []orb.Point
	// Least is the least distance between two trees.
	Least func(s, r float64) float64
	// PerHectare is how many trees stand on a hectare without edges; 0 where nothing is exact.
	PerHectare func(s, r float64) float64
}

// A Grid is a lattice: trees along apart in rows across apart, every other row moved by shift.
type Grid struct {
	Along, Across, Shift float64
	// Turn is the angle in degrees by which the lattice can be turned and be the same: 90 or 180.
	Turn float64
}

var (
	blocks    = []planner.Kind{planner.KindOrchard, planner.KindGrove}
	groveOnly = []planner.Kind{planner.KindGrove}
)

// Patterns lists every pattern, in the order of menus.
func Patterns() []Pattern {
	return []Pattern{square, rectangle, offset, quincunx, triangle, scatter}
}

// PatternOf is the pattern of that name for a kind of block.
func PatternOf(name string, kind planner.Kind) (Pattern, bool) {
	for _, p := range Patterns() {
		if p.Name == name && slices.Contains(p.Kinds, kind) {
			return p, true
		}
	}
	return Pattern{}, false
}
