package page

import (
	"context"
	"errors"
	"io"
	"log"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"longpoint/model/book"
	"longpoint/model/folder"
	"longpoint/solver/check"
)

// verify is the independent checker, as the program hands it to a server.
func verify(ctx context.Context, cuts []byte) (grade string, lower int64, err error) {
	r, err := check.Document(ctx, cuts)
	if err != nil {
		return "", 0, err
	}
	if !r.OK() {
		return "", 0, errors.New("the check found something")
	}
	return string(r.Grade), r.Bound, nil
}

// now is the day on which the tests' weeks begin: before the days that the small demo's jobs are due.
var now = time.Date(2027, 3, 29, 8, 0, 0, 0, time.UTC)

// newBook makes a book: empty, or filled with the small demo.
func newBook(t testing.TB, filled bool) *book.Book {
	t.Helper()
	dir := t.TempDir()
	if info, err := os.Stat("/dev/shm"); err == nil && info.IsDir() { // where writing through to the disk costs nothing
		if dir, err = os.MkdirTemp("/dev/shm", "longpoint-page-"); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { os.RemoveAll(dir) })
	}
	path := filepath.Join(dir, "shop.book")
	var fill func(*book.Book) error
	if filled {
		from := filepath.Join(dir, "small")
		must(t, folder.WriteNew(from, folder.Small()))
		w, err := folder.Read(from)
		must(t, err)
		fill = func(b *book.Book) error {
			b.Now = func() time.Time { return now }
			return b.Fill(t.Context(), w, book.By{Who: "Ada"})
		}
	}
	must(t, book.Create(t.Context(), path, fill))
	b, err := book.Open(t.Context(), path)
	must(t, err)
	b.Now = func() time.Time { return now }
	t.Cleanup(func() { b.Close() })
	return b
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// site is a server of pages with somebody who uses it.
type site struct {
	testing.TB
	s      *Server
	url    string
	client *http.Client
}

// newSite serves a book.
func newSite(t testing.TB, c Config) *site {
	t.Helper()
	c.Verify, c.MadeWith = verify, "longpoint test"
	if c.Log == nil {
		c.Log = log.New(faults{t}, "", 0)
	}
	if c.Hosts == nil {
		c.Hosts = []string{"localhost"}
	}
	s, err := New(c)
	must(t, err)
	at := httptest.NewServer(s.Handler())
	t.Cleanup(func() { s.Close(); at.Close() })
	return &site{t, s, at.URL, newClient(t)}
}

// newClient is a browser without scripts: it keeps cookies and follows redirects.
func newClient(t testing.TB) *http.Client {
	jar, err := cookiejar.New(nil)
	must(t, err)
	return &http.Client{Jar: jar}
}

// faults fails a test on a fault of ours.
type faults struct{ testing.TB }

func (f faults) Write(p []byte) (int, error) {
	f.Errorf("a fault of ours: %s", p)
	return len(p), nil
}

// get asks for a page, and demands its status.
func (s *site) get(status int, path string) string {
	s.Helper()
	r, err := s.client.Get(s.url + path)
	must(s, err)
	return s.read(status, "GET "+path, r)
}

func (s *site) read(status int, what string, r *http.Response) string {
	s.Helper()
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	must(s, err)
	if r.StatusCode != status {
		s.Fatalf("%s: status %d, want %d: %s", what, r.StatusCode, status, plainText(string(text)))
	}
	return string(text)
}

// keys are fresh, one a form that a test sends.
func key() string { return newKey() }

// post sends a form with a fresh key, and demands a status in the end.
func (s *site) post(status int, path string, fields ...string) string {
	s.Helper()
	form := url.Values{"key": {key()}}
	for i := 0; i < len(fields); i += 2 {
		form.Add(fields[i], fields[i+1])
	}
	return s.send(status, path, form)
}

func (s *site) send(status int, path string, form url.Values) string {
	s.Helper()
	r, err := s.client.PostForm(s.url+path, form)
	must(s, err)
	return s.read(status, "POST "+path, r)
}

var (
	markup = regexp.MustCompile(`(?s)<(script|style|head).*?</(script|style|head)>|<[^>]*>`)
	blanks = regexp.MustCompile(`\s+`)
)

// plainText is what of a page can be read.
func plainText(page string) string {
	text := blanks.ReplaceAllString(markup.ReplaceAllString(page, " "), " ")
	return strings.NewReplacer("&lt;", "<", "&gt;", ">", "&#34;", `"`, "&#39;", "'", "&#43;", "+", "&amp;", "&").Replace(text)
}

// wants demands that a page says something.
func (s *site) wants(page string, words ...string) {
	s.Helper()
	text := plainText(page)
	for _, w := range words {
		if !strings.Contains(text, w) {
			s.Errorf("the page does not say %q: %s", w, text)
		}
	}
}

// planned waits until a plan is made.
func (s *site) planned() {
	s.Helper()
	s.s.making.wait()
	if t := s.s.lastTask(); t == nil || t.failed != nil {
		s.Fatalf("there is no plan: %+v", t)
	}
}

// hidden gives the value of a hidden field of a page.
func hidden(t testing.TB, page, name string) string {
	t.Helper()
	m := regexp.MustCompile(`<input type="hidden" name="` + name + `" value="([^"]*)"`).FindStringSubmatch(page)
	if m == nil {
		t.Fatalf("the page has no field %s: %s", name, plainText(page))
	}
	return m[1]
}

// newStop is a context and what ends it.
func newStop(t testing.TB) (context.Context, context.CancelFunc) {
	return context.WithCancel(t.Context())
}
