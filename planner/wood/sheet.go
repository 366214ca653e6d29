package wood

import (
	"cmp"
	"embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/prose"
)

// A CuttingSheet is one winter's work, for paper.
type CuttingSheet struct {
	Holding  string
	Winter   int
	Date     string // printed; "" leaves a blank to write in
	Windows  []string
	Sections []SheetSection
	TotalM   float64
	TotalM2  float64
	Solid    Range
	Stacked  Range
	Chip     Range
	LogM     float64
	Ready    int
	Fills    []Fill
	Tools    []string
	Leave    []string
	After    []string
	Prompts  []Prompt
	Cautions []Caution
}

// SheetSection is one section to cut.
type SheetSection struct {
	ID, Name, Method    string
	FromM, ToM, LengthM float64
	AreaM2              float64
	Age                 int
	From, To            string // landmarks at either end
	CutHeight           string
	When                string
	Window              string
	Stop                []string // read before anything else
	Mix                 string
	Dry                 Range
}

// CuttingSheet makes the sheet of one winter; with no section where nothing is cut in it.
func (r *Result) CuttingSheet(in Input, winter int, date string) CuttingSheet {
	s := CuttingSheet{Holding: r.Holding, Winter: winter, Date: date, LogM: r.Options.LogM, Sections: []SheetSection{}, Prompts: r.Prompts,
		Tools: []string{"chainsaw with its full protective clothing, or bow saw and billhook", "loppers, gloves that turn thorns, eye protection", "wedges, felling lever, fuel in an approved can", "first-aid kit with a large wound dressing on each person, telephone", "tape and pegs for the chainages, marking paint"},
		Leave: []string{"all hedgerow trees (Countryside Stewardship BN5 and BN6), and any tree with a hole, loose bark or ivy in which bats may live", "deadwood that endangers nobody", "a stem every so often for the next hedgerow tree, marked before work begins"},
		After: []string{"Elder is cut out and kept from growing back (Countryside Stewardship BN5 and BN6).", "Keep stock off for two to three years, with a fence 1.2 m from the centre of the hedge (Countryside Stewardship BN6; Irish hedgerow notes).", "Stack logs off the ground by the end of April, under a roof with open sides; split what is thicker than 10 cm.", "Brash may cover stools against browsing but must not smother them."}}
	s.Cautions = sheetCautions(&in, r, winter)
	c := r.Calendar
	for _, w := range []struct {
		name string
		of   Window
	}{{"coppicing", c.Coppice}, {"laying", c.Lay}} {
		if w.of.From != "" {
			s.Windows = append(s.Windows, fmt.Sprintf("%s from %s to %s", w.name, DateIn(w.of.From, winter), DateIn(w.of.Until, winter)))
		}
	}
	marks := landmarks(in.Plan)
	for i := range r.Winters {
		w := &r.Winters[i]
		if w.Winter != winter {
			continue
		}
		s.TotalM, s.TotalM2, s.Solid, s.Stacked, s.Chip, s.Ready = w.CutM, w.CutM2, w.LogsSolid, w.LogsStacked, w.Chip, w.ReadyWinter
		for _, cut := range w.Cut {
			s.Sections = append(s.Sections, r.sheetSection(&in, cut, winter, marks))
		}
	}
	for _, f := range r.Fills {
		if f.Winter == winter {
			s.Fills = append(s.Fills, f)
		}
	}
	return s
}

func (r *Result) sheetSection(in *Input, cut Cutting, winter int, marks []landmark) SheetSection {
	s := &r.Sections[cut.Section]
	d := SheetSection{ID: s.ID, Name: s.Feature.Label(), Method: s.Method, FromM: s.FromM, ToM: s.ToM, LengthM: s.LengthM, AreaM2: s.AreaM2, Age: cut.Age, Dry: cut.Dry,
		CutHeight: "stools below 100 mm, at an angle that sheds water (Countryside Stewardship BN6)"}
	switch {
	case s.Method == Lay:
		d.CutHeight = "pleachers at 100 mm or less from the ground, 35 to 45 degrees, heel cut off, never downhill (Countryside Stewardship BN5)"
	case s.Share("Salix") >= willowShare:
		d.CutHeight = "willow stools at 100 mm: at 200 mm the third crop was 28 percent less, at 400 mm 68 percent (Hytönen 1994)"
	}
	if w := r.Calendar.Of(s.Method); w.From != "" {
		d.Window = fmt.Sprintf("%s to %s", DateIn(w.From, winter), DateIn(w.Until, winter))
	}
	if s.Wet {
		d.When = "wet ground: before Christmas or in hard frost, nothing on wheels when it is soft"
	}
	if near, reach, says, _ := NearWires(in.Set, s); near {
		d.Stop = append(d.Stop, fmt.Sprintf("STOP: an overhead line runs %.0f m away, nearer than %.0f m (%s). Ask its operator first.", s.WiresM, reach, says))
	}
	if HasAsh(s) {
		d.Stop = append(d.Stop, "STOP: ash stands here. With dieback it is brittle and no job for one person with a saw: have a qualified tree surgeon look first.")
	}
	var mix []string
	for _, p := range s.Mix {
		mix = append(mix, fmt.Sprintf("%s %.0f %%", p.Name, 100*p.Share))
	}
	d.Mix = strings.Join(mix, ", ")
	if s.Hedge() && len(s.Path) > 0 {
		d.From = near(marks, s.Path[0], s.Feature)
		d.To = near(marks, s.Path[len(s.Path)-1], s.Feature)
	} else if s.Number > 0 {
		d.From = near(marks, s.Middle(), s.Feature)
	}
	return d
}

// A landmark is something that a person in the field can find.
type landmark struct {
	label string
	f     *planner.Feature
	segs  []geo.Segment
	at    []orb.Point
}

// markKinds are the kinds that make landmarks.
var markKinds = []planner.Kind{planner.KindGateway, planner.KindBuilding, planner.KindRoad, planner.KindTrack, planner.KindPath, planner.KindDitch, planner.KindWatercourse,
	planner.KindFence, planner.KindWall, planner.KindOverheadLine, planner.KindHedge, planner.KindWindbreak, planner.KindOrchard, planner.KindGrove, planner.KindBed, planner.KindPlant}

func landmarks(p *planner.Plan) []landmark {
	var out []landmark
	for i, f := range p.Of(markKinds...) {
		m := landmark{label: f.Label(), f: f, at: f.Shape.Points}
		for _, l := range f.Shape.Lines {
			m.segs = append(m.segs, geo.LineSegments(l, i)...)
		}
		for _, g := range f.Shape.Polygons {
			m.segs = append(m.segs, geo.PolygonSegments(g, i)...)
		}
		out = append(out, m)
	}
	return out
}

// markReach is how far a landmark may lie to be named.
const markReach = 60.0

// near names the nearest landmark to a point: "12 m north-east of the yard gate"; "" where none is within 60 m.
func near(marks []landmark, p orb.Point, own *planner.Feature) string {
	best, says := math.Inf(1), ""
	for _, m := range marks {
		if m.f == own {
			continue
		}
		d, at := math.Inf(1), p
		for _, q := range m.at {
			if e := geo.Dist(p, q); e < d {
				d, at = e, q
			}
		}
		for _, s := range m.segs {
			if e, t := geo.DistToSegment(p, s.A, s.B); e < d {
				d, at = e, orb.Point{s.A[0] + t*(s.B[0]-s.A[0]), s.A[1] + t*(s.B[1]-s.A[1])}
			}
		}
		if d > markReach || d >= best-1e-9 {
			continue
		}
		best = d
		if d < 1 {
			says = "at " + m.label
		} else {
			says = fmt.Sprintf("%.0f m %s of %s", d, compass(geo.BearingDeg(at, p)), m.label)
		}
	}
	return says
}

func compass(deg float64) string {
	names := []string{"north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"}
	return names[int(math.Mod(deg+22.5, 360)/45)%8]
}

// sheetCautions puts those that stop the work first, for this winter's sections only.
func sheetCautions(in *Input, r *Result, winter int) []Caution {
	part := &Result{}
	for i := range r.Sections {
		if slices.Contains(r.Cuts[i], winter) {
			part.Sections = append(part.Sections, r.Sections[i])
		}
	}
	out := cautions(in, part)
	rank := map[string]int{"power lines": 0, "ash": 1}
	slices.SortStableFunc(out, func(a, b Caution) int {
		x, ok := rank[a.About]
		if !ok {
			x = 9
		}
		y, ok := rank[b.About]
		if !ok {
			y = 9
		}
		return cmp.Compare(x, y)
	})
	return out
}

//go:embed sheet.html
var sheetFile embed.FS

var sheetTemplate = template.Must(template.New("sheet.html").Funcs(template.FuncMap{
	"m":      func(v float64) string { return fmt.Sprintf("%.1f", v) },
	"spread": func(r Range) string { return spread(r, 1) },
	"clean":  func(s string) string { return prose.Short(prose.Clean(s), 200) },
	"source": withSource,
	"cm":     func(v float64) string { return fmt.Sprintf("%.0f", 100*v) },
}).ParseFS(sheetFile, "sheet.html"))

// WriteSheetHTML writes the sheet as one page that prints on A4: no scripts, nothing fetched, every name escaped, what stops the work
// first.
func WriteSheetHTML(w io.Writer, s CuttingSheet) error {
	var b strings.Builder
	if err := sheetTemplate.Execute(&b, s); err != nil {
		return err
	}
	_, err := io.WriteString(w, b.String())
	return err
}
