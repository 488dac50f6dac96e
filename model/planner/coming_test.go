package planner_test

import (
	"slices"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
	"longpoint/model/stock"
)

// coming is Tiny with a stick on the way that all its sides go on.
func coming() *model.Workshop {
	w := shoptest.Tiny()
	w.Rack = append(w.Rack, model.Stick{ID: "P1-1", Profile: "ash-20", Length: 3000 * mm,
		Coming: model.Coming{Order: "1", Supplier: "Hill", Expected: shoptest.DayOf("2027-01-06")}})
	return w
}

// from lists where a plan's sticks come from.
func from(d *plan.Document) (all []string) {
	for _, s := range d.Profiles[0].Sticks {
		all = append(all, s.From)
	}
	return all
}

// TestNothingIsBoughtTwice plans with what is on the way, which is not bought again, and without it.
func TestNothingIsBoughtTwice(t *testing.T) {
	w := coming()
	bought := shoptest.MustMake(t, shoptest.Tiny(), planner.Options{})
	if len(bought.Buy) == 0 {
		t.Fatal("nothing need be bought to begin with")
	}
	d := shoptest.MustMake(t, w, planner.Options{})
	if len(d.Buy) > 0 || !slices.Contains(from(d), plan.OnTheWay) {
		t.Errorf("bought %v, sticks from %v", d.Buy, from(d))
	}
	here := shoptest.MustMake(t, w, planner.Options{Here: true})
	if len(here.Buy) == 0 || slices.Contains(from(here), plan.OnTheWay) || !here.Here {
		t.Errorf("held to what is here: bought %v, sticks from %v", here.Buy, from(here))
	}
	for name, d := range map[string]*plan.Document{"counted on": d, "left out": here} {
		if findings := shoptest.MustAudit(t, w, d); len(findings) > 0 {
			t.Errorf("%s: %v", name, findings)
		}
	}
	shoptest.EveryValueCounts(t, w, d, 100)
}

// TestWaiting says what waits for a delivery, and what is late for it.
func TestWaiting(t *testing.T) {
	got := shoptest.MustMake(t, coming(), planner.Options{}).Waiting(nil)
	if len(got) != 1 || got[0].Order != "1" || got[0].Expected != "2027-01-06" || !slices.Equal(got[0].Sticks, []string{"P1-1"}) {
		t.Fatalf("%+v", got)
	}
	if !slices.Equal(got[0].Late, []string{"102"}) || !slices.Contains(got[0].Jobs, "101") {
		t.Errorf("jobs %v, late %v", got[0].Jobs, got[0].Late)
	}
}

// TestHereFirst takes of equal sticks the one that is here, and of those on the way the one expected first.
func TestHereFirst(t *testing.T) {
	w := coming()
	later := w.Rack[1]
	later.ID, later.Coming.Expected = "P2-1", model.Date{}
	w.Rack = slices.Insert(w.Rack, 1, later)
	if d := shoptest.MustMake(t, w, planner.Options{}); d.Waiting(nil)[0].Sticks[0] != "P1-1" {
		t.Errorf("it waits for %v", d.Waiting(nil))
	}
	here := w.Rack[2]
	here.ID, here.Coming = "S1", model.Coming{}
	w.Rack = append(w.Rack, here)
	if d := shoptest.MustMake(t, w, planner.Options{}); len(d.Waiting(nil)) > 0 {
		t.Errorf("it waits for %v although an equal stick is here", d.Waiting(nil))
	}
}

// TestComingAfterwards: what a plan uses of what is on the way is gone after it, and what it does not use is still to come.
func TestComingAfterwards(t *testing.T) {
	w := coming()
	spare := w.Rack[1]
	spare.ID = "P1-2"
	w.Rack = append(w.Rack, spare)
	d := shoptest.MustMake(t, w, planner.Options{})
	next, err := stock.After(w, d)
	if err != nil {
		t.Fatal(err)
	}
	var left []string
	for _, s := range next.Rack {
		if s.OnTheWay() {
			left = append(left, s.ID)
		}
	}
	if !slices.Equal(left, []string{"P1-2"}) {
		t.Errorf("still on the way: %v", left)
	}
}
