package page

import (
	"encoding/json"
	"io"
	"io/fs"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"

	"longpoint/model/folder"
	"longpoint/model/plan"
)

// sendJSON posts a value, and gives the status and the answer.
func (s *site) sendJSON(path string, v any) (int, string) {
	s.Helper()
	data, err := json.Marshal(v)
	must(s, err)
	r, err := s.client.Post(s.url+path, "application/json", strings.NewReader(string(data)))
	must(s, err)
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	must(s, err)
	return r.StatusCode, string(text)
}

// smallFiles are the files of the small demo.
func smallFiles(t testing.TB) map[string]string {
	files := map[string]string{}
	names, err := fs.Glob(folder.Small(), "*")
	must(t, err)
	for _, name := range names {
		data, err := fs.ReadFile(folder.Small(), name)
		must(t, err)
		files[name] = string(data)
	}
	return files
}

// TestOpenAPI: the description has every address of the interface and no other, and each answer that a handler can give.
func TestOpenAPI(t *testing.T) {
	var d struct {
		OpenAPI    string                               `json:"openapi"`
		Paths      map[string]map[string]map[string]any `json:"paths"`
		Components map[string]map[string]any            `json:"components"`
	}
	must(t, json.Unmarshal(openAPI, &d))
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	var routes, described []string
	for _, r := range s.s.routes() {
		if strings.HasPrefix(r.path, "/api/") {
			routes = append(routes, strings.ToLower(r.method)+" "+r.path)
		}
	}
	for path, methods := range d.Paths {
		for method, m := range methods {
			described = append(described, method+" "+path)
			if m["summary"] == nil || m["responses"] == nil {
				t.Errorf("%s %s has no summary or no responses", method, path)
			}
		}
	}
	slices.Sort(routes)
	slices.Sort(described)
	if !slices.Equal(routes, described) {
		t.Errorf("the interface has\n%q\nand described is\n%q", routes, described)
	}
	for _, ref := range regexp.MustCompile(`"#/components/([a-zA-Z]+)/([a-zA-Z]+)"`).FindAllSubmatch(openAPI, -1) {
		if d.Components[string(ref[1])][string(ref[2])] == nil {
			t.Errorf("%s is not there", ref[0])
		}
	}
	if s.get(200, "/api/openapi.json") != string(openAPI) {
		t.Error("the description is not served as it is")
	}
}

// TestPlanAlone: a workshop that is sent is planned without a book, and twice alike.
func TestPlanAlone(t *testing.T) {
	s := newSite(t, Config{Who: ""})
	status, first := s.sendJSON("/api/plan", map[string]any{"files": smallFiles(t), "on": "2027-03-29"})
	if status != 200 {
		t.Fatalf("status %d: %s", status, first)
	}
	d, err := plan.Decode([]byte(first))
	must(t, err)
	if d.Total.Grade != plan.Proven || d.Total.Figures.Sides == 0 {
		t.Errorf("a plan of %d sides, %s", d.Total.Figures.Sides, d.Total.Grade)
	}
	if _, second := s.sendJSON("/api/plan", map[string]any{"files": smallFiles(t), "on": "2027-03-29"}); second != first {
		t.Error("the same workshop has another plan the second time")
	}
	bad := smallFiles(t)
	bad["offers.csv"] = strings.Replace(bad["offers.csv"], "21.00", "cheap", 1)
	status, text := s.sendJSON("/api/plan", map[string]any{"files": bad})
	var got apiErrorList
	must(t, json.Unmarshal([]byte(text), &got))
	if status != http.StatusUnprocessableEntity || len(got.Errors) != 1 || got.Errors[0].File != "offers.csv" || got.Errors[0].Column != "price" || got.Errors[0].Exit != 3 {
		t.Errorf("status %d: %s", status, text)
	}
	s.wants(s.get(200, "/"), "This server keeps no book")
	s.get(404, "/jobs")
}

// TestAPI: the interface gives what the pages give.
func TestAPI(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	for path, has := range map[string]string{"/api/jobs": `"job":"101"`, "/api/rack": `"stick":"S1"`, "/api/orders": `[]`, "/api/diary": `"who":"Ada"`, "/api/runs": `[]`, "/api/yield": `[]`,
		"/api/blades": `[]`} {
		if got := s.get(200, path); !strings.Contains(got, has) {
			t.Errorf("%s gives %s", path, got)
		}
	}
	table := "job,due,frame,profile,width,height\n301,2027-04-08,one,oak-40,210,290\n"
	k := key()
	for n, want := range []string{`{"taken":["301"]}`, `{"taken":[]}`} {
		if status, got := s.sendJSON("/api/jobs", map[string]any{"key": k, "who": "Bert", "table": table}); status != 200 || strings.TrimSpace(got) != want {
			t.Errorf("sent %d times: status %d, %s", n+1, status, got)
		}
	}
	if got := s.get(200, "/api/diary"); !strings.Contains(got, `"who":"Bert"`) {
		t.Errorf("who sent it is not in the diary: %s", got)
	}
	if status, got := s.sendJSON("/api/planning", map[string]any{"key": key(), "seconds": 5}); status != http.StatusAccepted {
		t.Fatalf("status %d: %s", status, got)
	}
	s.planned()
	if got := s.get(200, "/api/planning/events"); !strings.HasPrefix(got, "data: {") || !strings.Contains(got, `"plan":1`) {
		t.Errorf("events: %s", got)
	}
	if _, err := plan.Decode([]byte(s.get(200, "/api/plans/1"))); err != nil {
		t.Error(err)
	}
	for _, c := range []struct {
		path   string
		v      any
		status int
		says   string
	}{
		{"/api/undo", map[string]any{"key": "short", "step": 1}, 400, "no key"},
		{"/api/undo", map[string]any{"key": key()}, 400, "which step"},
		{"/api/undo", map[string]any{"key": key(), "step": 1, "more": 2}, 400, "more"},
		{"/api/jobs", map[string]any{"key": key(), "table": "job\n"}, 422, `"exit_status":3`},
		{"/api/runs/7/press", map[string]any{"key": key(), "do": "done"}, 400, "run 7"},
		{"/api/planning", map[string]any{"key": key(), "seconds": 1000}, 400, "1000"},
	} {
		if status, got := s.sendJSON(c.path, c.v); status != c.status || !strings.Contains(got, c.says) {
			t.Errorf("%s: status %d, want %d with %q: %s", c.path, status, c.status, c.says, got)
		}
	}
	s.get(404, "/api/plans/x")
}
