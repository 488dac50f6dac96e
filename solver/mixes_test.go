package solver

import (
	"context"
	"math/rand/v2"
	"testing"
)

// TestEnumerationIsExact compares the cheapest mix that satisfies some cuts with that of trying all.
func TestEnumerationIsExact(t *testing.T) {
	found := 0
	for seed := range uint64(3000) {
		random := rand.New(rand.NewPCG(seed, 5))
		p := Problem{Items: []Item{{Length: 1, Demand: 1 + random.Int64N(6)}}}
		for range 1 + random.IntN(3) {
			k := Kind{Length: 1, Cost: random.Int64N(8)}
			if random.IntN(3) == 0 {
				k.Limited, k.Limit = true, random.Int64N(4)
			}
			p.Kinds = append(p.Kinds, k)
		}
		s := newSearch(p, Options{})
		e := &enumeration{s: s}
		for range random.IntN(4) {
			c := &bendersCut{duals: []int64{s.scale * (random.Int64N(9) - 1)}}
			for range p.Kinds {
				c.coefficient = append(c.coefficient, s.scale*random.Int64N(8))
			}
			if s.weighDemand(c) {
				s.cuts = append(s.cuts, c)
				e.addRow(c)
			}
		}
		for range random.IntN(2) {
			out := make([]int64, len(p.Kinds))
			for k := range out {
				out[k] = random.Int64N(4)
			}
			e.out = append(e.out, out)
		}
		level, want := random.Int64N(30), int64(-1)
		tryMixes(e, make([]int64, len(p.Kinds)), 0, func(cost int64) {
			if cost <= level && (want < 0 || cost < want) {
				want = cost
			}
		})
		mix, ok, err := e.cheapest(context.Background(), level, 0)
		s.closeCutProgram()
		switch {
		case err != nil || !ok:
			t.Fatalf("seed %d: %v, %v", seed, ok, err)
		case mix == nil && want >= 0, mix != nil && e.cost != want:
			t.Fatalf("seed %d: got %v at %d, trying all gives %d; %+v", seed, mix, e.cost, want, p)
		case mix != nil:
			found++
		}
	}
	if found < 300 || found > 2700 {
		t.Errorf("%d of 3000 have a mix, which says little", found)
	}
}

// tryMixes calls with the cost of each mix that satisfies all rows and is not left out.
func tryMixes(e *enumeration, mix []int64, k int, call func(cost int64)) {
	if k < len(mix) {
		for mix[k] = 0; mix[k] <= e.s.in.limit[k]; mix[k]++ {
			tryMixes(e, mix, k+1, call)
		}
		return
	}
	for _, r := range e.rows {
		if r.excludes(mix) {
			return
		}
	}
	for _, o := range e.out {
		within := true
		for k, n := range mix {
			within = within && n <= o[k]
		}
		if within {
			return
		}
	}
	var cost int64
	for k, n := range mix {
		cost += n * e.s.in.cost[k]
	}
	call(cost)
}

// manyMixes is a problem of which many mixes come to nearly one cost: prices rise a little less than the length.
func manyMixes(seed uint64, pieces int) Problem {
	random := rand.New(rand.NewPCG(seed, 11))
	var p Problem
	for n, cost := range []int64{77, 100, 123, 143, 162, 181, 199} {
		p.Kinds = append(p.Kinds, Kind{Length: 70 + 30*int64(n), Cost: cost})
	}
	at := map[int64]int{}
	for range pieces {
		l := 1 + random.Int64N(250)
		if i, known := at[l]; known {
			p.Items[i].Demand++
			continue
		}
		at[l] = len(p.Items)
		p.Items = append(p.Items, Item{Length: l, Demand: 1})
	}
	return p
}

// TestMixesAreNotBranchedOn holds that where many mixes come to one cost cuts exclude them without a leaf for each, and that a search can be stopped and gone on
// with.
func TestMixesAreNotBranchedOn(t *testing.T) {
	used := 0
	for seed := range uint64(6) {
		p := manyMixes(seed, 80)
		whole, err := Solve(context.Background(), p, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if whole.Status != Certified || len(whole.Certificate.Leaves) > 50 {
			t.Errorf("seed %d: %v with %d leaves after %d nodes", seed, whole.Status, len(whole.Certificate.Leaves), whole.Nodes)
		}
		if whole.Certificate.Mixes != nil {
			used++
		}
		x, err := NewSearch(p)
		if err != nil {
			t.Fatal(err)
		}
		for range whole.Nodes + 1 {
			parts, err := x.Run(context.Background(), Options{NodeLimit: 1})
			if err != nil {
				t.Fatal(err)
			}
			if parts.LowerBound > whole.Cost || parts.CertifiedBound > parts.LowerBound {
				t.Fatalf("seed %d: bound %d, certified %d, of a cost of %d", seed, parts.LowerBound, parts.CertifiedBound, whole.Cost)
			}
			if !parts.Unfinished {
				if parts.Status != Certified || parts.Cost != whole.Cost {
					t.Errorf("seed %d: in parts %v at %d, in one %d", seed, parts.Status, parts.Cost, whole.Cost)
				}
				break
			}
		}
	}
	if used < 3 {
		t.Errorf("%d of 6 go by numbers of sticks, which says little", used)
	}
}
