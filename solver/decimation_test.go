package solver

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
)

// cutSticks makes a problem of pieces that fill so many sticks again.
func cutSticks(r *rand.Rand, length int64, sticks, most int) Problem {
	p := Problem{Kinds: []Kind{{Length: length, Cost: 1}}}
	demand := map[int64]int64{}
	for range sticks {
		rest := length
		for range 1 + r.IntN(most-1) {
			l := 1 + r.Int64N(rest)
			if rest -= l; rest == 0 {
				rest = l
				break
			}
			demand[l]++
		}
		demand[rest]++
	}
	for l := range length + 1 {
		if demand[l] > 0 {
			p.Items = append(p.Items, Item{Length: l, Demand: demand[l]})
		}
	}
	return p
}

// A sweep works out how many sticks hold a piece as all sets of pieces do, each counted by itself.
func TestSweep(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 600))
	for range 200 {
		in := newInstance(cutSticks(r, 20+r.Int64N(20), 1+r.IntN(4), 4))
		d := newDecimation(in, newFillings(in))
		for i := range d.left {
			d.left[i] = max(0, d.left[i]-r.Int64N(8)/7)
			d.logWeight[i] = -2 * r.Float64()
		}
		d.sweep()
		want := make([]float64, len(d.left))
		forEachFilling(in, d.left, func(take []int64) {
			weight := 1.0
			for i, n := range take {
				weight *= math.Exp(float64(n)*d.logWeight[i]) * choose(d.left[i], n)
			}
			for i, n := range take {
				if d.left[i] > 0 {
					want[i] += weight * float64(n) / float64(d.left[i])
				}
			}
		})
		for i, w := range want {
			if d.left[i] > 0 && math.Abs(d.expected[i]-max(w, leastExpected)) > 1e-9*(1+w) {
				t.Fatalf("%+v, %v left, weights %v: %v sticks hold a piece of item %d, found %v", in.length, d.left, d.logWeight, w, i, d.expected[i])
			}
		}
	}
}

// choose is how many sets of k there are among n.
func choose(n, k int64) float64 {
	sets := 1.0
	for j := range k {
		sets *= float64(n-j) / float64(j+1)
	}
	return sets
}

// The best filling is as good as the best of all.
func TestBestFilling(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 601))
	for range 200 {
		in := newInstance(cutSticks(r, 20+r.Int64N(20), 1+r.IntN(4), 4))
		avail, value, want := make([]int64, len(in.length)), make([]float64, len(in.length)), math.Inf(-1)
		for i := range avail {
			avail[i] = max(0, in.demand[i]-r.Int64N(3)/2)
			value[i] = float64(r.IntN(17)-8) / 16 // exact in float32
		}
		worth := func(n int64, i int) float64 { return float64(n) * value[i] }
		forEachFilling(in, avail, func(take []int64) {
			v := 0.0
			for i, n := range take {
				v += worth(n, i)
			}
			want = max(want, v)
		})
		take, got := newFillings(in).best(value, avail)
		if (take == nil) != math.IsInf(want, -1) || take != nil && got != want {
			t.Fatalf("%v, %v of them, values %v: %v of %v, wanted %v", in.length, avail, value, take, got, want)
		}
		used, v := int64(0), 0.0
		for _, x := range take {
			used += in.length[x.Item] * x.Quantity
			v += worth(x.Quantity, x.Item)
			if x.Quantity > avail[x.Item] {
				t.Fatalf("%v has %d of item %d, of %d", take, x.Quantity, x.Item, avail[x.Item])
			}
		}
		if take != nil && (used != in.capacity[0] || v != want) {
			t.Fatalf("%v uses %d of %d and has the value %v of %v", take, used, in.capacity[0], v, want)
		}
	}
}

// Where pieces fill sticks again, one of a few decimations finds how, most often; and what it finds is a plan without waste.
func TestDecimation(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 602))
	found := 0
	const runs, sticks = 20, 40
	for range runs {
		in := newInstance(cutSticks(r, 100, sticks, 6))
		for range 4 {
			plan := newPartialPlan(in, nil)
			if !newDecimation(in, newFillings(in)).cut(context.Background(), plan, r) {
				continue
			}
			found++
			if !plan.done() || plan.cost != sticks*in.cost[0] {
				t.Fatalf("%v: a plan of cost %d for %d sticks, %d pieces left", in.length, plan.cost, sticks, plan.remaining)
			}
			break
		}
	}
	if found < runs*3/5 {
		t.Errorf("a plan was found for %d of %d", found, runs)
	}
}

// Where the plan in hand meets the bound, or pieces are too many, no decimation is made.
func TestNoDecimation(t *testing.T) {
	for name, c := range map[string]struct {
		demand, above int64
		want          uint64
	}{
		"a better plan can be":  {9, 1, 1},
		"the bound is met":      {9, 0, 0},
		"the most pieces":       {mostDecimated - mostDecimated%3, 1, 1},
		"more pieces than that": {mostDecimated - mostDecimated%3 + 3, 1, 0},
	} {
		s := newSearch(Problem{Items: []Item{{Length: 5, Demand: c.demand}}, Kinds: []Kind{{Length: 15, Cost: 1}}}, Options{})
		s.fillings = newFillings(s.in)
		s.root = s.lengthBound()
		s.lower = s.payable.roundUp(s.root.bound)
		s.hasPlan, s.cost = true, s.lower+c.above
		found := s.decimate(context.Background(), 1)
		if s.decimations != c.want || found != (c.want == 1) {
			t.Errorf("%s: %d decimations, a plan found: %v", name, s.decimations, found)
		}
	}
}

// What is combined of the last steps solves linear equations exactly after as many steps as there are unknowns.
func TestAnderson(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 603))
	for range 50 {
		n := 1 + r.IntN(andersonSteps)
		a, want := make([][]float64, n), make([]float64, n)
		for i := range a {
			a[i], want[i] = make([]float64, n), r.Float64()
			for j := range a[i] {
				a[i][j] = (r.Float64() - 0.5) / float64(n)
			}
			a[i][i]++
		}
		x, left := make([]float64, n), make([]float64, n)
		var m anderson
		for range n + 2 {
			for i := range left {
				left[i] = dot(a[i], want) - dot(a[i], x)
			}
			m.step(x, left)
		}
		for i := range x {
			if math.Abs(x[i]-want[i]) > 1e-4 {
				t.Fatalf("%v x = %v · %v: %v", a, a, want, x)
			}
		}
	}
}
