package page

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
)

var finishedSide = regexp.MustCompile(`name="stick" value="([^"]*)"><input type="hidden" name="no" value="([^"]*)"><input type="hidden" name="side" value="([^"]*)"><button name="do" value="torn"`)

// TestFinishedSideIsTorn calls a side torn that was done before: by a button in its line, without scripts, once for its key. It is made again, and where
// the stop was moved the page says by which finished side it is set.
func TestFinishedSideIsTorn(t *testing.T) {
	b := newBook(t, false)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	s.post(200, "/fill", "from", "demo", "kind", "small")
	s.post(200, "/plan", "limit", "10s")
	s.planned()
	s.post(200, "/orders/place", "plan", "1")
	s.post(200, "/orders/1/send")
	s.post(200, "/orders/1/receive")
	s.post(200, "/rack/add", "profile", "black-22", "length", "500", "sticks", "1", "why", "behind the bench")
	s.post(200, "/bench/start", "profile", "black-22", "plan", "1")
	sticks := s.get(200, "/bench/run/1/sticks")
	if finishedSide.MatchString(sticks) {
		t.Error("a side that is not cut can be called torn after all")
	}
	page := s.get(200, "/bench/run/1?begin=1")
	for n := range 10 {
		page = s.pressNext(1, page, "done")
		s.wants(page, fmt.Sprintf("%d of 24 sides done", n+1), "A finished side is torn after all? Say which")
	}
	sticks = s.get(200, "/bench/run/1/sticks")
	s.wants(sticks, "cut 1 done")
	all := finishedSide.FindAllStringSubmatch(sticks, -1)
	if len(all) != 10 {
		t.Fatalf("%d of 10 finished sides have a button", len(all))
	}
	first := all[0]
	said := s.post(200, "/bench/run/1/press", "do", "torn", "stick", first[1], "no", first[2], "side", first[3])
	s.wants(said, "9 of 24 sides done, 1 torn", "The rest is planned anew")
	again := s.get(200, "/bench/run/1/sticks")
	s.wants(again, "torn")
	if n := len(finishedSide.FindAllString(again, -1)); n != 9 {
		t.Errorf("%d of 9 finished sides have a button", n)
	}
	s.post(409, "/bench/run/1/press", "do", "torn", "stick", first[1], "no", "99", "side", first[3])
	held := false
	for page = s.get(200, "/bench/run/1?begin=1"); strings.Contains(page, `name="no"`); page = s.pressNext(1, page, "done") {
		asks := strings.Contains(page, "hold finished side")
		held = held || asks
		if asks != strings.Contains(page, "Before a side is laid in by hand: machine off") {
			t.Error("the caution does not stand where a finished side is laid in, or stands elsewhere")
		}
	}
	if !held {
		t.Error("no stop was set by a finished side")
	}
	s.post(200, "/bench/run/1/finish", "leave", "on")
	if finishedSide.MatchString(s.get(200, "/bench/run/1/sticks")) {
		t.Error("a side of a finished run can be called torn")
	}
	if found, err := b.Check(t.Context()); err != nil || len(found) > 0 {
		t.Errorf("the book: %v %v", found, err)
	}
}
