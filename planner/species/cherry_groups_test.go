package species

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// cherryGroups are the 63 incompatibility groups of sweet cherry with their alleles: M. Schuster, Self-incompatibility (S)
// genotypes of cultivated sweet cherries, update 2020.
var cherryGroups = func() map[string]string {
	out := map[string]string{}
	for _, g := range strings.Split("I 1,2; II 1,3; III 3,4; IV 2,3; V 4,5; VI 3,6; VII 3,5; VIII 2,5; IX 1,4; X 6,9; XI 2,7; XII 6,13; XIII 2,4; "+
		"XIV 1,5; XV 5,6; XVI 3,9; XVII 4,6; XVIII 1,9; XIX 3,13; XX 1,6; XXI 4,9; XXII 3,12; XXIII 3,16; XXIV 6,12; XXV 2,6; XXVI 5,13; XXVII 4,12; "+
		"XXVIII 1,7; XXIX 4,7; XXX 6,7; XXXI 4,14; XXXII 1,12; XXXIII 1,14; XXXIV 3,14; XXXV 5,14; XXXVI 7,19; XXXVII 5,9; XXXVIII 3,22; XXXIX 6,16; "+
		"XL 6,22; XLI 12,22; XLII 2,10; XLIII 2,9; XLIV 3,7; XLV 4,13; XLVI 3,24; XLVII 6,24; XLVIII 6,10; XLIX 3,10; L 6,14; LI 1,13; LII 16,22; "+
		"LIII 2,18; LIV 21,22; LV 9,13; LVI 3,21; LVII 7,14; LVIII 13,22; LIX 12,16; LX 13,16; LXI 2,16; LXII 14,16; LXIII 2,13", "; ") {
		name, pair, _ := strings.Cut(g, " ")
		a, b, _ := strings.Cut(pair, ",")
		out[name] = fmt.Sprintf("S%sS%s", a, b)
	}
	return out
}()

func TestCherryGroups(t *testing.T) {
	assert.Len(t, cherryGroups, 63, "Schuster 2020: 63 groups")
	pairs := map[string]bool{}
	for g, p := range cherryGroups {
		assert.False(t, pairs[p], "%s: each pair once", g)
		pairs[p] = true
	}
	for g, want := range map[string]string{"XVI": "S3S9", "XXI": "S4S9", "LVIII": "S13S22"} {
		assert.Equal(t, want, cherryGroups[g])
	}
}
