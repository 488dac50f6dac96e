package page

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
	"testing"
)

// TestOutOfTurn jumps to a cut before which others on its stick are not made: the page says so before it is pressed, and what comes then.
func TestOutOfTurn(t *testing.T) {
	s := newSite(t, Config{Book: manyCuts(t, 8), Who: "Ada"})
	d, err := s.s.Book.RunDocument(t.Context(), 1)
	must(t, err)
	pp := d.Plan.Profiles[0]
	no := pp.Run.Number(len(pp.Run.Cuts) - 1)
	if s.wants(s.get(200, "/bench/run/1?begin=1"), "1 of"); strings.Contains(plainText(s.get(200, "/bench/run/1?begin=1")), "not made") {
		t.Error("of the first cut it is said that others come before it")
	}
	page := plainText(s.get(200, fmt.Sprintf("/bench/run/1?begin=1&code=%d", no)))
	if !strings.Contains(page, "come before this one on") || !strings.Contains(page, "Make them first") || !strings.Contains(page, "Then side") || strings.Contains(page, "last cut of the run") {
		t.Errorf("cut %d out of its turn: %s", no, page)
	}
	var run struct {
		Cuts []struct {
			No, Then int
			HTML     string
		}
		Asked string
	}
	must(t, json.Unmarshal([]byte(s.get(200, fmt.Sprintf("/api/runs/1?code=%d", no))), &run))
	if first := run.Cuts[0]; first.No != no || first.Then != run.Cuts[1].No || !strings.Contains(first.HTML, "Make them first") || run.Asked != "" {
		t.Errorf("asked for cut %d the bench is given %d, then %d: %s %s", no, first.No, first.Then, first.HTML, run.Asked)
	}
	// Done is refused then, and taken where it is said that the cut is made out of its turn.
	raw := s.get(200, fmt.Sprintf("/bench/run/1?begin=1&code=%d", no))
	m := cutFields.FindStringSubmatch(raw)
	fields := []string{"stick", m[1], "no", m[2], "side", m[3]}
	// Enter in a field presses the form's first button, which is none of those that write something down.
	_, form, _ := strings.Cut(raw, "data-press>")
	if first := regexp.MustCompile(`<button[^>]*>`).FindString(form); first != `<button name="do" value="" hidden>` {
		t.Errorf("Enter presses %s", first)
	}
	s.wants(s.post(400, "/bench/run/1/press", append(fields, "do", "")...), "it is not said what became of it")
	s.wants(s.post(409, "/bench/run/1/press", append(fields, "do", "done")...), "is not next on its stick", "It is cut out of its turn")
	if r, err := s.s.Book.Run(t.Context(), 1); err != nil || !strings.Contains(raw, `value="anyway"`) || strings.Contains(s.get(200, "/bench/run/1?begin=1"), `value="anyway"`) || r.InHand() != "" {
		t.Errorf("cut %d is written down, or cannot be where it is made out of its turn: %v", no, err)
	}
	must(t, json.Unmarshal([]byte(s.get(200, "/api/runs/1?wait=1")), &run))
	if run.Cuts[0].No == 1 || run.Cuts[len(run.Cuts)-1].No != 1 {
		t.Errorf("cut 1 is to wait, and the cuts begin with %d and end with %d", run.Cuts[0].No, run.Cuts[len(run.Cuts)-1].No)
	}
	s.post(200, "/bench/run/1/press", append(fields, "do", "anyway")...)
	s.wants(s.get(200, fmt.Sprintf("/bench/run/1?begin=1&code=%d", no)), "1 of")
	if r, err := s.s.Book.Run(t.Context(), 1); err != nil || r.InHand() == "" {
		t.Errorf("what is cut out of its turn is not written down: %v", err)
	}
}

// TestAskedFor types the name and the code of sides for which no cut is to be made: the page says why, and takes that a finished one is spoilt.
func TestAskedFor(t *testing.T) {
	s := newSite(t, Config{Book: manyCuts(t, 8), Who: "Ada"})
	page := s.get(200, "/bench/run/1?begin=1")
	code := hidden(t, page, "side")
	letter := code[strings.LastIndex(code, "/")+1:]
	d, err := s.s.Book.RunDocument(t.Context(), 1)
	must(t, err)
	sides, alike := d.Plan.Profiles[0].Figures.Sides, 0
	for _, stick := range d.Plan.Profiles[0].Sticks {
		for _, side := range stick.Sides {
			if side.Job == "900" && side.Letter == letter {
				alike++
			}
		}
	}
	s.wants(s.get(200, "/bench/run/1?begin=1&code=900+"+strings.ToLower(letter)), letter+" of job 900")
	s.pressNext(1, page, "done")
	done := s.get(200, "/bench/run/1?begin=1&code="+code)
	s.wants(done, "Side "+letter+" of job 900", "is done. Was it spoilt after all?", "It is short")
	if alike > 1 { // of its name there is another, which is to be cut
		if page := plainText(s.get(200, "/bench/run/1?begin=1&code=900+"+letter)); strings.Contains(page, "spoilt after all?") {
			t.Errorf("by its name another side is meant: %s", page)
		}
	}
	s.wants(s.get(200, "/bench/run/1?begin=1&code=oak"), "“oak” is no side and no stick of this run")
	var run struct{ Asked string }
	must(t, json.Unmarshal([]byte(s.get(200, "/api/runs/1?code="+code)), &run))
	if !strings.Contains(run.Asked, `value="torn"`) {
		t.Errorf("the bench's script is told %s", run.Asked)
	}
	s.wants(s.post(200, "/bench/run/1/press", "do", "torn", "stick", hidden(t, run.Asked, "stick"), "no", hidden(t, run.Asked, "no"), "side", code), fmt.Sprintf("0 of %d sides done, 1 torn", sides))
}

// TestEndRunNow ends a run of which not all is cut: the refusal leads to the page, which asks once and says what goes to the next plan.
func TestEndRunNow(t *testing.T) {
	s := newSite(t, Config{Book: manyCuts(t, 8), Who: "Ada"})
	s.pressNext(1, s.get(200, "/bench/run/1?begin=1"), "done")
	refused := s.post(400, "/jobs/mark", "job", "900", "state", "dropped", "why", "so")
	if !strings.Contains(refused, `href="/bench/run/1/end"`) {
		t.Errorf("the refusal does not lead to the page that ends the run: %s", plainText(refused))
	}
	if page := s.get(200, "/bench/run/1?begin=1"); !strings.Contains(page, `href="/bench/run/1/end"`) {
		t.Error("the run's page does not lead to the page that ends it")
	}
	s.wants(s.get(200, "/bench/run/1/end"), "end it now?", "these sides are not cut and go to the next plan", "900", "Yes, end this run now", "No, go on cutting")
	s.wants(s.get(200, "/paper/run/1/labels.pdf?changed=1"), "No label of this run has changed")
	page := s.post(200, "/bench/run/1/finish", "leave", "on")
	s.wants(page, "Run 1 is finished", "sides go to the next plan", "Still to cut: job 900", "1 side done")
	if n := strings.Count(page, "Still to cut: job 900"); n != 1 {
		t.Errorf("one job is named %d times", n)
	}
	if r, err := s.s.Book.Run(t.Context(), 1); err != nil || r.State != "finished" {
		t.Errorf("the run is %s, %v", r.State, err)
	}
	s.wants(s.get(200, "/bench/run/1/end"), "1 side done")
	s.post(200, "/jobs/mark", "job", "900", "state", "dropped", "why", "so")
	if found, err := s.s.Book.Check(t.Context()); err != nil || len(found) > 0 {
		t.Errorf("the book: %v %v", found, err)
	}
}
