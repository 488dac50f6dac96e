package planner_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

// manySuppliers draws two or three profiles that seven suppliers offer, each with a delivery. There is no rack, and nothing is bought in bundles, so that
// what things are worth does not depend on who offers them.
func manySuppliers(r *rand.Rand) *model.Workshop {
	w := shoptest.TwoSticks()
	one := w.Profiles[0]
	w.Profiles, w.Jobs, w.Rack, w.Offers = nil, nil, nil, nil
	for n := range 2 + r.IntN(2) {
		p := one
		p.Name = fmt.Sprintf("p%d", n)
		w.Profiles = append(w.Profiles, p)
		for s := range 7 {
			if r.IntN(4) > 0 {
				w.Offers = append(w.Offers, model.Offer{Supplier: fmt.Sprintf("s%d", s), Profile: p.Name, Length: model.Length(20+r.IntN(12)) * 100 * mm,
					Price: model.Money(600 + r.IntN(900))})
			}
		}
		w.Jobs = append(w.Jobs, shoptest.Job(fmt.Sprintf("j%d", n), "2027-03-15",
			shoptest.Frame("a", 1+r.IntN(3), shoptest.Ring(p.Name, model.Length(200+r.IntN(500))*mm, model.Length(200+r.IntN(600))*mm))))
	}
	for s := range 7 {
		w.Suppliers = append(w.Suppliers, model.Supplier{Name: fmt.Sprintf("s%d", s), Delivery: model.Money(100 + r.IntN(900))})
	}
	return w
}

// TestManySuppliers plans with more suppliers than sets are listed of, and for each set of them with their offers only and nothing to pay for delivery. The
// cheapest of these with the set's deliveries is the cheapest plan of all.
func TestManySuppliers(t *testing.T) {
	planned := 0
	for seed := range uint64(6) {
		w := manySuppliers(rand.New(rand.NewPCG(seed, 23)))
		if seed%2 == 1 { // every order is large enough
			for n := range w.Suppliers[:3] {
				w.Suppliers[n].FreeFrom = model.OptionalMoney{Amount: 600, Given: true}
			}
		}
		if w.Check() != nil {
			continue
		}
		want := model.Money(1 << 60)
		for bits := range 1 << len(w.Suppliers) {
			alone := *w
			alone.Suppliers, alone.Offers = nil, nil
			delivery := model.Money(0)
			for n, s := range w.Suppliers {
				if bits>>n&1 == 1 {
					if !s.FreeFrom.Given {
						delivery += s.Delivery
					}
					for _, o := range w.Offers {
						if o.Supplier == s.Name {
							alone.Offers = append(alone.Offers, o)
						}
					}
				}
			}
			if d, err := planner.Make(t.Context(), &alone, planner.Options{MadeWith: "test"}); err == nil {
				want = min(want, d.Total.Figures.Cost+delivery)
			}
		}
		d, err := planner.Make(t.Context(), w, planner.Options{Verify: shoptest.Checker, MadeWith: "test"})
		if err != nil {
			continue // no supplier offers one of them
		}
		planned++
		if d.Total.Grade != plan.Proven || d.Total.Figures.Cost != want {
			t.Errorf("seed %d: %s at %d, want it proven at %d", seed, d.Total.Grade, d.Total.Figures.Cost, want)
		}
		for _, f := range shoptest.MustAudit(t, w, d) {
			t.Errorf("seed %d: audit: %s", seed, f)
		}
		spoiled := shoptest.CopyOf(t, d)
		cases := &spoiled.Together[0].Cases
		*cases = slices.DeleteFunc(*cases, func(c plan.Case) bool { return c.Profile == "p0" })
		if len(shoptest.MustAudit(t, w, spoiled)) == 0 {
			t.Errorf("seed %d: the audit finds nothing where a profile has no cases", seed)
		}
	}
	if planned < 4 {
		t.Errorf("only %d planned: that tests little", planned)
	}
}
