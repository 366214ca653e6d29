package check

import (
	"sync"

	"github.com/paulmach/orb"

	"quickthorn/planner"
	"quickthorn/planner/growth"
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

	grownIn  map[int]map[string]planner.Source // see grown
	grownNow sync.Mutex
}

// grown is what the size of each feature that stands in a year rests on, the weakest of its parts, by id.
func (s *Shared) grown(stand *growth.Stand, year int) map[string]planner.Source {
	s.grownNow.Lock()
	defer s.grownNow.Unlock()
	if got := s.grownIn[year]; got != nil {
		return got
	}
	out := map[string]planner.Source{}
	take := func(id string, src planner.Source) {
		if was, ok := out[id]; !ok || src.Confidence.Weaker(was.Confidence) {
			out[id] = src
		}
	}
	for _, b := range stand.Bodies(year) {
		take(b.Feature.ID, b.Source)
	}
	for _, c := range stand.Crowns(year) {
		take(c.Plant.Feature.ID, c.Source)
	}
	if s.grownIn == nil {
		s.grownIn = map[int]map[string]planner.Source{}
	}
	s.grownIn[year] = out
	return out
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
