package planner_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

// The workshops of this file start from the tiny one without its rack. Its two frames ask for 4 sides that take 336 mm and 4
// that take 436 mm of a stick, 3088 mm in all; a stick of 3000 mm has 2960 mm to give: two sticks. An unused stick is
// worth half of what it costs by length at the lowest price of a single bundle.

// bought writes the buy list down: supplier, bundles of sticks, price, spare.
func bought(d *plan.Document) string {
	var lines []string
	for _, b := range d.Buy {
		lines = append(lines, fmt.Sprintf("%s %s %d×%d at %d, %d spare", b.Supplier, b.Profile, b.Bundles(), max(1, b.Bundle), b.Price, b.Spare))
	}
	return strings.Join(lines, "; ")
}

func TestBuying(t *testing.T) {
	slip := func(w *model.Workshop, frames int) *model.Workshop {
		w.Profiles = append(w.Profiles, model.Profile{Name: "slip-12", Width: 12 * mm, Rebate: 6 * mm})
		// 4 sides of 600 + 2 · 6 = 612 mm long point, which take 618 mm each: 3 on a stick of 2400 mm, of which 2376 mm is usable
		w.Jobs = append(w.Jobs, shoptest.Job("105", "", shoptest.Frame("a", frames, shoptest.Ring("slip-12", 598*mm, 598*mm))))
		return w
	}
	supplier := func(w *model.Workshop, s ...model.Supplier) *model.Workshop {
		w.Suppliers = s
		return w
	}
	money := func(m model.Money) model.OptionalMoney { return model.OptionalMoney{Amount: m, Given: true} }
	hill, dale := model.Offer{Supplier: "Hill", Price: 1200}, model.Offer{Supplier: "Dale", Price: 1000}
	for _, tt := range []struct {
		name string
		w    *model.Workshop
		on   string
		cost model.Money
		buy  string
	}{
		// 3 at 30.00, of which one to spare at half of 10.00: 25.00
		{"a bundle that is too much", shoptest.TwoSticks(hill, model.Offer{Supplier: "Dale", Price: 3000, Bundle: 3}), "", 2400,
			"Hill ash-20 2×1 at 1200, 0 spare"},
		// 3 at 27.00, of which one to spare at half of 9.00: 22.50
		{"a bundle with one to spare", shoptest.TwoSticks(hill, model.Offer{Supplier: "Dale", Price: 2700, Bundle: 3}), "", 2250,
			"Dale ash-20 1×3 at 2700, 1 spare"},
		{"only bundles", shoptest.TwoSticks(model.Offer{Supplier: "Dale", Price: 2700, Bundle: 3}), "", 2250,
			"Dale ash-20 1×3 at 2700, 1 spare"},
		// 9 for 0.10, 7 to spare at half of 1.11 cents, rounded up to 1
		{"a bundle at next to nothing", shoptest.TwoSticks(model.Offer{Supplier: "Dale", Price: 10, Bundle: 9}, hill), "", 3,
			"Dale ash-20 1×9 at 10, 7 spare"},
		// 3 at 8.00, one to spare at half of 12.00: 18.00 instead of 24.00
		{"a break that is worth buying up to", shoptest.TwoSticks(hill, model.Offer{Supplier: "Hill", Price: 800, From: 3}), "", 1800,
			"Hill ash-20 3×1 at 800, 1 spare"},
		// 3 at 11.00, one to spare at 6.00: 27.00 instead of 24.00
		{"a break that is not", shoptest.TwoSticks(hill, model.Offer{Supplier: "Hill", Price: 1100, From: 3}), "", 2400,
			"Hill ash-20 2×1 at 1200, 0 spare"},
		{"a break at what is needed", shoptest.TwoSticks(hill, model.Offer{Supplier: "Hill", Price: 1100, From: 2}), "", 2200,
			"Hill ash-20 2×1 at 1100, 0 spare"},
		// a list that starts with its break: 5 at 4.00, 3 to spare; nothing else sets a price, so that they are worth nothing
		{"no fewer than five", shoptest.TwoSticks(model.Offer{Supplier: "Hill", Price: 400, From: 5}), "", 2000,
			"Hill ash-20 5×1 at 400, 3 spare"},
		// 2 at 10.00 and delivery 5.00: 25.00
		{"a delivery that does not pay", supplier(shoptest.TwoSticks(hill, dale), model.Supplier{Name: "Dale", Delivery: 500}), "", 2400,
			"Hill ash-20 2×1 at 1200, 0 spare"},
		{"a delivery that pays", supplier(shoptest.TwoSticks(hill, dale), model.Supplier{Name: "Dale", Delivery: 399}), "", 2399,
			"Dale ash-20 2×1 at 1000, 0 spare"},
		// ash saves 4.00 and the slips, 2 at 3.00 instead of 4.10, another 2.20: more than 5.00
		{"a delivery that pays for two profiles", supplier(slip(shoptest.TwoSticks(hill, dale,
			model.Offer{Supplier: "Hill", Profile: "slip-12", Length: 2400 * mm, Price: 410},
			model.Offer{Supplier: "Dale", Profile: "slip-12", Length: 2400 * mm, Price: 300}), 1), model.Supplier{Name: "Dale", Delivery: 500}), "", 3100,
			"Dale ash-20 2×1 at 1000, 0 spare; Dale slip-12 2×1 at 300, 0 spare"},
		// from both 20.00 + 6.00 + 10.00, from Moor alone 24.00 + 6.00 + 5.00, from Dale alone 20.00 + 8.20 + 5.00
		{"one of two deliveries", supplier(slip(shoptest.TwoSticks(dale, model.Offer{Supplier: "Moor", Price: 1200},
			model.Offer{Supplier: "Dale", Profile: "slip-12", Length: 2400 * mm, Price: 410},
			model.Offer{Supplier: "Moor", Profile: "slip-12", Length: 2400 * mm, Price: 300}), 1),
			model.Supplier{Name: "Dale", Delivery: 500}, model.Supplier{Name: "Moor", Delivery: 500}), "", 3320,
			"Dale ash-20 2×1 at 1000, 0 spare; Dale slip-12 2×1 at 410, 0 spare"},
		// Dale's 2 at 10.00 are 5.00 short of 25.00: a third for 10.00, worth 5.00, makes 25.00, more than Hill's 24.00
		{"a least order that does not pay", supplier(shoptest.TwoSticks(hill, dale), model.Supplier{Name: "Dale", LeastMoney: money(2500)}), "", 2400,
			"Hill ash-20 2×1 at 1200, 0 spare"},
		{"a least order that is met", supplier(shoptest.TwoSticks(hill, dale), model.Supplier{Name: "Dale", LeastMoney: money(2000)}), "", 2000,
			"Dale ash-20 2×1 at 1000, 0 spare"},
		// 3 at 7.00, one worth half of 7.00 to spare: 17.50
		{"a least order of sticks with one to spare", supplier(shoptest.TwoSticks(hill, model.Offer{Supplier: "Dale", Price: 700}), model.Supplier{Name: "Dale", LeastSticks: 3}), "", 1750,
			"Dale ash-20 3×1 at 700, 1 spare"},
		// Dale's 2 ash at 10.00 and 1 slip at 3.00 make 23.00, and the other slip at 3.00 makes 26.00: no need for a third ash
		{"a least order met by two profiles", supplier(slip(shoptest.TwoSticks(hill, dale,
			model.Offer{Supplier: "Dale", Profile: "slip-12", Length: 2400 * mm, Price: 300}), 1), model.Supplier{Name: "Dale", LeastMoney: money(2600)}), "", 2600,
			"Dale ash-20 2×1 at 1000, 0 spare; Dale slip-12 2×1 at 300, 0 spare"},
		// Dale's 2 at 10.00 are 20.00
		{"a delivery that is free", supplier(shoptest.TwoSticks(hill, dale), model.Supplier{Name: "Dale", Delivery: 500, FreeFrom: money(2000)}), "", 2000,
			"Dale ash-20 2×1 at 1000, 0 spare"},
		// a third for 10.00, worth 5.00, is cheaper than delivery at 6.00, and dearer than delivery at 4.00
		{"a stick to spare for a free delivery", supplier(shoptest.TwoSticks(dale), model.Supplier{Name: "Dale", Delivery: 600, FreeFrom: money(2001)}), "", 2500,
			"Dale ash-20 3×1 at 1000, 1 spare"},
		{"a free delivery that does not pay", supplier(shoptest.TwoSticks(dale), model.Supplier{Name: "Dale", Delivery: 400, FreeFrom: money(2001)}), "", 2400,
			"Dale ash-20 2×1 at 1000, 0 spare"},
		{"any order free", supplier(shoptest.TwoSticks(hill, dale), model.Supplier{Name: "Dale", Delivery: 500, FreeFrom: money(0)}), "", 2000,
			"Dale ash-20 2×1 at 1000, 0 spare"},
		// at 10.00 each, 2 would be 20.00 and free: at 9.00 each they are 18.00 and 5.00, and nobody pays the dearer price of a list
		{"no dearer price for a free delivery", supplier(shoptest.TwoSticks(dale, model.Offer{Supplier: "Dale", Price: 900, From: 2}),
			model.Supplier{Name: "Dale", Delivery: 400, FreeFrom: money(2000)}), "", 2200, "Dale ash-20 2×1 at 900, 0 spare"},
		// ash from Dale and slips from Hill: 20.00 + 5.00 + 6.00; all from Dale: 20.00 + 8.20, free from 28.00 on
		{"a free delivery met by two profiles", supplier(slip(shoptest.TwoSticks(dale, model.Offer{Supplier: "Hill", Profile: "slip-12", Length: 2400 * mm, Price: 300},
			model.Offer{Supplier: "Dale", Profile: "slip-12", Length: 2400 * mm, Price: 410}), 1), model.Supplier{Name: "Dale", Delivery: 500, FreeFrom: money(2800)}), "", 2820,
			"Dale ash-20 2×1 at 1000, 0 spare; Dale slip-12 2×1 at 410, 0 spare"},
		{"an offer on its last day", shoptest.TwoSticks(hill, model.Offer{Supplier: "Dale", Price: 1000, Until: shoptest.DayOf("2027-01-02")}), "2027-01-02", 2000,
			"Dale ash-20 2×1 at 1000, 0 spare"},
		{"an offer a day too late", shoptest.TwoSticks(hill, model.Offer{Supplier: "Dale", Price: 1000, Until: shoptest.DayOf("2027-01-02")}), "2027-01-03", 2400,
			"Hill ash-20 2×1 at 1200, 0 spare"},
		// the lasting price of 3 is no cheaper than the special one of 1
		{"a special price below a break", shoptest.TwoSticks(hill, model.Offer{Supplier: "Hill", Price: 1000, Until: shoptest.DayOf("2027-01-02")},
			model.Offer{Supplier: "Hill", Price: 1100, From: 2}), "2027-01-01", 2000, "Hill ash-20 2×1 at 1000, 0 spare"},
		{"a special price that has ended", shoptest.TwoSticks(hill, model.Offer{Supplier: "Hill", Price: 1000, Until: shoptest.DayOf("2027-01-02")},
			model.Offer{Supplier: "Hill", Price: 1100, From: 2}), "2027-01-03", 2200, "Hill ash-20 2×1 at 1100, 0 spare"},
		{"random lengths count as their shortest", shoptest.TwoSticks(hill, model.Offer{Supplier: "Dale", Price: 1000, Length: 1500 * mm, Longest: 3300 * mm}), "", 2200,
			"Dale ash-20 1×1 at 1000, 0 spare; Hill ash-20 1×1 at 1200, 0 spare"}, // one of 1500 mm has 1460 mm to give: two are not enough
	} {
		t.Run(tt.name, func(t *testing.T) {
			o := planner.Options{}
			if tt.on != "" {
				o.On = shoptest.DayOf(tt.on)
			}
			d := shoptest.MustMake(t, tt.w, o)
			if got := d.Total.Figures.Cost; got != tt.cost {
				t.Errorf("cost %d, want %d", got, tt.cost)
			}
			if diff := cmp.Diff(tt.buy, bought(d)); diff != "" {
				t.Errorf("buy list (-want +got):\n%s", diff)
			}
			holds(t, tt.w, d)
		})
	}
}

// holds checks that a document is proven and passes its audit, that first-fit's figures are no lower, and that the jobs
// pay for everything.
func holds(t *testing.T, w *model.Workshop, d *plan.Document) {
	t.Helper()
	for _, f := range shoptest.MustAudit(t, w, d) {
		t.Errorf("audit: %s", f)
	}
	if d.Total.Grade != plan.Proven {
		t.Errorf("%s: %s, gap %d", d.Total.Grade, d.Profiles[0].Reason, d.Total.Gap)
	}
	if ff := d.Total.FirstFit; ff.Complete && ff.Figures.Cost < d.Total.Figures.Cost {
		t.Errorf("cost %d, and first-fit %d", d.Total.Figures.Cost, ff.Figures.Cost)
	}
	var jobs, orders model.Money
	for _, j := range d.Jobs {
		jobs += j.Cost
	}
	for _, o := range d.Orders {
		orders += o.Total
	}
	if f := d.Total.Figures; jobs != f.Cost || orders != f.Purchases+f.Delivery {
		t.Errorf("the jobs pay %d and the orders come to %d of %+v", jobs, orders, f)
	}
	if !slices.IsSortedFunc(d.Orders, func(a, b plan.Order) int { return strings.Compare(a.Supplier, b.Supplier) }) {
		t.Errorf("orders not by supplier: %+v", d.Orders)
	}
}

// TestFilledOrder: where what is left of a stick is worth much, an order that must come to more than first-fit buys has sticks cut that
// hold less each. With 24 sticks the plan costs less than with the 23 that the order must have, and 24 are allowed.
func TestFilledOrder(t *testing.T) {
	for least, want := range map[model.Money]model.Money{22000: 8602, 23000: 8688, 24000: 8688} {
		w := shoptest.TwoSticks(model.Offer{Supplier: "Hill", Price: 1000})
		w.Defaults.RackShare, w.Defaults.OffcutShare = 87, 87
		w.Profiles[0].Keep = 1800 * mm
		w.Suppliers = []model.Supplier{{Name: "Hill", LeastMoney: model.OptionalMoney{Amount: least, Given: true}}}
		w.Jobs = []model.Job{shoptest.Job("1", "", shoptest.Frame("a", 6, shoptest.Ring("ash-20", 740*mm, 740*mm)))}
		d := shoptest.MustMake(t, w, planner.Options{})
		if d.Total.Figures.Cost != want || d.Total.Grade != plan.Proven {
			t.Errorf("for %d: %s at %d: %s", least, d.Total.Grade, d.Total.Figures.Cost, bought(d))
		}
		holds(t, w, d)
	}
}
