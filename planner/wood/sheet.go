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
		Tools: []string{"chainsaw with its full protective clothing, or bow saw and billhook", "loppers, gloves that turn thorns, eye protection", "wedges, felling lever, fuel in an approved can", "first-aid kit with a large wound dressing on each person, telephone", "tape and pegs for the chainages, marking paint"}}
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
	s.advise(South(in.Plan))
	return s
}

// advise says what stays standing, what to bring and what is done afterwards, as far as it goes for the hedges or the coupes of the
// sheet.
func (s *CuttingSheet) advise(south bool) {
	add := func(to *[]string, where bool, say string) {
		if where {
			*to = append(*to, say)
		}
	}
	hedge, coupe := s.TotalM > 0, s.TotalM2 > 0
	add(&s.Tools, s.Chip.Mid >= 0.05, "chipper, if brash is to be chipped: hired by the day once enough lies ready, with helmet, visor and ear protection")
	add(&s.Leave, hedge, "all hedgerow trees (Countryside Stewardship BN5 and BN6)")
	add(&s.Leave, true, "any tree with a hole, loose bark or ivy in which bats may live")
	add(&s.Leave, true, "deadwood that endangers nobody")
	add(&s.Leave, hedge, "a stem every so often for the next hedgerow tree, marked before work begins")
	add(&s.Leave, coupe, "in the coupe, any tree that is to grow to timber, marked before work begins (common practice)")
	add(&s.After, hedge, "Elder is cut out and kept from growing back (Countryside Stewardship BN5 and BN6).")
	add(&s.After, hedge, "Keep stock off for two to three years, with a fence 1.2 m from the centre of the hedge (Countryside Stewardship BN6; Irish hedgerow notes).")
	add(&s.After, coupe, "Keep stock and deer off the coupe for at least two summers, with a fence or a dead hedge of the brash.")
	split := "the end of April"
	if south {
		split = "the end of October"
	}
	add(&s.After, true, "Stack logs off the ground by "+split+", under a roof with open sides; split what is thicker than 10 cm.")
	add(&s.After, true, "Brash may cover stools against browsing but must not smother them.")
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
	if d.Mix == "" {
		d.Mix = "not stated" + lookForAsh
	}
	if s.Hedge() && len(s.Path) > 0 {
		a, b := s.Path[0], s.Path[len(s.Path)-1]
		d.From, d.To = near(marks, a, s.Feature), near(marks, b, s.Feature)
		if d.From == d.To && d.From != "" { // what runs along the section tells neither end from the other
			marks = without(marks, nearestMark(marks, a, s.Feature))
			d.From, d.To = cmp.Or(near(marks, a, s.Feature), d.From), cmp.Or(near(marks, b, s.Feature), d.To)
		}
		d.From, d.To = r.beside(in, s, s.FromM, d.From), r.beside(in, s, s.ToM, d.To)
	} else if s.Number > 0 {
		d.From = fmt.Sprintf("%.1f to %.1f m from the %s edge", s.FromM, s.ToM, s.edge())
		if mark := near(marks, s.Middle(), s.Feature); mark != "" {
			d.From += ", its middle " + mark
		}
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
	i := nearestMark(marks, p, own)
	if i < 0 {
		return ""
	}
	d, at := marks[i].from(p)
	if d < 1 {
		return "at " + marks[i].label
	}
	return fmt.Sprintf("%.0f m %s of %s", d, compass(geo.BearingDeg(at, p)), marks[i].label)
}

// nearestMark is the place in the list of the landmark nearest to a point, within 60 m and not the section's own feature; -1 for none.
func nearestMark(marks []landmark, p orb.Point, own *planner.Feature) int {
	best, found := math.Inf(1), -1
	for i := range marks {
		if marks[i].f == own {
			continue
		}
		if d, _ := marks[i].from(p); d <= markReach && d < best-1e-9 {
			best, found = d, i
		}
	}
	return found
}

// from is how far a point lies from the landmark, and its nearest place.
func (m *landmark) from(p orb.Point) (float64, orb.Point) {
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
	return d, at
}

// without is the list less one place of it.
func without(marks []landmark, i int) []landmark {
	return append(append([]landmark{}, marks[:i]...), marks[i+1:]...)
}

// beside says what of the hedge itself an end of a section meets, before the landmark: its start or end, a gap, or a gateway.
func (r *Result) beside(in *Input, s *Section, at float64, mark string) string {
	l := in.Out.Of(s.Feature.ID)
	if l == nil || l.Line == nil {
		return mark
	}
	what := ""
	switch {
	case l.Line.Closed:
	case at < planner.Tolerance:
		what = "at the start of the hedge"
	case at > geo.NewChain(l.Line.Path).Length()-planner.Tolerance:
		what = "at the end of the hedge"
	}
	for _, o := range l.Line.Openings {
		if math.Abs(o.ToM-at) > planner.Tolerance && math.Abs(o.FromM-at) > planner.Tolerance {
			continue
		}
		what = fmt.Sprintf("at the gap of %.1f m", o.Length())
		if g := in.Plan.Feature(o.Gateway); g != nil {
			what = "at the gateway " + g.Label()
		}
	}
	if what == "" || mark == "" {
		return cmp.Or(what, mark)
	}
	return what + ", " + mark
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
	"span":   func(winter int) string { return fmt.Sprintf("%d to %d", winter, winter+1) },
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
