package solver

import (
	"container/heap"
	"fmt"
	"testing"
	"time"

	"longpoint/solver/glpk"
)

// TestOldestCutGoes drops, of the cuts that are kept, the one that was used longest ago where there is one too many.
func TestOldestCutGoes(t *testing.T) {
	s := newSearch(Problem{Items: []Item{{6, 3}}, Kinds: []Kind{{Length: 10, Cost: 4}, {Length: 7, Cost: 3}}}, Options{})
	for n := range maxCuts {
		s.nodes = 100 + (n+7)%maxCuts // the oldest stands in the middle
		s.addCut(&bendersCut{duals: []int64{s.scale}, coefficient: []int64{s.scale, s.scale}})
	}
	s.nodes = 999
	s.addCut(&bendersCut{duals: []int64{s.scale}, coefficient: []int64{s.scale, s.scale}})
	if len(s.cuts) != maxCuts {
		t.Fatalf("%d cuts are kept", len(s.cuts))
	}
	newest := 0
	for _, c := range s.cuts {
		if c.lastUsed == 100 {
			t.Error("the oldest cut is kept")
		}
		if c.lastUsed == 999 {
			newest++
		}
	}
	if newest != 1 {
		t.Errorf("the newest cut is there %d times", newest)
	}
}

// TestContentsOfTheBestKind branches on the kind whose number is nearest to a half, of conditions on equally many items.
func TestContentsOfTheBestKind(t *testing.T) {
	s, m := crafted(2, 4, []part{{0, []Take{{0, 1}}, 2}, {0, []Take{{1, 1}}, 2}, {1, []Take{{2, 1}}, 1}, {1, []Take{{3, 1}}, 3}})
	var parts []fractionalColumn
	for j, c := range m.cols {
		parts = append(parts, fractionalColumn{c, m.columnValue(j)})
	}
	if c, ok := s.branchOnContents(m, parts, false); !ok || c.Kind != 0 || c.AnyKind {
		t.Errorf("%+v, %t", c, ok)
	}
}

// TestSmallestScale takes dual values as whole numbers where costs and pieces are so many that sums have room for no more.
func TestSmallestScale(t *testing.T) {
	s := newSearch(Problem{Items: []Item{{1, MaxDemand}}, Kinds: []Kind{{Length: 1 << 24, Cost: MaxCost}}}, Options{})
	if s.scale != 1 {
		t.Errorf("the scale is %d", s.scale)
	}
}

// TestFaultOfIntegerSolution passes a fault of GLPK's on: only where it finds nothing does the search go on without.
func TestFaultOfIntegerSolution(t *testing.T) {
	s := newSearch(Problem{Items: []Item{{6, 3}}, Kinds: []Kind{{Length: 10, Cost: 4}}}, Options{})
	lp, err := glpk.Open()
	if err != nil {
		t.Fatal(err)
	}
	lp.Close()
	if _, ok, err := s.integerSolution(lp, []glpk.Column{{Cost: 1}}, time.Second, 1); ok || err == nil {
		t.Errorf("of a closed problem: %t, %v", ok, err)
	}
}

// TestEqualToTheThreshold drops a state that can come to no more than what is to be exceeded.
func TestEqualToTheThreshold(t *testing.T) {
	s := newSearch(Problem{Items: []Item{{6, 3}}, Kinds: []Kind{{Length: 10, Cost: 4}}}, Options{})
	p := &s.pricer
	p.setKind(0, s.scale)
	p.best = 0
	stage := &specialStage{capacity: 10, length: 6, best: -1}
	if out := p.mergeShifted(nil, []entry{{0, 0, 0}}, stage, 1, 0, 0); len(out) != 0 {
		t.Errorf("kept: %+v", out)
	}
	if out := p.mergeShifted(nil, []entry{{0, 1, 0}}, stage, 1, 0, 0); len(out) != 1 {
		t.Errorf("what is above it: %+v", out)
	}
}

// TestPatternsOfEqualWorth holds which patterns are given where all are worth the same with what is credited for the rest: the last one found of each stage.
func TestPatternsOfEqualWorth(t *testing.T) {
	s := newSearch(Problem{Items: []Item{{10, 5}, {7, 3}}, Kinds: []Kind{{Length: 100, Cost: 100, Credit: Credit{Keep: 1, Num: 1, Den: 1}}}}, Options{})
	s.pricer.setKind(0, s.scale)
	value, takes, all := s.pricer.bestPatterns(100, []int64{10 * s.scale, 7 * s.scale}, []int64{5, 3}, nil, -1, 40, 0)
	if got := fmt.Sprint(value/s.scale, takes, all); got != "100 [[] [{0 1}] [{0 5} {1 1}]] true" {
		t.Errorf("%s", got)
	}
}

// TestCutsOfKindsAlone keeps no cut where a condition that has a dual value counts anything but the sticks of one kind: of none of the others the coefficients
// would be right.
func TestCutsOfKindsAlone(t *testing.T) {
	held := []Take{{0, 1}}
	for _, c := range []struct {
		cond Condition
		dual int64
		cuts int
	}{
		{Condition{}, 1, 1}, {Condition{Kind: 1, AtLeast: true}, 1, 1}, {Condition{Holds: held}, 0, 1}, {Condition{AnyKind: true}, 0, 1},
		{Condition{Holds: held}, 1, 0}, {Condition{AnyKind: true}, 1, 0}, {Condition{Holds: held, AnyKind: true}, 1, 0},
	} {
		s := newSearch(Problem{Items: []Item{{6, 3}}, Kinds: []Kind{{Length: 10, Cost: 4}, {Length: 7, Cost: 3}}}, Options{})
		s.recordCut(intDuals{[]int64{s.scale}, []int64{c.dual}, nil}, []int64{s.scale, s.scale}, []Condition{c.cond})
		if len(s.cuts) != c.cuts {
			t.Errorf("%+v with a dual value of %d: %d cuts", c.cond, c.dual, len(s.cuts))
		}
	}
}

// TestThin keeps of states those that are worth a step more than the one kept before, be it just that.
func TestThin(t *testing.T) {
	p := &pricer{maxStates: 4}
	for n := range int64(9) {
		p.list = append(p.list, entry{n, n, int32(n)})
	}
	if p.thin(); fmt.Sprint(p.list) != "[{0 0 0} {4 4 4} {8 8 8}]" || !p.thinned {
		t.Errorf("%v", p.list)
	}
}

// TestSpareLists prices over and over and keeps no more lists to use again than after the first times.
func TestSpareLists(t *testing.T) {
	s := newSearch(Problem{Items: []Item{{6, 3}, {5, 2}, {3, 4}}, Kinds: []Kind{{Length: 20, Cost: 4}}}, Options{})
	p := &s.pricer
	p.setKind(0, 0)
	terms := []conditionTerm{{[]Take{{0, 1}, {1, 1}}, 5}, {[]Take{{1, 1}, {2, 2}}, -3}}
	early := 0
	for n := range 20 {
		p.bestPatterns(20, []int64{60, 50, 30}, []int64{3, 2, 4}, terms, -1, 4, 0)
		if n == 4 {
			early = len(p.spare)
		}
	}
	if early == 0 || len(p.spare) > early {
		t.Errorf("%d lists after 5 times, %d after 20", early, len(p.spare))
	}
}

// TestNoChoicesSuffice says so where no choices give the sticks that are needed, be none of them asked for by a row.
func TestNoChoicesSuffice(t *testing.T) {
	s := newSearch(Problem{Items: []Item{{6, 3}}, Kinds: []Kind{{Length: 10, Cost: 4, Limited: true}}, Choices: []Choice{{Cost: 1, Most: 2, Gives: []Give{{0, 2}}}}}, Options{})
	for need, want := range map[int64]bool{3: true, 4: true, 5: false} {
		times, ok, err := s.chooseTimes(nil, []int64{need}, nil, nil)
		if ok != want || err != nil || ok && times[0] != 2 || !ok && times != nil {
			t.Errorf("%d sticks: %v, %t, %v", need, times, ok, err)
		}
	}
}

// TestFaultOfCutProgram passes a fault of GLPK's on where it comes in the middle of a search.
func TestFaultOfCutProgram(t *testing.T) {
	s := newSearch(Problem{Items: []Item{{6, 3}}, Kinds: []Kind{{Length: 10, Cost: 4}, {Length: 7, Cost: 3}}}, Options{})
	s.started, s.rootDone = true, true
	heap.Push(&s.open, &node{proof: s.proves(0)})
	s.addCut(&bendersCut{duals: []int64{s.scale}, coefficient: []int64{s.scale, s.scale}})
	lp, err := glpk.Open()
	if err != nil {
		t.Fatal(err)
	}
	lp.Close()
	s.cutLP = &cutProgram{lp: lp}
	if err := s.branchAndPrice(t.Context()); err == nil {
		t.Error("nobody hears of it")
	}
}
