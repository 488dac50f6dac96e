package book

import (
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
)

// TestNamed names the sticks that a plan buys: as the plan does while their order can still be changed, then by the order, on the way and here; and says
// where what came does for none of them.
func TestNamed(t *testing.T) {
	b := newShop(t)
	id := keepPlan(t, b, planOf(t, b))
	bought := func() (all []plan.Stick) {
		t.Helper()
		d, err := b.Named(t.Context(), id)
		must(t, err)
		was, _, err := b.Plan(t.Context(), id)
		must(t, err)
		for i, p := range was.Profiles {
			for n, s := range p.Sticks {
				if s.From == plan.Bought {
					all = append(all, d.Profiles[i].Sticks[n])
				} else if now := d.Profiles[i].Sticks[n]; now.ID != s.ID || now.From != s.From {
					t.Errorf("%s is called %s", s.ID, now.ID)
				}
			}
		}
		return all
	}
	demand := func(when, from string, named bool) {
		t.Helper()
		all := bought()
		if len(all) == 0 {
			t.Fatal("the plan buys nothing")
		}
		for _, s := range all {
			if s.From != from || (s.ID[0] == 'P') != named {
				t.Errorf("%s: %s is from %q", when, s.ID, s.From)
			}
		}
	}
	demand("kept", plan.Bought, false)
	orders := placeOrders(t, b, id, false)
	demand("ordered", plan.Bought, false)
	do(t, b, SendOrders())
	demand("sent", plan.OnTheWay, true)
	for _, o := range orders {
		arrivals := Receipt{}
		for _, l := range o.Lines {
			arrivals.Arrivals = append(arrivals.Arrivals, Arrival{Line: l.Number, Sticks: l.Sticks, Length: l.Length})
		}
		receive(t, b, o.ID, arrivals)
	}
	demand("arrived", plan.FromRack, true)
	before, err := b.RestFor(t.Context(), id)
	must(t, err)
	for _, s := range before.Rack {
		if s.ID[0] == 'P' {
			t.Errorf("%s came of the plan's own order, and is there before it", s.ID)
		}
	}
	for _, s := range bought() {
		do(t, b, MeasureStick(s.ID, 100*model.Millimetre, nil))
	}
	_, err = b.Named(t.Context(), id)
	wantError(t, err, model.CheckFailed, "does not come as it was ordered")
	_, err = b.Named(t.Context(), 99)
	wantError(t, err, model.BadUsage, "there is no plan 99")
}
