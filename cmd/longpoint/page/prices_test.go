package page

import (
	"strings"
	"testing"
)

// TestPrices takes a supplier's list as it comes: what is missing is said in words, what would change is shown, then it changes, and how it is laid out is kept.
func TestPrices(t *testing.T) {
	b := newBook(t, true)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	path := "/tables/prices"
	cells := "Nr;Wood;Length;EUR\n4711;Oak;3,00;99,00\n815;Pine;2,50;12,00\n"
	was, err := b.Workshop(t.Context())
	must(t, err)
	supplier := suppliersOf(was)[0]
	s.wants(s.get(200, "/tables"), "as it comes")
	s.wants(s.post(400, path, "do", "try", "cells", cells), "no supplier is named")
	s.wants(s.post(400, path, "do", "try", "supplier", supplier, "cells", cells), "nobody has said yet how the price list of "+supplier+" is laid out", "in the fields for them")
	laid := []string{"supplier", supplier, "cells", cells, "article", "Nr", "price", "EUR", "length", "Length", "unit", "m", "decimal", ",", "why", "spring"}
	send := func(status int, more ...string) string { return s.post(status, path, append(more, laid...)...) }
	page := send(422, "do", "try")
	s.wants(page, "nobody has said yet which profile “4711” is, and 1 more", "say it once for each as 4711=PROFILE in the field “Which article is which profile”, where PROFILE is one of yours, such as oak-40")
	if text := plainText(page); strings.Contains(text, "--") || strings.Contains(text, "longpoint ") {
		t.Errorf("the page speaks of the command line: %s", text)
	}
	s.wants(send(400, "do", "try", "is", "4711"), `"4711" is no article and profile`)
	s.wants(send(400, "do", "try", "is", "4711=oak-40", "unit", "ell"), "is no unit of length")
	if page := send(200, "do", "try", "is", "4711=oak-40"); strings.Contains(page, b.Path()) || !strings.Contains(page, "gone") {
		t.Errorf("the page names the book's file, or nothing is gone: %s", page)
	}
	s.wants(send(200, "do", "try", "is", "4711=oak-40", "part", "on"), "This was tried only", "Not a profile of yours: 815", "99.00", "4711")
	if now, err := b.Workshop(t.Context()); err != nil || len(now.Offers) != len(was.Offers) {
		t.Errorf("a try changed the book: %v", err)
	}
	s.wants(send(200, "do", "take", "is", "4711=oak-40", "part", "on"), "The prices are in the book: ")
	now, err := b.Workshop(t.Context())
	must(t, err)
	found := false
	for _, o := range now.Offers {
		found = found || o.Article == "4711" && o.Profile == "oak-40" && o.Supplier == supplier
	}
	if !found {
		t.Errorf("the offer is not in the book: %v", now.Offers)
	}
	// The next time the supplier is enough.
	s.wants(s.post(200, path, "supplier", supplier, "cells", strings.Replace(cells, "99,00", "98,00", 1), "do", "try", "part", "on"), "1 cheaper", "98.00")
	if page := s.get(200, pricesPath(supplier)); !strings.Contains(page, `value="4711=oak-40; "`) || !strings.Contains(page, `name="article" value="Nr"`) {
		t.Errorf("how the list is laid out is not shown: %s", page)
	}
	if found, err := b.Check(t.Context()); err != nil || len(found) > 0 {
		t.Errorf("the book: %v %v", found, err)
	}
}
