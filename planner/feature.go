package planner

import (
	"strings"

	"github.com/paulmach/orb"
)

// Tolerance is what is forgiven in everything that is counted by length or margin, in metres:
// other editors round coordinates to 7 decimals of a degree, which is 11 mm.
const Tolerance = 0.02

// Status says whether a thing stands there or is still to come.
type Status string

// The two states of a feature.
const (
	Existing Status = "existing"
	Planned  Status = "planned"
)

// A Feature is one thing drawn on the holding. Its geometry is in metres of the plan's frame, mended for computing (rings
// closed and wound outer anticlockwise, holes clockwise, repeated points dropped); the bytes it was read from are kept and
// are what is written back as long as nobody edits it.
type Feature struct {
	ID     string // compared as text; given by the reader where the file has none
	Kind   Kind   // as in the table of kinds, or whatever the file said
	Name   string `prop:"name"` // "" where the file has none; Label never is
	Notes  string `prop:"notes"`
	Status Status `prop:"status"` // "" where it was given in a form that cannot be used: then neither is assumed
	// Planted is the winter of planting, 0 where not stated. 2026 is November 2026 to March 2027.
	Planted int    `prop:"planted"`
	Area    string `prop:"area"` // id of the list area it counts to, "" where the geometry decides
	Shape   Shape
	// Detail holds the properties of the kind: *Parcel, *Ground, *Bed, ... or nil for an unknown kind.
	Detail any

	// Sound is false where the geometry cannot be computed with: nothing is measured, set out or checked on it but the fault itself.
	Sound bool
	// GivenID is true where the id is not the file's but the reader's.
	GivenID bool
	// Index is the place in the file's features, from 0.
	Index int

	stated propSet // properties the file states and that were understood
	wrong  propSet // properties the file states and that were not
	raw    []byte  // the feature as it stood in the file
}

// Label is the name, or the kind and id where there is none: what every message calls the feature. An id that begins with its kind
// does not say it twice: the feature "windbreak-1" is windbreak 1.
func (f *Feature) Label() string {
	if f.Name != "" {
		return f.Name
	}
	return Unnamed(f.Kind, f.ID)
}

// Unnamed is what a feature without a name is called.
func Unnamed(kind Kind, id string) string {
	if rest, ok := strings.CutPrefix(id, string(kind)+"-"); ok && rest != "" {
		id = rest
	}
	return strings.ReplaceAll(string(kind), "_", " ") + " " + id
}

// Stated reports whether the file itself gives the property, so that a default is not taken for the user's word.
func (f *Feature) Stated(property string) bool { return f.stated.has(property) }

// Wrong reports whether any of the properties was given in a form that could not be used. What needs it is not computed.
func (f *Feature) Wrong(properties ...string) bool {
	for _, p := range properties {
		if f.wrong.has(p) {
			return true
		}
	}
	return false
}

// State marks properties as stated; it is for plans made in code rather than read from a file.
func (f *Feature) State(properties ...string) {
	for _, p := range properties {
		f.stated = f.stated.with(p)
	}
}

// Raw is the feature as it stood in the file, or nil for one made in code. It must not be altered.
func (f *Feature) Raw() []byte { return f.raw }

// Planned reports whether the feature is still to be planted.
func (f *Feature) IsPlanned() bool { return f.Status == Planned }

// A Shape is the geometry of a feature in metres: exactly one of the three lists is used. A LineString is one line, a
// MultiLineString several; likewise for polygons and points.
type Shape struct {
	Points   []orb.Point
	Lines    []orb.LineString
	Polygons orb.MultiPolygon
}

// Empty reports whether there is nothing drawn.
func (s Shape) Empty() bool { return len(s.Points) == 0 && len(s.Lines) == 0 && len(s.Polygons) == 0 }

// Bound is the box round the shape; an empty shape has an empty box.
func (s Shape) Bound() orb.Bound {
	b, _ := s.box()
	return b
}

// box is the box round the shape; false where it has no position at all.
func (s Shape) box() (b orb.Bound, any bool) {
	add := func(x orb.Bound) {
		switch {
		case x.IsEmpty():
		case any:
			b = b.Union(x)
		default:
			b, any = x, true
		}
	}
	for _, p := range s.Points {
		add(p.Bound())
	}
	for _, l := range s.Lines {
		add(l.Bound())
	}
	for _, g := range s.Polygons {
		for _, r := range g {
			add(r.Bound())
		}
	}
	return b, any
}

// First is the first position drawn, where a message can point to.
func (s Shape) First() (orb.Point, bool) {
	switch {
	case len(s.Points) > 0:
		return s.Points[0], true
	case len(s.Lines) > 0 && len(s.Lines[0]) > 0:
		return s.Lines[0][0], true
	case len(s.Polygons) > 0 && len(s.Polygons[0]) > 0 && len(s.Polygons[0][0]) > 0:
		return s.Polygons[0][0][0], true
	}
	return orb.Point{}, false
}
