package check

import "quickthorn/geo"

// A neighbour is the nearest plant of the same feature, by its place in Shared.Plants; -1 where there is none or it was not asked for.
type neighbour struct {
	in   int
	dist float64
}

// neighbours finds the nearest neighbour in the same planting of every planned plant outside hedges. Two rules ask; it is worked out
// once, by the first.
func (s *Shared) neighbours() []neighbour {
	s.nearOnce.Do(func() {
		s.nearest = make([]neighbour, len(s.Plants))
		for _, sp := range s.spans {
			at := s.At[sp.lo:sp.hi]
			look := rangeUse(s.Plants[sp.lo].Use) != "" && s.Plants[sp.lo].Listed
			var grid *geo.Points
			if look {
				grid = geo.NewPoints(at, 0)
			}
			for k := range at {
				s.nearest[sp.lo+k].in = -1
				if !look {
					continue
				}
				if j, d := grid.Nearest(at[k], k); j >= 0 {
					s.nearest[sp.lo+k] = neighbour{sp.lo + j, d}
				}
			}
		}
	})
	return s.nearest
}
