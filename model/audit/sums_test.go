package audit

import (
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
)

// TestTotalOfWhatIsOpen adds up the gaps of profiles that stand alone and of those that are bound together.
func TestTotalOfWhatIsOpen(t *testing.T) {
	d := &plan.Document{
		Profiles: []plan.ProfilePlan{{Bound: 50, Gap: 7, Grade: plan.Open}, {Together: 1, Bound: 40, Gap: 10, Grade: plan.Open}, {Together: 1, Bound: 30, Gap: 10, Grade: plan.Open}},
		Together: []plan.Together{{Bound: 90, Gap: 10, Grade: plan.Open}},
		Total:    plan.Total{Bound: 140, Gap: 17, Grade: plan.Open},
	}
	found := func(gap model.Money) (of int) {
		d.Total.Gap = gap
		a := &audit{w: &model.Workshop{}, d: d}
		a.total()
		for _, f := range a.findings {
			if f.Code == "bound" {
				of++
			}
		}
		return of
	}
	for gap, want := range map[model.Money]int{17: 0, -3: 1, 7: 1, 27: 1} {
		if got := found(gap); got != want {
			t.Errorf("with a gap of %d: %d findings", gap, got)
		}
	}
}

// TestWeighted takes the best bound of those cases whose prices are the multipliers that are asked for, of each supplier that the profile can order from.
func TestWeighted(t *testing.T) {
	three, four := plan.Ordered{Supplier: "Hill", MoneyMultiplier: 3}, plan.Ordered{Supplier: "Hill", MoneyMultiplier: 4}
	of := func(profile string, orders ...plan.Ordered) plan.Case {
		return plan.Case{Profile: profile, Open: []string{"Hill"}, Orders: orders}
	}
	ordered := three
	ordered.LeastSticks = 1
	cases := []plan.Case{of("oak", three), of("oak", three), of("oak", three), of("ash", three), of("oak", four), of("oak"), of("oak", ordered), {Profile: "oak", Orders: []plan.Ordered{three}}}
	bounds := []model.Money{5, 9, 7, 20, 21, 22, 23, 24}
	for _, c := range []struct {
		profile string
		weights []plan.Ordered
		best    model.Money
		ok      bool
	}{{"oak", []plan.Ordered{three}, 9, true}, {"ash", []plan.Ordered{three}, 20, true}, {"oak", []plan.Ordered{four}, 21, true}, {"oak", nil, 22, true}, {"elm", nil, 0, false}} {
		if best, ok := weighted(c.profile, []string{"Hill"}, c.weights, cases, bounds); best != c.best || ok != c.ok {
			t.Errorf("%s, %v: %d, %t, want %d, %t", c.profile, c.weights, best, ok, c.best, c.ok)
		}
	}
}
