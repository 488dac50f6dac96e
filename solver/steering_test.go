package solver

import (
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
