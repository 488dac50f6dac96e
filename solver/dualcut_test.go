package solver

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"longpoint/solver/glpk"
)

// Every kind that holds the longer item of a dual cut holds the shorter one in its place.
func TestDualCutsHoldEverywhere(t *testing.T) {
	traded := 0
	for seed := range uint64(2000) {
		r := rand.New(rand.NewPCG(seed, 41))
		p := tinyProblem(r)
		for k := range p.Kinds {
			if r.IntN(2) == 0 {
				p.Kinds[k].Only = []int{}
				for i := range p.Items {
					if r.IntN(3) > 0 {
						p.Kinds[k].Only = append(p.Kinds[k].Only, i)
					}
				}
			}
		}
		in := newSearch(p, Options{}).in
		for _, x := range in.dualCuts() {
			if in.length[x.long] < in.length[x.short] || in.maxDemand[x.long] == 0 || in.maxDemand[x.short] == 0 {
				t.Fatalf("seed %d: dual cut %+v\n%+v", seed, x, p)
			}
			for k := range p.Kinds {
				if only := p.Kinds[k].Only; only != nil && slices.Contains(only, x.long) && !slices.Contains(only, x.short) {
					t.Fatalf("seed %d: kind %d may hold what is traded away in %+v, not what is cut instead\n%+v", seed, k, x, p)
				}
				for _, v := range vectors(p, k) {
					if v[x.long] == 0 || v[x.short] == in.maxDemand[x.short] {
						continue
					}
					v[x.long]--
					v[x.short]++
					if !slices.ContainsFunc(vectors(p, k), func(w []int64) bool { return slices.Equal(v, w) }) {
						t.Fatalf("seed %d: kind %d does not hold %v, for which %+v was made\n%+v", seed, k, v, x, p)
					}
					traded++
				}
			}
		}
	}
	if traded < 2000 {
		t.Errorf("%d patterns traded: the test says too little", traded)
	}
}

// The root's relaxation is that of every pattern, without dual cuts, whatever was traded on the way there.
func TestDualCutsChangeNoBound(t *testing.T) {
	traded := 0
	for seed := range uint64(3000) {
		p := tinyProblem(rand.New(rand.NewPCG(seed, 42)))
		s := newSearch(p, Options{})
		if s.in.totalDemand == 0 || !allFit(s.in) {
			continue
		}
		s.lengthBound()
		m, err := newMaster(s.in, nil, s.initialColumns(), nil, firstPenalty, 0)
		if err != nil {
			t.Fatal(err)
		}
		got, err := s.generateColumns(context.Background(), m)
		if err != nil {
			t.Fatal(err)
		}
		first := m.patternsFrom - len(m.dualCuts)
		for e := range m.dualCuts {
			if x := m.sol.Value[first+e]; !m.dualCutsOpen && math.Abs(x) > zeroTolerance {
				t.Fatalf("seed %d: %v of dual cut %+v is left\n%+v", seed, x, m.dualCuts[e], p)
			}
		}
		if !m.dualCutsOpen {
			traded++
		}
		value := m.value()
		m.close()
		whole, ok := wholeProgramOf(t, s, p, nil, 0)
		if !ok || got.pruned || got.infeasible {
			continue
		}
		unit := max(1, float64(s.in.maxCost))
		if value < whole-near*unit || got.proof.value > whole+near*unit {
			t.Fatalf("seed %d: value %v, proof of %v, but over all patterns it is %v\n%+v", seed, value, got.proof.value, whole, p)
		}
		if goal := s.payable.roundUp(got.proof.bound); goal < s.payableAbove(whole) {
			t.Fatalf("seed %d: the bound rounds up to %d, the relaxation over all patterns, %v, to %d\n%+v", seed, goal, whole, s.payableAbove(whole), p)
		}
	}
	if traded < 500 {
		t.Errorf("dual cuts settled %d times: the test says too little", traded)
	}
}

// Once its dual cuts are made, a solution costs what it did: what was traded is cut from columns of its own.
func TestRemoveDualCutsKeepsTheSolution(t *testing.T) {
	made, kept := 0, 0
	for seed := range uint64(1000) {
		r := rand.New(rand.NewPCG(seed, 43))
		p := Problem{Kinds: []Kind{{Length: 100, Cost: 100}}}
		for n := 3 + r.IntN(6); n > 0; n-- {
			p.Items = append(p.Items, Item{Length: int64(15 + r.IntN(40)), Demand: int64(20 + r.IntN(40))})
		}
		s := newSearch(p, Options{})
		cols := s.initialColumns()
		for range 6 {
			v, room := make([]int64, len(p.Items)), int64(100)
			for range 20 {
				if i := r.IntN(len(v)); p.Items[i].Length <= room {
					v[i]++
					room -= p.Items[i].Length
				}
			}
			c := &column{}
			for i, q := range v {
				if q > 0 {
					c.take = append(c.take, Take{i, q})
				}
			}
			if key := c.key(); s.pool[key] == nil {
				s.pool[key] = c
				cols = append(cols, c)
			}
		}
		m, err := newMaster(s.in, nil, cols, nil, s.maxPenalty, 0)
		if err != nil {
			t.Fatal(err)
		}
		if err := m.solve(context.Background(), glpk.Primal); err != nil {
			t.Fatal(err)
		}
		used, first := 0.0, m.patternsFrom-len(m.dualCuts)
		for e := range m.dualCuts {
			used += m.sol.Value[first+e]
		}
		before := m.value()
		if err := m.removeDualCuts(s); err != nil {
			t.Fatal(err)
		}
		if err := m.solve(context.Background(), glpk.Dual); err != nil {
			t.Fatal(err)
		}
		after := m.value()
		m.close()
		if after < before-near {
			t.Fatalf("seed %d: %v with dual cuts, %v without: closing them cannot help\n%+v", seed, before, after, p)
		}
		if used > zeroTolerance {
			made++
			if after < before+near {
				kept++
			}
		}
	}
	if made < 100 || kept < made {
		t.Errorf("%d solutions with dual cuts, %d of them cost the same without: all should, with demands this large", made, kept)
	}
}
