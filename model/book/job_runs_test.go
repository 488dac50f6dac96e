package book

import (
	"testing"

	"longpoint/model"
	"longpoint/model/runs"
)

// TestJobRuns: an open run counts the sides of each of its jobs, those that are cut, and what its plan has for the job; once no run is open there is
// nothing.
func TestJobRuns(t *testing.T) {
	b := runningShop(t)
	var runs []runs.Run
	for id := range int64(2) {
		r, err := b.Run(t.Context(), id+1)
		must(t, err)
		runs = append(runs, r)
	}
	sides, cut := 0, 0
	for _, r := range runs {
		of := map[string]bool{}
		for _, side := range r.Sides() {
			of[side.Job] = true
		}
		for name := range of {
			all, err := b.JobRuns(t.Context(), name)
			must(t, err)
			for _, in := range all {
				if in.Run != r.ID {
					continue
				}
				if in.Profile != r.Profile || in.Plan != r.Plan || in.Share <= 0 {
					t.Errorf("job %s in run %d: %+v", name, r.ID, in)
				}
				sides, cut = sides+in.Sides, cut+in.Cut
			}
		}
	}
	want := 0
	for _, r := range runs {
		want += len(r.Sides())
	}
	if sides != want || cut != 2 {
		t.Errorf("%d sides of which %d are cut, want %d and 2", sides, cut, want)
	}
	if all, err := b.JobRuns(t.Context(), "nobody's"); err != nil || len(all) != 0 {
		t.Errorf("a job that is not there: %v, %v", all, err)
	}
}

// TestKeepHeadings: what the shop calls its columns is kept, and the second time there is nothing to do.
func TestKeepHeadings(t *testing.T) {
	b := squareShop(t)
	h := model.Headings("").Add("jobs", "due", "Ready by")
	do(t, b, KeepHeadings(h))
	w, err := b.Workshop(t.Context())
	must(t, err)
	if w.Habits.Headings != h {
		t.Errorf("kept %q, want %q", w.Habits.Headings, h)
	}
	if do(t, b, KeepHeadings(h)) {
		t.Error("the same headings were a step")
	}
	sound(t, b)
}

// TestRestFor: without what was ordered by a plan, its sticks are to be bought again.
func TestRestFor(t *testing.T) {
	b := newShop(t)
	id := keepPlan(t, b, planOf(t, b))
	before, _, err := b.Rest(t.Context())
	must(t, err)
	placeOrders(t, b, id, true)
	ordered, _, err := b.Rest(t.Context())
	must(t, err)
	as, err := b.RestFor(t.Context(), id)
	must(t, err)
	if len(ordered.Rack) <= len(before.Rack) || len(as.Rack) != len(before.Rack) {
		t.Errorf("%d sticks before the order, %d with it, %d as if it were not", len(before.Rack), len(ordered.Rack), len(as.Rack))
	}
}

// TestPlannedLines: of an order that is changed by hand only the lines that are still the plan's are given.
func TestPlannedLines(t *testing.T) {
	b := newShop(t)
	d := planOf(t, b)
	id := keepPlan(t, b, d)
	orders := placeOrders(t, b, id, false)
	lines, err := b.PlannedLines(t.Context(), orders)
	must(t, err)
	if got := lines[orders[0].ID]; len(got) != len(d.Buy) || len(got) == 0 {
		t.Errorf("of %d lines %d are the plan's", len(d.Buy), len(got))
	}
	do(t, b, ChangeOrder(orders[0].ID, 1, 9, 0, model.OptionalMoney{}), AddToOrder("Invented Timber", "oak-40", 3*model.Metre, 1, model.OptionalMoney{}))
	orders, err = b.Purchases(t.Context(), false)
	must(t, err)
	lines, err = b.PlannedLines(t.Context(), orders)
	must(t, err)
	if got := lines[orders[0].ID]; len(got) != len(d.Buy)-1 {
		t.Errorf("after a change %d lines of %d are the plan's", len(got), len(d.Buy))
	}
}
