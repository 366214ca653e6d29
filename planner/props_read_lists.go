package planner

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"quickthorn/geo/interchange"
)

// maxEntries bounds every list in a property. A mix of a thousand species is no mix.
const maxEntries = 1000

// shareTolerance is how far the shares of a mix may add up from 100.
const shareTolerance = 0.5

func readList(p Prop, v []byte) (any, bool, string) {
	switch p.Type {
	case TypeChoices, TypeIDs, TypeMix, TypeTrees, TypeRows, TypeCuts, TypeSward, TypeWindRose, TypeAccepted:
		if !interchange.IsArray(v) {
			return nil, false, ""
		}
		if n := interchange.Count(v); n > maxEntries && p.Type != TypeAccepted || n > maxAccepted {
			return nil, false, fmt.Sprintf("it has %d entries; at most %d are read", n, maxEntries)
		}
	}
	switch p.Type {
	case TypeChoices:
		return readChoices(p, v)
	case TypeIDs:
		return readEach(v, readID)
	case TypeMix:
		return readMix(v)
	case TypeTrees:
		return readTrees(v)
	case TypeRows:
		return readEach(v, readBeltRow)
	case TypeCuts:
		return readEach(v, readCut)
	case TypeSward:
		return readEach(v, readSward)
	}
	return readHoldingValue(p, v)
}

// readEach reads the entries of a list one by one and stops at the first that is not allowed.
func readEach[T any](v []byte, read func([]byte) (T, string)) (any, bool, string) {
	out := make([]T, 0, interchange.Count(v))
	for s := range interchange.Elements(v) {
		x, why := read(s.Of(v))
		if why != "" {
			return nil, false, fmt.Sprintf("entry %d: %s", len(out)+1, why)
		}
		out = append(out, x)
	}
	return out, true, ""
}

func readChoices(p Prop, v []byte) (any, bool, string) {
	out := []string{}
	for s := range interchange.Elements(v) {
		x, ok, why := readChoice(p, s.Of(v))
		switch {
		case !ok && why != "":
			return nil, false, fmt.Sprintf("entry %d: %s", len(out)+1, why)
		case !ok:
			return nil, false, fmt.Sprintf("entry %d is %s", len(out)+1, shown(s.Of(v)))
		case slices.Contains(out, x.(string)):
			return nil, false, fmt.Sprintf("%q stands there twice", x)
		}
		out = append(out, x.(string))
	}
	return out, true, ""
}

func readID(v []byte) (string, string) {
	if s := idText(v); s != "" {
		return s, ""
	}
	return "", shown(v) + " is not an id"
}

// entry reads the members of an object in a list. The first member that is wrong is kept in why.
type entry struct {
	obj []byte
	why string
}

func newEntry(v []byte) entry {
	if !interchange.IsObject(v) {
		return entry{why: shown(v) + " is not an object in braces"}
	}
	return entry{obj: v}
}

func (e *entry) fail(format string, args ...any) {
	if e.why == "" {
		e.why = fmt.Sprintf(format, args...)
	}
}

func (e *entry) find(name string) []byte {
	v := interchange.Find(e.obj, name)
	if interchange.IsNull(v) {
		return nil
	}
	return v
}

func (e *entry) text(name string, must bool) string {
	v := e.find(name)
	s, ok := interchange.Text(v)
	switch {
	case v == nil && must || ok && must && strings.TrimSpace(s) == "":
		e.fail("it has no %s", name)
	case v != nil && !ok:
		e.fail("%s is %s, not text in quotes", name, shown(v))
	}
	return s
}

func (e *entry) number(name string, least, most float64, must bool) float64 {
	v := e.find(name)
	if v == nil {
		if must {
			e.fail("it has no %s", name)
		}
		return 0
	}
	x, ok := interchange.Number(v)
	if !ok || x < least || x > most {
		e.fail("%s is %s; a number from %s to %s is allowed", name, shown(v), figure(least), figure(most))
		return 0
	}
	return x
}

func (e *entry) whole(name string, least, most int) int {
	x := e.number(name, float64(least), float64(most), false)
	if x != math.Trunc(x) {
		e.fail("%s is %s; a whole number is allowed", name, figure(x))
	}
	return int(x)
}

func readShare(v []byte) (Share, string) {
	e := newEntry(v)
	s := Share{Species: e.text("species", true), SharePercent: e.number("share_percent", 0, 100, true)}
	return s, e.why
}

func readMix(v []byte) (any, bool, string) {
	list, ok, why := readEach(v, readShare)
	if !ok {
		return nil, false, why
	}
	mix := list.([]Share)
	sum := 0.0
	for _, s := range mix {
		sum += s.SharePercent
	}
	if why := sumFault(sum, len(mix)); why != "" {
		return nil, false, why
	}
	return mix, true, ""
}

// sumFault says what is wrong with the sum of shares. Sums of decimal fractions are forgiven a billionth.
func sumFault(sum float64, n int) string {
	switch {
	case n == 0:
		return "it is empty"
	case math.Abs(sum-100) > shareTolerance+1e-9:
		return fmt.Sprintf("the shares add up to %s percent, not 100", figure(math.Round(sum*1e6)/1e6))
	}
	return ""
}

func readTree(v []byte) (Tree, string) {
	e := newEntry(v)
	t := Tree{Species: e.text("species", true), Cultivar: e.text("cultivar", false), Rootstock: e.text("rootstock", false), Form: e.text("form", false),
		Count: e.whole("count", 0, 1_000_000), SharePercent: e.number("share_percent", 0, 100, false)}
	if e.find("count") != nil && e.find("share_percent") != nil {
		e.fail("it has both a count and a share_percent")
	}
	return t, e.why
}

// readTrees reads trees with counts throughout or with shares throughout; one entry alone needs neither and is all of them.
func readTrees(v []byte) (any, bool, string) {
	list, ok, why := readEach(v, readTree)
	if !ok {
		return nil, false, why
	}
	trees := list.([]Tree)
	counts, shares, sum := 0, 0, 0.0
	for s := range interchange.Elements(v) {
		e := newEntry(s.Of(v))
		if e.find("count") != nil {
			counts++
		}
		if e.find("share_percent") != nil {
			shares++
		}
	}
	for _, t := range trees {
		sum += t.SharePercent
	}
	switch {
	case len(trees) == 1 && counts == 0 && shares == 0:
		trees[0].SharePercent = 100
		return trees, true, ""
	case counts == len(trees) && counts > 0:
		return trees, true, ""
	case counts > 0:
		return nil, false, "some entries have a count and some have none; give every entry a count, or every entry a share_percent"
	case shares < len(trees):
		return nil, false, "not every entry has a count or a share_percent"
	}
	if why := sumFault(sum, len(trees)); why != "" {
		return nil, false, why
	}
	return trees, true, ""
}

func readBeltRow(v []byte) (BeltRow, string) {
	e := newEntry(v)
	r := BeltRow{SpacingM: e.number("spacing_m", 0.1, 50, false)}
	mix, species := e.find("mix"), e.find("species")
	switch {
	case mix != nil && species != nil:
		e.fail("it has both species and mix")
	case mix != nil && !interchange.IsArray(mix):
		e.fail("mix is %s, not a list", shown(mix))
	case mix != nil:
		m, ok, why := readMix(mix)
		if !ok {
			e.fail("mix: %s", why)
			break
		}
		r.Mix = m.([]Share)
	default:
		r.Mix = alone(e.text("species", true))
	}
	return r, e.why
}

// alone is one species as a mix.
func alone(species string) []Share { return []Share{{Species: species, SharePercent: 100}} }

func readCut(v []byte) (Cut, string) {
	if interchange.IsNumber(v) {
		n, ok := wholeNumber(v)
		if !ok || n < firstWinter || n > lastWinter {
			return Cut{}, shown(v) + " is not the year in which a winter begins"
		}
		return Cut{Winter: n}, ""
	}
	e := newEntry(v)
	if e.obj != nil && e.find("winter") == nil {
		e.fail("it has no winter")
	}
	c := Cut{Winter: e.whole("winter", firstWinter, lastWinter), FromM: e.number("from_m", 0, 100_000, false), ToM: e.number("to_m", 0, 100_000, false)}
	if e.find("to_m") != nil && c.ToM <= c.FromM {
		e.fail("to_m is %s, not beyond from_m, %s", figure(c.ToM), figure(c.FromM))
	}
	return c, e.why
}

func readSward(v []byte) (Sward, string) {
	if s, ok := interchange.Text(v); ok {
		if strings.TrimSpace(s) == "" {
			return Sward{}, "the name is empty"
		}
		return Sward{Species: s}, ""
	}
	e := newEntry(v)
	s := Sward{Species: e.text("species", true), Percent: e.number("percent", 0, 100, false)}
	return s, e.why
}

// shown is a value as the file writes it, short enough for a message.
func shown(v []byte) string { return interchange.Shorten(string(v[:min(len(v), 300)])) }

func allowedList(p Prop) string {
	switch p.Type {
	case TypeChoices:
		return "a list, each at most once, of " + strings.Join(p.Allowed, ", ")
	case TypeIDs:
		return "a list of the ids of features"
	case TypeMix:
		return `a list of {"species": "...", "share_percent": ...} that adds up to 100`
	case TypeTrees:
		return `a list of {"species": "...", "cultivar": "...", "rootstock": "...", "form": "..."}, all with "count" or all with a "share_percent" that adds up to 100`
	case TypeRows:
		return `a list of {"species": "..." or "mix": [...], "spacing_m": 0.1 to 50}`
	case TypeCuts:
		return `a list of winters, such as 2026, or {"winter": 2026, "from_m": 0, "to_m": 40}`
	case TypeSward:
		return `a list of names, or {"species": "...", "percent": ...}`
	}
	return allowedHolding(p)
}
