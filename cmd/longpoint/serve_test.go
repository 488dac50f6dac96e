package main

import (
	"cmp"
	"context"
	"fmt"
	"html"
	"io"
	"io/fs"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"longpoint/cmd/longpoint/page"
	"longpoint/model/book"
	"longpoint/model/runs"
)

// TestPageLikeCommands plays a week on the pages and types it at the command line: both leave the same book, byte for byte of its export
// but for the time of day.
func TestPageLikeCommands(t *testing.T) {
	t.Chdir(t.TempDir())
	t.Setenv("LONGPOINT_WHO", "Ada")
	goesWell(t, "demo", "small", "--kind", "small")
	goesWell(t, "book", "new", "typed.book", "--from", "small")
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	must(os.WriteFile("new.csv", []byte("job,due,customer,frame,profile,width,height\n106,2027-04-08,surgery,1,oak-40,210,290\n"), 0o644))
	goesWell(t, "take", "typed.book", "new.csv")
	goesWell(t, "jobs", "change", "typed.book", "106", "--size", "210 x 300", "--why", "she rang")
	goesWell(t, "plan", "typed.book", "--summary")
	goesWell(t, "order", "typed.book")
	goesWell(t, "order", "send", "typed.book", "1", "--expected", "2027-04-02")
	goesWell(t, "receive", "typed.book", "1", "--line", "1", "--sticks", "1", "--place", "left")
	goesWell(t, "receive", "typed.book", "1", "--place", "left")
	goesWell(t, "rack", "add", "typed.book", "oak-40", "1800", "--why", "behind the bench")
	goesWell(t, "run", "typed.book", "oak-40")
	cuts := cutsOf(t, "typed.book")
	goesWell(t, "cut", "typed.book", cuts[0])
	goesWell(t, "cut", "typed.book", cuts[1], "--became", "torn")
	goesWell(t, "undo", "typed.book", "--yes")
	goesWell(t, "cut", "typed.book", cuts[1], "--became", "torn")
	flawed, _, _ := strings.Cut(cutsOf(t, "typed.book")[0], ":")
	goesWell(t, "cut", "typed.book", flawed, "--flaw", "a knot")
	for left := cutsOf(t, "typed.book"); len(left) > 0; left = cutsOf(t, "typed.book") {
		goesWell(t, "cut", "typed.book", left[0])
	}
	goesWell(t, "finish", "typed.book")

	must(book.Create(t.Context(), "pages.book", nil))
	b, err := book.Open(t.Context(), "pages.book")
	must(err)
	defer b.Close()
	s, err := page.New(page.Config{Book: b, Who: "Ada", Hosts: []string{"localhost"}, Verify: verify, MadeWith: "longpoint " + release, Right: right})
	must(err)
	at := httptest.NewServer(s.Handler())
	defer at.Close()
	send := func(path string, fields ...string) string {
		t.Helper()
		form := url.Values{"key": {fmt.Sprintf("%032d", time.Now().UnixNano())}}
		for i := 0; i < len(fields); i += 2 {
			form.Add(fields[i], fields[i+1])
		}
		answer, err := http.PostForm(at.URL+path, form)
		must(err)
		defer answer.Body.Close()
		text, err := io.ReadAll(answer.Body)
		must(err)
		if answer.StatusCode != 200 {
			t.Fatalf("%s: status %d: %s", path, answer.StatusCode, text)
		}
		return string(text)
	}
	printed := func(path, begins string) {
		t.Helper()
		answer, err := http.Get(at.URL + path)
		must(err)
		defer answer.Body.Close()
		text, err := io.ReadAll(answer.Body)
		must(err)
		if !strings.Contains(string(text), begins) {
			t.Errorf("%s: %.2000s", path, text)
		}
	}
	frame := func(height string, more ...string) []string {
		return append([]string{"job", "106", "due", "2027-04-08", "customer", "surgery", "frame", "1", "profile", "oak-40", "width", "210", "height", height, "given_by", "content", "do", "take"}, more...)
	}
	send("/fill", "from", "demo", "kind", "small")
	send("/jobs/new", frame("290")...)
	send("/jobs/of/106/change", frame("300", "why", "she rang")...)
	send("/plan", "limit", "10s")
	s.Wait()
	send("/orders/place")
	printed("/paper/plan/1/labels.pdf", "%PDF") // of a plan whose list is ordered, too
	send("/orders/1/send", "expected", "2027-04-02")
	printed("/paper/plan/1/cuts.pdf", "%PDF")
	printed("/paper/job/106/ticket.pdf", "%PDF")
	send("/orders/1/receive", "line", "1", "sticks", "1", "place", "left")
	send("/orders/1/receive", "place", "left")
	printed("/paper/plan/1/labels.pdf", "%PDF") // with the names of the sticks that have come
	send("/rack/add", "profile", "oak-40", "length", "1800", "sticks", "1", "why", "behind the bench")
	send("/bench/start", "profile", "oak-40")
	next := func() []string {
		answer, err := http.Get(at.URL + "/bench/run/1?begin=1")
		must(err)
		defer answer.Body.Close()
		text, err := io.ReadAll(answer.Body)
		must(err)
		m := regexp.MustCompile(`name="stick" value="([^"]*)"><input type="hidden" name="no" value="([^"]*)"><input type="hidden" name="side" value="([^"]*)"`).FindStringSubmatch(string(text))
		if m == nil {
			return nil
		}
		return []string{"stick", html.UnescapeString(m[1]), "no", m[2], "side", html.UnescapeString(m[3])}
	}
	press := func(do string, more ...string) {
		t.Helper()
		send("/bench/run/1/press", append(append(next(), "do", do), more...)...)
	}
	press("done")
	press("torn")
	standing, _, err := b.Undoable(t.Context())
	must(err)
	send("/undo", "step", fmt.Sprint(standing.ID))
	press("torn")
	press("flaw", "what", "a knot")
	for next() != nil {
		press("done")
	}
	send("/bench/run/1/finish")

	want, got := exportedFiles(t, "typed.book"), exportedFiles(t, "pages.book")
	if len(want) < 10 || !strings.Contains(want["history/step.csv"], "a knot") {
		t.Fatalf("the week was not played: %d files", len(want))
	}
	for name := range want {
		if want[name] != got[name] {
			t.Errorf("%s: typed\n%s\non the pages\n%s", name, firstDifference(want[name], got[name]), firstDifference(got[name], want[name]))
		}
	}
	if len(got) != len(want) {
		t.Errorf("%d files, want %d", len(got), len(want))
	}
}

// cutsOf gives what is still to be cut in the open run of a book, in its order, as "longpoint cut" takes it.
func cutsOf(t *testing.T, path string) (all []string) {
	t.Helper()
	err := reading(context.Background(), path, func(b *book.Book) error {
		d, err := b.RunDocument(t.Context())
		if err != nil {
			return err
		}
		pp := d.Plan.Profiles[0]
		for n, c := range pp.Run.Cuts {
			if d.Became[0][c.Stick][c.Side] == runs.ToCut {
				all = append(all, fmt.Sprintf("%s:%d", pp.Sticks[c.Stick].ID, pp.Run.Number(n)))
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// timeOfDay is what is different of two books in which the same was done on one day.
var timeOfDay = regexp.MustCompile(`T\d\d:\d\d:\d\dZ`)

// exportedFiles gives the files of a book's export, without the time of day.
func exportedFiles(t *testing.T, path string) map[string]string {
	t.Helper()
	to := filepath.Join(t.TempDir(), "export")
	goesWell(t, "book", "export", path, to)
	files := map[string]string{}
	err := filepath.WalkDir(to, func(at string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(at)
		name, _ := filepath.Rel(to, at)
		files[filepath.ToSlash(name)] = timeOfDay.ReplaceAllString(string(data), "T")
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// firstDifference gives the first line of one text that is not in the other's place.
func firstDifference(one, other string) string {
	lines := strings.Split(other, "\n")
	for n, line := range strings.Split(one, "\n") {
		if n >= len(lines) || line != lines[n] {
			return line
		}
	}
	return "(its end)"
}

// TestThisComputerAlone holds what the manual says of who may: where nothing else is typed, pages are served to this computer alone.
func TestThisComputerAlone(t *testing.T) {
	for _, name := range []string{"serve", "start"} {
		cmd, _, err := (&program{}).root().Find([]string{name})
		if err != nil || cmd.Name() != name {
			t.Fatal(err)
		}
		at := cmp.Or(cmd.Flags().Lookup("listen").DefValue, usualPort)
		host, _, err := net.SplitHostPort(at)
		if err != nil || !net.ParseIP(host).IsLoopback() {
			t.Errorf("%s listens at %q, %v", name, at, err)
		}
	}
}
