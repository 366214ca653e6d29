package geo

import (
	"fmt"

	"github.com/paulmach/orb"
)

// FaultKind names what is wrong with a shape.
type FaultKind string

// The kinds of fault, after OGC 06-103r4 (ISO 19125-1) section 6.1.
const (
	TooFew       FaultKind = "too-few-positions"
	NotFinite    FaultKind = "not-finite"
	NotClosed    FaultKind = "not-closed"
	NoLength     FaultKind = "no-length"
	NoArea       FaultKind = "no-area"
	SelfCrossing FaultKind = "self-crossing"
	SelfTouching FaultKind = "self-touching"
	RingsCross   FaultKind = "rings-cross"
	HoleOutside  FaultKind = "hole-outside"
	HolesNested  FaultKind = "holes-nested"
	InteriorCut  FaultKind = "interior-cut"
	PartsOverlap FaultKind = "parts-overlap"
)

// Fault is one thing wrong with a shape: where it is (rounded to the nearest
// float64), what kind it is, and the reason as a short phrase. Ring 0 is the
// outline, holes count from 1.
type Fault struct {
	At     orb.Point
	Kind   FaultKind
	Reason string
	Part   int // number of the polygon, from 0
	Ring   int // number of the ring in it, from 0
	// Depth of a crossing of two edges: how far the end nearest to the other edge
	// has gone through it. A corner meant to lie on an edge goes through it by what
	// its file's decimals leave, so a reader may forgive a small depth. 0 for every
	// other fault.
	Depth float64
}

// MaxFaults is the most faults that one call reports.
const MaxFaults = 20

// ValidateLine reports what stops a line from being one: fewer than two
// positions, a position that is not finite, no length. A line may cross itself.
func ValidateLine(ls orb.LineString) []Fault {
	if i := notFinite(ls); i >= 0 {
		return []Fault{{At: ls[i], Kind: NotFinite, Reason: fmt.Sprintf("position %d is not a finite number", i+1)}}
	}
	if len(ls) < 2 {
		f := Fault{Kind: TooFew, Reason: fmt.Sprintf("a line needs 2 positions and has %d", len(ls))}
		if len(ls) == 1 {
			f.At = ls[0]
		}
		return []Fault{f}
	}
	for _, p := range ls {
		if p != ls[0] {
			return nil
		}
	}
	return []Fault{{At: ls[0], Kind: NoLength, Reason: "all positions are the same place"}}
}

func notFinite(ps []orb.Point) int {
	for i, p := range ps {
		if !finite(p[0]) || !finite(p[1]) {
			return i
		}
	}
	return -1
}

// ValidatePolygon reports what makes a polygon invalid by the rules of OGC
// 06-103r4, each fault with its place; nil says that it is valid. Faults of
// single rings (too few positions, not closed, no area) come first and hide the
// rest; at most MaxFaults are given. All tests of side are exact.
//
// Cost: n log n in the corners for a valid polygon, plus moving the list of
// edges that a vertical line meets.
func ValidatePolygon(p orb.Polygon) []Fault { return ValidateMultiPolygon(orb.MultiPolygon{p}) }

// ValidateMultiPolygon is ValidatePolygon for each part, and also reports parts
// that overlap or share an edge. Parts may touch at single points.
func ValidateMultiPolygon(mp orb.MultiPolygon) []Fault {
	var faults []Fault
	for k, p := range mp {
		if len(p) == 0 {
			faults = append(faults, Fault{Kind: TooFew, Reason: "the polygon has no outline", Part: k})
		}
		for j, r := range p {
			if f, bad := ringFault(r); bad {
				f.Part, f.Ring = k, j
				faults = append(faults, f)
			}
		}
	}
	if len(faults) == 0 {
		faults = edgeFaults(mp)
	}
	if len(faults) > MaxFaults {
		faults = faults[:MaxFaults]
	}
	return faults
}

// ringFault is what is wrong with a ring by itself, crossings left aside.
func ringFault(r orb.Ring) (Fault, bool) {
	if i := notFinite(r); i >= 0 {
		return Fault{At: r[i], Kind: NotFinite, Reason: fmt.Sprintf("position %d is not a finite number", i+1)}, true
	}
	if len(r) < 4 {
		f := Fault{Kind: TooFew, Reason: fmt.Sprintf("a ring needs 4 positions, the last the same as the first, and has %d", len(r))}
		if len(r) > 0 {
			f.At = r[0]
		}
		return f, true
	}
	if last := r[len(r)-1]; last != r[0] {
		return Fault{At: last, Kind: NotClosed, Reason: "the last position is not the first"}, true
	}
	c := distinctCorners(r)
	far := orb.Point{}
	found := false
	for _, p := range c {
		if !found {
			far, found = p, p != r[0]
		} else if Orientation(r[0], far, p) != 0 {
			return Fault{}, false
		}
	}
	return Fault{At: r[0], Kind: NoArea, Reason: "all positions lie on one line, so the ring encloses nothing"}, true
}
