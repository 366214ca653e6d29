package web

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/jpeg"
	"image/png"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var onePixel = func() []byte {
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 1, 1))); err != nil {
		panic(err)
	}
	return b.Bytes()
}()

// hugePNG says it is 100,000 x 100,000 points (PNG specification, third edition, W3C 2025, 11.2.1: IHDR).
func hugePNG() []byte {
	b := bytes.Clone(onePixel)
	binary.BigEndian.PutUint32(b[16:], 100_000)
	binary.BigEndian.PutUint32(b[20:], 100_000)
	binary.BigEndian.PutUint32(b[29:], crc32.ChecksumIEEE(b[12:29]))
	return b
}

func TestPictures(t *testing.T) {
	p := serve(t, Options{})
	var jpg bytes.Buffer
	require.NoError(t, jpeg.Encode(&jpg, image.NewGray(image.Rect(0, 0, 4, 4)), nil))
	webp := []byte("RIFF\x1a\x00\x00\x00WEBPVP8L\x0d\x00\x00\x00\x2f\x00\x00\x00\x10\x07\x10\x11\x11\x88\x88\xfe\x07\x00")
	for name, c := range map[string]struct {
		data []byte
		kind string
	}{"air.png": {onePixel, "image/png"}, "deed.of.1906.jpeg": {jpg.Bytes(), "image/jpeg"}, "small": {webp, "image/webp"}} {
		path := "/holdings/demo/pictures/" + name
		p.ask("GET", path, nil).problem(unknown)
		before := p.tag("demo")
		a := p.ask("PUT", path, c.data, "If-Match", before, "Content-Type", "text/html").is(http.StatusOK)
		assert.Equal(t, a.tag(), p.tag("demo"))
		assert.NotEqual(t, before, a.tag())
		got := p.ask("GET", path, nil).is(http.StatusOK)
		assert.Equal(t, c.data, got.body)
		assert.Equal(t, c.kind, got.header.Get("Content-Type"), "what it is, not what it was called")
		assert.Equal(t, "nosniff", got.header.Get("X-Content-Type-Options"))
		assert.Contains(t, got.header.Get("Content-Security-Policy"), "sandbox")
		p.ask("GET", path, nil, "If-None-Match", got.tag()).is(http.StatusNotModified)
		p.ask("DELETE", path, nil, "If-Match", p.tag("demo")).is(http.StatusOK)
		p.ask("GET", path, nil).problem(unknown)
		p.ask("DELETE", path, nil, "If-Match", p.tag("demo")).problem(unknown)
	}
}

func TestWhatIsNoPicture(t *testing.T) {
	p := serve(t, Options{})
	tag := p.tag("demo")
	for name, data := range map[string]string{
		"nothing": "", "text": "a picture", "SVG": `<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>`,
		"SVG with a head": `<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>`,
		"HTML":            "<!doctype html><script>alert(1)</script>", "GIF": "GIF89a\x01\x00\x01\x00\x00\x00\x00;", "PDF": "%PDF-1.7",
		"the start of a PNG": "\x89PNG\r\n\x1a\n<script>", "a PNG that breaks off": string(onePixel[:20]),
	} {
		t.Run(name, func(t *testing.T) {
			p.on(t).ask("PUT", "/holdings/demo/pictures/p.png", data, "If-Match", tag, "Content-Type", "image/png").problem(notPicture)
		})
	}
	p.ask("PUT", "/holdings/demo/pictures/p.png", hugePNG(), "If-Match", tag).problem(tooLarge)
	p.ask("PUT", "/holdings/demo/pictures/p.png", append(bytes.Clone(onePixel), make([]byte, maxPicture)...), "If-Match", tag).problem(tooLarge)
	for _, name := range []string{"..", ".hidden", "a%2Fb", "a b", "%3Cscript%3E", strings.Repeat("a", 81), "é"} {
		p.ask("PUT", "/holdings/demo/pictures/"+name, onePixel, "If-Match", tag).problem(malformed)
	}
	assert.Equal(t, tag, p.tag("demo"))
}
