// Package prose lays out plain text for a terminal or a printer: wrapping, padding and columns by the width that characters
// take on the screen, and colour where it is wanted. It knows nothing of plants.
package prose

import (
	"strings"
	"unicode"
)

// DefaultWidth is the width where nobody says how wide the terminal is.
const DefaultWidth = 80

// Clean makes text from a file safe to print on one line: control characters, line breaks and marks that turn the direction
// of writing become spaces or vanish, and bytes that are not UTF-8 become the replacement character.
func Clean(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '\n' || r == '\r' || r == '\t' || r == '\u2028' || r == '\u2029':
			b.WriteByte(' ')
		case unicode.IsControl(r):
		case r == '\u061c' || r >= '\u200e' && r <= '\u200f' || r >= '\u202a' && r <= '\u202e' || r >= '\u2066' && r <= '\u2069':
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// Short cuts a text to at most n columns, with an ellipsis where something was cut.
func Short(s string, n int) string {
	if Width(s) <= n {
		return s
	}
	var b strings.Builder
	w := 0
	for _, r := range s {
		rw := runeWidth(r)
		if w+rw > n-1 {
			break
		}
		b.WriteRune(r)
		w += rw
	}
	return b.String() + "…"
}

// Width is the number of columns the text takes on a terminal: two for wide East Asian characters, none for combining ones.
func Width(s string) int {
	n := 0
	for _, r := range s {
		n += runeWidth(r)
	}
	return n
}

func runeWidth(r rune) int {
	switch {
	case r < 0x20 || r == 0x7f:
		return 0
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	case r >= 0x1100 && (r <= 0x115f || r >= 0x2e80 && r <= 0xa4cf && r != 0x303f || r >= 0xac00 && r <= 0xd7a3 ||
		r >= 0xf900 && r <= 0xfaff || r >= 0xfe30 && r <= 0xfe6f || r >= 0xff00 && r <= 0xff60 || r >= 0xffe0 && r <= 0xffe6 ||
		r >= 0x1f300 && r <= 0x1faff || r >= 0x20000 && r <= 0x3fffd):
		return 2
	}
	return 1
}

// Left pads on the right to n columns; Right pads on the left. Text that is wider stays as it is.
func Left(s string, n int) string { return s + pad(n-Width(s)) }

// Right pads on the left to n columns.
func Right(s string, n int) string { return pad(n-Width(s)) + s }

func pad(n int) string {
	if n <= 0 {
		return ""
	}
	return strings.Repeat(" ", n)
}

// Wrap breaks a text at spaces so that no line is wider than width columns; the first line starts with first, the others with
// rest. A word that is wider than a line is broken. A no-break space keeps a figure and its unit on one line.
func Wrap(s string, width int, first, rest string) string {
	var lines []string
	line, indent := first, Width(first)
	used := indent
	empty := true
	flush := func() {
		lines = append(lines, strings.TrimRight(line, " "))
		line, used, empty = rest, Width(rest), true
	}
	for _, word := range strings.FieldsFunc(s, breaks) {
		word = strings.ReplaceAll(word, "\u00a0", " ")
		w := Width(word)
		if !empty && used+1+w > width {
			flush()
		}
		for room := width - used; w > room && room > 0 && empty; room = width - used {
			head, tail := split(word, room)
			line += head
			flush()
			word, w = tail, Width(tail)
		}
		if word == "" {
			continue
		}
		if !empty {
			line += " "
			used++
		}
		line += word
		used += w
		empty = false
	}
	if !empty || len(lines) == 0 {
		flush()
	}
	return strings.Join(lines, "\n")
}

func breaks(r rune) bool { return unicode.IsSpace(r) && r != '\u00a0' }

// split cuts a word after at most n columns, and after at least one character.
func split(s string, n int) (head, tail string) {
	w := 0
	for i, r := range s {
		if w+runeWidth(r) > n && i > 0 {
			return s[:i], s[i:]
		}
		w += runeWidth(r)
	}
	return s, ""
}

// Table lays rows out in columns two spaces apart, each line indented. Columns whose number is in right are set flush right.
// The last column wraps under itself where a line would be wider than width; where there is no room for that, under the
// indent. Trailing spaces are cut.
func Table(rows [][]string, indent string, width int, right ...int) string {
	var widths []int
	for _, row := range rows {
		for i, cell := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], Width(cell))
		}
	}
	flush := map[int]bool{}
	for _, c := range right {
		flush[c] = true
	}
	var b strings.Builder
	for _, row := range rows {
		head := indent
		for i, cell := range row[:max(0, len(row)-1)] {
			if flush[i] {
				head += Right(cell, widths[i]) + "  "
			} else {
				head += Left(cell, widths[i]) + "  "
			}
		}
		last := len(row) - 1
		if last < 0 {
			continue
		}
		cell := row[last]
		if flush[last] {
			cell = Right(cell, widths[last])
		}
		b.WriteString(fit(head, cell, indent, width))
	}
	return b.String()
}

// least is the narrowest that the last column of a table is wrapped to.
const least = 18

// fit puts the last cell of a row behind its head, wrapped where it must be.
func fit(head, cell, indent string, width int) string {
	at := Width(head)
	switch {
	case width <= 0 || at+Width(cell) <= width:
		return strings.TrimRight(head+cell, " ") + "\n"
	case width-at >= least:
		return Wrap(cell, width, head, pad(at)) + "\n"
	}
	return Wrap(strings.TrimSpace(head), width, indent, indent+"  ") + "\n" + Wrap(cell, width, indent+"    ", indent+"    ") + "\n"
}

// Paint colours text where Colour is on. The zero Paint leaves text as it is.
type Paint struct{ Colour bool }

// Bold, Red, Yellow, Blue and Dim set text apart; colour is never the only sign.
func (p Paint) Bold(s string) string   { return p.wrap("1", s) }
func (p Paint) Red(s string) string    { return p.wrap("1;31", s) }
func (p Paint) Yellow(s string) string { return p.wrap("1;33", s) }
func (p Paint) Blue(s string) string   { return p.wrap("1;34", s) }
func (p Paint) Dim(s string) string    { return p.wrap("2", s) }

func (p Paint) wrap(code, s string) string {
	if !p.Colour || s == "" {
		return s
	}
	return "\x1b[" + code + "m" + s + "\x1b[0m"
}
