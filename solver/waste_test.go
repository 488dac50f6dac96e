package solver

import (
	"math/rand/v2"
	"testing"
)

// fullProblem cuts so many sticks whole into items, so that no plan with as many leaves anything. Without an item of the longest length
// there may be none.
func fullProblem(r *rand.Rand, sticks int, length int64) Problem {
	p := Problem{Kinds: []Kind{{Length: length, Cost: 3}}}
	for range sticks {
		for left := length; left > 0; {
			n := min(left, length/6+r.Int64N(length/3))
			if left-n < length/8 {
				n = left
			}
			p.Items = append(p.Items, Item{n, 1})
			left -= n
		}
	}
	return p
}

// TestFullSearchFindsPlans gives a fullSearch nothing but a plan with a stick too many, and it must find the one without waste.
func TestFullSearchFindsPlans(t *testing.T) {
	for seed := range uint64(20) {
		r := rand.New(rand.NewPCG(seed, 17))
		p := fullProblem(r, 8, 200+r.Int64N(100))
		s := newSearch(p, Options{})
		s.hasPlan, s.cost = true, 27
		s.lower = 24
		s.openFullSearch()
		if s.fuller == nil {
			t.Fatalf("seed %d: no search for plans without waste", seed)
		}
		if err := s.lookForFull(t.Context(), 500); err != nil {
			t.Fatal(err)
		}
		if s.cost != 24 {
			t.Errorf("seed %d: cost %d, where a plan of 24 exists", seed, s.cost)
			continue
		}
		cut := make([]int64, len(p.Items))
		for _, x := range s.patterns {
			for _, take := range x.Take {
				cut[take.Item] += x.Count * take.Quantity
			}
		}
		for i, n := range cut {
			if n != 1 {
				t.Errorf("seed %d: item %d is cut %d times", seed, i, n)
			}
		}
	}
}

// TestFullSearchFindsNone asks for a plan that there cannot be: three pieces of just over half a stick need three sticks, whatever they waste.
func TestFullSearchFindsNone(t *testing.T) {
	p := Problem{Kinds: []Kind{{Length: 100, Cost: 3}}, Items: []Item{{51, 3}, {47, 1}}}
	s := newSearch(p, Options{})
	s.hasPlan, s.cost, s.lower = true, 9, 6
	s.openFullSearch()
	if s.fuller == nil {
		t.Fatal("no search for plans without waste")
	}
	if err := s.lookForFull(t.Context(), 100); err != nil {
		t.Fatal(err)
	}
	if s.cost != 9 || !s.noFullPlan() {
		t.Errorf("cost %d, shown to be the least %v", s.cost, s.noFullPlan())
	}
}
