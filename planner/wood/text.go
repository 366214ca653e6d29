package wood

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/prose"
)

// WriteText writes the result for a terminal of width columns (0 is 80): the holding in plain words, a table of the winters, the
// sections with their winters, and what to look out for.
func WriteText(w io.Writer, r *Result, width int) error {
	if width <= 0 {
		width = 80
	}
	var b strings.Builder
	say := func(s string) { b.WriteString(prose.Wrap(s, width, "", "") + "\n") }
	say("Wood of " + prose.Short(prose.Clean(r.Holding), 80))
	b.WriteString("\n")
	for _, s := range r.Summary() {
		say(s)
	}
	if len(r.Sections) > 0 {
		b.WriteString("\n")
		say("What is cut, by middle figures: dry wood in tonnes, logs stacked, heat that is of use in the house, chip loose")
		b.WriteString(prose.Table(r.cutRows(), "", width, 0, 1, 2, 3, 4, 5, 6, 7))
		b.WriteString("\n")
		say("Winter by winter, by middle figures: heat in kWh from dry logs, chip in m3 loose")
		b.WriteString(prose.Table(r.winterRows(), "", width, 0, 1, 2, 3, 4, 5, 6, 7, 8))
		b.WriteString("\nSections\n")
		b.WriteString(prose.Table(r.sectionRows(), "", width, 1, 2))
		b.WriteString("\n")
		say("A kilowatt-hour of useful heat, in grams of carbon dioxide (net and gross are not to be compared)")
		rows, sources := r.fuelRows()
		b.WriteString(prose.Table(rows, "", 0, 4))
		say("Sources: " + strings.Join(sources, "; ") + ".")
	}
	lists := []struct {
		head string
		of   []string
	}{{"Notes", r.otherNotes()}, {"Look up before you cut", r.promptWords()}, {"Cautions", r.cautionWords()}}
	for _, l := range lists {
		if len(l.of) == 0 {
			continue
		}
		b.WriteString("\n" + l.head + "\n")
		for _, s := range l.of {
			b.WriteString(prose.Wrap(prose.Clean(s), width, "- ", "  ") + "\n")
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// Summary tells the balance in plain words, under a page: a sentence or two each for what is cut, heat, chip, carbon.
func (r *Result) Summary() []string {
	if len(r.Sections) == 0 && len(r.LeftOut) > 0 {
		return []string{"Nothing can be reckoned yet: " + strings.Join(r.LeftOut, "; ") + "."}
	}
	if len(r.Sections) == 0 {
		return []string{"Nothing is cut for wood: no hedge is managed by coppicing or laying, and no grove is coppiced."}
	}
	out := []string{r.cutWords()}
	out = append(out, r.heatWords()...)
	out = append(out, r.chipWords()...)
	for _, c := range r.Conflicts {
		out = append(out, c.Message)
	}
	return append(out, r.calendarWords()...)
}

func (r *Result) cutWords() string {
	q := r.Rota
	n := len(r.Winters)
	never := 0
	for _, c := range r.Cuts {
		if len(c) == 0 {
			never++
		}
	}
	sum := 0.0
	for _, w := range r.Winters {
		sum += w.CutM
	}
	s := fmt.Sprintf("%s, from winter %d to %d: ", count(len(r.Sections), "section"), r.First, r.First+n-1)
	if q.AreaControlM > 0 {
		s += fmt.Sprintf("%.0f to %s m of hedge are cut a winter, %s m on average (length over usual age is %s m); at most %.1f percent of the %.0f m of hedge in one winter, where %g percent is the limit, or one section.",
			q.LeastM, whole(q.GreatestM), whole(sum/float64(n)), whole(q.AreaControlM), q.GreatestShare, q.HedgeM, q.ShareLimit)
	} else {
		s += r.groveWords()
	}
	if never > 0 {
		s += fmt.Sprintf(" %s %s never cut in that time", count(never, "section"), verb(never, "is", "are"))
		if r.Heat.WantedKWh > 0 && q.TargetT < q.SustainedT-1e-9 {
			s += ", because more grows than the house wants: sell logs, make more chip, or let them grow to trees"
		}
		s += "."
	}
	if q.Exact {
		s += " No rota is better by the measure used."
	}
	return s
}

// heatWords says whether the house is heated.
func (r *Result) heatWords() []string {
	if r.NoLogs {
		return []string{r.chippedWords()}
	}
	made := mean(r, func(w Winter) Range { return w.Made })
	dry, stacked := mean(r, func(w Winter) Range { return w.Dry }), mean(r, func(w Winter) Range { return w.LogsStacked })
	s := fmt.Sprintf("That is %s t of dry wood a year; its logs are %s m3 stacked (%.0f cm logs) and give %s kWh of heat from a stove of %.0f percent.",
		spread(dry, 1), spread(stacked, 1), 100*r.Options.LogM, spread(made, 0), 100*r.Heat.Efficiency)
	out := []string{s}
	want := r.Heat.WantedKWh
	if want <= 0 {
		return append(out, r.storeWords())
	}
	f := r.Shortfall
	switch {
	case f.KWh <= 0.5:
		s = fmt.Sprintf("The house is heated: %.0f kWh are wanted a year, and from winter %d on there is enough dry wood every winter, by the middle figures.", want, f.From)
	case f.KWh < 0.1*want:
		s = fmt.Sprintf("The house is nearly heated: %.0f kWh are wanted a year and, from winter %d on, %.0f kWh a year (%s) are lacking on average, by the middle figures.", want, f.From, f.KWh, percentWords(100*f.KWh/want))
	default:
		s = fmt.Sprintf("The wood does not heat the house: %.0f kWh are wanted a year and, from winter %d on, %.0f kWh a year (%.0f percent) are lacking on average, by the middle figures. No more can be cut than grows.",
			want, f.From, f.KWh, 100*f.KWh/want)
	}
	if f.Until > 0 {
		s += fmt.Sprintf(" Before that no logs of this rota are dry: %s from the store or bought.", count(f.Until, "winter"))
	}
	if len(f.ClosedBy) > 0 {
		var ways []string
		for _, c := range f.ClosedBy {
			ways = append(ways, fmt.Sprintf("%.0f %s of %s", c.Quantity, c.Unit, c.What))
		}
		s += " It would be closed by " + strings.Join(ways, ", or ") + "."
	}
	low := 0
	for _, w := range r.Winters[min(f.Until, len(r.Winters)):] {
		if w.Short.Low > 0.5 {
			low++
		}
	}
	if f.KWh <= 0.5 && low > 0 {
		s += fmt.Sprintf(" By the low figures %s would run short.", count(low, "winter"))
	}
	return append(out, s, r.storeWords())
}

func (r *Result) storeWords() string {
	if r.Store.Years == 0 {
		return "No logs are made, so no store is needed."
	}
	dry := map[int][]string{}
	for _, w := range r.Woods {
		after := w.Safe
		if r.Options.Stacking == Good {
			after = w.Good
		}
		dry[after] = append(dry[after], w.Name)
	}
	var parts []string
	for k := 1; k <= mostWinters; k++ {
		if len(dry[k]) > 0 {
			parts = append(parts, fmt.Sprintf("%s %s after %s", strings.Join(dry[k], ", "), verb(len(dry[k]), "is", "are"), count(k, "summer")))
		}
	}
	return fmt.Sprintf("Dry at 20 percent (%s drying): %s. The store holds %s: %s m3 stacked on %s m2.", r.Options.Stacking, strings.Join(parts, "; "),
		count(r.Store.Years, "winter")+"' logs", small(r.Store.StackedM3), small(r.Store.FloorM2))
}

// chipWords says whether the chip is enough, and what to do with what is over or lacking.
func (r *Result) chipWords() []string {
	made, left := mean(r, func(w Winter) Range { return w.Chip }), mean(r, func(w Winter) Range { return w.Left })
	short, needed, worst := 0.0, 0.0, 0
	for i, w := range r.Winters {
		short += w.ChipShort.Mid
		needed += w.Needed
		if w.ChipShort.Mid > r.Winters[worst].ChipShort.Mid {
			worst = i
		}
	}
	n := float64(len(r.Winters))
	s := fmt.Sprintf("Chip: %s m3 loose a year are made and %.1f m3 wanted", spread(made, 1), needed/n)
	switch {
	case needed == 0:
		s = fmt.Sprintf("Chip: %s m3 loose a year are made and none is wanted", spread(made, 1))
		s += "; say what is wanted (chip_use) or plant something to mulch."
	case short < 0.05:
		s += ", and every use gets all it asks for."
	default:
		w := r.Winters[worst]
		s += fmt.Sprintf(". %.1f m3 a year are lacking on average, most in winter %d (%.1f m3): buy that in, or plant over more winters.", short/n, w.Winter, w.ChipShort.Mid)
	}
	if left.Mid >= 0.05 {
		when := ""
		if short >= 0.05 {
			when = ", mostly in winters that want less"
		}
		s += fmt.Sprintf(" %.1f m3 a year are left"+when+": more mulch first, then browns for the compost, then bedding if it is dry; else it lies as a dead hedge.", left.Mid)
	}
	if kept := r.keptBack(); kept != "" {
		s += " " + kept
	}
	return []string{s, r.carbonWords()}
}

// keptBack says why a winter may have chip left and lack some all the same; "" where none does.
func (r *Result) keptBack() string {
	var names []string
	for _, w := range r.Woods {
		if len(w.KeptOut) > 0 {
			names = append(names, w.Name)
		}
	}
	for _, w := range r.Winters {
		if len(names) > 0 && w.Left.Mid >= 0.05 && w.ChipShort.Mid >= 0.05 {
			return fmt.Sprintf("In winter %d %.1f m3 are left though %.1f m3 are lacking: chip of %s is kept out of that use, the notes say why.",
				w.Winter, w.Left.Mid, w.ChipShort.Mid, strings.Join(names, ", "))
		}
	}
	return ""
}

func (r *Result) carbonWords() string {
	c := r.Carbon
	s := fmt.Sprintf("Carbon, four numbers that are not to be added up: %.1f t CO2 stand in these sections now; %.2f t a year are cut; %.2f t a year grow back.", c.Standing, c.Cut, c.Regrowth)
	if r.NoLogs {
		s += " No heat is made, so no fuel is saved."
	} else if r.Heat.WantedKWh <= 0 {
		s += " What fuel the heat stands in for is not known: state heat_kwh_per_year."
	} else if c.Fuel.Kg > 0 {
		year := ""
		if c.Fuel.Year > 0 {
			year = fmt.Sprintf(" %d", c.Fuel.Year)
		}
		s += fmt.Sprintf(" The heat stands in for %.2f t a year of %s (%s%s, %g kg a kWh %s, boiler of %.0f percent).", c.Displaced, c.Fuel.Words, c.Fuel.Country, year, c.Fuel.Kg, c.Fuel.Basis, 100*figure("old_boiler").Mid)
	}
	return s + fmt.Sprintf(" Burning wood gives off about %g kg a kWh at the flue, as much as coal: only regrowth takes it back, and no claim of neutrality is made.", figure("stack_co2").Mid)
}

func (r *Result) calendarWords() []string {
	c := r.Calendar
	if c.Says != "" {
		return []string{c.Says + "."}
	}
	if c.Closed.From == "" {
		return nil
	}
	part := func(what string, w Window) string {
		if w.From == "" {
			return what + ": no day is open"
		}
		return fmt.Sprintf("%s %s to %s", what, DateIn(w.From, r.First), DateIn(w.Until, r.First))
	}
	s := fmt.Sprintf("Winter %d by the rules of %q: %s; %s; bare-root planting %s to %s. Hedges are not cut or trimmed from %s to %s; nests in use are protected at any date.",
		r.First, c.RuleSet, part("coppice", c.Coppice), part("lay", c.Lay), DateIn(c.BareRoot.From, r.First), DateIn(c.BareRoot.Until, r.First),
		DateIn(c.Closed.From, 0), DateIn(c.Closed.Until, 0))
	if c.Exception != "" {
		s += " Exceptions: " + c.Exception + "."
	}
	return []string{s}
}

// cutRows are the winters in which something is cut.
func (r *Result) cutRows() [][]string {
	rows := [][]string{{"winter", "hedge m", "grove m2", "dry t", "logs m3", "dry enough", "heat kWh", "chip m3"}}
	for _, w := range r.Winters {
		if len(w.Cut) == 0 {
			continue
		}
		ready := "-"
		if w.ReadyWinter > 0 {
			ready = fmt.Sprint(w.ReadyWinter)
		}
		rows = append(rows, []string{fmt.Sprint(w.Winter), decimal(w.CutM, 0), decimal(w.CutM2, 0), decimal(w.Dry.Mid, 2), decimal(w.LogsStacked.Mid, 1), ready, decimal(w.Made.Mid, 0), decimal(w.Chip.Mid, 1)})
	}
	return rows
}

// winterRows are the heat and the chip of every winter: in the first, what the rota gives is not dry yet.
func (r *Result) winterRows() [][]string {
	rows := [][]string{{"", "heat:", "", "", "", "chip:", "", "", ""}, {"winter", "newly dry", "used", "lacking", "left over", "made", "wanted", "lacking", "left over"}}
	for _, w := range r.Winters {
		rows = append(rows, []string{fmt.Sprint(w.Winter), decimal(w.Ready.Mid, 0), decimal(w.Burned.Mid, 0), decimal(w.Short.Mid, 0), decimal(w.Carried.Mid, 0),
			decimal(w.Chip.Mid, 1), decimal(w.Needed, 1), decimal(w.ChipShort.Mid, 1), decimal(w.Left.Mid, 1)})
	}
	return rows
}

// decimal writes a number with so many decimals.
func decimal(v float64, decimals int) string { return fmt.Sprintf("%.*f", decimals, v) }

func (r *Result) sectionRows() [][]string {
	rows := [][]string{{"section", "from m", "to m", "method", "grown since", "cut in"}}
	for i := range r.Sections {
		s := &r.Sections[i]
		cuts := "never"
		if len(r.Cuts[i]) > 0 {
			cuts = strings.Trim(strings.ReplaceAll(fmt.Sprint(r.Cuts[i]), " ", ", "), "[]")
		}
		rows = append(rows, []string{prose.Short(prose.Clean(s.ID), 24), fmt.Sprintf("%.0f", s.FromM), fmt.Sprintf("%.0f", s.ToM), s.Method, r.since(s), cuts})
	}
	return rows
}

// fuelRows compare a kilowatt-hour of heat from a boiler of 85 percent with one from wood in this stove; the sources are listed once.
func (r *Result) fuelRows() (rows [][]string, sources []string) {
	rows = [][]string{{"fuel", "country", "year", "basis", "g", "how sure"}}
	add := func(name, country, year, basis string, kg float64, src planner.Source) {
		rows = append(rows, []string{name, country, year, basis, fmt.Sprintf("%.0f", 1000*kg), string(src.Confidence)})
		if !slices.Contains(sources, src.Text) {
			sources = append(sources, src.Text)
		}
	}
	for _, c := range r.Comparison {
		year := "-"
		if c.Year > 0 {
			year = fmt.Sprint(c.Year)
		}
		add(c.Words, c.Country, year, c.Basis, c.KgPerKWhHeat, c.Fuel.Source)
	}
	for _, w := range []struct{ name, figure string }{{"wood, methane and nitrous oxide", "wood_ch4_n2o"}, {"wood, carbon dioxide at the flue", "stack_co2"}} {
		f := figure(w.figure)
		add(w.name, "United Kingdom", "2025", "net", f.Mid/r.Heat.Efficiency, f.Source)
	}
	return rows, sources
}

func (r *Result) promptWords() []string {
	var out []string
	for _, p := range r.Prompts {
		out = append(out, withSource(p.Text, p.Source.String()))
	}
	return out
}

func (r *Result) cautionWords() []string {
	var out []string
	for _, c := range r.Cautions {
		out = append(out, withSource(c.Text, c.Source.String()))
	}
	return out
}

func withSource(text, source string) string {
	if source == "" {
		return text
	}
	return text + " [" + source + "]"
}

// mean is the mean of a column over the winters.
func mean(r *Result, of func(Winter) Range) Range {
	var sum Range
	for _, w := range r.Winters {
		sum = sum.plus(of(w))
	}
	if len(r.Winters) == 0 {
		return sum
	}
	return sum.times(1 / float64(len(r.Winters)))
}

// spread writes a range as its middle and, in brackets, low and high.
func spread(r Range, decimals int) string {
	for r.Mid > 0 && decimals < 3 && r.Mid*math.Pow10(decimals) < 0.5 { // little is not told as nothing
		decimals++
	}
	return fmt.Sprintf("%.*f (%.*f to %.*f)", decimals, r.Mid, decimals, r.Low, decimals, r.High)
}

func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

func verb(n int, one, more string) string {
	if n == 1 {
		return one
	}
	return more
}
