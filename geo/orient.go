package geo

import (
	"math"

	"github.com/paulmach/orb"
)

// Orientation tells on which side of the line from a to b the point c lies:
// +1 left, -1 right, 0 exactly on it. The answer is exact for the float64
// numbers given, as long as their magnitudes lie between 1e-140 and 1e140.
//
// A floating-point filter settles nearly every call. The rest sum the six
// products of the determinant without rounding, after J. R. Shewchuk, "Adaptive
// Precision Floating-Point Arithmetic and Fast Robust Geometric Predicates",
// Discrete & Computational Geometry 18 (1997).
func Orientation(a, b, c orb.Point) int {
	l := (a[0] - c[0]) * (b[1] - c[1])
	r := (a[1] - c[1]) * (b[0] - c[0])
	det := l - r
	// Shewchuk's bound for the first stage: (3 + 16 eps) eps, eps = 2^-53.
	const bound = 3.3306690738754716e-16
	if e := bound * (math.Abs(l) + math.Abs(r)); det > e || -det > e {
		return sign(det)
	}
	return orientExact(a, b, c)
}

func sign(v float64) int {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

// orientExact sums ax*by - ay*bx + bx*cy - by*cx + cx*ay - cy*ax exactly.
// Invariant: sum[:n] is a non-overlapping expansion in increasing magnitude, so
// its sign is the sign of its last nonzero part.
func orientExact(a, b, c orb.Point) int {
	var sum [13]float64
	n := 0
	add := func(v float64) {
		q := v
		m := 0
		for i := range n {
			s := q + sum[i]
			bv := s - q
			err := (q - (s - bv)) + (sum[i] - bv)
			if err != 0 {
				sum[m] = err
				m++
			}
			q = s
		}
		if q != 0 {
			sum[m] = q
			m++
		}
		n = m
	}
	prod := func(x, y float64) {
		p := x * y
		add(math.FMA(x, y, -p))
		add(p)
	}
	prod(a[0], b[1])
	prod(-a[1], b[0])
	prod(b[0], c[1])
	prod(-b[1], c[0])
	prod(c[0], a[1])
	prod(-c[1], a[0])
	if n == 0 {
		return 0
	}
	return sign(sum[n-1])
}

// OnSegment tells whether p lies exactly on the closed segment from a to b.
func OnSegment(p, a, b orb.Point) bool {
	return p[0] >= math.Min(a[0], b[0]) && p[0] <= math.Max(a[0], b[0]) &&
		p[1] >= math.Min(a[1], b[1]) && p[1] <= math.Max(a[1], b[1]) &&
		Orientation(a, b, p) == 0
}
