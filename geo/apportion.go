package geo

import (
	"cmp"
	"math"
	"slices"
)

// LargestRemainder divides n things by weight so that they add up to n
// (Hamilton's method): each share gets the whole part of weight*n/sum, and what
// is left goes to the largest remainders, the earlier share first where they
// tie. A share of weight 0 (or below, or not a number) gets nothing; if there is
// no weight at all, nobody does. A larger n may give a minor share one less.
func LargestRemainder(weights []float64, n int) []int {
	out := make([]int, len(weights))
	var sum float64
	for _, w := range weights {
		if usable(w) {
			sum += w
		}
	}
	if n <= 0 || sum <= 0 || !finite(sum) {
		return out
	}
	type share struct {
		i         int
		remainder float64
	}
	var shares []share
	left := n
	for i, w := range weights {
		if !usable(w) {
			continue
		}
		// Binary rounding puts a quota such as 0.7 of 10 a hair below 7, and equal
		// remainders a hair apart: count in billionths, or in what a float64 can
		// tell where n is past a million.
		q := roundTo(w/sum*float64(n), math.Min(1e9, 1e15/float64(n)))
		whole := math.Floor(q)
		out[i] = int(whole)
		left -= out[i]
		shares = append(shares, share{i, roundTo(q-whole, 1e9)})
	}
	slices.SortStableFunc(shares, func(a, b share) int { return cmp.Compare(b.remainder, a.remainder) })
	for k := 0; left > 0; k = (k + 1) % len(shares) {
		out[shares[k].i]++
		left--
	}
	for k := len(shares) - 1; left < 0; k-- { // quotas rounded up past n
		out[shares[k].i]--
		left++
	}
	return out
}

// roundTo rounds to a number of parts of one.
func roundTo(v, parts float64) float64 { return math.Round(v*parts) / parts }

func usable(w float64) bool { return w > 0 && finite(w) }
