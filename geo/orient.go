package geo

import (
	"math"
	"math/big"

	"github.com/paulmach/orb"
)

// Orientation tells on which side of the line from a to b the point c lies:
// +1 left, -1 right, 0 exactly on it. The answer is exact for the float64
// numbers given; what is not finite counts as on the line.
//
// A floating-point filter settles nearly every call. The rest sum the six
// products of the determinant without rounding, after J. R. Shewchuk, "Adaptive
// Precision Floating-Point Arithmetic and Fast Robust Geometric Predicates",
// Discrete & Computational Geometry 18 (1997). Rational numbers take over where
// a product is too small or too great for that.
func Orientation(a, b, c orb.Point) int {
	l := (a[0] - c[0]) * (b[1] - c[1])
	r := (a[1] - c[1]) * (b[0] - c[0])
	det := l - r
	// Shewchuk's bound for the first stage: (3 + 16 eps) eps, eps = 2^-53.
	const bound = 3.3306690738754716e-16
	size := math.Abs(l) + math.Abs(r)
	if e := bound * size; size > 1e-280 && (det > e || -det > e) {
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
	odd := false
	prod := func(x, y float64) {
		p := x * y
		if a := math.Abs(p); !(a < 1e300) || (a < 1e-280 && x != 0 && y != 0) {
			odd = true
			return
		}
		add(math.FMA(x, y, -p))
		add(p)
	}
	prod(a[0], b[1])
	prod(-a[1], b[0])
	prod(b[0], c[1])
	prod(-b[1], c[0])
	prod(c[0], a[1])
	prod(-c[1], a[0])
	switch {
	case odd:
		return orientRational(a, b, c)
	case n == 0:
		return 0
	}
	return sign(sum[n-1])
}

// orientRational is the determinant in rational numbers: slow and obvious.
func orientRational(a, b, c orb.Point) int {
	for _, p := range []orb.Point{a, b, c} {
		if !finite(p[0]) || !finite(p[1]) {
			return 0
		}
	}
	sub := func(x, y float64) *big.Rat {
		return new(big.Rat).Sub(new(big.Rat).SetFloat64(x), new(big.Rat).SetFloat64(y))
	}
	l := new(big.Rat).Mul(sub(b[0], a[0]), sub(c[1], a[1]))
	r := new(big.Rat).Mul(sub(b[1], a[1]), sub(c[0], a[0]))
	return l.Cmp(r)
}

// OnSegment tells whether p lies exactly on the closed segment from a to b.
func OnSegment(p, a, b orb.Point) bool {
	return p[0] >= math.Min(a[0], b[0]) && p[0] <= math.Max(a[0], b[0]) &&
		p[1] >= math.Min(a[1], b[1]) && p[1] <= math.Max(a[1], b[1]) &&
		Orientation(a, b, p) == 0
}
