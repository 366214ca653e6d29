package report

import (
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"quickthorn/planner"
	"quickthorn/planner/prose"
	"quickthorn/planner/species"
)

// A Fact is one thing the catalogue knows of a species, with where it comes from.
type Fact struct {
	Name       string `json:"name"`
	Value      string `json:"value"`
	Unit       string `json:"unit"`
	Source     string `json:"source"`
	Confidence string `json:"confidence"`
}

// An Entry is one species as `species` prints it.
type Entry struct {
	ID        string   `json:"id"`
	Botanical string   `json:"botanical"`
	English   []string `json:"english"`
	Habit     string   `json:"habit"`
	Purposes  []string `json:"purposes"`
	Facts     []Fact   `json:"facts"`
	Unknown   []string `json:"unknown"` // what the catalogue does not know of it
	// Where a ground or purpose was asked for:
	Verdict string   `json:"verdict,omitempty"`
	For     []string `json:"for,omitempty"`
	Against []string `json:"against,omitempty"`
	Barred  bool     `json:"barred,omitempty"`
}

// EntryOf tells all that the catalogue knows of a species, and names what it does not know.
func EntryOf(s *species.Species) Entry {
	e := Entry{ID: s.ID, Botanical: s.Botanical, English: s.English, Habit: string(s.Habit), Purposes: s.Purposes, Facts: []Fact{}, Unknown: []string{}}
	if e.Purposes == nil {
		e.Purposes = []string{}
	}
	add := func(known bool, name, value, unit string, src planner.Source) {
		if !known {
			e.Unknown = append(e.Unknown, name)
			return
		}
		e.Facts = append(e.Facts, Fact{Name: name, Value: value, Unit: unit, Source: src.Text, Confidence: string(src.Confidence)})
	}
	num := func(name string, n species.Num, unit string) { add(n.Known, name, trim(n.V), unit, n.Source) }
	rng := func(name string, r species.Range, unit string) { add(r.Known, name, rangeWords(r), unit, r.Source) }
	word := func(name string, w species.Word) { add(w.Known, name, w.V, "", w.Source) }
	rng("mature height", s.Height, "m")
	rng("mature spread", s.Spread, "m")
	num("greatest height listed", s.GreatestHeight, "m")
	for _, age := range []int{5, 10, 20} {
		h, ok := s.HeightAt[age]
		add(ok && h.Known, fmt.Sprintf("height at %d years", age), rangeWords(h), "m", h.Source)
	}
	word("growth", s.GrowthClass)
	for _, m := range planner.Moistures {
		fit := s.Suits(m)
		add(fit.Verdict != species.NoVerdict, "on "+string(m)+" ground", string(fit.Verdict), "", fit.Source)
	}
	num("Ellenberg F (wetness)", s.EllenbergF, "")
	num("Ellenberg R (reaction)", s.EllenbergR, "")
	num("waterlogging score, 1 to 5", s.WaterloggingTolerance, "")
	num("drought score, 1 to 5", s.DroughtTolerance, "")
	num("shade score, 1 to 5", s.ShadeTolerance, "")
	word("bears wind", s.Exposure)
	word("bears salt wind", s.Coastal)
	word("native in Britain", s.NativeBritain)
	word("native in Ireland", s.NativeIreland)
	word("evergreen", s.Evergreen)
	word("thorny", s.Thorny)
	for _, t := range s.Toxic {
		stock := t.Stock
		if stock == "" {
			stock = "stock"
		}
		add(true, "danger to "+stock, strings.TrimSpace(t.Class+" "+t.Part), "", t.Source)
	}
	for _, l := range s.Regulated {
		add(true, "law", l.Text+" ("+strings.Join(l.Countries, ", ")+")", "", l.Source)
	}
	word("disease", s.Disease)
	word("planting advice", s.PlantingAdvice)
	word("suckers", s.Suckers)
	word("water demand by foundations", s.WaterDemand)
	num("height in the foundation standard", s.NHBCHeight, "m")
	num("wood density", s.WoodDensity, "kg/m3")
	word("coppices", s.Coppices)
	rng("coppice rotation", s.CoppiceRotation, "years")
	for _, u := range species.Uses {
		if w, ok := s.Stock[u]; ok && w.Known {
			add(true, "usual stock for "+string(u), w.V, "", w.Source)
		}
	}
	return e
}

func trim(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func rangeWords(r species.Range) string {
	switch {
	case r.AtLeast:
		return "over " + trim(r.Low)
	case r.Low == r.High:
		return trim(r.Usual)
	}
	return fmt.Sprintf("%s (%s to %s)", trim(r.Usual), trim(r.Low), trim(r.High))
}

// Found is the answer to a query of the catalogue.
type Found struct {
	Query     string
	Entries   []Entry
	TellApart string // where the name fits several
	Ranked    bool   // best first, for a ground and a purpose
	Whole     bool   // one species asked for: everything is told
}

// Query looks species up: all of them for an empty name. A name nobody uses is a Problem that names the nearest.
func Query(cat *species.Catalogue, name string) (Found, error) {
	if strings.TrimSpace(name) == "" {
		f := Found{}
		for _, s := range cat.All() {
			f.Entries = append(f.Entries, EntryOf(s))
		}
		return f, nil
	}
	m := cat.Find(name)
	switch {
	case m.Species != nil:
		return Found{Query: name, Entries: []Entry{EntryOf(m.Species)}, Whole: true}, nil
	case m.Ambiguous != nil:
		f := Found{Query: name, TellApart: m.Ambiguous.TellApart}
		for _, s := range m.Ambiguous.Species {
			f.Entries = append(f.Entries, EntryOf(s))
		}
		return f, nil
	}
	var near []string
	for _, s := range m.Nearest {
		near = append(near, s.Name())
	}
	mend := "quickthorn species without a name lists all."
	if len(near) > 0 {
		mend = "The nearest are " + strings.Join(near, ", ") + ". " + mend
	}
	return Found{}, planner.Problemf("", mend, "the catalogue has no plant called %q.", name)
}

// Rank looks species up for a ground and a purpose, best first; those that are ruled out come last with the reason.
func Rank(cat *species.Catalogue, want species.Want) Found {
	f := Found{Ranked: true}
	for _, r := range cat.Rank(want) {
		e := EntryOf(r.Species)
		e.Verdict, e.For, e.Against, e.Barred = string(r.Fit.Verdict), r.For, r.Against, r.Barred
		if e.Verdict == "" && want.Ground != "" {
			e.Verdict = "not known"
		}
		f.Entries = append(f.Entries, e)
	}
	return f
}

// A SpeciesFormat writes what was found.
type SpeciesFormat struct {
	Name  string
	Write func(io.Writer, Found, TextOptions) error
}

// SpeciesFormats lists the formats, the default first.
func SpeciesFormats() []SpeciesFormat {
	return []SpeciesFormat{{"text", writeSpeciesText}, {"json", writeSpeciesJSON}, {"csv", writeSpeciesCSV}}
}

func writeSpeciesJSON(w io.Writer, f Found, _ TextOptions) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	entries := f.Entries
	if entries == nil {
		entries = []Entry{}
	}
	return enc.Encode(map[string]any{"query": f.Query, "tell_apart": f.TellApart, "species": entries})
}

// writeSpeciesCSV writes one row a fact, so that every figure keeps its source.
func writeSpeciesCSV(w io.Writer, f Found, _ TextOptions) error {
	var b strings.Builder
	row := func(cells ...string) {
		for i, c := range cells {
			if i > 0 {
				b.WriteByte(',')
			}
			b.WriteString(prose.Cell(c))
		}
		b.WriteString("\r\n")
	}
	b.WriteString("id,botanical,english,habit,fact,value,unit,source,confidence\r\n")
	for _, e := range f.Entries {
		if e.Verdict != "" {
			row(e.ID, e.Botanical, first(e.English), e.Habit, "verdict", e.Verdict, "", strings.Join(append(append([]string{}, e.For...), e.Against...), "; "), "")
		}
		for _, fact := range e.Facts {
			row(e.ID, e.Botanical, first(e.English), e.Habit, fact.Name, fact.Value, fact.Unit, fact.Source, fact.Confidence)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func first(list []string) string {
	if len(list) == 0 {
		return ""
	}
	return list[0]
}

func writeSpeciesText(w io.Writer, f Found, opt TextOptions) error {
	if opt.Width <= 0 {
		opt.Width = prose.DefaultWidth
	}
	t := &text{width: max(40, opt.Width), paint: opt.Paint}
	switch {
	case f.Whole:
		t.card(f.Entries[0])
	case f.Ranked:
		t.ranking(f.Entries)
	default:
		if f.TellApart != "" {
			t.wrap(fmt.Sprintf("%q fits several plants. %s", prose.Clean(f.Query), f.TellApart), "", "")
			t.line("")
		}
		t.species(f.Entries)
	}
	_, err := io.WriteString(w, t.b.String())
	return err
}

// species lists plants one a line.
func (t *text) species(list []Entry) {
	rows := [][]string{}
	for _, e := range list {
		rows = append(rows, []string{prose.Short(first(e.English), 28), prose.Short(e.Botanical, 30), e.Habit})
	}
	t.b.WriteString(prose.Table(rows, "", t.width))
	t.line(fmt.Sprintf("\n%d species. quickthorn species NAME tells all of one.", len(list)))
}

// card tells all of one species, each figure with its source.
func (t *text) card(e Entry) {
	t.line(t.paint.Bold(strings.Join(e.English, ", ")))
	t.wrap(e.Botanical+", "+e.Habit+". Planted for: "+strings.Join(e.Purposes, ", ")+".", "", "")
	t.line("")
	wide := 0
	for _, f := range e.Facts {
		wide = max(wide, prose.Width(f.Name))
	}
	for _, f := range e.Facts {
		said := f.Value
		if f.Unit != "" {
			said += " " + f.Unit
		}
		src := f.Source
		if f.Confidence != "" && f.Confidence != string(planner.Published) {
			src += " (" + f.Confidence + ")"
		}
		pad := strings.Repeat(" ", wide+4)
		t.wrap(said+". "+src, "  "+prose.Left(f.Name, wide)+"  ", pad)
	}
	if len(e.Unknown) > 0 {
		t.line("")
		t.wrap("Not known: "+strings.Join(e.Unknown, ", ")+".", "  ", "  ")
	}
}

// ranking lists plants best first with the reasons.
func (t *text) ranking(list []Entry) {
	barred := 0
	for i, e := range list {
		if e.Barred {
			barred++
			continue
		}
		head := fmt.Sprintf("%3d ", i+1)
		t.wrap(t.ranked(e), head, "    ")
	}
	if barred > 0 {
		t.section(fmt.Sprintf("Not here (%d)", barred))
		for _, e := range list {
			if e.Barred {
				t.wrap(t.ranked(e), "  - ", "    ")
			}
		}
	}
	if len(list) == 0 {
		t.line("No plant in the catalogue is planted for that purpose.")
	}
}

func (t *text) ranked(e Entry) string {
	s := first(e.English) + " (" + e.Botanical + ")"
	if e.Verdict != "" {
		s += ": " + e.Verdict
	}
	s += "."
	if len(e.For) > 0 {
		s += " " + sentence(strings.Join(e.For, "; "))
	}
	if len(e.Against) > 0 {
		s += " But: " + strings.Join(e.Against, "; ") + "."
	}
	return s
}

func sentence(s string) string {
	if s == "" {
		return ""
	}
	_, first := utf8.DecodeRuneInString(s)
	return strings.ToUpper(s[:first]) + strings.TrimSuffix(s[first:], ".") + "."
}

// Purposes lists what plants of the catalogue are planted for, in order of text.
func Purposes(cat *species.Catalogue) []string {
	set := map[string]bool{}
	for _, s := range cat.All() {
		for _, p := range s.Purposes {
			set[p] = true
		}
	}
	return sortedKeys(set)
}
