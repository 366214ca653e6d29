package setout

import (
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// A trace is a line feature made ready for measuring: its parts joined across the breaks between them.
//
//	part 1          break         part 2
//	o------------o . . . . . o---------------o
//	0                                        length
type trace struct {
	chain     geo.Chain
	length    float64 // of the drawn line with its breaks bridged
	closed    bool    // ends where it starts; the chain then runs round twice, so that a stretch may pass the start
	backwards bool    // parts cross, or one runs against the others
	breaks    []span  // what lies between the parts
	zero      float64 // chainage in the chain of the drawn start, above 0 where an opening leads up to it
	lead      float64 // length of the opening before the start that belongs to this line
	tail      float64 // length of the opening beyond the end that belongs to this line
}

// A span is a stretch by chainage from the drawn start.
type span struct {
	from, to float64
	id       string // the feature that made it, "" for a break between parts
}

func (s span) length() float64 { return s.to - s.from }

// newTrace joins the parts in their order and direction as drawn. A break of the tolerance or less is no break.
func newTrace(parts []orb.LineString) trace {
	var t trace
	var path orb.LineString
	at := 0.0
	for _, p := range parts {
		if len(p) < 2 {
			continue
		}
		if len(path) > 0 {
			d := geo.Dist(path[len(path)-1], p[0])
			if d > planner.Tolerance {
				t.breaks = append(t.breaks, span{from: at, to: at + d})
			}
			at += d
		}
		path = append(path, p...)
		at += geo.Length(p)
	}
	t.chain = geo.NewChain(path)
	t.length = t.chain.Length()
	t.backwards = against(parts)
	t.closed = len(path) > 3 && geo.Dist(path[0], path[len(path)-1]) <= planner.Tolerance && t.length > 4*planner.Tolerance
	if t.closed {
		line := t.chain.Line()
		t.chain = geo.NewChain(append(line, line[1:]...))
	}
	return t
}

// trace is the line of a layout's feature; false where it has no length.
func (l *Layout) trace() (trace, bool) {
	t := newTrace(l.Feature.Shape.Lines)
	if t.length <= planner.Tolerance {
		l.Failed = "it has no length."
		return t, false
	}
	return t, true
}

// path is the drawn line with its breaks bridged, once round where it is closed.
func (t *trace) path() orb.LineString { return t.chain.Sub(t.zero, t.zero+t.length) }

// at is the point at a chainage from the drawn start.
func (t *trace) at(s float64) orb.Point { return t.chain.At(t.zero + s) }

// beside is the point at a chainage from the drawn start, moved square to the line, or along the bisector near a corner.
func (t *trace) beside(s, offset, nearCorner float64) orb.Point {
	return t.chain.OffsetBisect(t.zero+s, offset, nearCorner)
}

// home brings a chainage of a closed line back into 0 to its length.
func (t *trace) home(s float64) float64 {
	if t.closed && s >= t.length {
		return s - t.length
	}
	return s
}

// against tells whether the parts of a line cross one another, or whether the way from one to the next runs against either
// of them (by more than 135 degrees), as it does where a part is drawn the wrong way round or out of turn.
func against(parts []orb.LineString) bool {
	for k := 1; k < len(parts); k++ {
		a, b := parts[k-1], parts[k]
		if len(a) < 2 || len(b) < 2 {
			continue
		}
		end, start := a[len(a)-1], b[0]
		if geo.Dist(end, start) <= planner.Tolerance {
			continue
		}
		way := geo.BearingDeg(end, start)
		if geo.AngleBetweenDeg(endBearing(a, true), way) > 135 || geo.AngleBetweenDeg(way, geo.NormBearing(endBearing(b, false)+180)) > 135 {
			return true
		}
	}
	return partsCross(parts)
}

// partsCross compares segments of different parts pair by pair, through an index.
func partsCross(parts []orb.LineString) bool {
	if len(parts) < 2 {
		return false
	}
	var segs []geo.Segment
	for k, p := range parts {
		segs = append(segs, geo.LineSegments(p, k)...)
	}
	index := geo.NewSegments(segs)
	for i, s := range segs {
		found := false
		index.Crossing(s.A, s.B, func(j int) {
			if j > i && segs[j].Tag != s.Tag && crosses(s, segs[j]) {
				found = true
			}
		})
		if found {
			return true
		}
	}
	return false
}

// crosses tells whether two segments cross at a point inside both.
func crosses(s, o geo.Segment) bool {
	return geo.Orientation(s.A, s.B, o.A)*geo.Orientation(s.A, s.B, o.B) < 0 &&
		geo.Orientation(o.A, o.B, s.A)*geo.Orientation(o.A, o.B, s.B) < 0
}

// endBearing is the bearing in which a line leaves its end (or, for its start, leaves it backwards), over its last metre, so
// that a short last segment does not decide.
func endBearing(line orb.LineString, end bool) float64 {
	c := geo.NewChain(line)
	l := c.Length()
	if end {
		return geo.BearingDeg(c.At(math.Max(0, l-1)), c.At(l))
	}
	return geo.BearingDeg(c.At(math.Min(l, 1)), c.At(0))
}
