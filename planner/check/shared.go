package check

import (
	"sync"

	"github.com/paulmach/orb"

	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
	"quickthorn/planner/species"
	"quickthorn/planner/wood"
)

// Shared is what several rules need, worked out once before they run and only read afterwards.
type Shared struct {
	// Plants are all plants of the plan by feature, row and number, those that stand there already included.
	Plants []*setout.Plant
	// At are their places, in the same order.
	At []orb.Point
	// Under is the ground under each, in the same order.
	Under []site.Under

	belts     []Belt             // every sound windbreak as measured, by id
	plantings func() []*planting // see gatherPlantings; worked out when it is first asked for

	hedgerow hedgerow // every hedge that was set out

	wood func() *wood.Result // see woodOf; worked out when it is first asked for

	obstacles map[planner.Kind]*Obstacles
	spans     []span                                  // the plants of each feature
	sorts     []*setout.Plant                         // one plant of each sort
	sortOf    []int32                                 // the sort of each plant
	single    map[*species.Species][]*species.Species // see May
	several   map[string][]*species.Species
	ranked    ranked // see rank
	nearOnce  sync.Once
	nearest   []neighbour // see neighbours
}

func newShared(in Input) *Shared {
	s := &Shared{}
	in.Out.Each(func(p *setout.Plant) bool {
		s.Plants = append(s.Plants, p)
		s.At = append(s.At, p.At)
		return true
	})
	s.Under = make([]site.Under, len(s.Plants))
	for i, p := range s.Plants {
		s.Under[i] = in.Site.UnderPlant(p.At)
	}
	s.addObstacles(in)
	s.addMay(in)
	s.belts = Belts(in)
	s.plantings = sync.OnceValue(s.gatherPlantings)
	s.addHedges(in)
	s.wood = sync.OnceValue(func() *wood.Result { return woodOf(in) })
	return s
}

// Moisture is the ground class that a plant meets: one drier where it is raised by 0.1 m or more (common practice), not on
// peat and not where water stands.
func Moisture(u site.Under, raisedM float64) planner.Moisture {
	if raisedM >= 0.1 && u.Soil != planner.Peat && u.Moisture != planner.Waterlogged {
		return u.Moisture.Drier(1)
	}
	return u.Moisture
}
