package audit

import (
	"math/rand/v2"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
)

// drawOrders draws up to three profiles that can order something of up to three things asked, at costs of their own.
func drawOrders(r *rand.Rand) *orderBound {
	b := &orderBound{unit: 1, enough: model.Money(500 + r.IntN(6000))}
	for n := range 1 + r.IntN(3) {
		q := asking{supplier: string(rune('A' + n/2)), ofSticks: n%2 == 1, least: int64(200 + r.IntN(3000))}
		if q.ofSticks {
			q.least = int64(1 + r.IntN(8))
		}
		b.asked = append(b.asked, q)
		b.all[n] = q.least
	}
	for range 1 + r.IntN(3) {
		own := []ordering{{cost: model.Money(r.IntN(2500))}}
		for range r.IntN(6) {
			o := ordering{cost: own[0].cost + model.Money(r.IntN(1500))}
			for n, q := range b.asked {
				o.total[n] = min(q.least, r.Int64N(q.least+1))
			}
			own = append(own, o)
		}
		b.own = append(b.own, own)
	}
	b.lowest = make([]int64, len(b.own))
	return b
}

// cheapestOrders gives the least cost of all ways to order what is asked, or enough.
func cheapestOrders(b *orderBound, m int, sum orderTotal, cost model.Money) model.Money {
	if m == len(b.own) {
		if sum == b.all {
			return min(cost, b.enough)
		}
		return b.enough
	}
	best := b.enough
	for _, o := range b.own[m] {
		best = min(best, cheapestOrders(b, m+1, plus(sum, o.total, b.asked), cost+o.cost))
	}
	return best
}

// TestOrderBound adds up what profiles order in every way there is, and holds the least cost against it. No weights bound it from above, and the best ones that
// are found come to what they came to when this was written: whoever changes how they are looked for writes the sums anew, and sees whether they are better.
func TestOrderBound(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 75))
	var bounds, weights int64
	below, kept := 0, 0
	for range 400 {
		b := drawOrders(r)
		want := cheapestOrders(b, 0, orderTotal{}, 0)
		b.weigh()
		bound := b.bound()
		if bound > int64(want)*1e6 && want < b.enough {
			t.Fatalf("the bound is %d and the least cost %d: %+v", bound, want, b)
		}
		if !b.hopeful(bound) {
			want = b.enough
		} else if got := b.least(); got != want {
			t.Fatalf("the least cost is %d, not %d: %+v", want, got, b)
		}
		if want < b.enough {
			below++
		}
		bounds += bound / 1e6
		for n := range b.asked {
			weights += b.weights[n] * int64(n+1)
		}
		for _, own := range b.own {
			kept += len(own)
		}
	}
	if below < 40 {
		t.Errorf("only %d cost less than enough: the test says too little", below)
	}
	if got, was := [3]int64{bounds, weights, int64(kept)}, [3]int64{1684841, 257786894622, 2711}; got != was {
		t.Errorf("bounds, weights and what is kept come to %d, and came to %d", got, was)
	}
}

// TestOrdersAtTheGreatestAmounts weighs orders up to the greatest amount that can be, and of more says nothing.
func TestOrdersAtTheGreatestAmounts(t *testing.T) {
	for _, c := range []struct{ asked, enough, bound model.Money }{
		{mostWeighed, 1000, 100}, {mostWeighed + 1, 1000, 0}, {1000, mostWeighed, 100}, {1000, mostWeighed + 1, 0},
	} {
		list := &priceList{listKey: listKey{supplier: "Hill", bundle: 1}, price: map[int64]model.Money{1: mostWeighed / 4}, steps: []int64{1}, terms: &model.Supplier{Name: "Hill"}}
		oak := &derived{profile: model.Profile{Name: "oak"}, lists: []*priceList{list}}
		cases := []plan.Case{{Profile: "oak", Open: []string{"Hill"}}}
		got := (&audit{}).orderedBound([]*derived{oak}, [][]string{{"Hill"}}, cases, []model.Money{100}, []way{{supplier: "Hill", money: c.asked}}, c.enough)
		if got != c.bound {
			t.Errorf("of %d asked where %d is enough: %d, want %d", c.asked, c.enough, got, c.bound)
		}
	}
}
