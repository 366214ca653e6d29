package interchange

import (
	"bytes"
	"fmt"
	"unicode/utf8"
)

// MaxDepth is how deep arrays and objects may be nested. GeoJSON needs about ten.
const MaxDepth = 100

// A SyntaxFault is a text that is not the JSON or GeoJSON it should be. It refuses the whole file.
type SyntaxFault struct {
	Offset int // byte offset from the start of the file, from 0
	Line   int // from 1
	Column int // in characters, from 1; for a text that is not UTF-8, in bytes
	What   string
	Mend   string
}

// Error says where and what.
func (f *SyntaxFault) Error() string {
	return fmt.Sprintf("line %d, column %d: %s", f.Line, f.Column, f.What)
}

// FaultAt makes a SyntaxFault at a byte offset of data and works out its line and column. O(offset).
func FaultAt(data []byte, offset int, mend, format string, args ...any) *SyntaxFault {
	offset = min(max(offset, 0), len(data))
	before := data[:offset]
	start := bytes.LastIndexByte(before, '\n') + 1
	column := utf8.RuneCount(before[start:]) + 1
	return &SyntaxFault{
		Offset: offset, Line: bytes.Count(before, []byte{'\n'}) + 1, Column: column,
		What: fmt.Sprintf(format, args...), Mend: mend,
	}
}

// Check reports whether data is one JSON text (RFC 8259) in UTF-8 without a byte order mark, nested at most MaxDepth deep.
// It allocates nothing unless it finds a fault and takes one pass. nil means that the other functions of this package may be
// used on data and on every slice that they hand out.
func Check(data []byte) *SyntaxFault {
	if f := checkEncoding(data); f != nil {
		return f
	}
	c := checker{data: data}
	return c.run()
}

func checkEncoding(data []byte) *SyntaxFault {
	switch {
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}), bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		return FaultAt(data, 0, "Save it again as UTF-8.", "The text is in UTF-16, not UTF-8.")
	}
	if utf8.Valid(data) {
		return nil
	}
	for i := 0; i < len(data); {
		r, n := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && n == 1 {
			return FaultAt(data, i, "Save it again as UTF-8.", "The byte %#02x here is not UTF-8 text.", data[i])
		}
		i += n
	}
	return nil
}

// checker walks the text once. stack holds one byte per open array or object, so depth is bounded by its length.
type checker struct {
	data  []byte
	pos   int
	stack [MaxDepth]byte // '{' or '['
	depth int
}

func (c *checker) run() *SyntaxFault {
	for {
		if f := c.value(); f != nil {
			return f
		}
		done, f := c.after()
		if done || f != nil {
			return f
		}
	}
}

// value reads a scalar, or opens an array or object and carries on to its first scalar; an empty one counts as a scalar.
func (c *checker) value() *SyntaxFault {
	for {
		c.space()
		if c.pos >= len(c.data) {
			return c.fault("The text ends where a value should follow. The file may be cut short.")
		}
		switch b := c.data[c.pos]; {
		case b == '{' || b == '[':
			if c.depth == MaxDepth {
				return c.fault("Arrays and objects are nested more than %d deep here.", MaxDepth)
			}
			c.stack[c.depth] = b
			c.depth++
			c.pos++
			c.space()
			if c.pos < len(c.data) && c.data[c.pos] == b+2 { // ] and } are two after [ and { in ASCII
				c.pos++
				c.depth--
				return nil
			}
			if b == '{' {
				if f := c.key(); f != nil {
					return f
				}
			}
		case b == '"':
			return c.str()
		case b == '-' || b >= '0' && b <= '9':
			return c.number()
		default:
			return c.word()
		}
	}
}

// after closes what ends after a value and moves past the comma before the next one; done when the text is at its end.
func (c *checker) after() (done bool, f *SyntaxFault) {
	for {
		c.space()
		if c.depth == 0 {
			if c.pos < len(c.data) {
				return true, c.fault("Something follows the end of the JSON text. One file holds one text.")
			}
			return true, nil
		}
		open := c.stack[c.depth-1]
		if c.pos >= len(c.data) {
			return true, c.fault("The text ends before its closing %q. The file may be cut short.", string(open+2))
		}
		switch c.data[c.pos] {
		case open + 2:
			c.pos++
			c.depth--
		case ',':
			c.pos++
			if open == '{' {
				c.space()
				return false, c.key()
			}
			return false, nil
		default:
			return true, c.fault("A comma or %q should stand here.", string(open+2))
		}
	}
}

func (c *checker) key() *SyntaxFault {
	if c.pos >= len(c.data) || c.data[c.pos] != '"' {
		return c.fault("A name in double quotes should stand here.")
	}
	if f := c.str(); f != nil {
		return f
	}
	c.space()
	if c.pos >= len(c.data) || c.data[c.pos] != ':' {
		return c.fault("A colon should stand between a name and its value.")
	}
	c.pos++
	return nil
}

func (c *checker) str() *SyntaxFault {
	start := c.pos
	c.pos++
	for c.pos < len(c.data) {
		switch b := c.data[c.pos]; {
		case b == '"':
			c.pos++
			return nil
		case b == '\\':
			if f := c.escape(); f != nil {
				return f
			}
		case b < 0x20:
			return c.fault("A text in quotes holds a line break or another control character. Write it as an escape, such as \\n.")
		default:
			c.pos++
		}
	}
	c.pos = start
	return c.fault("The text in quotes that begins here never ends.")
}

func (c *checker) escape() *SyntaxFault {
	if c.pos+1 < len(c.data) {
		switch c.data[c.pos+1] {
		case '"', '\\', '/', 'b', 'f', 'n', 'r', 't':
			c.pos += 2
			return nil
		case 'u':
			if c.pos+6 <= len(c.data) && isHex(c.data[c.pos+2:c.pos+6]) {
				c.pos += 6
				return nil
			}
		}
	}
	return c.fault("The backslash here does not begin an escape that JSON knows.")
}

func isHex(b []byte) bool {
	for _, x := range b {
		if !(x >= '0' && x <= '9' || x >= 'a' && x <= 'f' || x >= 'A' && x <= 'F') {
			return false
		}
	}
	return true
}

func (c *checker) digits() bool {
	start := c.pos
	for c.pos < len(c.data) && c.data[c.pos] >= '0' && c.data[c.pos] <= '9' {
		c.pos++
	}
	return c.pos > start
}

func (c *checker) number() *SyntaxFault {
	start := c.pos
	bad := func() *SyntaxFault {
		c.pos = start
		return c.fault("The number here is not written as JSON writes numbers, such as 0.5 or -2.")
	}
	if c.data[c.pos] == '-' {
		c.pos++
	}
	first := c.pos
	if !c.digits() || c.data[first] == '0' && c.pos > first+1 {
		return bad()
	}
	if c.pos < len(c.data) && c.data[c.pos] == '.' {
		c.pos++
		if !c.digits() {
			return bad()
		}
	}
	if c.pos < len(c.data) && (c.data[c.pos] == 'e' || c.data[c.pos] == 'E') {
		c.pos++
		if c.pos < len(c.data) && (c.data[c.pos] == '+' || c.data[c.pos] == '-') {
			c.pos++
		}
		if !c.digits() {
			return bad()
		}
	}
	return nil
}

func (c *checker) word() *SyntaxFault {
	for _, w := range []string{"true", "false", "null"} {
		if bytes.HasPrefix(c.data[c.pos:], []byte(w)) {
			c.pos += len(w)
			return nil
		}
	}
	r, _ := utf8.DecodeRune(c.data[c.pos:])
	return c.fault("A value should stand here, but there is %q.", string(r))
}

func (c *checker) space() { c.pos = skipSpace(c.data, c.pos) }

func (c *checker) fault(format string, args ...any) *SyntaxFault {
	return FaultAt(c.data, c.pos, "Mend the text there, or export the file again.", format, args...)
}

func skipSpace(data []byte, i int) int {
	for i < len(data) && (data[i] == ' ' || data[i] == '\n' || data[i] == '\r' || data[i] == '\t') {
		i++
	}
	return i
}
