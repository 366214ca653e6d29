package interchange

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/paulmach/orb"
)

// Reading XML from anywhere. The whole text is in memory already, so that what is read is bounded by its size; what could grow beyond
// it is refused: document types (the only way to declare entities, and with them texts that unfold to gigabytes or fetch other
// files), nesting deeper than MaxDepth, and more things or positions than maxItems and MaxPlaces.

// markup walks through the elements of an XML text.
type markup struct {
	data   []byte
	dec    *xml.Decoder
	what   string // the format, in words
	depth  int
	places int
	done   int64 // the offset after the token read last
}

func newMarkup(data []byte, what string) (*markup, *FormatFault) {
	data = bytes.TrimPrefix(data, bom)
	if bytes.HasPrefix(data, []byte{0xFF, 0xFE}) || bytes.HasPrefix(data, []byte{0xFE, 0xFF}) || bytes.IndexByte(data[:min(len(data), 64)], 0) >= 0 {
		return nil, formatFault("", "Save it as UTF-8.", "The file is not written in UTF-8 but in UTF-16 or UTF-32.")
	}
	m := &markup{data: data, what: what, dec: xml.NewDecoder(bytes.NewReader(data))}
	m.dec.CharsetReader = func(charset string, in io.Reader) (io.Reader, error) {
		switch strings.ToLower(charset) {
		case "us-ascii", "ascii":
			return in, nil
		case "iso-8859-1", "latin1", "windows-1252":
			return &westernReader{in: in}, nil
		}
		return nil, fmt.Errorf("%w %q", errCharset, Shorten(charset))
	}
	return m, nil
}

var errCharset = errors.New("the character set")

// westernReader turns windows-1252 into UTF-8. ISO 8859-1 is read in the same way, as the WHATWG Encoding Standard has it: the codes
// 0x80 to 0x9F are control characters there, which no file means.
type westernReader struct {
	in   io.Reader
	rest []byte
}

var western = [32]rune{'€', 0xFFFD, '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', 0xFFFD, 'Ž', 0xFFFD, 0xFFFD, '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', 0xFFFD, 'ž', 'Ÿ'}

func (w *westernReader) Read(p []byte) (int, error) {
	if len(w.rest) == 0 {
		var raw [1024]byte
		n, err := w.in.Read(raw[:])
		for _, b := range raw[:n] {
			r := rune(b)
			if b >= 0x80 && b < 0xA0 {
				r = western[b-0x80]
			}
			w.rest = utf8.AppendRune(w.rest, r)
		}
		if n == 0 {
			return 0, err
		}
	}
	n := copy(p, w.rest)
	w.rest = w.rest[n:]
	return n, nil
}

// next is the next token that is a start, an end or text; nil at the end of the file.
func (m *markup) next() (xml.Token, *FormatFault) {
	for {
		t, err := m.dec.Token()
		if err == io.EOF {
			return nil, nil
		}
		if err != nil {
			return nil, m.broken(err)
		}
		m.done = m.dec.InputOffset()
		switch t := t.(type) {
		case xml.StartElement:
			if m.depth++; m.depth > MaxDepth {
				return nil, m.fault("Take out what is nested.", "Elements are nested more than %d deep.", MaxDepth)
			}
			return t, nil
		case xml.EndElement:
			m.depth--
			return t, nil
		case xml.CharData:
			return t, nil
		case xml.Directive:
			if fields := strings.Fields(strings.ToLower(string(t))); len(fields) > 1 && fields[1] == "html" {
				return nil, formatFault("", "Download the file itself, not the page that offers it.", "The file is a web page (HTML), not %s.", m.what)
			}
			return nil, m.fault("Take the line out, or save the file anew.", "The file has a document type (<!%s ...), by which a file can swell or fetch others. None is read.",
				Shorten(strings.TrimSpace(firstWord(string(t)))))
		}
	}
}

func firstWord(s string) string {
	if f := strings.Fields(s); len(f) > 0 {
		return f[0]
	}
	return s
}

func (m *markup) broken(err error) *FormatFault {
	if errors.Is(err, errCharset) {
		return m.fault("Save it as UTF-8.", "The file is written in %s, which is not read.", strings.TrimPrefix(err.Error()[strings.Index(err.Error(), errCharset.Error()):], ""))
	}
	var syntax *xml.SyntaxError
	what := err.Error()
	if errors.As(err, &syntax) {
		what = syntax.Msg
		switch what {
		case "unexpected EOF":
			return m.fault("It was not saved or copied whole: export it again.", "The file ends in the middle.")
		case "invalid UTF-8":
			return m.fault("Save it as UTF-8, or let its first line say in which character set it is.", "The text here is not UTF-8.")
		}
		if strings.Contains(what, "character entity") {
			return m.fault("Entities of one's own are not read; write the text out.", "The file uses %s.", what)
		}
	}
	return m.fault("Export it again, or mend the place.", "The file is not sound XML: %s.", what)
}

// fault is a complaint about the place that was read last.
func (m *markup) fault(mend, format string, args ...any) *FormatFault {
	at := FaultAt(m.data, int(m.dec.InputOffset()), "", "")
	return formatFault(fmt.Sprintf("line %d, column %d", at.Line, at.Column), mend, format, args...)
}

// root reads up to the outermost element, which must have that name.
func (m *markup) root(name string) (xml.StartElement, *FormatFault) {
	for {
		t, f := m.next()
		if f != nil {
			return xml.StartElement{}, f
		}
		if t == nil {
			return xml.StartElement{}, formatFault("", "Export it again.", "The file has no element %q, so it is not %s.", name, m.what)
		}
		if s, ok := t.(xml.StartElement); ok {
			if s.Name.Local != name {
				return s, m.fault("Bring in GPX, KML, GeoPackage or GeoJSON.", "The file is XML whose outermost element is %q; %s begins with %q.", Shorten(s.Name.Local), m.what, name)
			}
			return s, nil
		}
	}
}

// children visits the elements directly inside the one whose start was read last. visit must read to the end of its element, or use
// none of it: what is left is passed by.
func (m *markup) children(visit func(xml.StartElement) *FormatFault) *FormatFault {
	level := m.depth
	for {
		t, f := m.next()
		switch {
		case f != nil:
			return f
		case t == nil:
			return m.fault("It was not saved or copied whole: export it again.", "The file ends in the middle.")
		}
		switch t := t.(type) {
		case xml.StartElement:
			if f := visit(t); f != nil {
				return f
			}
			for m.depth > level {
				if t, f := m.next(); f != nil {
					return f
				} else if t == nil {
					return m.fault("It was not saved or copied whole: export it again.", "The file ends in the middle.")
				}
			}
		case xml.EndElement:
			if m.depth < level {
				return nil
			}
		}
	}
}

// text is the text of the element whose start was read last, without that of elements inside it, trimmed.
func (m *markup) text() (string, *FormatFault) {
	level := m.depth
	var b strings.Builder
	for {
		t, f := m.next()
		switch {
		case f != nil:
			return "", f
		case t == nil:
			return "", m.fault("It was not saved or copied whole: export it again.", "The file ends in the middle.")
		}
		switch t := t.(type) {
		case xml.CharData:
			if m.depth == level {
				b.Write(t)
			}
		case xml.EndElement:
			if m.depth < level {
				return strings.TrimSpace(b.String()), nil
			}
		}
	}
}

// place counts a position and checks that it is on the globe.
func (m *markup) place(lon, lat string) (orb.Point, *FormatFault) {
	if m.places++; m.places > MaxPlaces {
		return orb.Point{}, formatFault("", "Split the file.", "The file has more than %d positions.", MaxPlaces)
	}
	x, errX := strconv.ParseFloat(strings.TrimSpace(lon), 64)
	y, errY := strconv.ParseFloat(strings.TrimSpace(lat), 64)
	if errX != nil || errY != nil {
		return orb.Point{}, m.fault("Longitude and latitude are numbers of degrees, such as -2.6 and 54.2.", "A position has the longitude %q and the latitude %q.", Shorten(lon), Shorten(lat))
	}
	if !(x >= -180 && x <= 180 && y >= -90 && y <= 90) {
		return orb.Point{}, m.fault("Longitude runs from -180 to 180 and latitude from -90 to 90.", "The position %s, %s is not on the globe.", Shorten(lon), Shorten(lat))
	}
	return orb.Point{x, y}, nil
}

func attr(s xml.StartElement, name string) string {
	for _, a := range s.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}
