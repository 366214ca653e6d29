package geo

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestLargestRemainder(t *testing.T) {
	const worked = "quotas worked by hand; the earlier share wins a tie"
	rows := []struct {
		w      []float64
		n      int
		want   []int
		source string
	}{
		{[]float64{1500, 1500, 900, 500, 500, 200}, 25, []int{7, 7, 4, 3, 3, 1}, "published example of the Alabama paradox, 25 seats"},
		{[]float64{1500, 1500, 900, 500, 500, 200}, 26, []int{8, 8, 5, 2, 2, 1}, "published example of the Alabama paradox, 26 seats: two lose one"},
		{[]float64{50, 30, 20}, 7, []int{4, 2, 1}, worked},
		{[]float64{6, 6, 2}, 10, []int{4, 4, 2}, "the usual small example of the paradox"},
		{[]float64{6, 6, 2}, 11, []int{5, 5, 1}, "the usual small example of the paradox"},
		{[]float64{60, 15, 10, 10, 5}, 250, []int{150, 38, 25, 25, 12}, worked},
		{[]float64{60, 15, 10, 10, 5}, 101, []int{61, 15, 10, 10, 5}, worked},
		{[]float64{1, 1, 1}, 10, []int{4, 3, 3}, worked},
		{[]float64{1, 1, 1}, 100, []int{34, 33, 33}, worked},
		{[]float64{5, 5, 0}, 3, []int{2, 1, 0}, worked},
		{[]float64{70, 20, 10}, 7, []int{5, 1, 1}, worked},
		{[]float64{0.1, 0.1, 0.1}, 3, []int{1, 1, 1}, "equal shares, although 0.1 is no binary fraction"},
		{[]float64{0.7, 0.2, 0.1}, 10, []int{7, 2, 1}, "whole quotas, although none is a binary fraction"},
		{[]float64{1, math.NaN(), -2, 1}, 4, []int{2, 0, 0, 2}, "what is no weight gets nothing"},
		{[]float64{0, 0}, 4, []int{0, 0}, "no weight at all"},
		{[]float64{1, 2}, 0, []int{0, 0}, "nothing to share"},
		{[]float64{1, 2}, -3, []int{0, 0}, "nothing to share"},
		{nil, 5, []int{}, "nobody to share"},
	}
	for _, r := range rows {
		assert.Equal(t, r.want, LargestRemainder(r.w, r.n), fmt.Sprintf("%v of %d: %s", r.w, r.n, r.source))
	}
}

func TestLargestRemainderProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(1, 12).Draw(t, "shares")
		w := make([]float64, k)
		sum := 0.0
		for i := range w {
			w[i] = float64(rapid.IntRange(0, 1000).Draw(t, "weight")) / 10
			sum += w[i]
		}
		if sum == 0 {
			return
		}
		n := rapid.IntRange(0, 20000).Draw(t, "n")
		got := LargestRemainder(w, n)
		total := 0
		for i, g := range got {
			total += g
			q := w[i] * float64(n) / sum
			assert.GreaterOrEqual(t, float64(g), math.Floor(q)-1e-6, "no less than the whole part of its quota")
			assert.LessOrEqual(t, float64(g), math.Ceil(q)+1e-6, "no more than its quota rounded up")
			for j := range got {
				if w[i] == w[j] && i < j {
					assert.True(t, g == got[j] || g == got[j]+1, "equal weights, the earlier first")
				}
			}
		}
		assert.Equal(t, n, total)
	})
}
