package web

import (
	"bytes"
	"compress/gzip"
	"io"
	"io/fs"
	"net/http"
	"path"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func gunzip(t *testing.T, data []byte) string {
	t.Helper()
	r, err := gzip.NewReader(bytes.NewReader(data))
	require.NoError(t, err)
	text, err := io.ReadAll(r)
	require.NoError(t, err)
	return string(text)
}

func TestStaticFiles(t *testing.T) {
	p := serve(t, Options{})
	p.client.Transport = &http.Transport{DisableCompression: true}
	n := 0
	require.NoError(t, fs.WalkDir(embedded, "static", func(name string, d fs.DirEntry, err error) error {
		require.NoError(t, err)
		if d.IsDir() {
			return nil
		}
		data, err := embedded.ReadFile(name)
		require.NoError(t, err)
		data = lean(path.Ext(name), data)
		if strings.Contains(name, "/test/") {
			p.ask("GET", "/"+name, nil).problem(unknown)
			return nil
		}
		kind, known := media[path.Ext(name)]
		require.True(t, known, "%s has no media type: it would not be served", name)
		n++
		plain := p.ask("GET", "/"+name, nil).is(http.StatusOK)
		assert.Equal(t, string(data), string(plain.body), name)
		assert.Equal(t, kind, plain.header.Get("Content-Type"))
		assert.Equal(t, "no-cache", plain.header.Get("Cache-Control"))
		assert.Empty(t, plain.header.Get("Content-Encoding"))
		zipped := p.ask("GET", "/"+name, nil, "Accept-Encoding", "br, gzip").is(http.StatusOK)
		if zipped.header.Get("Content-Encoding") == "gzip" {
			assert.Equal(t, string(data), gunzip(t, zipped.body))
			assert.NotEqual(t, plain.tag(), zipped.tag(), "another form has another strong tag (RFC 9110, 2022, 8.8.3.3)")
			assert.Contains(t, plain.header.Values("Vary"), "Accept-Encoding")
		}
		p.ask("GET", "/"+name, nil, "If-None-Match", plain.tag()).is(http.StatusNotModified)
		p.ask("GET", "/"+name, nil, "If-None-Match", zipped.tag(), "Accept-Encoding", "gzip").is(http.StatusNotModified)
		return nil
	}))
	assert.Positive(t, n)
	assert.Equal(t, p.ask("GET", "/static/index.html", nil).body, p.ask("GET", "/", nil).is(http.StatusOK).body)
	for _, no := range []string{"/static/", "/static/no.js", "/static/../web.go", "/static/%2e%2e/web.go", "/static/..%2fweb.go", "/static//index.html"} {
		p.ask("GET", no, nil).problem(unknown)
	}
}

// The page keeps to its own policy: no script or style within the markup, nothing from elsewhere.
func TestThePageKeepsToThePolicy(t *testing.T) {
	for name, a := range must(readAssets()) {
		text := string(a.data)
		switch path.Ext(name) {
		case ".html", ".svg":
			assert.NotRegexp(t, `(?i)\sstyle\s*=`, text, name)
			assert.NotRegexp(t, `(?i)\son\w+\s*=`, text, name)
			assert.NotRegexp(t, `(?i)<style`, text, name)
			assert.NotRegexp(t, `(?i)javascript:`, text, name)
			for _, m := range regexp.MustCompile(`(?i)<script[^>]*>`).FindAllString(text, -1) {
				assert.Contains(t, m, "src=", name)
			}
			assert.NotRegexp(t, `(?i)(src|href)\s*=\s*["']?(https?:)?//`, text, name)
		case ".css":
			assert.NotRegexp(t, `(?i)@import|url\(\s*["']?(https?:)?//`, text, name)
		}
	}
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func TestGzip(t *testing.T) {
	p := serve(t, Options{})
	p.client.Transport = &http.Transport{DisableCompression: true}
	plain := p.ask("GET", "/holdings/demo/sheet", nil).is(http.StatusOK)
	for accept, packs := range map[string]bool{"gzip": true, "deflate, gzip;q=0.5": true, "*": true, "GZIP": true, "gzip;q=0": false, "identity": false, "*;q=0": false, "gzip;q=0, *": false, "br": false, "gzip;q=x": false} {
		a := p.ask("GET", "/holdings/demo/sheet", nil, "Accept-Encoding", accept).is(http.StatusOK)
		assert.Contains(t, a.header.Values("Vary"), "Accept-Encoding")
		if !packs {
			assert.Empty(t, a.header.Get("Content-Encoding"), accept)
			continue
		}
		require.Equal(t, "gzip", a.header.Get("Content-Encoding"), accept)
		assert.Equal(t, string(plain.body), gunzip(t, a.body))
		assert.Less(t, len(a.body), len(plain.body)/2)
	}
	assert.Empty(t, p.ask("GET", "/healthz", nil, "Accept-Encoding", "gzip").header.Get("Content-Encoding"), "short answers fit into a packet anyway")
}
