package page

import (
	"bytes"
	"cmp"
	"html"
	"mime/multipart"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"

	"longpoint/model"

	"github.com/xuri/excelize/v2"
)

// carried is a file that goes back with a page.
var carried = regexp.MustCompile(`name="again" value="([^"]+)"`)

// sendFile sends a form with a file, as a browser does.
func (s *site) sendFile(status int, path, field, name, text string, fields ...string) string {
	s.Helper()
	return s.sendForm(status, path, func(w *multipart.Writer) {
		part, err := w.CreateFormFile(field, name)
		must(s, err)
		_, err = part.Write([]byte(text))
		must(s, err)
	}, fields...)
}

// sendFields sends a form with a field for files in which none was chosen.
func (s *site) sendFields(status int, path string, fields ...string) string {
	s.Helper()
	return s.sendForm(status, path, func(*multipart.Writer) {}, fields...)
}

func (s *site) sendForm(status int, path string, more func(*multipart.Writer), fields ...string) string {
	s.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	for i := 0; i < len(fields); i += 2 {
		must(s, w.WriteField(fields[i], fields[i+1]))
	}
	must(s, w.WriteField("key", newKey()))
	more(w)
	must(s, w.Close())
	r, err := http.NewRequest("POST", s.url+path, &b)
	must(s, err)
	r.Header.Set("Content-Type", w.FormDataContentType())
	r.Header.Set("Origin", s.url)
	answer, err := s.client.Do(r)
	must(s, err)
	return s.read(status, "POST "+path, answer)
}

// has demands that the text of a page has something, its marks and all.
func (s *site) has(page string, parts ...string) {
	s.Helper()
	for _, part := range parts {
		if !strings.Contains(page, part) {
			s.Errorf("the page has no %s: %s", part, page)
		}
	}
}

// TestTypedStays: a list that cannot be taken in comes back as cells, with the headings that are proposed, whether it was pasted or sent as a file.
func TestTypedStays(t *testing.T) {
	b := newBook(t, true)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	list := "Auftrag;an;profile;width;height\nZ1;2027-04-08;oak-40;300;400\n"
	page := s.sendFile(422, "/jobs/paste", "file", "list.csv", "\ufeff"+list)
	s.has(page, "Z1;2027-04-08;oak-40;300;400", `name="is" value="Auftrag=job; an=COLUMN"`)
	page = s.sendFile(422, "/tables", "files", "list.csv", "Leiste;width;Falz\nash;30;6\n", "table", "profiles", "do", "take", "replace", "on")
	s.has(page, "ash;30;6", "Leiste=profile", "<option selected>profiles", `name="replace" checked`)
	s.has(s.post(400, "/tables", "table", "profiles", "do", "take", "cells", "Leiste,width,Falz\nash,30,6", "is", "Leiste=profle"), "ash,30,6", `value="Leiste=profle"`)
	s.wants(s.post(200, "/tables", "do", "try", "cells", "supplier,profile,stick_length,price\nInvented Timber,oak-40,2000,9.00\n"), "+ offers")
	if page := s.post(400, "/tables", "do", "take", "cells", " "); !strings.Contains(page, "no file was chosen") {
		t.Error(plainText(page))
	}
	// A workbook of one sheet too, and what comes back is taken in once the heading is put right.
	var sheet bytes.Buffer
	x := excelize.NewFile()
	for at, v := range map[string]any{"A2": "Leiste", "B2": "width", "C2": "rebate", "A3": "ash", "B3": 30.5, "C3": 6} {
		must(t, x.SetCellValue("Sheet1", at, v))
	}
	must(t, x.Write(&sheet))
	page = s.sendFile(422, "/tables", "files", "list.xlsx", sheet.String(), "table", "profiles", "do", "try")
	s.has(page, "Leiste\twidth\trebate\nash\t30.5\t6", "<option selected>profiles")
	s.wants(s.post(200, "/tables", "table", "profiles", "do", "try", "cells", "\nLeiste\twidth\trebate\nash\t30.5\t6\n", "is", "Leiste=profile"), "+ profiles", "ash")
	// A workbook of several sheets goes back whole, and is taken in once it is said what its headings mean; so is one that a price list was tried with.
	_, err := x.NewSheet("Shelf")
	must(t, err)
	must(t, x.SetSheetName("Sheet1", "profiles"))
	must(t, x.SetCellValue("Shelf", "A1", "not a table of ours"))
	sheet.Reset()
	must(t, x.Write(&sheet))
	for _, path := range []string{"/tables", "/jobs/paste", "/tables/prices"} {
		field := map[string]string{"/tables": "files"}[path]
		page = s.sendFile(422, path, cmp.Or(field, "file"), "two.xlsx", sheet.String(), "supplier", "Invented Timber", "article", "nothing", "price", "rebate", "do", "try")
		back := carried.FindStringSubmatch(page)
		if back == nil {
			t.Fatalf("%s: the workbook does not come back: %s", path, plainText(page))
		}
		if again := s.sendFields(422, path, "again", html.UnescapeString(back[1]), "supplier", "Invented Timber", "article", "nothing", "price", "rebate", "do", "try"); !carried.MatchString(again) {
			t.Errorf("%s: the workbook does not come back again: %s", path, plainText(again))
		}
		s.wants(s.sendFields(400, path, "again", "two.xlsx:no base", "supplier", "Invented Timber", "article", "a", "price", "p", "do", "try"), "a file did not come back whole")
	}
	s.wants(s.sendFields(200, "/tables", "again", html.UnescapeString(carried.FindStringSubmatch(s.sendFile(422, "/tables", "files", "two.xlsx", sheet.String(), "do", "try"))[1]),
		"table", "profiles", "is", "Leiste=profile", "do", "try"), "+ profiles", "ash")
	// What was tried is taken in from the page that says what it would change.
	tried := s.sendFields(200, "/tables", "again", html.UnescapeString(carried.FindStringSubmatch(s.sendFile(422, "/tables", "files", "two.xlsx", sheet.String(), "do", "try"))[1]),
		"table", "profiles", "is", "Leiste=profile", "do", "try")
	s.wants(s.sendFields(200, "/tables", "again", html.UnescapeString(carried.FindStringSubmatch(tried)[1]), "table", hidden(t, tried, "table"), "is", hidden(t, tried, "is"), "do", "take"), "+ profiles", "ash")
	tried = s.post(200, "/tables", "do", "try", "cells", "supplier,profile,stick_length,price\nInvented Timber,oak-40,2050,9.00\n")
	s.wants(s.post(200, "/tables", "cells", html.UnescapeString(hidden(t, tried, "cells")), "table", hidden(t, tried, "table"), "do", "take"), "+ offers")
	if w, err := b.Workshop(t.Context()); err != nil || !slices.ContainsFunc(w.Profiles, func(p model.Profile) bool { return p.Name == "ash" }) {
		t.Errorf("what was tried is not taken in: %v", err)
	}
	if back := again([]upload{{"large", make([]byte, formBytes+1)}}); back != nil {
		t.Error("more goes back than a form may hold")
	}
	cells := func(file []byte) string { return (&call{}).asCells("x", file) }
	if got := cells([]byte("PK\x03\x04\x00")) + cells([]byte("\xff\xfe")) + cells(make([]byte, 300_000)); got != "" {
		t.Errorf("no text is kept as cells: %q", got[:10])
	}
}

// TestWhyWhileFilling: nobody need say why while a book is filled; once it has a plan the pages ask.
func TestWhyWhileFilling(t *testing.T) {
	b := newBook(t, true)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	asked := regexp.MustCompile(`name="why" value="" required`)
	for _, planned := range []bool{false, true} {
		if planned {
			s.post(200, "/plan", "limit", "3s")
			s.planned()
		}
		for _, path := range []string{"/settings", "/tables", "/tables/row?of=profiles", "/rack"} {
			if page := s.get(200, path); asked.MatchString(page) != planned || strings.Contains(page, "blank: the first filling") == planned {
				t.Errorf("%s, planned %v: %s", path, planned, plainText(page))
			}
		}
	}
}

// TestQuoteOfPart: of a job of which a part is cut the page says what that came to.
func TestQuoteOfPart(t *testing.T) {
	b := newBook(t, true)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	fields := typedForm("107", "2027-04-08", "oak-40", "210", "290")
	fields = append(fields, typedForm("107", "2027-04-08", "black-22", "210", "290")[10:]...)
	for i := range fields {
		if i > len(typedForm("", "", "", "", "")) && fields[i-1] == "frame" {
			fields[i] = "2"
		}
	}
	s.wants(s.post(200, "/jobs/new", fields...), "Taken in: 107.")
	s.post(200, "/plan", "limit", "3s", "profile", "oak-40")
	s.planned()
	s.post(200, "/bench/start", "profile", "oak-40", "plan", "1")
	s.wants(s.get(200, "/jobs/of/107/quote"), "Job 107 is cut in part: run 1, of oak-40, has 0 of its 4 sides done, and its share of plan 1", "leaves out the frames that are wholly cut or in a run", "1 frame, 4 sides")
	if page := s.get(200, "/jobs/of/101/quote"); strings.Contains(page, "is cut in part") && !strings.Contains(page, "run 1") {
		t.Error(plainText(page))
	}
}

// TestStopsAreNamed: who begins is led to the setting of the machine's stops.
func TestStopsAreNamed(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	s.has(s.get(200, "/start/next"), "How many stops has your machine?", `href="/settings#machine_2elimits_2estops"`)
	s.has(s.get(200, "/settings"), `id="machine_2elimits_2estops"`)
}

// TestLostByChange: a change that makes finished sides useless is asked about before it is made, with what they cost; nothing typed is lost.
func TestLostByChange(t *testing.T) {
	b := newBook(t, true)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	s.wants(s.post(200, "/jobs/new", typedForm("106", "2027-04-08", "oak-40", "210", "290")...), "Taken in: 106.")
	s.post(200, "/plan", "limit", "3s", "profile", "oak-40")
	s.planned()
	s.post(200, "/orders/place", "plan", "1")
	s.post(200, "/orders/1/receive", "place", "left")
	s.post(200, "/bench/start", "profile", "oak-40", "plan", "1")
	page := s.get(200, "/bench/run/1?begin=1")
	for strings.Contains(page, `name="no"`) {
		page = s.pressNext(1, page, "done")
	}
	s.post(200, "/bench/run/1/finish")
	wider := append(typedForm("106", "2027-04-08", "oak-40", "220", "290"), "why", "she rang")
	page = s.post(200, "/jobs/of/106/change", wider...)
	s.wants(page, "Nothing is changed yet. By this change 2 finished sides are spoilt", "their part of the job's cost,", "Change it all the same")
	if strings.Contains(page, "cost, 0.00") {
		t.Error("they cost nothing")
	}
	s.has(page, `value="she rang"`, `name="sure" value="2"`, `value="220"`)
	s.wants(s.get(200, "/jobs/of/106"), "4 of 4 sides cut.")
	s.wants(s.post(200, "/jobs/of/106/change", append(wider, "sure", "1")...), "Nothing is changed yet.")
	s.wants(s.post(200, "/jobs/of/106/change", append(wider, "sure", "2")...), "Written down.", "2 of 4 sides cut, 2 spoilt")
}
