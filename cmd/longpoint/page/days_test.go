package page

import (
	"regexp"
	"testing"

	"longpoint/model/book"
	"longpoint/model/folder"
)

// isoDay is a day as it stands in files.
var isoDay = regexp.MustCompile(`\b20\d\d-\d\d-\d\d\b`)

// TestDaysOnPages looks for days on the pages of a shop that writes day.month.year: none is shown as files have them.
func TestDaysOnPages(t *testing.T) {
	b := newBook(t, true)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	_, err := b.Import(t.Context(), folder.Typed{Is: map[string]string{"tables.dates": "day.month.year"}}, book.Importing{}, book.By{Who: "Ada"})
	must(t, err)
	s.post(200, "/plan", "limit", "3s", "until", "2027-04-08")
	s.planned()
	if found := isoDay.FindString(plainText(s.get(200, "/undo"))); found != "" {
		t.Errorf("/undo shows %s", found)
	}
	s.post(200, "/orders/place", "plan", "1")
	s.post(200, "/orders/1/send", "expected", "2027-04-08")
	s.wants(s.get(200, "/jobs"), "open 4 0 0 ", "the plans that its sides were and will be cut by")
	for path, shows := range map[string]string{"/jobs": "07.04.2027", "/jobs/of/102": "due 07.04.2027", "/plan": "up to 08.04.2027", "/plan/of/1": "up to 08.04.2027", "/plan/groups": "07.04.2027",
		"/orders": "expected 08.04.2027", "/orders/1": "expected 08.04.2027", "/rack": "", "/settings/odd": ""} {
		page := s.get(200, path)
		s.wants(page, shows)
		if found := isoDay.FindString(plainText(page)); found != "" {
			t.Errorf("%s shows %s", path, found)
		}
	}
}
