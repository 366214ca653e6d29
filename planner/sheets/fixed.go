package sheets

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// A Fixed is a point of the plan that can be found on the ground again, and by what name.
type Fixed struct {
	At   orb.Point
	Name string
	// Trust weighs its kind: 1 for what is built, more for what is worse to find.
	Trust float64
}

// FixedPoints lists what pegs can be tied to: corners of buildings, posts of gateways, ends of walls and fences, wells, standing trees,
// corners of fields. Planned things are left out. By feature id, then in the order drawn.
func FixedPoints(in Input) []Fixed {
	var out []Fixed
	for _, f := range in.Plan.Features {
		if f.Shape.Empty() || !f.Sound {
			continue
		}
		label := f.Label()
		switch f.Kind {
		case planner.KindBuilding:
			out = append(out, cornersOf(f, label, 1)...)
		case planner.KindParcel:
			out = append(out, cornersOf(f, label, 1.8)...)
		case planner.KindWall, planner.KindFence:
			if f.Status != planner.Planned {
				for _, l := range f.Shape.Lines {
					out = append(out, ends(l, "end", label, 1.3)...)
				}
			}
		case planner.KindGateway:
			for _, l := range f.Shape.Lines {
				out = append(out, ends(l, "post", label, 1.1)...)
			}
		case planner.KindWell:
			out = append(out, spotOf(f, "the middle of "+label, 1)...)
		case planner.KindPlant:
			if f.Status == planner.Existing {
				out = append(out, spotOf(f, "the standing tree "+label, 1.3)...)
			}
		}
	}
	return append(out, gateposts(in)...)
}

func spotOf(f *planner.Feature, name string, trust float64) []Fixed {
	if len(f.Shape.Points) != 1 {
		return nil
	}
	return []Fixed{{f.Shape.Points[0], name, trust}}
}

// gateposts are the posts of gateways that are drawn as points and cut a line.
func gateposts(in Input) []Fixed {
	if in.Out == nil {
		return nil
	}
	var out []Fixed
	done := map[string]bool{}
	for _, l := range in.Out.Layouts {
		if l.Line == nil {
			continue
		}
		for _, o := range l.Line.Openings {
			if o.Gateway == "" || done[o.Gateway] {
				continue
			}
			done[o.Gateway] = true
			for _, f := range in.Plan.Features {
				if f.ID == o.Gateway && len(f.Shape.Points) > 0 {
					out = append(out, ends(orb.LineString{o.A, o.B}, "post", f.Label(), 1.1)...)
				}
			}
		}
	}
	return out
}

// ends names the ends of a line by where they lie from its middle.
func ends(l orb.LineString, what, label string, trust float64) []Fixed {
	if len(l) < 2 {
		return nil
	}
	a, b := l[0], l[len(l)-1]
	return []Fixed{
		{a, fmt.Sprintf("the %s %s of %s", compassWord(geo.BearingDeg(b, a)), what, label), trust},
		{b, fmt.Sprintf("the %s %s of %s", compassWord(geo.BearingDeg(a, b)), what, label), trust},
	}
}

// leastTurn is the turn in degrees from which a corner can be found on the ground.
const leastTurn = 20

// cornersOf names the corners of an area by where they lie from its middle; several that lie the same way are numbered in the order
// drawn.
func cornersOf(f *planner.Feature, label string, trust float64) []Fixed {
	var out []Fixed
	count := map[string]int{}
	for _, poly := range f.Shape.Polygons {
		if len(poly) == 0 || len(poly[0]) < 4 {
			continue
		}
		ring := poly[0][:len(poly[0])-1]
		mid := geo.Centroid(poly)
		for i, p := range ring {
			before, after := ring[(i+len(ring)-1)%len(ring)], ring[(i+1)%len(ring)]
			if geo.AngleBetweenDeg(geo.BearingDeg(before, p), geo.BearingDeg(p, after)) < leastTurn {
				continue
			}
			word := compassWord(geo.BearingDeg(mid, p))
			count[word]++
			name := fmt.Sprintf("the %s corner of %s", word, label)
			if n := count[word]; n > 1 {
				name += fmt.Sprintf(" (number %d of those)", n)
			}
			out = append(out, Fixed{p, name, trust})
		}
	}
	return out
}

// compassWord is a bearing in words, of eight.
func compassWord(deg float64) string {
	words := []string{"north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"}
	return words[int(math.Round(geo.NormBearing(deg)/45))%8]
}

// A Tie places a peg by its distances from two fixed points.
type Tie struct {
	A, B   Fixed
	FromA  float64 // metres
	FromB  float64
	Side   string // on which side of the line from A to B the peg lies, in words; "" where it lies on it
	Onto   string // the fixed point that the peg is itself, "" otherwise
	Weak   bool   // the two tapes cross at less than 30 degrees
	Exists bool
}

// mostTape is the longest tape in metres that is looked at first: a 100 m reel.
const mostTape = 100

// TieOf chooses the two fixed points that place p best: near, firm, and with the tapes crossing as squarely as can be. Cost: pairs of
// the 24 nearest.
func TieOf(p orb.Point, all []Fixed) Tie {
	near := slices.Clone(all)
	slices.SortStableFunc(near, func(a, b Fixed) int { return cmp.Compare(geo.Dist(a.At, p)*a.Trust, geo.Dist(b.At, p)*b.Trust) })
	near = near[:min(len(near), 24)]
	var best Tie
	least := math.Inf(1)
	for i, a := range near {
		da := geo.Dist(a.At, p)
		if da < planner.Tolerance*2.5 && best.Onto == "" {
			best.Onto = a.Name
		}
		for _, b := range near[i+1:] {
			db := geo.Dist(b.At, p)
			if da < 0.5 || db < 0.5 || geo.Dist(a.At, b.At) < 0.5 {
				continue
			}
			angle := geo.AngleBetweenDeg(geo.BearingDeg(p, a.At), geo.BearingDeg(p, b.At))
			sin := math.Sin(angle * math.Pi / 180)
			if sin < 0.05 {
				continue
			}
			cost := (da*a.Trust + db*b.Trust + 5) / sin
			if da > mostTape || db > mostTape {
				cost *= 3
			}
			if cost < least {
				least = cost
				best = Tie{A: a, B: b, FromA: da, FromB: db, Side: sideOf(p, a.At, b.At), Onto: best.Onto, Weak: sin < 0.5, Exists: true}
			}
		}
	}
	return best
}

// sideOf says on which side of the line from a to b a point lies, by the compass.
func sideOf(p, a, b orb.Point) string {
	bearing := geo.BearingDeg(a, b)
	cross := (b[0]-a[0])*(p[1]-a[1]) - (b[1]-a[1])*(p[0]-a[0])
	switch {
	case math.Abs(cross) < planner.Tolerance*geo.Dist(a, b):
		return ""
	case cross > 0:
		return compassWord(bearing - 90)
	}
	return compassWord(bearing + 90)
}

// String says the tie in a sentence.
func (t Tie) String() string {
	if !t.Exists {
		if t.Onto != "" {
			return "It is " + t.Onto + "."
		}
		return "The plan has no two fixed points to tape from: draw a building, a gateway or the field's corners."
	}
	s := fmt.Sprintf("%.2f m from %s and %.2f m from %s", t.FromA, t.A.Name, t.FromB, t.B.Name)
	if t.Side != "" {
		s += ", on the " + t.Side + " side of the line between them"
	}
	if t.Onto != "" {
		s = "It is " + t.Onto + ". Check: " + s
	}
	if t.Weak {
		s += ". The tapes cross at a flat angle: measure twice"
	}
	if max(t.FromA, t.FromB) > mostTape {
		s += fmt.Sprintf(". That is more than a %d m tape: join two, or draw a nearer fixed point", mostTape)
	}
	return s + "."
}
