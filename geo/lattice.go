package geo

import (
	"math"

	"github.com/paulmach/orb"
)

// Lattice calls f with every point of a lattice that lies in the box, its edge
// counted with a tolerance of 1e-9 m. Rows run along the bearing, the points of
// a row stand along apart, the rows across apart to the right of the bearing,
// and every odd row is moved shift along the bearing. Row 0 has point 0 at the
// origin; rows and points count below zero behind and to the left of it. The
// order is row by row, each by rising n. Nothing is called unless along and
// across are above 0 and all is finite.
//
// Cost: the points in the box, and the rows that meet it. A lattice so fine that
// the box would hold more than MaxLattice points gives none.
func Lattice(origin orb.Point, bearingDeg, along, across, shift float64, box orb.Bound, f func(row, n int, p orb.Point)) {
	if !(along > 0) || !(across > 0) || !finite(along) || !finite(across) || !finite(shift) || !finite(bearingDeg) ||
		!finite(origin[0]) || !finite(origin[1]) || !(box.Max[0] >= box.Min[0]) || !(box.Max[1] >= box.Min[1]) {
		return
	}
	u := Direction(bearingDeg)
	v := Direction(bearingDeg + 90)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, c := range []orb.Point{box.Min, {box.Max[0], box.Min[1]}, box.Max, {box.Min[0], box.Max[1]}} {
		d := (c[0]-origin[0])*v[0] + (c[1]-origin[1])*v[1]
		lo, hi = math.Min(lo, d), math.Max(hi, d)
	}
	const eps = 1e-9
	r0, r1 := math.Ceil((lo-eps)/across), math.Floor((hi+eps)/across)
	w, h := box.Max[0]-box.Min[0], box.Max[1]-box.Min[1]
	if !(r1-r0 < MaxLattice) || !(math.Hypot(w, h)/along*(r1-r0+1) < 4*MaxLattice) || math.Abs(r0) > 1e15 || math.Abs(r1) > 1e15 {
		return
	}
	for row := int(r0); row <= int(r1); row++ {
		s := 0.0
		if row%2 != 0 {
			s = shift
		}
		o := orb.Point{origin[0] + float64(row)*across*v[0] + s*u[0], origin[1] + float64(row)*across*v[1] + s*u[1]}
		t0, t1, ok := clipRay(o, u, box, eps)
		if !ok {
			continue
		}
		for n := int(math.Ceil(t0/along - eps)); float64(n)*along <= t1+eps; n++ {
			t := float64(n) * along
			f(row, n, orb.Point{o[0] + t*u[0], o[1] + t*u[1]})
		}
	}
}

// MaxLattice is the most points that Lattice lays out in a box.
const MaxLattice = 50_000_000

// clipRay gives the stretch t0 to t1 of the line o + t*u within the box, grown
// by eps.
func clipRay(o, u orb.Point, box orb.Bound, eps float64) (t0, t1 float64, ok bool) {
	t0, t1 = math.Inf(-1), math.Inf(1)
	for k := range 2 {
		lo, hi := box.Min[k]-eps-o[k], box.Max[k]+eps-o[k]
		if math.Abs(u[k]) < 1e-15 {
			if lo > 0 || hi < 0 {
				return 0, 0, false
			}
			continue
		}
		a, b := lo/u[k], hi/u[k]
		t0, t1 = math.Max(t0, math.Min(a, b)), math.Min(t1, math.Max(a, b))
	}
	return t0, t1, t0 <= t1
}
