package page

import (
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"longpoint/model/book"
	"longpoint/model/folder"
)

// TestQuoteOfNoJob asks what frames come to that are no job yet, and a job at the prices of a day that is past.
func TestQuoteOfNoJob(t *testing.T) {
	b := newBook(t, true)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	before := exported(t, s.s)
	fields := typedForm("", "", "oak-40", "300", "400")
	fields[len(fields)-1] = "quote"
	page := s.post(200, "/jobs/new", fields...)
	s.wants(page, "What its moulding comes to", "1 frame, 4 sides", "what the job adds", "Nothing is written down")
	if !strings.Contains(page, `value="300"`) {
		t.Error("what was typed is gone")
	}
	// One figure: below the drawing and in the quotation, also of three copies, which were rounded one by one once.
	three := typedForm("", "", "oak-40", "303", "401")
	for n, f := range three {
		if f == "quantity" {
			three[n+1] = "3"
		}
	}
	three[len(three)-1] = "quote"
	page = s.post(200, "/jobs/new", three...)
	drawn, quoted := regexp.MustCompile(`by its length ([0-9.]+ EUR)`).FindStringSubmatch(page), regexp.MustCompile(`net moulding</th>.*?([0-9.]+ EUR)`).FindStringSubmatch(page)
	if drawn == nil || quoted == nil || drawn[1] != quoted[1] {
		t.Errorf("drawn %q, quoted %q", drawn, quoted)
	}
	fields[len(fields)-1] = "draw"
	if page := s.post(200, "/jobs/new", fields...); strings.Contains(page, "What its moulding comes to") {
		t.Error("it is said without being asked for")
	}
	wrong := typedForm("", "", "oak-40", "wide", "400")
	wrong[len(wrong)-1] = "quote"
	s.wants(s.post(422, "/jobs/new", wrong...), "1 slip, named beside its field", "is not a length")
	none := typedForm("", "", "oak-40", "", "")
	none[len(none)-1] = "quote"
	s.wants(s.post(400, "/jobs/new", none...), "there is no frame with a size")
	if after := exported(t, s.s); len(after) != len(before) || after["history/step.csv"] != before["history/step.csv"] {
		t.Error("something is written down")
	}

	_, err := b.Import(t.Context(), folder.Typed{Supplier: "Invented Timber", Is: map[string]string{"delivery": "12.00"}}, book.Importing{}, book.By{Who: "Ada"})
	must(t, err)
	s.wants(s.get(200, "/jobs/of/101/quote"), "net moulding", "At the prices of a day that is past")
	s.wants(s.get(200, "/jobs/of/101/quote?on=2027-03-29"), "net moulding")
	s.wants(s.get(400, "/jobs/of/101/quote?on=2027-03-01"), "the book has no prices of 2027-03-01: it was begun later")
	s.wants(s.get(422, "/jobs/of/101/quote?on=1.3.2027"), "is not a date")
}

// TestCopiedSaid: the page of tables says which copy of the book is the newest.
func TestCopiedSaid(t *testing.T) {
	b := newBook(t, true)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	s.wants(s.get(200, "/tables"), "No copy of the book is known", "What is odd")
	_, err := b.Backup(t.Context(), filepath.Join(filepath.Dir(b.Path()), "monday.copy"))
	must(t, err)
	s.wants(s.get(200, "/tables"), "The newest copy that is known, monday.copy, has all that was done")
	s.post(200, "/jobs/mark", "job", "101", "state", "dropped", "why", "so")
	s.wants(s.get(200, "/tables"), "monday.copy, goes up to 2027-03-29", "1 later step is not in it")
}
