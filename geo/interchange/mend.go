package interchange

import (
	"slices"

	"github.com/paulmach/orb"
)

// dropRepeats moves positions that follow themselves out of the way and returns how many remain at the front.
func (r *reader) dropRepeats(ps []orb.Point) int {
	n := 0
	for i, p := range ps {
		if i == 0 || p != ps[n-1] {
			ps[n] = p
			n++
		}
	}
	r.g.Mended.Repeated += len(ps) - n
	return n
}

// windingArea is twice the area of the ring in square degrees, positive where it runs anticlockwise. It is reckoned from the
// ring's first position, so that small fields far from longitude 0 lose no digits.
func windingArea(r orb.Ring) float64 {
	sum := 0.0
	for i := 1; i+1 < len(r); i++ {
		ax, ay := r[i][0]-r[0][0], r[i][1]-r[0][1]
		bx, by := r[i+1][0]-r[0][0], r[i+1][1]-r[0][1]
		sum += ax*by - bx*ay
	}
	return sum
}

func reverse(r orb.Ring) { slices.Reverse(r) }

// startWest turns a closed ring in place so that it begins at its westernmost position (the southernmost of several), so that
// where somebody began to draw it changes nothing that is computed.
func startWest(r orb.Ring) {
	if len(r) < 3 || r[0] != r[len(r)-1] {
		return
	}
	open := r[:len(r)-1]
	k := 0
	for i, p := range open {
		if p[0] < open[k][0] || p[0] == open[k][0] && p[1] < open[k][1] {
			k = i
		}
	}
	slices.Reverse(open[:k])
	slices.Reverse(open[k:])
	slices.Reverse(open)
	r[len(r)-1] = r[0]
}
