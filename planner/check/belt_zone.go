package check

import (
	"math"
	"slices"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// rayBudget is the most ray and edge pairs that nearest and farthest distances are worked out from; beyond it corners are
// skipped evenly. It is some 50 ms.
const rayBudget = 4_000_000

// protect works out how one protected thing lies to a belt. What lies within reach is exact: the belt's tallest row, less its
// openings, swept along the wind from the lesser to the greater reach, over the thing's own area.
func protect(in Input, b *Belt, id string) Protect {
	p := Protect{ID: id, feature: in.Plan.Feature(id)}
	near, ok1 := in.Set.Get("windbreak.reach", "heights_least")
	far, ok2 := in.Set.Get("windbreak.reach", "heights_greatest")
	if p.feature == nil || !p.feature.Sound || p.feature.Shape.Empty() || !b.HeightYear20.Known || !ok1 || !ok2 {
		return p
	}
	p.Known = true
	h := b.HeightYear20.V
	d := geo.Direction(in.Plan.Holding.WorstWindDeg() + 180)
	rows := b.tallestRuns()
	zone := windZone(rows, d, near.Value*h, far.Value*h)
	p.InsidePercent = 100 * shareInside(p.feature.Shape, zone)
	if lo, hi, hit := windDistances(p.feature.Shape, rows, d); hit {
		p.Behind, p.NearestH, p.FarthestH = true, lo/h, hi/h
	}
	return p
}

// tallestRuns is the tallest row, less the openings in the belt.
func (b *Belt) tallestRuns() []orb.LineString {
	path := b.rows[max(0, b.tallest)].path
	if len(b.openings()) == 0 {
		return []orb.LineString{path}
	}
	chain := geo.NewChain(path)
	var out []orb.LineString
	at := 0.0
	add := func(to float64) {
		if to-at > planner.Tolerance {
			out = append(out, chain.Sub(at, to))
		}
	}
	for _, o := range b.openings() {
		s, _, _ := chain.Project(o.A)
		t, _, _ := chain.Project(o.B)
		add(math.Min(s, t))
		at = math.Max(at, math.Max(s, t))
	}
	add(chain.Length())
	return out
}

// windZone is the ground swept by lines moved along the wind from near to far metres; d is the unit vector that the air moves
// along. Each polygon comes from a stretch that runs one way across the wind, so none crosses itself; those of a line that
// doubles back overlap.
func windZone(lines []orb.LineString, d orb.Point, near, far float64) orb.MultiPolygon {
	across := func(p orb.Point) float64 { return p[0]*-d[1] + p[1]*d[0] }
	var out orb.MultiPolygon
	var run orb.LineString
	flush := func() {
		if len(run) > 1 {
			ring := make(orb.Ring, 0, 2*len(run)+1)
			for _, p := range run {
				ring = append(ring, moved(p, d, near))
			}
			for i := len(run) - 1; i >= 0; i-- {
				ring = append(ring, moved(run[i], d, far))
			}
			out = append(out, orb.Polygon{append(ring, ring[0])})
		}
		run = nil
	}
	for _, l := range lines {
		way := 0.0
		for i, p := range l {
			if i > 0 {
				step := across(p) - across(l[i-1])
				if step*way < 0 {
					flush()
					run = orb.LineString{l[i-1]}
					way = 0
				}
				if step != 0 {
					way = step
				}
			}
			run = append(run, p)
		}
		flush()
	}
	return out
}

func moved(p, d orb.Point, by float64) orb.Point { return orb.Point{p[0] + by*d[0], p[1] + by*d[1]} }

// shareInside is the share, 0 to 1, of a shape's area that lies in a zone; of its length for lines; of its points for points.
func shareInside(s planner.Shape, zone orb.MultiPolygon) float64 {
	if len(zone) == 0 {
		return 0
	}
	switch {
	case len(s.Polygons) > 0:
		whole := geo.MultiArea(s.Polygons)
		in, _ := geo.OverlapArea(s.Polygons, zone)
		if whole <= 0 {
			return 0
		}
		return math.Min(1, in/whole)
	case len(s.Lines) > 0:
		var in, whole float64
		for _, l := range s.Lines {
			whole += geo.Length(l)
			for _, span := range geo.LineInside(l, zone) {
				in += span.Length()
			}
		}
		if whole <= 0 {
			return 0
		}
		return math.Min(1, in/whole)
	}
	region := geo.NewRegion(zone)
	n := 0
	for _, p := range s.Points {
		if region.Contains(p) {
			n++
		}
	}
	return float64(n) / float64(len(s.Points))
}

// windDistances is the least and greatest distance, along the wind, from the lines to the parts of the shape that lie behind
// them; d is the way the air moves. Both are reached at a corner of the shape, straight behind a corner of a line, or (0) where
// a line comes into the shape, so these suffice. hit is false where no part lies behind.
func windDistances(s planner.Shape, lines []orb.LineString, d orb.Point) (least, greatest float64, hit bool) {
	barrier, edges, corners := lineEdges(lines), shapeEdges(s), shapeCorners(s)
	least = math.Inf(1)
	take := func(x float64) {
		if x >= -1e-9 {
			hit = true
			least, greatest = math.Min(least, math.Max(0, x)), math.Max(greatest, x)
		}
	}
	for _, p := range thinned(corners, len(barrier)) {
		near, found := math.Inf(1), false
		for _, g := range barrier {
			if x, ok := rayTo(p, g, d); ok && x >= -1e-9 && x < near {
				near, found = x, true
			}
		}
		if found {
			take(near)
		}
	}
	var own []orb.Point
	for _, l := range lines {
		own = append(own, l...)
	}
	region := geo.NewRegion(s.Polygons)
	for _, p := range thinned(own, len(edges)) {
		if len(s.Polygons) > 0 && region.Contains(p) { // an end that only just comes in is too short for the stretches below
			take(0)
		}
		for _, g := range edges {
			if x, ok := rayTo(p, g, d); ok {
				take(-x)
			}
		}
	}
	for _, l := range lines {
		if len(s.Polygons) > 0 && len(region.LineInside(geo.NewChain(l))) > 0 {
			take(0)
		}
	}
	return least, greatest, hit
}

// thinned leaves corners out evenly where there are too many for the budget.
func thinned(pts []orb.Point, each int) []orb.Point {
	step := 1 + len(pts)*each/rayBudget
	if step == 1 {
		return pts
	}
	var out []orb.Point
	for i := 0; i < len(pts); i += step {
		out = append(out, pts[i])
	}
	return out
}

// rayTo is how far p lies beyond the segment along d (negative where it lies before it); ok is false where the line through p
// along d misses the segment.
func rayTo(p orb.Point, g geo.Segment, d orb.Point) (float64, bool) {
	u := func(q orb.Point) float64 { return q[0]*-d[1] + q[1]*d[0] }
	v := func(q orb.Point) float64 { return q[0]*d[0] + q[1]*d[1] }
	a, b, x := u(g.A), u(g.B), u(p)
	if x < math.Min(a, b)-1e-9 || x > math.Max(a, b)+1e-9 {
		return 0, false
	}
	if math.Abs(b-a) < 1e-9 {
		return v(p) - math.Max(v(g.A), v(g.B)), true
	}
	t := (x - a) / (b - a)
	return v(p) - (v(g.A) + t*(v(g.B)-v(g.A))), true
}

func lineEdges(lines []orb.LineString) []geo.Segment {
	var out []geo.Segment
	for _, l := range lines {
		out = append(out, geo.LineSegments(l, 0)...)
	}
	return out
}

func shapeEdges(s planner.Shape) []geo.Segment {
	out := lineEdges(s.Lines)
	for _, p := range s.Polygons {
		out = append(out, geo.PolygonSegments(p, 0)...)
	}
	return out
}

func shapeCorners(s planner.Shape) []orb.Point {
	out := slices.Clone(s.Points)
	for _, l := range s.Lines {
		out = append(out, l...)
	}
	for _, p := range s.Polygons {
		for _, r := range p {
			out = append(out, r...)
		}
	}
	return out
}
