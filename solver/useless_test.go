package solver_test

import (
	"math/rand/v2"
	"testing"

	"longpoint/solver"
	"longpoint/solver/check"
)

// TestSticksThatHoldNothing: a rack full of pieces too short for anything wanted changes neither the cost nor the work. Such sticks cost
// every cent from a few up to many, so that any cost could be paid if they counted.
func TestSticksThatHoldNothing(t *testing.T) {
	bare, full := 0, 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 31))
		p := solver.Problem{Kinds: []solver.Kind{{Length: 2256, Cost: 5529}}}
		for range 1 + r.IntN(3) {
			length := 300 + r.Int64N(900)
			p.Kinds = append(p.Kinds, solver.Kind{Length: length, Cost: length * 5529 / 4512, Limit: 1 + r.Int64N(2), Limited: true})
		}
		for range 2 + r.IntN(6) {
			p.Items = append(p.Items, solver.Item{Length: 200 + r.Int64N(700), Demand: 2 * (1 + r.Int64N(3))})
		}
		want, err := solver.Solve(t.Context(), p, solver.Options{})
		if err != nil || want.Status != solver.Certified {
			t.Fatalf("seed %d: %v, %v", seed, want.Status, err)
		}
		for range 25 {
			p.Kinds = append(p.Kinds, solver.Kind{Length: 100 + r.Int64N(100), Cost: 100 + r.Int64N(200), Limit: 1 + r.Int64N(4), Limited: true})
		}
		got, err := solver.Solve(t.Context(), p, solver.Options{})
		if err != nil || got.Status != solver.Certified || got.Cost != want.Cost {
			t.Errorf("seed %d: %v at %d instead of %d, %v", seed, got.Status, got.Cost, want.Cost, err)
		}

		bare, full = bare+want.Nodes, full+got.Nodes
		cuts, err := solver.Document(p, got)
		if err != nil {
			t.Fatal(err)
		}
		if report, err := check.Document(t.Context(), cuts); err != nil || !report.OK() || report.Grade != check.Proven {
			t.Errorf("seed %d: %v, %v", seed, report, err)
		}
	}
	if full > 2*bare+60 {
		t.Errorf("%d nodes with sticks that hold nothing, %d without", full, bare)
	}
	t.Logf("%d nodes without such sticks, %d with them", bare, full)
}
