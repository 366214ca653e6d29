// Package sheets is the plan on paper: the drawing to scale, with its signs, legend and numbered findings, and the sheets for
// pegging out. Both are made as pages of the room paper, which writes them as SVG and PDF.
//
// A drawing is true to its scale everywhere: a metre of the plan's frame is 1000/scale millimetres of paper, north is up. It is
// in black, since many printers have nothing else: tints of the screen are hatches here.
package sheets

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/paper"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
)

// Input is what a drawing or a field sheet is made from.
type Input struct {
	Plan     *planner.Plan
	Out      *setout.Result
	Site     *site.Site // tells how wet a field is whose plants were noted; nil leaves that out
	Findings []planner.Finding
	RuleSet  string
	// Crown is the diameter of a plant's crown in metres in the year drawn, and whether it is known; nil knows none.
	Crown func(*setout.Plant) (m float64, known bool)
	// Loosened says in a sentence each which safety or legal limits the plan loosens, with the reason; every drawing repeats it.
	Loosened []string
}

// Options says how a plan is drawn.
type Options struct {
	Scale  int    // 500 is 1:500; 0 chooses the largest of Scales at which the plan fits on one sheet
	Paper  string // A4 to A0; "" is A3
	Turn   string // portrait, landscape; "" chooses what gives the larger scale or the fewer sheets
	Year   int    // of the crowns, after planting
	Date   string // printed; "" leaves a blank to write in
	Author string // printed; "" leaves a blank
}

// Scales are the scales of drawings, largest first.
var Scales = []int{200, 250, 500, 1000, 1250, 2500}

// A Drawing is a plan on one or more sheets of paper.
type Drawing struct {
	Title string
	Scale int
	Paper string
	Pages []*paper.Page // a single sheet, or the key sheet and then its tiles; then the notes
	Tiles int           // 0 where one sheet holds all
	Notes int           // pages of notes at the end
}

// A Format writes a drawing. Page is used by formats that hold one page: 1 is the first.
type Format struct {
	Name, Media, Ext string
	OnePage          bool
	Write            func(w io.Writer, d *Drawing, page int) error
}

// Formats lists every format of drawings, the default first.
func Formats() []Format {
	return []Format{
		{"svg", "image/svg+xml", "svg", true, func(w io.Writer, d *Drawing, page int) error {
			if page < 1 || page > len(d.Pages) {
				return &planner.Problem{What: fmt.Sprintf("The drawing has no page %d.", page), Mend: fmt.Sprintf("It has pages 1 to %d.", len(d.Pages))}
			}
			return paper.SVG(w, d.Pages[page-1])
		}},
		{"pdf", "application/pdf", "pdf", false, func(w io.Writer, d *Drawing, _ int) error { return paper.PDF(w, d.Title, d.Pages) }},
	}
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

// Draw makes the drawing. Nothing it is given is altered. Cost: proportional to what lies on each sheet, and to the sheets.
func Draw(in Input, opt Options) (*Drawing, error) {
	f, err := fitOn(in, opt)
	if err != nil {
		return nil, err
	}
	d := &Drawing{Title: titleOf(in), Scale: f.scale, Paper: f.size.Name}
	r := &renderer{in: in, opt: opt, fit: f, numbers: numberOf(in.Findings)}
	if len(f.tiles) == 0 {
		d.Pages = []*paper.Page{r.single()}
	} else {
		d.Tiles = len(f.tiles)
		d.Pages = append([]*paper.Page{r.key()}, r.tilePages()...)
	}
	notes := r.notes(len(d.Pages))
	d.Notes = len(notes)
	d.Pages = append(d.Pages, notes...)
	return d, nil
}

func titleOf(in Input) string {
	return "Planting plan: " + paper.Fit(in.Plan.Holding.Name, paper.Regular)
}

// numberOf numbers the findings as the page and `check` order them: from 1. Those that are accepted have their numbers too, but are
// not drawn.
func numberOf(all []planner.Finding) []int {
	out := make([]int, len(all))
	for i := range all {
		out[i] = i + 1
	}
	return out
}

// ratio writes a scale with a comma between thousands.
func ratio(scale int) string { return "1:" + thousands(scale) }

func thousands(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}

// length writes metres as whole metres, or kilometres from 1000 on.
func length(m float64) string {
	switch {
	case m >= 1000:
		return strings.TrimSuffix(strconv.FormatFloat(m/1000, 'f', 1, 64), ".0") + " km"
	default:
		return strconv.FormatFloat(m, 'f', -1, 64) + " m"
	}
}
