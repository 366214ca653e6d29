// Package paper is a drawing in millimetres of paper, and its writers. What a page shows is said once, as lines, rings and texts;
// the SVG and the PDF writer put the same on the page. It knows nothing of plants.
//
// A page's origin is its top left corner, x to the right, y down, in millimetres. Numbers are written to a thousandth of a
// millimetre in SVG and to a hundredth of a point (0.0035 mm) in PDF. Nothing written depends on a clock: PDF files carry
// the fixed time of Epoch.
package paper

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// Epoch is the time of making that every file carries, so that the same input gives the same bytes. It is the earliest that a ZIP
// archive, and so a spreadsheet, can hold.
var Epoch = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

// A Size is a format of paper in millimetres, upright.
type Size struct {
	Name          string
	Width, Height float64
}

// Sizes are the formats A4 to A0 of ISO 216, smallest first.
func Sizes() []Size {
	return []Size{{"A4", 210, 297}, {"A3", 297, 420}, {"A2", 420, 594}, {"A1", 594, 841}, {"A0", 841, 1189}}
}

// SizeNamed is the format of that name, in capitals or not.
func SizeNamed(name string) (Size, bool) {
	for _, s := range Sizes() {
		if s.Name == name || len(name) == 2 && name[0] == 'a' && s.Name[1:] == name[1:] {
			return s, true
		}
	}
	return Size{}, false
}

// Grey is how light a thing is: 0 black to 1 white. Paper is printed in black, since many printers have nothing else.
type Grey float64

// The greys in use. Grey text keeps 7:1 against white.
const (
	Black Grey = 0
	Dark  Grey = 0.3
	Mid   Grey = 0.5
	Pale  Grey = 0.85
	White Grey = 1
)

// A Point is a place on a page in millimetres.
type Point struct{ X, Y float64 }

// A Pen draws outlines.
type Pen struct {
	Width float64   // mm; 0 draws nothing
	Grey  Grey      //
	Dash  []float64 // mm on, mm off, ...; nil is a whole line
	Round bool      // ends and corners
}

// A Fill fills areas; the zero Fill fills nothing.
type Fill struct {
	On   bool
	Grey Grey
}

// Solid fills with a grey.
func Solid(g Grey) Fill { return Fill{On: true, Grey: g} }

// An Item is one thing on a page.
type Item interface{ item() }

// A Path is one or more chains of straight lines, filled by the even-odd rule and outlined.
type Path struct {
	Chains [][]Point
	Closed bool
	Pen    Pen
	Fill   Fill
}

// A Ring is a circle.
type Ring struct {
	At   Point
	R    float64
	Pen  Pen
	Fill Fill
}

// Anchor says which point of its first line a text is put by.
type Anchor int

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// A Text is one line of text on its base line.
type Text struct {
	At     Point
	S      string
	Size   float64 // height of the type, mm; 1 mm is 2.83 points
	Face   Face
	Grey   Grey
	Anchor Anchor
	Turn   float64 // degrees clockwise on the page, about At
	Halo   float64 // width of the white edge round it, mm; 0 for none
}

// A Group is items that belong together, drawn in order. Class and ID name them in SVG; Clip, where it is set, cuts them off.
type Group struct {
	Class string
	ID    string
	Clip  *Box
	Items []Item
}

func (Path) item()  {}
func (Ring) item()  {}
func (Text) item()  {}
func (Group) item() {}

// A Page is one sheet.
type Page struct {
	Width, Height float64
	Title         string
	Items         []Item
}

// Put adds items.
func (p *Page) Put(items ...Item) { p.Items = append(p.Items, items...) }

// Line is a path through points.
func Line(pen Pen, points ...Point) Path { return Path{Chains: [][]Point{points}, Pen: pen} }

// A Box is a rectangle with its sides along the page.
type Box struct{ X, Y, W, H float64 }

// Right and Bottom are the far sides.
func (b Box) Right() float64  { return b.X + b.W }
func (b Box) Bottom() float64 { return b.Y + b.H }

// Middle is its centre.
func (b Box) Middle() Point { return Point{b.X + b.W/2, b.Y + b.H/2} }

// Inset is the box smaller by d on every side.
func (b Box) Inset(d float64) Box { return Box{b.X + d, b.Y + d, b.W - 2*d, b.H - 2*d} }

// Holds reports whether p lies inside or on the edge.
func (b Box) Holds(p Point) bool {
	return p.X >= b.X && p.X <= b.Right() && p.Y >= b.Y && p.Y <= b.Bottom()
}

// Path is its outline.
func (b Box) Path(pen Pen, fill Fill) Path {
	return Path{Chains: [][]Point{{{b.X, b.Y}, {b.Right(), b.Y}, {b.Right(), b.Bottom()}, {b.X, b.Bottom()}}}, Closed: true, Pen: pen, Fill: fill}
}

// Corners are its four corners, clockwise from the top left, turned by deg clockwise about a point.
func (b Box) Corners(about Point, deg float64) [4]Point {
	c := [4]Point{{b.X, b.Y}, {b.Right(), b.Y}, {b.Right(), b.Bottom()}, {b.X, b.Bottom()}}
	if deg != 0 {
		sin, cos := sincos(deg)
		for i, p := range c {
			dx, dy := p.X-about.X, p.Y-about.Y
			c[i] = Point{about.X + dx*cos - dy*sin, about.Y + dx*sin + dy*cos}
		}
	}
	return c
}

// Apart reports whether two convex four-cornered shapes do not overlap; shapes that only touch are apart.
func Apart(a, b [4]Point) bool {
	return parted(a, b) || parted(b, a)
}

// parted looks for a side of a that has all of b beyond it.
func parted(a, b [4]Point) bool {
	for i := range a {
		p, q := a[i], a[(i+1)%4]
		nx, ny := q.Y-p.Y, p.X-q.X
		side := func(r Point) float64 { return (r.X-p.X)*nx + (r.Y-p.Y)*ny }
		most := side(slices.MaxFunc(a[:], func(r, s Point) int { return cmp.Compare(side(r), side(s)) }))
		least := side(slices.MinFunc(b[:], func(r, s Point) int { return cmp.Compare(side(r), side(s)) }))
		if least >= most-1e-9 && (nx != 0 || ny != 0) {
			return true
		}
		most = side(slices.MaxFunc(b[:], func(r, s Point) int { return cmp.Compare(side(r), side(s)) }))
		least = side(slices.MinFunc(a[:], func(r, s Point) int { return cmp.Compare(side(r), side(s)) }))
		if least >= most-1e-9 && (nx != 0 || ny != 0) {
			return true
		}
	}
	return false
}

// Arrow is an arrow of length 2r through a place towards a bearing, clockwise from the top of the page.
func Arrow(at Point, r, bearing float64) []Item {
	sin, cos := math.Sincos(bearing * math.Pi / 180)
	to := func(along, side float64) Point {
		return Point{X: at.X + along*sin + side*cos, Y: at.Y - along*cos + side*sin}
	}
	pen := Pen{Width: 0.4, Grey: Black}
	return []Item{Line(pen, to(-r, 0), to(r, 0)), Line(pen, to(r*0.5, -r*0.28), to(r, 0), to(r*0.5, r*0.28))}
}
