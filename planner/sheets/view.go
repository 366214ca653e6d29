package sheets

import (
	"math"

	"github.com/paulmach/orb"

	"quickthorn/planner/paper"
)

// A view turns metres of the plan into millimetres of a page.
type view struct {
	k           float64 // mm of paper for a metre
	west, north float64 // metres that lie at the top left corner of the frame
	frame       paper.Box
	bound       orb.Bound // metres that can be seen, with a little beyond
}

// viewOf is a view whose frame's top left corner lies at west, north.
func viewOf(frame paper.Box, scale int, west, north float64) view {
	k := 1000 / float64(scale)
	v := view{k: k, west: west, north: north, frame: frame}
	v.bound = orb.Bound{Min: orb.Point{west, north - frame.H/k}, Max: orb.Point{west + frame.W/k, north}}.Pad(4 / k)
	return v
}

// centred is a view with a place in the middle of the frame.
func centred(frame paper.Box, scale int, at orb.Point) view {
	g := float64(scale) / 1000
	return viewOf(frame, scale, at[0]-frame.W*g/2, at[1]+frame.H*g/2)
}

// at is where a place lies on the page.
func (v view) at(p orb.Point) paper.Point {
	return paper.Point{X: v.frame.X + (p[0]-v.west)*v.k, Y: v.frame.Y + (v.north-p[1])*v.k}
}

func (v view) line(l []orb.Point) []paper.Point {
	out := make([]paper.Point, len(l))
	for i, p := range l {
		out[i] = v.at(p)
	}
	return out
}

func (v view) rings(mp orb.MultiPolygon) [][]paper.Point {
	var out [][]paper.Point
	for _, g := range mp {
		for _, r := range g {
			if n := len(r); n > 1 && r[0] == r[n-1] {
				r = r[:n-1]
			}
			out = append(out, v.line(r))
		}
	}
	return out
}

// A chain is a line on the page with running lengths.
type chain struct {
	p  []paper.Point
	at []float64
}

func chainOf(points []paper.Point) chain {
	var c chain
	for _, p := range points {
		n := len(c.p)
		s := 0.0
		if n > 0 {
			d := math.Hypot(p.X-c.p[n-1].X, p.Y-c.p[n-1].Y)
			if d < 1e-9 {
				continue
			}
			s = c.at[n-1] + d
		}
		c.p, c.at = append(c.p, p), append(c.at, s)
	}
	return c
}

func (c chain) length() float64 {
	if len(c.at) == 0 {
		return 0
	}
	return c.at[len(c.at)-1]
}

// place is the point at a length along the chain, and the direction there in degrees clockwise from the page's x.
func (c chain) place(s float64) (paper.Point, float64) {
	if len(c.p) == 0 {
		return paper.Point{}, 0
	}
	i := 1
	for i < len(c.p)-1 && c.at[i] < s {
		i++
	}
	if len(c.p) == 1 {
		return c.p[0], 0
	}
	a, b := c.p[i-1], c.p[i]
	t := (s - c.at[i-1]) / (c.at[i] - c.at[i-1])
	return paper.Point{X: a.X + (b.X-a.X)*t, Y: a.Y + (b.Y-a.Y)*t}, math.Atan2(b.Y-a.Y, b.X-a.X) * 180 / math.Pi
}

// every gives places along the chain, step apart, the first half a step from its start.
func (c chain) every(step float64, f func(p paper.Point, deg float64)) {
	n := int(math.Round(c.length() / step))
	if n < 1 && c.length() > 0 {
		n = 1
	}
	if n == 0 {
		return
	}
	gap := c.length() / float64(n)
	for i := range n {
		f(c.place((float64(i) + 0.5) * gap))
	}
}

// cross is a stroke across a line at a place, reaching r to both sides.
func cross(p paper.Point, deg, r float64) []paper.Point {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	return []paper.Point{{X: p.X - r*sin, Y: p.Y + r*cos}, {X: p.X + r*sin, Y: p.Y - r*cos}}
}

// stroke is a piece of a line at a place, reaching r both ways.
func stroke(p paper.Point, deg, r float64) []paper.Point { return cross(p, deg-90, r) }
