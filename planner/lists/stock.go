package lists

import "strings"

// A StockClass is the form in which plants are sold, as far as spares and bundles go.
type StockClass string

// The classes of planting stock.
const (
	BareRoot     StockClass = "bare-root" // bundled
	CellGrown    StockClass = "cell-grown"
	Cuttings     StockClass = "cuttings"
	Potted       StockClass = "potted"  // pots and rootballs: no spares
	Grafted      StockClass = "grafted" // no spares
	UnknownStock StockClass = ""
)

// StockKind reads the class out of what the stock is called, such as "bare-root 40-60 cm", "grafted one-year", "1+1 40-60 cm",
// "cell-grown", "2 litre pot". Grafted comes before potted, and potted before bare-root, where a name says both.
func StockKind(stock string) StockClass {
	words := strings.FieldsFunc(strings.ToLower(stock), func(r rune) bool {
		return r == ' ' || r == '-' || r == ',' || r == '/' || r == '(' || r == ')' || r == '\u2011' || r == '\u2013'
	})
	found := map[StockClass]bool{}
	for i, w := range words {
		switch {
		case w == "grafted" || w == "maiden" || w == "maidens" || w == "budded":
			found[Grafted] = true
		case w == "pot" || w == "pots" || w == "potted" || strings.HasPrefix(w, "container") || strings.HasPrefix(w, "litre") || isPot(w) ||
			strings.HasPrefix(w, "rootball") || w == "balled" || w == "root" && i+1 < len(words) && strings.HasPrefix(words[i+1], "ball"):
			found[Potted] = true
		case strings.HasPrefix(w, "cell") || strings.HasPrefix(w, "plug"):
			found[CellGrown] = true
		case strings.HasPrefix(w, "cutting") || w == "sets" || w == "wands":
			found[Cuttings] = true
		case strings.HasPrefix(w, "bareroot") || w == "bare" && i+1 < len(words) && strings.HasPrefix(words[i+1], "root") ||
			strings.HasPrefix(w, "transplant") || strings.HasPrefix(w, "whip") || isNurseryAge(w):
			found[BareRoot] = true
		}
	}
	for _, c := range []StockClass{Grafted, Potted, CellGrown, Cuttings, BareRoot} {
		if found[c] {
			return c
		}
	}
	return UnknownStock
}

// isPot reads the trade's short forms of a pot: 2l, 10l, p9.
func isPot(w string) bool {
	if len(w) < 2 {
		return false
	}
	digits := func(s string) bool { return strings.Trim(s, "0123456789.") == "" && s != "" }
	return w[len(w)-1] == 'l' && digits(w[:len(w)-1]) || w[0] == 'p' && digits(w[1:])
}

// isNurseryAge reads how the trade writes years in the seedbed and after transplanting or undercutting: 1+1, 1u1.
func isNurseryAge(w string) bool {
	return len(w) == 3 && w[0] >= '1' && w[0] <= '9' && (w[1] == '+' || w[1] == 'u') && w[2] >= '0' && w[2] <= '9'
}
