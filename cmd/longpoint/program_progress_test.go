package main

import (
	"bytes"
	"testing"
	"time"

	"longpoint/model"
	"longpoint/model/planner"
)

func TestProgressLine(t *testing.T) {
	for _, c := range []struct {
		name string
		now  planner.Progress
		want string
	}{
		{"nothing heard yet", planner.Progress{}, "planning, 4 s"},
		{"no plan yet", planner.Progress{Proving: "oak", All: 1, Bound: 1200}, "proving oak, 0 of 1 done: no plan yet, bound 12.00 EUR, 4 s"},
		{"a gap", planner.Progress{Proving: "ash", Done: 2, All: 3, HasPlan: true, Cost: 160472, Bound: 156728, Gap: 3744},
			"proving ash, 2 of 3 done: best 1604.72 EUR, bound 1567.28, gap 2.34 %, 4 s"},
		{"a small gap is one", planner.Progress{Done: 2, All: 3, HasPlan: true, Cost: 10_000_000, Bound: 9_999_999, Gap: 1},
			"planning, 2 of 3 done: best 100000.00 EUR, bound 99999.99, gap 0.01 %, 4 s"},
		{"all done, of one week of several", planner.Progress{Step: "week 2 of 5", Done: 3, All: 3, HasPlan: true, Cost: 100, Bound: 100},
			"week 2 of 5, planning, 3 of 3 done: best 1.00 EUR, bound 1.00, gap none, 4 s"},
		{"no wider than the page", planner.Progress{Proving: "a name that somebody made very long indeed", All: 1, HasPlan: true, Cost: 150000000, Bound: 140000000, Gap: 10000000},
			"proving a…, 0 of 1 done: best 1500000.00 EUR, bound 1400000.00, gap 6.67 %, 4 s"},
		{"many names", planner.Progress{Proving: "m001, m002, m003, m004", All: 7, HasPlan: true, Cost: 124735, Bound: 122138, Gap: 2597},
			"proving m001, m…, 0 of 7 done: best 1247.35 EUR, bound 1221.38, gap 2.09 %, 4 s"},
		{"no room for a name", planner.Progress{Step: "without line 10 of 12", Proving: "m001", All: 7, HasPlan: true, Cost: 124735, Bound: 122138, Gap: 2597},
			"without line 10 of 12: best 1247.35 EUR, bound 1221.38, gap 2.09 %, 4 s"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := startProgress(&bytes.Buffer{}, model.Currency{Code: "EUR", Decimals: 2})
			defer p.stop()
			p.start = time.Now().Add(-4 * time.Second)
			p.update(c.now)
			if got := p.line(); got != c.want {
				t.Errorf("got  %q\nwant %q", got, c.want)
			}
		})
	}
}

// TestProgressNotOnATerminal demands silence where nobody would see the line wiped.
func TestProgressNotOnATerminal(t *testing.T) {
	var to bytes.Buffer
	p := startProgress(&to, model.Currency{})
	p.update(planner.Progress{Proving: "oak"})
	p.stop()
	if to.Len() > 0 {
		t.Errorf("it says %q", to.String())
	}
}
