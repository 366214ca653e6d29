package sheets

import (
	"math"
	"slices"
	"strconv"

	"quickthorn/planner/paper"
)

// putFindings draws the numbered markers of what is not accepted, each at its place or near it with a line to it. No two overlap; those
// for which there is no room are said in the notes.
func (s *sketch) putFindings(numbers []int) {
	var leaders, signs []paper.Item
	for i, f := range s.in.Findings {
		if f.Accepted != nil || !f.HasAt {
			continue
		}
		at := s.v.at(f.At)
		if !s.v.frame.Inset(1).Holds(at) {
			continue
		}
		p, ok := s.markAt(at)
		if !ok {
			s.labels.hidden = append(s.labels.hidden, numbers[i])
			continue
		}
		if p != at {
			leaders = append(leaders, paper.Line(paper.Pen{Width: 0.18, Grey: paper.Black}, at, p), paper.Ring{At: at, R: 0.4, Fill: paper.Solid(paper.Black)})
		}
		n := strconv.Itoa(numbers[i])
		s.used[string(f.Severity)] = true
		signs = append(signs, paper.Group{Class: "finding " + string(f.Severity), ID: n, Items: findingSign(f.Severity, p, n)})
	}
	// The lines lie under all signs: several findings may speak of one place.
	s.top = append(append(s.top, leaders...), signs...)
}

// mostRings is how many rings about a place are looked along for room, nearRings on how many of them a marker also keeps off single plants,
// wells and tanks: it should not hide what it speaks of. A hedge or a row is still seen on both sides of a marker.
const (
	mostRings = 12
	nearRings = 3
)

// markAt is where the marker of a place has room: there, or on rings about it.
func (s *sketch) markAt(at paper.Point) (paper.Point, bool) {
	if p, ok := s.onRings(at, nearRings, s.lone); ok {
		return p, true
	}
	return s.onRings(at, mostRings, nil)
}

// onRings is the first place on rings about a place where a marker lies over no text, no other marker and none of some boxes.
func (s *sketch) onRings(at paper.Point, rings int, off []paper.Box) (paper.Point, bool) {
	for ring := range rings {
		far := float64(ring) * 2.6
		n := max(1, ring*6)
		for k := range n {
			sin, cos := math.Sincos(2*math.Pi*float64(k)/float64(n) - math.Pi/4)
			p := paper.Point{X: at.X + far*cos, Y: at.Y + far*sin}
			c := paper.Box{X: p.X - 2.75, Y: p.Y - 2.65, W: 5.5, H: 5.3}.Corners(p, 0)
			if !s.free(c, offTexts) || slices.ContainsFunc(off, func(o paper.Box) bool { return overlaps(o, around(c[:]...)) }) {
				continue
			}
			s.labels.taken = append(s.labels.taken, c)
			return p, true
		}
	}
	return at, false
}
