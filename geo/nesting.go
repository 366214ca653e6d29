package geo

import (
	"cmp"
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// ringAt is one ring of a multipolygon with its place in it.
type ringAt struct {
	part, ring int
	r          orb.Ring
	box        orb.Bound
	bands      *bands // made when first asked
}

// edgeFaults looks at how the edges of all rings meet. The rings are each sound
// by themselves (closed, finite, not all on one line).
func edgeFaults(mp orb.MultiPolygon) []Fault {
	var rings []ringAt
	var edges []sweepEdge
	for k, p := range mp {
		for j, r := range p {
			for i := 1; i < len(r); i++ {
				a, b := r[i-1], r[i]
				switch c := lexCmp(a, b); {
				case c < 0:
					edges = append(edges, sweepEdge{a, b, len(rings)})
				case c > 0:
					edges = append(edges, sweepEdge{b, a, len(rings)})
				}
			}
			rings = append(rings, ringAt{part: k, ring: j, r: r, box: r.Bound()})
		}
	}
	s := runSweep(edges)
	var faults []Fault
	if s.stops {
		faults = crossingFaults(s, rings)
	}
	for _, t := range s.selfAt {
		g := rings[t.rings[0]]
		faults = append(faults, Fault{At: t.at, Kind: SelfTouching, Part: g.part, Ring: g.ring,
			Reason: "the ring comes back to a place where it has already been"})
	}
	if len(faults) > 0 {
		return faults
	}
	faults = append(faults, cutFaults(s.touches, rings)...)
	faults = append(faults, holeFaults(rings)...)
	if len(mp) > 1 && len(faults) == 0 {
		faults = partFaults(mp, s.touches, rings)
	}
	return faults
}

// crossingFaults gives the first crossing of the sweep, then others as far as a
// bounded search finds them, from west to east.
func crossingFaults(s *sweep, rings []ringAt) []Fault {
	first := crossingFault(s.edges[s.bad[0]], s.edges[s.bad[1]], rings)
	faults := []Fault{first}
	segs := make([]Segment, len(s.edges))
	for i, e := range s.edges {
		segs[i] = Segment{e.l, e.r, e.ring}
	}
	idx := NewSegments(segs)
	seen := map[orb.Point]bool{first.At: true}
	const budget = 2_000_000
	looks := 0
	for i, e := range s.edges {
		looks += idx.Crossing(e.l, e.r, func(k int) {
			if k <= i || len(faults) > 50*MaxFaults {
				return
			}
			if o := s.edges[k]; properCross(e.l, e.r, o.l, o.r) || overlapping(e, o) {
				if f := crossingFault(e, o, rings); !seen[f.At] {
					seen[f.At] = true
					faults = append(faults, f)
				}
			}
		})
		if looks > budget || len(faults) > 50*MaxFaults {
			break
		}
	}
	slices.SortStableFunc(faults, func(a, b Fault) int { return lexCmp(a.At, b.At) })
	return faults
}

// overlapping tells whether two edges share more than a point.
func overlapping(a, b sweepEdge) bool {
	if Orientation(a.l, a.r, b.l) != 0 || Orientation(a.l, a.r, b.r) != 0 {
		return false
	}
	lo, hi := a.l, a.r
	if lexCmp(b.l, lo) > 0 {
		lo = b.l
	}
	if lexCmp(b.r, hi) < 0 {
		hi = b.r
	}
	return lexCmp(lo, hi) < 0
}

// crossingFault puts the crossing or overlap of two edges into words.
func crossingFault(a, b sweepEdge, rings []ringAt) Fault {
	f := Fault{Part: rings[a.ring].part, Ring: rings[a.ring].ring}
	over := overlapping(a, b)
	if over {
		f.At = a.l
		if lexCmp(b.l, a.l) > 0 {
			f.At = b.l
		}
	} else if at, ok := segmentsMeet(a.l, a.r, b.l, b.r); ok {
		f.At, f.Depth = at, crossingDepth(a, b)
	}
	switch ra, rb := rings[a.ring], rings[b.ring]; {
	case a.ring == b.ring && over:
		f.Kind, f.Reason = SelfCrossing, "the ring doubles back along itself"
	case a.ring == b.ring:
		f.Kind, f.Reason = SelfCrossing, "the ring crosses itself"
	case ra.part != rb.part && over:
		f.Kind, f.Reason = PartsOverlap, "two parts share a stretch of edge"
	case ra.part != rb.part:
		f.Kind, f.Reason = PartsOverlap, "two parts cross"
	case over:
		f.Kind, f.Reason = RingsCross, "two rings share a stretch of edge"
	case ra.ring == 0 || rb.ring == 0:
		f.Kind, f.Reason = RingsCross, "a hole crosses the outline"
	default:
		f.Kind, f.Reason = RingsCross, "two holes cross"
	}
	return f
}

// crossingDepth is the least distance from an end of one edge to the other edge.
func crossingDepth(a, b sweepEdge) float64 {
	d1, _ := DistToSegment(a.l, b.l, b.r)
	d2, _ := DistToSegment(a.r, b.l, b.r)
	d3, _ := DistToSegment(b.l, a.l, a.r)
	d4, _ := DistToSegment(b.r, a.l, a.r)
	return min(d1, d2, d3, d4)
}

// cutFaults finds rings of one part that touch in a closed chain, which cuts the
// ground inside in two. Rings and the places where they touch make a graph; a
// place that joins what is already joined closes a chain.
func cutFaults(touches []touch, rings []ringAt) []Fault {
	parent := make([]int, len(rings))
	for i := range parent {
		parent[i] = i
	}
	find := func(i int) int {
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	var faults []Fault
	for _, t := range touches {
		byPart := map[int]int{} // part -> group that this place belongs to
		for _, r := range t.rings {
			g := find(r)
			at, seen := byPart[rings[r].part]
			switch {
			case !seen:
				byPart[rings[r].part] = g
			case find(at) == g:
				faults = append(faults, Fault{At: t.at, Kind: InteriorCut, Part: rings[r].part, Ring: rings[r].ring,
					Reason: "rings touch here and elsewhere, which cuts the ground inside in two"})
			default:
				parent[g] = find(at)
			}
		}
	}
	return faults
}

func (g *ringAt) index() *bands {
	if g.bands == nil {
		b := newBands(PolygonSegments(orb.Polygon{g.r}, 0))
		g.bands = &b
	}
	return g.bands
}

// insideRing tells where the ring in lies, given that the two do not cross: +1
// inside out, -1 outside it, 0 if every corner of in lies on out.
func insideRing(in, out *ringAt) (where int, at orb.Point) {
	b := out.index()
	for _, p := range in.r {
		if on := b.onEdge(p); on {
			continue
		}
		if b.contains(p) {
			return 1, p
		}
		return -1, p
	}
	return 0, in.r[0]
}

// onEdge tells whether p lies exactly on an edge.
func (b *bands) onEdge(p orb.Point) bool {
	if !b.box.Contains(p) {
		return false
	}
	for _, s := range b.strip[b.index(p[1])] {
		if OnSegment(p, s.A, s.B) {
			return true
		}
	}
	return false
}

// holeFaults finds holes outside their outline and holes in holes. Two holes are
// compared only where the box of one holds the other's.
func holeFaults(rings []ringAt) []Fault {
	var faults []Fault
	for i := 0; i < len(rings); {
		j := i + 1
		for j < len(rings) && rings[j].part == rings[i].part {
			if where, at := insideRing(&rings[j], &rings[i]); where < 0 {
				faults = append(faults, Fault{At: at, Kind: HoleOutside, Part: rings[j].part, Ring: rings[j].ring,
					Reason: "the hole lies outside the outline"})
			}
			j++
		}
		faults = append(faults, nestedHoles(rings[i+1:j])...)
		i = j
	}
	return faults
}

func nestedHoles(holes []ringAt) []Fault {
	order := make([]int, len(holes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(holes[a].box.Min[0], holes[b].box.Min[0]) })
	var faults []Fault
	for k, i := range order {
		out := &holes[i]
		for _, j := range order[k+1:] {
			in := &holes[j]
			if in.box.Min[0] > out.box.Max[0] {
				break
			}
			a, b := in, out
			if !holdsBox(b.box, a.box) {
				a, b = out, in
			}
			if !holdsBox(b.box, a.box) {
				continue
			}
			if where, at := insideRing(a, b); where > 0 {
				faults = append(faults, Fault{At: at, Kind: HolesNested, Part: a.part, Ring: a.ring,
					Reason: "the hole lies inside another hole"})
			}
		}
	}
	return faults
}

func holdsBox(out, in orb.Bound) bool {
	return in.Min[0] >= out.Min[0] && in.Min[1] >= out.Min[1] && in.Max[0] <= out.Max[0] && in.Max[1] <= out.Max[1]
}

// partFaults finds parts that overlap although no edges cross: one inside the
// other, or edges that change sides at places where the two touch. Between two
// touches an edge lies wholly inside or outside the other part, so the middle of
// each such piece tells.
func partFaults(mp orb.MultiPolygon, touches []touch, rings []ringAt) []Fault {
	type couple struct{ a, b int }
	at := map[couple]map[orb.Point]bool{}
	for _, t := range touches {
		for _, r := range t.rings {
			for _, q := range t.rings {
				if a, b := rings[r].part, rings[q].part; a != b {
					c := couple{a, b}
					if at[c] == nil {
						at[c] = map[orb.Point]bool{}
					}
					at[c][t.at] = true
				}
			}
		}
	}
	order := make([]int, len(mp))
	boxes := make([]orb.Bound, len(mp))
	regions := make([]*Region, len(mp))
	for i, p := range mp {
		order[i], boxes[i] = i, p.Bound()
	}
	region := func(i int) *Region {
		if regions[i] == nil {
			regions[i] = NewRegion(orb.MultiPolygon{mp[i]})
		}
		return regions[i]
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(boxes[a].Min[0], boxes[b].Min[0]) })
	var faults []Fault
	for k, i := range order {
		for _, j := range order[k+1:] {
			if boxes[j].Min[0] > boxes[i].Max[0] {
				break
			}
			if !boxes[i].Intersects(boxes[j]) {
				continue
			}
			p, bad := partInside(mp[i], region(j), at[couple{i, j}])
			if !bad {
				p, bad = partInside(mp[j], region(i), at[couple{j, i}])
			}
			if bad {
				faults = append(faults, Fault{At: p, Kind: PartsOverlap, Part: max(i, j),
					Reason: "two parts cover the same ground"})
			}
		}
	}
	return faults
}

// partInside looks for a piece of p's outline or holes strictly inside the
// region; touches are the places where the two meet.
func partInside(p orb.Polygon, r *Region, touches map[orb.Point]bool) (orb.Point, bool) {
	strictly := func(q orb.Point) bool { return r.Contains(q) && !r.polys[0].onEdge(q) }
	var pts []orb.Point
	for q := range touches {
		pts = append(pts, q)
	}
	slices.SortFunc(pts, lexCmp)
	for _, ring := range p {
		if len(touches) == 0 {
			if strictly(ring[0]) {
				return ring[0], true
			}
			continue
		}
		for i := 1; i < len(ring); i++ {
			if q, bad := pieceInside(ring[i-1], ring[i], pts, strictly); bad {
				return q, true
			}
		}
	}
	return orb.Point{}, false
}

// pieceInside cuts an edge at the places that lie on it and tests the middles.
func pieceInside(a, b orb.Point, pts []orb.Point, strictly func(orb.Point) bool) (orb.Point, bool) {
	if a == b {
		return a, false
	}
	shares := []float64{0, 1}
	lo, hi := math.Min(a[0], b[0]), math.Max(a[0], b[0])
	from, _ := slices.BinarySearchFunc(pts, lo, func(p orb.Point, x float64) int { return cmp.Compare(p[0], x) })
	for _, q := range pts[from:] {
		if q[0] > hi {
			break
		}
		if OnSegment(q, a, b) {
			shares = append(shares, shareOf(a, b, q))
		}
	}
	slices.Sort(shares)
	for k := 1; k < len(shares); k++ {
		if shares[k] > shares[k-1] {
			if m := lerp(a, b, (shares[k]+shares[k-1])/2); strictly(m) {
				return m, true
			}
		}
	}
	return orb.Point{}, false
}
