package species

import (
	"cmp"
	"slices"
	"strings"
)

// fold brings a name to the form in which names are compared: lower case, without spaces, hyphens, points, apostrophes,
// or the multiplication sign of a hybrid, whether it is written as a sign or as a lone x.
func fold(name string) string {
	var b strings.Builder
	for _, word := range strings.Fields(strings.ToLower(strings.ReplaceAll(name, "\u00d7", " "))) {
		if word == "x" || word == "agg." || word == "agg" {
			continue
		}
		b.WriteString(strings.Map(dropMarks, word))
	}
	return b.String()
}

func dropMarks(r rune) rune {
	switch r {
	case '-', '.', '\'', '\u2019', '\u2018', '"', '\u2010', '\u2011', '\u2013':
		return -1
	case '\u00e9', '\u00e8', '\u00ea':
		return 'e'
	}
	return r
}

func genusOf(botanical string) string {
	g, _, _ := strings.Cut(botanical, " ")
	return g
}

// Find looks a name up: botanical, synonym or English; case, spaces, hyphens and multiplication signs are ignored. An
// unknown name gives the five nearest spellings. It costs one map lookup, and one pass over all names when unknown.
func (c *Catalogue) Find(name string) Match {
	key := fold(name)
	if s := c.names[key]; s != nil {
		return Match{Species: s}
	}
	if a := c.ambiguous[key]; a != nil {
		return Match{Ambiguous: a}
	}
	return Match{Nearest: c.nearest(key)}
}

// nearest gives up to five species whose best name differs from key by the fewest letters, or by one more; ties by botanical name.
func (c *Catalogue) nearest(key string) []*Species {
	key = shorten(key)
	best := map[*Species]int{}
	for name, s := range c.names {
		d := distance(key, name)
		if len(key) >= 4 && strings.Contains(name, key) {
			d = 1 // a part of the name, "guelder", is nearer than any slip of the pen
		}
		if old, ok := best[s]; !ok || d < old {
			best[s] = d
		}
	}
	out := slices.Clone(c.all)
	slices.SortStableFunc(out, func(a, b *Species) int { return cmp.Compare(best[a], best[b]) })
	n := 0
	for n < min(5, len(out)) && best[out[n]] <= best[out[0]]+1 { // what is much farther off than the nearest is no help
		n++
	}
	return out[:n]
}

// nearestNames gives up to five of names by edit distance from name, ties in the order given.
func nearestNames(name string, names []string) []string {
	key := shorten(fold(name))
	out := slices.Clone(names)
	slices.SortStableFunc(out, func(a, b string) int { return cmp.Compare(distance(key, fold(a)), distance(key, fold(b))) })
	return out[:min(5, len(out))]
}

// shorten cuts a name to its first 80 letters, so that a very long one costs no more to compare than a long one.
func shorten(key string) string {
	r := []rune(key[:min(len(key), 4*80)])
	return string(r[:min(len(r), 80)])
}

// distance is the Levenshtein distance: letters put in, left out or changed.
func distance(a, b string) int {
	ar, br := []rune(a), []rune(b)
	row := make([]int, len(br)+1)
	for j := range row {
		row[j] = j
	}
	for i, x := range ar {
		diagonal := row[0]
		row[0] = i + 1
		for j, y := range br {
			cost := diagonal
			if x != y {
				cost = 1 + min(diagonal, row[j], row[j+1])
			}
			diagonal, row[j+1] = row[j+1], cost
		}
	}
	return row[len(br)]
}
