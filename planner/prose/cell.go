package prose

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Inert puts an apostrophe before text that a spreadsheet would run as a formula: what begins with = + - @ or a full-width or small
// form of them, with or without blanks or characters of no width before it, and what begins with a tab, a line end or NUL (the
// union of what OWASP's Application Security Verification Standard 5.0, item 1.2.10, and MITRE's CWE-1236 list).
func Inert(s string) string {
	if s == "" {
		return s
	}
	if strings.ContainsRune("\t\r\n\x00", rune(s[0])) {
		return "'" + s
	}
	body := strings.TrimLeftFunc(s, func(r rune) bool {
		return unicode.IsSpace(r) || unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Mn)
	})
	first, size := utf8.DecodeRuneInString(body)
	if size > 0 && strings.ContainsRune("=+-@\uff1d\uff0b\uff0d\uff20\u2212\ufe62\ufe63\ufe66\ufe6b", first) {
		return "'" + s
	}
	return s
}

// Cell is a text cell of a CSV file (RFC 4180): inert, quoted, quotes doubled. An empty text is an empty cell.
func Cell(s string) string {
	if s == "" {
		return ""
	}
	return `"` + strings.ReplaceAll(Inert(s), `"`, `""`) + `"`
}
