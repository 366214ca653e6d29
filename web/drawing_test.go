package web

import (
	"bytes"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner/sheets"
)

func TestDrawing(t *testing.T) {
	p := serve(t, Options{})
	r := demoReport(t, 12)
	d, err := sheets.Draw(r.DrawingInput(12), sheets.Options{Scale: 1000, Paper: "A3", Year: 12})
	require.NoError(t, err)
	for _, f := range sheets.Formats() {
		var b bytes.Buffer
		require.NoError(t, f.Write(&b, d, 1))
		a := p.ask("GET", "/holdings/demo/drawing?year=12&scale=1000&paper=A3&format="+f.Name, nil).is(http.StatusOK)
		assert.True(t, bytes.Equal(b.Bytes(), a.body), "%s as the command writes it", f.Name)
		assert.Equal(t, f.Media, a.header.Get("Content-Type"))
	}
	for address, status := range map[string]int{
		"/holdings/demo/drawing?scale=300":   http.StatusBadRequest,
		"/holdings/demo/drawing?scale=x":     http.StatusBadRequest,
		"/holdings/demo/drawing?paper=B3":    http.StatusBadRequest,
		"/holdings/demo/drawing?turn=round":  http.StatusBadRequest,
		"/holdings/demo/drawing?page=99":     http.StatusBadRequest,
		"/holdings/demo/drawing?format=xlsx": http.StatusBadRequest,
		"/holdings/none/drawing":             http.StatusNotFound,
	} {
		a := p.ask("GET", address, nil).is(status)
		assert.Contains(t, string(a.body), `"mend"`, address)
	}
}

// Field sheets are offered beside the positions; the page of them has its own style and nothing else.
func TestFieldSheetsAreServed(t *testing.T) {
	p := serve(t, Options{})
	html := p.ask("GET", "/holdings/demo/setout?format=html", nil).is(http.StatusOK)
	assert.Contains(t, string(html.body), "Pegging out")
	assert.Contains(t, html.header.Get("Content-Security-Policy"), "style-src 'sha256-")
	assert.NotContains(t, string(html.body), "<script")
	pdf := p.ask("GET", "/holdings/demo/setout?format=pdf", nil).is(http.StatusOK)
	assert.True(t, strings.HasPrefix(string(pdf.body), "%PDF-"))
	xlsx := p.ask("GET", "/holdings/demo/planting-list?format=xlsx", nil).is(http.StatusOK)
	assert.True(t, strings.HasPrefix(string(xlsx.body), "PK"))
}
