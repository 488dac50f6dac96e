package page

import (
	"fmt"
	"strings"
	"testing"
)

// TestWaitingRun: a run that waits for wood says so and is not finished unasked; what is cut is not offered to be started; late jobs are told;
// several steps are taken back at once.
func TestWaitingRun(t *testing.T) {
	b := newBook(t, true)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	s.post(200, "/plan", "limit", "3s")
	s.planned()
	s.wants(s.get(200, "/plan/of/1"), "They can be printed until something is cut or changed")
	s.post(200, "/orders/place", "plan", "1")
	s.post(200, "/orders/1/send", "expected", "2031-04-02")
	s.wants(s.get(200, "/plan/of/1"), "is due on 2027", "is expected, on 2031-04-02")
	s.wants(s.get(200, "/orders"), "is expected, on 2031-04-02")
	s.wants(s.get(200, "/orders/1"), "wait for")
	s.wants(s.post(200, "/bench/start", "profile", "oak-40", "plan", "1"), "before the first cut", "Trim", " settings of ", "Caution: mitre guillotines", "show the first cut")
	page := s.get(200, "/bench/run/1?begin=1")
	for strings.Contains(page, `name="no"`) {
		page = s.pressNext(1, page, "done")
	}
	s.wants(page, "waits for wood", "to come with order 1", "do not wait:", "to the next plan")
	s.wants(s.post(200, "/bench/start", "profile", "oak-40"), "Nothing has come that this run waits for")
	s.wants(s.post(400, "/bench/run/1/finish"), "wait for wood")
	s.wants(s.post(200, "/bench/run/1/finish", "leave", "on"), "Run 1 is finished", "to the next plan")
	if page := plainText(s.get(200, "/bench")); strings.Contains(page, "oak-40") {
		t.Error("the bench offers a profile that was cut by its plan")
	}
	steps, err := b.Steps(t.Context(), 100)
	must(t, err)
	order := 0
	for _, step := range steps {
		if step.Kind == "order" {
			order = int(step.ID)
		}
	}
	s.wants(s.get(200, fmt.Sprint("/undo?to=", order)), "Take back everything down to step")
	s.wants(s.post(200, "/undo", "to", fmt.Sprint(order), "back", "/diary"), "Taken back: ")
	if open, err := b.Purchases(t.Context(), false); err != nil || len(open) > 0 {
		t.Errorf("orders %v are left, %v", open, err)
	}
}
