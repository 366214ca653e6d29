package geo

import "sort"

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
	type rest struct {
		i int
		r float64
	}
	var rests []rest
	left := n
	for i, w := range weights {
		if !usable(w) {
			continue
		}
		q := w * float64(n) / sum
		// Quotas such as 3*0.1/0.3 land a hair below a whole number: forgive
		// one part in 10^12, so that equal weights are treated alike.
		whole := int(q + 1e-12*float64(n))
		out[i] = whole
		left -= whole
		rests = append(rests, rest{i, q - float64(whole)})
	}
	sort.SliceStable(rests, func(a, b int) bool { return rests[a].r > rests[b].r+1e-12*float64(n) })
	for k := 0; left > 0; k = (k + 1) % len(rests) {
		out[rests[k].i]++
		left--
	}
	return out
}

func usable(w float64) bool { return w > 0 && finite(w) }
