package check

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/growth"
	"quickthorn/planner/light"
)

// What is tried for a bed that falls short of its hours, by rising trouble: ours.
var (
	keptLowerM = []float64{2.5, 2, 1.5, 1.2} // a trimmed hedge
	bedShiftsM = []float64{2, 4, 6, 9, 12, 18, 24}
)

// clearOfM is how far a bed that is moved stays from everything else that is drawn (ours: room to walk round it).
const clearOfM = 1

// lightFix is what gives a bed its hours in every year, by the most growth that is known: the hedge that takes most of them kept lower,
// else the bed shifted within its field; nil where neither does, or where the bed stands already.
func (p *Pass) lightFix(fall light.Fall, place light.Place) *planner.Fix {
	if fix := p.lowerHedge(fall, place); fix != nil {
		return fix
	}
	return p.shiftBed(fall, place)
}

// lowerHedge keeps the trimmed hedge that takes most of the light at the greatest height that leaves enough of it.
func (p *Pass) lowerHedge(fall light.Fall, place light.Place) *planner.Fix {
	if len(fall.Light.TakenBy) == 0 {
		return nil
	}
	f := fall.Light.TakenBy[0].Feature
	d, ok := f.Detail.(*planner.Hedge)
	if !ok || d.Manage != "trim" && d.Manage != "" || f.Wrong("height_m", "manage") {
		return nil
	}
	now := d.HeightM
	if now <= 0 {
		return nil
	}
	enough := func(height float64) bool {
		i, err := light.Enough(p.ctx, []*planner.Feature{fall.Bed}, light.Through(p.Plan, keptLow{p.Stand, f, height}), place, light.Options{MostBedCells: light.FairBedCells})
		return err == nil && i == 0
	}
	lowest := keptLowerM[len(keptLowerM)-1]
	if now <= lowest || !enough(lowest) {
		return nil
	}
	height := lowest
	for _, h := range keptLowerM[:len(keptLowerM)-1] {
		if h < now && enough(h) {
			height = h
			break
		}
	}
	put, err := p.Plan.Change(f, map[string]any{"height_m": height})
	if err != nil {
		return nil
	}
	return &planner.Fix{Say: fmt.Sprintf("Keep %s at %s m", quoted(f), figure(height)), Put: []json.RawMessage{put}, Delete: []string{}}
}

// keptLow is what stands with one hedge kept at a height.
type keptLow struct {
	light.Grower
	hedge  *planner.Feature
	height float64
}

func (k keptLow) Bodies(year int) []growth.Body {
	list := k.Grower.Bodies(year)
	out := slices.Clone(list)
	for i := range out {
		if h := &out[i].Height; out[i].Feature == k.hedge {
			h.Low, h.Mid, h.High = min(h.Low, k.height), min(h.Mid, k.height), min(h.High, k.height)
		}
	}
	return out
}

// shiftBed moves a bed that is not dug yet to the nearest free place in its field where it has its hours.
func (p *Pass) shiftBed(fall light.Fall, place light.Place) *planner.Fix {
	bed := fall.Bed
	if bed.Stated("status") && !bed.IsPlanned() {
		return nil
	}
	var to []*planner.Feature
	var says []string
	free := p.freeFor(bed)
	for _, d := range bedShiftsM {
		for bearing := 0.0; bearing < 360; bearing += 45 {
			u := geo.Direction(bearing)
			moved := *bed
			moved.Shape = planner.Shape{Polygons: shifted(bed.Shape.Polygons, orb.Point{d * u[0], d * u[1]})}
			if free(moved.Shape.Polygons) {
				to = append(to, &moved)
				says = append(says, fmt.Sprintf("Shift %s by %s m to the %s", quoted(bed), figure(d), compassPoint(bearing)))
			}
		}
	}
	i, err := light.Enough(p.ctx, to, light.Through(p.Plan, p.Stand), place, light.Options{MostBedCells: light.FairBedCells})
	if err != nil || i < 0 {
		return nil
	}
	put, err := p.Plan.Reshape(bed, to[i].Shape)
	if err != nil {
		return nil
	}
	return &planner.Fix{Say: says[i], Put: []json.RawMessage{put}, Delete: []string{}}
}

func shifted(mp orb.MultiPolygon, by orb.Point) orb.MultiPolygon {
	out := make(orb.MultiPolygon, len(mp))
	for i, g := range mp {
		for _, ring := range g {
			r := make(orb.Ring, len(ring))
			for k, at := range ring {
				r[k] = orb.Point{at[0] + by[0], at[1] + by[1]}
			}
			out[i] = append(out[i], r)
		}
	}
	return out
}

// freeFor tells whether a bed can lie at a place: inside the field that it lies in, clear of all else that is drawn (patches of
// other ground too unless it lies in them now), and on the same side of every hedge, windbreak and wall, whose shelter it has.
func (p *Pass) freeFor(bed *planner.Feature) func(orb.MultiPolygon) bool {
	at := outline(bed.Shape.Polygons, math.Inf(1))
	var fields, others []*geo.Region
	var segs []geo.Segment
	var points []orb.Point
	for _, f := range p.Plan.Features {
		if f == bed || !f.Sound {
			continue
		}
		region := geo.NewRegion(f.Shape.Polygons)
		holds := slices.ContainsFunc(at, region.Contains)
		switch {
		case f.Kind == planner.KindParcel && holds:
			fields = append(fields, region)
			continue
		case f.Kind == planner.KindParcel, f.Kind == planner.KindGround && holds:
			continue
		}
		if len(f.Shape.Polygons) > 0 {
			others = append(others, region)
		}
		for _, g := range f.Shape.Polygons {
			segs = append(segs, geo.PolygonSegments(g, 0)...)
			points = append(points, g[0][0])
		}
		for _, l := range f.Shape.Lines {
			segs = append(segs, geo.LineSegments(l, 0)...)
			points = append(points, l[0])
		}
		for _, x := range f.Shape.Points {
			segs = append(segs, geo.Segment{A: x, B: x})
			points = append(points, x)
		}
	}
	if slices.ContainsFunc(points, geo.NewRegion(bed.Shape.Polygons).Contains) {
		return func(orb.MultiPolygon) bool { return false } // what is planted in it would stay behind
	}
	near := geo.NewSegments(segs)
	return func(mp orb.MultiPolygon) bool {
		ring := outline(mp, clearOfM/2.0)
		for _, f := range fields {
			if !slices.ContainsFunc(ring, func(x orb.Point) bool { return !f.Contains(x) }) {
				continue
			}
			return false
		}
		for i, x := range outline(mp, math.Inf(1)) {
			way := geo.Segment{A: at[i], B: x}
			barred := false
			near.Crossing(way.A, way.B, func(k int) { barred = barred || way.Meets(near.At(k)) })
			if barred {
				return false
			}
		}
		for _, x := range ring {
			clear := true
			near.Within(x, clearOfM, func(int, float64) bool { clear = false; return false })
			if !clear || slices.ContainsFunc(others, func(o *geo.Region) bool { return o.Contains(x) }) {
				return false
			}
		}
		own := geo.NewRegion(mp)
		return !slices.ContainsFunc(points, own.Contains)
	}
}

// outline is the corners of the outer rings, and places between them so that no two are farther apart than every.
func outline(mp orb.MultiPolygon, every float64) (out []orb.Point) {
	for _, g := range mp {
		for i := 1; i < len(g[0]); i++ {
			a, b := g[0][i-1], g[0][i]
			n := max(1, int(math.Ceil(geo.Dist(a, b)/every)))
			for k := range n {
				t := float64(k) / float64(n)
				out = append(out, orb.Point{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])})
			}
		}
	}
	return out
}
