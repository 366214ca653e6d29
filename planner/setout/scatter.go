package setout

import (
	"hash/fnv"

	"github.com/paulmach/orb"

	"quickthorn/geo"
)

// scatter: sown as by hand, none nearer to another than the spacing.
var scatter = Pattern{
	Name: "scatter", Title: "scattered", Help: "as if sown by hand, no nearer than the spacing", Kinds: groveOnly, Params: []string{"spacing_m"},
	Sow: func(region *geo.Region, margin, s float64, seed uint64) []orb.Point {
		return geo.Scatter(region, margin, s, seed)
	},
	Least:      func(s, _ float64) float64 { return s },
	PerHectare: func(_, _ float64) float64 { return 0 },
}

// seedOf is the seed of a feature: it depends on its id alone, so that its trees stay where they are whatever else changes.
func seedOf(id string) uint64 {
	h := fnv.New64a()
	h.Write([]byte(id))
	return h.Sum64()
}
