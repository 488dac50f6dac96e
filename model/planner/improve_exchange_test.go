package planner

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"longpoint/model"
	"longpoint/solver"
)

// exchangeProblem is a profile with items of these needs and kinds of stick of these lengths, without trims.
func exchangeProblem(keep model.Length, needs, lengths []int64) *profileProblem {
	pp := &profileProblem{profileSides: profileSides{profile: model.Profile{Name: "p", Keep: keep}}}
	for _, n := range needs {
		pp.items = append(pp.items, item{itemKey: itemKey{model.Length(n), model.Length(n), 1, free}})
	}
	for _, l := range lengths {
		pp.kinds = append(pp.kinds, kind{length: model.Length(l), usable: model.Length(l), damaged: undivided, lot: free})
	}
	return pp
}

// TestSimplestByHand exchanges where it is seen at once what is best.
func TestSimplestByHand(t *testing.T) {
	for _, tt := range []struct {
		name        string
		keep        model.Length
		needs, room []int64
		patterns    []solver.Pattern
		setUpCost   int // afterwards
		change      func(*profileProblem)
	}{
		{"pairs come together", 0, []int64{30, 20}, []int64{60}, []solver.Pattern{{Kind: 0, Count: 2, Take: []solver.Take{{Item: 0, Quantity: 1}, {Item: 1, Quantity: 1}}}}, 2, nil},
		{"not where they do not fit", 0, []int64{30, 20}, []int64{50}, []solver.Pattern{{Kind: 0, Count: 2, Take: []solver.Take{{Item: 0, Quantity: 1}, {Item: 1, Quantity: 1}}}}, 8, nil},
		{"not where less would be kept", 18, []int64{30, 24, 6}, []int64{59, 48}, []solver.Pattern{
			{Kind: 0, Count: 1, Take: []solver.Take{{Item: 0, Quantity: 1}, {Item: 2, Quantity: 1}}},
			{Kind: 1, Count: 1, Take: []solver.Take{{Item: 1, Quantity: 1}, {Item: 2, Quantity: 1}}}}, 8, nil},
		{"not on a kind that may not hold them, the one", 0, []int64{30, 20}, []int64{60, 61}, []solver.Pattern{
			{Kind: 0, Count: 1, Take: []solver.Take{{Item: 0, Quantity: 1}, {Item: 1, Quantity: 1}}},
			{Kind: 1, Count: 1, Take: []solver.Take{{Item: 0, Quantity: 1}, {Item: 1, Quantity: 1}}}}, 8,
			func(pp *profileProblem) { pp.items[0].lot, pp.items[1].lot, pp.kinds[1].lot = 0, 0, 0 }},
		{"not on a kind that may not hold them, the other", 0, []int64{30, 20}, []int64{60, 61}, []solver.Pattern{
			{Kind: 0, Count: 1, Take: []solver.Take{{Item: 0, Quantity: 1}, {Item: 1, Quantity: 1}}},
			{Kind: 1, Count: 1, Take: []solver.Take{{Item: 0, Quantity: 1}, {Item: 1, Quantity: 1}}}}, 8,
			func(pp *profileProblem) { pp.items[0].lot, pp.items[1].lot, pp.kinds[0].lot = 0, 0, 0 }},
		{"fewer patterns in the long run", 0, []int64{4, 3}, []int64{10}, []solver.Pattern{
			{Kind: 0, Count: 2, Take: []solver.Take{{Item: 0, Quantity: 2}}}, {Kind: 0, Count: 2, Take: []solver.Take{{Item: 1, Quantity: 2}}}}, 4, nil},
	} {
		pp := exchangeProblem(tt.keep, tt.needs, tt.room)
		if tt.change != nil {
			tt.change(pp)
		}
		layouts := pp.layouts(tt.patterns)
		got := newExchange(pp, layouts).setUpCost()
		if simpler, found := pp.simplerLayouts(t.Context(), layouts); found {
			got = newExchange(pp, simpler).setUpCost()
		}
		if got != tt.setUpCost {
			t.Errorf("%s: %d instead of %d", tt.name, got, tt.setUpCost)
		}
	}
}

// TestSimplestRandom holds random plans to what must not change.
func TestSimplestRandom(t *testing.T) {
	simpler := 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 4))
		var needs, lengths []int64
		for range 2 + r.IntN(5) {
			needs = append(needs, 10+r.Int64N(40))
		}
		for range 1 + r.IntN(2) {
			lengths = append(lengths, 100+r.Int64N(60))
		}
		pp := exchangeProblem(model.Length(r.IntN(2)*30), needs, lengths)
		if r.IntN(3) == 0 && pp.profile.Keep > 0 {
			for k := range pp.kinds {
				pp.kinds[k].credit = solver.Credit{Keep: int64(pp.profile.Keep), Num: 1, Den: 7}
			}
		}
		var before []solver.Pattern
		for range 2 + r.IntN(6) {
			p := solver.Pattern{Kind: r.IntN(len(lengths)), Count: 1 + r.Int64N(3)}
			rest := lengths[p.Kind]
			for i, n := range needs {
				if q := min(r.Int64N(3), rest/n); q > 0 {
					p.Take = append(p.Take, solver.Take{Item: i, Quantity: q})
					rest -= q * n
				}
			}
			if len(p.Take) > 0 {
				before = append(before, p)
			}
		}
		layouts := pp.layouts(before)
		after, found := pp.simplerLayouts(t.Context(), layouts)
		if !found {
			continue
		}
		x, y := newExchange(pp, layouts), newExchange(pp, after)
		if pieces(x) != pieces(y) {
			t.Errorf("seed %d: pieces and sticks %s, not %s", seed, pieces(y), pieces(x))
		}
		if y.kept() < x.kept() || y.longest() < x.longest() || y.setUpCost() >= x.setUpCost() || credits(y) < credits(x) {
			t.Errorf("seed %d: kept %d, longest rest %d, setUpCost %d, credit %d; before %d, %d, %d, %d", seed, y.kept(), y.longest(), y.setUpCost(), credits(y),
				x.kept(), x.longest(), x.setUpCost(), credits(x))
		}
		for _, s := range y.sticks {
			if s.rest < 0 {
				t.Errorf("seed %d: a stick %d too full", seed, -s.rest)
			}
		}
		simpler++
	}
	if simpler < 100 {
		t.Errorf("only %d of 300 plans became simpler", simpler)
	}
}

// pieces is equal for plans of the same pieces and sticks.
func pieces(e *exchange) string {
	items, sticks := make([]int64, len(e.t.items)), make([]int, len(e.t.kinds))
	for _, s := range e.sticks {
		sticks[s.kind]++
		for i, n := range s.count {
			items[i] += n
		}
	}
	return fmt.Sprint(items, sticks)
}

// credits is what the plan gets back for what is kept.
func credits(e *exchange) int64 {
	var sum int64
	for _, s := range e.sticks {
		if c := e.t.kinds[s.kind].credit; c.Num > 0 && s.rest >= c.Keep {
			sum += c.Num * s.rest / c.Den
		}
	}
	return sum
}
