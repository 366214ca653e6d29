package growth

import (
	"math"

	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/species"
)

// A RowClass is the kind of a row as the National Agroforestry Center's table of densities knows it.
type RowClass int

// The classes.
const (
	UnknownRow   RowClass = iota
	EvergreenRow          // conifers and evergreens, leaf on all year
	ShrubRow              // deciduous shrubs
	TreeRow               // deciduous trees, larch too
)

// rowFigure is the limit that holds the optical density of one closed row in leaf, by class.
var rowFigure = map[RowClass]string{EvergreenRow: "row_evergreen_percent", ShrubRow: "row_shrub_percent", TreeRow: "row_tree_percent"}

// ClassOf is the class of a row of one species.
func ClassOf(s *species.Species) RowClass {
	switch {
	case s == nil || !s.Evergreen.Known:
		return UnknownRow
	case s.Evergreen.Yes():
		return EvergreenRow
	case s.Layer == species.TreeLayer:
		return TreeRow
	case s.Layer == species.ShrubLayer:
		return ShrubRow
	}
	return UnknownRow
}

// A Part is one species of a row with its share of the plants, 0 to 1, and how wide its crowns are; WidthM is 0 where that is not
// known, and the row then counts as closed.
type Part struct {
	Name    string
	Species *species.Species // nil where the name is unknown or fits several
	Share   float64
	WidthM  float64
}

// Label is the species' name, or the name as the plan writes it.
func (p Part) Label() string {
	if p.Species != nil {
		return p.Species.Name()
	}
	return p.Name
}

// A Density is the optical density of one row.
type Density struct {
	LeafOn    float64 // share of its face that is closed in leaf, 0 to 1
	Evergreen float64 // the part of it that is evergreen
	Class     RowClass
	Unknown   string // what is missing, in words; "" where it is known
}

// RowDensity estimates the optical density of a row whose plants stand spacingM apart (0: not known). A closed row has the figure
// of its class, a mixed row the mean of its species' by share; a row whose plants stand further apart than their crowns are wide
// covers only that share of its length.
func RowDensity(set *rules.Set, parts []Part, spacingM float64) Density {
	return rowDensity(set, parts, spacingM, ClassOf)
}

func rowDensity(set *rules.Set, parts []Part, spacingM float64, classOf func(*species.Species) RowClass) Density {
	if len(parts) == 0 {
		return Density{Unknown: "no species is stated"}
	}
	var out Density
	var shares [TreeRow + 1]float64
	for _, p := range parts {
		c := classOf(p.Species)
		if c == UnknownRow {
			return Density{Unknown: "whether " + p.Label() + " keeps its leaves is not known"}
		}
		figure, ok := set.Get("windbreak.density", rowFigure[c])
		if !ok {
			return Density{Unknown: "no figure for such a row"}
		}
		d := p.Share * figure.Value / 100 * cover(p.WidthM, spacingM)
		out.LeafOn += d
		if c == EvergreenRow {
			out.Evergreen += d
		}
		shares[c] += p.Share
	}
	for _, c := range []RowClass{EvergreenRow, ShrubRow, TreeRow} {
		if shares[c] > shares[out.Class] {
			out.Class = c
		}
	}
	out.LeafOn, out.Evergreen = math.Min(out.LeafOn, 1), math.Min(out.Evergreen, 1)
	return out
}

// cover is the share of a row's length that crowns cover: their width over the spacing, 1 at most; 1 where either is not known.
func cover(widthM, spacingM float64) float64 {
	if widthM <= 0 || spacingM <= 0 {
		return 1
	}
	return math.Min(1, widthM/spacingM)
}

// BareKeeps is the share of its density that the deciduous part of a row keeps without leaves, 0 to 1: belts measured in Moravia,
// 90 percent in leaf, down to 50 without. False where the rule set does not say.
func BareKeeps(set *rules.Set) (float64, bool) {
	l, ok := set.Get("windbreak.density", "bare_density_keeps_percent")
	return l.Value / 100, ok
}

// Bare is the density of a row without leaves: its deciduous part keeps a share of its own, evergreens keep all.
func (d Density) Bare(keeps float64) float64 {
	if d.Evergreen >= 1 {
		return 1
	}
	deciduous := 1 - (1-d.LeafOn)/(1-d.Evergreen)
	return 1 - (1-deciduous*keeps)*(1-d.Evergreen)
}

// inLine is several rows like one behind the other: porosities multiply.
func inLine(density float64, rows int) float64 { return 1 - math.Pow(1-density, float64(rows)) }

// densitySource is what the densities of rows rest on.
var densitySource = planner.Source{Confidence: planner.Derived,
	Text: "density estimated by the kinds of its rows, after the National Agroforestry Center's Windbreak Design Clipboard; bare: belts in Moravia, Contributions to Geophysics and Geodesy"}

// Densities of one crown: those of whole deciduous belts in Moravia, 90 percent closed in leaf and down to 50 without (Contributions
// to Geophysics and Geodesy), taken for the crown alone (derived). Evergreens keep theirs.
const crownLeafOn, crownBare = 0.9, 0.5

// crownDensity is the density of one crown in leaf and bare; false where it is not known whether it keeps its leaves.
func crownDensity(s *species.Species) (on, off float64, known bool) {
	switch {
	case s == nil || !s.Evergreen.Known:
		return 0, 0, false
	case s.Evergreen.Yes():
		return crownLeafOn, crownLeafOn, true
	}
	return crownLeafOn, crownBare, true
}
