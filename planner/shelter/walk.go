package shelter

import (
	"math"
	"slices"
	"sort"

	"github.com/paulmach/orb"

	"quickthorn/geo"
)

// hair is how far beside the end of a line a ray still meets it, metres: what rounding leaves.
const hair = 1e-9

// most is the greatest number of buckets across one wind.
const most = 1 << 16

// A view is the barriers as one wind meets them. u runs across the wind, v along it, the way the air moves. Pieces are found by u,
// in buckets of equal width, so that a point looks only at what lies up or down its own wind.
type view struct {
	along   orb.Point // unit vector that the air moves along
	weight  float64   // share of all winds
	from    float64   // u of the first bucket's edge
	width   float64
	start   []int32 // bucket -> first place in index
	index   []int32
	pieces  []piece
	barrier []ready // by number of barrier
}

// A piece is a stretch of a barrier that is met everywhere between two u: at v0 + slope*(u-u0). A piece of a building has a
// second face to leeward.
type piece struct {
	lo, hi, u0      float64
	v, slope        float64
	leeV, leeSlope  float64
	barrier, row    int32
	sine            float64 // of the angle between the wind and the line
	heightM, beyond float64 // beyond: how far from the piece its shelter can reach
}

// ready is a barrier with what is the same for every ray.
type ready struct {
	*Barrier
	solid bool
	whole bounded // of the only row, or of all rows of a belt together
	tall  float64
}

// hit is one row of a belt met on a ray.
type hit struct {
	v, sine float64
	row     int32
}

// newViews makes a view for each wind. Cost: what the barriers are long across the wind, in buckets, and their corners.
func newViews(barriers []Barrier, winds []Wind) []*view {
	prepared := make([]ready, len(barriers))
	for i := range barriers {
		b := &barriers[i]
		r := ready{Barrier: b, solid: len(b.Solid) > 0, tall: b.Tallest()}
		if len(b.Rows) > 0 {
			all := make([]hit, len(b.Rows))
			for k := range all {
				all[k].row = int32(k)
			}
			r.whole = bound(b.curveOf(all))
		}
		prepared[i] = r
	}
	var all float64
	for _, w := range winds {
		all += w.Percent
	}
	out := make([]*view, len(winds))
	for i, w := range winds {
		v := &view{along: geo.Direction(w.FromDeg + 180), barrier: prepared}
		if all > 0 {
			v.weight = w.Percent / all // exactly 1 for a wind that is alone
		}
		v.collect()
		v.sort()
		out[i] = v
	}
	return out
}

func (w *view) turned(p orb.Point) (u, v float64) {
	return p[1]*w.along[0] - p[0]*w.along[1], p[0]*w.along[0] + p[1]*w.along[1]
}

func (w *view) collect() {
	for i := range w.barrier {
		b := &w.barrier[i]
		if b.solid {
			w.solid(int32(i))
			continue
		}
		for k := range b.Rows {
			r := &b.Rows[k]
			if len(b.Rows) == 1 && b.whole.none {
				continue
			}
			for _, run := range r.Runs {
				for n := 1; n < len(run); n++ {
					w.line(run[n-1], run[n], piece{barrier: int32(i), row: int32(k), heightM: r.HeightM, beyond: b.reach()})
				}
			}
		}
	}
}

// reach is how far the shelter of any row can lie from any other.
func (b *ready) reach() float64 {
	var last int
	for i := range b.Rows {
		last = max(last, b.Rows[i].Row)
	}
	return LeewardHeights*b.tall + float64(last)*b.RowGapM
}

// line adds a stretch of a line. One that lies along the wind is met by no ray.
func (w *view) line(a, b orb.Point, p piece) {
	ua, va := w.turned(a)
	ub, vb := w.turned(b)
	if ua > ub {
		ua, va, ub, vb = ub, vb, ua, va
	}
	if !(ub-ua > hair) {
		return
	}
	p.lo, p.hi, p.u0, p.v, p.slope = ua-hair, ub+hair, ua, va, (vb-va)/(ub-ua)
	p.sine = 1 / math.Hypot(1, p.slope)
	w.pieces = append(w.pieces, p)
}

// solid adds a building cut at its corners into pieces with one face to windward and one to leeward.
func (w *view) solid(i int32) {
	b := &w.barrier[i]
	type side struct{ ua, va, ub, vb float64 }
	var sides []side
	var cuts []float64
	for _, poly := range b.Solid {
		for _, s := range geo.PolygonSegments(poly, 0) {
			ua, va := w.turned(s.A)
			ub, vb := w.turned(s.B)
			if ua > ub {
				ua, va, ub, vb = ub, vb, ua, va
			}
			cuts = append(cuts, ua, ub)
			if ub > ua {
				sides = append(sides, side{ua, va, ub, vb})
			}
		}
	}
	slices.Sort(cuts)
	sort.SliceStable(sides, func(i, j int) bool { return sides[i].ua < sides[j].ua })
	type face struct{ v, slope, middle float64 }
	for k := 1; k < len(cuts); k++ {
		lo, hi := cuts[k-1], cuts[k]
		if !(hi-lo > hair) {
			continue
		}
		mid := (lo + hi) / 2
		var faces []face
		for _, s := range sides {
			if s.ua > mid {
				break
			}
			if s.ub > mid {
				slope := (s.vb - s.va) / (s.ub - s.ua)
				faces = append(faces, face{s.va + slope*(lo-s.ua), slope, s.va + slope*(mid-s.ua)})
			}
		}
		sort.SliceStable(faces, func(i, j int) bool { return faces[i].middle < faces[j].middle })
		for n := 0; n+1 < len(faces); n += 2 {
			w.pieces = append(w.pieces, piece{lo: lo - hair, hi: hi + hair, u0: lo, v: faces[n].v, slope: faces[n].slope,
				leeV: faces[n+1].v, leeSlope: faces[n+1].slope, barrier: i, sine: 1, heightM: b.HeightM, beyond: LeewardHeights * b.HeightM})
		}
	}
}

// sort puts the pieces into their buckets, in the order of barriers.
func (w *view) sort() {
	if len(w.pieces) == 0 {
		return
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range w.pieces {
		lo, hi = math.Min(lo, w.pieces[i].lo), math.Max(hi, w.pieces[i].hi)
	}
	w.from, w.width = lo, math.Max(1, (hi-lo)/most)
	w.start = make([]int32, int((hi-lo)/w.width)+2)
	each := func(f func(i int32, bucket int)) {
		for i := range w.pieces {
			p := &w.pieces[i]
			for k := int((p.lo - lo) / w.width); k <= int((p.hi-lo)/w.width); k++ {
				f(int32(i), k)
			}
		}
	}
	each(func(_ int32, k int) { w.start[k+1]++ })
	for k := 1; k < len(w.start); k++ {
		w.start[k] += w.start[k-1]
	}
	w.index = make([]int32, w.start[len(w.start)-1])
	next := slices.Clone(w.start)
	each(func(i int32, k int) { w.index[next[k]] = i; next[k]++ })
}

// left is the share of the wind left at a point and the number of the barrier that it owes that to; -1 where the wind is open. Of
// barriers that give the same, it is the first. hits is scratch.
func (w *view) left(p orb.Point, hits *[]hit) (share float64, by int32) {
	share, by = 1, -1
	u, v := w.turned(p)
	k := (u - w.from) / w.width
	if !(k >= 0 && k < float64(len(w.start)-1)) { // beside everything, or nothing is there
		return share, by
	}
	bucket := w.index[w.start[int(k)]:w.start[int(k)+1]]
	for n := 0; n < len(bucket); n++ {
		s := &w.pieces[bucket[n]]
		b := &w.barrier[s.barrier]
		if len(b.Rows) > 1 {
			*hits = (*hits)[:0]
			for ; n < len(bucket) && w.pieces[bucket[n]].barrier == s.barrier; n++ {
				if t := &w.pieces[bucket[n]]; u >= t.lo && u <= t.hi {
					if at := t.v + t.slope*(u-t.u0); math.Abs(v-at) <= t.beyond/t.sine {
						*hits = append(*hits, hit{at, t.sine, t.row})
					}
				}
			}
			n--
			if f := b.belt(v, *hits, share); f < share {
				share, by = f, s.barrier
			}
			continue
		}
		if u < s.lo || u > s.hi {
			continue
		}
		x := v - (s.v + s.slope*(u-s.u0))
		if x > s.beyond && !b.solid || x < -WindwardHeights*s.heightM {
			continue
		}
		var f float64
		if b.solid {
			f = b.behindSolid(x, v-(s.leeV+s.leeSlope*(u-s.u0)))
		} else {
			f = b.whole.below(x/s.heightM, share)
		}
		if f < share {
			share, by = f, s.barrier
		}
	}
	return share, by
}

// behindSolid is what is left at so far behind the windward and the leeward face of a building. Distance counts from the nearer
// face, and is nothing within.
func (b *ready) behindSolid(windward, leeward float64) float64 {
	x := 0.0
	switch {
	case leeward > LeewardHeights*b.HeightM:
		return 1
	case leeward > 0:
		x = leeward
	case windward < 0:
		x = windward
	}
	return Left(x/b.HeightM, (windward-leeward)/b.HeightM, 0)
}

// belt is what a belt of several rows leaves at v, or share where that is no less. Rows met one behind the other count as one barrier: a row that is met again, or
// lies further on than its place in the belt explains, begins another (a belt that bends can be met twice).
func (b *ready) belt(v float64, hits []hit, share float64) float64 {
	for i := 1; i < len(hits); i++ { // few and nearly in order
		for k := i; k > 0 && (hits[k].v < hits[k-1].v || hits[k].v == hits[k-1].v && hits[k].row < hits[k-1].row); k-- {
			hits[k], hits[k-1] = hits[k-1], hits[k]
		}
	}
	from := 0
	for i := 1; i <= len(hits); i++ {
		if i < len(hits) && b.together(hits[from:i], hits[i]) {
			continue
		}
		share = min(share, b.group(v, hits[from:i], share))
		from = i
	}
	return share
}

// together tells whether a row met next is one of the same belt as those met just before.
func (b *ready) together(met []hit, next hit) bool {
	last := met[len(met)-1]
	for _, h := range met {
		if h.row == next.row {
			return next.v-h.v < 1e-6 // the corner that two stretches of one row share
		}
	}
	rows := math.Abs(float64(b.Rows[last.row].Row - b.Rows[next.row].Row))
	return (next.v-last.v)*math.Min(last.sine, next.sine) <= (rows+0.5)*b.RowGapM
}

// group is what rows met together leave: distance counts from the middle of the tallest.
func (b *ready) group(v float64, met []hit, share float64) float64 {
	tall, at, n := 0.0, 0.0, 0.0
	for _, h := range met {
		switch height := b.Rows[h.row].HeightM; {
		case height > tall:
			tall, at, n = height, h.v, 1
		case height == tall:
			at, n = at+h.v, n+1
		}
	}
	x := (v - at/n) / tall
	if x < -WindwardHeights || x > LeewardHeights {
		return 1
	}
	if len(met) == len(b.Rows) {
		return b.whole.below(x, share)
	}
	c := b.curveOf(met)
	return c.at(x)
}

// curveOf is the function for rows met together: their porosities multiply (each once), the width reaches from the outer edge of the
// first to that of the last, the height is that of the tallest.
func (b *Barrier) curveOf(met []hit) curve {
	porosity, tall := 1.0, 0.0
	first, last := &b.Rows[met[0].row], &b.Rows[met[0].row]
	for i, h := range met {
		r := &b.Rows[h.row]
		if !slices.ContainsFunc(met[:i], func(o hit) bool { return o.row == h.row }) {
			porosity *= r.Porosity
		}
		tall = math.Max(tall, r.HeightM)
		if r.Row < first.Row {
			first = r
		}
		if r.Row > last.Row {
			last = r
		}
	}
	width := float64(last.Row-first.Row)*b.RowGapM + (first.WidthM+last.WidthM)/2
	return newCurve(width/tall, porosity)
}
