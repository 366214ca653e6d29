// Package light counts the hours of direct sun on the ground of a plan in a given year, and says who takes them.
//
// The sun is followed through six days, the 21st of April to September (of October to March south of the equator), in steps of a
// quarter of an hour counted from the sun's noon; the first and last step are cut where the sun rises and sets. The horizon and the
// ground are flat. Each step is judged by where the sun's middle stands halfway through it, without refraction; the sun is up from
// geo.SunUpDeg on. All is in leaf.
//
// A crown is an ellipsoid on its stem, a body is a wall of its height and width, a building is a prism. A crown or wall passes the
// share of the beam that its face leaves open, whichever way the beam goes through it; stems take nothing. What stands one behind
// the other multiplies, but parts of one and the same wall (a feature's stretches and corners) count once.
package light

import (
	"fmt"
	"math"
	"sort"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/growth"
	"quickthorn/planner/shelter"
)

// AssumedDensity is the share of its face that is taken as closed in leaf where what grows there does not tell.
const AssumedDensity = 0.9

// AssumedSource is what AssumedDensity rests on.
var AssumedSource = planner.Source{Confidence: planner.CommonPractice,
	Text: "as dense as deciduous belts in full leaf, 90 percent closed (belts in Moravia, Contributions to Geophysics and Geodesy), taken for a plant of unknown kind"}

// Growth says which end of the range of heights and widths is taken.
type Growth int

// The middle of the range, its low end and its high end.
const (
	Middling Growth = iota
	Least
	Most
)

func (g Growth) of(s growth.Span) float64 {
	switch {
	case !s.Known:
		return 0
	case g == Least:
		return s.Low
	case g == Most:
		return s.High
	}
	return s.Mid
}

// A Note is something the reader of the figures should know about one feature.
type Note struct {
	Feature *planner.Feature
	Message string
}

// A Scene is what stands in the way of light in one year. It is safe for concurrent reading.
type Scene struct {
	Notes    []Note // by feature id
	features []*planner.Feature
	groups   []group // by feature
}

// A group is what counts once for a beam, however many of its parts the beam meets: one crown, one row of a wall with its
// corners and stretches, one building.
type group struct {
	feature   int // index of Scene.features
	crown     *ellipsoid
	pieces    []piece
	footprint orb.MultiPolygon // of a building: dark inside
	box       orb.Bound        // of all of it, on the ground
	mid       orb.Point        // the middle of box
	radius    float64          // no part of its base is farther from mid
	low, high float64          // of all of it
	row       int              // of a wall
}

// An ellipsoid is a crown: its middle, half its width, half its height.
type ellipsoid struct {
	at           orb.Point
	middle       float64 // height of its middle
	across, tall float64 // half axes
	pass         float64 // share of the beam that goes through
}

// A piece is an upright prism on a convex base.
type piece struct {
	base      []orb.Point // anticlockwise; two points for a thing of no width
	low, high float64
	pass      float64
}

// Obstacles is the scene that a plan makes with the bodies and crowns of one year; its buildings come from the plan itself, each
// as high as it states, or 5 m, the plan file's default. What has no known height takes no light, and a note says so. Cost:
// proportional to the corners and crowns.
func Obstacles(plan *planner.Plan, bodies []growth.Body, crowns []growth.Crown, g Growth) *Scene {
	b := sceneBuilder{growth: g, at: map[wallKey]int{}, noted: map[string]bool{}}
	for i := range bodies {
		b.body(&bodies[i])
	}
	for i := range crowns {
		b.crown(&crowns[i])
	}
	for _, f := range plan.Of(planner.KindBuilding) {
		b.building(f)
	}
	return b.scene()
}

type wallKey struct {
	id  string
	row int
}

type made struct {
	feature *planner.Feature
	group
}

type sceneBuilder struct {
	growth Growth
	made   []made
	at     map[wallKey]int // the wall of a feature's row in made
	notes  []Note
	noted  map[string]bool
}

func (b *sceneBuilder) note(f *planner.Feature, format string, args ...any) {
	n := Note{f, fmt.Sprintf(format, args...)}
	if key := f.ID + "\x00" + n.Message; !b.noted[key] {
		b.noted[key] = true
		b.notes = append(b.notes, n)
	}
}

// pass is the share of the beam that goes through, from the closed share.
func (b *sceneBuilder) pass(f *planner.Feature, known bool, closed float64, why string) float64 {
	if !known || math.IsNaN(closed) {
		if why == "" {
			why = "what grows there is not known well enough"
		}
		b.note(f, "How dense %s is in leaf is not known (%s). It is taken as %.0f percent closed (%s).", f.Label(), why, AssumedDensity*100, planner.CommonPractice)
		closed = AssumedDensity
	}
	return 1 - math.Max(0, math.Min(1, closed))
}

func (b *sceneBuilder) body(w *growth.Body) {
	high := b.growth.of(w.Height)
	if !w.Height.Known {
		b.note(w.Feature, "How high %s stands is not known, so it takes no light here. State its height_m.", w.Feature.Label())
	}
	if !(high > 0) || math.IsInf(high, 0) {
		return
	}
	low := math.Max(0, math.Min(w.BaseM, high))
	pass := b.pass(w.Feature, w.DensityKnown, w.DensityLeafOn, w.DensityUnknown)
	var pieces []piece
	for _, run := range w.Runs {
		for _, base := range wallBases(run, b.growth.of(w.Spread)) {
			pieces = append(pieces, piece{base, low, high, pass})
		}
	}
	if len(pieces) == 0 || pass >= 1 || low >= high {
		return
	}
	key := wallKey{w.Feature.ID, w.Row}
	k, ok := b.at[key]
	if !ok {
		k = len(b.made)
		b.at[key] = k
		b.made = append(b.made, made{feature: w.Feature, group: group{row: w.Row}})
	}
	b.made[k].pieces = append(b.made[k].pieces, pieces...)
}

func (b *sceneBuilder) crown(c *growth.Crown) {
	f := c.Plant.Feature
	high, across := b.growth.of(c.Height), b.growth.of(c.Spread)/2
	switch {
	case c.Height.Known && !c.Spread.Known && f.Kind == planner.KindPlant:
		b.note(f, "The width of %s is not known, so it takes no light here. State spread_m, or name the species.", f.Label())
	case c.Height.Known && !c.Spread.Known:
		b.note(f, "The width of the plants of %s is not known, so they take no light here. Name the species.", f.Label())
	case !c.Height.Known:
		b.note(f, "How high and wide %s grows is not known, so its plants take no light here. State height_m, or name the species.", f.Label())
	}
	low := math.Max(0, math.Min(c.BaseM, high))
	if !(across > 0) || !(high > low) || math.IsInf(high, 0) || math.IsInf(across, 0) {
		return
	}
	pass := b.pass(f, c.DensityKnown, c.DensityLeafOn, "")
	if pass >= 1 {
		return
	}
	b.made = append(b.made, made{f, group{crown: &ellipsoid{c.Plant.At, (low + high) / 2, across, (high - low) / 2, pass}}})
}

func (b *sceneBuilder) building(f *planner.Feature) {
	d, ok := f.Detail.(*planner.Building)
	if !ok || len(f.Shape.Polygons) == 0 {
		return
	}
	if f.Wrong("height_m") || !(d.HeightM > 0) {
		b.note(f, "How high %s is cannot be read, so it takes no light here. State height_m in metres.", f.Label())
		return
	}
	if !f.Stated("height_m") {
		b.note(f, "%s states no height_m and is taken as %g m high (%s).", f.Label(), d.HeightM, planner.CommonPractice)
	}
	g := group{footprint: f.Shape.Polygons}
	for _, p := range f.Shape.Polygons {
		for _, r := range p {
			for i := 1; i < len(r); i++ {
				if r[i] != r[i-1] {
					g.pieces = append(g.pieces, piece{[]orb.Point{r[i-1], r[i]}, 0, d.HeightM, 0})
				}
			}
		}
	}
	b.made = append(b.made, made{f, g})
}

// scene orders what was made by feature id; within a feature the order in which it was made stays.
func (b *sceneBuilder) scene() *Scene {
	sort.SliceStable(b.made, func(i, j int) bool { return b.made[i].feature.ID < b.made[j].feature.ID })
	sort.SliceStable(b.notes, func(i, j int) bool { return b.notes[i].Feature.ID < b.notes[j].Feature.ID })
	s := &Scene{Notes: b.notes, groups: make([]group, 0, len(b.made))}
	for _, m := range b.made {
		if n := len(s.features); n == 0 || s.features[n-1].ID != m.feature.ID {
			s.features = append(s.features, m.feature)
		}
		m.group.feature = len(s.features) - 1
		m.measure()
		s.groups = append(s.groups, m.group)
	}
	return s
}

// measure fills in the box and the heights.
func (g *group) measure() {
	if c := g.crown; c != nil {
		g.box = orb.Bound{Min: c.at, Max: c.at}.Pad(c.across)
		g.mid, g.radius = c.at, c.across
		g.low, g.high = c.middle-c.tall, c.middle+c.tall
		return
	}
	g.low, g.high = math.Inf(1), math.Inf(-1)
	for i, p := range g.pieces {
		g.low, g.high = math.Min(g.low, p.low), math.Max(g.high, p.high)
		for j, v := range p.base {
			if i == 0 && j == 0 {
				g.box = v.Bound()
			}
			g.box = g.box.Extend(v)
		}
	}
	g.mid = g.box.Center()
	g.radius = geo.Dist(g.mid, g.box.Max)
}

// Features lists what takes light in the scene, by id.
func (s *Scene) Features() []*planner.Feature { return append([]*planner.Feature(nil), s.features...) }

// A Grower tells what stands in a year; *growth.Stand is one.
type Grower interface {
	Bodies(year int) []growth.Body
	Crowns(year int) []growth.Crown
}

// Scenes gives the scene of a year with growth at the middle or an end of its range. It must give the same for the same year.
type Scenes func(year int, g Growth) *Scene

// Through is the scenes of a plan as it grows.
func Through(plan *planner.Plan, grower Grower) Scenes {
	return func(year int, g Growth) *Scene {
		return Obstacles(plan, grower.Bodies(year), grower.Crowns(year), g)
	}
}

// A Place is where the sun is looked at from, for a whole holding: 1 km away it stands about 0.01 degrees otherwise.
type Place struct {
	LatDeg, LonDeg float64
	// ConvergenceDeg is the bearing of the frame's north, clockwise from true north: 0 on the meridian of the frame's origin, and at
	// 53 N 0.012 degrees for every kilometre east of it.
	ConvergenceDeg float64
}

// OnLand is the place of the middle of a plan's land: where the sun of the whole holding is looked at from.
func OnLand(plan *planner.Plan) Place {
	_, box := shelter.Ground(plan)
	return PlaceOf(plan.Frame, box.Center())
}

// PlaceOf is the place of a local point of a frame.
func PlaceOf(f geo.Frame, p orb.Point) Place {
	ll := f.ToLonLat(p)
	return Place{LatDeg: ll[1], LonDeg: ll[0], ConvergenceDeg: f.ConvergenceDeg(p)}
}
