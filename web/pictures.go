package web

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"image"
	_ "image/jpeg" // so that image knows their sizes
	_ "image/png"
	"net/http"
	"regexp"

	"quickthorn/planner/store"
)

// pictureName is what a picture may be called: it stands in addresses, in the plan and in the names of downloads.
var pictureName = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._-]{0,79}$`)

// mostPixels bounds what a browser has to unpack for a picture that is small as a file.
const mostPixels = 100_000_000

// pictureMedia is what the first bytes of a picture say it is. SVG is never taken: it can run scripts.
func pictureMedia(data []byte) (string, error) {
	kind := http.DetectContentType(data)
	switch kind {
	case "image/webp":
		return kind, nil
	case "image/png", "image/jpeg":
		c, _, err := image.DecodeConfig(bytes.NewReader(data))
		if err != nil {
			out := refuse(notPicture, "The picture cannot be opened: it breaks off or is damaged.")
			out.cause = err
			return "", out
		}
		if c.Width*c.Height > mostPixels {
			return "", refuse(tooLarge, "The picture has %d x %d points; at most %d million are kept.", c.Width, c.Height, mostPixels/1_000_000).
				so("Make it smaller and send it again.")
		}
		return kind, nil
	}
	return "", refuse(notPicture, "The file is not a PNG, JPEG or WebP picture, whatever it is called.")
}

func pictureOf(r *http.Request) (string, error) {
	name := variable(r, "picture")
	if !pictureName.MatchString(name) {
		return "", refuse(malformed, "A picture cannot be called that.").about("name").so("Use letters, digits, dots, hyphens and underscores, at most 80 of them.")
	}
	return name, nil
}

func (s *server) picture(w http.ResponseWriter, r *http.Request) error {
	h, err := s.current(r)
	if err != nil {
		return err
	}
	name, err := pictureOf(r)
	if err != nil {
		return err
	}
	data, kind, err := s.store.Picture(r.Context(), h.ID, name)
	if errors.Is(err, store.ErrNotFound) {
		return noPicture(name)
	}
	if err != nil {
		return err
	}
	sum := sha256.Sum256(data)
	w.Header().Set("Cache-Control", "private, no-cache")
	if same, err := unchanged(w, r, `"p-`+hex.EncodeToString(sum[:12])+`"`); same || err != nil {
		return err
	}
	w.Header().Set("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'; sandbox")
	w.Header().Set("Content-Disposition", disposition("inline", name))
	w.Header().Set("Content-Type", kind)
	sendRaw(w, r, http.StatusOK, data)
	return nil
}

func noPicture(name string) *refusal {
	return refuse(unknown, "The holding has no picture %q.", name).so("PUT it here with the If-Match of the holding.")
}

func (s *server) putPicture(w http.ResponseWriter, r *http.Request) error {
	h, err := s.changing(r)
	if err != nil {
		return err
	}
	name, err := pictureOf(r)
	if err != nil {
		return err
	}
	data, err := readBody(w, r, min(maxPicture, s.opt.MaxBody))
	if err != nil {
		return err
	}
	kind, err := pictureMedia(data)
	if err != nil {
		return err
	}
	h, err = s.store.SetPicture(r.Context(), h.ID, h.Revision, name, kind, data)
	if err != nil {
		return err
	}
	return s.changed(w, r, h, nil)
}

func (s *server) deletePicture(w http.ResponseWriter, r *http.Request) error {
	h, err := s.changing(r)
	if err != nil {
		return err
	}
	name, err := pictureOf(r)
	if err != nil {
		return err
	}
	h, err = s.store.DeletePicture(r.Context(), h.ID, h.Revision, name)
	if errors.Is(err, store.ErrNotFound) {
		return noPicture(name)
	}
	if err != nil {
		return err
	}
	return s.changed(w, r, h, nil)
}
