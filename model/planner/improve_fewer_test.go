package planner

import (
	"testing"

	"longpoint/solver"
)

func TestMayBeFewer(t *testing.T) {
	items := []solver.Item{{Length: 50, Demand: 4}}
	any := func(length, cost int64) solver.Kind { return solver.Kind{Length: length, Cost: cost} }
	some := func(length, cost, limit int64) solver.Kind {
		return solver.Kind{Length: length, Cost: cost, Limit: limit, Limited: true}
	}
	for _, tt := range []struct {
		name   string
		kinds  []solver.Kind
		sticks int64
		cost   int64
		want   bool
	}{
		{"one long stick for two short ones", []solver.Kind{any(100, 5), any(200, 10)}, 2, 10, true},
		{"for a cent more", []solver.Kind{any(100, 5), any(200, 11)}, 2, 10, false},
		{"long enough", []solver.Kind{some(100, 5, 4), some(200, 10, 1)}, 2, 10, true},
		{"none of it left", []solver.Kind{some(100, 5, 4), some(200, 10, 0)}, 2, 10, false},
		{"too short in sum", []solver.Kind{any(100, 5), any(199, 10)}, 2, 10, false},
		{"three of two kinds for four", []solver.Kind{some(50, 5, 4), some(80, 10, 1), some(75, 5, 2)}, 4, 20, true},
		{"two of which there is one", []solver.Kind{some(50, 5, 4), some(100, 10, 1)}, 4, 20, true},
		{"for nothing", []solver.Kind{some(100, 0, 4), some(200, 0, 1)}, 2, 0, false},
		{"already one", []solver.Kind{any(200, 10)}, 1, 10, false},
	} {
		jp := &jointProblem{problem: solver.Problem{Items: items, Kinds: tt.kinds}}
		r := solver.Result{Cost: tt.cost, Patterns: []solver.Pattern{{Count: tt.sticks}}}
		if got := jp.mayBeFewer(r); got != tt.want {
			t.Errorf("%s: %t", tt.name, got)
		}
	}
}

// TestFewerSticks gives a plan of two short sticks for one of the long one that costs the same.
func TestFewerSticks(t *testing.T) {
	jp := &jointProblem{problem: solver.Problem{Items: []solver.Item{{Length: 50, Demand: 4}},
		Kinds: []solver.Kind{{Length: 100, Cost: 5}, {Length: 200, Cost: 10}}}}
	two := solver.Pattern{Kind: 0, Count: 2, Take: []solver.Take{{Item: 0, Quantity: 2}}}
	r := solver.Result{Status: solver.Certified, HasPlan: true, Cost: 10, Patterns: []solver.Pattern{two}}
	r.Patterns = jp.fewerSticks(t.Context(), r)
	if len(r.Patterns) != 1 || r.Patterns[0].Kind != 1 || r.Patterns[0].Count != 1 || r.Cost != 10 {
		t.Errorf("%+v", r)
	}
	jp.problem.Kinds[1].Cost = 11
	r = solver.Result{Status: solver.Certified, HasPlan: true, Cost: 10, Patterns: []solver.Pattern{two}}
	r.Patterns = jp.fewerSticks(t.Context(), r)
	if len(r.Patterns) != 1 || r.Patterns[0].Kind != 0 {
		t.Errorf("a dearer plan was taken: %+v", r)
	}
	jp.problem.Kinds[1].Cost = 10
	r.Status = solver.Stopped // nobody knows that 10 is the least
	r.Patterns = jp.fewerSticks(t.Context(), r)
	if r.Patterns[0].Kind != 0 {
		t.Errorf("%+v", r)
	}
}
