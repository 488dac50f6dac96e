package page

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestToClick turns sentences that name commands into sentences that name pages.
func TestToClick(t *testing.T) {
	for _, c := range []struct{ typed, clicked string }{
		{`see "longpoint run" for those that are open and "longpoint history" for the rest`, `see the page “Bench” for those that are open and the page “Diary” for the rest`},
		{`finish it first with "longpoint finish 3"`, `finish it first on the page “End run 3”`},
		{`see "longpoint rack count" for those that should be`, `see the page “Stock count” for those that should be`},
		{`say with "longpoint receive" what came, or with "longpoint order --cancel" that nothing will`, `say on the page “Orders” what came, or on the page “Orders” that nothing will`},
		{`say what they cost with --cost, or take in the supplier's list with "longpoint prices"`, `say what they cost in its field, or take in the supplier's list on the page “Price list”`},
		{`run "longpoint book check shop.book", which lists what is off`, `run "longpoint book check shop.book" (typed at the book's own computer), which lists what is off`},
		{`say once which COLUMN it is, or none: longpoint take BOOK FILE --is "Auftrag=COLUMN" --is "an=COLUMN"`, `say once which COLUMN it is, or none: write Auftrag=COLUMN; an=COLUMN in the field for headings of your own`},
		{`say that it is rack or jobs: longpoint book import BOOK x.csv --as rack`, `say that it is rack or jobs, in the field for it`},
		{`--is: "x" is no heading and column`, `"x" is no heading and column`},
		{`write it like 12.40 with --cost`, `write it like 12.40 with --cost`},
	} {
		if got := toClick(c.typed); got != c.clicked {
			t.Errorf("%s\nbecomes %s\nnot     %s", c.typed, got, c.clicked)
		}
	}
	if got, want := string(linked(`<b> on the page “Stock count” or the page “None”`)), `&lt;b&gt; on the page <a href="/rack/count">Stock count</a> or the page “None”`; got != want {
		t.Errorf("linked: %s, not %s", got, want)
	}
}

// TestEveryCommandHasItsPage: whatever command a sentence of the book, the planner or the tables names, it is known where on the pages that is done, or
// that no page does it.
func TestEveryCommandHasItsPage(t *testing.T) {
	named := regexp.MustCompile(`\\?"longpoint ([a-z][^"\\%]*)`)
	n := 0
	err := filepath.WalkDir("../../../model", func(path string, d fs.DirEntry, err error) error {
		if err != nil || filepath.Ext(path) != ".go" || strings.Contains(path, "shoptest") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		data, err := os.ReadFile(path)
		for line := range strings.Lines(string(data)) {
			if strings.HasPrefix(strings.TrimSpace(line), "//") {
				continue
			}
			for _, m := range named.FindAllStringSubmatch(line, -1) {
				n++
				if _, known := pageOf(m[1]); !known {
					t.Errorf("%s names %q, and no page is known for it", path, m[1])
				}
			}
		}
		return err
	})
	must(t, err)
	if n < 40 {
		t.Errorf("only %d commands are named", n)
	}
}

// TestRefusedInItsWords goes to what is refused in the book's words: the page says where to click.
func TestRefusedInItsWords(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	for path, want := range map[string]string{
		"/bench/run/7": `see the page <a href="/bench">Bench</a> for those that are open and the page <a href="/diary">Diary</a> for the rest`,
		"/plan/of/9":   `see the page <a href="/diary">Diary</a> for those there are`,
		"/jobs/of/9":   `see the page <a href="/">Jobs</a> for those there are`,
		"/orders/9":    `see the page <a href="/orders">Orders</a> for those that are to come`,
	} {
		if got := s.get(400, path); !strings.Contains(got, want) {
			t.Errorf("%s: %s", path, plainText(got))
		}
	}
}

// TestOwnHeadings takes in tables whose headings are the shop's own: what they mean is said once.
func TestOwnHeadings(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	cells := "Auftrag,an,frame,profile,width,height\nZ1,2027-04-09,1,oak-40,300,400"
	s.wants(s.post(422, "/jobs/paste", "cells", cells), "write Auftrag=job; an=COLUMN in the field for headings of your own")
	s.wants(s.post(400, "/jobs/paste", "cells", cells, "is", "Auftrag=jobb"), `a table of jobs has no column "jobb": did you mean`)
	s.wants(s.post(200, "/jobs/paste", "cells", cells, "is", "Auftrag=job; an=due"), "Taken in: Z1.")
	s.wants(s.post(200, "/jobs/paste", "cells", strings.Replace(cells, "Z1", "Z2", 1)), "Taken in: Z2.")
	s.wants(s.post(200, "/tables", "table", "profiles", "do", "take", "why", "ours", "is", "Leiste=profile; Falz=rebate", "cells", "Leiste,width,Falz\nash,30,6"), "+ profiles ash")
	s.wants(s.post(200, "/tables", "table", "profiles", "do", "take", "why", "ours", "cells", "Leiste,width,Falz\nbirch,30,6"), "+ profiles birch")
	s.wants(s.get(200, "/diary"), "what the shop calls the columns of its tables")
}
