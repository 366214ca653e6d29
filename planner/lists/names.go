package lists

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"quickthorn/planner/prose"
	"quickthorn/planner/species"
)

// nameTable asks the catalogue about names, each once.
type nameTable struct {
	cat    *species.Catalogue
	doubts map[string]string
	stocks map[string][]*species.Rootstock
}

func newNames(cat *species.Catalogue) *nameTable {
	n := &nameTable{cat: cat, doubts: map[string]string{}, stocks: map[string][]*species.Rootstock{}}
	if cat == nil {
		return n
	}
	for _, r := range cat.Rootstocks(nil) {
		for _, name := range append([]string{r.Name}, r.Also...) {
			k := foldName(name)
			n.stocks[k] = append(n.stocks[k], r)
		}
	}
	return n
}

// doubt says why a name is not that of one species.
func (n *nameTable) doubt(name string) string {
	if d, ok := n.doubts[name]; ok {
		return d
	}
	d := "the catalogue does not know this name"
	switch {
	case name == "":
		d = "no species is stated"
	case n.cat != nil:
		m := n.cat.Find(name)
		if m.Ambiguous != nil {
			var fit []string
			for _, s := range m.Ambiguous.Species {
				fit = append(fit, s.Name())
			}
			d = "the name fits several species: " + strings.Join(fit, ", ")
		} else if len(m.Nearest) > 0 {
			d += "; the nearest is " + m.Nearest[0].Name()
		}
	}
	n.doubts[name] = d
	return d
}

// rootstock is the row of the catalogue for a rootstock of a species, the species' own before one of the same name; nil where
// there is none.
func (n *nameTable) rootstock(name string, s *species.Species) *species.Rootstock {
	rows := n.stocks[foldName(name)]
	for _, r := range rows {
		for _, of := range r.Species {
			if of == s {
				return r
			}
		}
	}
	if len(rows) > 0 {
		return rows[0]
	}
	return nil
}

// species is the species of a name, nil where it is not that of one.
func (n *nameTable) species(name string) *species.Species {
	if n.cat == nil {
		return nil
	}
	return n.cat.Find(name).Species
}

// round rounds to a number of decimals, halves away from zero.
func round(v float64, decimals int) float64 {
	f := math.Pow10(decimals)
	return math.Round(v*f) / f
}

// figure writes a number with at most so many decimals, and none that are not needed.
func figure(v float64, decimals int) string {
	s := strconv.FormatFloat(round(v, decimals), 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// count writes a whole number with a comma between thousands.
func count(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0 && s[i-1] != '-'; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}

func plants(n int) string {
	if n == 1 {
		return "1 plant"
	}
	return count(n) + " plants"
}

func isAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// many writes a number with its noun, in the plural where it is not one.
func many(n int, noun string) string {
	switch {
	case n == 1:
		return "1 " + noun
	case strings.HasSuffix(noun, "sh"):
		return count(n) + " " + noun + "es"
	}
	return count(n) + " " + noun + "s"
}

func quoted(s string) string { return fmt.Sprintf("%q", prose.Short(s, 60)) }
