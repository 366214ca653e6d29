package check

import (
	"fmt"
	"math"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

// rangeForms are the tree forms whose spacing the rule set knows.
func rangeForms() []string {
	return []string{"cordon", "espalier", "fan", "dwarf_pyramid", "stepover", "spindle", "half_standard", "standard"}
}

func rangeLimits(end string) []string {
	var out []string
	for _, f := range rangeForms() {
		out = append(out, f+"_"+end)
	}
	return append(out, "windbreak_row_gap_"+end)
}

func tooClose() *Rule {
	return &Rule{
		ID: "spacing.too-close", Title: "Plants of one planting stand no closer than is published for them", Severity: planner.Warn,
		Why: "Trees and bushes set closer than their kind, rootstock and form bear shade one another, crop less and die off on one side. The distance to the " +
			"nearest neighbour in the same planting is held against the published range; between two kinds, against the mean of the two. Hedges are looked at by " +
			"hedge.density, single plants by spacing.crowns-meet, and what stands there already is not looked at.",
		Limits: rangeLimits("least_m"),
		Run:    func(p *Pass) { p.spacings(true) },
	}
}

func tooWide() *Rule {
	return &Rule{
		ID: "spacing.too-wide", Title: "Plants of one planting stand no further apart than is published for them", Severity: planner.Warn,
		Why: "A windbreak with wide spacing lets the wind through for years, and an orchard set too wide for its rootstock wastes ground that has to be mown. " +
			"The distance to the nearest neighbour in the same planting is held against the published range; between two kinds, against the mean of the two.",
		Limits: rangeLimits("greatest_m"),
		Run:    func(p *Pass) { p.spacings(false) },
	}
}

// A sortRange is the published range for one sort of plant.
type sortRange struct {
	species.SpacingRange
	least, most float64
	from, upTo  planner.Source // of the two ends
	open        bool           // no upper end
	known       bool
	beside      string // the neighbour of another range, "" where it has the same
}

func besideOther(r sortRange, name string) sortRange {
	r.beside = name
	return r
}

// rangeUse is the use as the catalogue's spacing knows it; "" for what these rules do not look at.
func rangeUse(u setout.Use) species.Use {
	switch u {
	case setout.UseWindbreak:
		return species.Windbreak
	case setout.UseOrchard:
		return species.Orchard
	case setout.UseGrove:
		return species.Grove
	case setout.UseRow:
		return species.Row
	}
	return ""
}

// rangeOf is the published range for a plant: the catalogue's, unless a country's rule set or the holding itself has a figure
// for its form; the general figure for its form where the catalogue has none.
func (p *Pass) rangeOf(x *setout.Plant, least bool) sortRange {
	use := rangeUse(x.Use)
	if use == "" || x.Species == nil {
		return sortRange{}
	}
	r, ok := p.Catalogue.Spacing(x.Species, use, x.Rootstock, x.Form)
	out := sortRange{SpacingRange: r, least: r.InRow.Low, most: r.InRow.High, open: r.InRow.AtLeast, from: r.InRow.Source, upTo: r.InRow.Source, known: ok && r.InRow.Known}
	form := strings.NewReplacer("-", "_", " ", "_").Replace(strings.ToLower(strings.TrimSpace(x.Form)))
	for _, f := range rangeForms() {
		if f != form {
			continue
		}
		name := f + "_greatest_m"
		if least {
			name = f + "_least_m"
		}
		l, known := p.Limit(name)
		if !known || out.known && l.Set == "general" {
			return out
		}
		if least {
			out.least, out.from = l.Value, l.Source
		} else {
			out.most, out.upTo, out.open = l.Value, l.Source, false
		}
		out.known, out.For = true, x.Species.Name()+" grown as "+strings.ReplaceAll(f, "_", " ")
	}
	return out
}

// spacings holds every planned planting but hedges against the published ranges: the lower ends where least, else the upper ones.
func (p *Pass) spacings(least bool) {
	p.remarks(planner.Source{Text: "setting out", Confidence: planner.Derived})
	ranges := perSort(p.Shared, func(x *setout.Plant) sortRange { return p.rangeOf(x, least) })
	for _, sp := range p.Shared.spans {
		if rangeUse(p.Shared.Plants[sp.lo].Use) == "" || !p.Shared.Plants[sp.lo].Listed {
			continue
		}
		p.neighbours(sp, ranges, least)
		p.rowGap(sp.feature, least)
		if least {
			p.unknownRanges(sp, ranges)
		}
	}
}

// neighbours looks at the nearest neighbour of every plant of one planting.
func (p *Pass) neighbours(sp span, ranges []sortRange, least bool) {
	var found tallies
	nearest := p.Shared.neighbours()
	for k := range sp.hi - sp.lo {
		r := ranges[p.Shared.sortOf[sp.lo+k]]
		if !r.known {
			continue
		}
		j, d := nearest[sp.lo+k].in-sp.lo, nearest[sp.lo+k].dist
		if j < 0 {
			continue
		}
		o := ranges[p.Shared.sortOf[sp.lo+j]]
		if !o.known {
			o = r
		}
		need, gap := (r.least+o.least)/2, 0.0
		if least {
			gap = need - d
		} else {
			if r.open || o.open {
				continue
			}
			need = (r.most + o.most) / 2
			gap = d - need
		}
		if gap <= planner.Tolerance {
			continue
		}
		x := p.Shared.Plants[sp.lo+k]
		t, worst := found.add(x, nil, x.Species.ID+"|"+x.Rootstock+"|"+x.Form, gap)
		if worst {
			t.dist, t.need, t.data = d, need, r
			if y := p.Shared.Plants[sp.lo+j]; o.least != r.least || o.most != r.most {
				t.data = besideOther(r, plantName(y))
			}
		}
	}
	if len(found.list) == 0 {
		return
	}
	fix := p.respace(sp, ranges, least)
	for _, t := range found.list {
		p.Report(p.spacingFinding(t, fix, least))
	}
}

func (p *Pass) spacingFinding(t *tally, fix *planner.Fix, least bool) planner.Finding {
	r := t.data.(sortRange)
	f := t.finding(planner.Warn)
	f.Place = t.plant.Species.ID + "|" + t.plant.Rootstock + "|" + t.plant.Form
	f.Source = r.from
	word, verb := "closer", "at least"
	if !least {
		f.Source, f.Worse, word, verb = r.upTo, "more", "further apart", "at most"
	}
	what := r.For
	if what == "" {
		what = plantName(t.plant)
	}
	stand := "stand"
	if t.count == 1 {
		stand = "stands"
	}
	f.Message = fmt.Sprintf("%s of %s (%s) %s %s than is published for %s: %s from the nearest neighbour (%s), where it is %s %s.",
		countOf(t.count, "plant"), quoted(t.feature), plantName(t.plant), stand, word, what, metresBeside(t.dist, t.need), whereIs(t.plant), verb, exactly(t.need))
	if r.beside != "" {
		f.Message = strings.TrimSuffix(f.Message, ".") + ", the mean of its own range and that of " + r.beside + "."
	}
	if o := otherRanges(r.Others); o != "" {
		f.Message += " Others publish " + o + "."
	}
	f.Fix = fix
	if f.Fix != nil {
		f.Message += " " + f.Fix.Say + "."
	} else if least {
		f.Message += " Set them wider, or choose a smaller kind or rootstock."
	} else {
		f.Message += " Set them closer, or choose a larger kind or rootstock."
	}
	return f
}

// otherRanges writes the ranges of other bodies, so that a disagreement stays visible.
func otherRanges(list []species.SpacingRange) string {
	var out []string
	for _, o := range list {
		if !o.InRow.Known {
			continue
		}
		s := figure(o.InRow.Low)
		if o.InRow.High > o.InRow.Low {
			s += " to " + figure(o.InRow.High)
		}
		out = append(out, fmt.Sprintf("%s m (%s)", s, o.For))
	}
	return strings.Join(out, "; ")
}

// respace is the fix: the spacing set to the nearest published figure. Only where all plants of a block or row have one range, with
// shares instead of counts (a wider spacing could leave fewer places than counted trees), and on a pattern whose least distance
// follows from its spacing.
func (p *Pass) respace(sp span, ranges []sortRange, least bool) *planner.Fix {
	f := sp.feature
	first := ranges[p.Shared.sortOf[sp.lo]]
	for i := sp.lo; i < sp.hi; i++ {
		if r := ranges[p.Shared.sortOf[i]]; !r.known || r.open && !least || r.least != first.least || r.most != first.most {
			return nil
		}
	}
	set := map[string]any{}
	want := first.most
	if least {
		want = first.least
	}
	want = roundTo(want, least)
	switch d := f.Detail.(type) {
	case *planner.Row:
		if counted(d.Trees) {
			return nil
		}
	case *planner.Block:
		if counted(d.Trees) || d.Pattern == "scatter" {
			return nil
		}
		if d.Pattern == "quincunx" {
			want = roundTo(want*math.Sqrt2, least)
		}
		if f.Stated("row_spacing_m") && (d.RowSpacingM < want) == least {
			set["row_spacing_m"] = want
		}
	default:
		return nil
	}
	if !(want >= 0.1 && want <= 50) {
		return nil
	}
	set["spacing_m"] = want
	put, err := p.Plan.Change(f, set)
	if err != nil {
		return nil
	}
	return &planner.Fix{Say: "Set the spacing to " + figure(want) + " m", Put: rawList(put)}
}

// roundTo rounds to the centimetre, to the safe side.
func roundTo(v float64, up bool) float64 {
	if up {
		return math.Ceil(v*100-1e-6) / 100
	}
	return math.Floor(v*100+1e-6) / 100
}

func counted(list []planner.Tree) bool {
	for _, t := range list {
		if t.Count > 0 {
			return true
		}
	}
	return false
}

// rowGap holds the distance between the rows of a windbreak against the published range.
func (p *Pass) rowGap(f *planner.Feature, least bool) {
	d, ok := f.Detail.(*planner.Windbreak)
	if !ok || len(d.Rows) < 2 || f.Wrong("row_gap_m") || d.RowGapM <= 0 {
		return
	}
	name, word := "windbreak_row_gap_greatest_m", "further apart than the published"
	if least {
		name, word = "windbreak_row_gap_least_m", "closer together than the published"
	}
	l, known := p.Limit(name)
	if !known || holds(l, d.RowGapM) {
		return
	}
	out := planner.Finding{Severity: planner.Warn, Features: []string{f.ID}, Place: "rows", Measured: planner.Figure(d.RowGapM), Limit: planner.Figure(l.Value), Unit: "m",
		Source: l.Source, Message: fmt.Sprintf("The rows of %s stand %s, %s %s: set `row_gap_m` to %s.", quoted(f), metresBeside(d.RowGapM, l.Value), word, exactly(l.Value), figure(l.Value))}
	if least {
		out.Worse = "less"
	}
	if put, err := p.Plan.Change(f, map[string]any{"row_gap_m": l.Value}); err == nil {
		out.Fix = &planner.Fix{Say: "Set the rows " + figure(l.Value) + " m apart", Put: rawList(put)}
	}
	p.Report(pointTo(out, f))
}

// unknownRanges says of which sorts of a planting no range is known, so that silence is not taken for approval.
func (p *Pass) unknownRanges(sp span, ranges []sortRange) {
	names := map[string]bool{}
	n := 0
	for i := sp.lo; i < sp.hi; i++ {
		if x := p.Shared.Plants[i]; x.Species != nil && !ranges[p.Shared.sortOf[i]].known {
			names[plantName(x)] = true
			n++
		}
	}
	if n == 0 {
		return
	}
	p.Report(pointTo(planner.Finding{Severity: planner.Note, Features: []string{sp.feature.ID}, Place: "unknown", Count: n,
		Message: fmt.Sprintf("No published spacing is known for %s in %s, so whether its %s stand too close or too wide was not looked at.", listWords(sortedNames(names), "and"), quoted(sp.feature), countOf(n, "plant")),
		Source:  planner.Source{Text: "the catalogue's spacing table has no row for it", Confidence: planner.Derived}}, sp.feature))
}
