package planner

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"longpoint/model"
	"longpoint/solver"
)

var orderSeeds = flag.Int("orders", 60, "workshops whose orders to plan profile by profile and as one problem")

// TestCheapest takes one sum of each profile, and tries everything beside it.
func TestCheapest(t *testing.T) {
	found, none := 0, 0
	for seed := range uint64(2000) {
		r := rand.New(rand.NewPCG(seed, 5))
		dims := []dim{{"Hill", false, 1 + r.Int64N(40)}, {"Hill", true, 1 + r.Int64N(6)}, {"Dale", true, 1 + r.Int64N(4)}}[:1+r.IntN(3)]
		profiles := make([][]sum, 1+r.IntN(4))
		for p := range profiles {
			for n := range 1 + r.IntN(6) {
				s := sum{cost: model.Money(r.IntN(60)), n: n}
				for d := range dims {
					s.amounts[d] = min(dims[d].least, r.Int64N(2)*r.Int64N(1+2*dims[d].least))
				}
				profiles[p] = append(profiles[p], s)
			}
		}
		start := guess{prices{2 * r.Float64(), 20 * r.Float64(), 20 * r.Float64()}, model.Money(r.IntN(50))}
		limit := model.Money(r.IntN(300))
		least, want := limit, asked(dims)
		var try func(p int, have amounts, cost model.Money)
		try = func(p int, have amounts, cost model.Money) {
			if p == len(profiles) {
				if have == want {
					least = min(least, cost)
				}
				return
			}
			for _, s := range profiles[p] {
				try(p+1, have.add(s.amounts, dims), cost+s.cost)
			}
		}
		try(0, amounts{}, 0)
		counted := counting{dims, &start, mostPairs, true}.cheapest(t.Context(), profiles, limit)
		got := counted.best
		switch {
		case !counted.exact || counted.least != least || (got == nil) != (least == limit):
			t.Fatalf("seed %d: %+v, want %d of less than %d", seed, counted, least, limit)
		case got == nil:
			none++
			continue
		}
		found++
		cost, have := model.Money(0), amounts{}
		for p, n := range got.chosen(len(profiles)) {
			cost, have = cost+profiles[p][n].cost, have.add(profiles[p][n].amounts, dims)
		}
		if got.cost != least || cost != least || have != want {
			t.Errorf("seed %d: %d, its parts %d and %v, want %d and %v", seed, got.cost, cost, have, least, want)
		}
	}
	if found < 300 || none < 300 {
		t.Errorf("%d found, %d not: that tests little", found, none)
	}
}

// TestCheapestInUnits counts money in units because there is room for few pairs only: rounded up, no less than the least cost is given
// than the units allow for; rounded down, what is given comes to what is asked.
func TestCheapestInUnits(t *testing.T) {
	const fewPairs = 300
	lower, dearer, given := 0, 0, 0
	for seed := range uint64(500) {
		r := rand.New(rand.NewPCG(seed, 6))
		dims := []dim{{"Hill", false, 500 + r.Int64N(500)}, {"Hill", true, 1 + r.Int64N(3)}}[:1+r.IntN(2)]
		profiles := make([][]sum, 3+r.IntN(3))
		for p := range profiles {
			for n := range 20 {
				x := r.Int64N(200)
				s := sum{cost: model.Money(x/2 + r.Int64N(20)), n: n, amounts: amounts{min(x, dims[0].least)}}
				if len(dims) > 1 {
					s.amounts[1] = min(dims[1].least, r.Int64N(2))
				}
				profiles[p] = append(profiles[p], s)
			}
		}
		wanted := counting{dims, nil, mostPairs, true}.cheapest(t.Context(), profiles, maxSum)
		whole := wanted.best
		if !wanted.exact {
			t.Fatalf("seed %d: too many", seed)
		}
		up := counting{dims, nil, fewPairs, true}.cheapest(t.Context(), profiles, maxSum)
		switch {
		case up.least > wanted.least:
			t.Errorf("seed %d: %v rounded up, and %d can be had", seed, up, wanted.least)
		case up.least < wanted.least:
			lower++
		}
		down := counting{dims, nil, fewPairs, false}.cheapest(t.Context(), profiles, maxSum).best
		if down == nil {
			continue
		}
		given++
		cost, have := model.Money(0), amounts{}
		for p, n := range down.chosen(len(profiles)) {
			cost, have = cost+profiles[p][n].cost, have.add(profiles[p][n].amounts, dims)
		}
		if cost != down.cost || have != asked(dims) || cost < whole.cost {
			t.Errorf("seed %d: %d, its parts %d and %v, and %d can be had", seed, down.cost, cost, have, whole.cost)
		}
		if cost > whole.cost {
			dearer++
		}
	}
	if lower < 100 || dearer < 50 || given < 100 {
		t.Errorf("%d lower, %d of %d dearer: that tests little", lower, dearer, given)
	}
}

// bindingWorkshop draws three to five profiles with a frame each, which suppliers' terms bind.
func bindingWorkshop(r *rand.Rand) *model.Workshop {
	const mm = model.Length(1_000_000)
	w := &model.Workshop{Name: "Bound", Unit: model.Inches, Currency: model.Currency{Code: "EUR", Decimals: 2},
		Defaults: model.Defaults{RackShare: []int{0, 50, 50, 70, 100}[r.IntN(5)], OffcutShare: []int{0, 0, 0, 30}[r.IntN(4)]},
		Machine:  model.Machine{Type: model.Saw, Kerf: 3 * mm, Shave: 1 * mm, HeadTrim: 5 * mm, TailTrim: 5 * mm}}
	for n := range 3 + r.IntN(3) {
		p := model.Profile{Name: fmt.Sprintf("p%d", n), Width: 30 * mm, Rebate: 6 * mm, Keep: 300 * mm}
		w.Profiles = append(w.Profiles, p)
		for _, supplier := range []string{"Hill", "Dale", "Moor"} {
			if r.IntN(3) == 0 && supplier != "Hill" {
				continue
			}
			o := model.Offer{Supplier: supplier, Profile: p.Name, Length: model.Length(20+r.IntN(12)) * 100 * mm,
				Price: model.Money(60+r.IntN(200)) * 10, Bundle: 1 + 3*r.IntN(2)*r.IntN(2)}
			o.Price *= model.Money(o.Bundle)
			w.Offers = append(w.Offers, o)
			if r.IntN(3) == 0 {
				o.From, o.Price = 2+r.IntN(4), o.Price*model.Money(70+r.IntN(30))/100
				w.Offers = append(w.Offers, o)
			}
		}
		for s := range r.IntN(4) {
			w.Rack = append(w.Rack, model.Stick{ID: fmt.Sprintf("r%d%d", n, s), Profile: p.Name, Length: model.Length(8+r.IntN(20)) * 100 * mm})
		}
		w.Jobs = append(w.Jobs, model.Job{ID: fmt.Sprintf("j%d", n), Frames: []model.JobFrame{{ID: "a", Quantity: 1 + r.IntN(2), Rings: []model.Ring{{Profile: p.Name,
			Size: model.Size{Shape: model.Shape{Sides: 4}, By: model.ByContent, Width: model.Length(200+r.IntN(500)) * mm, Height: model.Length(200+r.IntN(600)) * mm}}}}}})
	}
	for _, name := range []string{"Hill", "Dale"} {
		s := model.Supplier{Name: name, Delivery: model.Money(r.IntN(3)) * 400, LeastSticks: r.IntN(2) * r.IntN(9)}
		if r.IntN(3) > 0 {
			s.LeastMoney = model.OptionalMoney{Amount: model.Money(r.IntN(1200)) * 10, Given: true}
		}
		w.Suppliers = append(w.Suppliers, s)
	}
	for n := range w.Suppliers { // last, so that what is drawn before stays as it was
		w.Suppliers[n].FreeFrom = model.OptionalMoney{Amount: model.Money(r.IntN(1600)) * 10, Given: r.IntN(2) > 0}
	}
	return w
}

// TestOrdersAsOneProblem plans profiles that suppliers' terms bind, each alone for orders of so much, and all as one problem. The
// least costs are the same, and the bound meets it, but for few where there is too much to keep count of.
func TestOrdersAsOneProblem(t *testing.T) {
	planned, filled, open := 0, 0, 0
	for seed := range uint64(*orderSeeds) {
		w := bindingWorkshop(rand.New(rand.NewPCG(seed, 11)))
		if err := w.Check(); err != nil {
			continue // two offers drawn alike
		}
		o := Options{}.withDefaults()
		profiles, err := prepare(w, o)
		if err != nil {
			t.Fatalf("seed %d: %s", seed, err)
		}
		for _, jp := range jointProblems(w, profiles) {
			if len(jp.profiles) == 1 {
				continue
			}
			planned++
			found := jp.newSearch(o)
			for start := time.Now(); !found.settled() && !found.stuck && time.Since(start) < o.TimeLimit; {
				if err := found.goOn(t.Context()); err != nil {
					t.Fatalf("seed %d: %s", seed, err)
				}
			}
			cases, _, err := found.prove(t.Context())
			if err != nil {
				t.Fatalf("seed %d: %s", seed, err)
			}
			bound := found.boundOfAll()
			for _, c := range cases {
				if c.Orders != nil {
					filled++
					break
				}
			}
			if found.best == nil {
				t.Errorf("seed %d: no plan", seed)
				continue
			}
			if bound != found.best.cost {
				t.Logf("seed %d: %d, and at least %d", seed, found.best.cost, bound)
				open++
			}
			one, err := solver.Solve(t.Context(), jp.problem, solver.Options{TimeLimit: o.TimeLimit})
			if err != nil {
				t.Fatalf("seed %d: %s", seed, err)
			}
			cost, settled := model.Money(one.Cost), bound == found.best.cost
			if settled && (one.HasPlan && cost < found.best.cost || one.Status == solver.Certified && cost != found.best.cost) ||
				model.Money(one.CertifiedBound) > found.best.cost || one.HasPlan && cost < bound {
				t.Errorf("seed %d: %d profile by profile, at least %d, and as one problem %d, at least %d", seed, found.best.cost, bound, one.Cost, one.CertifiedBound)
			}
		}
	}
	if planned < *orderSeeds/2 || filled < planned/4 {
		t.Errorf("%d planned, %d of them with orders to fill: that tests little", planned, filled)
	}
	if open > planned/100 {
		t.Errorf("%d of %d were not settled", open, planned)
	}
	t.Logf("%d planned, %d of them with orders to fill, %d not settled", planned, filled, open)
}

// TestRoundedAmounts holds that whatever a profile can order lies between the least of some span and what it counts as, that few bits make few spans, and that
// small amounts stay exact.
func TestRoundedAmounts(t *testing.T) {
	dims := []dim{{"Dale", false, 1500}, {"Vale", false, 3000}, {"Vale", true, 8}}
	list := func(supplier string, bundle int, prices ...model.Money) supply {
		s := supply{supplier: supplier, bundle: bundle}
		for n, price := range prices {
			s.tiers = append(s.tiers, tier{from: int64(1 + 3*n), price: price, cost: price})
		}
		return s
	}
	pp := &profileProblem{supplies: []supply{list("Dale", 1, 137), list("Dale", 2, 211, 190), list("Vale", 1, 307), list("Hill", 1, 5), list("Vale", 3, 829)}}
	exact, ok := pp.orderableTo(dims, exactBits)
	if !ok || len(exact) < 300 {
		t.Fatalf("%d amounts: that tests little", len(exact))
	}
	before := len(exact)
	for digits := mostBits; digits > 0; digits-- {
		rounded, ok := pp.orderableTo(dims, digits)
		if !ok || len(rounded) > before {
			t.Errorf("%d spans in %d bits, %d in one more", len(rounded), digits, before)
		}
		before = len(rounded)
		for x := range exact {
			between := false
			for to, from := range rounded {
				between = between || x.covers(from) && to.covers(x)
			}
			if !between {
				t.Fatalf("%v is in no span of %d bits", x, digits)
			}
		}
	}
	if before > 600 {
		t.Errorf("%d spans in one bit", before)
	}
	for x, from := range exact {
		if x != from {
			t.Errorf("%v counts as %v, and nothing was to be rounded", from, x)
		}
	}
}
