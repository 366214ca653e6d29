package light

import (
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo"
)

// passAt is the share of the beam that a group lets through to a point at height z: the same shadows as on a canvas, looked at from
// the point along the beam instead of from the obstacle down it.
func (g *group) passAt(p orb.Point, z float64, st *step) float64 {
	if g.high <= z {
		return 1
	}
	if g.crown != nil {
		if g.crown.meets(p, z, st) {
			return g.crown.pass
		}
		return 1
	}
	for _, poly := range g.footprint {
		if geo.Inside(poly, p) {
			return 0
		}
	}
	pass := 1.0
	for k := range g.pieces {
		if q := &g.pieces[k]; q.pass < pass && q.high > z && q.meets(p, z, st) {
			pass = q.pass
		}
	}
	return pass
}

// meets reports whether the beam from a point at height z to the sun meets the crown: with heights scaled so that the crown is a ball,
// whether the line passes its middle within its radius, on the sun's side or with the point inside.
func (e *ellipsoid) meets(p orb.Point, z float64, st *step) bool {
	k := e.across / e.tall
	d := [3]float64{st.towards[0], st.towards[1], st.towards[2] * k}
	w := [3]float64{e.at[0] - p[0], e.at[1] - p[1], (e.middle - z) * k}
	dd := d[0]*d[0] + d[1]*d[1] + d[2]*d[2]
	dw := d[0]*w[0] + d[1]*w[1] + d[2]*w[2]
	off := w[0]*w[0] + w[1]*w[1] + w[2]*w[2] - e.across*e.across
	return dw*dw-dd*off >= 0 && (dw >= 0 || off <= 0)
}

// meets reports whether the beam from a point at height z to the sun meets the prism: whether the stretch of ground below the beam,
// from where it is as high as the prism's foot to where it is as high as its top, meets the base.
func (q *piece) meets(p orb.Point, z float64, st *step) bool {
	a, b := math.Max(0, q.low-z), q.high-z
	from := orb.Point{p[0] - st.shadow[0]*a, p[1] - st.shadow[1]*a}
	to := orb.Point{p[0] - st.shadow[0]*b, p[1] - st.shadow[1]*b}
	if len(q.base) == 2 {
		return straddles(q.base[0], q.base[1], from, to) && straddles(from, to, q.base[0], q.base[1])
	}
	// Cut the stretch by each edge of the base, anticlockwise, its inside on the left.
	t0, t1 := 0.0, 1.0
	for i, v := range q.base {
		w := q.base[(i+1)%len(q.base)]
		at, end := cross(v, w, from), cross(v, w, to)
		switch {
		case at < 0 && end < 0:
			return false
		case at < 0:
			t0 = math.Max(t0, at/(at-end))
		case end < 0:
			t1 = math.Min(t1, at/(at-end))
		}
	}
	return t0 <= t1
}

// straddles reports whether c and d lie on different sides of the line through a and b, or on it.
func straddles(a, b, c, d orb.Point) bool {
	x, y := cross(a, b, c), cross(a, b, d)
	return x >= 0 && y <= 0 || x <= 0 && y >= 0
}
