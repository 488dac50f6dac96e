package solver

import (
	"math/rand/v2"
	"testing"
)

// TestLearn: a search that has learned from one of other prices, limits and demands knows patterns of its own problem only, ends with the
// same cost as one that has not, and generates fewer columns of its own.
func TestLearn(t *testing.T) {
	own, without := 0, 0
	for seed := range uint64(60) {
		p := middling(seed)
		r := rand.New(rand.NewPCG(seed, 7))
		q := Problem{Items: append([]Item(nil), p.Items...), Kinds: append([]Kind(nil), p.Kinds...)}
		for i := range q.Items {
			q.Items[i].Demand = max(0, q.Items[i].Demand+r.Int64N(3)-1)
		}
		for k := range q.Kinds {
			q.Kinds[k].Cost += r.Int64N(q.Kinds[k].Cost/4 + 1)
		}
		if seed%3 == 0 { // the last item is none any more, and others are one place further
			q.Items = append([]Item{{Length: q.Items[0].Length + 1, Demand: 1}}, q.Items[:len(q.Items)-1]...)
		}
		from, err := NewSearch(p)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := from.Run(t.Context(), Options{}); err != nil {
			t.Fatal(err)
		}
		x, err := NewSearch(q)
		if err != nil {
			t.Fatal(err)
		}
		whole, err := Solve(t.Context(), q, Options{})
		if err != nil {
			t.Fatal(err)
		}
		x.Learn(from)
		learned := 0
		if x.s != nil {
			learned = len(x.s.pool)
			for _, c := range x.s.pool {
				holdPattern(t, q, c)
			}
		}
		got, err := x.Run(t.Context(), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got.Status != whole.Status || got.Cost != whole.Cost {
			t.Errorf("seed %d: %v, cost %d; without learning %v, cost %d", seed, got.Status, got.Cost, whole.Status, whole.Cost)
		}
		own, without = own+got.Columns-learned, without+whole.Columns
	}
	if 2*own > without {
		t.Errorf("%d columns of its own, %d without learning", own, without)
	}
}

// holdPattern fails where a column is no pattern of the problem.
func holdPattern(t *testing.T, p Problem, c *column) {
	t.Helper()
	left, last := p.Kinds[c.kind].Length, -1
	for _, take := range c.take {
		left -= take.Quantity * p.Items[take.Item].Length
		if take.Quantity <= 0 || take.Quantity > p.Items[take.Item].Demand || take.Item <= last {
			t.Errorf("%+v is no pattern of %+v", c, p)
		}
		last = take.Item
	}
	if left < 0 {
		t.Errorf("%+v is too long", c)
	}
}
