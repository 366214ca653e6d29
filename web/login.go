package web

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base32"
	"encoding/hex"
	"net/http"
	"strings"
	"sync"
	"time"
)

// Passphrase makes a passphrase of 80 random bits, in four groups that are easy to read out and to type.
func Passphrase() string {
	var b [10]byte
	rand.Read(b[:]) // never fails: it ends the program where the system has no randomness
	text := strings.ToLower(base32.StdEncoding.EncodeToString(b[:]))
	return text[:4] + "-" + text[4:8] + "-" + text[8:12] + "-" + text[12:]
}

// LeastPassphrase is the fewest characters of a passphrase that a user may choose.
const LeastPassphrase = 8

// sessions are the browsers that have given the passphrase. They end with the program.
type sessions struct {
	phrase [sha256.Size]byte
	asked  bool
	delay  time.Duration
	tries  chan struct{} // one place for each wrong passphrase that is being waited out

	mu   sync.Mutex
	open map[[sha256.Size]byte]time.Time // hash of the token, and when it ends
}

const (
	cookieName   = "quickthorn"
	sessionTime  = 30 * 24 * time.Hour
	mostSessions = 100
	mostTries    = 10
	wrongDelay   = time.Second
	maxLoginBody = 4096
)

func newSessions(phrase string) *sessions {
	return &sessions{phrase: sha256.Sum256([]byte(phrase)), asked: phrase != "", delay: wrongDelay, tries: make(chan struct{}, mostTries),
		open: map[[sha256.Size]byte]time.Time{}}
}

// right compares hashes in constant time, so that neither the time nor the length of what was given tells anything.
func (s *sessions) right(phrase string) bool {
	sum := sha256.Sum256([]byte(strings.TrimSpace(phrase)))
	return subtle.ConstantTimeCompare(sum[:], s.phrase[:]) == 1
}

// begin opens a session and gives its token. The oldest ends where there are too many.
func (s *sessions) begin(now time.Time) string {
	var b [32]byte
	rand.Read(b[:])
	token := hex.EncodeToString(b[:])
	s.mu.Lock()
	defer s.mu.Unlock()
	for len(s.open) >= mostSessions {
		var oldest [sha256.Size]byte
		end := time.Time{}
		for k, t := range s.open {
			if end.IsZero() || t.Before(end) {
				oldest, end = k, t
			}
		}
		delete(s.open, oldest)
	}
	s.open[sha256.Sum256([]byte(token))] = now.Add(sessionTime)
	return token
}

// holds reports whether the token is of an open session. Tokens are looked up by their hash, so the time tells nothing of them.
func (s *sessions) holds(token string, now time.Time) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	end, ok := s.open[sha256.Sum256([]byte(token))]
	return ok && now.Before(end)
}

func (s *sessions) end(token string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.open, sha256.Sum256([]byte(token)))
}

// allowed reports whether the request comes with the passphrase, as the cookie of a session or as Authorization: Bearer.
// A wrong bearer is slowed down as a wrong form is.
func (s *sessions) allowed(r *http.Request) (ok, wrong bool) {
	if c, err := r.Cookie(cookieName); err == nil && s.holds(c.Value, time.Now()) {
		return true, false
	}
	if given, has := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer "); has {
		return s.right(given), !s.right(given)
	}
	return false, false
}

// slow waits out a wrong passphrase. It is false where too many are waited out already.
func (s *sessions) slow(r *http.Request) bool {
	select {
	case s.tries <- struct{}{}:
		defer func() { <-s.tries }()
	default:
		return false
	}
	t := time.NewTimer(s.delay)
	defer t.Stop()
	select {
	case <-t.C:
	case <-r.Context().Done():
	}
	return true
}

// locked asks for the passphrase where there is one. A person is shown the form, a program is told.
func (s *server) locked(next http.Handler) http.Handler {
	if !s.sessions.asked {
		return next
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch {
		case r.URL.Path == "/login":
			s.login(w, r)
			return
		case r.URL.Path == "/healthz", r.URL.Path == "/favicon.ico":
			next.ServeHTTP(w, r)
			return
		}
		ok, wrong := s.sessions.allowed(r)
		switch {
		case ok && r.URL.Path == "/logout" && r.Method == http.MethodPost:
			s.logout(w, r)
		case ok:
			next.ServeHTTP(w, r)
		case wrong && !s.sessions.slow(r):
			s.say(w, r, refuse(tooManyTries, "Others are trying at the same time."))
		case r.Method == http.MethodGet && strings.Contains(r.Header.Get("Accept"), "text/html"):
			w.Header().Set("Cache-Control", "no-store")
			w.Header().Set("Location", "/login")
			w.WriteHeader(http.StatusSeeOther)
		default:
			w.Header().Set("WWW-Authenticate", `Bearer realm="quickthorn"`)
			s.say(w, r, refuse(needsPhrase, "The passphrase was printed where the program was started."))
		}
	})
}

// login shows the form and takes what is put into it. The page is plain markup without script or style.
func (s *server) login(w http.ResponseWriter, r *http.Request) {
	// With no-referrer a browser would send the form with "Origin: null", which looks like a page from elsewhere.
	w.Header().Set("Referrer-Policy", "same-origin")
	w.Header().Set("Cache-Control", "no-store")
	switch r.Method {
	case http.MethodGet, http.MethodHead:
		s.loginForm(w, r, http.StatusOK, "")
	case http.MethodPost:
		r.Body = http.MaxBytesReader(w, r.Body, maxLoginBody)
		if err := r.ParseForm(); err != nil {
			s.loginForm(w, r, http.StatusBadRequest, "That could not be read. Type the passphrase and try again.")
			return
		}
		if !s.sessions.right(r.PostForm.Get("passphrase")) {
			if !s.sessions.slow(r) {
				s.loginForm(w, r, http.StatusTooManyRequests, "Others are trying at the same time. Wait a few seconds and try again.")
				return
			}
			s.loginForm(w, r, http.StatusForbidden, "That is not the passphrase. It was printed where the program was started.")
			return
		}
		http.SetCookie(w, &http.Cookie{Name: cookieName, Value: s.sessions.begin(time.Now()), Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode,
			Secure: r.TLS != nil, MaxAge: int(sessionTime / time.Second)})
		w.Header().Set("Location", "/")
		w.WriteHeader(http.StatusSeeOther)
	default:
		w.Header().Set("Allow", "GET, HEAD, POST")
		s.say(w, r, refuse(noMethod, "/login does not take %s.", r.Method))
	}
}

func (s *server) logout(w http.ResponseWriter, r *http.Request) {
	if c, err := r.Cookie(cookieName); err == nil {
		s.sessions.end(c.Value)
	}
	http.SetCookie(w, &http.Cookie{Name: cookieName, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: -1})
	w.Header().Set("Location", "/login")
	w.WriteHeader(http.StatusSeeOther)
}

func (s *server) loginForm(w http.ResponseWriter, r *http.Request, status int, said string) {
	if said != "" {
		said = `<p id="said" role="alert"><strong>` + said + "</strong></p>\n"
	}
	send(w, r, status, "text/html; charset=utf-8", []byte(`<!doctype html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Quickthorn: passphrase</title>
</head>
<body>
<main>
<h1>Quickthorn</h1>
`+said+`<form method="post" action="/login">
<input name="username" value="quickthorn" autocomplete="username" hidden>
<p><label for="passphrase">Passphrase</label></p>
<p><input id="passphrase" name="passphrase" type="password" autocomplete="current-password" required autofocus></p>
<p><button type="submit">Open</button></p>
</form>
<p>The passphrase was printed where the program was started.</p>
</main>
</body>
</html>
`))
}
