package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"quickthorn/planner/prose"
	"quickthorn/planner/setout"
	"quickthorn/planner/wood"
)

// woodStops are what has to be asked before anything else is done to a section: wires and ash.
func (r *Report) woodStops(s *wood.Section) []string {
	var out []string
	if near, _, says, src := wood.NearWires(r.Set, s); near {
		out = append(out, fmt.Sprintf("An overhead line runs %.0f m away, nearer than %s: ask its operator before any work. [%s]", s.WiresM, says, source(src)))
	}
	if wood.HasAsh(s) {
		out = append(out, "Ash stands here. With dieback it is brittle and no job for one person with a saw: have a qualified tree surgeon look first.")
	}
	return out
}

// WriteWood writes the rota and the balance for a person to read.
func (r *Report) WriteWood(w io.Writer, res *wood.Result, opt TextOptions) error {
	if opt.Width <= 0 {
		opt.Width = prose.DefaultWidth
	}
	return wood.WriteText(w, res, opt.Width)
}

// WriteWinter writes one winter's work as text: when what may be done, the sections to cut, what they give, and the cautions. What
// stops the work comes first. A winter outside the rota gets its dates and no sections.
func (r *Report) WriteWinter(w io.Writer, res *wood.Result, winter int, opt TextOptions) error {
	t := newText(r, opt)
	s := res.CuttingSheet(r.WoodInput(), winter, opt.Date)
	t.line(t.paint.Bold(prose.Short(prose.Clean(r.Plan.Holding.Name), t.width)))
	said := fmt.Sprintf("The work of the winter of %d to %d.", winter, winter+1)
	if opt.Date != "" {
		said += " " + prose.Clean(opt.Date) + "."
	}
	t.wrap(said, "", "")
	for _, c := range s.Sections {
		for _, stop := range c.Stop {
			t.wrap(prose.Clean(c.ID)+". "+prose.Clean(stop), "! ", "  ")
		}
	}
	t.seasons(res.Calendar, winter)
	t.cutting(s, nextCutting(res, winter))
	if len(s.Sections) > 0 {
		t.afterwards(s)
	}
	_, err := io.WriteString(w, t.b.String())
	return err
}

// afterwards is what goes with any cutting: what stays, what to bring, what to look up and to look out for.
func (t *text) afterwards(s wood.CuttingSheet) {
	var prompts, cautions []string
	for _, p := range s.Prompts {
		prompts = append(prompts, withSource(p.Text, source(p.Source)))
	}
	for _, c := range s.Cautions {
		cautions = append(cautions, withSource(c.Text, source(c.Source)))
	}
	for _, l := range []struct {
		title string
		of    []string
	}{{"Leave standing", s.Leave}, {"Tools", s.Tools}, {"Afterwards", s.After}, {"Look up before you cut", prompts}, {"Cautions", cautions}} {
		if len(l.of) == 0 {
			continue
		}
		t.section(l.title)
		for _, say := range l.of {
			t.wrap(prose.Clean(say), "  - ", "    ")
		}
	}
}

func withSource(text, source string) string {
	if source == "" {
		return text
	}
	return text + " [" + source + "]"
}

// nextCutting is the first winter after another in which something is cut, 0 where there is none.
func nextCutting(res *wood.Result, winter int) int {
	for _, w := range res.Winters {
		if w.Winter > winter && len(w.Cut) > 0 {
			return w.Winter
		}
	}
	return 0
}

// seasons tells when in a winter what may be done.
func (t *text) seasons(c wood.Calendar, winter int) {
	if c.Says != "" {
		t.section("Dates")
		t.wrap(c.Says+".", "  ", "  ")
		return
	}
	rows := [][]string{}
	var by []string
	for _, s := range calendarOf(c) {
		from, until := wood.DateIn(s.of.From, winter), wood.DateIn(s.of.Until, winter)
		if s.what == "closed" {
			from, until = closedDates(s.of, winter)
		}
		rows = append(rows, []string{upper(s.say), from + " to " + until})
		if said := source(s.of.Source); said != "" && !slices.Contains(by, said) {
			by = append(by, said)
		}
	}
	t.table(fmt.Sprintf("Dates by the rules of %q", c.RuleSet), rows)
	if c.Exception != "" {
		t.wrap("Exceptions: "+prose.Clean(c.Exception)+".", "  ", "  ")
	}
	if len(by) > 0 {
		t.wrap("By: "+strings.Join(by, "; ")+".", "  ", "  ")
	}
	t.wrap("A nest in use or being built is protected at any date: look before every cut from February to August.", "  ", "  ")
}

// closedDates are the first and last day of the closed season after a winter: of the spring and summer that follow it.
func closedDates(w wood.Window, winter int) (from, until string) {
	until = wood.DateIn(w.Until, 0)
	if winter > 0 {
		until = fmt.Sprintf("%s %d", until, winter+1)
	}
	return wood.DateIn(w.From, winter), until
}

// cutting tells the sections of a winter and what they give; where there are none, the next winter that has some.
func (t *text) cutting(s wood.CuttingSheet, next int) {
	t.section("To cut")
	if len(s.Sections) == 0 {
		say := "Nothing is cut in this winter"
		if next > 0 {
			say += fmt.Sprintf("; the next cut is in winter %d", next)
		}
		t.wrap(say+".", "  ", "  ")
		return
	}
	size := fmt.Sprintf("%.1f m of hedge", s.TotalM)
	switch {
	case s.TotalM2 > 0 && s.TotalM <= 0:
		size = fmt.Sprintf("%.1f m2 of coppice", s.TotalM2)
	case s.TotalM2 > 0:
		size += fmt.Sprintf(" and %.1f m2 of coppice", s.TotalM2)
	}
	gives := fmt.Sprintf("%s. Expect %s m3 of logs, stacked at %.0f cm, and %s m3 of loose chip", size, lowHigh(s.Stacked), 100*s.LogM, lowHigh(s.Chip))
	if s.Ready > 0 {
		gives += fmt.Sprintf("; the logs are dry by winter %d", s.Ready)
	}
	t.wrap(gives+".", "  ", "  ")
	rows := [][]string{{"section", "from m", "to m", "size", "how", "name"}}
	for _, c := range s.Sections {
		size := fmt.Sprintf("%.1f m", c.LengthM)
		if c.AreaM2 > 0 {
			size = fmt.Sprintf("%.1f m2", c.AreaM2)
		}
		rows = append(rows, []string{prose.Short(prose.Clean(c.ID), 24), fmt.Sprintf("%.1f", c.FromM), fmt.Sprintf("%.1f", c.ToM), size,
			fmt.Sprintf("%s, %d years", c.Method, c.Age), prose.Short(prose.Clean(c.Name), 32)})
	}
	t.b.WriteString(prose.Table(rows, "  ", t.width, 1, 2, 3))
	for _, c := range s.Sections {
		t.wrap(sectionWords(c), "  - ", "    ")
	}
	for _, f := range s.Fills {
		if f.Action == setout.CloseByLaying {
			t.wrap(fmt.Sprintf("Close the gap beside %s now, %s.", prose.Clean(f.Section), f.Words()), "  - ", "    ")
			continue
		}
		t.wrap(fmt.Sprintf("Fill the gap beside %s now, from %.1f to %.1f m: %s.", prose.Clean(f.Section), f.FromM, f.ToM, plantWords(f.Plants)), "  - ", "    ")
	}
}

// sectionWords tells a section in the field: where it begins and ends, how it is cut and when.
func sectionWords(c wood.SheetSection) string {
	say := prose.Clean(c.ID) + ":"
	switch {
	case c.From != "" && c.To != "":
		say += fmt.Sprintf(" begins %s, ends %s.", prose.Clean(c.From), prose.Clean(c.To))
	case c.From != "" || c.To != "":
		say += fmt.Sprintf(" lies %s.", prose.Clean(c.From+c.To))
	default:
		say += " measure from the start of the line."
	}
	say += " Cut " + c.CutHeight + "."
	if c.When != "" {
		say += " " + upper(c.When) + "."
	}
	if c.Mix != "" {
		say += " Mix: " + prose.Clean(c.Mix) + "."
	}
	return say
}

// lowHigh writes a range as its middle and, in brackets, low and high.
func lowHigh(r wood.Range) string { return fmt.Sprintf("%.1f (%.1f to %.1f)", r.Mid, r.Low, r.High) }
