package solver

import (
	"math"
	"math/rand/v2"
	"testing"
)

// For every piece the best filling that has it is found, and nothing else: held against all patterns.
func TestFillings(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 402))
	some := 0
	for range 400 {
		// Whole sticks are cut at random, so that the pieces fill them again.
		p := Problem{Kinds: []Kind{{Length: 20 + r.Int64N(30), Cost: 1 + r.Int64N(3)}}}
		demand := map[int64]int64{}
		for range 1 + r.IntN(3) {
			for rest := p.Kinds[0].Length; rest > 0; {
				l := min(rest, 4+r.Int64N(20))
				demand[l]++
				rest -= l
			}
		}
		for l := range int64(60) {
			if demand[l] > 0 {
				p.Items = append(p.Items, Item{Length: l, Demand: demand[l]})
			}
		}
		in := newInstance(p)
		f := newFillings(in)
		if f == nil {
			t.Fatalf("no fillings for %+v", p)
		}
		duals, avail := make([]float64, len(p.Items)), make([]int64, len(p.Items))
		for i := range duals {
			duals[i] = float64(r.IntN(9)) / 16 // exact in float32
			avail[i] = max(0, in.demand[i]-r.Int64N(8)/7)
		}
		floor := float64(r.IntN(12)) / 16
		best := make([]float64, len(p.Items)) // of a pattern with the item
		forEachFilling(in, avail, func(take []int64) {
			value := 0.0
			for i, n := range take {
				value += float64(n) * duals[i]
			}
			for i, n := range take {
				if n > 0 {
					best[i] = max(best[i], value)
				}
			}
		})
		got := make([]float64, len(p.Items))
		for _, c := range f.columns(duals, avail, floor) {
			some++
			used, value := int64(0), 0.0
			for _, x := range c.take {
				used += in.length[x.Item] * x.Quantity
				value += duals[x.Item] * float64(x.Quantity)
				if x.Quantity > avail[x.Item] {
					t.Fatalf("%+v: %v has %d of item %d of %d", p, c.take, x.Quantity, x.Item, avail[x.Item])
				}
			}
			if used != in.capacity[0] || value <= floor {
				t.Fatalf("%+v: %v uses %d of %d and is worth %v, not above %v", p, c.take, used, in.capacity[0], value, floor)
			}
			for _, x := range c.take {
				got[x.Item] = max(got[x.Item], value)
			}
		}
		for i, want := range best {
			if want > floor && math.Abs(got[i]-want) > 1e-6 {
				t.Fatalf("%+v, duals %v, %v of them: the best filling with item %d is worth %v, found %v", p, duals, avail, i, want, got[i])
			}
		}
	}
	if some < 400 {
		t.Errorf("only %d fillings in all", some)
	}
}

// forEachFilling lists the patterns that fill a stick, by trying all.
func forEachFilling(in *instance, avail []int64, yield func(take []int64)) {
	take := make([]int64, len(avail))
	var add func(i int, rest int64)
	add = func(i int, rest int64) {
		if i == len(avail) {
			if rest == 0 {
				yield(take)
			}
			return
		}
		for take[i] = 0; take[i] <= avail[i] && take[i]*in.length[i] <= rest; take[i]++ {
			add(i+1, rest-take[i]*in.length[i])
		}
		take[i] = 0
	}
	add(0, in.capacity[0])
}

// Where sticks that are not filled have a place in a plan, or choices, limits by item and credits count, there are no fillings.
func TestNoFillings(t *testing.T) {
	p := Problem{Items: []Item{{Length: 3, Demand: 4}, {Length: 4, Demand: 2}}, Kinds: []Kind{{Length: 10, Cost: 1}}}
	if newFillings(newInstance(p)) == nil {
		t.Error("20 of length in sticks of 10: no fillings")
	}
	for name, change := range map[string]func(*Problem){
		"a stick not filled": func(p *Problem) { p.Items = []Item{{Length: 3, Demand: 4}, {Length: 4, Demand: 1}} },
		"two kinds":          func(p *Problem) { p.Kinds = append(p.Kinds, Kind{Length: 20, Cost: 2}) },
		"a credit":           func(p *Problem) { p.Kinds = []Kind{{Length: 10, Cost: 100, Credit: Credit{Keep: 1, Num: 1, Den: 1}}} },
		"a choice":           func(p *Problem) { p.Choices = []Choice{{Cost: 1, Most: 1}} },
		"too large": func(p *Problem) {
			p.Items, p.Kinds = []Item{{Length: fillingCells, Demand: 1}, {Length: fillingCells + 1, Demand: 1}}, []Kind{{Length: 2*fillingCells + 1, Cost: 1}}
		},
	} {
		q := p
		q.Items = append([]Item(nil), p.Items...)
		q.Kinds = append([]Kind(nil), p.Kinds...)
		change(&q)
		if newFillings(newInstance(q)) != nil {
			t.Errorf("%s: there are fillings", name)
		}
	}
}
