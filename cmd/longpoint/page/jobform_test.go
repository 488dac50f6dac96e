package page

import (
	"bytes"
	"encoding/json"
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// TestJobForm: a slip is named beside its field, what was typed stays, and nothing is in the book.
func TestJobForm(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	before := len(exported(t, s.s)["history/step.csv"])
	for _, c := range []struct {
		name   string
		field  string // that is changed in a good form
		typed  string
		beside string // the field that the slip stands beside; empty: it is above the form
		says   string
	}{
		{"no length", "width", "wide", "width", "wide"},
		{"a comma that may part thousands", "height", "1,200", "height", "1,200"},
		{"nought", "width", "0", "width", "0"},
		{"no profile of ours", "profile", "oak-41", "profile", "oak-41"},
		{"too many", "quantity", "100000", "quantity", "100000"},
		{"two sides", "sides", "2", "sides", "2"},
		{"no day", "due", "tomorrow", "due", "tomorrow"},
		{"no name", "job", "", "job", "nothing is given"},
		{"a size that is no size", "given_by", "inside", "given_by", "inside"},
		{"a job that is there and differs", "job", "101", "", "job 101 is in the book already and is another"},
		{"nothing but blanks", "width", "", "width", "nothing is given"},
		{"a frame so narrow that nothing is seen", "width", "1", "", "frame"},
	} {
		t.Run(c.name, func(t *testing.T) {
			form := url.Values{"key": {key()}}
			fields := typedForm("200", "2027-04-08", "oak-40", "300", "400")
			for i := 0; i < len(fields); i += 2 {
				form.Set(fields[i], fields[i+1])
			}
			form.Set(c.field, c.typed)
			r, err := s.client.PostForm(s.url+"/jobs/new", form)
			must(t, err)
			page := s.read(r.StatusCode, "form", r)
			if r.StatusCode != http.StatusUnprocessableEntity && r.StatusCode != http.StatusBadRequest {
				t.Fatalf("status %d: %s", r.StatusCode, plainText(page))
			}
			slip := ""
			if c.beside != "" {
				_, slip, _ = strings.Cut(page, `name="`+c.beside+`"`)
				slip, _, _ = strings.Cut(slip, "</td>")
				slip, _, _ = strings.Cut(slip, `<span class="field">`)
			} else {
				_, slip, _ = strings.Cut(page, `class="wrong"`)
			}
			if !strings.Contains(plainText(slip), c.says) {
				t.Errorf("the slip does not say %q beside %q: %s", c.says, c.beside, plainText(page))
			}
			if c.typed != "" && c.field != "profile" && c.field != "given_by" && !strings.Contains(page, `value="`+c.typed+`"`) {
				t.Error("what was typed is gone")
			}
		})
	}
	if after := len(exported(t, s.s)["history/step.csv"]); after != before {
		t.Error("a step was written")
	}
}

// TestJobFormDraws: frames are drawn as one types, in any unit, whatever else is still missing, and one more row is given.
func TestJobFormDraws(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	page := s.post(200, "/jobs/new", "job", "", "due", "", "frame", "1", "profile", "oak-40", "width", "10 in", "height", "40 cm", "given_by", "sight", "do", "draw")
	// By hand: sight 254 × 400, width 40: long points 254 + 80 and 400 + 80; all four 1628.
	s.wants(page, "254 × 400 mm", "A C 334 mm, B D 480 mm", "Moulding: 1628 mm")
	if n := strings.Count(page, "<svg"); n != 1 {
		t.Errorf("%d pictures", n)
	}
	page = s.post(200, "/jobs/new", "job", "9", "due", "2027-04-08", "frame", "a", "profile", "black-22", "width", "100", "height", "100", "do", "more")
	if n := strings.Count(page, `name="width"`); n != 2 || !strings.Contains(page, `value="2"`) {
		t.Errorf("%d rows after one more was asked for", n)
	}
	s.wants(s.get(200, "/jobs/of/104/change"), "sight 3")
	// Two rings make one frame.
	page = s.post(200, "/jobs/new", "job", "9", "due", "2027-04-08", "frame", "a", "ring", "1", "profile", "black-22", "width", "100", "height", "100", "given_by", "content",
		"frame", "a", "ring", "2", "profile", "oak-40", "width", "", "height", "", "given_by", "", "do", "draw")
	if n := strings.Count(page, "<svg"); n != 1 {
		t.Errorf("%d pictures of two rings", n)
	}
}

// TestDrawAPI: the script of the form is told each row's picture and slip, and of no field that is still blank.
func TestDrawAPI(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	form := url.Values{}
	for i, f := 0, typedForm("", "", "oak-40", "300", "4oo"); i < len(f); i += 2 {
		form.Add(f[i], f[i+1])
	}
	type answer struct {
		Rows []struct {
			HTML  string
			Slips map[string]string
		}
		Slips map[string]string
	}
	var got answer
	must(t, json.Unmarshal([]byte(s.send(200, "/api/draw", form)), &got))
	if len(got.Rows) != 1 || got.Rows[0].HTML != "" || !strings.Contains(got.Rows[0].Slips["height"], "4oo") || len(got.Slips) != 0 {
		t.Errorf("with a slip: %+v", got)
	}
	form.Set("height", "400")
	got = answer{}
	must(t, json.Unmarshal([]byte(s.send(200, "/api/draw", form)), &got))
	if !strings.Contains(got.Rows[0].HTML, "<svg") || len(got.Rows[0].Slips) != 0 {
		t.Errorf("without: %+v", got)
	}
}

// TestPaste: a table from a spreadsheet is taken in whole or not at all.
func TestPaste(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	table := "job\tdue\tframe\tprofile\twidth\theight\n301\t2027-04-08\tone\toak-40\t210\t290\n302\t2027-04-08\tone\tblack-22\t16 1/2\"\t290\n"
	s.wants(s.post(422, "/jobs/paste", "cells", strings.Replace(table, "290\n302", "two\n302", 1)), "column height", "pasted.csv:2")
	s.wants(s.post(200, "/jobs/paste", "cells", table), "Taken in: 301 and 302.")
	s.wants(s.post(200, "/jobs/paste", "cells", table), "Nothing new")
}

// FuzzForms sends anything at all to every form: the answer is no fault of ours, and nobody's server falls over.
func FuzzForms(f *testing.F) {
	s := newSite(f, Config{Book: newBook(f, true), Who: "Ada"})
	var paths []string
	for _, r := range s.s.routes() {
		if r.method == "POST" {
			paths = append(paths, strings.NewReplacer("{job}", "101", "{order}", "1", "{stick}", "S1", "{run}", "1").Replace(r.path))
		}
	}
	f.Add(uint8(0), "job", "x", "width", "1 1/3\"", "due", "2027-02-30")
	f.Add(uint8(3), "cells", "job;due\n1;2", "table", "offers", "do", "try")
	f.Add(uint8(9), "lengths", "1;2;3", "line", "1", "sticks", "99999999999999999999")
	f.Add(uint8(12), "stick", "S1", "do", "flaw", "from", "-1")
	f.Fuzz(func(t *testing.T, path uint8, a, b, c, d, e, g string) {
		form := url.Values{a: {b}, c: {d}, e: {g}, "key": {key()}}
		at := paths[int(path)%len(paths)]
		if at == "/plan" || at == "/fill" { // which go on by themselves
			return
		}
		request, err := http.NewRequest("POST", s.url+at, strings.NewReader(form.Encode()))
		must(t, err)
		request.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		answer, err := s.client.Do(request)
		must(t, err)
		answer.Body.Close()
		if answer.StatusCode >= 500 {
			t.Errorf("%s: status %d", at, answer.StatusCode)
		}
	})
}

// FuzzJSON sends anything at all to everything that takes JSON.
func FuzzJSON(f *testing.F) {
	s := newSite(f, Config{Book: newBook(f, true), Who: "Ada"})
	paths := []string{"/api/jobs", "/api/undo", "/api/runs/1/press", "/api/runs/1/finish", "/api/planning", "/api/plan"}
	f.Add(uint8(0), []byte(`{"key":"0123456789abcdef","table":"job,due\n1,2"}`))
	f.Add(uint8(2), []byte(`{"key":"0123456789abcdef","do":"done","stick":"S1","no":1,"side":"a/b/1/1/A"}`))
	f.Add(uint8(3), []byte(`{"key":"0123456789abcdef","left_nm":{"1":9223372036854775807}}`))
	f.Add(uint8(5), []byte(`{"files":{"workshop.toml":"name = 1","../x.csv":""},"seconds":-1}`))
	f.Add(uint8(4), []byte(`{"until":"2027-13-01","order":"sticks"} {}`))
	f.Fuzz(func(t *testing.T, path uint8, body []byte) {
		answer, err := s.client.Post(s.url+paths[int(path)%len(paths)], "application/json", bytes.NewReader(body))
		must(t, err)
		defer answer.Body.Close()
		if answer.StatusCode >= 500 {
			t.Errorf("%s: status %d", paths[int(path)%len(paths)], answer.StatusCode)
		}
		var v any
		if err := json.NewDecoder(answer.Body).Decode(&v); err != nil {
			t.Errorf("the answer is no JSON: %v", err)
		}
	})
}

// TestInches: an inch shop is asked for inches, in words, and shown them.
func TestInches(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, false), Who: "Ada"})
	fields := []string{"from", "typed"}
	for name, text := range smallFiles(t) {
		if name == "workshop.toml" {
			text = strings.Replace(text, `units = "mm"`, `units = "in"`, 1)
		}
		for _, lengths := range []string{",40,8,", ",22,6,400", ",3000,", ",2400,", ",2290,", ",770,", ",1250,"} { // which are millimetres still
			parts := strings.Split(lengths, ",")
			for i, part := range parts {
				if part != "" {
					parts[i] = part + " mm"
				}
			}
			text = strings.ReplaceAll(text, lengths, strings.Join(parts, ","))
		}
		if name == "jobs.csv" {
			text = "job,due,frame,profile,width,height\n1,2027-04-08,one,oak-40,8,10\n"
		}
		fields = append(fields, name, text)
	}
	s.wants(s.post(200, "/fill", fields...), "The book is filled.")
	s.wants(s.get(200, "/jobs/new"), "Sizes are in inches unless")
	s.wants(s.get(200, "/jobs/of/1"), `8 × 10"`)
}
