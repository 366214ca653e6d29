package geo

import (
	"math"
	"math/rand/v2"

	"github.com/paulmach/orb"
)

// scatterTries is how many places are tried round each point before it is given
// up; 30 is the figure of Bridson's paper.
const scatterTries = 30

// MaxScatter is the most points that Scatter lays out.
const MaxScatter = 2_000_000

// Scatter fills the region with points that look sown by hand: none nearer to
// another than minDist, none nearer to an edge than margin, and no hole left
// that would take many more. The method is R. Bridson, "Fast Poisson disk
// sampling in arbitrary dimensions", SIGGRAPH sketches 2007. The same region and
// seed always give the same points in the same order. Parts that the margin cuts
// off from one another are each sown.
func Scatter(region *Region, margin, minDist float64, seed uint64) []orb.Point {
	box := region.Box()
	w, h := box.Max[0]-box.Min[0], box.Max[1]-box.Min[1]
	if !(minDist > 0) || !finite(minDist) || !(w*h/(minDist*minDist) < MaxScatter) || region.edges.Len() == 0 {
		return nil
	}
	s := sower{region: region, margin: margin, dist: minDist, min: box.Min,
		cell: minDist / math.Sqrt2, rng: rand.New(rand.NewPCG(seed, 0x9e3779b97f4a7c15))}
	s.nx, s.ny = int(w/s.cell)+1, int(h/s.cell)+1
	s.grid = make([]int32, s.nx*s.ny)
	// Start from every cell in turn that is still free, so that no part is
	// missed; after the first this costs one look per cell.
	for y := range s.ny {
		for x := range s.nx {
			if s.grid[y*s.nx+x] != 0 {
				continue
			}
			p := orb.Point{s.min[0] + (float64(x)+s.rng.Float64())*s.cell, s.min[1] + (float64(y)+s.rng.Float64())*s.cell}
			if s.put(p) {
				s.grow()
			}
		}
	}
	return s.pts
}

type sower struct {
	region       *Region
	margin, dist float64
	min          orb.Point
	cell         float64 // minDist/sqrt 2, so that a cell holds at most one point
	nx, ny       int
	grid         []int32 // number of the point in the cell, from 1
	pts          []orb.Point
	active       []int32
	rng          *rand.Rand
}

// put adds p if it stands clear of the edge and of every point so far.
func (s *sower) put(p orb.Point) bool {
	x, y := int((p[0]-s.min[0])/s.cell), int((p[1]-s.min[1])/s.cell)
	if p[0] < s.min[0] || p[1] < s.min[1] || x >= s.nx || y >= s.ny {
		return false
	}
	for yy := max(0, y-2); yy <= min(s.ny-1, y+2); yy++ {
		for xx := max(0, x-2); xx <= min(s.nx-1, x+2); xx++ {
			if k := s.grid[yy*s.nx+xx]; k != 0 && Dist(p, s.pts[k-1]) < s.dist {
				return false
			}
		}
	}
	if !s.region.ContainsBy(p, s.margin, 0) {
		return false
	}
	s.pts = append(s.pts, p)
	s.grid[y*s.nx+x] = int32(len(s.pts))
	s.active = append(s.active, int32(len(s.pts)-1))
	return true
}

// grow sows round the active points until none has room.
func (s *sower) grow() {
	for len(s.active) > 0 {
		k := s.rng.IntN(len(s.active))
		p := s.pts[s.active[k]]
		found := false
		for range scatterTries {
			// Even by area over the ring from minDist to 2 minDist.
			r := s.dist * math.Sqrt(1+3*s.rng.Float64())
			sin, cos := math.Sincos(2 * math.Pi * s.rng.Float64())
			if s.put(orb.Point{p[0] + r*cos, p[1] + r*sin}) {
				found = true
				break
			}
		}
		if !found {
			last := len(s.active) - 1
			s.active[k] = s.active[last]
			s.active = s.active[:last]
		}
	}
}
