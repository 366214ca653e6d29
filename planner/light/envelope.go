package light

import (
	"context"
	"math"
	"sync"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner/growth"
)

// An envelope is a scene that at every point takes at least as much light as each scene of a stretch of years, so that a bed which
// has its hours in the envelope has them in all of those years. This holds whether growth is even or not: crowns lift off the
// ground, hedges are cut, screens are taken away.
type envelope struct {
	scene *Scene // features, and groups as they stand
	at    map[groupKey]int
	kept  []keptGroup // by group of scene
}

// A groupKey names a group in every year: a row of a wall, or a plant.
type groupKey struct {
	feature string
	sort    groupSort
	row     int       // of a wall
	at      orb.Point // of a crown
	nth     int       // of several crowns of a feature on one spot
}

type groupSort byte

const (
	wallGroup groupSort = iota
	crownGroup
	buildingGroup
)

// A keptGroup is what is known of a group over the years so far.
type keptGroup struct {
	crown     ellipsoid // of the first year
	same      bool      // it has been so in every year
	low, high float64
	across    float64
	pass      float64
	last      []int // place in the group's pieces of each piece of the latest year
}

func newEnvelope() *envelope {
	return &envelope{scene: &Scene{}, at: map[groupKey]int{}}
}

// keys names the groups of a scene.
func (s *Scene) keys() []groupKey {
	out := make([]groupKey, len(s.groups))
	count := map[groupKey]int{}
	for i := range s.groups {
		g := &s.groups[i]
		k := groupKey{feature: s.features[g.feature].ID, row: g.row}
		switch {
		case g.crown != nil:
			k.sort, k.at = crownGroup, g.crown.at
			k.nth = count[k]
			count[groupKey{feature: k.feature, sort: k.sort, at: k.at}]++
		case len(g.footprint) > 0:
			k.sort = buildingGroup
		}
		out[i] = k
	}
	return out
}

// add takes one more year in. Cost: proportional to its corners and crowns.
func (e *envelope) add(s *Scene) {
	for i, k := range s.keys() {
		g := &s.groups[i]
		at, ok := e.at[k]
		if !ok {
			at = len(e.kept)
			e.at[k] = at
			e.scene.features = append(e.scene.features, s.features[g.feature])
			c := *g
			c.feature, c.pieces = len(e.scene.features)-1, nil
			e.scene.groups = append(e.scene.groups, c)
			e.kept = append(e.kept, keptGroup{})
		}
		if g.crown != nil {
			e.kept[at].addCrown(g.crown, !ok)
		} else {
			e.kept[at].addPieces(&e.scene.groups[at], g.pieces)
		}
	}
}

func (k *keptGroup) addCrown(c *ellipsoid, first bool) {
	low, high := c.middle-c.tall, c.middle+c.tall
	if first {
		*k = keptGroup{crown: *c, same: true, low: low, high: high, across: c.across, pass: c.pass}
		return
	}
	k.same = k.same && *c == k.crown
	k.low, k.high = math.Min(k.low, low), math.Max(k.high, high)
	k.across, k.pass = math.Max(k.across, c.across), math.Min(k.pass, c.pass)
}

// addPieces adds the pieces of a wall; one that holds the same stretch of the year before takes its place.
func (k *keptGroup) addPieces(g *group, pieces []piece) {
	same := len(pieces) == len(k.last)
	last := make([]int, len(pieces))
	for i := range pieces {
		p := &pieces[i]
		switch {
		case same && g.pieces[k.last[i]].holds(p):
			last[i] = k.last[i]
		case same && p.holds(&g.pieces[k.last[i]]):
			last[i] = k.last[i]
			g.pieces[last[i]] = *p
		default:
			last[i] = len(g.pieces)
			g.pieces = append(g.pieces, *p)
		}
	}
	k.last = last
}

// holds reports whether a prism contains another and passes no more.
func (p *piece) holds(q *piece) bool {
	const eps = 1e-9
	if q.low < p.low || q.high > p.high || q.pass < p.pass {
		return false
	}
	if len(p.base) < 3 {
		return len(q.base) == len(p.base) && q.base[0] == p.base[0] && q.base[1] == p.base[1]
	}
	for i, v := range p.base {
		w := p.base[(i+1)%len(p.base)]
		far := eps * geo.Dist(v, w)
		for _, x := range q.base {
			if cross(v, w, x) < -far {
				return false
			}
		}
	}
	return true
}

// done is the scene. A crown that was the same in every year stays one; any other is an eight-sided prism about all that it was.
func (e *envelope) done() *Scene {
	for i := range e.scene.groups {
		g, k := &e.scene.groups[i], &e.kept[i]
		if g.crown != nil && k.same {
			c := k.crown
			g.crown = &c
		} else if g.crown != nil {
			g.crown = nil
			g.pieces = []piece{{octagon(k.crown.at, k.across), k.low, k.high, k.pass}}
		}
		g.measure()
	}
	return e.scene
}

// octagon is the regular eight-sided figure about a circle, anticlockwise.
func octagon(at orb.Point, radius float64) []orb.Point {
	out := make([]orb.Point, 8)
	far := radius / math.Cos(math.Pi/8)
	for i := range out {
		sin, cos := math.Sincos(float64(i) * math.Pi / 4)
		out[i] = orb.Point{at[0] + far*cos, at[1] + far*sin}
	}
	return out
}

// mostKept is how many groups the scenes that are kept may have together: some 200 MB.
const mostKept = 500_000

// A search looks through the years for the first year in which a figure is below what is wanted.
type search struct {
	scenes Scenes
	mu     sync.Mutex
	kept   map[stretch]*Scene
	groups int // in kept
}

type stretch struct {
	growth   Growth
	from, to int
}

func newSearch(scenes Scenes) *search { return &search{scenes: scenes, kept: map[stretch]*Scene{}} }

// over is the scene of a year, or the envelope of several.
func (s *search) over(x stretch) *Scene {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.make(x)
}

func (s *search) make(x stretch) *Scene {
	if got := s.kept[x]; got != nil {
		return got
	}
	var made *Scene
	if x.from == x.to {
		made = s.scenes(x.from, x.growth)
	} else {
		e := newEnvelope()
		for year := x.from; year <= x.to; year++ {
			e.add(s.make(stretch{x.growth, year, year}))
		}
		made = e.done()
	}
	if s.groups += len(made.groups); s.groups > mostKept {
		clear(s.kept)
		s.groups = len(made.groups)
	}
	s.kept[x] = made
	return made
}

// first is the first year from one to another in which value is below wanted, Never where it is in none. Halves in whose
// envelope it is not below are not looked at further; value must never be greater in a scene that takes more light.
func (s *search) first(ctx context.Context, g Growth, from, to int, wanted float64, value func(*Scene) (float64, error)) (int, error) {
	if from > to || ctx.Err() != nil {
		return Never, ctx.Err()
	}
	slack := -1e-9
	if from < to {
		slack = 1e-6 // an envelope has its own rounding
	}
	v, err := value(s.over(stretch{g, from, to}))
	switch {
	case err != nil || v >= wanted+slack:
		return Never, err
	case from == to:
		return from, nil
	}
	mid := (from + to) / 2
	if year, err := s.first(ctx, g, from, mid, wanted, value); err != nil || year != Never {
		return year, err
	}
	return s.first(ctx, g, mid+1, to, wanted, value)
}

// years is the first year with growth at its high end, from then on the first with middling growth, and from then on the first with
// growth at its low end.
func (s *search) years(ctx context.Context, wanted float64, value func(*Scene) (float64, error)) (out [3]int, err error) {
	out = [3]int{Never, Never, Never}
	from := 0
	for i, g := range []Growth{Most, Middling, Least} {
		if out[i], err = s.first(ctx, g, from, growth.LastYear, wanted, value); err != nil || out[i] == Never {
			return out, err
		}
		from = out[i]
	}
	return out, nil
}
