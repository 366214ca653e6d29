package geo

import (
	"math"
	"slices"
	"sort"

	"github.com/paulmach/orb"
)

// Chain is a line with its running chainage: the distance along it from its
// start. Positions that repeat the one before are dropped, so every segment has
// a direction. Looking up a chainage costs a binary search; Project walks the
// whole line. The zero value is a line of no length at (0, 0).
type Chain struct {
	line orb.LineString
	at   []float64 // chainage of each corner, strictly increasing
}

// NewChain copies the line; the line may be empty.
func NewChain(ls orb.LineString) Chain {
	var c Chain
	for _, p := range ls {
		n := len(c.line)
		if n == 0 {
			c.line, c.at = append(c.line, p), append(c.at, 0)
			continue
		}
		s := c.at[n-1] + Dist(c.line[n-1], p)
		if s > c.at[n-1] {
			c.line, c.at = append(c.line, p), append(c.at, s)
		}
	}
	return c
}

// Length is the chainage of the end.
func (c Chain) Length() float64 {
	if len(c.at) == 0 {
		return 0
	}
	return c.at[len(c.at)-1]
}

// Line is a copy of the line, without its repeated positions.
func (c Chain) Line() orb.LineString { return slices.Clone(c.line) }

// Corners are the chainages of the corners between the first and last position.
func (c Chain) Corners() []float64 {
	if len(c.at) < 3 {
		return nil
	}
	return slices.Clone(c.at[1 : len(c.at)-1])
}

// seg gives the segment that holds chainage s, and the share along it. A
// chainage on a corner belongs to the segment that starts there; chainages
// beyond either end are brought to it.
func (c Chain) seg(s float64) (i int, t float64) {
	n := len(c.line)
	i = sort.SearchFloat64s(c.at, s) // first corner at or beyond s
	if i < n && c.at[i] == s {
		i++
	}
	i = max(0, min(i-1, n-2))
	t = (s - c.at[i]) / (c.at[i+1] - c.at[i])
	return i, math.Max(0, math.Min(1, t))
}

// At is the point at chainage s; beyond either end, the end.
func (c Chain) At(s float64) orb.Point {
	switch len(c.line) {
	case 0:
		return orb.Point{}
	case 1:
		return c.line[0]
	}
	i, t := c.seg(s)
	return lerp(c.line[i], c.line[i+1], t)
}

// BearingAtDeg is the bearing of the line at chainage s; at a corner, of what
// follows it. It is 0 for a line of no length.
func (c Chain) BearingAtDeg(s float64) float64 {
	if len(c.line) < 2 {
		return 0
	}
	i, _ := c.seg(s)
	return BearingDeg(c.line[i], c.line[i+1])
}

// left is the unit normal to the left of segment i.
func (c Chain) left(i int) orb.Point {
	a, b := c.line[i], c.line[i+1]
	l := Dist(a, b)
	return orb.Point{-(b[1] - a[1]) / l, (b[0] - a[0]) / l}
}

// Offset is the point at chainage s moved d square to the line, left positive.
// At a corner it is square to what follows.
func (c Chain) Offset(s, d float64) orb.Point {
	p := c.At(s)
	if len(c.line) < 2 {
		return p
	}
	i, _ := c.seg(s)
	n := c.left(i)
	return orb.Point{p[0] + d*n[0], p[1] + d*n[1]}
}

// OffsetBisect is Offset, except that within w of a corner along the line the
// point is moved d along the bisector of that corner. So rows on either side of
// a bend neither cross nor bunch. Where the line turns straight back on itself
// there is no bisector, and the move is square to what follows.
func (c Chain) OffsetBisect(s, d, w float64) orb.Point {
	k, gap := c.nearCorner(s)
	if k < 0 || gap > w {
		return c.Offset(s, d)
	}
	a, b := c.left(k-1), c.left(k)
	mx, my := a[0]+b[0], a[1]+b[1]
	l := math.Hypot(mx, my)
	if l < 1e-9 {
		return c.Offset(s, d)
	}
	p := c.At(s)
	return orb.Point{p[0] + d*mx/l, p[1] + d*my/l}
}

// nearCorner is the inner corner nearest to chainage s along the line (the
// earlier of two as near), or -1, and how far it is.
func (c Chain) nearCorner(s float64) (k int, gap float64) {
	k, gap = -1, math.Inf(1)
	i := sort.SearchFloat64s(c.at, s)
	for _, j := range []int{i - 1, i} {
		if j < 1 || j > len(c.at)-2 {
			continue
		}
		if g := math.Abs(c.at[j] - s); g < gap {
			k, gap = j, g
		}
	}
	return k, gap
}

// Project finds the point of the line nearest to p. It gives its chainage, the
// distance square to the line there (left positive), and the straight distance.
// The two distances have the same size except beyond an end, where the offset
// is measured from the end segment drawn on. The first of several nearest
// points counts. Cost: the number of corners.
func (c Chain) Project(p orb.Point) (chainage, offset, dist float64) {
	if len(c.line) < 2 {
		d := Dist(c.At(0), p)
		return 0, d, d
	}
	best, bi, bt := math.Inf(1), 0, 0.0
	for i := 0; i+1 < len(c.line); i++ {
		if d, t := DistToSegment(p, c.line[i], c.line[i+1]); d < best {
			best, bi, bt = d, i, t
		}
	}
	chainage = c.at[bi] + bt*(c.at[bi+1]-c.at[bi])
	if bt == 1 {
		chainage = c.at[bi+1]
	}
	return chainage, c.sideOffset(p, bi, bt, best), best
}

// sideOffset is the signed offset of p whose nearest point lies at share t of
// segment i. At a corner the side is that of the bisector of its normals.
func (c Chain) sideOffset(p orb.Point, i int, t, dist float64) float64 {
	a, b := c.line[i], c.line[i+1]
	n := c.left(i)
	square := n[0]*(p[0]-a[0]) + n[1]*(p[1]-a[1])
	last := len(c.line) - 2
	if (t == 0 && i == 0) || (t == 1 && i == last) {
		return square
	}
	side := float64(Orientation(a, b, p))
	if t == 0 || t == 1 {
		k := i
		if t == 1 {
			k = i + 1
		}
		m, o := c.left(k-1), c.left(k)
		v := c.line[k]
		side = (m[0]+o[0])*(p[0]-v[0]) + (m[1]+o[1])*(p[1]-v[1])
	}
	return math.Copysign(dist, side)
}

// Sub is the part of the line between two chainages, with the corners between
// them. Chainages beyond an end are brought to it; from > to gives the part
// backwards; a part of no length is nil.
func (c Chain) Sub(from, to float64) orb.LineString {
	if from > to {
		r := c.Sub(to, from)
		slices.Reverse(r)
		return r
	}
	from, to = math.Max(0, from), math.Min(c.Length(), to)
	if !(to > from) {
		return nil
	}
	out := orb.LineString{c.At(from)}
	for i, s := range c.at {
		if s > from && s < to {
			out = append(out, c.line[i])
		}
	}
	return append(out, c.At(to))
}
