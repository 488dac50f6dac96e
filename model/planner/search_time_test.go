package planner_test

import (
	"strings"
	"testing"
	"time"

	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

// TestWithin ends a search where nothing worth having is left: the plan is open, says so, and is within what was asked.
func TestWithin(t *testing.T) {
	w := shoptest.DemoWorkshop(t)
	best := shoptest.MustMake(t, w, planner.Options{})
	for _, share := range []int64{1_000_000, 200_000, 20_000} {
		d := shoptest.MustMake(t, w, planner.Options{Within: share})
		for _, f := range shoptest.MustAudit(t, w, d) {
			t.Errorf("within %d: %s", share, f)
		}
		figures := d.Total.Figures
		if int64(d.Total.Gap)*1_000_000 > share*int64(figures.Cost) || d.Total.Bound > best.Total.Figures.Cost || figures.Cost < best.Total.Figures.Cost {
			t.Errorf("within %d: cost %d, bound %d; the best costs %d", share, figures.Cost, d.Total.Bound, best.Total.Figures.Cost)
		}
		if reason := d.Together[0].Reason; d.Total.Grade == plan.Open && !strings.Contains(reason, "there the search was to end") || share == 1_000_000 && d.Total.Grade != plan.Open {
			t.Errorf("within %d: %s, %q", share, d.Total.Grade, reason)
		}
	}
}

// TestFirstPlan: before a second is over there is a plan for everything, however hard the week, and one that is stopped then is as good as first-fit's.
func TestFirstPlan(t *testing.T) {
	w := shoptest.DemoWorkshop(t)
	start := time.Now()
	first := time.Duration(0)
	d := shoptest.MustMake(t, w, planner.Options{TimeLimit: time.Nanosecond, Progress: func(p planner.Progress) {
		if p.HasPlan && first == 0 {
			first = time.Since(start)
		}
	}})
	if first == 0 || first > time.Second {
		t.Errorf("the first plan stands after %v", first)
	}
	if d.Total.FirstFit.Complete && d.Total.Figures.Cost > d.Total.FirstFit.Figures.Cost {
		t.Errorf("it costs %d, first-fit's %d", d.Total.Figures.Cost, d.Total.FirstFit.Figures.Cost)
	}
}

// TestKnown: plans of one command that come to the same problem search it once.
func TestKnown(t *testing.T) {
	w := shoptest.Fair()
	known := planner.NewKnown()
	first := shoptest.MustMake(t, w, planner.Options{Known: known})
	nodes := known.Nodes()
	again := shoptest.MustMake(t, w, planner.Options{Known: known})
	if a, b := first.Total, again.Total; a.Figures != b.Figures || a.Bound != b.Bound || a.Grade != b.Grade {
		t.Errorf("%+v, then %+v", a, b)
	}
	if nodes == 0 || known.Nodes() != nodes {
		t.Errorf("%d nodes, and %d after the second time", nodes, known.Nodes())
	}
}
