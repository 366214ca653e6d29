package light

import (
	"context"
	"math"
	"sort"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

const (
	// WindowHeightM is the height at which a wall's sun is looked at: the middle of a window on the ground floor (common practice).
	WindowHeightM = 1.5
	// windowEveryM is how far apart the points along a wall are at most, and windowOffM how far in front of it they lie.
	windowEveryM, windowOffM = 1.0, 0.05
	// tropicDeg is how far from the equator the sun stands on one side at every noon.
	tropicDeg = 23.45
)

// NoticedShare is the share of its former sun below which the loss is noticed by those who live there.
const NoticedShare = 0.8

// NoticedSource is what NoticedShare rests on.
var NoticedSource = planner.Source{Confidence: planner.FromMemory,
	Text: "P. Littlefair, Site layout planning for daylight and sunlight, BRE report BR 209: a loss is noticed where less than 0.8 of the former sunlight is left"}

// A BuildingLight is the sun on the walls of one building in one year.
type BuildingLight struct {
	Building  *planner.Feature
	Points    int        // looked at, WindowHeightM up
	Months    [6]float64 // mean over the points on the 21st of each of Months(lat)
	MeanHours float64    // mean of the six
	OpenHours float64    // the same with nothing but the building itself in the way
	TakenBy   []Taken    // the others; hours add up to OpenHours - MeanHours
}

// A BuildingYear is all buildings that want light in one year, by id.
type BuildingYear struct {
	Year      int
	Buildings []BuildingLight
	Notes     []Note
}

// A wallPoint is a point in front of a wall, with the direction the wall faces.
type wallPoint struct {
	at, faces orb.Point
}

// windowsOf are the points along the outline of a building, on the walls that face the noon sun: towards the equator, or all of them
// within the tropics. Walls that face due east or west do not count.
func windowsOf(f *planner.Feature, p Place) []wallPoint {
	towards := geo.Direction(180 - p.ConvergenceDeg)
	if p.LatDeg < 0 {
		towards = geo.Direction(-p.ConvergenceDeg)
	}
	var out []wallPoint
	for _, poly := range f.Shape.Polygons {
		if len(poly) == 0 {
			continue
		}
		ring := poly[0]
		for i := 1; i < len(ring); i++ {
			a, b := ring[i-1], ring[i]
			if a == b {
				continue
			}
			d := unit(a, b)
			out0 := orb.Point{d[1], -d[0]} // outer rings run anticlockwise
			if math.Abs(p.LatDeg) >= tropicDeg && out0[0]*towards[0]+out0[1]*towards[1] < 1e-3 {
				continue
			}
			n := int(math.Max(1, math.Ceil(geo.Dist(a, b)/windowEveryM)))
			for k := range n {
				t := (float64(k) + 0.5) / float64(n)
				at := orb.Point{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])}
				out = append(out, wallPoint{offset(at, out0, windowOffM), out0})
			}
		}
	}
	return out
}

// wanting are the buildings that want light, by id.
func wanting(plan *planner.Plan) []*planner.Feature {
	var out []*planner.Feature
	for _, f := range plan.Of(planner.KindBuilding) {
		if d, ok := f.Detail.(*planner.Building); ok && d.WantsLight && len(f.Shape.Polygons) > 0 {
			out = append(out, f)
		}
	}
	return out
}

// Buildings works out the sun on every building with wants_light in every one of the years, growth in the middle of its range. A
// point has sun while the sun is in front of its wall and nothing is in the way. The only error is that ctx ended. Cost: every
// obstacle whose shadow comes near, for every point and position of the sun.
func Buildings(ctx context.Context, plan *planner.Plan, years []int, scenes Scenes, p Place, opt Options) ([]BuildingYear, error) {
	ss, all := steps(p), wanting(plan)
	out := make([]BuildingYear, len(years))
	for y, year := range years {
		out[y] = BuildingYear{Year: year, Buildings: make([]BuildingLight, len(all))}
		if len(all) == 0 {
			continue
		}
		s := scenes(year, Middling)
		out[y].Notes = s.Notes
		var progress func(int, int)
		if opt.Progress != nil {
			progress = func(done, _ int) { opt.Progress(y*len(all)+done, len(years)*len(all)) }
		}
		err := each(ctx, len(all), progress, func(k int) (err error) {
			out[y].Buildings[k], err = walls(ctx, all[k], s, ss, p)
			return err
		})
		if err != nil {
			return nil, err
		}
	}
	return out, ctx.Err()
}

// walls is the sun on the walls of one building.
func walls(ctx context.Context, f *planner.Feature, s *Scene, ss []step, p Place) (BuildingLight, error) {
	points := windowsOf(f, p)
	out := BuildingLight{Building: f, Points: len(points)}
	if len(points) == 0 {
		return out, ctx.Err()
	}
	var box orb.Bound
	for i, w := range points {
		if i == 0 {
			box = w.at.Bound()
		}
		box = box.Extend(w.at)
	}
	own := -1
	for i, g := range s.features {
		if g.ID == f.ID {
			own = i
		}
	}
	n := float64(len(points))
	lost := make([]float64, len(s.features))
	closed := make([]float64, len(s.features))
	for k := range ss {
		if k%32 == 0 && ctx.Err() != nil {
			return out, ctx.Err()
		}
		st := &ss[k]
		near := s.near(st, box)
		for _, w := range points {
			if w.faces[0]*st.towards[0]+w.faces[1]*st.towards[1] <= 0 {
				continue
			}
			clear, pass := closedAt(s, near, w.at, st, own, closed)
			if clear == 0 {
				continue // the building shades itself
			}
			out.OpenHours += st.hours / n / 6
			out.Months[st.month] += pass * st.hours / n
			share(closed, own, (1-pass)*st.hours/n/6, lost)
		}
	}
	out.MeanHours = meanOf(out.Months)
	out.TakenBy = takenBy(s, lost)
	return out, nil
}

// near lists the groups whose shadows may reach a box that lies at or above the ground.
func (s *Scene) near(st *step, box orb.Bound) []int {
	var out []int
	for k := range s.groups {
		g := &s.groups[k]
		low := *g
		low.low = 0 // at a height the shadow begins nearer to the obstacle than on the ground
		if g.high > WindowHeightM && low.mayShade(st, box) {
			out = append(out, k)
		}
	}
	return out
}

// closedAt is what a point gets: clear with nothing but its own building, pass with everything else. closed is filled with what
// each feature holds back.
func closedAt(s *Scene, near []int, at orb.Point, st *step, own int, closed []float64) (clear, pass float64) {
	for i := range closed {
		closed[i] = 0
	}
	clear, pass = 1, 1
	for _, k := range near {
		g := &s.groups[k]
		through := g.passAt(at, WindowHeightM, st)
		if g.feature == own {
			clear *= through
			continue
		}
		pass *= through
		closed[g.feature] = 1 - (1-closed[g.feature])*through
	}
	return clear, pass
}

// share adds what was lost to the features by what each holds back.
func share(closed []float64, own int, all float64, lost []float64) {
	var sum float64
	for i, c := range closed {
		if i != own {
			sum += c
		}
	}
	for i, c := range closed {
		if i != own && sum > 0 {
			lost[i] += all * c / sum
		}
	}
}

// A Loss is a building that wants light and loses some.
type Loss struct {
	Building *planner.Feature
	// Year is the first in which less than the share is left, growth in the middle of its range; Earliest and Latest as in Fall. Year
	// and Latest may be Never.
	Earliest, Year, Latest int
	Before                 float64 // mean hours in year 0
	Hours                  float64 // mean hours in Year; in Earliest, with growth at its high end, where Year is Never
	TakenBy                []Taken // what each takes then more than in year 0, the greatest first; shares of the sum
	Notes                  []Note
}

// LosesLight lists the buildings with wants_light, by id, that in some year up to growth.LastYear have less than a share of their
// sun of year 0 (NoticedShare, say), which is that of growth in the middle of its range. The only error is that ctx ended.
func LosesLight(ctx context.Context, plan *planner.Plan, scenes Scenes, p Place, keeps float64, opt Options) ([]Loss, error) {
	all := wanting(plan)
	if len(all) == 0 {
		return nil, ctx.Err()
	}
	ss, look := steps(p), newSearch(scenes)
	losses := make([]Loss, len(all))
	err := each(ctx, len(all), opt.Progress, func(k int) (err error) {
		losses[k], err = loses(ctx, all[k], look, ss, p, keeps)
		return err
	})
	if err != nil {
		return nil, err
	}
	var out []Loss
	for _, l := range losses {
		if l.Earliest != Never {
			out = append(out, l)
		}
	}
	return out, ctx.Err()
}

func loses(ctx context.Context, f *planner.Feature, look *search, ss []step, p Place, keeps float64) (Loss, error) {
	l := Loss{Building: f, Earliest: Never}
	was, err := walls(ctx, f, look.over(stretch{Middling, 0, 0}), ss, p)
	if err != nil {
		return l, err
	}
	l.Before = was.MeanHours
	years, err := look.years(ctx, keeps*was.MeanHours, func(s *Scene) (float64, error) {
		now, err := walls(ctx, f, s, ss, p)
		return now.MeanHours, err
	})
	l.Earliest, l.Year, l.Latest = years[0], years[1], years[2]
	if err != nil || l.Earliest == Never {
		return l, err
	}
	when := stretch{Middling, l.Year, l.Year}
	if l.Year == Never {
		when = stretch{Most, l.Earliest, l.Earliest}
	}
	s := look.over(when)
	now, err := walls(ctx, f, s, ss, p)
	l.Hours, l.TakenBy, l.Notes = now.MeanHours, more(now.TakenBy, was.TakenBy), s.Notes
	return l, err
}

// more is who takes more than before.
func more(now, before []Taken) []Taken {
	was := map[string]float64{}
	for _, t := range before {
		was[t.Feature.ID] = t.Hours
	}
	var all float64
	var out []Taken
	for _, t := range now {
		if t.Hours -= was[t.Feature.ID]; t.Hours > 1e-9 {
			all += t.Hours
			out = append(out, t)
		}
	}
	for i := range out {
		out[i].SharePercent = 100 * out[i].Hours / all
	}
	sort.SliceStable(out, func(i, j int) bool {
		return out[i].Hours > out[j].Hours || out[i].Hours == out[j].Hours && out[i].Feature.ID < out[j].Feature.ID
	})
	return out
}
