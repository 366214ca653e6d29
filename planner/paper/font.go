package paper

import (
	"math"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

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

// outline is a face read for measuring: how wide each character is, in units of the type.
type outline struct {
	data     []byte
	perEm    int
	advances []int16 // by character, up to lastMeasured; -1 where the face does not have it
}

// lastMeasured is beyond the last character of the faces: they hold Latin, Greek, Cyrillic and signs.
const lastMeasured = 0x10000

var faces = sync.OnceValue(func() *[3]outline {
	out := new([3]outline)
	for i, data := range [][]byte{goregular.TTF, goitalic.TTF, gobold.TTF} {
		f, err := sfnt.Parse(data)
		if err != nil {
			panic(err) // the bytes are compiled in
		}
		out[i] = outline{data: data, perEm: int(f.UnitsPerEm()), advances: advancesOf(f)}
	}
	return out
})

// advancesOf measures every character that a face has.
func advancesOf(f *sfnt.Font) []int16 {
	var buf sfnt.Buffer
	out := make([]int16, lastMeasured)
	for r := range out {
		out[r] = -1
		i, err := f.GlyphIndex(&buf, rune(r))
		if err != nil || i == 0 {
			continue
		}
		if a, err := f.GlyphAdvance(&buf, i, fixed.I(int(f.UnitsPerEm())), font.HintingNone); err == nil {
			out[r] = int16(a.Round())
		}
	}
	return out
}

// strange stands for a character that the faces do not have.
const strange = '□'

// Fit makes text fit to be set: on one line, no control characters, each character that the face does not have as a hollow square.
func Fit(s string, face Face) string {
	has := faces()[face].advances
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\u00a0' || unicode.IsSpace(r):
			return ' '
		case unicode.In(r, unicode.Cf):
			return -1
		case r >= lastMeasured || has[r] < 0:
			return strange
		}
		return r
	}, prose.Clean(s))
}

// units is how wide a character is set, in units of the type.
func (o *outline) units(r rune) int {
	switch {
	case r == '\u00a0' || unicode.IsSpace(r):
		r = ' '
	case r < ' ' || unicode.In(r, unicode.Cf):
		return 0
	case r >= lastMeasured || o.advances[r] < 0:
		r = strange
	}
	return int(o.advances[r])
}

// Width is how wide a line of text is in millimetres, type being size mm high. Characters stand side by side, without kerning, as
// both writers put them.
func Width(s string, face Face, size float64) float64 {
	o := &faces()[face]
	units := 0
	for _, r := range s {
		units += o.units(r)
	}
	return float64(units) * size / float64(o.perEm)
}

// head is the longest beginning of s that is no wider than width mm.
func head(s string, face Face, size, width float64) string {
	o := &faces()[face]
	most, units := width*float64(o.perEm)/size, 0
	for i, r := range s {
		units += o.units(r)
		if float64(units) > most {
			return s[:i]
		}
	}
	return s
}

// Shorten cuts a text to a width in millimetres, with an ellipsis where something was cut.
func Shorten(s string, face Face, size, width float64) string {
	if Width(s, face, size) <= width {
		return s
	}
	return strings.TrimRight(head(s, face, size, width-Width("…", face, size)), " ") + "…"
}

// Wrap breaks a text at spaces into lines no wider than width mm; a word that is wider is broken. There is always a line.
func Wrap(s string, face Face, size, width float64) []string {
	var lines []string
	line, used := "", 0.0
	space := Width(" ", face, size)
	for _, word := range strings.FieldsFunc(s, func(r rune) bool { return unicode.IsSpace(r) && r != '\u00a0' }) {
		word = strings.ReplaceAll(word, "\u00a0", " ")
		w := Width(word, face, size)
		if line == "" && w <= width {
			line, used = word, w
			continue
		}
		if line != "" && used+space+w <= width {
			line, used = line+" "+word, used+space+w
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		for word != "" && Width(word, face, size) > width {
			part := head(word, face, size, width)
			if part == "" { // narrower than a character
				_, n := utf8.DecodeRuneInString(word)
				part = word[:n]
			}
			lines, word = append(lines, part), word[len(part):]
		}
		line, used = word, Width(word, face, size)
	}
	if line != "" || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

func sincos(deg float64) (sin, cos float64) { return math.Sincos(deg * math.Pi / 180) }
