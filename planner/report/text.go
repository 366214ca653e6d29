package report

import (
	"fmt"
	"io"
	"strings"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/check"
	"quickthorn/planner/prose"
	"quickthorn/planner/setout"
)

// TextOptions say how wide the text may be (0: 80) and whether it is coloured.
type TextOptions struct {
	Width int
	Paint prose.Paint
	Date  string // printed at the top where given
}

// severityWords are what the user reads in place of stop, warn and note.
var severityWords = map[planner.Severity]string{planner.Stop: "MEND FIRST", planner.Warn: "LOOK AGAIN", planner.Note: "WORTH KNOWING"}

// WriteText writes the report to be read by a person: what is there, then the findings from the gravest, each with what, where,
// measured against limit, what to do, and its source in short.
func (r *Report) WriteText(w io.Writer, opt TextOptions) error {
	t := newText(r, opt)
	t.heading(opt.Date)
	t.land()
	t.linesAndGaps()
	t.belts()
	t.blocks()
	t.findings()
	t.totals()
	_, err := io.WriteString(w, t.b.String())
	return err
}

type text struct {
	r     *Report
	b     strings.Builder
	width int
	paint prose.Paint
	cares map[string]int // cautions told already, with the number of the finding
}

func (t *text) line(s string)              { t.b.WriteString(s + "\n") }
func (t *text) wrap(s, first, rest string) { t.line(prose.Wrap(s, t.width, first, rest)) }

func (t *text) section(title string) { t.line("\n" + t.paint.Bold(title)) }

func (t *text) heading(date string) {
	h := &t.r.Plan.Holding
	t.line(t.paint.Bold(prose.Short(prose.Clean(h.Name), t.width)))
	said := fmt.Sprintf("Plan %s, checked by the rule set %q. Wind from %s.", prose.Clean(t.r.File), t.r.SetName, compass(h.WorstWindDeg()))
	if h.PlantingWinter > 0 {
		said += fmt.Sprintf(" Planting in the winter of %d to %d.", h.PlantingWinter, h.PlantingWinter+1)
	}
	if date != "" {
		said += " " + prose.Clean(date) + "."
	}
	t.wrap(said, "", "")
	for _, l := range t.r.Loosened {
		if l.Applied {
			t.wrap(fmt.Sprintf("Set looser by you: %s %s is %s (was %s), because: %s", l.Limit.Rule, l.Limit.Name, l.Limit, l.Was, prose.Clean(l.Reason)), "! ", "  ")
		}
	}
}

// land tells parcels and beds with their ground.
func (t *text) land() {
	rows := [][]string{}
	for _, a := range t.r.areas() {
		if a.Kind != "parcel" && a.Kind != "bed" {
			continue
		}
		size := "not measured"
		if a.AreaM2 != nil {
			size = areaWords(*a.AreaM2)
		}
		rows = append(rows, []string{kindTitle(a.Kind), t.name(a.ID), size, t.ground(a), plantWords(a.Plants)})
	}
	t.table("The land", rows, 2)
}

// ground says how much of an area is of which class, wettest last.
func (t *text) ground(a jsonArea) string {
	var parts []string
	for _, m := range planner.Moistures {
		v, ok := a.MoistureM2[string(m)]
		switch {
		case !ok:
		case a.AreaM2 != nil && v >= *a.AreaM2-0.01:
			parts = append(parts, string(m))
		default:
			parts = append(parts, areaWords(v)+" "+string(m))
		}
	}
	return strings.Join(parts, ", ")
}

func (t *text) linesAndGaps() {
	var lines []*setout.Layout
	for _, l := range t.r.Out.Layouts {
		if l.Line != nil {
			lines = append(lines, l)
		}
	}
	if len(lines) == 0 {
		return
	}
	t.section("Hedges, windbreaks and rows")
	rows := [][]string{}
	for _, l := range lines {
		n := 0
		for i := range l.Plants {
			if l.Plants[i].Listed {
				n++
			}
		}
		what := "standing"
		if l.Feature.IsPlanned() {
			what = "to plant"
		}
		gaps := ""
		if len(l.Line.Openings) > 0 {
			gaps = fmt.Sprintf("%.1f %% open", l.Line.GapPercent)
		}
		rows = append(rows, []string{kindTitle(string(l.Feature.Kind)), t.name(l.Feature.ID), what, fmt.Sprintf("%.1f m", l.Line.LengthM), plantWords(n), gaps})
	}
	t.b.WriteString(prose.Table(rows, "  ", t.width, 3, 4))
	for _, l := range lines {
		t.openings(l)
	}
}

func (t *text) openings(l *setout.Layout) {
	if len(l.Line.Openings) == 0 {
		return
	}
	rows := [][]string{}
	for _, o := range l.Line.Openings {
		rows = append(rows, []string{fmt.Sprintf("%.1f to %.1f m", o.FromM, o.ToM), fmt.Sprintf("%.1f m", o.Length()), t.action(o)})
	}
	t.line("")
	t.wrap("Openings in "+t.name(l.Feature.ID)+", by distance from where it was drawn first:", "  ", "  ")
	t.b.WriteString(prose.Table(rows, "    ", t.width, 1))
}

func (t *text) action(o setout.Opening) string {
	switch o.Action {
	case setout.LeaveOpen:
		if o.Gateway != "" {
			return "gateway " + t.name(o.Gateway) + ": left open"
		}
		return "left open"
	case setout.CloseByLaying:
		return "the neighbours close it when laid"
	case setout.NewHedge:
		return fmt.Sprintf("long enough to be a new hedge of its own: %d plants", o.Would)
	}
	if o.Plants == 0 {
		return fmt.Sprintf("to fill: it would take %d plants (no fill_mix given)", o.Would)
	}
	return fmt.Sprintf("fill with %d plants", o.Plants)
}

func (t *text) belts() {
	belts := check.Belts(t.r.Input())
	if len(belts) == 0 {
		return
	}
	t.section("Windbreaks in year 20")
	for _, b := range belts {
		s := fmt.Sprintf("%s: %.0f m long, ", t.name(b.Feature.ID), b.LengthM)
		if b.HeightYear20.Known {
			s += fmt.Sprintf("about %.1f m high (%s), %.1f heights long; ", b.HeightYear20.V, b.HeightYear20.Source.Confidence, b.LengthM/b.HeightYear20.V)
		} else {
			s += "height not known; "
		}
		if b.DensityKnown {
			when := ""
			if t.r.Year > 0 {
				when = fmt.Sprintf(" in year %d", b.DensityYear)
			}
			s += fmt.Sprintf("about %.0f\u00a0%% dense in leaf and %.0f\u00a0%% bare%s; ", b.DensityLeafOn, b.DensityLeafOff, when)
		}
		s += fmt.Sprintf("%.0f degrees off square to the wind.", b.AngleOffSquareDeg)
		for _, p := range b.Protects {
			if p.Known {
				s += fmt.Sprintf(" %.0f\u00a0%% of %s lies in its shelter.", p.InsidePercent, t.name(p.ID))
			}
		}
		t.wrap(s, "  ", "    ")
	}
}

func (t *text) blocks() {
	rows := [][]string{}
	for _, l := range t.r.Out.Layouts {
		f := l.Feature
		if f.Kind != planner.KindOrchard && f.Kind != planner.KindGrove {
			continue
		}
		size, how := "not measured", l.Failed
		if f.Sound {
			size = areaWords(geo.MultiArea(f.Shape.Polygons))
		}
		if how == "" {
			how = fmt.Sprintf("%s, %.2g m apart", l.Pattern, l.SpacingM)
			if l.RowSpaceM > 0 && l.RowSpaceM != l.SpacingM {
				how += fmt.Sprintf(", rows %.2g m", l.RowSpaceM)
			}
			if l.Pattern != "scatter" {
				how += fmt.Sprintf(", rows run %s", compass(l.BearingDeg))
			}
		}
		rows = append(rows, []string{kindTitle(string(f.Kind)), t.name(f.ID), size, plantWords(len(l.Plants)), how})
	}
	t.table("Orchards and groves", rows, 2, 3)
}

func (t *text) table(title string, rows [][]string, right ...int) {
	if len(rows) == 0 {
		return
	}
	t.section(title)
	t.b.WriteString(prose.Table(rows, "  ", t.width, right...))
}

func (t *text) findings() {
	n := 0
	for _, sev := range planner.Severities {
		var list []planner.Finding
		for _, f := range t.r.Findings {
			if f.Severity == sev && f.Accepted == nil {
				list = append(list, f)
			}
		}
		if len(list) == 0 {
			continue
		}
		t.section(fmt.Sprintf("%s (%d)", severityWords[sev], len(list)))
		for _, f := range list {
			n++
			t.finding(n, f)
		}
	}
	t.accepted(n)
}

func (t *text) finding(n int, f planner.Finding) {
	mark := map[planner.Severity]func(string) string{planner.Stop: t.paint.Red, planner.Warn: t.paint.Yellow, planner.Note: t.paint.Blue}[f.Severity]
	head := fmt.Sprintf("%3d ", n)
	body := prose.Wrap(prose.Clean(f.Message), t.width, head, "    ")
	t.line(mark(head) + strings.TrimPrefix(body, head))
	if m := measure(f); m != "" {
		t.wrap(m, "    ", "      ")
	}
	if f.Fix != nil {
		t.wrap("To do: "+prose.Clean(f.Fix.Say), "    ", "      ")
	}
	for _, c := range f.Cautions {
		t.care(n, c)
	}
	t.line(t.paint.Dim(prose.Wrap("Rule "+f.Rule+". Source: "+source(f.Source)+".", t.width, "    ", "      ")))
}

// care prints a caution in full the first time, and afterwards where it was printed.
func (t *text) care(n int, caution string) {
	if t.cares == nil {
		t.cares = map[string]int{}
	}
	if at, told := t.cares[caution]; told && len(caution) > 60 {
		if at != n {
			t.wrap(fmt.Sprintf("Take care: as at %d.", at), "    ", "      ")
		}
		return
	}
	t.cares[caution] = n
	t.wrap("Take care: "+caution, "    ", "      ")
}

func (t *text) accepted(n int) {
	first := true
	for _, f := range t.r.Findings {
		if f.Accepted == nil {
			continue
		}
		if first {
			t.section("You live with these")
			first = false
		}
		n++
		t.wrap(prose.Clean(f.Message), fmt.Sprintf("%3d ", n), "    ")
		why := "Accepted, because: " + prose.Clean(f.Accepted.Reason)
		if f.Accepted.Date != "" {
			why += " (" + prose.Clean(f.Accepted.Date) + ")"
		}
		t.wrap(why, "    ", "      ")
	}
}

// measure says the figure against its limit. A bare count of plants stands in the message already.
func measure(f planner.Finding) string {
	if f.Measured == nil || f.Limit == nil && f.Unit == "plants" {
		return ""
	}
	unit := ""
	if f.Unit != "" {
		unit = "\u00a0" + unitWords(f.Unit)
	}
	s := "Measured " + figure(*f.Measured) + unit
	if f.Limit != nil {
		s += ", limit " + figure(*f.Limit) + unit
	}
	return s + "."
}

func unitWords(u string) string {
	switch u {
	case "percent":
		return "%"
	case "deg":
		return "degrees"
	}
	return u
}

func figure(v float64) string {
	s := fmt.Sprintf("%.2f", v)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}

func source(s planner.Source) string {
	text := strings.TrimSuffix(s.Text, ".")
	if text == "" {
		return string(s.Confidence)
	}
	if s.Confidence != "" && s.Confidence != planner.Published {
		text += " (" + string(s.Confidence) + ")"
	}
	return text
}

func (t *text) totals() {
	c := t.r.Count()
	listed := t.r.Out.Listed()
	t.section("In short")
	t.wrap(fmt.Sprintf("%s to order. %d to mend first, %d to look at again, %d worth knowing, %d accepted.", upper(plantWords(listed)), c.Stop, c.Warn, c.Note, c.Accepted), "  ", "  ")
	t.wrap("For a whole rule with its sources and cautions: quickthorn check --explain RULE", "  ", "  ")
}

func upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// name is what a feature is called in the text, short enough for a column.
func (t *text) name(id string) string {
	s := id
	if f := t.r.Plan.Feature(id); f != nil && f.Name != "" {
		s = f.Name
	}
	return prose.Short(prose.Clean(s), 32)
}

func kindTitle(k string) string {
	if s, ok := planner.SpecOf(planner.Kind(k)); ok {
		return s.Title
	}
	return k
}

// areaWords gives hectares from a quarter hectare up, else square metres.
func areaWords(m2 float64) string {
	if m2 >= 2500 {
		return fmt.Sprintf("%.2f ha", m2/10000)
	}
	return fmt.Sprintf("%.0f m2", m2)
}

func plantWords(n int) string {
	switch n {
	case 0:
		return "no plants"
	case 1:
		return "1 plant"
	}
	return fmt.Sprintf("%d plants", n)
}

// compass names a bearing by the nearest of sixteen points, with its degrees.
func compass(deg float64) string {
	points := []string{"north", "north-north-east", "north-east", "east-north-east", "east", "east-south-east", "south-east", "south-south-east",
		"south", "south-south-west", "south-west", "west-south-west", "west", "west-north-west", "north-west", "north-north-west"}
	i := int((deg+11.25)/22.5) % len(points)
	if i < 0 {
		i += len(points)
	}
	return fmt.Sprintf("%s (%.0f degrees)", points[i], deg)
}
