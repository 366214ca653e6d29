package bringin

import (
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/simplify"

	"quickthorn/geo"
	"quickthorn/geo/interchange"
	"quickthorn/planner"
)

// A walk round a field is taken as closed where it ends within closeM of its start and the step that is missing is no more than
// closeShare of the way: a handheld errs by some metres at either end (common practice).
const (
	closeM     = 10.0
	closeShare = 0.05
)

// stretch is how many positions of a line are thinned at once.
const stretch = 1000

// thinned counts what was left out of lines and what was closed.
type thinned struct {
	before, after int
	tolerance     float64
	closed        int
	widest        float64 // gap that was closed
}

// line decides what a line becomes that says nothing of itself: closed it is a field, open it is what the options say.
func (b *bringing) line(d *draft, it *interchange.Item) {
	tolerance := 0.0
	switch {
	case b.opt.ToleranceM != nil:
		tolerance = *b.opt.ToleranceM
	case it.Track:
		tolerance = TrackToleranceM
	}
	d.kind = b.opt.LinesAs
	spec, _ := planner.SpecOf(d.kind)
	area := !slices.Contains(spec.Geometries, "LineString")
	for i, l := range d.shape.Lines {
		frame, err := geo.NewFrame(l[0])
		if err != nil {
			continue
		}
		flat := make(orb.LineString, len(l))
		for k, p := range l {
			flat[k] = frame.ToLocal(p)
		}
		if len(d.shape.Lines) == 1 && len(l) > 3 {
			gap, length := geo.Dist(flat[0], flat[len(flat)-1]), geo.Length(flat)
			if gap <= closeM && gap <= closeShare*length || area {
				if !area {
					d.kind = planner.KindParcel
				}
				b.thin.closed++
				b.thin.widest = max(b.thin.widest, gap)
				l = b.thinLine(frame, flat, l, tolerance, true)
				d.shape = interchange.ClosedLine(l)
				return
			}
		}
		d.shape.Lines[i] = b.thinLine(frame, flat, l, tolerance, false)
	}
	if area {
		b.lost.Add("lines too short to close", 1)
	}
}

// thinLine leaves out the positions that lie within the tolerance of the line without them (D. H. Douglas and T. K. Peucker, "Algorithms
// for the reduction of the number of points required to represent a digitized line", Cartographica 10, 1973). Ends stay.
// A closed line is thinned in two halves, so that a round field does not fall to its chord. A long one is thinned in stretches of
// stretch positions, whose ends stay, so that no line can be made to take the square of its size: O(n) stretches, each at worst
// stretch^2.
func (b *bringing) thinLine(frame geo.Frame, flat, l orb.LineString, tolerance float64, closed bool) orb.LineString {
	b.thin.before += len(l)
	if tolerance > 0 && len(l) > 2 {
		b.thin.tolerance = tolerance
		cut := len(flat) - 1
		if closed {
			for i, p := range flat {
				if geo.Dist(p, flat[0]) > geo.Dist(flat[cut], flat[0]) {
					cut = i
				}
			}
		}
		s := simplify.DouglasPeucker(tolerance)
		kept := orb.LineString{flat[0]}
		for from := 0; from < len(flat)-1; {
			to := min(from+stretch, len(flat)-1)
			if from < cut {
				to = min(to, cut)
			}
			kept = append(kept, s.LineString(slices.Clone(flat[from : to+1]))[1:]...)
			from = to
		}
		out := make(orb.LineString, len(kept))
		for i, p := range kept {
			out[i] = frame.ToLonLat(p)
		}
		l = out
	}
	b.thin.after += len(l)
	return l
}
