package book

import (
	"testing"

	"longpoint/model"
	"longpoint/model/runs"
)

// TestWholeCosts: what jobs come to in all is the same while they are planned, in hand and cut, and not known where the plan does not hold any more.
func TestWholeCosts(t *testing.T) {
	b := newShop(t)
	if whole, err := b.WholeCosts(t.Context()); err != nil || len(whole) != 0 {
		t.Fatalf("before there is a plan: %v, %v", whole, err)
	}
	d := planOf(t, b)
	id := keepPlan(t, b, d)
	var sum model.Money
	check := func(when string) {
		t.Helper()
		whole, err := b.WholeCosts(t.Context())
		must(t, err)
		sum = 0
		for _, j := range d.Jobs {
			if whole[j.Job] != j.Cost {
				t.Errorf("%s: job %s comes to %d, and the plan says %d", when, j.Job, whole[j.Job], j.Cost)
			}
			sum += whole[j.Job]
		}
	}
	check("planned")
	if sum != d.Shared() {
		t.Errorf("all jobs come to %d, and the plan to %d", sum, d.Shared())
	}
	orders := placeOrders(t, b, id, true)
	for _, o := range orders {
		receive(t, b, o.ID, Receipt{})
	}
	check("its wood is here")
	r := startRun(t, b, "oak-40", id)
	check("in hand")
	cut(t, b, r.ID, r.Sticks[0].Number, []int{1, 2}, runs.Done)
	check("partly cut")
	do(t, b, ChangeJob("101", func(j *model.Job) error { j.Frames[0].Quantity++; return nil }))
	whole, err := b.WholeCosts(t.Context())
	must(t, err)
	if _, known := whole["101"]; known {
		t.Error("what a changed job comes to is known without a plan")
	}
}
