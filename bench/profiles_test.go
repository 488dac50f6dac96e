package main

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"longpoint/bench/workshop"
	"longpoint/solver"
	"longpoint/solver/check"
)

// TestWeekProfiles: some of a week's profiles can be stated whole, and the others are counted.
func TestWeekProfiles(t *testing.T) {
	all, others, err := weekProfiles(t.Context(), workshop.Everything{Frames: 20, Seed: 1})
	if err != nil || len(all) != 2 || others != 4 {
		t.Fatalf("%d and %d others, %v", len(all), others, err)
	}
	for _, in := range all {
		if err := in.Problem.Validate(); err != nil || in.Pieces() == 0 {
			t.Errorf("%s: %d pieces, %v", in.Name, in.Pieces(), err)
		}
	}
}

// TestProblemOf: a problem that went through a cuts document is the same.
func TestProblemOf(t *testing.T) {
	want := solver.Problem{
		Items: []solver.Item{{Length: 30, Demand: 1}, {Length: 20}},
		Kinds: []solver.Kind{
			{Length: 100, Cost: 7, Limited: true},
			{Length: 90, Cost: 50, Only: []int{0}, Credit: solver.Credit{Keep: 10, Extra: 2, Num: 40, Den: 92}},
		},
		Choices: []solver.Choice{
			{Cost: 5, Most: 2, Gives: []solver.Give{{Kind: 0, Quantity: 3}}, In: []solver.Coef{{Row: 0, Value: 2}}},
			{Cost: -4, Most: 1, Asks: []solver.Take{{Item: 1, Quantity: 1}}},
		},
		Rows: []solver.Row{{Least: 1}},
	}
	r, err := solver.Solve(t.Context(), want, solver.Options{})
	if err != nil || !r.HasPlan {
		t.Fatal(r.Status, err)
	}
	data, err := solver.Document(want, r)
	if err != nil {
		t.Fatal(err)
	}
	cuts, err := check.Parse(data)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(want, problemOf(cuts.Instance)); d != "" {
		t.Error(d)
	}
}
