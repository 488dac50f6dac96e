package planner_test

import (
	"context"
	"strings"
	"sync"
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

// TestCostsOnly: a plan for its costs alone costs what any plan costs, with the same proof, and has no runs. With what is known of the plan before,
// nothing is verified a second time.
func TestCostsOnly(t *testing.T) {
	w := shoptest.Fair()
	asked := 0
	var mu sync.Mutex
	o := planner.Options{On: shoptest.Today, Known: planner.NewKnown(), Verify: func(ctx context.Context, cuts []byte) (string, int64, error) {
		mu.Lock()
		asked++
		mu.Unlock()
		return shoptest.Checker(ctx, cuts)
	}}
	made := func() *plan.Document {
		d, err := planner.Make(t.Context(), w, o)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	o.CostsOnly = true
	costs := made()
	first := asked
	if again := made(); first == 0 || asked != first {
		t.Errorf("verified %d times, and %d with the second plan, of the same cost: %v", first, asked, again.Total.Figures.Cost == costs.Total.Figures.Cost)
	}
	o.CostsOnly = false
	whole := made()
	if a, b := whole.Total, costs.Total; a.Figures.Cost != b.Figures.Cost || a.Bound != b.Bound || a.Grade != b.Grade {
		t.Errorf("%+v, and for its costs alone %+v", a, b)
	}
	for n, p := range costs.Profiles {
		if len(p.Run.Cuts) > 0 || len(whole.Profiles[n].Run.Cuts) == 0 {
			t.Errorf("%s: a run of %d cuts, and of %d in the whole plan", p.Name, len(p.Run.Cuts), len(whole.Profiles[n].Run.Cuts))
		}
	}
}
