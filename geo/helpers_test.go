package geo

import (
	"slices"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"
)

// turned lists the ways in which every drawn case is run again: as drawn,
// backwards, mirrored in the north line, both, and far from the origin.
type turn struct {
	name             string
	reverse, mirror  bool
	shift            orb.Point
	leftChanges      bool // left of the line becomes right
	bearingsMirrored bool
}

var turns = []turn{
	{name: "as drawn"},
	{name: "reversed", reverse: true, leftChanges: true},
	{name: "mirrored", mirror: true, leftChanges: true, bearingsMirrored: true},
	{name: "reversed and mirrored", reverse: true, mirror: true, bearingsMirrored: true},
	{name: "moved", shift: orb.Point{4096, -2048}},
}

func (t turn) point(p orb.Point) orb.Point {
	if t.mirror {
		p[0] = -p[0]
	}
	return orb.Point{p[0] + t.shift[0], p[1] + t.shift[1]}
}

func (t turn) line(ls orb.LineString) orb.LineString {
	out := make(orb.LineString, len(ls))
	for i, p := range ls {
		out[i] = t.point(p)
	}
	if t.reverse {
		slices.Reverse(out)
	}
	return out
}

func (t turn) polygon(p orb.Polygon) orb.Polygon {
	var out orb.Polygon
	for _, r := range p {
		out = append(out, orb.Ring(t.line(orb.LineString(r))))
	}
	return out
}

func (t turn) multi(mp orb.MultiPolygon) orb.MultiPolygon {
	var out orb.MultiPolygon
	for _, p := range mp {
		out = append(out, t.polygon(p))
	}
	return out
}

// left is +1 or -1: the side that was left.
func (t turn) left() float64 {
	if t.leftChanges {
		return -1
	}
	return 1
}

func drawPoint(t *rapid.T, half float64, label string) orb.Point {
	return orb.Point{rapid.Float64Range(-half, half).Draw(t, label+" x"), rapid.Float64Range(-half, half).Draw(t, label+" y")}
}

// drawGridPoint draws from a small grid, so that repeats, touches and collinear
// corners come up often.
func drawGridPoint(t *rapid.T, n int, label string) orb.Point {
	return orb.Point{float64(rapid.IntRange(0, n).Draw(t, label+" x")), float64(rapid.IntRange(0, n).Draw(t, label+" y"))}
}

func drawRing(t *rapid.T, n, grid int, label string) orb.Ring {
	var r orb.Ring
	for range n {
		r = append(r, drawGridPoint(t, grid, label))
	}
	return append(r, r[0])
}

func box(x0, y0, x1, y1 float64) orb.Ring {
	return orb.Ring{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}}
}
