package setout

import (
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// block sets out an orchard or a grove.
func (m *maker) block(l *Layout, d *planner.Block) {
	f := l.Feature
	if len(f.Shape.Polygons) == 0 || l.fail("pattern", "spacing_m", "row_spacing_m", "bearing_deg", "margin_m", "trees", "mix", "species", "status", "planted") {
		return
	}
	use := UseOrchard
	if f.Kind == planner.KindGrove {
		use = UseGrove
	}
	pattern, ok := PatternOf(d.Pattern, f.Kind)
	if !ok {
		l.cannot("pattern", fmt.Sprintf("there is no pattern %q for it.", d.Pattern), "Choose one of the patterns of the vocabulary.")
		return
	}
	var k kinds
	if len(d.Trees) > 0 {
		k = m.treeKinds(d.Trees, use, d.Stock)
	} else {
		k = m.kinds(d.Mix, use, d.Stock)
	}
	l.Pattern = pattern.Name
	l.SpacingM = firstPositive(d.SpacingM, m.rowSpacing(k, use))
	if l.SpacingM <= 0 {
		l.noSpacing("spacing_m", "it")
		return
	}
	l.RowSpaceM = firstPositive(d.RowSpacingM, l.SpacingM)
	l.MarginM = l.SpacingM / 2
	if f.Stated("margin_m") {
		l.MarginM = d.MarginM
	}
	if m.tooMany(l) {
		return
	}
	spots := l.fill(pattern, d)
	l.Holds = len(spots)
	plants := l.standing(spots, d, f)
	if len(d.Trees) > 0 {
		plants = m.placeTrees(l, plants, d.Trees, &k)
	} else {
		k.groups(plants, spots)
	}
	l.Plants = plants
	l.latticeRows(spots)
}

// fill lays the pattern out from the feature's own box.
func (l *Layout) fill(pattern Pattern, d *planner.Block) []spot {
	f := l.Feature
	corner := f.Shape.Bound().Min
	own := moved(f.Shape.Polygons, orb.Point{-corner[0], -corner[1]})
	var spots []spot
	if pattern.Sow != nil {
		l.BearingDeg = 90
		for _, p := range pattern.Sow(geo.NewRegion(own), l.MarginM, l.SpacingM, seedOf(f.ID)) {
			spots = append(spots, spot{x: p[0], y: p[1], p: p})
		}
		sortSpots(spots)
	} else {
		g := plot{mp: own, margin: l.MarginM, grid: pattern.Grid(l.SpacingM, l.RowSpaceM)}
		ways := []float64{geo.NormBearing(d.BearingDeg)}
		if d.Auto {
			ways = g.bearings()
		}
		best := g.search(ways)
		l.BearingDeg = best.bearing
		if best.count > 0 {
			spots = g.lay(&best)
		}
	}
	for i := range spots {
		spots[i].p[0] += corner[0]
		spots[i].p[1] += corner[1]
	}
	return spots
}

func moved(mp orb.MultiPolygon, by orb.Point) orb.MultiPolygon {
	out := make(orb.MultiPolygon, len(mp))
	for i, poly := range mp {
		out[i] = make(orb.Polygon, len(poly))
		for k, r := range poly {
			out[i][k] = make(orb.Ring, len(r))
			for n, p := range r {
				out[i][k][n] = orb.Point{p[0] + by[0], p[1] + by[1]}
			}
		}
	}
	return out
}

// standing makes plants of spots. The chainage of a lattice is along its row from the row's first tree, the offset from the
// first row; of a scatter, east and north from the corner of its box.
func (l *Layout) standing(spots []spot, d *planner.Block, f *planner.Feature) []Plant {
	out := make([]Plant, len(spots))
	row, number, x0 := -1, 0, 0.0
	for i, s := range spots {
		if s.row != row {
			row, number, x0 = s.row, 0, s.x
		}
		out[i] = Plant{Feature: f, Row: s.row, Number: number, At: s.p, Chainage: s.x - x0, Offset: s.y - spots[0].y, RaisedM: d.RaisedM, Listed: f.IsPlanned()}
		if l.Pattern == scatter.Name {
			out[i].Chainage, out[i].Offset = s.x, s.y
		}
		number++
	}
	return out
}

// latticeRows writes the rows as they are pegged out, from the first tree of each to its last. A scatter has none.
func (l *Layout) latticeRows(spots []spot) {
	if l.Pattern == scatter.Name {
		return
	}
	for i := 0; i < len(spots); {
		k := i
		for k+1 < len(spots) && spots[k+1].row == spots[i].row {
			k++
		}
		l.Rows = append(l.Rows, RowLine{Row: spots[i].row, Path: orb.LineString{spots[i].p, spots[k].p}, OffsetM: spots[i].y - spots[0].y,
			SpacingM: l.SpacingM})
		i = k + 1
	}
	for i := range l.Plants {
		l.Rows[l.Plants[i].Row].Plants++
	}
}

// sortSpots orders sown places from south to north, then west to east.
func sortSpots(spots []spot) {
	slices.SortFunc(spots, func(a, b spot) int {
		switch {
		case a.y < b.y:
			return -1
		case a.y > b.y:
			return 1
		case a.x < b.x:
			return -1
		case a.x > b.x:
			return 1
		}
		return 0
	})
}

// Groups of a grove hold this many of a kind.
const (
	leastGroup    = 3
	greatestGroup = 7
)

// groups names the plants of a grove so that 3 to 7 of a kind stand together. The trees are taken in bands of two rows (of a
// scatter, as high as two spacings), each band from one end to the other and the next back again, so that neighbours in that
// order are neighbours on the ground.
func (k *kinds) groups(plants []Plant, spots []spot) {
	order := evenly(geo.LargestRemainder(k.weights, len(plants)), func(int) (int, int) { return leastGroup, greatestGroup })
	for n, i := range snake(plants, spots) {
		k.name(&plants[i], order[n])
	}
}

// snake is the order of spots band by band, there and back.
func snake(plants []Plant, spots []spot) []int {
	index := make([]int, len(spots))
	bandOf := make([]int, len(spots))
	for i := range spots {
		index[i], bandOf[i] = i, spots[i].row/2
	}
	if n := len(spots); n > 0 && spots[0].row == spots[n-1].row && n > 8 {
		height := 0.0
		if area := (spots[n-1].y - spots[0].y); area > 0 {
			// A sown block: bands that hold about as many trees across as a lattice's two rows.
			height = 2 * meanGap(spots)
		}
		for i := range spots {
			if height > 0 {
				bandOf[i] = int((spots[i].y - spots[0].y) / height)
			}
		}
	}
	slices.SortStableFunc(index, func(a, b int) int {
		if bandOf[a] != bandOf[b] {
			return bandOf[a] - bandOf[b]
		}
		d := spots[a].x - spots[b].x
		if bandOf[a]%2 == 1 {
			d = -d
		}
		switch {
		case d < -1e-9:
			return -1
		case d > 1e-9:
			return 1
		}
		return 0
	})
	return index
}

// meanGap is about how far apart sown trees stand: the side of a square that each would fill.
func meanGap(spots []spot) float64 {
	west, east := spots[0].x, spots[0].x
	for _, s := range spots {
		west, east = min(west, s.x), max(east, s.x)
	}
	return math.Sqrt((east - west) * (spots[len(spots)-1].y - spots[0].y) / float64(len(spots)))
}
