package geo

import (
	"math"

	"github.com/paulmach/orb"
)

// Dist is the straight distance from a to b.
func Dist(a, b orb.Point) float64 { return math.Hypot(b[0]-a[0], b[1]-a[1]) }

// Length is the length of a line; 0 for fewer than two positions.
func Length(ls orb.LineString) float64 {
	var sum float64
	for i := 1; i < len(ls); i++ {
		sum += Dist(ls[i-1], ls[i])
	}
	return sum
}

// RingArea is the signed area of a ring: positive counter-clockwise. A ring
// that is not closed is taken as closed. The sum is taken about the first
// corner, so that a small ring far from the origin loses no digits.
func RingArea(r orb.Ring) float64 {
	if len(r) < 3 {
		return 0
	}
	o := r[0]
	var sum float64
	for i := 1; i+1 < len(r); i++ {
		sum += (r[i][0]-o[0])*(r[i+1][1]-o[1]) - (r[i+1][0]-o[0])*(r[i][1]-o[1])
	}
	return sum / 2
}

// Area is the area of a polygon, its holes taken off, whatever the direction of
// its rings.
func Area(p orb.Polygon) float64 {
	var sum float64
	for i, r := range p {
		a := math.Abs(RingArea(r))
		if i > 0 {
			a = -a
		}
		sum += a
	}
	return sum
}

// MultiArea is the sum of the areas of the polygons.
func MultiArea(mp orb.MultiPolygon) float64 {
	var sum float64
	for _, p := range mp {
		sum += Area(p)
	}
	return sum
}

// Perimeter is the length of all rings of a polygon, holes too. A ring that is
// not closed is taken as closed.
func Perimeter(p orb.Polygon) float64 {
	var sum float64
	for _, r := range p {
		sum += Length(orb.LineString(r))
		if n := len(r); n > 1 {
			sum += Dist(r[n-1], r[0])
		}
	}
	return sum
}

// MultiPerimeter is the sum of the perimeters of the polygons.
func MultiPerimeter(mp orb.MultiPolygon) float64 {
	var sum float64
	for _, p := range mp {
		sum += Perimeter(p)
	}
	return sum
}

// Centroid is the centre of gravity of a polygon, holes left out. It may lie
// outside a hollow shape. A polygon without area gives the middle of its
// outline by length, then the first position, then (0, 0).
func Centroid(p orb.Polygon) orb.Point {
	if len(p) == 0 || len(p[0]) == 0 {
		return orb.Point{}
	}
	o := p[0][0]
	var sx, sy, sa float64
	for i, r := range p {
		x, y, a := ringMoments(r, o)
		if (a < 0) != (i > 0) { // shells count positive, holes negative
			x, y, a = -x, -y, -a
		}
		sx, sy, sa = sx+x, sy+y, sa+a
	}
	if c := (orb.Point{o[0] + sx/sa, o[1] + sy/sa}); sa > 0 && finite(c[0]) && finite(c[1]) {
		return c
	}
	return outlineMiddle(p, o)
}

// ringMoments gives the first moments and the area of a ring about o, signed.
func ringMoments(r orb.Ring, o orb.Point) (mx, my, a float64) {
	for i := range r {
		p, q := r[i], r[(i+1)%len(r)]
		px, py, qx, qy := p[0]-o[0], p[1]-o[1], q[0]-o[0], q[1]-o[1]
		c := px*qy - qx*py
		a += c / 2
		mx += c * (px + qx) / 6
		my += c * (py + qy) / 6
	}
	return mx, my, a
}

func outlineMiddle(p orb.Polygon, o orb.Point) orb.Point {
	var sx, sy, sl float64
	for _, r := range p {
		for i := range r {
			a, b := r[i], r[(i+1)%len(r)]
			l := Dist(a, b)
			sl += l
			sx += l * ((a[0]-o[0])/2 + (b[0]-o[0])/2)
			sy += l * ((a[1]-o[1])/2 + (b[1]-o[1])/2)
		}
	}
	if sl == 0 {
		return o
	}
	return orb.Point{o[0] + sx/sl, o[1] + sy/sl}
}

// BearingDeg is the bearing from a to b, 0 up to 360 degrees clockwise from
// north; 0 where the two coincide.
func BearingDeg(a, b orb.Point) float64 {
	return NormBearing(math.Atan2(b[0]-a[0], b[1]-a[1]) * 180 / math.Pi)
}

// NormBearing brings a bearing into 0 up to (not including) 360 degrees.
func NormBearing(deg float64) float64 {
	d := math.Mod(deg, 360)
	if d < 0 {
		d += 360
	}
	if d >= 360 {
		d = 0
	}
	return d + 0 // turns -0 into 0
}

// AngleBetweenDeg is the lesser angle between two bearings, 0 to 180 degrees.
func AngleBetweenDeg(a, b float64) float64 {
	d := NormBearing(a - b)
	return math.Min(d, 360-d)
}

// Direction is the unit vector along a bearing in degrees. The four quarters
// are exact.
func Direction(bearingDeg float64) orb.Point {
	b := NormBearing(bearingDeg)
	switch b {
	case 0:
		return orb.Point{0, 1}
	case 90:
		return orb.Point{1, 0}
	case 180:
		return orb.Point{0, -1}
	case 270:
		return orb.Point{-1, 0}
	}
	s, c := math.Sincos(b * math.Pi / 180)
	return orb.Point{s, c}
}

// DistToSegment is the distance from p to the closed segment from a to b, and
// the share t (0 to 1) of the segment at which it is reached. A segment of no
// length has t = 0.
func DistToSegment(p, a, b orb.Point) (d, t float64) {
	dx, dy := b[0]-a[0], b[1]-a[1]
	l2 := dx*dx + dy*dy
	if l2 > 0 {
		t = ((p[0]-a[0])*dx + (p[1]-a[1])*dy) / l2
		t = math.Max(0, math.Min(1, t))
	}
	return Dist(p, lerp(a, b, t)), t
}

// lerp is the point at share t from a to b, exact at both ends.
func lerp(a, b orb.Point, t float64) orb.Point {
	if t == 1 {
		return b
	}
	return orb.Point{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])}
}
