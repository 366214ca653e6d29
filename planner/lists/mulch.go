package lists

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/setout"
)

// The mulch that the list reckons with, in metres.
const (
	mulchDepthM = 0.075 // loose chip
	treeCircleM = 1.2   // across
	bushCircleM = 1.0   // across
	collarM     = 0.1   // clear of the stem, all round
	stripM      = 1.0   // wide, along a hedge
	stripBareM  = 0.1   // left bare along each row of stems
	sheetWidthM = 0.45  // of a sheet over pruned thorns
)

const mulchSource = "RHS wording on weed-free circles, read in copies: 1.2 m across and 10 cm clear of the stem; depth 5 to 8 cm; widths of strips"

// CircleM2 is the area of a ring of mulch that is across metres wide and leaves 0.1 m round the stem: pi/4 (D^2 - 0.2^2).
func CircleM2(across float64) float64 {
	d := 2 * collarM
	return math.Pi / 4 * (across*across - d*d)
}

// mulchDepth is the depth of mulch, and whether the user set it.
func mulchDepth(h *planner.Holding) (m float64, own bool) {
	if h.ChipUse != nil && h.ChipUse.MulchDepthM > 0 {
		return h.ChipUse.MulchDepthM, true
	}
	return mulchDepthM, false
}

// mulch gathers what is to be mulched, in square metres: trees and bushes in circles, plants that stand so close that
// circles would overlap in a strip, hedges in a strip.
type mulch struct {
	trees, bushes int // in whole circles
	close         int // in strips along their row
	closeM2       float64
	strips        map[int]float64 // length of hedge by number of rows
}

func (m *mulch) add(of mulch) {
	m.trees, m.bushes, m.close, m.closeM2 = m.trees+of.trees, m.bushes+of.bushes, m.close+of.close, m.closeM2+of.closeM2
	for rows, l := range of.strips {
		m.strip(rows, l)
	}
}

func (m *mulch) strip(rows int, length float64) {
	if m.strips == nil {
		m.strips = map[int]float64{}
	}
	m.strips[rows] += length
}

// strip is what a hedge's layout has of mulched length, for each listed plant of it, so that a hedge that is counted plant by
// plant shares its mulch out in the same way.
type strip struct {
	rows            int
	hedgeM, fillM   float64 // per listed plant of the hedge itself, per plant of a fill
	sheetM          float64 // of a sheeted hedge; it takes no chip
	spacing, across float64 // of plants in blocks: in the row, between rows (0: a single row)
	inRow           map[int]float64
}

// stripOf measures what is mulched along a hedge, and how close the plants of anything else stand.
func stripOf(l *setout.Layout) strip {
	h, isHedge := l.Feature.Detail.(*planner.Hedge)
	if !isHedge {
		s := strip{spacing: l.SpacingM, across: l.RowSpaceM, inRow: make(map[int]float64, len(l.Rows))}
		for _, r := range l.Rows {
			s.inRow[r.Row] = r.SpacingM
		}
		return s
	}
	s := strip{rows: 1}
	own, fills := 0, 0
	for i := range l.Plants {
		p := &l.Plants[i]
		s.rows = max(s.rows, p.Row+1)
		switch {
		case !p.Listed:
		case p.Use == setout.UseFill:
			fills++
		default:
			own++
		}
	}
	if l.Line == nil {
		return s
	}
	s.rows = max(s.rows, l.Line.Rows)
	planted, filled := 0.0, 0.0
	for _, r := range l.Line.Runs {
		planted += math.Max(0, r.ToM-r.FromM)
	}
	if len(l.Line.Runs) == 0 {
		planted = l.Line.LengthM
	}
	for _, o := range l.Line.Openings {
		if o.Action == setout.Fill && o.Plants > 0 {
			filled += o.Length()
		}
	}
	if own > 0 {
		s.hedgeM = planted / float64(own)
	}
	if fills > 0 {
		s.fillM = filled / float64(fills)
	}
	if h.Sheeted && own > 0 {
		s.sheetM, s.hedgeM = planted, 0
	}
	return s
}

// plant adds one plant's mulch.
func (m *mulch) plant(p *setout.Plant, c class, l *setout.Layout, s strip) {
	if _, isHedge := l.Feature.Detail.(*planner.Hedge); isHedge {
		if length := s.hedgeM; p.Use != setout.UseFill && length > 0 {
			m.strip(s.rows, length)
		} else if p.Use == setout.UseFill && s.fillM > 0 {
			m.strip(s.rows, s.fillM)
		}
		return
	}
	across, n := treeCircleM, &m.trees
	if c == bushClass || c == herbClass {
		across, n = bushCircleM, &m.bushes
	}
	spacing := s.spacing
	if own := s.inRow[p.Row]; own > 0 {
		spacing = own
	}
	if own := ownGroundM2(across, spacing, s.across); own < CircleM2(across) {
		m.close++
		m.closeM2 += own
		return
	}
	*n++
}

// ownGroundM2 is what a plant of a close row can be mulched on without counting any ground twice: its length of the row, as
// wide as the circle (or as the rows are apart), less the collar. It is infinite where the spacing is not known.
func ownGroundM2(across, spacing, between float64) float64 {
	if spacing <= 0 {
		return math.Inf(1)
	}
	if between > 0 {
		across = math.Min(across, between)
	}
	return math.Max(0, spacing*across-math.Pi*collarM*collarM)
}

// line writes the mulch as one line with its reckoning.
func (m *mulch) line(depth float64, own bool) (Sundry, bool) {
	var parts []string
	m2 := 0.0
	circle := func(n int, noun string, across float64) {
		if n == 0 {
			return
		}
		a := CircleM2(across)
		m2 += float64(n) * a
		parts = append(parts, fmt.Sprintf("%s x %s m3 (ring %s m across, %s m clear of the stem)",
			many(n, noun), figure(a*depth, 4), figure(across, 1), figure(collarM, 1)))
	}
	circle(m.trees, "tree", treeCircleM)
	circle(m.bushes, "bush", bushCircleM)
	if m.close > 0 {
		m2 += m.closeM2
		parts = append(parts, fmt.Sprintf("%s in close rows, where rings would overlap: a strip of %s m2", many(m.close, "plant"), figure(m.closeM2, 1)))
	}
	rows := make([]int, 0, len(m.strips))
	for r := range m.strips {
		rows = append(rows, r)
	}
	slices.Sort(rows)
	for _, r := range rows {
		wide := math.Max(0, stripM-stripBareM*float64(r))
		m2 += m.strips[r] * wide
		parts = append(parts, fmt.Sprintf("%s m of hedge x %s m (%s m strip less %s m along each of %s)",
			figure(m.strips[r], 1), figure(wide, 1), figure(stripM, 1), figure(stripBareM, 1), many(r, "row")))
	}
	if m2 <= 0 {
		return Sundry{}, false
	}
	whose := ""
	if own {
		whose = ", your own depth"
	}
	note := fmt.Sprintf("%s; %s m2 x %s m deep%s. Loose chip settles: 20 to 30 %% more at the first laying is common practice.",
		strings.Join(parts, "; "), figure(m2, 1), figure(depth, 3), whose)
	return Sundry{Item: "mulch", Kind: "wood chip", Quantity: round(m2*depth, 3), Unit: "m3", Note: note, Source: mulchSource, Confidence: planner.CommonPractice}, true
}
