package light

import (
	"math"
	"sort"

	"github.com/paulmach/orb"

	"quickthorn/geo"
)

// longestMitre is how far, in half widths, the corner of a bend may reach; at sharper bends both ends are cut square and run half a
// width on, so that the corner is closed.
const longestMitre = 2.0

// wallBases are the convex bases of a wall of some width along a line, one for each of its segments, without gaps at its bends.
func wallBases(line orb.LineString, width float64) [][]orb.Point {
	pts := distinct(line)
	if len(pts) < 2 {
		return nil
	}
	n := len(pts)
	closed := n > 3 && pts[0] == pts[n-1]
	half := math.Max(0, width) / 2
	var out [][]orb.Point
	for i := 0; i+1 < n; i++ {
		if half == 0 {
			out = append(out, []orb.Point{pts[i], pts[i+1]})
			continue
		}
		before, after := i-1, i+2
		if closed && before < 0 {
			before = n - 2
		}
		if closed && after >= n {
			after = 1
		}
		a1, a2 := end(pts, before, i, i+1, half)
		b2, b1 := end(pts, after, i+1, i, half) // looking back, so left is right
		out = append(out, hull([]orb.Point{a1, a2, b2, b1}))
	}
	return out
}

// end is the two corners, left and right, of the segment from pts[at] to pts[to] at its end pts[at], where the line comes from
// pts[from]; from outside the line is a free end.
func end(pts []orb.Point, from, at, to int, half float64) (left, right orb.Point) {
	p := pts[at]
	d := unit(p, pts[to])
	n := orb.Point{-d[1], d[0]}
	if from < 0 || from >= len(pts) {
		return offset(p, n, half), offset(p, n, -half)
	}
	c := unit(pts[from], p)
	m := orb.Point{n[0] - c[1], n[1] + c[0]} // sum of both left normals
	if l := math.Hypot(m[0], m[1]); l > 1e-9 {
		m = orb.Point{m[0] / l, m[1] / l}
		if reach := 1 / (m[0]*n[0] + m[1]*n[1]); reach > 0 && reach <= longestMitre {
			return offset(p, m, half*reach), offset(p, m, -half*reach)
		}
	}
	p = offset(p, d, -half)
	return offset(p, n, half), offset(p, n, -half)
}

func offset(p, dir orb.Point, by float64) orb.Point {
	return orb.Point{p[0] + dir[0]*by, p[1] + dir[1]*by}
}

func unit(a, b orb.Point) orb.Point {
	l := geo.Dist(a, b)
	return orb.Point{(b[0] - a[0]) / l, (b[1] - a[1]) / l}
}

// distinct drops points that repeat the one before, and what is not finite.
func distinct(line orb.LineString) []orb.Point {
	var out []orb.Point
	for _, p := range line {
		if math.IsNaN(p[0]+p[1]) || math.IsInf(p[0]+p[1], 0) || len(out) > 0 && geo.Dist(out[len(out)-1], p) < 1e-6 {
			continue
		}
		out = append(out, p)
	}
	return out
}

// hull is the convex hull, anticlockwise.
func hull(pts []orb.Point) []orb.Point {
	ps := append([]orb.Point(nil), pts...)
	sort.Slice(ps, func(i, j int) bool { return ps[i][0] < ps[j][0] || ps[i][0] == ps[j][0] && ps[i][1] < ps[j][1] })
	var out []orb.Point
	for pass := range 2 {
		start := len(out)
		for k := range ps {
			p := ps[k]
			if pass == 1 {
				p = ps[len(ps)-1-k]
			}
			for len(out) >= start+2 && cross(out[len(out)-2], out[len(out)-1], p) <= 0 {
				out = out[:len(out)-1]
			}
			out = append(out, p)
		}
		out = out[:len(out)-1]
	}
	return out
}

// cross is twice the area of a triangle, positive anticlockwise.
func cross(a, b, c orb.Point) float64 {
	return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
}
