package stock_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
	"longpoint/model/stock"
)

// rackLength adds up the rack's sticks.
func rackLength(w *model.Workshop) (l model.Length) {
	for _, s := range w.Rack {
		l += s.Length - s.Begun
	}
	return l
}

// balance fails the test unless every nanometre of the rack and of what was bought is on the rack afterwards or used up.
func balance(t *testing.T, before *model.Workshop, d *plan.Document, after *model.Workshop) {
	t.Helper()
	var bought model.Length
	for _, line := range d.Buy {
		bought += line.Length * model.Length(line.Count)
	}
	in, out := rackLength(before)+bought, rackLength(after)+d.Total.Figures.UsedUp
	if in != out {
		t.Errorf("%s of sticks went in and %s came out", in, out)
	}
}

// TestAfterByHand: of tiny's plan one stick is bought; its rest and the rack's stick stay.
func TestAfterByHand(t *testing.T) {
	w := shoptest.Tiny()
	w.Jobs = w.Jobs[:1]
	w.Rack[0].Lot = "L7"
	d := shoptest.MustMake(t, w, planner.Options{})
	next, err := stock.After(w, d)
	if err != nil {
		t.Fatal(err)
	}
	// Two sides of 330 and two of 430 mm, 6 mm each for losses and shaves, and the head's 20 mm off a stick of 3,000 mm.
	want := []model.Stick{w.Rack[0], {ID: "offcut 1", Profile: "ash-20", Length: (3000 - 20 - 2*336 - 2*436) * mm, Offcut: true}}
	if diff := cmp.Diff(want, next.Rack); diff != "" {
		t.Errorf("the rack afterwards (-want +got):\n%s", diff)
	}
	if len(next.Jobs) != 0 {
		t.Errorf("%d jobs are still there", len(next.Jobs))
	}
	balance(t, w, d, next)
	if len(w.Jobs) != 1 || len(w.Rack) != 1 {
		t.Error("the workshop it was given has changed")
	}
}

// TestAfterDemo cuts the demo profile by profile, each from what the one before has left, and all at once.
func TestAfterDemo(t *testing.T) {
	w := shoptest.DemoWorkshop(t)
	all := shoptest.MustMake(t, w, planner.Options{})
	whole, err := stock.After(w, all)
	if err != nil {
		t.Fatal(err)
	}
	balance(t, w, all, whole)
	if len(whole.Jobs) != 0 {
		t.Errorf("%d jobs are left when all have been cut", len(whole.Jobs))
	}

	now, sides := w, 0
	for _, p := range w.Profiles {
		d := shoptest.MustMake(t, now, planner.Options{Profiles: []string{p.Name}})
		for _, f := range shoptest.MustAudit(t, now, d) {
			t.Errorf("%s: %s", p.Name, f)
		}
		next, err := stock.After(now, d)
		if err != nil {
			t.Fatal(err)
		}
		balance(t, now, d, next)
		if err := next.Check(); err != nil {
			t.Fatal(err)
		}
		sides += d.Total.Figures.Sides
		now = next
		rest := shoptest.MustMake(t, now, planner.Options{})
		if sides+rest.Total.Figures.Sides != all.Total.Figures.Sides {
			t.Errorf("after %s %d sides are cut and %d left, of %d", p.Name, sides, rest.Total.Figures.Sides, all.Total.Figures.Sides)
		}
		for _, f := range shoptest.MustAudit(t, now, rest) {
			t.Errorf("the rest after %s: %s", p.Name, f)
		}
		if again := shoptest.MustMake(t, now, planner.Options{Profiles: []string{p.Name}}); len(again.Profiles) != 0 {
			t.Errorf("%s is cut and still there are %d sides to cut", p.Name, again.Total.Figures.Sides)
		}
	}
	if len(now.Jobs) != 0 || sides != all.Total.Figures.Sides {
		t.Errorf("%d jobs are left, and %d sides were cut of %d", len(now.Jobs), sides, all.Total.Figures.Sides)
	}
}

// TestAfterUntil cuts the jobs of the first days: the others stay, and are planned next.
func TestAfterUntil(t *testing.T) {
	w := shoptest.DemoWorkshop(t)
	all := shoptest.MustMake(t, w, planner.Options{})
	first := shoptest.MustMake(t, w, planner.Options{Until: shoptest.DayOf("2027-03-17")})
	next, err := stock.After(w, first)
	if err != nil {
		t.Fatal(err)
	}
	for _, j := range next.Jobs {
		if !j.Due.After(shoptest.DayOf("2027-03-17").Time) {
			t.Errorf("job %s is cut and still there", j.ID)
		}
	}
	rest := shoptest.MustMake(t, next, planner.Options{})
	for _, f := range shoptest.MustAudit(t, next, rest) {
		t.Error(f)
	}
	if got := first.Total.Figures.Sides + rest.Total.Figures.Sides; got != all.Total.Figures.Sides {
		t.Errorf("%d sides were cut of %d", got, all.Total.Figures.Sides)
	}
}

// TestAfterKeeps: what an offcut takes over from its stick, sticks that nobody cut, and a stick begun earlier.
func TestAfterKeeps(t *testing.T) {
	w := shoptest.Tiny()
	w.Jobs = w.Jobs[:1]
	w.Offers = nil
	w.Rack = []model.Stick{
		{ID: "long", Profile: "ash-20", Length: 3000 * mm, Place: "bay 9", Lot: "L7", Value: model.OptionalMoney{Amount: 1, Given: true},
			Damage: []model.Span{{From: 0, To: 5 * mm}, {From: 1400 * mm, To: 1600 * mm}, {From: 2900 * mm, To: 2950 * mm}}},
		{ID: "begun", Profile: "ash-20", Length: 300 * mm, Begun: 20 * mm},
	}
	d := shoptest.MustMake(t, w, planner.Options{})
	if d.Profiles[0].Sticks[0].ID != "long" {
		t.Fatalf("stick %s is used", d.Profiles[0].Sticks[0].ID)
	}
	d.Buy = []plan.Purchase{{Supplier: "Hill", Profile: "ash-20", Length: 3000 * mm, Count: 2}}
	next, err := stock.After(w, d)
	if err != nil {
		t.Fatal(err)
	}
	// Up to the damage one side of 336 mm comes off its 1,380; behind it the other three, and less than 300 mm is left.
	want := []model.Stick{
		{ID: "begun", Profile: "ash-20", Length: 280 * mm, Offcut: true},
		{ID: "offcut 1", Profile: "ash-20", Length: (1400 - 20 - 336) * mm, Place: "bay 9", Lot: "L7", Offcut: true},
		{ID: "spare 1", Profile: "ash-20", Length: 3000 * mm},
		{ID: "spare 2", Profile: "ash-20", Length: 3000 * mm},
	}
	if diff := cmp.Diff(want, next.Rack); diff != "" {
		t.Errorf("the rack afterwards (-want +got):\n%s", diff)
	}
}

// TestAfterRefusesForeign documents that do not belong to the workshop.
func TestAfterRefusesForeign(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(d *plan.Document)
	}{
		{"a stick that is not there", func(d *plan.Document) {
			d.Profiles[0].Sticks[0].ID, d.Profiles[0].Sticks[0].From = "nowhere", plan.FromRack
		}},
		{"a stick of another length", func(d *plan.Document) {
			d.Profiles[0].Sticks[0].ID, d.Profiles[0].Sticks[0].From, d.Profiles[0].Sticks[0].Length = "r1", plan.FromRack, 1
		}},
		{"a stick twice", func(d *plan.Document) {
			for i := range 2 {
				d.Profiles[0].Sticks[i].ID, d.Profiles[0].Sticks[i].From, d.Profiles[0].Sticks[i].Length = "r2", plan.FromRack, 1500*mm
			}
		}},
		{"a side twice", func(d *plan.Document) { d.Profiles[0].Sticks[0].Sides[1] = d.Profiles[0].Sticks[0].Sides[0] }},
		{"a side of no job", func(d *plan.Document) { d.Profiles[0].Sticks[0].Sides[0].Letter = "Z" }},
		{"more to spare than anybody buys", func(d *plan.Document) { d.Buy[0].Count = math.MaxInt64 }},
		{"more to spare in several lines", func(d *plan.Document) { d.Buy[0].Count, d.Buy[1].Count = 60_000, 60_000 }},
		{"an offcut's name that is taken", func(d *plan.Document) {
			d.Profiles[0].Sticks[0].Left = plan.Left{Length: 1, Becomes: plan.Kept, ID: "r3"}
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := shoptest.Fair()
			d := shoptest.MustMake(t, w, planner.Options{})
			c.spoil(d)
			next, err := stock.After(w, d)
			var e *model.Error
			if !errors.As(err, &e) || e.Kind != model.BadInput || next != nil {
				t.Errorf("it gives %v", err)
			}
			if c.name == "a side of no job" && !strings.Contains(err.Error(), ": 1 of its sides are asked for by no job") {
				t.Errorf("it says %v", err)
			}
		})
	}
}
