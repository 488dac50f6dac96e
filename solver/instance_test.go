package solver

import (
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func TestNewInstance(t *testing.T) {
	for _, tc := range []struct {
		name string
		p    Problem
		want instance
	}{
		{"nothing at all", Problem{}, instance{maxPieces: 1, lengthUnit: 1}},
		{"the common divisor is the items' own", Problem{
			Items: []Item{{600, 2}, {900, 3}},
			Kinds: []Kind{{Length: 3299, Cost: 7}},
		}, instance{
			length: []int64{2, 3}, demand: []int64{2, 3}, maxDemand: []int64{2, 3}, capacity: []int64{10}, cost: []int64{7},
			limit: []int64{5}, maxLimit: []int64{5}, limited: []bool{false}, supply: []int64{0}, totalDemand: 5, maxPieces: 5, maxCost: 7,
			lengthUnit: 300, stickLength: []int64{3299}, credit: []Credit{{}}, allowed: [][]bool{nil}, class: []int{0},
		}},
		{"what nobody wants has no say in it", Problem{
			Items: []Item{{7, 0}, {600, 2}, {900, 3}, {1, 0}},
			Kinds: []Kind{{Length: 1000, Cost: 7}},
		}, instance{
			length: []int64{1, 2, 3, 1}, demand: []int64{0, 2, 3, 0}, maxDemand: []int64{0, 2, 3, 0}, capacity: []int64{3}, cost: []int64{7},
			limit: []int64{5}, maxLimit: []int64{5}, limited: []bool{false}, supply: []int64{0}, totalDemand: 5, maxPieces: 1, maxCost: 7,
			lengthUnit: 300, stickLength: []int64{1000}, credit: []Credit{{}}, allowed: [][]bool{nil}, class: []int{0},
		}},
		{"limits, one of none, and a kind that holds nothing", Problem{
			Items: []Item{{2, 4}},
			Kinds: []Kind{{Length: 4, Cost: 1, Limited: true, Limit: 3}, {Length: 6, Limited: true}, {Length: 1, Cost: 9}},
		}, instance{
			length: []int64{1}, demand: []int64{4}, maxDemand: []int64{4}, capacity: []int64{2, 3, 0}, cost: []int64{1, 0, 9},
			limit: []int64{3, 0, 0}, maxLimit: []int64{3, 0, 0}, limited: []bool{true, true, false}, supply: []int64{3, 0, 0}, totalDemand: 4, maxPieces: 3, maxCost: 9,
			lengthUnit: 2, stickLength: []int64{4, 6, 1}, credit: make([]Credit, 3), allowed: make([][]bool, 3), class: []int{0, 1, 2},
		}},
		{"choices, what a kind may hold, and credits", Problem{
			Items:   []Item{{2, 4}, {3, 0}},
			Kinds:   []Kind{{Length: 9, Cost: 5, Limited: true, Limit: 1, Only: []int{1}}, {Length: 9, Cost: 5, Credit: Credit{Num: 1, Den: 2}}},
			Choices: []Choice{{Cost: 6, Most: 2, Gives: []Give{{0, 3}}}, {Cost: -7, Most: 3, Asks: []Take{{1, 2}}}},
		}, instance{
			length: []int64{2, 3}, demand: []int64{4, 0}, maxDemand: []int64{4, 6}, capacity: []int64{9, 9}, cost: []int64{5, 5},
			limit: []int64{1, 10}, maxLimit: []int64{7, 10}, limited: []bool{true, false}, supply: []int64{7, 0}, totalDemand: 10, maxPieces: 4, maxCost: 7,
			lengthUnit: 1, stickLength: []int64{9, 9}, credit: []Credit{{}, {Num: 1, Den: 2}}, credits: true, allowed: [][]bool{{false, true}, nil}, class: []int{0, 1},
			choices: []Choice{{Cost: 6, Most: 2, Gives: []Give{{0, 3}}}, {Cost: -7, Most: 3, Asks: []Take{{1, 2}}}}, minCost: -21,
			choiceWeight: []float64{1 + 6.0/7, 1 + 1 + 2*3/9.0},
		}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got := newInstance(tc.p)
			if d := cmp.Diff(&tc.want, got, cmp.AllowUnexported(instance{}), cmpopts.EquateApprox(0, 1e-12)); d != "" {
				t.Error(d)
			}
		})
	}
}

func TestInstanceLimitIsNoMoreThanWanted(t *testing.T) {
	p := Problem{Items: []Item{{2, 4}, {3, 5}}, Kinds: []Kind{{Length: 9, Limited: true, Limit: 1 << 50}}}
	if in := newInstance(p); in.limit[0] != 9 {
		t.Errorf("%d sticks to use, with 9 pieces wanted", in.limit[0])
	}
}

// Dividing by what the items have in common changes no pattern.
func TestInstanceKeepsPatterns(t *testing.T) {
	tight := 0
	for seed := range uint64(2000) {
		r := rand.New(rand.NewPCG(seed, 10))
		p := tinyProblem(r)
		in := newInstance(p)
		v := make([]int64, len(p.Items))
		for k, kind := range p.Kinds {
			for range 10 {
				left, room, pieces := kind.Length, in.capacity[k], int64(0)
				for i, it := range p.Items {
					v[i] = r.Int64N(it.Demand + 1)
					left -= v[i] * it.Length
					room -= v[i] * in.length[i]
					pieces += v[i]
				}
				if (left >= 0) != (room >= 0) {
					t.Fatalf("seed %d: %v on kind %d leaves %d, in the instance %d\n%+v", seed, v, k, left, room, p)
				}
				if left >= 0 && pieces > in.maxPieces {
					t.Fatalf("seed %d: %v on kind %d is more than %d pieces\n%+v", seed, v, k, in.maxPieces, p)
				}
				if left == 0 {
					tight++
				}
			}
			for i, it := range p.Items {
				if want := min(it.Demand, kind.Length/it.Length); it.Demand > 0 && in.maxQuantity(i, k) != want {
					t.Fatalf("seed %d: kind %d holds %d of item %d, not %d\n%+v", seed, k, want, i, in.maxQuantity(i, k), p)
				}
			}
		}
		for i, it := range p.Items {
			want := false
			for _, kind := range p.Kinds {
				want = want || it.Length <= kind.Length && (!kind.Limited || kind.Limit > 0)
			}
			if it.Demand > 0 && in.totalDemand > 0 && in.fitsSomewhere(i) != want {
				t.Fatalf("seed %d: item %d fits: %v\n%+v", seed, i, !want, p)
			}
		}
	}
	if tight < 100 {
		t.Errorf("only %d patterns fill their stick: the test says too little", tight)
	}
}

// The greatest value of an item times the pieces on a stick stays clear of overflow, conditions and all.
func TestMaxDualLeavesRoom(t *testing.T) {
	for _, pieces := range []int64{1, 2, 3, 1000, 1<<23 - 1, 1 << 23, MaxDemand} {
		in := &instance{maxPieces: pieces}
		if w := in.maxDual(); w < 1 || w > 1<<60/pieces || w*2*(pieces+1) < 1<<60 {
			t.Errorf("%d pieces of %d", pieces, w)
		}
	}
}
