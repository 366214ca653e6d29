package setout

import (
	"io"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

// What a point of an export marks.
const (
	MarkPlant  = "plant"
	MarkTree   = "tree"    // a single tree or a tree in a hedge
	MarkRowEnd = "row end" // first or last plant of a row
	MarkCorner = "corner"  // of the line as drawn; nothing is planted there
)

// A Station is one point to be pegged out.
type Station struct {
	ID        string // feature id, row and number; of a corner: feature id, corner and number
	Feature   string
	Row       int
	Number    int
	ChainageM float64
	OffsetM   float64
	Species   string // botanical name, or what the plan calls it
	Cultivar  string
	Rootstock string
	Area      string // id of the list area it counts to
	Use       Use
	Mark      string // one of the marks above
	At        orb.Point
	LonLat    orb.Point // 9 decimals
}

// Points says which points are exported.
type Points string

// All plants, or the ends of rows, corners and trees only: what is worth finding with a handheld, which errs by metres.
const (
	AllPoints Points = "all"
	EndPoints Points = "ends"
)

// Stations lists the points of a plan that has been set out: what is to be planted, by feature id, row and number. Plants that stand
// there already are left out. area gives the list area of a plant; nil leaves it empty.
func Stations(p *planner.Plan, r *Result, points Points, area func(*Plant) string) []Station {
	out := []Station{}
	for _, l := range r.Layouts {
		from := len(out)
		for i := range l.Plants {
			q := &l.Plants[i]
			mark := markOf(l, i)
			if !q.Listed || points == EndPoints && mark == MarkPlant {
				continue
			}
			s := Station{ID: q.ID(), Feature: l.Feature.ID, Row: q.Row, Number: q.Number, ChainageM: q.Chainage, OffsetM: q.Offset,
				Species: q.Name, Cultivar: q.Cultivar, Rootstock: q.Rootstock, Use: q.Use, Mark: mark, At: q.At, LonLat: lonLat(p.Frame, q.At)}
			if q.Species != nil {
				s.Species = q.Species.Botanical
			}
			if area != nil {
				s.Area = area(q)
			}
			out = append(out, s)
		}
		if points == EndPoints && len(out) > from {
			out = append(out, corners(p, l)...)
		}
	}
	return out
}

// markOf says what plant i of a layout marks. Plants come by row, then number.
func markOf(l *Layout, i int) string {
	q := &l.Plants[i]
	switch q.Use {
	case UseTree, UsePlant:
		return MarkTree
	}
	listed := func(k int) bool { return k >= 0 && k < len(l.Plants) && l.Plants[k].Row == q.Row && l.Plants[k].Listed }
	if !listed(i-1) || !listed(i+1) || l.breakBetween(i-1, i) || l.breakBetween(i, i+1) {
		return MarkRowEnd
	}
	return MarkPlant
}

// breakBetween tells whether an opening lies between two plants of a row, or one of them fills a gap and the other does not.
func (l *Layout) breakBetween(i, k int) bool {
	a, b := &l.Plants[i], &l.Plants[k]
	if (a.Use == UseFill) != (b.Use == UseFill) {
		return true
	}
	if l.Line == nil {
		return false
	}
	for _, o := range l.Line.Openings {
		if o.Action != Fill && o.FromM >= math.Min(a.Chainage, b.Chainage) && o.ToM <= math.Max(a.Chainage, b.Chainage) {
			return true
		}
	}
	return false
}

// corners are the corners of a drawn line where it turns by more than a degree.
func corners(p *planner.Plan, l *Layout) []Station {
	if l.Line == nil {
		return nil
	}
	c := geo.NewChain(l.Line.Path)
	var out []Station
	for _, s := range c.Corners() {
		at := c.At(s)
		if geo.AngleBetweenDeg(c.BearingAtDeg(s-1e-6), c.BearingAtDeg(s)) < 1 {
			continue
		}
		st := Station{Feature: l.Feature.ID, Number: len(out), ChainageM: s, Mark: MarkCorner, At: at, LonLat: lonLat(p.Frame, at)}
		st.ID = l.Feature.ID + "/corner/" + itoa(st.Number)
		out = append(out, st)
	}
	return out
}

func lonLat(f geo.Frame, at orb.Point) orb.Point {
	ll := f.ToLonLat(at)
	return orb.Point{rounded(ll[0], 9), rounded(ll[1], 9)}
}

// rounded is v to so many decimals, never a negative zero.
func rounded(v float64, decimals int) float64 {
	k := math.Pow(10, float64(decimals))
	return math.Round(v*k)/k + 0
}

// A Format writes stations.
type Format struct {
	Name   string // as --format and ?format= give it
	Media  string // its media type
	Ext    string // of its files, without a dot
	Points Points // which points it has where nobody says
	Write  func(w io.Writer, p *planner.Plan, stations []Station) error
}

// Formats lists every format, the default first. Adding one is its file and its line here.
func Formats() []Format {
	return []Format{geoJSONFormat, csvFormat, jsonFormat, gpxFormat, kmlFormat, gpkgFormat}
}

// FormatNamed is the format of that name.
func FormatNamed(name string) (Format, bool) {
	all := Formats()
	i := slices.IndexFunc(all, func(f Format) bool { return f.Name == name })
	if i < 0 {
		return Format{}, false
	}
	return all[i], true
}
