package prose

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestWidthCountsColumns(t *testing.T) {
	// Widths as in Unicode Standard Annex 11: combining marks take no column, wide characters two.
	for text, want := range map[string]int{"": 0, "hedge": 5, "Blàr": 4, "e\u0301": 1, "林": 2, "a\u200eb": 2} {
		assert.Equal(t, want, Width(text), "%q", text)
	}
}

func TestCleanKeepsTextOnOneLineAndInOneDirection(t *testing.T) {
	assert.Equal(t, "a b c d", Clean("a\nb\tc\x1b\rd"))
	assert.Equal(t, "lane", Clean("\u202elane\u202c\u2066"))
}

func TestWrapNeverExceedsTheWidthAndLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[a-zé林 ]{0,200}`).Draw(t, "text")
		width := rapid.IntRange(12, 60).Draw(t, "width")
		out := Wrap(text, width, "  - ", "    ")
		kept := ""
		for _, line := range strings.Split(out, "\n") {
			assert.LessOrEqual(t, Width(line), width)
			kept += strings.ReplaceAll(strings.TrimPrefix(strings.TrimPrefix(line, "  - "), "    "), " ", "")
		}
		assert.Equal(t, strings.ReplaceAll(text, " ", ""), strings.TrimPrefix(kept, "-"))
	})
}

func TestTableAligns(t *testing.T) {
	got := Table([][]string{{"hedge", "48.5 m"}, {"林", "120.0 m"}}, " ", 80, 1)
	assert.Equal(t, " hedge   48.5 m\n 林     120.0 m\n", got)
	got = Table([][]string{{"orchard", "square, 5 m apart, rows run north"}}, "  ", 30)
	assert.Equal(t, "  orchard  square, 5 m apart,\n           rows run north\n", got)
	got = Table([][]string{{"a long field name", "damp, wet, standing"}}, "  ", 24)
	assert.Equal(t, "  a long field name\n      damp, wet,\n      standing\n", got)
}

func TestShortMarksWhatIsCut(t *testing.T) {
	assert.Equal(t, "lane", Short("lane", 4))
	assert.Equal(t, "lan…", Short("lane hedge", 4))
}

func TestPaintIsPlainUnlessAsked(t *testing.T) {
	assert.Equal(t, "stop", Paint{}.Red("stop"))
	assert.Equal(t, "\x1b[1;31mstop\x1b[0m", Paint{Colour: true}.Red("stop"))
}
