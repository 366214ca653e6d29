package species

import (
	"fmt"
	"slices"
	"strings"

	"quickthorn/planner"
)

// A Fruiting is a plant as pollination sees it: its species, and its cultivar where one is named.
type Fruiting struct {
	Species  *Species
	Cultivar *Cultivar // nil: not named, or a wild plant
}

// Name is the cultivar's name, else the species'.
func (f Fruiting) Name() string {
	if f.Cultivar != nil {
		return f.Cultivar.Name
	}
	return f.Species.Name()
}

// Setting says whether one plant's pollen sets fruit on another.
type Setting string

// The answers. Half: half of the pollen grains work, which can set well or badly.
const (
	Sets       Setting = "sets"
	SetsHalf   Setting = "half"
	SetsBadly  Setting = "badly"
	SetsNot    Setting = "not"
	SetUnknown Setting = "unknown"
)

// Works reports whether the pollen can be relied on.
func (s Setting) Works() bool { return s == Sets || s == SetsHalf }

// A Cross is the answer for one plant and one donor, with why and what it rests on.
type Cross struct {
	Setting Setting
	Why     string
	Source  planner.Source
}

// Compatible says whether donor's pollen sets fruit on mother. It asks in turn: is it the same clone; are they of one pool;
// is the donor a triploid; do published lists say yes or no; do the S-alleles or incompatibility groups forbid it; do they
// flower together (dates of one year, else groups not more than one apart, else days from a common cultivar). What no table
// tells stays SetUnknown.
func Compatible(mother, donor Fruiting) Cross {
	m, d := mother.Cultivar, donor.Cultivar
	switch {
	case mother.Species.Pool == "" || mother.Species.Pool != donor.Species.Pool:
		return Cross{SetsNot, donor.Name() + " and " + mother.Name() + " are of different kinds", Cited("RHS9", "Royal Horticultural Society, Fruit pollination", planner.Published)}
	case m != nil && m == d:
		return Cross{SetsNot, "trees of one cultivar are one plant and do not count as partners", Cited("RHS9", "Royal Horticultural Society, Fruit pollination", planner.Published)}
	}
	if wild, ok := wildDonor(mother, donor); ok {
		return wild
	}
	if m == nil || d == nil {
		return Cross{Setting: SetUnknown, Why: "the cultivar is not named"}
	}
	if d.Fertility.V == "triploid" {
		return Cross{SetsNot, d.Name + " is a triploid and gives no useful pollen", d.Fertility.Source}
	}
	if d.Ploidy.Known && int(d.Ploidy.V)%2 == 1 {
		return Cross{SetsNot, fmt.Sprintf("%s has %g sets of chromosomes and gives no useful pollen", d.Name, d.Ploidy.V), d.Ploidy.Source}
	}
	if isPartner(m, d) {
		return Cross{Sets, d.Name + " is a published partner of " + m.Name, m.Partners.Source}
	}
	if m.Clash.Known && m.Clash.V == d.Clash.V && m.Clash.V != selfCompatible {
		return Cross{SetsNot, m.Name + " and " + d.Name + " are of one incompatibility group", m.Clash.Source}
	}
	genes := geneCross(m, d)
	if genes.Setting == SetsNot {
		return genes
	}
	bloom := Overlap(m, d)
	if bloom.Setting == SetsNot {
		return bloom
	}
	if d.PoorDonor.Yes() {
		return Cross{SetsBadly, d.Name + " is a poor donor for others", d.PoorDonor.Source}
	}
	return join(genes, bloom)
}

// selfCompatible marks cherries whose pollen works on every style; it is no incompatibility group.
const selfCompatible = "SC"

// join weighs genes that do not forbid with flowering that does not forbid. Where alleles are known but flowering is not
// (hazel sheds and receives over weeks, and no groups are published), the alleles speak, and Why says so.
func join(genes, bloom Cross) Cross {
	switch {
	case genes.Setting == SetUnknown && bloom.Setting == SetUnknown:
		return Cross{Setting: SetUnknown, Why: join2(bloom.Why, genes.Why)}
	case bloom.Setting == SetUnknown && genes.Why == noAlleles:
		return bloom
	case genes.Setting == SetUnknown && genes.Why != noAlleles:
		return genes
	case genes.Why == noAlleles:
		return bloom
	case bloom.Setting == SetUnknown:
		return Cross{genes.Setting, join2(genes.Why, bloom.Why), genes.Source}
	}
	src := genes.Source
	if bloom.Source.Confidence.Weaker(src.Confidence) {
		src = bloom.Source
	}
	return Cross{genes.Setting, join2(bloom.Why, genes.Why), src}
}

func join2(a, b string) string {
	switch {
	case a == "" || a == noAlleles:
		return b
	case b == "" || b == noAlleles:
		return a
	}
	return a + "; " + b
}

// Cited makes a source that is written here and not in sources.csv.
func Cited(code, text string, c planner.Confidence) planner.Source {
	return planner.Source{Code: code, Text: text, Confidence: c}
}

// wildDonor covers donors without a cultivar: crab apple for apples, wild hazel for cobnuts, cherry plum for plums.
func wildDonor(mother, donor Fruiting) (Cross, bool) {
	if donor.Cultivar != nil {
		return Cross{}, false
	}
	switch {
	case donor.Species.Botanical == "Malus sylvestris" && mother.Species.Pool == "apple":
		return Cross{Sets, "crab apples flower long and serve the apples that flower with them", Cited("RHS9", "Royal Horticultural Society, Fruit pollination", planner.Published)}, true
	case donor.Species.Botanical == "Corylus avellana" && mother.Cultivar != nil:
		return Cross{Sets, "wild hazel nearby usually serves", Cited("KCA", "Kentish Cobnuts Association, technical information", planner.Published)}, true
	}
	return Cross{}, false
}

func isPartner(m, d *Cultivar) bool {
	if !m.Partners.Known {
		return false
	}
	for _, name := range strings.Split(m.Partners.V, "|") {
		if fold(name) == fold(d.Name) || slices.ContainsFunc(d.Also, func(a string) bool { return fold(a) == fold(name) }) {
			return true
		}
	}
	return false
}

// noAlleles is geneCross's reason where the kind is not judged by alleles at all.
const noAlleles = ""

// geneCross applies the S-alleles. Cherry (gametophytic): a grain carries one allele and fails on a style that has it, but
// S4' works on every style. Hazel (sporophytic): the cross fails if any allele expressed in the pollen is in the stigma;
// where expression is not known both are taken as expressed, the safe side.
func geneCross(m, d *Cultivar) Cross {
	if !d.Alleles.Known && !m.Alleles.Known {
		return Cross{Setting: SetUnknown, Why: noAlleles}
	}
	pollen, style := parseAlleles(d.Alleles.V), parseAlleles(m.Alleles.V)
	if d.Species.Pool == "cherry" {
		return cherryCross(m, d, pollen, style)
	}
	if d.Species.Pool != "hazel" {
		return Cross{Setting: SetUnknown, Why: noAlleles}
	}
	src := d.Alleles.Source
	known := d.Pollen.Known
	if known {
		pollen, src = parseAlleles(d.Pollen.V), d.Pollen.Source
	}
	if len(pollen) == 0 || len(style) == 0 {
		return Cross{Setting: SetUnknown, Why: "the S-alleles of one of them are not known"}
	}
	for _, a := range pollen {
		if !slices.Contains(style, a) {
			continue
		}
		why := fmt.Sprintf("%s pollen of %s fails on %s (%s)", a, d.Name, m.Name, m.Alleles.V)
		if !known {
			why += "; both alleles taken as expressed, the safe side"
		}
		return Cross{SetsNot, why, src}
	}
	return Cross{Sets, fmt.Sprintf("the pollen of %s works on %s (%s)", d.Name, m.Name, m.Alleles.V), src}
}

func cherryCross(m, d *Cultivar, pollen, style []string) Cross {
	if slices.Contains(pollen, "S4'") && len(pollen) == 2 {
		return Cross{Sets, "S4' pollen of " + d.Name + " works on every cherry", d.Alleles.Source}
	}
	if len(pollen) != 2 || len(style) != 2 {
		return Cross{Setting: SetUnknown, Why: "the rule of two alleles does not hold for " + m.Name + " and " + d.Name}
	}
	works := 0
	for _, a := range pollen {
		if !slices.Contains(style, a) {
			works++
		}
	}
	set := [...]Setting{SetsNot, SetsHalf, Sets}[works]
	why := fmt.Sprintf("%s (%s) on %s (%s): %s of the pollen works", d.Name, d.Alleles.V, m.Name, m.Alleles.V, [...]string{"none", "half", "all"}[works])
	return Cross{set, why, d.Alleles.Source}
}

// appleDays is the gap in full flower, in days, within which two apples still flower together: flowering lasts a week or
// more, so that kinds within 6 days overlap (derived from Bultitude's days after Cox).
const appleDays = 6

// Overlap says whether two cultivars flower together: by dates of a year that both have, else by groups on one scale, else
// by days from a common cultivar (apples only). SetUnknown where none of these is known of both.
func Overlap(a, b *Cultivar) Cross {
	if c, ok := overlapDates(a, b); ok {
		return c
	}
	if a.Group.Known && b.Group.Known && a.Group.Scale == b.Group.Scale {
		src := a.Group.Source
		if b.Group.Source.Confidence.Weaker(src.Confidence) {
			src = b.Group.Source
		}
		why := fmt.Sprintf("flowering groups %s (%s) and %s (%s)", a.Group, a.Name, b.Group, b.Name)
		if a.Group.Meets(b.Group) {
			return Cross{Sets, why, src}
		}
		return Cross{SetsNot, why + " are more than one apart", src}
	}
	if a.Days.Known && b.Days.Known && a.DaysAfter == b.DaysAfter && a.Species.Pool == "apple" && b.Species.Pool == "apple" {
		gap := max(a.Days.V-b.Days.V, b.Days.V-a.Days.V)
		why := fmt.Sprintf("full flower of %s and %s lies %g days apart", a.Name, b.Name, gap)
		if gap <= appleDays {
			return Cross{Sets, why, a.Days.Source}
		}
		return Cross{SetsNot, why, a.Days.Source}
	}
	return Cross{Setting: SetUnknown, Why: fmt.Sprintf("no flowering group or date is known that %s and %s share", a.Name, b.Name)}
}

// overlapDates compares flowering in every year that both have from first to last flower. Years are never mixed: the same
// plum has flowered 36 days apart in two springs.
func overlapDates(a, b *Cultivar) (Cross, bool) {
	best, days := Bloom{}, -1
	for _, x := range a.Bloom {
		for _, y := range b.Bloom {
			if n, ok := DaysTogether(x, y); ok && n > days {
				best, days = x, n
			}
		}
	}
	if days < 0 {
		return Cross{}, false
	}
	why := fmt.Sprintf("%s and %s were in flower together %d days in %d", a.Name, b.Name, days, best.Year)
	if days == 0 {
		return Cross{SetsNot, why, best.Source}, true
	}
	return Cross{Sets, why, best.Source}, true
}

// DaysTogether counts the days, both ends included, on which two records of one year show flower. False: they are of
// different years, of no year, or first or last flower is missing, and must not be compared.
func DaysTogether(x, y Bloom) (int, bool) {
	if x.Year == 0 || x.Year != y.Year || min(x.First, y.First, x.Last, y.Last) <= 0 {
		return 0, false
	}
	return max(0, min(x.Last, y.Last)-max(x.First, y.First)+1), true
}

// Meets reports groups on one scale that are not more than one apart; of a range any number counts.
func (g Groups) Meets(h Groups) bool {
	return g.Known && h.Known && g.Scale == h.Scale && g.From-h.To <= 1 && h.From-g.To <= 1
}

// String is "3" or "2-3".
func (g Groups) String() string {
	switch {
	case !g.Known:
		return "unknown"
	case g.From == g.To:
		return fmt.Sprint(g.From)
	}
	return fmt.Sprintf("%d-%d", g.From, g.To)
}
