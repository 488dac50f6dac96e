package check

import (
	"math/big"
	"math/rand/v2"
	"testing"
)

func TestPayable(t *testing.T) {
	const no = -1
	unlimited := func(cost int64) Kind { return Kind{Length: 1, Cost: cost} }
	limited := func(cost, limit int64) Kind { return Kind{Length: 1, Cost: cost, Limit: &limit} }
	for _, row := range []struct {
		name  string
		kinds []Kind
		bound int64
		want  int64 // no: there is none
	}{
		{"one price", []Kind{unlimited(7)}, 15, 21},
		{"already payable", []Kind{unlimited(7)}, 14, 14},
		{"below nothing", []Kind{unlimited(7)}, -3, 0},
		{"two prices", []Kind{unlimited(6), unlimited(10)}, 13, 16},
		{"two prices without a common part", []Kind{unlimited(5), unlimited(7)}, 13, 14},
		{"past all gaps", []Kind{unlimited(5), unlimited(7)}, 23, 24}, // 23 is the last number 5 and 7 do not make
		{"a limit", []Kind{unlimited(10), limited(6, 1)}, 12, 16},
		{"a limit used up", []Kind{unlimited(10), limited(1, 3)}, 14, 20},
		{"only limits", []Kind{limited(6, 2), limited(4, 1)}, 13, 16},
		{"past all there is", []Kind{limited(6, 2), limited(4, 1)}, 17, no},
		{"limit 0", []Kind{limited(1, 0), unlimited(10)}, 11, 20},
		{"one dear stick", []Kind{limited(1, 2), unlimited(100)}, 3, 100},
		{"free sticks only", []Kind{unlimited(0)}, 1, no},
		{"free sticks, nothing to pay", []Kind{unlimited(0)}, 0, 0},
		{"no kinds", nil, 1, no},
		{"at the limit of exactness", []Kind{unlimited(3), unlimited(payableLimit)}, payableLimit - 1, payableLimit - 1},
		{"past the limit, multiple of the unit", []Kind{unlimited(200), unlimited(300)}, 100*(payableLimit+1) - 1, 100 * (payableLimit + 1)},
		{"past the limit, a kind of which there is none", []Kind{limited(1, 0), unlimited(10)}, 10*payableLimit + 1, 10*payableLimit + 10},
		{"past all there is, few units", []Kind{limited(1<<40, 2)}, 1<<41 + 1, no},
		{"past the limit and all there is", []Kind{limited(1<<40, 2), limited(1, 1)}, 1<<41 + 2, no},
		{"large prices, few units", []Kind{unlimited(3 << 40), unlimited(2 << 40)}, 1 << 40, 2 << 40},
	} {
		t.Run(row.name, func(t *testing.T) {
			bound := big.NewInt(row.bound)
			got, any := newPayable(row.kinds, []*big.Int{bound}).next(bound)
			if !any {
				got = big.NewInt(no)
			}
			if got.Cmp(big.NewInt(row.want)) != 0 {
				t.Errorf("%d is rounded up to %d, want %d", bound, got, row.want)
			}
		})
	}
}

// Rounding up finds the same as listing all costs, for several bounds at a time.
func TestPayableAgainstAllCounts(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	nones := 0
	for range 3000 {
		var kinds []Kind
		for range 1 + random.IntN(3) {
			kind := Kind{Length: 1, Cost: random.Int64N(14) * (1 + random.Int64N(2))}
			if random.IntN(3) > 0 {
				kind.Limit = new(random.Int64N(4))
			}
			kinds = append(kinds, kind)
		}
		const most = 200 // far enough above the bounds for any next cost
		can := map[int64]bool{0: true}
		for _, kind := range kinds {
			next := make(map[int64]bool)
			for sum := range can {
				for n := int64(0); sum+n*kind.Cost <= most && (kind.Limit == nil || n <= *kind.Limit) && n <= most; n++ {
					next[sum+n*kind.Cost] = true
				}
			}
			can = next
		}
		var bounds []*big.Int
		for range 5 {
			bounds = append(bounds, big.NewInt(random.Int64N(100)-3))
		}
		p := newPayable(kinds, bounds)
		for _, bound := range bounds {
			want := max(0, bound.Int64())
			for want <= most && !can[want] {
				want++
			}
			got, any := p.next(bound)
			if any != (want <= most) || any && got.Int64() != want {
				t.Fatalf("%+v: %d is rounded up to %v, %v; want %d", kinds, bound, got, any, want)
			}
			if !any {
				nones++
			}
		}
	}
	if nones == 0 {
		t.Error("no bound was past all costs")
	}
}

func TestCeilQuo(t *testing.T) {
	for _, row := range []struct{ a, b, want int64 }{{7, 2, 4}, {6, 2, 3}, {0, 5, 0}, {-7, 2, -3}, {-6, 2, -3}, {1, 9, 1}, {-1, 9, 0}} {
		if got := ceilQuo(big.NewInt(row.a), big.NewInt(row.b)); got.Int64() != row.want {
			t.Errorf("⌈%d/%d⌉ = %d, want %d", row.a, row.b, got, row.want)
		}
	}
}
