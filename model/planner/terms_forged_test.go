package planner

import (
	"context"
	"errors"
	"fmt"
	"testing"

	"longpoint/model"
	"longpoint/model/audit"
	"longpoint/model/plan"
	"longpoint/model/sequence"
	"longpoint/solver"
	"longpoint/solver/check"
)

// TestForgedCases has documents claim a bound above the cost of a plan that there is, by cases whose certificates are true of the
// problems in them, which are not what the case says. None may be taken.
func TestForgedCases(t *testing.T) {
	for _, tt := range []struct {
		name  string
		shop  func() *model.Workshop
		forge func(t *testing.T, w *model.Workshop) plan.Case
	}{
		{"so much off each stick that a bundle's price wraps round", func() *model.Workshop {
			w := forgedShop(2)
			for _, p := range w.Profiles {
				w.Offers = append(w.Offers, model.Offer{Supplier: "Hill", Profile: p.Name, Length: 3000 * forgedMM, Bundle: 4, Price: 4000})
			}
			w.Suppliers = []model.Supplier{{Name: "Hill", Delivery: 500, LeastMoney: model.OptionalMoney{Amount: 5000, Given: true}}}
			return w
		}, func(t *testing.T, w *model.Workshop) plan.Case {
			return caseBy(t, w, "p0", restriction{open: []string{"Hill"}, orders: []plan.Ordered{{Supplier: "Hill", StickMultiplier: 1<<62 - 100000}}})
		}},
		{"so much off who does not offer the profile that sums wrap round", func() *model.Workshop {
			w := forgedShop(5)
			for _, p := range w.Profiles[:4] {
				w.Offers = append(w.Offers, model.Offer{Supplier: "Dale", Profile: p.Name, Length: 3000 * forgedMM, Price: 1000})
			}
			w.Offers = append(w.Offers, model.Offer{Supplier: "Hill", Profile: "p4", Length: 3000 * forgedMM, Price: 1000},
				model.Offer{Supplier: "Hill", Profile: "p3", Length: 3000 * forgedMM, Price: 1100})
			w.Suppliers = []model.Supplier{{Name: "Dale", Delivery: 500, LeastSticks: 2}, {Name: "Hill", Delivery: 100}}
			return w
		}, func(t *testing.T, w *model.Workshop) plan.Case {
			c := caseBy(t, w, "p4", restriction{open: []string{"Dale", "Hill"}})
			c.Orders = []plan.Ordered{{Supplier: "Dale", StickMultiplier: (1<<62 + 1<<60) / 2}}
			return c
		}},
		{"a stand-in for less than what can be bought, that nothing is paid back of", func() *model.Workshop {
			w := forgedShop(2)
			w.Defaults.RackShare, w.Defaults.OffcutShare = 90, 90
			for _, p := range w.Profiles {
				w.Offers = append(w.Offers, model.Offer{Supplier: "Hill", Profile: p.Name, Length: 6000 * forgedMM, Price: 4000})
			}
			w.Suppliers = []model.Supplier{{Name: "Hill", Delivery: 500}}
			return w
		}, func(t *testing.T, w *model.Workshop) plan.Case {
			c := caseBy(t, w, "p0", restriction{open: []string{}, standIn: &standIn{length: 6000 * forgedMM, price: 3999}})
			c.Open = []string{"Hill"}
			return c
		}},
		{"nothing, where the plan is below what it would be with the charge for delivery", func() *model.Workshop {
			w := forgedShop(2)
			for _, p := range w.Profiles {
				w.Offers = append(w.Offers, model.Offer{Supplier: "Hill", Profile: p.Name, Length: 3000 * forgedMM, Price: 1000})
			}
			w.Suppliers = []model.Supplier{{Name: "Hill", Delivery: 500, FreeFrom: model.OptionalMoney{Amount: 2000, Given: true}}}
			return w
		}, func(t *testing.T, w *model.Workshop) plan.Case { // true, and rules out plans that order nothing
			return caseBy(t, w, "p0", restriction{open: []string{}, standIn: &standIn{length: 3000 * forgedMM, price: 5000}})
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			w := tt.shop()
			d, err := Make(t.Context(), w, Options{Verify: forgedCheck})
			if err != nil {
				t.Fatal(err)
			}
			if findings, err := audit.Check(t.Context(), w, d, tools(forgedCheck)); err != nil || len(findings) > 0 || len(d.Together) != 1 {
				t.Fatalf("the document is not good to begin with: %v, %v", findings, err)
			}
			g := &d.Together[0]
			g.Cases = append(g.Cases, tt.forge(t, w))
			g.Bound, g.Gap = g.Cost+1, -1
			findings, err := audit.Check(t.Context(), w, d, tools(forgedCheck))
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range findings {
				if f.Code == "bound" && f.Where == "together 1" && f.What == fmt.Sprintf("the bound is %s better than what the certificate proves", model.Money(1).With(w.Currency)) {
					return
				}
			}
			t.Errorf("nobody says that the bound is not proven, only %v", findings)
		})
	}
}

const forgedMM = model.Length(1_000_000)

func forgedCheck(ctx context.Context, cuts []byte) (string, int64, error) {
	report, err := check.Document(ctx, cuts)
	switch {
	case err != nil:
		return "", 0, err
	case !report.OK():
		return "", 0, errors.New(report.String())
	}
	return string(report.Grade), report.Bound, nil
}

// forgedShop has so many profiles with a frame each.
func forgedShop(n int) *model.Workshop {
	w := &model.Workshop{Name: "Forged", Unit: model.Inches, Currency: model.Currency{Code: "EUR", Decimals: 2}, Defaults: model.Defaults{RackShare: 50},
		Machine: model.Machine{Type: model.Guillotine, Overrun: 1 * forgedMM, Shave: 2 * forgedMM, HeadTrim: 10 * forgedMM, TailTrim: 10 * forgedMM,
			Bite: 12 * forgedMM, FinishingBite: 2 * forgedMM}}
	for i := range n {
		name := fmt.Sprintf("p%d", i)
		w.Profiles = append(w.Profiles, model.Profile{Name: name, Width: 20 * forgedMM, Rebate: 5 * forgedMM, Keep: 150 * forgedMM})
		ring := model.Ring{Profile: name, Size: model.Size{Shape: model.Shape{Sides: 4}, By: model.ByContent, Width: 502 * forgedMM, Height: 502 * forgedMM}}
		w.Jobs = append(w.Jobs, model.Job{ID: fmt.Sprint("J", i), Frames: []model.JobFrame{{ID: "a", Quantity: 1, Rings: []model.Ring{ring}}}})
	}
	return w
}

// caseBy makes a case by the planner's own code, of what it would not suppose itself.
func caseBy(t *testing.T, w *model.Workshop, profile string, a restriction) plan.Case {
	o := Options{Verify: forgedCheck}.withDefaults()
	o.restriction = &a
	groups, err := gather(w, o)
	if err != nil {
		t.Fatal(err)
	}
	for _, g := range groups {
		if g.profile.Name != profile {
			continue
		}
		jp := newJointProblem(w, []*profileProblem{newProfileProblem(w, g, o)}, false)
		r, err := solver.Solve(t.Context(), jp.problem, solver.Options{TimeLimit: o.TimeLimit})
		if err != nil {
			t.Fatal(err)
		}
		f, err := jp.found(t.Context(), r, false)
		if err != nil {
			t.Fatal(err)
		}
		p, err := jp.prove(t.Context(), f, o)
		if err != nil {
			t.Fatal(err)
		}
		c := plan.Case{Profile: profile, Open: a.open, Orders: a.orders, Bound: p.bound, Cuts: p.cuts}
		if a.standIn != nil {
			c.StandIn = a.standIn.price
		}
		return c
	}
	t.Fatal("no such profile")
	return plan.Case{}
}

func tools(verify plan.Verifier) audit.Tools {
	return audit.Tools{Verify: verify, Warnings: Warnings, Least: func(w *model.Workshop, profile, order string, sticks []plan.Stick) int {
		return sequence.Figures(w, profile, order, sticks).Least
	}}
}
