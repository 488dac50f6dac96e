package quote

import (
	"testing"

	"longpoint/solver"
)

// TestNearest: the root's leaf before any other, else the one whose dual values come nearest to the cost.
func TestNearest(t *testing.T) {
	p := solver.Problem{Items: []solver.Item{{Length: 5, Demand: 4}}, Kinds: []solver.Kind{{Length: 10, Cost: 10, Limit: 2, Limited: true}}}
	leaf := func(worth, limit int64, conditions ...int64) solver.Leaf {
		l := solver.Leaf{DualValues: []int64{worth}, LimitDualValues: []int64{limit}}
		for _, w := range conditions {
			l.Branch = append(l.Branch, solver.Condition{DualValue: w})
		}
		return l
	}
	for _, c := range []struct {
		name   string
		leaves []solver.Leaf
		want   int // index of the leaf; the number of leaves: none
	}{
		{"no leaf", nil, 0},
		{"no branch", []solver.Leaf{leaf(1, 0)}, 0},
		{"the root's, though another is nearer", []solver.Leaf{leaf(10, 0, -1), leaf(1, 0, 0, 0)}, 1},
		{"the nearest from below", []solver.Leaf{leaf(0, 0, 5), leaf(9, 0, -3), leaf(12, 0, -9)}, 1},
		{"the nearest from above", []solver.Leaf{leaf(7, 0, 5), leaf(11, 0, -3)}, 1},
		{"less the worth of limits", []solver.Leaf{leaf(11, 0, -3), leaf(12, 4, -3)}, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := solver.Result{Cost: 20, Certificate: solver.Certificate{Scale: 2, Leaves: c.leaves}} // 40 in all
			got := nearest(p, r)
			if c.want == len(c.leaves) {
				if got != nil {
					t.Errorf("it gives %+v", *got)
				}
				return
			}
			if got != &r.Certificate.Leaves[c.want] {
				t.Errorf("it gives %+v", got)
			}
		})
	}
}
