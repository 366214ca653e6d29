package web

import (
	"bytes"
)

// lean is a script or a style sheet without the comments that fill whole lines and without indentation, so that a slow line has
// less to carry; the files themselves stay readable. What it cannot be sure of it leaves as it is: a script with a template
// that runs over several lines, a comment beside code, anything that is neither script nor style. ext is ".js" or ".css".
// Lines keep their order, but not their numbers.
func lean(ext string, data []byte) []byte {
	if ext != ".js" && ext != ".css" {
		return data
	}
	var out bytes.Buffer
	out.Grow(len(data))
	comment := false
	for line := range bytes.Lines(data) {
		text := bytes.TrimSpace(line)
		switch {
		case comment:
			at := bytes.Index(text, []byte("*/"))
			if at >= 0 && at < len(text)-2 {
				return data // code follows the end of a comment
			}
			comment = at < 0
			continue
		case bytes.Count(text, []byte("`"))%2 != 0:
			return data
		case len(text) == 0, ext == ".js" && bytes.HasPrefix(text, []byte("//")):
			continue
		case bytes.HasPrefix(text, []byte("/*")):
			at := bytes.Index(text[2:], []byte("*/"))
			if at < 0 {
				comment = true
				continue
			}
			if at == len(text)-4 {
				continue
			}
		}
		out.Write(text)
		out.WriteByte('\n')
	}
	if comment {
		return data
	}
	return out.Bytes()
}
