package page

import (
	"net"
	"net/http"
	"net/netip"
	"os"
	"slices"
	"strings"

	"longpoint/model"
)

// policy lets a page load what this server has, and nothing else; no script or style within a page, and no foreign page round ours.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// guarded holds every request against what may be asked of this server before it is answered.
func (s *Server) guarded(next http.Handler) http.Handler {
	same := http.NewCrossOriginProtection()
	same.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		refuse(w, http.StatusForbidden, "this was sent by another page than ours")
	}))
	checked := same.Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin") // with none at all, browsers would not say either where a form comes from
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
		h.Set("Cache-Control", "no-store")
		if s.Secure {
			h.Set("Strict-Transport-Security", "max-age=31536000")
		}
		if !s.ours(r.Host) {
			refuse(w, http.StatusMisdirectedRequest, "this server is not called "+model.Quote(r.Host))
			return
		}
		select {
		case s.atOnce <- struct{}{}:
			defer func() { <-s.atOnce }()
		default:
			h.Set("Retry-After", "1")
			refuse(w, http.StatusServiceUnavailable, "too much is asked at once")
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, uploadBytes)
		checked.ServeHTTP(w, r)
	})
}

// refuse answers what is not answered.
func refuse(w http.ResponseWriter, status int, why string) {
	http.Error(w, "longpoint: refused: "+why, status)
}

// ours tells whether a request's Host is a name of this server's. A name that somebody else points at it is not, so that their page, which
// goes by that name, cannot read what is here.
func (s *Server) ours(host string) bool {
	name, _, err := net.SplitHostPort(host)
	if err != nil {
		name = host
	}
	name = strings.Trim(strings.TrimSuffix(strings.ToLower(name), "."), "[]")
	if slices.Contains(s.Hosts, name) {
		return true
	}
	at, err := netip.ParseAddr(name)
	return err == nil && (s.AnyIP || at.IsLoopback())
}

// sameFile tells whether the book's file is still the one that was opened: what is written into one that was put away is lost.
func (s *Server) sameFile() bool {
	if s.Book == nil {
		return true
	}
	now, err := os.Stat(s.Book.Path())
	return err == nil && os.SameFile(s.file, now)
}
