package sheets

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/planner"
	"quickthorn/planner/paper"
)

// Millimetres of a sheet's layout.
const (
	margin   = 10.0 // round the frame: what printers leave blank
	air      = 5.0  // between the plan and the frame
	overlap  = 15.0 // of neighbouring tiles
	mostTile = 400  // sheets in one drawing
)

// keyScales are the further scales of key sheets.
var keyScales = []int{5000, 10000, 20000, 25000, 50000, 100000, 200000, 500000, 1000000}

// A tile is one sheet's piece of the plan.
type tile struct {
	row, col int
	number   int
	west     float64 // metres of its north-west corner
	north    float64
}

// A fit is a choice of paper and scale.
type fit struct {
	size      paper.Size
	landscape bool
	scale     int
	box       orb.Bound // what is drawn, metres
	tiles     []tile
	keyScale  int
}

// page is the size of the sheet as it lies.
func (f *fit) page() (w, h float64) {
	if f.landscape {
		return f.size.Height, f.size.Width
	}
	return f.size.Width, f.size.Height
}

// panelWidth is the room beside the map for title, scale, legend and cautions.
func (f *fit) panelWidth() float64 {
	return map[string]float64{"A4": 60, "A3": 76, "A2": 84, "A1": 90, "A0": 96}[f.size.Name]
}

// mapBox is the frame of the map on the page.
func (f *fit) mapBox() paper.Box {
	w, h := f.page()
	return paper.Box{X: margin, Y: margin, W: w - 2*margin - f.panelWidth(), H: h - 2*margin}
}

// panelBox is the panel at its right.
func (f *fit) panelBox() paper.Box {
	m := f.mapBox()
	return paper.Box{X: m.Right(), Y: m.Y, W: f.panelWidth(), H: m.H}
}

// holds reports whether the plan fits into the frame at a scale.
func (f *fit) holds(scale int) bool {
	m := f.mapBox()
	k := 1000 / float64(scale)
	return (f.box.Max[0]-f.box.Min[0])*k <= m.W-2*air && (f.box.Max[1]-f.box.Min[1])*k <= m.H-2*air
}

// fitOn chooses how the plan lies on the paper.
func fitOn(in Input, opt Options) (*fit, error) {
	name := opt.Paper
	if name == "" {
		name = "A3"
	}
	size, ok := paper.SizeNamed(name)
	if !ok {
		return nil, &planner.Problem{What: fmt.Sprintf("There is no paper %q here.", opt.Paper), Mend: "Choose A4, A3, A2, A1 or A0."}
	}
	if opt.Scale != 0 && !slices.Contains(Scales, opt.Scale) {
		return nil, &planner.Problem{What: fmt.Sprintf("Drawings are not made at 1:%d.", opt.Scale), Mend: "Choose " + scaleNames() + "."}
	}
	var turns []bool // landscape first
	switch opt.Turn {
	case "":
		turns = []bool{true, false}
	case "landscape":
		turns = []bool{true}
	case "portrait":
		turns = []bool{false}
	default:
		return nil, &planner.Problem{What: fmt.Sprintf("Paper does not lie %q.", opt.Turn), Mend: "Choose portrait or landscape."}
	}
	box, ok := extent(in)
	if !ok {
		return nil, &planner.Problem{What: "There is nothing to draw: no feature of the plan has a place.", Mend: "Draw a field first."}
	}
	scales := Scales
	if opt.Scale != 0 {
		scales = []int{opt.Scale}
	}
	for _, scale := range scales {
		for _, l := range turns {
			f := &fit{size: size, landscape: l, scale: scale, box: box}
			if f.holds(scale) {
				return f, nil
			}
		}
	}
	var best *fit
	for _, l := range turns {
		f := &fit{size: size, landscape: l, scale: scales[len(scales)-1], box: box}
		if n := f.count(); n > mostTile {
			if best == nil && l == turns[len(turns)-1] {
				return nil, tooMany(f, n)
			}
			continue
		}
		f.tile(in)
		if best == nil || len(f.tiles) < len(best.tiles) {
			best = f
		}
	}
	return best, best.chooseKey()
}

func tooMany(f *fit, n int) error {
	return &planner.Problem{What: fmt.Sprintf("At %s on %s the drawing would take %d sheets; %d are the most.", ratio(f.scale), f.size.Name, n, mostTile),
		Mend: "Choose a smaller scale or larger paper, such as --scale 2500 --paper A0."}
}

func scaleNames() string {
	var out []string
	for _, s := range Scales[:len(Scales)-1] {
		out = append(out, fmt.Sprint(s))
	}
	return strings.Join(out, ", ") + " or " + fmt.Sprint(Scales[len(Scales)-1])
}

// extent is the box round everything drawn: features with the width they have, and plants.
func extent(in Input) (orb.Bound, bool) {
	var b orb.Bound
	any := false
	add := func(x orb.Bound) {
		if any {
			x = b.Union(x)
		}
		b, any = x, true
	}
	for _, f := range in.Plan.Features {
		if !f.Shape.Empty() {
			add(f.Shape.Bound().Pad(halfWidth(f)))
		}
	}
	if in.Out != nil {
		for _, l := range in.Out.Layouts {
			for i := range l.Plants {
				add(l.Plants[i].At.Bound())
			}
		}
	}
	return b, any
}

// grid is how many tiles lie side by side and below each other, and how far one reaches beyond the last, in metres.
func (f *fit) grid() (cols, rows int, stepX, stepY float64) {
	m := f.mapBox()
	k := 1000 / float64(f.scale)
	stepX, stepY = (m.W-overlap)/k, (m.H-overlap)/k
	many := func(extent, step float64) int {
		return max(1, int(math.Ceil((extent+2*air/k-overlap/k)/step-1e-9)))
	}
	return many(f.box.Max[0]-f.box.Min[0], stepX), many(f.box.Max[1]-f.box.Min[1], stepY), stepX, stepY
}

func (f *fit) count() int {
	cols, rows, _, _ := f.grid()
	if cols > mostTile || rows > mostTile {
		return cols * min(rows, mostTile+1)
	}
	return cols * rows
}

// tile lays tiles over the plan, evenly about its middle; those on which nothing lies are left out.
func (f *fit) tile(in Input) {
	cols, rows, stepX, stepY := f.grid()
	k := 1000 / float64(f.scale)
	m := f.mapBox()
	wide, high := float64(cols-1)*stepX+m.W/k, float64(rows-1)*stepY+m.H/k
	west, north := (f.box.Min[0]+f.box.Max[0]-wide)/2, (f.box.Min[1]+f.box.Max[1]+high)/2
	for r := range rows {
		for c := range cols {
			t := tile{row: r, col: c, west: west + float64(c)*stepX, north: north - float64(r)*stepY}
			if f.touched(in, t) {
				t.number = len(f.tiles) + 1
				f.tiles = append(f.tiles, t)
			}
		}
	}
}

// bound is what a tile shows.
func (f *fit) bound(t tile) orb.Bound {
	m := f.mapBox()
	g := float64(f.scale) / 1000
	return orb.Bound{Min: orb.Point{t.west, t.north - m.H*g}, Max: orb.Point{t.west + m.W*g, t.north}}
}

// touched tells whether anything lies on a tile: a corner in it or an edge through it.
func (f *fit) touched(in Input, t tile) bool {
	b := f.bound(t)
	for _, ft := range in.Plan.Features {
		if !ft.Shape.Empty() && ft.Shape.Bound().Pad(halfWidth(ft)).Intersects(b) && reaches(ft.Shape, b, halfWidth(ft)) {
			return true
		}
	}
	return false
}

// chooseKey finds the scale at which the whole plan fits on the key sheet.
func (f *fit) chooseKey() error {
	for _, s := range append(slices.Clone(Scales), keyScales...) {
		if s > f.scale && f.holds(s) {
			f.keyScale = s
			return nil
		}
	}
	return &planner.Problem{What: "The plan is too wide for a key sheet.", Mend: "Choose larger paper."}
}
