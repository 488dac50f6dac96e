package page

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"
)

// ask sends one request as it is described, and gives the status and the answer. A header Host is the request's own.
func (s *site) ask(method, path, body string, headers ...string) (int, string) {
	s.Helper()
	r, err := http.NewRequest(method, s.url+path, strings.NewReader(body))
	must(s, err)
	if method == "POST" {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	for i := 0; i < len(headers); i += 2 {
		if headers[i] == "Host" {
			r.Host = headers[i+1]
			continue
		}
		r.Header.Set(headers[i], headers[i+1])
	}
	client := *s.client
	client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	answer, err := client.Do(r)
	must(s, err)
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	must(s, err)
	return answer.StatusCode, string(text)
}

// TestForeign: what comes from a foreign page, or by a foreign name, is refused, and nothing is done.
func TestForeign(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada", Hosts: []string{"localhost", "shop.local"}})
	steps := exported(t, s.s)["history/step.csv"]
	form := url.Values{"key": {key()}, "do": {"add"}, "set": {"evil"}, "height": {"50"}}.Encode()
	for _, c := range []struct {
		name    string
		method  string
		headers []string
		status  int
	}{
		{"a page of a foreign site", "POST", []string{"Sec-Fetch-Site", "cross-site"}, 403},
		{"a page of the same site by another name", "POST", []string{"Sec-Fetch-Site", "same-site"}, 403},
		{"a foreign origin", "POST", []string{"Origin", "http://evil.example"}, 403},
		{"no origin to be told", "POST", []string{"Origin", "null"}, 403},
		{"another port", "POST", []string{"Origin", "http://localhost:1"}, 403},
		{"a foreign name", "GET", []string{"Host", "evil.example"}, 421},
		{"a name that begins like ours", "GET", []string{"Host", "localhost.evil.example"}, 421},
		{"a foreign name that sends a form", "POST", []string{"Host", "evil.example:80", "Origin", "http://evil.example:80"}, 421},
		{"an address that is not this computer", "GET", []string{"Host", "192.0.2.7"}, 421},
		{"a name of ours", "GET", []string{"Host", "SHOP.local:80"}, 200},
		{"this computer by its number", "GET", []string{"Host", "127.9.9.9:80"}, 200},
		{"a link from a foreign page", "GET", []string{"Sec-Fetch-Site", "cross-site"}, 200},
	} {
		t.Run(c.name, func(t *testing.T) {
			body := ""
			if c.method == "POST" {
				body = form
			}
			if status, text := s.ask(c.method, "/blades", body, c.headers...); status != c.status {
				t.Errorf("status %d, want %d: %s", status, c.status, plainText(text))
			}
		})
	}
	if exported(t, s.s)["history/step.csv"] != steps {
		t.Error("something was done")
	}
	// The same form from our own page is taken: the test can tell.
	if status, _ := s.ask("POST", "/blades", form, "Sec-Fetch-Site", "same-origin"); status != 303 {
		t.Errorf("our own form: status %d", status)
	}
}

// TestReplayed: a form that is sent again is done once, and one without a key not at all.
func TestReplayed(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	form := url.Values{"key": {key()}, "profile": {"oak-40"}, "length": {"900"}, "sticks": {"2"}, "why": {"found"}}
	s.wants(s.send(200, "/rack/add", form), "F1", "F2")
	s.wants(s.send(200, "/rack/add", form), "This was sent before, and was done then.")
	if page := plainText(s.get(200, "/rack")); strings.Contains(page, "F3") {
		t.Error("it was done twice")
	}
	for _, bad := range []string{"", "short", strings.Repeat("x", 65), "0123456789abcde<"} {
		form.Set("key", bad)
		s.wants(s.send(400, "/rack/add", form), "has no key")
	}
}

// TestTooLarge: what is larger than anything a shop sends is refused, however its length is told.
func TestTooLarge(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	large := "cells=" + strings.Repeat("x", formBytes)
	if status, _ := s.ask("POST", "/blades", large); status != http.StatusRequestEntityTooLarge {
		t.Errorf("a large form: status %d", status)
	}
	r, err := http.NewRequest("POST", s.url+"/api/jobs", io.MultiReader(strings.NewReader(`{"table":"`), io.LimitReader(endless{}, 2*formBytes)))
	must(t, err)
	r.Header.Set("Content-Type", "application/json")
	answer, err := s.client.Do(r)
	if err == nil {
		answer.Body.Close()
		if answer.StatusCode != http.StatusRequestEntityTooLarge {
			t.Errorf("a body without an end: status %d", answer.StatusCode)
		}
	} else if !strings.Contains(err.Error(), "reset") && !strings.Contains(err.Error(), "closed") && !strings.Contains(err.Error(), "broken pipe") {
		t.Error(err)
	}
}

// endless is a body that never ends.
type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = 'x'
	}
	return len(p), nil
}

// TestSlow: a server that serves gives up whoever sends too slowly, and answers others meanwhile. The limits are the server's own, so
// this takes as long as the shortest of them.
func TestSlow(t *testing.T) {
	if testing.Short() {
		t.Skip("waits for the limit on headers")
	}
	t.Parallel()
	s, err := New(Config{Book: newBook(t, true), Who: "Ada", Hosts: []string{"localhost"}})
	must(t, err)
	at, err := net.Listen("tcp", "127.0.0.1:0")
	must(t, err)
	served := make(chan error, 1)
	ctx := t.Context()
	go func() { served <- s.Serve(ctx, at, "", "") }()
	slow, err := net.Dial("tcp", at.Addr().String())
	must(t, err)
	defer slow.Close()
	fmt.Fprint(slow, "GET / HTTP/1.1\r\nHost: localhost\r\n") // and never the end of the headers
	answer, err := http.Get("http://" + at.Addr().String() + "/")
	must(t, err)
	answer.Body.Close()
	if answer.StatusCode != 200 {
		t.Errorf("meanwhile: status %d", answer.StatusCode)
	}
	slow.SetReadDeadline(time.Now().Add(headerTime + 5*time.Second))
	began := time.Now()
	line, err := bufio.NewReader(slow).ReadString('\n')
	if e, ok := err.(net.Error); ok && e.Timeout() {
		t.Errorf("the slow one was waited for longer than %v (%q)", time.Since(began), line)
	}
}

// TestStops: a server that is stopped lets what is being answered come to its end, and ends what goes on by itself.
func TestStops(t *testing.T) {
	s, err := New(Config{Book: newBook(t, true), Who: "Ada", Hosts: []string{"localhost"}, Verify: verify})
	must(t, err)
	at, err := net.Listen("tcp", "127.0.0.1:0")
	must(t, err)
	ctx, stop := newStop(t)
	served := make(chan error, 1)
	go func() { served <- s.Serve(ctx, at, "", "") }()
	site := &site{t, s, "http://" + at.Addr().String(), newClient(t)}
	site.post(200, "/plan", "limit", "10s")
	events, err := http.Get(site.url + "/api/planning/events")
	must(t, err)
	defer events.Body.Close()
	stop()
	select {
	case err := <-served:
		must(t, err)
	case <-time.After(stopTime + 5*time.Second):
		t.Fatal("it does not stop")
	}
	if !s.lastTask().over() {
		t.Error("the plan goes on")
	}
}

// TestPaths: there is no way to a file.
func TestPaths(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	for _, path := range []string{"/static/../call.go", "/static/..%2fcall.go", "/static/%2e%2e/%2e%2e/etc/passwd", "/help/..%2f..%2fetc%2fpasswd", "/help/book/..%2fbook.md", "/help/book/book.md",
		"/paper/run/1/..%2f..%2fx.pdf", "/jobs/of/..%2f..%2f", "/rack/of/%00", "/static/", "/templates/layout.html", "/static/page.css/x"} {
		if status, text := s.ask("GET", path, ""); status == 200 || status >= 500 || strings.Contains(text, "root:") || strings.Contains(text, "package page") {
			t.Errorf("%s: status %d: %.200s", path, status, text)
		}
	}
	if localPath("//evil.example/x") != "/" || localPath("https://evil.example") != "/" || localPath(`/\evil.example`) != "/" || localPath("/plan?x=1") != "/plan?x=1" {
		t.Error("a redirect can lead away")
	}
}

// TestMarkup: HTML and scripts that are typed into every field come out as the words they are.
func TestMarkup(t *testing.T) {
	const evil = `<script>alert(1)</script>"'><img src=x onerror=alert(2)>`
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	pages := []string{}
	see := func(page string) { pages = append(pages, page) }
	form := typedForm(evil, "2027-04-08", "oak-40", "300", "400")
	for i := 0; i < len(form); i += 2 {
		if f := form[i]; f == "customer" || f == "note" || f == "frame" {
			form[i+1] = evil
		}
	}
	see(s.post(200, "/jobs/new", form...))
	for i := 0; i < len(form); i += 2 {
		bad := append([]string{}, form...)
		bad[i+1] = evil
		r, err := s.client.PostForm(s.url+"/jobs/new", pairs(bad))
		must(t, err)
		see(s.read(r.StatusCode, "form", r))
	}
	see(s.post(200, "/rack/add", "profile", "oak-40", "length", "900", "name", evil, "place", evil, "lot", evil, "why", evil))
	see(s.post(200, "/blades", "do", "add", "set", evil, "height", "50"))
	see(s.post(200, "/sign-in", "who", evil))
	see(s.post(200, "/rack/of/S1", "do", "move", "place", evil))
	for _, path := range []string{"/jobs", jobPath(evil), jobPath(evil) + "/change", "/rack", "/rack?least=" + url.QueryEscape("1"), stickPath(evil), "/rack/count?profile=oak-40", "/diary", "/blades", "/plan",
		"/sign-in?next=" + url.QueryEscape(evil), "/yield?by=profile"} {
		see(s.get(200, path))
	}
	s.post(200, "/plan", "limit", "10s")
	s.planned()
	see(s.get(200, "/plan/of/1"))
	see(s.get(200, "/plan/of/1/oak-40"))
	see(s.post(200, "/bench/start", "profile", "oak-40"))
	for _, path := range []string{"/no/" + url.PathEscape(evil), "/rack/count?profile=" + url.QueryEscape(evil), "/rack/of/" + url.PathEscape("no"+evil), "/plan/of/" + url.PathEscape(evil)} {
		_, text := s.ask("GET", path, "")
		see(text)
	}
	for _, page := range pages {
		bare := regexp.MustCompile(`"[^"]*"`).ReplaceAllString(page, `""`) // without the values of attributes, each of which is within quotation marks
		if strings.Contains(page, "<script>alert") || strings.Contains(page, "<img src=x") || regexp.MustCompile(`(?i)<[a-z][^>]*\son[a-z]+=`).MatchString(bare) {
			t.Errorf("what was typed became part of a page: %.3000s", page)
		}
	}
}

func pairs(fields []string) url.Values {
	form := url.Values{"key": {key()}}
	for i := 0; i < len(fields); i += 2 {
		form.Add(fields[i], fields[i+1])
	}
	return form
}

// TestNothingWithin: no page has a script or a style within it, or loads anything from elsewhere, and the policy says so too.
func TestNothingWithin(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, false), Who: "Ada"})
	seen := map[string]string{"/": s.get(200, "/")}
	s.post(200, "/fill", "from", "demo", "kind", "small")
	week(s)
	for _, path := range []string{"/jobs", "/jobs/new", "/jobs/of/106", "/jobs/of/106/change", "/plan", "/plan/of/1", "/plan/of/1/oak-40", "/orders", "/orders/1", "/rack", "/rack/of/S1", "/diary", "/yield", "/blades",
		"/tables", "/settings/odd", "/tables/prices?supplier=Invented+Timber", "/bench", "/bench/run/1", "/bench/run/1/sticks", "/bench/run/1/end", "/help", "/help/book", "/help/reading", "/help/tables", "/sign-in", "/undo"} {
		r, err := s.client.Get(s.url + path)
		must(t, err)
		if got := r.Header.Get("Content-Security-Policy"); got != policy {
			t.Errorf("%s: policy %q", path, got)
		}
		seen[path] = s.read(200, path, r)
	}
	for path, page := range seen {
		for _, m := range regexp.MustCompile(`(?is)<script[^>]*>(.*?)</script>`).FindAllStringSubmatch(page, -1) {
			if strings.TrimSpace(m[1]) != "" {
				t.Errorf("%s has a script within: %.100s", path, m[1])
			}
		}
		if regexp.MustCompile(`(?i)<style|\sstyle=|\son[a-z]+=|javascript:`).MatchString(page) {
			t.Errorf("%s has style or script within: %q", path, regexp.MustCompile(`(?i).{0,60}(<style|\sstyle=|\son[a-z]+=|javascript:).{0,60}`).FindString(page))
		}
		for _, m := range regexp.MustCompile(`(?i)(src|href|action)="([^"]*)"`).FindAllStringSubmatch(page, -1) {
			if strings.Contains(m[2], "//") && !strings.HasPrefix(path, "/help") {
				t.Errorf("%s leads to %s", path, m[2])
			}
		}
		if n := strings.Count(page, "<h1"); n != 1 {
			t.Errorf("%s has %d headings of the first level", path, n)
		}
	}
	// The first page with all that it loads.
	size := len(seen["/jobs"])
	for _, m := range regexp.MustCompile(`(?:src|href)="(/static/[^"]*)"`).FindAllStringSubmatch(seen["/jobs"], -1) {
		size += len(s.get(200, m[1]))
	}
	if size > 60_000 {
		t.Errorf("the first page weighs %d bytes", size)
	}
	t.Logf("the first page weighs %d bytes", size)
}

// TestHuge: huge numbers are refused in words.
func TestHuge(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	for _, n := range []string{"9223372036854775807", "99999999999999999999999", "-1", "1e308", "1000000000001", "NaN"} {
		for _, c := range [][]string{
			{"/rack/add", "profile", "oak-40", "length", n, "sticks", "1", "why", "x"},
			{"/rack/add", "profile", "oak-40", "length", "900", "sticks", n, "why", "x"},
			{"/rack/add", "profile", "oak-40", "length", "900", "value", n, "why", "x"},
			{"/orders/add", "supplier", "Invented Timber", "profile", "oak-40", "length", "3000", "sticks", n},
			{"/orders/add", "supplier", "Invented Timber", "profile", "oak-40", "length", "3000", "cost", n},
			{"/blades", "do", "add", "set", "a", "height", n},
			{"/blades", "do", "remind", "set", "a", "days", n},
			{"/undo", "step", n},
			{"/jobs/of/101/split", "frame", "print", "copies", n, "into", "x", "why", "x"},
		} {
			if status, text := s.ask("POST", c[0], pairs(c[1:]).Encode()); status < 400 || status >= 500 {
				t.Errorf("%s with %s: status %d: %.300s", c[0], n, status, plainText(text))
			}
		}
		for _, path := range []string{"/orders/" + n, "/plan/of/" + n, "/bench/run/" + n, "/jobs?from=" + n, "/rack?least=" + url.QueryEscape(n), "/paper/order/" + n + ".pdf", "/paper/run/" + n + "/labels.pdf?start=" + n} {
			if status, text := s.ask("GET", path, ""); status >= 500 {
				t.Errorf("%s: status %d: %.300s", path, status, plainText(text))
			}
		}
	}
}

// TestSwapped: a book that is put in the place of the one that was opened is neither read nor written.
func TestSwapped(t *testing.T) {
	b, other := newBook(t, true), newBook(t, true)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	s.get(200, "/")
	must(t, os.Rename(b.Path(), b.Path()+".away"))
	s.wants(s.get(503, "/"), "was taken away or put in place of another")
	must(t, os.Rename(other.Path(), b.Path()))
	s.post(503, "/blades", "do", "add", "set", "a", "height", "50")
	must(t, os.Rename(b.Path(), other.Path()))
	must(t, os.Rename(b.Path()+".away", b.Path()))
	s.get(200, "/")
}

// TestPassPhrase: nothing is shown or done before the pass phrase, which is not kept, and guessing it is slow.
func TestPassPhrase(t *testing.T) {
	const phrase = "seven oak sticks"
	pass, err := NewPass(phrase)
	must(t, err)
	if strings.Contains(pass.String(), phrase) || !strings.HasPrefix(pass.String(), "$argon2id$") {
		t.Errorf("kept as %s", pass)
	}
	again, err := ParsePass(pass.String() + "\n")
	must(t, err)
	for _, bad := range []string{"", "x", pass.String()[:40], strings.Replace(pass.String(), "argon2id", "argon2i", 1), phrase} {
		if _, err := ParsePass(bad); err == nil {
			t.Errorf("%q was taken for a hash", bad)
		}
	}
	for _, bad := range []string{"", "short", strings.Repeat("x", MostPass+1)} {
		if _, err := NewPass(bad); err == nil {
			t.Errorf("a pass phrase of %d characters was taken", len(bad))
		}
	}
	s := newSite(t, Config{Book: newBook(t, true), Pass: again, AnyIP: true})
	for _, r := range s.s.routes() {
		path := regexp.MustCompile(`\{[^}]*\}`).ReplaceAllString(strings.TrimSuffix(r.path, "{$}"), "1")
		status, text := s.ask(r.method, path, "")
		switch {
		case r.open:
		case r.method == "GET" && !strings.HasPrefix(path, "/api/"):
			if status != 303 {
				t.Errorf("%s %s without the pass phrase: status %d", r.method, path, status)
			}
		case status != 401:
			t.Errorf("%s %s without the pass phrase: status %d", r.method, path, status)
		}
		if strings.Contains(text, "walk-in") || strings.Contains(text, "oak-40") {
			t.Errorf("%s %s shows something of the book", r.method, path)
		}
	}
	s.wants(s.get(200, "/jobs"), "Who are you?", "pass phrase")
	s.wants(s.post(403, "/sign-in", "who", "Eve", "pass", "seven ash sticks"), "is wrong")
	for range 5 { // so that the wait is not over where this machine is slow
		s.s.guesses.wrong("127.0.0.1", time.Now())
	}
	s.wants(s.post(429, "/sign-in", "who", "Eve", "pass", phrase), "wait") // even the right one, for a while
	s.s.guesses.mu.Lock()
	s.s.guesses.from["127.0.0.1"] = guess{1, time.Now()}
	s.s.guesses.mu.Unlock()
	form := pairs([]string{"who", "Bert", "pass", phrase, "next", "/rack"})
	s.wants(s.send(200, "/sign-in", form), "You are Bert.", "S1")
	at, err := url.Parse(s.url)
	must(t, err)
	for _, c := range s.client.Jar.Cookies(at) {
		if strings.Contains(c.Value, "oak") {
			t.Errorf("the cookie %s has the pass phrase: %s", c.Name, c.Value)
		}
	}
	// A cookie that somebody made up.
	forged := pass.sign(time.Now().Add(time.Hour))
	other, err := NewPass(phrase)
	must(t, err)
	now := time.Now()
	if !pass.signed(forged, now) || other.signed(forged, now) || pass.signed(forged, now.Add(2*time.Hour)) || pass.signed("9999999999.00", now) || pass.signed("", now) || pass.signed("9999999999.", now) {
		t.Error("the cookie's signature is not held")
	}
	// Each wrong guess makes the next one wait twice as long.
	var g guesses
	for n, want := range []time.Duration{guessWait, 2 * guessWait, 4 * guessWait, 8 * guessWait} {
		g.wrong("x", now)
		if got := g.wait("x", now); got != want {
			t.Errorf("after %d wrong guesses %v, want %v", n+1, got, want)
		}
	}
	if g.wait("y", now) > 0 {
		t.Error("others wait too")
	}
}

// TestCookies: they are for our own pages alone, and no script reads them.
func TestCookies(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada", Secure: true})
	client := *s.client
	client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	r, err := client.PostForm(s.url+"/sign-in", pairs([]string{"who", "Bert"}))
	must(t, err)
	r.Body.Close()
	if len(r.Cookies()) == 0 {
		t.Fatal("there is no cookie")
	}
	for _, c := range r.Cookies() {
		if !c.HttpOnly || !c.Secure || c.SameSite != http.SameSiteStrictMode {
			t.Errorf("cookie %s", c)
		}
	}
}
