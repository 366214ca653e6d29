package paper

import (
	"math"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goitalic"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"quickthorn/planner/prose"
)

// Face is one of the faces that text is set in. They are embedded in the program and in every PDF.
type Face int

// The faces, of the Go family (Bigelow & Holmes; BSD licence): its regular, italic and bold.
const (
	Regular Face = iota
	Italic
	Bold
)

// outline is a face read for measuring: how wide each character is, as a share of the height of the type.
type outline struct {
	data []byte
	font *sfnt.Font
}

var faces = sync.OnceValue(func() [3]outline {
	var out [3]outline
	for i, data := range [][]byte{goregular.TTF, goitalic.TTF, gobold.TTF} {
		f, err := sfnt.Parse(data)
		if err != nil {
			panic(err) // the bytes are compiled in
		}
		out[i] = outline{data: data, font: f}
	}
	return out
})

// strange stands for a character that the faces do not have.
const strange = '□'

// Fit makes text fit to be set: on one line, no control characters, each character that the face does not have as a hollow square.
func Fit(s string, face Face) string {
	f := faces()[face].font
	var buf sfnt.Buffer
	return strings.Map(func(r rune) rune {
		if r == '\u00a0' || unicode.IsSpace(r) {
			return ' '
		}
		if unicode.In(r, unicode.Cf) {
			return -1
		}
		if r > 0xffff {
			return strange
		}
		if i, err := f.GlyphIndex(&buf, r); err != nil || i == 0 {
			return strange
		}
		return r
	}, prose.Clean(s))
}

// Width is how wide a line of text is in millimetres, type being size mm high. Characters stand side by side, without kerning, as
// both writers put them.
func Width(s string, face Face, size float64) float64 {
	f := faces()[face].font
	var buf sfnt.Buffer
	units := 0
	upm := f.UnitsPerEm()
	for _, r := range Fit(s, face) {
		i, err := f.GlyphIndex(&buf, r)
		if err != nil {
			continue
		}
		if a, err := f.GlyphAdvance(&buf, i, fixed.I(int(upm)), font.HintingNone); err == nil {
			units += a.Round()
		}
	}
	return float64(units) * size / float64(upm)
}

// Shorten cuts a text to a width in millimetres, with an ellipsis where something was cut.
func Shorten(s string, face Face, size, width float64) string {
	if Width(s, face, size) <= width {
		return s
	}
	runes := []rune(s)
	lo, hi := 0, len(runes)
	for lo < hi {
		mid := (lo + hi + 1) / 2
		if Width(strings.TrimRight(string(runes[:mid]), " ")+"…", face, size) <= width {
			lo = mid
		} else {
			hi = mid - 1
		}
	}
	return strings.TrimRight(string(runes[:lo]), " ") + "…"
}

// Wrap breaks a text at spaces into lines no wider than width mm; a word that is wider is broken. There is always a line.
func Wrap(s string, face Face, size, width float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.FieldsFunc(s, func(r rune) bool { return unicode.IsSpace(r) && r != '\u00a0' }) {
		word = strings.ReplaceAll(word, "\u00a0", " ")
		whole := word
		if line != "" {
			whole = line + " " + word
		}
		if Width(whole, face, size) <= width {
			line = whole
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		for Width(word, face, size) > width {
			head := strings.TrimSuffix(Shorten(word, face, size, width), "…")
			if head == "" {
				head = string([]rune(word)[:1])
			}
			lines, word = append(lines, head), word[len(head):]
			if word == "" {
				break
			}
		}
		line = word
	}
	if line != "" || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

func sincos(deg float64) (sin, cos float64) { return math.Sincos(deg * math.Pi / 180) }
