package page

import (
	"database/sql"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"longpoint/cmd/longpoint/examine"
)

// TestOdd: what is odd in a shop is named on the page as the command names it, each with a page that is there.
func TestOdd(t *testing.T) {
	b := newBook(t, true)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	s.wants(s.get(200, "/plan"), "worth a look at what is odd")
	s.wants(s.get(200, "/settings"), "What is odd")
	s.post(200, "/rack/add", "profile", "oak-40", "length", "90", "sticks", "1", "name", "stump/1", "why", "found")
	path := b.Path() + ".before-restore"
	must(t, os.WriteFile(path, nil, 0o600))
	page := s.get(200, "/settings/odd")
	s.wants(page, "no copy of the book lies in its folder", "stick stump/1 of oak-40", "Stick stump/1", filepath.Base(path)+" is a book that a backup took the place of")
	if strings.Contains(page, filepath.Dir(path)) || strings.Contains(plainText(page), "longpoint ") {
		t.Errorf("the page names the book's folder, or a command: %s", plainText(page))
	}
	x := &examine.Shop{Path: b.Path(), Name: "BOOK", Word: strings.TrimSpace, Day: "2027-03-29"}
	must(t, x.Book(t.Context(), b))
	if n := strings.Count(page, "<li>"); n < len(x.Odd) || len(x.Odd) < 4 {
		t.Errorf("the page has %d entries, and %d things are odd", n, len(x.Odd))
	}
	for _, m := range regexp.MustCompile(`<a href="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		s.get(200, m[1])
	}
	// What is wrong in the book itself comes first, and leads to the diary.
	db, err := sql.Open("sqlite", b.Path())
	must(t, err)
	defer db.Close()
	_, err = db.Exec("DROP TRIGGER log_stick_update; UPDATE stick SET length_nm = length_nm - 1 WHERE name = 'stump/1'")
	must(t, err)
	page = s.get(200, "/settings/odd")
	s.wants(page, "to look at", "Book Wrong: ", "Take back the step that did it")
}
