package solver

import (
	"math"
	"math/rand/v2"
	"testing"
)

// costsOnly is an instance of which only the costs and limits matter.
func costsOnly(kinds ...Kind) *instance {
	in := &instance{}
	for _, k := range kinds {
		in.cost, in.limited, in.supply = append(in.cost, k.Cost), append(in.limited, k.Limited), append(in.supply, k.Limit)
		ever := int64(1 << 40)
		if k.Limited {
			ever = min(ever, k.Limit)
		}
		in.maxLimit = append(in.maxLimit, ever)
	}
	return in
}

// sums lists which costs up to most can be paid.
func sums(kinds []Kind, most int64) []bool {
	can := make([]bool, most+1)
	can[0] = true
	for _, k := range kinds {
		if k.Cost == 0 {
			continue
		}
		used := make([]int64, most+1) // the fewest of this kind, where one without it cannot be paid
		for v := k.Cost; v <= most; v++ {
			if !can[v] && can[v-k.Cost] && (!k.Limited || used[v-k.Cost] < k.Limit) {
				can[v], used[v] = true, used[v-k.Cost]+1
			}
		}
	}
	return can
}

func TestPayableAgainstSums(t *testing.T) {
	gaps := 0
	for seed := range uint64(4000) {
		r := rand.New(rand.NewPCG(seed, 4))
		unit := 1 + r.Int64N(4)*r.Int64N(30)
		var kinds []Kind
		for range r.IntN(5) {
			k := Kind{Cost: unit * r.Int64N(25)}
			if r.IntN(3) > 0 {
				k.Limited, k.Limit = true, []int64{0, 1, 2, 3, 5, 9, 1 << 62}[r.IntN(7)]
			}
			kinds = append(kinds, k)
		}
		most := r.Int64N(unit * []int64{40, 200}[r.IntN(2)])
		pay := newPayable(costsOnly(kinds...), most)

		common := int64(0)
		for _, k := range kinds {
			if !k.Limited || k.Limit > 0 {
				common = gcd(common, k.Cost)
			}
		}
		can := sums(kinds, most)
		for v := int64(-3); v <= most+3*unit; v += 1 + r.Int64N(unit) {
			want := max(0, v)
			if common > 0 {
				for want%common != 0 || want <= most && !can[want] {
					want++
				}
			}
			if want > v && v > 0 && v%max(1, common) == 0 {
				gaps++
			}
			if got := pay.roundUp(v); got != want {
				t.Fatalf("seed %d: up(%d) = %d, want %d, with sums up to %d of %+v", seed, v, got, want, most, kinds)
			}
		}
	}
	if gaps < 1000 {
		t.Errorf("only %d gaps: the test says too little", gaps)
	}
}

func TestPayableAtItsEnds(t *testing.T) {
	pair := []Kind{{Cost: 6}, {Cost: 10}} // in halves 3 and 5: 1, 2, 4 and 7 cannot be paid
	for _, tc := range []struct {
		name     string
		kinds    []Kind
		most     int64
		v, wants int64
	}{
		{"no kinds", nil, 100, 5, 5},
		{"no number is large enough", []Kind{{Cost: 2}}, 100, math.MaxInt64, math.MaxInt64},
		{"only free sticks", []Kind{{Cost: 0}}, 100, 5, 5},
		{"nothing", pair, 100, 0, 0},
		{"less than nothing", pair, 100, math.MinInt64, 0},
		{"a gap", pair, 100, 13, 16},
		{"a gap that ends past the sums", pair, 14, 13, 16},
		{"sums of nothing", pair, 0, 13, 14},
		{"at the last sum", pair, 16, 16, 16},
		{"the greatest sums", pair, 2 * payableBits, 13, 16},
		{"at the end of the greatest sums", pair, 2*payableBits + 1, 2 * payableBits, 2 * payableBits},
		{"sums too many: only multiples", pair, 2*payableBits + 2, 13, 14},
		{"kinds there are none of do not count", []Kind{{Cost: 6}, {Cost: 1, Limited: true}}, 100, 7, 12},
		{"not even where they divide to nothing", []Kind{{Cost: 600}, {Cost: 1, Limited: true}}, 10000, 601, 1200},
		{"all sticks used up", []Kind{{Cost: 5, Limited: true, Limit: 3}}, 100, 16, 105},
		{"a free stick changes nothing", append([]Kind{{Cost: 0}}, pair...), 100, 13, 16},
		{"a limit next to the word's end", []Kind{{Cost: 1, Limited: true, Limit: 63}, {Cost: 200}}, 300, 64, 200},
		{"a limit at the word's end", []Kind{{Cost: 1, Limited: true, Limit: 64}, {Cost: 200}}, 300, 65, 200},
		{"large costs", []Kind{{Cost: MaxCost}, {Cost: MaxCost - 1}}, 1 << 60, MaxCost - 5, MaxCost - 5},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if got := newPayable(costsOnly(tc.kinds...), tc.most).roundUp(tc.v); got != tc.wants {
				t.Errorf("up(%d) = %d, want %d", tc.v, got, tc.wants)
			}
		})
	}
}
