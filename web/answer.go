package web

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"net"
	"net/http"
	"strconv"
	"strings"
	"sync"
)

// send writes an answer whole. Text is compressed where the asker can read that and it is worth it.
func send(w http.ResponseWriter, r *http.Request, status int, media string, body []byte) {
	h := w.Header()
	h.Set("Content-Type", media)
	if isText(media) {
		h.Add("Vary", "Accept-Encoding")
		if len(body) > worthPacking && takesGzip(r) && !hurried(r) {
			body = packed(body, gzip.BestSpeed)
			h.Set("Content-Encoding", "gzip")
		}
	}
	sendRaw(w, r, status, body)
}

func sendRaw(w http.ResponseWriter, r *http.Request, status int, body []byte) {
	w.Header().Set("Content-Length", strconv.Itoa(len(body)))
	w.WriteHeader(status)
	if r.Method != http.MethodHead {
		w.Write(body)
	}
}

// hurried reports an answer to a drag or a change on this machine: packing it takes longer than sending it as it is.
func hurried(r *http.Request) bool {
	if r.Method != http.MethodPost {
		return false
	}
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	return err == nil && net.ParseIP(host).IsLoopback()
}

// worthPacking is the size in bytes up to which an answer fits into one packet anyway.
const worthPacking = 1400

func isText(media string) bool {
	media, _, _ = strings.Cut(media, ";")
	return strings.HasPrefix(media, "text/") || strings.HasSuffix(media, "json") || strings.HasSuffix(media, "xml")
}

// takesGzip reads Accept-Encoding (RFC 9110, 2022, section 12.5.3): gzip or *, unless with a weight of 0.
func takesGzip(r *http.Request) bool {
	star := false
	for _, part := range strings.Split(strings.Join(r.Header.Values("Accept-Encoding"), ","), ",") {
		name, params, _ := strings.Cut(part, ";")
		takes := weight(params) > 0
		switch strings.ToLower(strings.TrimSpace(name)) {
		case "gzip", "x-gzip":
			return takes
		case "*":
			star = takes
		}
	}
	return star
}

// weight is the q of the parameters of an entry of an Accept header, 1 where there is none.
func weight(params string) float64 {
	for _, p := range strings.Split(params, ";") {
		if v, ok := strings.CutPrefix(strings.ToLower(strings.TrimSpace(p)), "q="); ok {
			q, err := strconv.ParseFloat(v, 64)
			if err != nil {
				return 0
			}
			return q
		}
	}
	return 1
}

var packers = sync.Pool{New: func() any {
	p, _ := gzip.NewWriterLevel(nil, gzip.BestSpeed)
	return p
}}

// packed is the body compressed with gzip.
func packed(body []byte, level int) []byte {
	var b bytes.Buffer
	b.Grow(len(body)/4 + 64)
	if level != gzip.BestSpeed {
		p, _ := gzip.NewWriterLevel(&b, level)
		p.Write(body)
		p.Close()
		return b.Bytes()
	}
	p := packers.Get().(*gzip.Writer)
	defer packers.Put(p)
	p.Reset(&b)
	p.Write(body)
	p.Close()
	return b.Bytes()
}

// sendJSON writes a value as JSON. Nothing of a holding is kept by caches: a newer program may write the same revision differently.
func sendJSON(w http.ResponseWriter, r *http.Request, status int, v any) error {
	body, err := toJSON(v)
	if err != nil {
		return err
	}
	w.Header().Set("Cache-Control", "no-store")
	send(w, r, status, "application/json", body)
	return nil
}

// toJSON leaves < and > as they are: an answer of JSON is never read as markup.
func toJSON(v any) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
