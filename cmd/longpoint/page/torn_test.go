package page

import (
	"database/sql"
	"fmt"
	"html/template"
	"io"
	"log"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"longpoint/model"
	"longpoint/model/book"
)

// unwell is a site whose book is about to fail, with an order, a run and a plan, so that what its addresses name is there. Faults of ours are expected.
func unwell(t *testing.T) *site {
	s := newSite(t, Config{Book: manyCuts(t, 4), Who: "Ada", Log: log.New(io.Discard, "", 0)})
	s.client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	return s
}

// named are what stands for the parts of an address.
var named = strings.NewReplacer("{$}", "", "{order}", "1", "{run}", "1", "{plan}", "1", "{job}", "101", "{profile}", "black-22", "{stick}", "1", "{piece}", "sheets.pdf")

// asked gives what each address answers that needs the book: its status and the answer, by method and address. What would go on without end is left out.
func (s *site) asked(method string, body func(path string) string, each func(at string, status int, answer string)) {
	s.Helper()
	n := 0
	for _, r := range s.s.routes() {
		if r.method != method || r.bookless || method == "POST" && r.keyless || r.path == "/api/planning/events" {
			continue
		}
		path := named.Replace(r.path)
		switch path {
		case "/tables/row":
			path += "?table=rack"
		case "/rack/count":
			path += "?profile=black-22"
		case "/tables/prices":
			path += "?supplier=North"
		}
		status, answer := s.ask(method, path, body(r.path), "Accept", "text/html")
		each(method+" "+path, status, answer)
		n++
	}
	if n < 20 {
		s.Errorf("only %d addresses were asked", n)
	}
}

// TestTornBook: of a book of which a table cannot be read no page is blank and none says less than it should: what does not need the table
// answers as before, and the rest says that something did not work.
func TestTornBook(t *testing.T) {
	s := unwell(t)
	none := func(string) string { return "" }
	whole := map[string]int{}
	s.asked("GET", none, func(at string, status int, answer string) { whole[at] = status })
	at, err := sql.Open("sqlite", s.s.Book.Path())
	must(t, err)
	defer at.Close()
	failed := map[string]bool{}
	for _, table := range []string{"workshop", "change", "cut", "plan", "press", "price_list", "purchase_line", "run_stick", "step"} {
		_, err := at.Exec(fmt.Sprintf("PRAGMA legacy_alter_table = ON; ALTER TABLE %q RENAME TO torn", table))
		must(t, err)
		s.asked("GET", none, func(at string, status int, answer string) {
			switch {
			case status == whole[at] && answer != "":
			case status >= 500 && strings.Contains(answer, "the book failed"):
				failed[at] = true
			default:
				t.Errorf("without %s, %s has status %d, and with it %d: %.200s", table, at, status, whole[at], plainText(answer))
			}
		})
		_, err = at.Exec(fmt.Sprintf("ALTER TABLE torn RENAME TO %q", table))
		must(t, err)
	}
	if len(failed) < 30 {
		t.Errorf("only %d addresses failed: %v", len(failed), failed)
	}
}

// TestClosedBook: what is sent to a book that is no more is answered with what went wrong, and not as done.
func TestClosedBook(t *testing.T) {
	s := unwell(t)
	must(t, s.s.Book.Close())
	forms := map[string]string{
		"/orders/add":            "supplier=North&profile=black-22&length=3000&sticks=2",
		"/jobs/new":              "job=990&profile=black-22&width=300&height=200&quantity=1",
		"/rack/of/{stick}":       "do=discard",
		"/rack/add":              "profile=black-22&length=900&sticks=2",
		"/blades":                "do=add&set=A&height=50",
		"/tables":                "table=rack&cells=x",
		"/orders/place":          "plan=1",
		"/bench/start":           "profile=black-22",
		"/undo":                  "step=1",
		"/jobs/of/{job}/frame":   "frame=1&do=drop",
		"/jobs/mark":             "job=101&do=finished",
		"/orders/{order}/change": "do=move&expected=2027-05-01",
	}
	s.asked("POST", func(path string) string { return "key=" + url.QueryEscape(key()) + "&" + forms[path] }, func(at string, status int, answer string) {
		if status < 400 || answer == "" {
			t.Errorf("%s has status %d: %.200s", at, status, plainText(answer))
		}
	})
}

// TestNoBlankPage: whatever an address names and whatever is typed, there is an answer in words, or another page comes.
func TestNoBlankPage(t *testing.T) {
	s := unwell(t)
	fields := "do=nonsense&job=nonsense&profile=nonsense&supplier=nonsense&of=nonsense&table=nonsense&by=nonsense&to=nonsense&on=nonsense&name=nonsense&stick=nonsense&step=nonsense"
	for _, r := range s.s.routes() {
		if r.path == "/api/planning/events" {
			continue
		}
		for _, path := range []string{named.Replace(r.path), placeholders.ReplaceAllString(r.path, "7"), placeholders.ReplaceAllString(r.path, "nonsense")} {
			path = strings.ReplaceAll(path, "/{$}", "/")
			body := ""
			if r.method == "POST" {
				body = "key=" + key() + "&" + fields
			}
			status, answer := s.ask(r.method, path+"?"+fields, body)
			if answer == "" && (status < 300 || status >= 400) || status >= 500 {
				t.Errorf("%s %s has status %d and the answer %q", r.method, path, status, answer)
			}
		}
	}
}

var placeholders = regexp.MustCompile(`\{[a-z]+\}`)

// TestRefusedFields refuses a form for one field, and says which.
func TestRefusedFields(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	good := url.Values{"supplier": {"Riverside Mouldings"}, "profile": {"oak-40"}, "length": {"3000"}, "sticks": {"2"}, "cost": {"10"}}
	for _, row := range []struct{ path, field, typed, says string }{
		{"/orders/add", "cost", "dear", "“dear”"},
		{"/orders/add", "length", "long", "“long”"},
		{"/orders/add", "sticks", "some", "“some”"},
		{"/rack/add", "length", "long", "“long”"},
		{"/rack/of/1", "do", "burn", "it is not said what to do"},
		{"/jobs/mark", "state", "sold", "no job is ticked"},
		{"/undo", "step", "last", "“last”"},
	} {
		form := url.Values{"key": {key()}}
		for name, v := range good {
			form[name] = v
		}
		form.Set(row.field, row.typed)
		status, page := s.ask("POST", row.path, form.Encode())
		if status < 400 || status >= 500 || !strings.Contains(plainText(page), row.says) {
			t.Errorf("%s with %s for %s: status %d, and the page does not say %s: %s", row.path, row.typed, row.field, status, row.says, plainText(page))
		}
	}
}

// TestLongDiary shows the last fifty steps of a longer diary, and all where more are asked for.
func TestLongDiary(t *testing.T) {
	b := newBook(t, true)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	if page := s.get(200, "/diary"); strings.Contains(page, "?more=") {
		t.Errorf("a short diary has more: %s", plainText(page))
	}
	for range 60 {
		_, err := b.Do(t.Context(), book.By{Who: "Ada"}, book.AddSticks(model.Stick{Profile: "oak-40", Length: 900 * model.Millimetre}, 1, func(string) {}))
		must(t, err)
	}
	short, long := s.get(200, "/diary"), s.get(200, "/diary?more=1")
	if !strings.Contains(short, "?more=") || strings.Contains(long, "?more=") || strings.Count(long, "step ") <= strings.Count(short, "step ") {
		t.Errorf("fifty steps: %s\nmore: %s", plainText(short), plainText(long))
	}
}

// TestBrokenTemplates: where a page cannot be made, that is said, and no page is blank.
func TestBrokenTemplates(t *testing.T) {
	s := unwell(t)
	none := func(string) string { return "" }
	whole := map[string]int{}
	s.asked("GET", none, func(at string, status int, answer string) { whole[at] = status })
	broken, err := template.New("").Parse(`{{define "layout"}}{{.No.Such}}{{end}}{{define "shown"}}{{.No.Such}}{{end}}`)
	must(t, err)
	s.s.ready.Clear()
	s.s.pages["jobform"] = broken
	form := url.Values{"key": {key()}}
	for i, f := 0, typedForm("", "", "oak-40", "300", "400"); i < len(f); i += 2 {
		form.Add(f[i], f[i+1])
	}
	for _, at := range []string{"GET /jobs/new", "POST /api/draw"} {
		method, path, _ := strings.Cut(at, " ")
		if status, answer := s.ask(method, path, form.Encode()); status != 500 || !strings.Contains(answer, "fault of ours") {
			t.Errorf("%s has status %d: %s", at, status, plainText(answer))
		}
	}
	for _, page := range s.s.pages {
		_ = page.ExecuteTemplate(io.Discard, "layout", nil) // and now it cannot be cloned
	}
	failed := 0
	s.s.ready.Clear()
	s.asked("GET", none, func(at string, status int, answer string) {
		switch {
		case status == 500 && answer != "":
			failed++
		case status != whole[at] || answer == "":
			t.Errorf("%s has status %d and before %d: %.200s", at, status, whole[at], answer)
		}
	})
	if status, answer := s.ask("POST", "/api/draw", form.Encode()); status != 500 || answer == "" || failed < 20 {
		t.Errorf("drawn with status %d: %s; %d pages failed", status, answer, failed)
	}
}

// TestAbandoned: who gives an answer up in the middle, as the library's own handlers do, is not told that there is a fault of ours.
func TestAbandoned(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	defer func() {
		if what := recover(); what != http.ErrAbortHandler {
			t.Errorf("it ends with %v", what)
		}
	}()
	s.s.answer(route{open: true, bookless: true, do: func(*call) error { panic(http.ErrAbortHandler) }}, httptest.NewRecorder(), httptest.NewRequest("GET", "/", nil))
}

// TestMoreThanOrdered: more sticks than were ordered are received only where that is said.
func TestMoreThanOrdered(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	s.post(200, "/orders/add", "supplier", "North", "profile", "oak-40", "length", "3000", "sticks", "2", "cost", "10")
	s.post(200, "/orders/1/send")
	s.post(400, "/orders/1/receive", "line", "1", "sticks", "5")
	s.wants(s.post(200, "/orders/1/receive", "line", "1", "sticks", "5", "more", "on"), "On the rack: ")
}

// TestFlawedAtTheEnd: at the end of a run it is asked what is good of each stick of which something was wrong.
func TestFlawedAtTheEnd(t *testing.T) {
	s := newSite(t, Config{Book: manyCuts(t, 4), Who: "Ada"})
	page := s.get(200, "/bench/run/1?begin=1")
	for n := 0; n < 20 && strings.Contains(page, `name="no"`); n++ {
		page = s.pressNext(1, page, "flaw", "what", "a shake")
	}
	s.wants(page, "What is good of", "a shake")
}
