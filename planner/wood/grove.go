package wood

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// grove divides a coppice grove into coupes of equal area across the longer side of its box (from the west, or from the south), as
// many as its longer side has lengths of a section, rounded up. FromM and ToM run along that side.
func (d *sectioner) grove(f *planner.Feature, b *planner.Block) []Section {
	box := f.Shape.Bound()
	axis := longAxis(box)
	long, total := box.Max[axis]-box.Min[axis], geo.MultiArea(f.Shape.Polygons)
	if long <= 0 || total <= 0 {
		return nil
	}
	n := int(math.Max(1, math.Ceil((long-planner.Tolerance)/d.length)))
	mix := b.Mix
	if len(mix) == 0 {
		for _, t := range b.Trees {
			mix = append(mix, planner.Share{Species: t.Species, SharePercent: math.Max(t.SharePercent, float64(t.Count))})
		}
	}
	var out []Section
	from := 0.0
	for k := range n {
		to := long
		if k < n-1 {
			to = bisect(f.Shape.Polygons, axis, box.Min[axis], from, long, total*float64(k+1)/float64(n))
		}
		shape := strip(f.Shape.Polygons, axis, box.Min[axis]+from, box.Min[axis]+to)
		s := Section{Feature: f, Number: k + 1, Method: Coppice, FromM: from, ToM: to, Shape: shape, AreaM2: geo.MultiArea(shape), Mix: d.mix(mix)}
		s.ID = fmt.Sprintf("%s/%d", f.ID, s.Number)
		d.groveYield(&s)
		d.born(&s, b.LastCut, b.HeightM)
		d.winters(&s, b.CutIn, b.NotIn)
		d.ground(&s)
		if b.HeightM > 0 {
			s.HeightM = b.HeightM
		}
		if s.AreaM2 > 0 {
			out = append(out, s)
		}
		from = to
	}
	return out
}

// longAxis is 0 where a box is at least as long from west to east as from south to north, else 1.
func longAxis(box orb.Bound) int {
	if box.Max[1]-box.Min[1] > box.Max[0]-box.Min[0] {
		return 1
	}
	return 0
}

// edge is the side of its grove from which a coupe's metres are counted.
func (s *Section) edge() string { return []string{"west", "south"}[longAxis(s.Feature.Shape.Bound())] }

// groveYield picks the class whose species hold most of the mix, if that is half or more.
func (d *sectioner) groveYield(s *Section) {
	s.Yield, _ = YieldOf("mixed-grove")
	best := 0.5 - 1e-9
	for _, y := range data().yields {
		if y.Kind != "grove" || len(y.Species) == 0 {
			continue
		}
		if share := s.Share(y.Species...); share > best {
			best, s.Yield = share, y
		}
	}
	s.Least, s.Usual, s.Most = s.Yield.Least, s.Yield.Usual, s.Yield.Most
	if len(s.Mix) == 0 {
		s.Notes = append(s.Notes, "its mix is not stated, so it counts as broadleaved coppice"+lookForAsh)
	}
}

// bisect finds how far along the axis an area lies, to a millimetre.
func bisect(mp orb.MultiPolygon, axis int, zero, from, to, area float64) float64 {
	lo, hi := from, to
	for hi-lo > 0.001 {
		mid := (lo + hi) / 2
		if geo.MultiArea(strip(mp, axis, zero-1, zero+mid)) < area {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// strip is what of polygons lies between two lines across an axis. Each ring is cut by itself, so that areas are right; parts of a
// ring that the strip separates stay joined along its edge.
func strip(mp orb.MultiPolygon, axis int, lo, hi float64) orb.MultiPolygon {
	var out orb.MultiPolygon
	for _, p := range mp {
		var q orb.Polygon
		for i, r := range p {
			c := half(half(r, axis, lo, 1), axis, hi, -1)
			if len(c) >= 3 {
				q = append(q, append(c, c[0]))
			} else if i == 0 {
				break
			}
		}
		if len(q) > 0 {
			out = append(out, q)
		}
	}
	return out
}

// half keeps what of an open or closed ring lies above a line across an axis (side 1) or below it (-1).
func half(r orb.Ring, axis int, at, side float64) orb.Ring {
	if n := len(r); n > 1 && r[0] == r[n-1] {
		r = r[:n-1]
	}
	var out orb.Ring
	in := func(p orb.Point) bool { return side*(p[axis]-at) >= 0 }
	for i, b := range r {
		a := r[(i+len(r)-1)%len(r)]
		if in(a) != in(b) {
			t := (at - a[axis]) / (b[axis] - a[axis])
			out = append(out, orb.Point{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])})
		}
		if in(b) {
			out = append(out, b)
		}
	}
	return out
}
