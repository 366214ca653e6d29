package check

import (
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/setout"
)

// Obstacles are the sound features of some kinds, ready to be asked which of them lie within reach of a place. They are built
// once and only read.
type Obstacles struct {
	List  []*planner.Feature // by id
	segs  *geo.Segments      // edges, lines and points, tagged with the place in List
	areas []*geo.Region      // by place in List, nil where no polygon is drawn
	boxes *boxGrid           // of the polygons
	box   orb.Bound          // round all of them
}

// Nearness is how an obstacle lies to a place.
type Nearness struct {
	DistM  float64   // to what is drawn: a line's middle, a polygon's edge, a point; 0 inside a polygon
	DeepM  float64   // inside a polygon: the distance to its edge, else 0
	Inside bool      // inside a polygon, its edge included
	At     orb.Point // the nearest point of what is drawn
	Seg    geo.Segment
}

// finePieces is into how many pieces long lines are cut at most, and leastPiece how short they become, so that a plant far from all
// of them meets an empty cell of the index.
const (
	finePieces = 4000
	leastPiece = 5.0
)

func newObstacles(list []*planner.Feature) *Obstacles {
	o := &Obstacles{List: list, areas: make([]*geo.Region, len(list))}
	var segs []geo.Segment
	var boxes []orb.Bound
	var tags []int
	for k, f := range list {
		for _, pt := range f.Shape.Points {
			segs = append(segs, geo.Segment{A: pt, B: pt, Tag: k})
		}
		for _, l := range f.Shape.Lines {
			segs = append(segs, geo.LineSegments(l, k)...)
		}
		for _, g := range f.Shape.Polygons {
			segs = append(segs, geo.PolygonSegments(g, k)...)
		}
		if len(f.Shape.Polygons) > 0 {
			o.areas[k] = geo.NewRegion(f.Shape.Polygons)
			boxes, tags = append(boxes, o.areas[k].Box()), append(tags, k)
		}
		if b := f.Shape.Bound(); k == 0 {
			o.box = b
		} else {
			o.box = o.box.Union(b)
		}
	}
	o.segs, o.boxes = geo.NewSegments(cutFine(segs)), newBoxGrid(boxes, tags)
	return o
}

// cutFine cuts long segments into pieces, in order and direction.
func cutFine(segs []geo.Segment) []geo.Segment {
	total := 0.0
	for _, s := range segs {
		total += s.Length()
	}
	piece := math.Max(leastPiece, total/finePieces)
	if math.IsNaN(piece) || math.IsInf(piece, 0) {
		return segs
	}
	out := make([]geo.Segment, 0, len(segs))
	for _, s := range segs {
		n := max(1, int(math.Ceil(s.Length()/piece)))
		from := s.A
		for i := 1; i <= n; i++ {
			to := s.B
			if i < n {
				t := float64(i) / float64(n)
				to = orb.Point{s.A[0] + t*(s.B[0]-s.A[0]), s.A[1] + t*(s.B[1]-s.A[1])}
			}
			out = append(out, geo.Segment{A: from, B: to, Tag: s.Tag})
			from = to
		}
	}
	return out
}

// nearBuffer is room that is used again from one place to the next.
type nearBuffer struct {
	found []Nearness
	ks    []int
}

// Near calls f for each obstacle of which something lies at most r from p, or inside which p lies, by its place in List. Cost:
// what lies within reach.
func (o *Obstacles) Near(p orb.Point, r float64, f func(k int, n Nearness)) {
	o.near(p, r, &nearBuffer{}, f)
}

// near is Near with room to work in; it returns how many pieces were looked at.
func (o *Obstacles) near(p orb.Point, r float64, buf *nearBuffer, f func(k int, n Nearness)) (looks int) {
	if len(o.List) == 0 || !o.box.Pad(r).Contains(p) {
		return 0
	}
	found, ks := buf.found[:0], buf.ks[:0]
	o.segs.Within(p, r, func(i int, d float64) bool {
		looks++
		s := o.segs.At(i)
		n := len(ks)
		if n == 0 || ks[n-1] != s.Tag {
			ks, found = append(ks, s.Tag), append(found, Nearness{DistM: math.Inf(1)})
			n++
		}
		if d < found[n-1].DistM {
			found[n-1].DistM, found[n-1].Seg = d, s
		}
		return true
	})
	for i := range found {
		found[i].At = nearestOn(found[i].Seg, p)
	}
	buf.found, buf.ks = found, ks
	// Segments come by their number, and so by their place in List; polygons that hold p are put in between.
	k := 0
	o.boxes.at(p, func(tag int) {
		looks++
		if !o.areas[tag].Contains(p) {
			return
		}
		for ; k < len(ks) && ks[k] < tag; k++ {
			f(ks[k], found[k])
		}
		n := Nearness{Inside: true, DeepM: o.areas[tag].DistToEdge(p), At: p}
		if k < len(ks) && ks[k] == tag {
			n.At, n.Seg = found[k].At, found[k].Seg
			k++
		}
		f(tag, n)
	})
	for ; k < len(ks); k++ {
		f(ks[k], found[k])
	}
	return looks
}

func nearestOn(s geo.Segment, p orb.Point) orb.Point {
	_, t := geo.DistToSegment(p, s.A, s.B)
	return orb.Point{s.A[0] + t*(s.B[0]-s.A[0]), s.A[1] + t*(s.B[1]-s.A[1])}
}

// Obstacles are the sound features of one kind. What is not drawn is an empty list.
func (s *Shared) Obstacles(k planner.Kind) *Obstacles {
	if o := s.obstacles[k]; o != nil {
		return o
	}
	return noObstacles
}

// noObstacles is read only.
var noObstacles = newObstacles(nil)

// obstacleKinds are the kinds that plants are held against.
func obstacleKinds() []planner.Kind {
	return []planner.Kind{planner.KindBuilding, planner.KindWatercourse, planner.KindDitch, planner.KindDrain, planner.KindService,
		planner.KindOverheadLine, planner.KindRoad, planner.KindTrack, planner.KindPath, planner.KindSeptic, planner.KindWell,
		planner.KindGateway, planner.KindProtected, planner.KindBed, planner.KindParcel}
}

func (s *Shared) addObstacles(in Input) {
	s.obstacles = map[planner.Kind]*Obstacles{}
	for _, k := range obstacleKinds() {
		if list := in.Plan.Of(k); len(list) > 0 {
			s.obstacles[k] = newObstacles(list)
		}
	}
	s.addSpans()
}

// A span is the run of Shared.Plants that one feature owns, and the box round it.
type span struct {
	feature *planner.Feature
	lo, hi  int
	box     orb.Bound
}

func (s *Shared) addSpans() {
	for i, p := range s.Plants {
		n := len(s.spans)
		if n == 0 || s.spans[n-1].feature != p.Feature {
			s.spans = append(s.spans, span{feature: p.Feature, lo: i, box: p.At.Bound()})
			n++
		}
		s.spans[n-1].hi = i + 1
		s.spans[n-1].box = s.spans[n-1].box.Extend(p.At)
	}
}

// mostNear bounds the work where a broken file crowds thousands of things into one place: a hundred thousand plants among twenty of
// each kind of obstacle take some hundred thousand looks a rule.
const mostNear = 30_000_000

// EachNear calls f for every plant that keep lets through and every obstacle within reach of it, by plant, then obstacle. reach
// is the plant's own, at most most. Features that lie wholly out of reach cost one look. Where the work grows beyond all measure it
// stops, and says so.
func (p *Pass) EachNear(o *Obstacles, most float64, keep func(p *setout.Plant) bool, reach func(i int) float64, f func(i, k int, n Nearness)) {
	if len(o.List) == 0 {
		return
	}
	s, box, looks := p.Shared, o.box.Pad(most), 0
	buf := &nearBuffer{}
	for _, sp := range s.spans {
		if !box.Intersects(sp.box) {
			continue
		}
		for i := sp.lo; i < sp.hi; i++ {
			if !keep(s.Plants[i]) {
				continue
			}
			if r := math.Min(reach(i), most); r > 0 {
				looks += o.near(s.At[i], r, buf, func(k int, n Nearness) { f(i, k, n) })
			}
			if looks > mostNear {
				p.Report(planner.Finding{Severity: planner.Warn, Place: "more:" + string(o.List[0].Kind), Source: planner.Source{Text: "count of what lies near", Confidence: planner.Derived},
					Message: "So much lies in one place that the rest was not looked at. Take out what is drawn twice, and check again."})
				return
			}
		}
	}
}

func listed(p *setout.Plant) bool { return p.Listed }

// A boxGrid finds the boxes that hold a point. Each box stands in every cell it meets; the cells are as large as the boxes are
// on average, and never more than a few to a box.
type boxGrid struct {
	boxes  []orb.Bound
	tags   []int
	box    orb.Bound
	size   float64
	nx, ny int
	cells  [][]int32
	large  []int32 // boxes that would fill too many cells, looked at each time
}

const largeBoxCells = 256

func newBoxGrid(boxes []orb.Bound, tags []int) *boxGrid {
	g := &boxGrid{boxes: boxes, tags: tags}
	if len(boxes) == 0 {
		return g
	}
	g.box = boxes[0]
	var sum float64
	for _, b := range boxes {
		g.box = g.box.Union(b)
		sum += math.Max(b.Max[0]-b.Min[0], b.Max[1]-b.Min[1])
	}
	w, h := g.box.Max[0]-g.box.Min[0], g.box.Max[1]-g.box.Min[1]
	g.size = math.Max(sum/float64(len(boxes)), math.Sqrt(w*h/float64(4*len(boxes)))) + 1e-3
	g.size = math.Max(g.size, math.Max(w, h)/float64(4*len(boxes)+16))
	g.nx, g.ny = int(w/g.size)+1, int(h/g.size)+1
	g.cells = make([][]int32, g.nx*g.ny)
	for i, b := range boxes {
		x0, y0 := g.cell(b.Min)
		x1, y1 := g.cell(b.Max)
		if (x1-x0+1)*(y1-y0+1) > largeBoxCells {
			g.large = append(g.large, int32(i))
			continue
		}
		for y := y0; y <= y1; y++ {
			for x := x0; x <= x1; x++ {
				g.cells[y*g.nx+x] = append(g.cells[y*g.nx+x], int32(i))
			}
		}
	}
	return g
}

func (g *boxGrid) cell(p orb.Point) (x, y int) {
	x = min(max(int((p[0]-g.box.Min[0])/g.size), 0), g.nx-1)
	y = min(max(int((p[1]-g.box.Min[1])/g.size), 0), g.ny-1)
	return x, y
}

// at calls f with the tag of each box that holds p, by rising number.
func (g *boxGrid) at(p orb.Point, f func(tag int)) {
	if len(g.boxes) == 0 || !g.box.Contains(p) {
		return
	}
	x, y := g.cell(p)
	small, large := g.cells[y*g.nx+x], g.large
	for len(small)+len(large) > 0 {
		var i int32
		if len(large) == 0 || len(small) > 0 && small[0] < large[0] {
			i, small = small[0], small[1:]
		} else {
			i, large = large[0], large[1:]
		}
		if g.boxes[i].Contains(p) {
			f(g.tags[i])
		}
	}
}
