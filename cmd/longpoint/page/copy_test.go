package page

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"longpoint/model/book"
)

// TestCopy takes a copy of the book home: it opens, is sound and holds what the book held. With a pass phrase it is asked for again.
func TestCopy(t *testing.T) {
	pass, err := NewPass("a rail of oak")
	must(t, err)
	for _, c := range []*Pass{nil, pass} {
		b := newBook(t, true)
		s := newSite(t, Config{Book: b, Who: "Ada", Pass: c})
		if c != nil {
			if got := s.post(401, "/tables/copy", "pass", "a rail of oak"); strings.Contains(got, "SQLite") {
				t.Error("a copy went to somebody who is not signed in")
			}
			s.post(200, "/sign-in", "who", "Ada", "pass", "a rail of oak")
			s.wants(s.get(200, "/tables"), "The shop's pass phrase, once more")
			s.wants(s.post(403, "/tables/copy"), "the pass phrase is wrong")
			s.s.guesses.right("127.0.0.1")
		}
		data := s.post(200, "/tables/copy", "pass", "a rail of oak")
		path := filepath.Join(t.TempDir(), "copy.book")
		must(t, os.WriteFile(path, []byte(data), 0o600))
		home, err := book.Open(t.Context(), path)
		must(t, err)
		defer home.Close()
		if found, err := home.Check(t.Context()); err != nil || len(found) > 0 {
			t.Errorf("the copy: %v %v", found, err)
		}
		want, err := b.Jobs(t.Context(), true)
		must(t, err)
		if got, err := home.Jobs(t.Context(), true); err != nil || len(got) != len(want) || len(got) == 0 {
			t.Errorf("the copy has %d jobs and the book %d: %v", len(got), len(want), err)
		}
	}
}

// TestNextBest asks what it would cost to do without a line of a plan's buy list, before and after it is ordered, and plans one profile alone.
func TestNextBest(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	s.post(200, "/plan", "limit", "3s")
	s.planned()
	s.wants(s.get(200, "/plan/of/1"), "What it would cost to do without a line of it")
	before := s.get(200, "/plan/next/1")
	if n := len(regexp.MustCompile(`<td class="n">(&#43;\d+\.\d\d|none)</td></tr>`).FindAllString(before, -1)); n == 0 || n != strings.Count(before, `<tr><th scope="row">`) {
		t.Errorf("%d next-best choices: %s", n, plainText(before))
	}
	s.post(200, "/orders/place", "plan", "1")
	if after := s.get(200, "/plan/next/1"); plainText(after) != plainText(before) {
		t.Errorf("once it is ordered: %s\nbefore: %s", plainText(after), plainText(before))
	}
	s.post(200, "/plan", "limit", "3s", "profile", "oak-40")
	s.planned()
	s.wants(s.get(200, "/plan/of/2"), "only oak-40")
}
