package solver

import "testing"

// A search that has seen bounds rise on both sides of one number, and on neither side of another, branches on the first. Before it has seen anything it
// branches on the dearer kind; a choice that gives sticks comes before all.
func TestBranchByWhatRaisedBounds(t *testing.T) {
	in := newInstance(Problem{
		Items:   []Item{{Length: 3, Demand: 4}, {Length: 2}},
		Kinds:   []Kind{{Length: 10, Cost: 7}, {Length: 12, Cost: 8}},
		Choices: []Choice{{Most: 1, Asks: []Take{{1, 1}}}, {Cost: 1, Most: 1, In: nil}},
	})
	s := &search{in: in, hasPlan: true, cost: 100}
	m := &master{in: in, cols: []*column{{kind: 0, take: []Take{{0, 3}}}, {kind: 1, take: []Take{{0, 4}}}}}
	set := func(asks, gives, first, second float64) { m.sol.Value = []float64{asks, gives, first, second} }
	m.patternsFrom = 2
	picks := func(want Condition) {
		t.Helper()
		if c, ok := s.chooseCondition(m); !ok || c.OnChoice != want.OnChoice || c.Choice != want.Choice || c.Kind != want.Kind || c.Bound != want.Bound {
			t.Errorf("branched on %+v, want %+v", c, want)
		}
	}
	set(0.5, 0, 1.5, 2.5)
	picks(Condition{Kind: 1, Bound: 2})
	on := func(c Condition, parent, rise float64) {
		for _, least := range []bool{false, true} {
			c.AtLeast = least
			s.learn(&node{conds: []Condition{c}, distance: 0.5, proof: proof{value: parent}}, rise)
		}
	}
	on(Condition{Kind: 1}, 10, 0)
	on(Condition{Kind: 0}, 10, 3)
	picks(Condition{Kind: 0, Bound: 1})
	on(Condition{OnChoice: true}, 10, 30)
	picks(Condition{OnChoice: true})
	set(0, 0, 1, 2.5)
	picks(Condition{Kind: 1, Bound: 2}) // nothing else is fractional
	set(0.5, 0.5, 1.5, 2.5)
	picks(Condition{OnChoice: true, Choice: 1})

	// A node that is closed counts as raised to the incumbent's cost, whatever its bound.
	s.learned, s.learnedOf = nil, [groups]pseudoCost{}
	on(Condition{Kind: 0}, 99, 1e9)
	if got := s.expected(len(in.choices), groupKind, 1); got != 2 {
		t.Errorf("expected rise of a unit %v, want 2", got)
	}
	if got := s.expected(len(in.choices)+1, groupKind, 1); got != 2 {
		t.Errorf("expected rise of a unit of the other kind %v, want 2, its group's", got)
	}
}
