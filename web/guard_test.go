package web

import (
	"context"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The name a server is asked for decides before any route (NCC Group, Preventing DNS Rebinding Attacks, 2019).
func TestHost(t *testing.T) {
	p := serve(t, Options{})
	u, err := url.Parse(p.at)
	require.NoError(t, err)
	port := ":" + u.Port()
	for host, served := range map[string]bool{
		"127.0.0.1" + port: true, "localhost" + port: true, "LOCALHOST" + port: true, "localhost." + port: true,
		"[::1]" + port:        false, // that is another address than the one the connection came to
		"evil.example" + port: false, "localhost.evil.example" + port: false, "127.0.0.1.evil.example" + port: false, "evil.example": false,
		"127.0.0.1": false, "localhost": false, "127.0.0.1:1": false, "localhost:80": false, "127.0.0.2" + port: false, "0.0.0.0" + port: false,
		"192.168.1.5" + port: false, "127.1" + port: false, "2130706433" + port: false, "[::ffff:127.0.0.1]" + port: true, "localhost" + port + "0": false, "[": false, "a:b:c": false,
	} {
		a := p.ask("GET", "/holdings", nil, "Host", host)
		if served {
			a.is(http.StatusOK)
			continue
		}
		if a.status == http.StatusBadRequest { // net/http itself turns down what is no host at all
			continue
		}
		d := a.problem(misdirected)
		assert.Equal(t, "Host", d.Property)
		p.ask("POST", "/holdings", "{}", "Host", host).problem(misdirected)
		p.ask("GET", "/nothing", nil, "Host", host).problem(misdirected)
		p.ask("GET", "/", nil, "Host", host).problem(misdirected)
	}
	var list []listed
	p.ask("GET", "/holdings", nil).into(&list)
	assert.Len(t, list, 1)
	named := serveOn(t, p.store, Options{Names: []string{"barn.lan"}})
	u, err = url.Parse(named.at)
	require.NoError(t, err)
	named.ask("GET", "/holdings", nil, "Host", "Barn.LAN:"+u.Port()).is(http.StatusOK)
	named.ask("GET", "/holdings", nil, "Host", "barn.lan").problem(misdirected)
}

// Pages from elsewhere cannot change anything (Go's net/http CrossOriginProtection; Fetch Metadata, W3C).
func TestCrossOrigin(t *testing.T) {
	p := serve(t, Options{})
	before := p.tag("demo")
	change := func(headers ...string) answer {
		return p.ask("POST", "/holdings/demo/edits", `{"put":[`+feature("w", "well", -2.584, 53.9855)+`]}`, append(headers, "If-Match", before)...)
	}
	for _, h := range [][]string{{"Sec-Fetch-Site", "cross-site"}, {"Sec-Fetch-Site", "same-site"}, {"Origin", "http://evil.example"}, {"Origin", "null"},
		{"Origin", "http://127.0.0.1:1"}, {"Sec-Fetch-Site", "cross-site", "Origin", p.at}} {
		change(h...).problem(foreign)
		for _, method := range []string{"PUT", "DELETE"} {
			p.ask(method, "/holdings/demo", "{}", append(h, "If-Match", before)...).problem(foreign)
		}
		p.ask("POST", "/holdings", "{}", h...).problem(foreign)
	}
	assert.Equal(t, before, p.tag("demo"))
	for _, h := range [][]string{{"Sec-Fetch-Site", "same-origin"}, {"Sec-Fetch-Site", "none"}, {"Origin", p.at}, nil} {
		before = p.tag("demo")
		p.edit("demo", `{"put":[`+hedge("x", -2.584, 53.9855, -2.5841, 53.9855)+`]}`)
		before = p.tag("demo")
		change(h...).is(http.StatusOK)
		p.edit("demo", `{"delete":["w"]}`)
	}
}

// Every answer, refusals and all, carries what keeps a browser from being led astray.
func TestHeadersOfEveryAnswer(t *testing.T) {
	p := serve(t, Options{})
	for _, path := range []string{"/", "/holdings", "/holdings/demo", "/nothing", "/static/main.js", "/holdings/demo/planting-list?format=html", "/api"} {
		h := p.ask("GET", path, nil).header
		assert.Equal(t, "nosniff", h.Get("X-Content-Type-Options"), path)
		assert.Equal(t, "no-referrer", h.Get("Referrer-Policy"), path)
		assert.Equal(t, "same-origin", h.Get("Cross-Origin-Opener-Policy"), path)
		assert.Equal(t, "same-origin", h.Get("Cross-Origin-Resource-Policy"), path)
		csp := h.Get("Content-Security-Policy")
		assert.Contains(t, csp, "default-src 'none'", path)
		assert.Contains(t, csp, "frame-ancestors 'none'", path)
		assert.Contains(t, csp, "base-uri 'none'", path)
		assert.NotContains(t, csp, "unsafe", path)
		assert.NotContains(t, csp, "http", path)
		assert.NotContains(t, csp, "*", path)
		assert.Empty(t, h.Get("Access-Control-Allow-Origin"), path)
	}
}

// On an address that is not trusted to be private browsers turn the opener policy down with a complaint, so it is not sent.
func TestOpenerPolicyOnlyWhereItIsHeard(t *testing.T) {
	p := serve(t, Options{})
	h, err := New(p.store, engine, Options{})
	require.NoError(t, err)
	for at, want := range map[string]string{"127.0.0.1": "same-origin", "::1": "same-origin", "192.0.2.7": "", "fe80::1": ""} {
		local := &net.TCPAddr{IP: net.ParseIP(at), Port: 8642}
		r := httptest.NewRequest("GET", "/holdings", nil)
		r.Host = local.String()
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), http.LocalAddrContextKey, local)))
		assert.Equal(t, http.StatusOK, w.Code, at)
		assert.Equal(t, want, w.Header().Get("Cross-Origin-Opener-Policy"), at)
		assert.Equal(t, "same-origin", w.Header().Get("Cross-Origin-Resource-Policy"), at)
	}
}

func TestPassphrase(t *testing.T) {
	const phrase = "correct horse"
	plain := serve(t, Options{})
	h, err := New(plain.store, engine, Options{Passphrase: phrase})
	require.NoError(t, err)
	srv := httptest.NewServer(h)
	t.Cleanup(srv.Close)
	client := srv.Client()
	client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	p := &place{t: t, store: plain.store, at: srv.URL, client: client}

	for _, path := range []string{"/holdings", "/holdings/demo/sheet", "/static/main.js", "/", "/api", "/vocabulary", "/nothing"} {
		a := p.ask("GET", path, nil)
		a.problem(needsPhrase)
		assert.Contains(t, a.header.Get("WWW-Authenticate"), "Bearer")
		for _, c := range []string{"quickthorn=", "quickthorn=" + phrase, "quickthorn=00"} {
			p.ask("GET", path, nil, "Cookie", c).problem(needsPhrase)
		}
	}
	p.ask("POST", "/holdings", "{}").problem(needsPhrase)
	p.ask("GET", "/healthz", nil).is(http.StatusOK)
	p.ask("GET", "/favicon.ico", nil).is(http.StatusOK)
	assert.Equal(t, "/login", p.ask("GET", "/", nil, "Accept", "text/html").is(http.StatusSeeOther).header.Get("Location"))

	form := p.ask("GET", "/login", nil).is(http.StatusOK)
	assert.Equal(t, "text/html; charset=utf-8", form.header.Get("Content-Type"))
	for _, no := range []string{"<script", "<style", "style=", "javascript:", " on"} {
		if no == " on" {
			assert.NotRegexp(t, `\son\w+=`, string(form.body))
			continue
		}
		assert.NotContains(t, string(form.body), no)
	}
	assert.Equal(t, "same-origin", form.header.Get("Referrer-Policy"), "else a browser sends the form with Origin: null")

	post := func(given string, headers ...string) answer {
		return p.ask("POST", "/login", url.Values{"passphrase": {given}}.Encode(), append(headers, "Content-Type", "application/x-www-form-urlencoded")...)
	}
	start := time.Now()
	wrong := post("correct horsf").is(http.StatusForbidden)
	assert.GreaterOrEqual(t, time.Since(start), wrongDelay, "a wrong one is slowed down")
	assert.Empty(t, wrong.header.Values("Set-Cookie"))
	assert.Contains(t, string(wrong.body), "not the passphrase")
	post(phrase, "Origin", "http://evil.example").problem(foreign)
	post(phrase, "Host", "evil.example").problem(misdirected)
	p.ask("POST", "/login", strings.Repeat("a=b&", 2000), "Content-Type", "application/x-www-form-urlencoded").is(http.StatusBadRequest)

	right := post(phrase, "Origin", p.at).is(http.StatusSeeOther)
	assert.Equal(t, "/", right.header.Get("Location"))
	cookie := right.header.Get("Set-Cookie")
	for _, part := range []string{"HttpOnly", "SameSite=Strict", "Path=/"} {
		assert.Contains(t, cookie, part)
	}
	session, _, _ := strings.Cut(cookie, ";")
	p.ask("GET", "/holdings", nil, "Cookie", session).is(http.StatusOK)
	p.ask("GET", "/", nil, "Cookie", session).is(http.StatusOK)
	p.ask("POST", "/holdings", "{}", "Cookie", session, "Sec-Fetch-Site", "cross-site").problem(foreign)

	p.ask("GET", "/holdings", nil, "Authorization", "Bearer "+phrase).is(http.StatusOK)
	start = time.Now()
	p.ask("GET", "/holdings", nil, "Authorization", "Bearer wrong").problem(needsPhrase)
	assert.GreaterOrEqual(t, time.Since(start), wrongDelay)

	p.ask("POST", "/logout", nil, "Cookie", session).is(http.StatusSeeOther)
	p.ask("GET", "/holdings", nil, "Cookie", session).problem(needsPhrase)
}

func TestSessions(t *testing.T) {
	s := newSessions("a passphrase")
	now := time.Date(2026, 11, 1, 0, 0, 0, 0, time.UTC)
	first := s.begin(now)
	assert.True(t, s.holds(first, now.Add(sessionTime-time.Second)))
	assert.False(t, s.holds(first, now.Add(sessionTime)))
	for i := range mostSessions {
		s.begin(now.Add(time.Duration(i+1) * time.Second))
	}
	assert.False(t, s.holds(first, now), "the oldest ends where there are too many")
	assert.Len(t, s.open, mostSessions)
	assert.True(t, s.right(" a passphrase\n"))
	for _, no := range []string{"", "a passphras", "a passphrase!", "A passphrase"} {
		assert.False(t, s.right(no))
	}
}

func TestMadePassphrases(t *testing.T) {
	seen := map[string]bool{}
	for range 100 {
		p := Passphrase()
		assert.Regexp(t, `^[a-z2-7]{4}(-[a-z2-7]{4}){3}$`, p)
		assert.False(t, seen[p])
		seen[p] = true
	}
}

// Ten wrong ones are waited out at once; the eleventh is turned away, so that guessing gets no quicker by asking in parallel.
func TestTooManyTries(t *testing.T) {
	s := newSessions("a passphrase")
	s.delay = 300 * time.Millisecond
	r := httptest.NewRequest("POST", "/login", nil)
	done := make(chan bool, mostTries+5)
	for range mostTries + 5 {
		go func() { done <- s.slow(r) }()
	}
	away := 0
	for range mostTries + 5 {
		if !<-done {
			away++
		}
	}
	assert.Equal(t, 5, away)
}
