package sheets

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/paper"
)

// labels are the places that texts and markers have taken on one sheet, and what stands in the legend instead.
type labels struct {
	taken  [][4]paper.Point
	short  []nameEntry // drawn cut or as a letter: the whole text stands in the legend
	absent []string    // not drawn for want of room
	hidden []int       // findings not drawn for want of room
}

// A nameEntry is a name that stands on the map cut short or as a letter.
type nameEntry struct{ Shown, Full string }

// A wish is a name to be put on the map, its places in the order in which they would be liked.
type wish struct {
	rank   int
	clear  bool   // never over signs
	text   string // the name
	sub    string // a second line: area, length
	size   float64
	face   paper.Face
	width  float64 // of a line of text, mm
	places func(w, h float64) []spot
}

// A spot is a place for a text: the middle of its box, and its turn.
type spot struct {
	at   paper.Point
	turn float64
}

const halo = 0.45 // mm

// rankField is the rank of the names of fields, which come first; a letter that stands for a name has a rank of its own.
const (
	rankOwn    = -1 // what a sketch is about
	rankField  = 0
	rankLetter = 9
)

// overInner tells whether a box lies over a bed or a block of trees.
func (s *sketch) overInner(b paper.Box) bool {
	return slices.ContainsFunc(s.inner, func(o paper.Box) bool { return overlaps(o, b) })
}

// What a text keeps off, each with all before it: texts and markers; signs; lines.
const (
	offTexts = iota
	offSigns
	offLines
)

// free reports whether a shape lies in the frame and over nothing that it is to keep off.
func (s *sketch) free(c [4]paper.Point, off int) bool {
	frame := s.v.frame.Inset(0.8)
	for _, p := range c {
		if !frame.Holds(p) {
			return false
		}
	}
	for _, t := range s.labels.taken {
		if !paper.Apart(c, t) {
			return false
		}
	}
	b := around(c[:]...)
	if off >= offSigns {
		for _, o := range s.busy {
			if overlaps(o, b) && !paper.Apart(c, o.Corners(paper.Point{}, 0)) {
				return false
			}
		}
	}
	if off >= offLines {
		for _, l := range s.strokes {
			if overlaps(l.box, b) && !paper.Apart(c, l.shape) {
				return false
			}
		}
	}
	return true
}

func overlaps(a, b paper.Box) bool {
	return a.X < b.Right() && a.Right() > b.X && a.Y < b.Bottom() && a.Bottom() > b.Y
}

// A band is a straight piece of a line with its width, and the box round it.
type band struct {
	box   paper.Box
	shape [4]paper.Point
}

// strike notes where a line lies, so that texts keep off it.
func (s *sketch) strike(pts []paper.Point, width float64) {
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		if a == b || !overlaps(around(a, b).Inset(-width), s.v.frame) {
			continue
		}
		mid, long := paper.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}, math.Hypot(b.X-a.X, b.Y-a.Y)
		c := paper.Box{X: mid.X - long/2, Y: mid.Y - width/2, W: long, H: width}.Corners(mid, angle(a, b))
		s.strokes = append(s.strokes, band{around(c[:]...), c})
	}
}

// mostBusy is the number of things beyond which texts no longer look for a place between signs.
const mostBusy = 20000

// putNames places every name: over nothing but hatches where there is room, else over lines, else over signs, else without its length or
// area, else as a letter that the legend explains. No two texts overlap. A sparse sketch, which has no legend, leaves out what would lie
// over signs.
func (s *sketch) putNames() {
	wishes := s.wishes()
	slices.SortStableFunc(wishes, func(a, b wish) int { return cmp.Compare(a.rank, b.rank) })
	for _, w := range wishes {
		lines := paper.Wrap(w.text, w.face, w.size, w.width)
		cut := len(lines) > 2
		if cut {
			lines = append(lines[:1:1], paper.Shorten(lines[1]+" "+lines[2], w.face, w.size, w.width))
		}
		if s.put(w, lines, w.sub) || w.sub != "" && s.put(w, lines, "") {
			if cut && !s.sparse {
				s.labels.short = append(s.labels.short, nameEntry{lines[0] + " " + lines[1], w.text})
			}
			continue
		}
		if s.sparse {
			continue
		}
		letter := letterOf(len(s.labels.short))
		if s.put(wish{rank: rankLetter, size: 2.4, face: paper.Bold, places: w.places}, []string{letter}, "") {
			s.labels.short = append(s.labels.short, nameEntry{letter, w.text})
			continue
		}
		s.labels.absent = append(s.labels.absent, w.text)
	}
}

// letterOf is a, b, ... z, a1, b1, ...
func letterOf(n int) string {
	l := string(rune('a' + n%26))
	if n >= 26 {
		l += strconv.Itoa(n / 26)
	}
	return l
}

// put draws lines of text at the first place that is free.
func (s *sketch) put(w wish, lines []string, sub string) bool {
	const subSize = 2.1
	lead := w.size * 1.15
	width, height := 0.0, float64(len(lines))*lead
	for _, l := range lines {
		width = max(width, paper.Width(l, w.face, w.size))
	}
	if sub != "" {
		width = max(width, paper.Width(sub, paper.Regular, subSize))
		height += subSize * 1.25
	}
	places := w.places(width, height)
	least := offTexts
	if w.clear || w.rank != rankLetter && (s.sparse || len(lines) > 1) { // a long name would hide more than it tells: its letter is put there
		least = offSigns
	}
	for off := offLines; off >= least; off-- {
		if off > least && len(s.busy)+len(s.strokes) > mostBusy {
			continue
		}
		for _, p := range places {
			box := paper.Box{X: p.at.X - width/2 - 0.4, Y: p.at.Y - height/2 - 0.2, W: width + 0.8, H: height + 0.4}
			c := box.Corners(p.at, p.turn)
			if !s.free(c, off) || off > offTexts && w.rank == rankField && s.overInner(box) {
				continue
			}
			s.labels.taken = append(s.labels.taken, c)
			s.write(p, lines, sub, w, height, lead, subSize)
			return true
		}
	}
	return false
}

func (s *sketch) write(p spot, lines []string, sub string, w wish, height, lead, subSize float64) {
	sin, cos := math.Sincos(p.turn * math.Pi / 180)
	line := func(text string, face paper.Face, size, y float64) {
		at := paper.Point{X: p.at.X - y*sin, Y: p.at.Y + y*cos}
		s.top = append(s.top, paper.Text{At: at, S: text, Size: size, Face: face, Anchor: paper.Middle, Turn: p.turn, Halo: halo})
	}
	y := -height / 2
	for _, l := range lines {
		line(l, w.face, w.size, y+w.size*0.9)
		y += lead
	}
	if sub != "" {
		line(sub, paper.Regular, subSize, y+subSize*0.95)
	}
}

// wishes lists the names of what can be seen.
func (s *sketch) wishes() []wish {
	var out []wish
	for _, f := range s.in.Plan.Features {
		name := paper.Fit(f.Name, paper.Italic)
		if name == "" || !s.sees(f) || s.pegged[f.ID] {
			continue
		}
		w := wish{text: name, size: 2.6, face: paper.Italic, width: 38, rank: 4}
		switch {
		case len(f.Shape.Polygons) > 0:
			s.wishArea(&w, f)
		case len(f.Shape.Lines) > 0:
			s.wishLine(&w, f)
		default:
			w.rank, w.size, w.width = 6, 2.2, 30
			at := s.v.at(f.Shape.Points[0])
			w.places = beside(paper.Box{X: at.X, Y: at.Y}, 1.6)
		}
		if w.places == nil {
			continue
		}
		if f.ID == s.about {
			w.rank = rankOwn
		}
		out = append(out, w)
	}
	return out
}

func (s *sketch) wishArea(w *wish, f *planner.Feature) {
	switch f.Kind {
	case planner.KindParcel:
		w.rank, w.size, w.width = rankField, 3.6, 46
	case planner.KindBuilding:
		w.rank = 1
	case planner.KindBed, planner.KindOrchard, planner.KindGrove:
		w.rank = 2
	default:
		w.rank = 3
	}
	if f.Sound && w.rank != 1 {
		w.sub = areaText(geo.MultiArea(f.Shape.Polygons))
	}
	v := s.v
	// The name of a field outside it would be taken for its neighbour's; so would that of an area of which only a part is seen.
	b := around(slices.Concat(v.rings(f.Shape.Polygons)...)...)
	outside := f.Kind != planner.KindParcel && cutTo(b, v.frame) == b
	w.places = func(tw, th float64) []spot { return insideOf(v, f.Shape.Polygons, tw, th, outside) }
}

// insideOf are places for a box of text in an area, nearest to its middle first; then beside it, where that is wanted; then those with
// their middle in it.
func insideOf(v view, mp orb.MultiPolygon, tw, th float64, outside bool) []spot {
	rings := v.rings(mp)
	b := around(rings[0]...)
	b = cutTo(b, v.frame)
	mid := b.Middle()
	const n = 11
	region := geo.NewRegion(mp)
	var in, half []spot
	for i := range n {
		for j := range n {
			p := paper.Point{X: b.X + b.W*(float64(i)+0.5)/n, Y: b.Y + b.H*(float64(j)+0.5)/n}
			whole := true
			for _, c := range (paper.Box{X: p.X - tw/2, Y: p.Y - th/2, W: tw, H: th}).Corners(p, 0) {
				whole = whole && region.Contains(v.back(c))
			}
			switch {
			case whole:
				in = append(in, spot{at: p})
			case region.Contains(v.back(p)):
				half = append(half, spot{at: p})
			}
		}
	}
	near := func(a, b spot) int {
		return cmp.Compare(math.Hypot(a.at.X-mid.X, a.at.Y-mid.Y), math.Hypot(b.at.X-mid.X, b.at.Y-mid.Y))
	}
	slices.SortStableFunc(in, near)
	slices.SortStableFunc(half, near)
	if outside {
		in = append(in, beside(b, 1)(tw, th)...)
	}
	return append(in, half...)
}

// cutTo is the part of a box inside a frame; the box itself where they are apart.
func cutTo(b, frame paper.Box) paper.Box {
	x0, y0 := max(b.X, frame.X), max(b.Y, frame.Y)
	x1, y1 := min(b.Right(), frame.Right()), min(b.Bottom(), frame.Bottom())
	if x1 <= x0 || y1 <= y0 {
		return b
	}
	return paper.Box{X: x0, Y: y0, W: x1 - x0, H: y1 - y0}
}

// back is the place in metres that a point of the page shows.
func (v view) back(p paper.Point) orb.Point {
	return orb.Point{v.west + (p.X-v.frame.X)/v.k, v.north - (p.Y-v.frame.Y)/v.k}
}

// beside are the places right, left, above and below a box, and at its corners.
func beside(b paper.Box, gap float64) func(w, h float64) []spot {
	return func(w, h float64) []spot {
		m := b.Middle()
		l, r := b.X-gap-w/2, b.Right()+gap+w/2
		t, u := b.Y-gap-h/2, b.Bottom()+gap+h/2
		var out []spot
		for _, p := range []paper.Point{{X: r, Y: m.Y}, {X: l, Y: m.Y}, {X: m.X, Y: t}, {X: m.X, Y: u}, {X: r, Y: t}, {X: r, Y: u}, {X: l, Y: t}, {X: l, Y: u}} {
			out = append(out, spot{at: p})
		}
		return out
	}
}

// leastNamed is how long a line is seen, in mm, from which a sparse sketch names it.
const leastNamed = 10

func (s *sketch) wishLine(w *wish, f *planner.Feature) {
	w.width, w.size = 70, 2.4
	if f.Kind == planner.KindHedge || f.Kind == planner.KindWindbreak || f.Kind == planner.KindRow {
		w.rank = 3
		if s.in.Out != nil {
			if l := s.in.Out.Of(f.ID); l != nil && l.Line != nil {
				w.text += fmt.Sprintf(", %.1f m", l.Line.LengthM)
			}
		}
	} else {
		w.rank = 5
	}
	half := max(1, widthOf(f)*s.v.k/2) + 0.5
	if f.Kind == planner.KindWindbreak || f.Kind == planner.KindRow {
		half = 2
	}
	var longest chain
	for _, l := range f.Shape.Lines {
		for _, part := range clipLine(l, s.v.bound) {
			if c := chainOf(s.v.line(part)); c.length() > longest.length() {
				longest = c
			}
		}
	}
	if s.sparse && longest.length() < leastNamed && f.ID != s.about {
		return
	}
	road := f.Kind == planner.KindRoad && widthOf(f)*s.v.k > w.size*1.5
	w.places = func(tw, th float64) []spot { return along(longest, half, tw, th, road) }
}

// along are places beside a line, turned with it so that they read from below or from the right; on it first where it is wide.
func along(c chain, half, tw, th float64, on bool) []spot {
	var out []spot
	for _, share := range []float64{0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9} {
		p, deg := c.place(share * c.length())
		a, _ := c.place(max(0, share*c.length()-tw/2))
		b, _ := c.place(min(c.length(), share*c.length()+tw/2))
		if math.Hypot(b.X-a.X, b.Y-a.Y) > 1 {
			deg = angle(a, b)
		}
		if deg > 90 || deg <= -90 {
			deg -= 180
		}
		if deg <= -180 {
			deg += 360
		}
		sin, cos := math.Sincos(deg * math.Pi / 180)
		if on {
			out = append(out, spot{p, deg})
		}
		for _, far := range []float64{half + th/2, -half - th/2, half + th*1.4, -half - th*1.4} {
			out = append(out, spot{paper.Point{X: p.X + far*sin, Y: p.Y - far*cos}, deg})
		}
	}
	for _, share := range []float64{0.5, 0.1, 0.9} {
		p, _ := c.place(share * c.length())
		out = append(out, beside(paper.Box{X: p.X, Y: p.Y}, half+0.5)(tw, th)...)
	}
	return out
}

// areaText is square metres up to a tenth of a hectare, hectares above.
func areaText(m2 float64) string {
	if m2 < 1000 {
		return strconv.FormatFloat(m2, 'f', 0, 64) + " m²"
	}
	return strconv.FormatFloat(m2/10000, 'f', 2, 64) + " ha"
}
