package solver

import "testing"

// TestDeclinedCredits solves a problem in which no cheapest plan leaves enough for a credit. The relaxation of a node in which no stick earns one must cost
// whole sticks: while a credit could be declined only at the least that any is worth, more than 10,000 nodes left 0.9 % open.
func TestDeclinedCredits(t *testing.T) {
	p := Problem{Items: []Item{{854, 2}, {729, 2}, {656, 2}, {482, 2}, {326, 2}, {271, 12}, {235, 12}, {170, 2}},
		Kinds: []Kind{{Length: 3232, Cost: 1884, Credit: Credit{Keep: 540, Extra: 34, Num: 314, Den: 1375}}}}
	r, err := Solve(t.Context(), p, Options{NodeLimit: 20})
	if err != nil {
		t.Fatal(err)
	}
	if r.Status != Certified || r.Cost != 4*1884 {
		t.Errorf("%v at %d with the bound %d after %d nodes, want certified at %d", r.Status, r.Cost, r.LowerBound, r.Nodes, 4*1884)
	}
}

// TestEmptyStickDeclines holds that an empty stick whose credit a condition takes away bounds the dual value of its kind by its whole cost.
func TestEmptyStickDeclines(t *testing.T) {
	s := newSearch(Problem{Items: []Item{{60, 2}}, Kinds: []Kind{{Length: 100, Cost: 50, Credit: Credit{Keep: 10, Num: 1, Den: 4}}}}, Options{})
	conds := []Condition{{Kind: 0, AtLeast: true, Bound: 2}, {Kind: 0, Credited: true}}
	for _, tc := range []struct {
		name            string
		stick, credited int64
		bound           int64
	}{
		{"all that an empty stick earns is taken", 50, -25, 100},
		{"more is taken", 50, -40, 100},
		{"half is taken: dual values of 38 in all must come down to 25", 50, -12, 66},
		{"nothing is taken: 50 must come down to 25", 50, 0, 50},
	} {
		t.Run(tc.name, func(t *testing.T) {
			duals := intDuals{[]int64{0}, []int64{tc.stick * s.scale, tc.credited * s.scale}, nil}
			best, _, exact := s.priceAll(conds, duals, []float64{0}, nil, 0)
			if p := s.lagrangianBound(duals, best, conds); !exact || p.bound != tc.bound {
				t.Errorf("the bound is %d (%v), want %d", p.bound, p.value, tc.bound)
			}
		})
	}
}
