package web

import (
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io/fs"
	"net/http"
	"path"
	"strings"
)

// The page and its files, inside the program.
//
//go:embed static
var embedded embed.FS

// An asset is a file of the page as it is served: as it is and compressed, each with the hash of its content for a tag.
type asset struct {
	media      string
	data, gz   []byte
	tag, gzTag string
}

// media is the table of what the page may be made of.
var media = map[string]string{
	".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8",
	".mjs": "text/javascript; charset=utf-8", ".json": "application/json", ".svg": "image/svg+xml", ".png": "image/png",
	".jpg": "image/jpeg", ".webp": "image/webp", ".ico": "image/x-icon", ".woff2": "font/woff2", ".txt": "text/plain; charset=utf-8",
	".geojson": "application/geo+json", ".webmanifest": "application/manifest+json",
}

func newAsset(kind string, data []byte) *asset {
	sum := sha256.Sum256(data)
	a := &asset{media: kind, data: data, tag: `"` + hex.EncodeToString(sum[:12]) + `"`}
	if isText(kind) && len(data) > worthPacking {
		if gz := packed(data, gzip.BestCompression); len(gz) < len(data) {
			a.gz, a.gzTag = gz, `"`+hex.EncodeToString(sum[:12])+`-gz"`
		}
	}
	return a
}

// readAssets reads the embedded files by their names below static. Tests and files of unknown kinds are not served.
func readAssets() (map[string]*asset, error) {
	out := map[string]*asset{}
	err := fs.WalkDir(embedded, "static", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			if d != nil && d.IsDir() && d.Name() == "test" {
				return fs.SkipDir
			}
			return err
		}
		kind, known := media[path.Ext(name)]
		if !known || strings.Contains(d.Name(), ".test.") {
			return nil
		}
		data, err := embedded.ReadFile(name)
		if err != nil {
			return err
		}
		out[strings.TrimPrefix(name, "static/")] = newAsset(kind, lean(path.Ext(name), data))
		return nil
	})
	return out, err
}

// serve sends an asset. Browsers keep it and ask each time whether it is still the same, so that a newer program shows at once.
func (a *asset) serve(w http.ResponseWriter, r *http.Request) error {
	data, tag := a.data, a.tag
	h := w.Header()
	h.Set("Cache-Control", "no-cache")
	if a.gz != nil {
		h.Add("Vary", "Accept-Encoding")
		if takesGzip(r) {
			data, tag = a.gz, a.gzTag
		}
	}
	if same, err := unchanged(w, r, tag); same || err != nil {
		return err
	}
	if tag == a.gzTag && a.gz != nil {
		h.Set("Content-Encoding", "gzip")
	}
	h.Set("Content-Type", a.media)
	sendRaw(w, r, http.StatusOK, data)
	return nil
}

func (s *server) page(w http.ResponseWriter, r *http.Request) error {
	return s.file(w, r, "index.html")
}

func (s *server) static(w http.ResponseWriter, r *http.Request) error {
	return s.file(w, r, variable(r, "file"))
}

func (s *server) file(w http.ResponseWriter, r *http.Request, name string) error {
	a := s.assets[name]
	if a == nil {
		return refuse(unknown, "The page has no file %q.", name).so("Open / for the page.")
	}
	return a.serve(w, r)
}

// favicon is asked for by browsers whether or not the page names one.
func (s *server) favicon(w http.ResponseWriter, r *http.Request) error {
	if a := s.assets["icon.svg"]; a != nil {
		return a.serve(w, r)
	}
	w.WriteHeader(http.StatusNoContent)
	return nil
}

// words is the vocabulary: kinds, properties, species, rules, patterns and formats as data.
func (s *server) words(w http.ResponseWriter, r *http.Request) error { return s.vocabulary.serve(w, r) }
