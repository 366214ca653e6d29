package sheets

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/paper"
	"quickthorn/planner/setout"
)

// A part is a piece of a field sheet; PDF and HTML write the same parts.
type part struct {
	head    string // a heading that begins a sheet
	sub     string // a heading within it
	para    string
	small   string
	table   *paper.Table
	picture *picture
}

// A picture is a small plan of what is pegged out.
type picture struct {
	box   orb.Bound
	pegs  []peg
	about string          // id of the feature, "" where there are several
	named map[string]bool // ids of features that pegs stand for, whose names are in the table
}

// A peg is a place to be found with a tape.
type peg struct {
	Name string
	What string
	At   orb.Point
	M    float64 // chainage
}

// mostLines is the number of plants up to which each has a line of its own.
const mostLines = 40

// fewAlike is the number of plants of one kind, evenly spaced, from which they share a line in any row.
const fewAlike = 6

// A fieldBook gathers the sheets of a plan.
type fieldBook struct {
	in    Input
	fixed []Fixed
	parts []part
}

// fieldParts are the sheets for pegging out, in the order of the features: everything that has plants to be planted, and existing
// hedges with gaps.
func fieldParts(in Input) []part {
	b := &fieldBook{in: in, fixed: FixedPoints(in)}
	b.intro()
	b.notSetOut()
	before := len(b.parts)
	var singles []*setout.Layout
	for _, l := range in.Out.Layouts {
		switch {
		case l.Feature.Kind == planner.KindPlant:
			if listed(l) > 0 {
				singles = append(singles, l)
			}
		case l.Line != nil && (listed(l) > 0 || standingGaps(l)):
			b.lineSheet(l)
		case l.Line == nil && listed(l) > 0:
			b.blockSheet(l)
		}
	}
	b.singles(singles)
	if len(b.parts) == before {
		b.add(part{para: "Nothing is to be pegged out."})
	}
	return b.parts
}

func (b *fieldBook) add(p ...part) { b.parts = append(b.parts, p...) }

func (b *fieldBook) intro() {
	b.add(part{small: "Lengths are metres on level ground: hold the tape level, or the row comes out short on a slope. Bearings are degrees clockwise from true north; " +
		"a compass points to magnetic north: allow for the local difference, or sight along the pegs. Chainage runs along the line from its start peg; left and right are as seen when walking from the start. " +
		"Before you dig or drive pegs, find out where pipes and cables run. No long poles or tapes of metal within 10 m of overhead wires. " +
		"Check each peg by a second length before you plant: the plan is no better than the drawing."})
}

// notSetOut says what is to be planted and has no sheet, since sheets made from part of a plan must not look whole.
func (b *fieldBook) notSetOut() {
	for _, l := range b.in.Out.Layouts {
		if l.Failed != "" && l.Feature.IsPlanned() {
			say := l.Feature.Label() + " has no sheet here, since it is not set out: " + l.WhyNot()
			b.add(part{para: paper.Fit(firstUpper(say), paper.Regular)})
		}
	}
}

func listed(l *setout.Layout) int {
	n := 0
	for i := range l.Plants {
		if l.Plants[i].Listed {
			n++
		}
	}
	return n
}

func standingGaps(l *setout.Layout) bool {
	for _, o := range l.Line.Openings {
		if o.Gateway == "" && o.Length() > planner.Tolerance && !l.Feature.IsPlanned() {
			return true
		}
	}
	return false
}

// metres is a length to the centimetre, never a negative zero.
func metres(v float64) string { return strconv.FormatFloat(math.Round(v*100)/100+0, 'f', 2, 64) }

// lineSheet is the sheet of a hedge, a windbreak or a row.
func (b *fieldBook) lineSheet(l *setout.Layout) {
	f := l.Feature
	n := listed(l)
	state := ""
	if f.Kind == planner.KindHedge {
		state = map[bool]string{true: "new ", false: "standing "}[f.IsPlanned()]
	}
	b.add(part{head: firstUpper(f.Label())}, part{para: fmt.Sprintf("%s%s, %.1f m long, %s to plant.", firstUpper(state+string(f.Kind)), of(f.ID, f.Label()), l.Line.LengthM, plantsText(n))})
	pegs := linePegs(l)
	b.add(part{picture: &picture{box: pegBox(l, pegs), pegs: pegs, about: f.ID}})
	b.pegTable(l, pegs)
	b.gapTable(l)
	if n == 0 {
		return
	}
	b.rowTable(l)
	if f.Kind == planner.KindHedge {
		b.hedgePlants(l)
		return
	}
	for _, r := range rowsOf(l) {
		b.add(part{sub: fmt.Sprintf("Row %d: %s", r[0].Row+1, plantsText(len(r)))})
		b.plantLines(r)
	}
}

func firstUpper(s string) string {
	_, n := utf8.DecodeRuneInString(s)
	return strings.ToUpper(s[:n]) + s[n:]
}

// of says the id where it is not the name.
func of(id, label string) string {
	if strings.Contains(label, id) {
		return ""
	}
	return " (" + id + " in the plan)"
}

func plantsText(n int) string {
	if n == 1 {
		return "1 plant"
	}
	return thousands(n) + " plants"
}

// linePegs are the pegs of a line: its start, where it turns, where openings begin and end, its end.
func linePegs(l *setout.Layout) []peg {
	c := geo.NewChain(l.Line.Path)
	pegs := []peg{{What: "start", At: c.At(0)}}
	add := func(m float64, what string) {
		for i := range pegs {
			if math.Abs(pegs[i].M-m) < 0.05 {
				if !strings.Contains(pegs[i].What, what) {
					pegs[i].What += ", " + what
				}
				return
			}
		}
		pegs = append(pegs, peg{What: what, At: c.At(m), M: m})
	}
	for _, s := range c.Corners() {
		if geo.AngleBetweenDeg(c.BearingAtDeg(s-1e-6), c.BearingAtDeg(s)) >= 1 {
			add(s, "corner")
		}
	}
	for _, o := range l.Line.Openings {
		if o.Length() < planner.Tolerance {
			continue
		}
		what := "gap"
		if o.Gateway != "" {
			what = "gateway"
		}
		add(o.FromM, what+" begins")
		add(o.ToM, what+" ends")
	}
	add(c.Length(), "end")
	sortPegs(pegs)
	for i := range pegs {
		pegs[i].Name = pegName(i)
	}
	return pegs
}

func sortPegs(p []peg) {
	for i := 1; i < len(p); i++ {
		for k := i; k > 0 && p[k].M < p[k-1].M; k-- {
			p[k], p[k-1] = p[k-1], p[k]
		}
	}
}

func pegName(i int) string {
	if i < 26 {
		return string(rune('A' + i))
	}
	return string(rune('A'+i%26)) + strconv.Itoa(i/26)
}

// pegTable lists the pegs with bearing and length to the next, and ties of the start, of corners and of the end.
func (b *fieldBook) pegTable(l *setout.Layout, pegs []peg) {
	t := &paper.Table{Columns: []paper.Column{{Title: "", Share: 5}, {Title: "Peg", Share: 8}, {Title: "What", Share: 24}, {Title: "Chainage", Share: 16, Right: true},
		{Title: "To the next", Share: 17, Right: true}, {Title: "Bearing", Share: 15, Right: true}, {Title: "Tape to it", Share: 90}}}
	for i, p := range pegs {
		next, bearing := "", ""
		if i+1 < len(pegs) {
			next, bearing = metres(pegs[i+1].M-p.M), bearingText(geo.BearingDeg(p.At, pegs[i+1].At))
		}
		tie := "on the string, by its chainage"
		if i == 0 || i == len(pegs)-1 || strings.Contains(p.What, "corner") || !l.Feature.IsPlanned() {
			tie = TieOf(p.At, b.fixed).String()
		}
		t.Rows = append(t.Rows, []string{paper.Tick, p.Name, p.What, metres(p.M), next, bearing, tie})
	}
	b.add(part{sub: "Pegs"}, part{table: t})
}

// bearingText is a bearing to a tenth of a degree: a hair west of north is 0.0, not 360.0.
func bearingText(deg float64) string {
	return fmt.Sprintf("%.1f°", geo.NormBearing(math.Round(deg*10)/10))
}

// gapTable lists the openings.
func (b *fieldBook) gapTable(l *setout.Layout) {
	t := &paper.Table{Columns: []paper.Column{{Title: "", Share: 5}, {Title: "From", Share: 16, Right: true}, {Title: "To", Share: 16, Right: true}, {Title: "Width", Share: 16, Right: true},
		{Title: "What is done", Share: 60}, {Title: "Plants", Share: 14, Right: true}}}
	for _, o := range l.Line.Openings {
		if o.Length() < planner.Tolerance {
			continue
		}
		say := map[setout.Action]string{setout.Fill: "fill", setout.NewHedge: "too long for a gap: a hedge of its own", setout.LeaveOpen: "leave open", setout.CloseByLaying: "the neighbours close it when laid"}[o.Action]
		if o.Action == setout.Fill && o.Plants == 0 {
			say = fmt.Sprintf("fill: it would take %s; the plan names no mix for it", plantsText(o.Would))
		}
		if o.Gateway != "" {
			say = "gateway: leave open"
		}
		plants := ""
		if o.Plants > 0 {
			plants = strconv.Itoa(o.Plants)
		}
		t.Rows = append(t.Rows, []string{paper.Tick, metres(o.FromM), metres(o.ToM), metres(o.Length()), say, plants})
	}
	if len(t.Rows) > 0 {
		b.add(part{sub: "Gaps and gateways"}, part{table: t})
	}
}

// rowTable lists the rows of a line with their offsets and spacing.
func (b *fieldBook) rowTable(l *setout.Layout) {
	rows := rowsOf(l)
	t := &paper.Table{Columns: []paper.Column{{Title: "Row", Share: 10}, {Title: "Beside the line", Share: 40}, {Title: "Spacing in the row", Share: 30, Right: true},
		{Title: "First plant at", Share: 26, Right: true}, {Title: "Last plant at", Share: 26, Right: true}, {Title: "Plants", Share: 18, Right: true}}}
	for _, r := range rows {
		spacing := ""
		for _, line := range l.Rows {
			if line.Row == r[0].Row && line.SpacingM > 0 {
				spacing = metres(line.SpacingM)
			}
		}
		t.Rows = append(t.Rows, []string{strconv.Itoa(r[0].Row + 1), offsetText(r[0].Offset), spacing, metres(r[0].Chainage), metres(r[len(r)-1].Chainage), strconv.Itoa(len(r))})
	}
	b.add(part{sub: "Rows"}, part{table: t})
}

func offsetText(m float64) string {
	switch {
	case m > planner.Tolerance/2:
		return metres(m) + " m to the left"
	case m < -planner.Tolerance/2:
		return metres(-m) + " m to the right"
	}
	return "on the line"
}

// rowsOf are the listed plants, by row.
func rowsOf(l *setout.Layout) [][]*setout.Plant {
	var out [][]*setout.Plant
	for i := range l.Plants {
		p := &l.Plants[i]
		if !p.Listed {
			continue
		}
		if n := len(out); n == 0 || out[n-1][0].Row != p.Row {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], p)
	}
	return out
}

// called is what a plant is called on a sheet.
func called(p *setout.Plant) string {
	s := p.Name
	if p.Species != nil {
		s = p.Species.Name()
	}
	if s == "" {
		s = "kind not stated"
	}
	if p.Cultivar != "" {
		s += " '" + p.Cultivar + "'"
	}
	if p.Rootstock != "" {
		s += " on " + p.Rootstock
	}
	if p.Use == setout.UseTree {
		s += " (tree)"
	}
	return s
}
