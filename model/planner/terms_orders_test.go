package planner_test

import (
	"encoding/json"
	"slices"
	"testing"

	"longpoint/model"
	"longpoint/model/audit"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

// shortOrders is a workshop of three profiles, one of them covered by the rack, whose sticks alone do not make up what Hill asks for:
// what they order of it is to be found out together.
func shortOrders() *model.Workshop {
	w := shoptest.TwoSticks(
		model.Offer{Supplier: "Hill", Price: 1200},
		model.Offer{Supplier: "Hill", Profile: "slip-12", Length: 2400 * mm, Price: 410},
		model.Offer{Supplier: "Hill", Profile: "slip-12", Length: 2400 * mm, Price: 1500, Bundle: 4},
		model.Offer{Supplier: "Hill", Profile: "elm-20", Length: 2700 * mm, Price: 900},
		model.Offer{Supplier: "Hill", Profile: "elm-20", Length: 2700 * mm, Price: 850, From: 3},
	)
	w.Name = "Short orders"
	w.Suppliers = []model.Supplier{{Name: "Hill", Delivery: 500, LeastSticks: 7, LeastMoney: model.OptionalMoney{Amount: 5000, Given: true}}}
	slip, elm := w.Profiles[0], w.Profiles[0]
	slip.Name, slip.Width, slip.Rebate = "slip-12", 12*mm, 6*mm
	elm.Name = "elm-20"
	w.Profiles = append(w.Profiles, slip, elm)
	w.Rack = []model.Stick{{ID: "e1", Profile: "elm-20", Length: 2700 * mm}}
	w.Jobs = append(w.Jobs,
		shoptest.Job("105", "", shoptest.Frame("a", 1, shoptest.Ring("slip-12", 598*mm, 598*mm))),
		shoptest.Job("106", "", shoptest.Frame("a", 1, shoptest.Ring("elm-20", 298*mm, 398*mm))))
	return w
}

func shortOrdersPlan(t *testing.T) (*model.Workshop, *plan.Document) {
	w := shortOrders()
	d := shoptest.MustMake(t, w, planner.Options{})
	asks, off := 0, 0
	for _, c := range d.Together[0].Cases {
		for _, o := range c.Orders {
			if o.LeastMoney > 0 || o.LeastSticks > 0 {
				asks++
			}
			if o.MoneyMultiplier > 0 || o.StickMultiplier > 0 {
				off++
			}
		}
	}
	if asks == 0 || off == 0 {
		t.Fatalf("cases of %d orders of so much and %d with something off: that tests nothing", asks, off)
	}
	return w, d
}

// TestShortOrders: two sticks of ash are wanted, two of slip and none of elm. What is missing is made up at the least loss, which is
// what a stick costs more than it is worth.
func TestShortOrders(t *testing.T) {
	w, d := shortOrdersPlan(t)
	if g := d.Together[0]; g.Grade != plan.Proven || len(d.Together) != 1 || len(d.Together[0].Cuts) > 0 {
		t.Errorf("%s (%s), and %d as one problem", g.Grade, g.Reason, len(d.Together[0].Cuts))
	}
	t.Log(bought(d), d.Total.Figures.Cost)
	holds(t, w, d)
}

// TestEveryValueOfShortOrdersCounts changes every value of the cases that suppose something of orders.
func TestEveryValueOfShortOrdersCounts(t *testing.T) {
	w, d := shortOrdersPlan(t)
	shoptest.EveryValueCounts(t, w, d, 500)
}

// TestSpoiledOrders spoils what cases suppose of orders. Each is found.
func TestSpoiledOrders(t *testing.T) {
	w, good := shortOrdersPlan(t)
	cases := func(d *plan.Document, which func(plan.Ordered) bool) (out []*plan.Case) {
		for n := range d.Together[0].Cases {
			if c := &d.Together[0].Cases[n]; len(c.Orders) > 0 && which(c.Orders[0]) {
				out = append(out, c)
			}
		}
		return out
	}
	asks := func(o plan.Ordered) bool { return o.LeastMoney > 0 || o.LeastSticks > 0 }
	off := func(o plan.Ordered) bool { return o.MoneyMultiplier > 0 || o.StickMultiplier > 0 }
	eachIsFound(t, w, good, []spoilt{
		{"the cases of so much forgotten", func(d *plan.Document) {
			d.Together[0].Cases = slices.DeleteFunc(d.Together[0].Cases, func(c plan.Case) bool { return len(c.Orders) > 0 })
		}, "bound", "better than what the certificate proves"},
		{"so much that is not asked", func(d *plan.Document) {
			for _, c := range cases(d, asks) {
				c.Orders = nil
			}
		}, "problem", ""},
		{"more off than is", func(d *plan.Document) {
			for _, c := range cases(d, off) {
				c.Orders[0].MoneyMultiplier, c.Orders[0].StickMultiplier = c.Orders[0].MoneyMultiplier/2, c.Orders[0].StickMultiplier/2
			}
		}, "problem", ""},
		{"more off than sticks are above their worth", func(d *plan.Document) { cases(d, off)[0].Orders[0].MoneyMultiplier = 900_000 }, "case", "above what the sticks are worth"},
		{"less than nothing off", func(d *plan.Document) { cases(d, off)[0].Orders[0].StickMultiplier = -1 }, "case", "out of range"},
		{"a supplier that is not open", func(d *plan.Document) { cases(d, asks)[0].Orders[0].Supplier = "Dale" }, "case", "not open"},
		{"a supplier twice", func(d *plan.Document) { c := cases(d, asks)[0]; c.Orders = append(c.Orders, c.Orders[0]) }, "case", "twice"},
		{"a bound too good", func(d *plan.Document) { cases(d, asks)[0].Bound++ }, "bound", "better than what the certificate proves"},
		{"an order that need not be placed", func(d *plan.Document) {
			for _, c := range cases(d, asks) {
				var cuts map[string]any
				if err := json.Unmarshal(c.Cuts, &cuts); err != nil {
					t.Fatal(err)
				}
				for _, r := range cuts["rows"].([]any) {
					if r.(map[string]any)["least"] == 1.0 {
						r.(map[string]any)["least"] = 0
					}
				}
				c.Cuts, _ = json.Marshal(cuts)
			}
		}, "problem", "must come to 0 instead of 1"},
	})
}

// TestManyAmounts has a profile whose lists of two suppliers come to more amounts than are told apart: they are rounded, and the plan is proven
// profile by profile all the same, by the search and by the audit. When what the last supplier asks was left out instead, all profiles had to be searched as one
// problem.
func TestManyAmounts(t *testing.T) {
	w := shortOrders()
	w.Offers, w.Suppliers = []model.Offer{{Supplier: "Vale", Profile: "ash-20", Length: 3000 * mm, Price: 700}}, nil
	for n, price := range []model.Money{137, 211, 173, 229} {
		w.Offers = append(w.Offers, model.Offer{Supplier: []string{"Dale", "Vale"}[n/2], Profile: "slip-12", Length: model.Length(1500+200*n) * mm, Price: price})
	}
	for name, least := range map[string]model.Money{"Dale": 6000, "Vale": 9000} {
		w.Suppliers = append(w.Suppliers, model.Supplier{Name: name, LeastMoney: model.OptionalMoney{Amount: least, Given: true}})
	}
	d := shoptest.MustMake(t, w, planner.Options{})
	if together := d.Together[0]; together.Grade != plan.Proven || together.Cuts != nil {
		t.Errorf("%s at %d with the bound %d, all profiles searched as one problem: %t", together.Grade, together.Cost, together.Bound, together.Cuts != nil)
	}
	if findings, err := audit.Check(t.Context(), w, d, shoptest.Tools(shoptest.Checker)); err != nil || len(findings) > 0 {
		t.Errorf("the audit finds %v, %v", findings, err)
	}
}
