package solver

import (
	"container/heap"
	"context"
	"errors"
	"math"
	"testing"
	"time"
)

// priced is a search for one piece 6 long from sticks of 10 at 4, with dual values that prove dual/scale of it.
func priced() *search {
	return newSearch(Problem{Items: []Item{{6, 1}}, Kinds: []Kind{{Length: 10, Cost: 4}}}, Options{})
}

// proves is a proof of so much.
func (s *search) proves(cost int64) proof {
	return proof{duals: intDuals{item: []int64{cost * s.scale}}, limitDuals: []int64{0}, bound: cost, value: float64(cost)}
}

// A result is called no better than its leaves make it.
func TestResultStatus(t *testing.T) {
	for _, tc := range []struct {
		name             string
		plan             bool
		root             int64
		leaves           []int64 // what each proves
		lower            int64   // what the search knows
		stopped          string
		status           Status
		wantLower, certs int64
	}{
		{"the root proves it", true, 4, []int64{4}, 4, "", Certified, 4, 4},
		{"the leaves prove it", true, 0, []int64{4, 4}, 0, "", Certified, 4, 4},
		{"the weakest leaf counts", true, 0, []int64{4, 0, 4}, 0, "", Searched, 4, 0},
		{"the root proves more than the leaves", true, 4, []int64{0, 4}, 0, "", Certified, 4, 4},
		{"no leaf proves anything", true, 0, []int64{0}, 0, "", Searched, 4, 0},
		{"stopped, though the leaves prove it", true, 0, []int64{4}, 0, "late", Certified, 4, 4},
		{"stopped", true, 0, []int64{4, 0}, 0, "late", Stopped, 0, 0},
		{"stopped, the search knowing more", true, 0, []int64{0}, 4, "late", Stopped, 4, 0},
		{"stopped, the search claiming too much", true, 0, []int64{0}, 400, "late", Stopped, 4, 0},
		{"a proof of more than the plan costs", true, 0, []int64{400}, 0, "", Certified, 4, 4},
		{"no plan", false, 0, []int64{400}, 3, "", Infeasible, 3, 0},
		{"no plan yet", false, 0, []int64{0}, 3, "late", Stopped, 3, 0},
		{"no plan yet, but a proof", false, 0, []int64{8, 4}, 0, "late", Stopped, 4, 4},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := priced()
			if tc.plan {
				d := newPartialPlan(s.in, nil)
				d.cut(&column{kind: 0, take: []Take{{0, 1}}}, 1)
				s.updateIncumbent(d)
			}
			s.root, s.lower = s.proves(tc.root), tc.lower
			for n, v := range tc.leaves {
				conds := []Condition{{Bound: int64(n)}}
				p := s.proves(v).withCondition()
				s.addLeaf(conds, p)
			}
			r := s.result(tc.stopped)
			if r.Status != tc.status || r.LowerBound != tc.wantLower || r.CertifiedBound != tc.certs || r.HasPlan != tc.plan {
				t.Errorf("%v, lower %d, certified %d", r.Status, r.LowerBound, r.CertifiedBound)
			}
			if (r.Reason == "") != (tc.status == Certified) || tc.stopped != "" && tc.status == Stopped && r.Reason != tc.stopped {
				t.Errorf("reason %q", r.Reason)
			}
		})
	}
}

// A search that stops knows no more than its weakest open node, and keeps every open node as a leaf.
func TestCloseOpen(t *testing.T) {
	s := priced()
	for _, bound := range []int64{7, 5, 9, 6, 8} {
		heap.Push(&s.open, &node{bound: bound, proof: s.proves(bound).withCondition(), conds: []Condition{{Bound: bound}}})
	}
	s.lower = 1
	if s.lowerBound() != 5 || len(s.allLeaves()) != 5 {
		t.Errorf("lower %d, %d leaves", s.lowerBound(), len(s.allLeaves()))
	}
	for _, l := range s.allLeaves() {
		if bound, _ := s.dualBound(intDuals{l.DualValues, conditionDuals(l.Branch), l.RowDualValues}, l.LimitDualValues, l.Branch); bound != l.Branch[0].Bound {
			t.Errorf("leaf %+v proves %d", l, bound)
		}
	}
	s = priced()
	s.lower = 3
	if s.lowerBound() != 3 || len(s.allLeaves()) != 0 {
		t.Errorf("nothing open: lower %d, %d leaves", s.lowerBound(), len(s.allLeaves()))
	}
}

// The node with the least bound comes first, whatever else is said of it.
func TestQueueByBound(t *testing.T) {
	open := &nodeQueue{}
	for n, bound := range []int64{4, 2, 9, 2, 7, 3, 2} {
		heap.Push(open, &node{bound: bound, serial: n, discrepancies: 10 - n, conds: make([]Condition, n%3)})
	}
	last := int64(math.MinInt64)
	for open.Len() > 0 {
		n := heap.Pop(open).(*node)
		if n.bound < last {
			t.Errorf("bound %d after %d", n.bound, last)
		}
		last = n.bound
	}
}

// A plan is only taken when it is whole and cheaper, and a bound closes a node only when nothing cheaper can be paid.
func TestOfferAndCloses(t *testing.T) {
	p := Problem{Items: []Item{{6, 2}}, Kinds: []Kind{{Length: 12, Cost: 6}, {Length: 6, Cost: 10}}}
	s := newSearch(p, Options{})
	if s.prunes(math.MaxInt64-1) != true || s.prunes(s.maxPlanCost) || s.maxPlanCost < 20 {
		t.Errorf("without a plan: closed from %d on", s.maxPlanCost)
	}
	half := newPartialPlan(s.in, nil)
	half.cut(&column{kind: 1, take: []Take{{0, 1}}}, 1)
	if s.updateIncumbent(half); s.hasPlan {
		t.Error("half a plan is taken")
	}
	dear := half.clone()
	dear.cut(&column{kind: 1, take: []Take{{0, 1}}}, 1)
	if s.updateIncumbent(dear); !s.hasPlan || s.cost != 20 {
		t.Errorf("plan %v at %d", s.hasPlan, s.cost)
	}
	for bound, want := range map[int64]bool{20: true, 19: true, 18: false, 17: false, 0: false} { // 6a + 10b: 18, but not 19
		if s.prunes(bound) != want {
			t.Errorf("a bound of %d closes: %v", bound, !want)
		}
	}
	cheap := newPartialPlan(s.in, nil)
	cheap.cut(&column{kind: 0, take: []Take{{0, 2}}}, 1)
	if s.updateIncumbent(cheap); s.cost != 6 {
		t.Errorf("plan at %d", s.cost)
	}
	if s.updateIncumbent(dear); s.cost != 6 || len(s.patterns) != 1 {
		t.Errorf("a dearer plan is taken: %d", s.cost)
	}
}

// A search that is stopped again and again ends as one that is not, by node and by the clock.
func TestGoOn(t *testing.T) {
	for seed := range uint64(40) {
		p := middling(seed)
		whole, err := Solve(t.Context(), p, Options{})
		if err != nil {
			t.Fatal(err)
		}
		x, err := NewSearch(p)
		if err != nil {
			t.Fatal(err)
		}
		var got Result
		runs := 0
		for ; runs < 10_000; runs++ {
			if got, err = x.Run(t.Context(), Options{NodeLimit: 1}); err != nil {
				t.Fatal(err)
			}
			if got.Status != Stopped {
				break
			}
			if got.Reason != errNodeLimit.Error() || got.LowerBound > whole.Cost || got.HasPlan && got.Cost < whole.Cost {
				t.Fatalf("after %d runs %+v, whole %+v", runs, got, whole)
			}
		}
		if got.Status != whole.Status || got.Cost != whole.Cost || got.Nodes != whole.Nodes {
			t.Errorf("in %d runs %v, cost %d, %d nodes; in one %v, %d, %d", runs, got.Status, got.Cost, got.Nodes, whole.Status, whole.Cost, whole.Nodes)
		}
		if again, err := x.Run(t.Context(), Options{NodeLimit: 1}); err != nil || again.Status != got.Status || again.Cost != got.Cost {
			t.Errorf("once more: %v, cost %d, %v", again.Status, again.Cost, err)
		}
	}
}

// A search that is interrupted in the middle of a node, the root too, goes on to the same end, and says why it stopped.
func TestGoOnAfterInterrupts(t *testing.T) {
	p := middling(0)
	whole, err := Solve(t.Context(), p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	x, err := NewSearch(p)
	if err != nil {
		t.Fatal(err)
	}
	tired := errors.New("nobody waits any more")
	for after := time.Microsecond; ; after += after / 8 {
		ctx, cancel := context.WithTimeoutCause(t.Context(), after, tired)
		got, err := x.Run(ctx, Options{})
		cancel()
		switch {
		case err != nil:
			t.Fatal(err)
		case got.Status == Stopped && got.Reason == tired.Error() && got.LowerBound <= whole.Cost:
		case got.Status == whole.Status && got.Cost == whole.Cost:
			return
		default:
			t.Fatalf("after %v: %+v; whole: %+v", after, got, whole)
		}
	}
}

// A search that ended at a cutoff goes on to the same end without one.
func TestGoOnAboveCutoff(t *testing.T) {
	reopened := 0
	for seed := range uint64(40) {
		p := middling(seed)
		whole, err := Solve(t.Context(), p, Options{})
		if err != nil {
			t.Fatal(err)
		}
		x, err := NewSearch(p)
		if err != nil {
			t.Fatal(err)
		}
		for _, cutoff := range []int64{1, whole.LowerBound / 2, whole.LowerBound - 1, whole.LowerBound, 0} {
			r, err := x.Run(t.Context(), Options{Cutoff: cutoff})
			if err != nil {
				t.Fatal(err)
			}
			if r.Status == Stopped {
				reopened++
			}
			if r.LowerBound > whole.Cost || cutoff == 0 && (r.Status != whole.Status || r.Cost != whole.Cost) {
				t.Errorf("seed %d, cutoff %d: %v, cost %d, bound %d; without %v, %d", seed, cutoff, r.Status, r.Cost, r.LowerBound, whole.Status, whole.Cost)
			}
		}
	}
	if reopened < 20 {
		t.Errorf("only %d searches ended at a cutoff", reopened)
	}
}
