package lists

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
)

const (
	// fenceReachM is how far from the hedge's middle a fence or wall still counts as that side's fence. Common practice: beyond
	// it the ground between would be grazed as a field.
	fenceReachM = 5.0
	// fenceStepM is how closely a hedge's sides are looked at; where something changes the place is found to the millimetre.
	fenceStepM = 0.5
	// protectYears is how long stock is kept off a cut hedge where the rule set does not say.
	protectYears = 3.0
)

// A FenceSide is one side of a new or cut hedge that lies open to grazing.
type FenceSide struct {
	Feature   *planner.Feature
	Left      bool // of the direction of drawing
	Parcel    *planner.Feature
	LengthM   float64 // along the hedge, ends and gateways not counted
	DistanceM float64 // of the fence from the hedge's middle
	FacesDeg  float64 // bearing that the side faces, at the middle of its first stretch
	FromM     float64 // chainage of its first open place
	At        orb.Point
	Cut       bool // a cut hedge, not a new one
	Source    planner.Source
}

// Fences lists the sides of new and cut hedges where stock grazes up to where the fence would stand and where no stockproof
// fence or wall stands within 5 m of the hedge's middle. One entry is one side in one parcel. The distance is that of the rule
// set; 1.2 m, England's, where it has none or set is nil. Cost: proportional to the length of such hedges.
func Fences(p *planner.Plan, s *site.Site, out *setout.Result, set *rules.Set) []FenceSide {
	dist, src, years := fenceLimits(set)
	barriers := fenceIndex(p)
	var list []FenceSide
	for _, l := range out.Layouts {
		fresh, cut := NeedsFence(l, p.Holding.PlantingWinter, years)
		if !fresh && !cut || l.Line == nil || len(l.Line.Path) < 2 {
			continue
		}
		for _, left := range []bool{true, false} {
			w := &sideWalk{chain: geo.NewChain(l.Line.Path), site: s, barriers: barriers, dist: dist, left: left, open: map[string]*FenceSide{}}
			for _, r := range growing(l) {
				w.run(r[0], r[1])
			}
			for _, id := range w.order {
				f := *w.open[id]
				f.Feature, f.DistanceM, f.Cut, f.Source = l.Feature, dist, cut && !fresh, src
				if f.LengthM > planner.Tolerance {
					list = append(list, f)
				}
			}
		}
	}
	return list
}

// fenceLimits are the distance of a fence from the hedge's middle with its source, and for how many years a cut hedge wants one.
func fenceLimits(set *rules.Set) (m float64, src planner.Source, years float64) {
	m, years = 1.2, protectYears
	src = planner.Source{Code: "BN11", Text: "Countryside Stewardship (England), BN11 Planting new hedges, 2023: at least 1.2 m from the hedge centre", Confidence: planner.Published}
	if set == nil {
		return m, src, years
	}
	if l, ok := set.Get("hedge.fence", "fence_least_m"); ok && l.Value > 0 {
		m, src = l.Value, l.Source
	}
	if l, ok := set.Get("hedge.fence", "protect_years"); ok && l.Value > 0 {
		years = l.Value
	}
	return m, src, years
}

// NeedsFence reports whether a hedge is new (planned, with plants to be listed), or laid or coppiced so lately that stock has to
// be kept off: last cut less than so many years before the planting winter, or pinned to be cut in it. Without a planting winter
// no hedge is known to be freshly cut.
func NeedsFence(l *setout.Layout, winter int, years float64) (fresh, cut bool) {
	h, ok := l.Feature.Detail.(*planner.Hedge)
	if !ok {
		return false, false
	}
	if l.Feature.IsPlanned() {
		return slices.ContainsFunc(l.Plants, func(p setout.Plant) bool { return p.Listed }), false
	}
	if winter == 0 || h.Manage != "coppice" && h.Manage != "lay" {
		return false, false
	}
	if h.LastCut > 0 && h.LastCut <= winter && float64(winter-h.LastCut) < years {
		return false, true
	}
	return false, slices.ContainsFunc(h.CutIn, func(c planner.Cut) bool { return c.Winter == winter })
}

// growing are the stretches of a hedge, by chainage: the runs that are planted, or all but the gateways of one that stands.
func growing(l *setout.Layout) [][2]float64 {
	var out [][2]float64
	if l.Feature.IsPlanned() {
		for _, r := range l.Line.Runs {
			out = append(out, [2]float64{r.FromM, r.ToM})
		}
	}
	if len(out) > 0 {
		return out
	}
	at, end := 0.0, geo.Length(l.Line.Path)
	for _, o := range l.Line.Openings {
		if o.Action == setout.LeaveOpen || o.Action == setout.NewHedge {
			if o.FromM > at {
				out = append(out, [2]float64{at, math.Min(o.FromM, end)})
			}
			at = math.Max(at, o.ToM)
		}
	}
	if at < end {
		out = append(out, [2]float64{at, end})
	}
	return out
}

// fenceIndex holds the stockproof fences and walls.
func fenceIndex(p *planner.Plan) *geo.Segments {
	var segs []geo.Segment
	for _, f := range p.Of(planner.KindFence, planner.KindWall) {
		if d, ok := f.Detail.(*planner.Fence); !ok || !d.Stockproof {
			continue
		}
		for _, ls := range f.Shape.Lines {
			segs = append(segs, geo.LineSegments(ls, 0)...)
		}
	}
	return geo.NewSegments(segs)
}

// fencedOff are the orchards and groves, by id, that have a stockproof fence or wall within 5 m all round, gateways counted.
func fencedOff(p *planner.Plan) map[string]bool {
	barriers, out := fenceIndex(p), map[string]bool{}
	if barriers.Len() == 0 {
		return out
	}
	gates := p.Of(planner.KindGateway)
	for _, f := range p.Of(planner.KindOrchard, planner.KindGrove) {
		closed := len(f.Shape.Polygons) > 0
		for _, poly := range f.Shape.Polygons {
			if len(poly) == 0 {
				continue
			}
			ring := geo.NewChain(orb.LineString(poly[0]))
			n := min(maxRingLooks, max(1, int(math.Ceil(ring.Length()))))
			for i := 0; i < n && closed; i++ {
				at := ring.At(ring.Length() * float64(i) / float64(n))
				_, d := barriers.Nearest(at)
				closed = d <= fenceReachM || atGate(at, gates)
			}
		}
		if closed {
			out[f.ID] = true
		}
	}
	return out
}

// maxRingLooks bounds how many places of an outline are looked at.
const maxRingLooks = 5000

// atGate reports whether a place lies within reach of a gateway.
func atGate(at orb.Point, gates []*planner.Feature) bool {
	for _, g := range gates {
		d, ok := g.Detail.(*planner.Gateway)
		if !ok {
			continue
		}
		for _, p := range g.Shape.Points {
			if geo.Dist(at, p) <= d.WidthM/2+fenceReachM {
				return true
			}
		}
		for _, ls := range g.Shape.Lines {
			for i := 1; i < len(ls); i++ {
				if away, _ := geo.DistToSegment(at, ls[i-1], ls[i]); away <= fenceReachM {
					return true
				}
			}
		}
	}
	return false
}

// sideWalk goes along one side of a hedge and adds up where it lies open, parcel by parcel.
type sideWalk struct {
	chain    geo.Chain
	site     *site.Site
	barriers *geo.Segments
	dist     float64
	left     bool
	open     map[string]*FenceSide
	order    []string // parcels as they are met
}

// run walks from one chainage to another. Steps are even; between two steps that differ the change is found by halving.
func (w *sideWalk) run(from, to float64) {
	if !(to > from) {
		return
	}
	n := max(1, int(math.Ceil((to-from)/fenceStepM)))
	at := func(i int) float64 { return from + (to-from)*(float64(i)+0.5)/float64(n) }
	start, was := from, w.state(at(0))
	for i := 1; i < n; i++ {
		now := w.state(at(i))
		if now == was {
			continue
		}
		lo, hi := at(i-1), at(i)
		for hi-lo > 0.0005 {
			mid := (lo + hi) / 2
			if w.state(mid) == was {
				lo = mid
			} else {
				hi = mid
			}
		}
		w.add(was, start, (lo+hi)/2)
		start, was = (lo+hi)/2, now
	}
	w.add(was, start, to)
}

func (w *sideWalk) add(parcel *planner.Feature, from, to float64) {
	if parcel == nil {
		return
	}
	f := w.open[parcel.ID]
	if f == nil {
		mid := (from + to) / 2
		f = &FenceSide{Parcel: parcel, Left: w.left, FromM: w.wrap(from), At: w.beside(mid, w.dist)}
		turn := 90.0
		if w.left {
			turn = -90
		}
		f.FacesDeg = geo.NormBearing(w.chain.BearingAtDeg(w.wrap(mid)) + turn)
		w.open[parcel.ID] = f
		w.order = append(w.order, parcel.ID)
	}
	f.LengthM += to - from
}

// wrap brings a chainage of a run that passes the start of a closed hedge back onto the line.
func (w *sideWalk) wrap(s float64) float64 {
	if l := w.chain.Length(); s > l && l > 0 {
		return math.Mod(s, l)
	}
	return s
}

// beside is the place d metres from the hedge's middle, on the side that is walked.
func (w *sideWalk) beside(s, d float64) orb.Point {
	if !w.left {
		d = -d
	}
	return w.chain.Offset(w.wrap(s), d)
}

// state is the parcel whose stock reaches the hedge at a chainage, nil where none does: not grazed, a bed or a building
// there, or a fence or wall between.
func (w *sideWalk) state(s float64) *planner.Feature {
	p := w.beside(s, w.dist)
	if _, _, d := w.chain.Project(p); d < w.dist-planner.Tolerance {
		return nil // in an inner corner of the hedge, where no fence would stand
	}
	f := w.site.ParcelAt(p)
	if f == nil || len(eaters(f)) == 0 {
		return nil
	}
	for _, k := range []planner.Kind{planner.KindBed, planner.KindBuilding} {
		for _, a := range w.site.Areas(k) {
			if a.Region.Box().Contains(p) && a.Region.Contains(p) {
				return nil
			}
		}
	}
	if w.barriers.Len() == 0 {
		return f
	}
	a, out := w.chain.At(w.wrap(s)), fenceReachM/w.dist
	b := orb.Point{a[0] + out*(p[0]-a[0]), a[1] + out*(p[1]-a[1])}
	fenced := false
	w.barriers.Crossing(a, b, func(i int) {
		g := w.barriers.At(i)
		fenced = fenced || crosses(a, b, g.A, g.B)
	})
	if fenced {
		return nil
	}
	return f
}

// eaters are the animals of a parcel that eat trees and hedges, in the order of planner.GrazingStock. Poultry do not.
func eaters(f *planner.Feature) []string {
	var out []string
	for _, a := range planner.GrazingStock {
		if a != "poultry" && slices.Contains(f.Detail.(*planner.Parcel).GrazedBy, a) {
			out = append(out, a)
		}
	}
	return out
}

// crosses reports whether two segments meet, ends counted.
func crosses(a, b, c, d orb.Point) bool {
	o1, o2 := geo.Orientation(a, b, c), geo.Orientation(a, b, d)
	o3, o4 := geo.Orientation(c, d, a), geo.Orientation(c, d, b)
	if o1 != o2 && o3 != o4 {
		return true
	}
	return o1 == 0 && geo.OnSegment(c, a, b) || o2 == 0 && geo.OnSegment(d, a, b) || o3 == 0 && geo.OnSegment(a, c, d) || o4 == 0 && geo.OnSegment(b, c, d)
}

// fenceLines lists the fence, one line for each distance, with every side in its reckoning.
func (o *odds) fenceLines() []Sundry {
	var out []Sundry
	for _, f := range o.fences {
		if !slices.ContainsFunc(out, func(s Sundry) bool { return s.Kind == f.kind() }) {
			out = append(out, o.fenceLine(f))
		}
	}
	return out
}

func (f FenceSide) kind() string {
	return fmt.Sprintf("stockproof, %s m from the hedge's middle", figure(f.DistanceM, 2))
}

func (o *odds) fenceLine(first FenceSide) Sundry {
	total, parts := 0.0, []string{}
	for _, f := range o.fences {
		if f.kind() != first.kind() {
			continue
		}
		total += f.LengthM
		what := "new"
		if f.Cut {
			what = "cut"
		}
		parts = append(parts, fmt.Sprintf("%s m on the %s side of %s (%s, %s in %s)", figure(f.LengthM, 1), compass(f.FacesDeg),
			called(f.Feature), what, listed(eaters(f.Parcel)), called(f.Parcel)))
	}
	note := strings.Join(parts, "; ") + ". Length along the hedge; ends, corners and gateways not counted."
	return sundry("fence", first.kind(), round(total, 1), "m", note, first.Source)
}

// compass names a bearing by one of eight points.
func compass(deg float64) string {
	return [8]string{"north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"}[int(math.Round(geo.NormBearing(deg)/45))%8]
}
