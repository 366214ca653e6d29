package light

import (
	"math"

	"github.com/paulmach/orb"
)

// sectors tells which groups may shade a small piece of ground when the sun stands in some direction, so that a bed in a large
// holding need not ask every tree at every position of the sun.
type sectors [sectorCount][]int32

const sectorCount = 360

// sectorsOf sorts the groups of a scene by where they are seen from a box. The lists are in order of the groups.
func sectorsOf(s *Scene, box orb.Bound) *sectors {
	var out sectors
	half := (box.Max[0] - box.Min[0] + box.Max[1] - box.Min[1]) / 2
	mid := box.Center()
	for k := range s.groups {
		g := &s.groups[k]
		dx, dy := g.mid[0]-mid[0], g.mid[1]-mid[1]
		d, reach := math.Hypot(dx, dy), g.radius+half
		if d <= reach*1.001 {
			for i := range out {
				out[i] = append(out[i], int32(k))
			}
			continue
		}
		wide := math.Asin(reach/d) + 1e-6
		at := math.Atan2(dx, dy)
		from, to := sectorOf(at-wide), sectorOf(at+wide)
		for i := from; ; i = (i + 1) % sectorCount {
			out[i] = append(out[i], int32(k))
			if i == to {
				break
			}
		}
	}
	return &out
}

// sectorOf is the sector of a bearing in radians.
func sectorOf(bearing float64) int {
	i := int(math.Floor(bearing / (2 * math.Pi) * sectorCount))
	return ((i % sectorCount) + sectorCount) % sectorCount
}

// towards lists the groups that the sun may stand behind.
func (s *sectors) towards(st *step) []int32 {
	return s[sectorOf(math.Atan2(st.towards[0], st.towards[1]))]
}
