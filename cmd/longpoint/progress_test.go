package main

import (
	"bytes"
	"testing"

	"longpoint/model"
	"longpoint/model/planner"
)

func TestProgressLine(t *testing.T) {
	for _, c := range []struct {
		name    string
		updates []planner.Progress
		want    string
	}{
		{"nothing heard yet", nil, "planning; 0 profiles done"},
		{"no plan yet", []planner.Progress{{Profile: "oak", Bound: 1200}},
			"oak: no plan yet, bound 12.00 EUR; 0 profiles done"},
		{"the widest gap", []planner.Progress{
			{Profile: "oak", HasPlan: true, Cost: 1500, Bound: 1400, Gap: 100},
			{Profile: "ash", HasPlan: true, Cost: 900, Bound: 600, Gap: 300},
			{Profile: "lime", HasPlan: true, Cost: 100, Bound: 100, Done: true},
		}, "ash: best 9.00 EUR, bound 6.00, gap 3.00; 1 profile done"},
		{"the newest state", []planner.Progress{
			{Profile: "oak", HasPlan: true, Cost: 1500, Bound: 1400, Gap: 100},
			{Profile: "oak", HasPlan: true, Cost: 1500, Bound: 1500, Done: true},
		}, "planning; 1 profile done"},
		{"no wider than the page", []planner.Progress{
			{Profile: "a name that somebody made very long indeed", HasPlan: true, Cost: 1500, Bound: 1400, Gap: 100},
		}, "a name that somebody made very long indeed: best 15.00 EUR, bound 14.00, gap 1…"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := startProgress(&bytes.Buffer{}, model.Currency{Code: "EUR", Decimals: 2})
			defer p.stop()
			for _, u := range c.updates {
				p.update(u)
			}
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
	p.update(planner.Progress{Profile: "oak"})
	p.stop()
	if to.Len() > 0 {
		t.Errorf("it says %q", to.String())
	}
}
