package web

import (
	"net"
	"net/http"
	"strings"
)

// policy is what the page may load and do: its own files, pictures of its own making, and nothing from elsewhere.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// guarded puts what every request must pass before the routes: headers of every answer, the name the server was asked for, pages from
// elsewhere that want a change, and the passphrase.
func (s *server) guarded(routes http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	cross.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.say(w, r, refuse(foreign, "The change was asked for by a page of another address.").about("Origin"))
	}))
	h := s.locked(routes)
	h = cross.Handler(h)
	h = s.named(h)
	h = s.recovered(h)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		head := w.Header()
		head.Set("Content-Security-Policy", policy)
		head.Set("X-Content-Type-Options", "nosniff")
		head.Set("Referrer-Policy", "no-referrer")
		if at, _, ok := cameTo(r); r.TLS != nil || ok && at.IsLoopback() {
			head.Set("Cross-Origin-Opener-Policy", "same-origin") // elsewhere browsers do without it, and complain
		}
		head.Set("Cross-Origin-Resource-Policy", "same-origin")
		head.Set("X-Frame-Options", "DENY")
		h.ServeHTTP(w, r)
	})
}

// named refuses requests for another name than the server's. A page from elsewhere can make its own name lead to this machine (DNS
// rebinding), and is then of the same origin to every other check; but it cannot make the browser ask for another name.
func (s *server) named(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !s.answersTo(r) {
			s.say(w, r, refuse(misdirected, "It was asked for as %q.", r.Host).about("Host"))
			return
		}
		next.ServeHTTP(w, r)
	})
}

// answersTo reports whether the request names the address that it came to, localhost on a loopback address, or one of the names
// given at the start, each with the port that it came to.
func (s *server) answersTo(r *http.Request) bool {
	at, port, ok := cameTo(r)
	if !ok {
		return false
	}
	name, asked, ok := cutPort(r.Host)
	if !ok || asked != port {
		return false
	}
	name = strings.ToLower(strings.TrimSuffix(name, "."))
	if to := net.ParseIP(name); to != nil {
		return to.Equal(at)
	}
	if name == "localhost" {
		return at.IsLoopback()
	}
	for _, n := range s.opt.Names {
		if strings.EqualFold(n, name) {
			return true
		}
	}
	return false
}

// cameTo is the address and port that the connection came to.
func cameTo(r *http.Request) (at net.IP, port string, ok bool) {
	local, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
	if !ok {
		return nil, "", false
	}
	ip, port, err := net.SplitHostPort(local.String())
	if err != nil {
		return nil, "", false
	}
	ip, _, _ = strings.Cut(ip, "%") // a zone names the network card, and no browser sends it
	at = net.ParseIP(ip)
	return at, port, at != nil
}

// cutPort splits a Host header; without a port it is that of http.
func cutPort(host string) (name, port string, ok bool) {
	if host == "" {
		return "", "", false
	}
	if strings.HasPrefix(host, "[") {
		end := strings.IndexByte(host, ']')
		if end < 0 {
			return "", "", false
		}
		if host[end+1:] == "" {
			return host[1:end], "80", true
		}
	} else if !strings.Contains(host, ":") {
		return host, "80", true
	}
	name, port, err := net.SplitHostPort(host)
	return name, port, err == nil
}
