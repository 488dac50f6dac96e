package page

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"longpoint/model"
	"longpoint/model/folder"
	"longpoint/model/table"
)

// TestWeek goes through a week as a browser without scripts does: an empty book, jobs typed in, planned, bought, received short, run with
// a torn side and a flawed stick, finished, undone and done again. Every page that is passed must be whole.
func TestWeek(t *testing.T) {
	b := newBook(t, false)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	s.wants(s.get(200, "/"), "Nothing is in this book yet")
	s.wants(s.post(200, "/fill", "from", "demo", "kind", "small"), "The book is filled.", "104", "2027-04-08")
	week(s)
	if found, err := b.Check(t.Context()); err != nil || len(found) > 0 {
		t.Errorf("the book: %v %v", found, err)
	}
}

// week is the week itself, from the typing in of a job on.
func week(s *site) {
	s.wants(s.post(200, "/jobs/new", typedForm("106", "2027-04-08", "oak-40", "210", "290")...), "Taken in: 106.", "Job 106", "sight", "long points")
	s.wants(s.get(200, "/jobs"), "106", "surgery", "open")
	s.wants(s.get(200, "/jobs/of/106/change"), "Change job 106")
	s.wants(s.post(200, "/jobs/of/106/change", append(typedForm("106", "2027-04-09", "oak-40", "210", "300"), "why", "she rang")...), "Written down.", "due 2027-04-09")
	s.wants(s.get(200, "/plan"), "up to that day")
	s.post(200, "/plan", "limit", "10s")
	s.planned()
	s.wants(s.get(200, "/plan/now"), "Plan 1", "proven", "To buy", "no plan for these jobs and sticks costs less")
	s.wants(s.get(200, "/plan/of/1/oak-40"), "Plan 1, oak-40", "Sticks 1 to")
	s.get(200, "/plan/groups")
	s.wants(s.get(200, "/jobs/of/101/quote"), "net moulding")
	s.wants(s.post(200, "/orders/place", "plan", "1"), "The list is in the orders", "not sent yet")
	s.wants(s.get(200, "/orders/1"), "All that is to come has come")
	s.wants(s.post(200, "/orders/1/send", "expected", "2027-04-02"), "has gone to its supplier", "expected 2027-04-02")
	s.wants(s.post(200, "/orders/1/receive", "line", "1", "sticks", "1", "place", "left"), "On the rack: P1-1.")
	s.wants(s.post(200, "/orders/1/receive", "place", "left"), "On the rack:")
	s.wants(s.get(200, "/rack"), "P1-1", "left")
	s.wants(s.get(200, "/rack?profile=oak-40&least=700"), "S2", "long enough")
	s.wants(s.get(200, "/rack/of/S1"), "Its life", "2290")
	s.wants(s.post(200, "/rack/add", "profile", "oak-40", "length", "1800", "sticks", "1", "why", "behind the bench"), "F1")
	s.wants(s.post(200, "/rack/of/F1", "do", "measure", "length", "1795", "damage", "0 to 30", "why", "a dent"), "Written down.")
	s.wants(s.get(200, "/rack/count?profile=oak-40"), "F1", "there")
	s.wants(s.post(200, "/rack/count", "profile", "oak-40", "stick", "F1", "there", "F1", "measured", ""), "There:")
	s.wants(s.post(200, "/blades", "do", "add", "set", "wide", "height", "60", "edges", "2"), "wide: spare")
	s.wants(s.post(200, "/blades", "do", "mount", "set", "wide"), "cuts now")
	s.wants(s.post(200, "/bench/start", "profile", "oak-40", "plan", "1"), "before the first cut", "Caution")
	page := s.get(200, "/bench/run/1?begin=1")
	s.wants(page, "stop 1", "measure + 2", "bites", "Then")
	page = s.pressNext(1, page, "done")
	s.wants(page, "1 of 16 sides done")
	page = s.pressNext(1, page, "torn")
	s.wants(page, "1 torn", "The rest is planned anew")
	s.pressNext(1, page, "done")
	s.wants(s.get(200, "/undo?back=/bench/run/1"), "Take back step")
	step := hidden(s, s.get(200, "/undo"), "step")
	s.wants(s.post(200, "/undo", "step", step, "back", "/bench/run/1?begin=1"), "Taken back: step "+step, "1 of 16 sides done")
	page = s.get(200, "/bench/run/1?begin=1")
	page = s.pressNext(1, page, "flaw", "what", "a knot")
	s.wants(page, "The rest is planned anew")
	s.get(200, "/bench/run/1/sticks")
	for strings.Contains(page, `name="no"`) {
		page = s.pressNext(1, page, "done")
	}
	s.wants(page, "to be finished")
	s.wants(s.post(200, "/bench/run/1/finish"), "Run 1 is finished")
	s.wants(s.get(200, "/yield"), "oak-40", "%")
	s.wants(s.get(200, "/diary"), "step", "Ada")
	for _, path := range []string{"/bench", "/blades", "/tables", "/help", "/jobs?all=1", "/orders?all=1", "/yield?by=week", "/yield?by=supplier", "/diary?more=1", "/jobs/paste", "/jobs/new", "/sign-in",
		"/paper/run/1/labels.pdf", "/paper/run/1/cuts.pdf", "/paper/run/1/tickets.pdf", "/paper/order/1.pdf", "/paper/job/102/ticket.pdf", "/tables/book.xlsx", "/tables/book.zip"} {
		s.get(200, path)
	}
}

// typedForm is the fields of a job with one frame.
func typedForm(job, due, profile, width, height string) []string {
	return []string{"job", job, "due", due, "customer", "surgery", "match", "", "note", "", "frame", "1", "ring", "", "profile", profile, "quantity", "", "sides", "",
		"given_by", "content", "width", width, "height", height, "across", "", "allowance", "", "do", "take"}
}

var cutFields = regexp.MustCompile(`name="stick" value="([^"]*)"><input type="hidden" name="no" value="([^"]*)"><input type="hidden" name="side" value="([^"]*)"`)

// pressNext presses something about the cut that a run's page shows, and gives the page after it.
func (s *site) pressNext(run int, page, do string, more ...string) string {
	s.Helper()
	m := cutFields.FindStringSubmatch(page)
	if m == nil {
		s.Fatalf("the page shows no cut: %s", plainText(page))
	}
	unescape := strings.NewReplacer("&#43;", "+", "&amp;", "&").Replace
	return s.post(200, fmt.Sprintf("/bench/run/%d/press", run), append([]string{"do", do, "stick", unescape(m[1]), "no", m[2], "side", unescape(m[3])}, more...)...)
}

// exported gives every file of a book's export.
func exported(t testing.TB, s *Server) map[string]string {
	t.Helper()
	to := filepath.Join(t.TempDir(), "export")
	must(t, s.Book.Export(t.Context(), to, func(w *model.Workshop, past []table.Written) error { return folder.Export(to, w, past) }))
	files := map[string]string{}
	must(t, filepath.WalkDir(to, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		name, _ := filepath.Rel(to, path)
		files[name] = string(data)
		return err
	}))
	return files
}
