package planner_test

import (
	"fmt"
	"syscall"
	"testing"
	"time"

	"longpoint/model"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

// enlarge adds to a workshop what its week has nothing to do with: 2,000 profiles with 50 sticks on the rack, 25 prices and 10 jobs
// of a later month each.
func enlarge(w *model.Workshop) {
	const profiles, sticks, prices, jobs = 2000, 50, 25, 10
	due := model.Date{Time: time.Date(2027, 6, 1, 0, 0, 0, 0, time.UTC)}
	for p := range profiles {
		name := fmt.Sprintf("large-%d", p)
		w.Profiles = append(w.Profiles, model.Profile{Name: name, Width: model.Length(20+p%40) * model.Millimetre, Rebate: 6 * model.Millimetre, Keep: 300 * model.Millimetre})
		for i := range prices {
			w.Offers = append(w.Offers, model.Offer{Supplier: fmt.Sprintf("Invented %d", i), Profile: name, Length: 3 * model.Metre, Price: model.Money(900 + 10*(p%50) + 3*i)})
		}
		for i := range sticks {
			w.Rack = append(w.Rack, model.Stick{ID: fmt.Sprintf("large %d-%d", p, i), Profile: name, Length: model.Length(300+45*i) * model.Millimetre, Offcut: true})
		}
		for i := range jobs {
			w.Jobs = append(w.Jobs, model.Job{ID: fmt.Sprintf("large %d-%d", p, i), Due: due, Frames: []model.JobFrame{{ID: "a", Quantity: 1, Rings: []model.Ring{{Profile: name,
				Allowance: 3 * model.Millimetre, Size: model.Size{Shape: model.Shape{Sides: 4}, By: model.ByContent, Width: model.Length(300+10*i) * model.Millimetre, Height: 400 * model.Millimetre}}}}}})
		}
	}
}

// TestLargeTables plans a week of the plain workshop by itself and within tables of 100,000 sticks on the rack, 50,000 prices and
// 20,000 jobs. The plans are the same, and the rest of the tables costs little.
func TestLargeTables(t *testing.T) {
	part, whole := shoptest.PlainWorkshop(t), shoptest.PlainWorkshop(t)
	enlarge(whole)
	options := planner.Options{Until: model.Date{Time: time.Date(2027, 4, 30, 0, 0, 0, 0, time.UTC)}, On: model.Date{Time: time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC)}}
	plan := func(w *model.Workshop) (cost model.Money, best time.Duration) {
		best = time.Hour
		for range 3 {
			start := processorTime(t)
			d, err := planner.Make(t.Context(), w, options)
			if err != nil {
				t.Fatal(err)
			}
			cost, best = d.Total.Figures.Cost, min(best, processorTime(t)-start)
		}
		return cost, best
	}
	ownCost, own := plan(part)
	allCost, all := plan(whole)
	if ownCost != allCost {
		t.Errorf("the week costs %d by itself and %d within the large tables", ownCost, allCost)
	}
	t.Logf("by itself %s, within the large tables %s", own, all)
	const more = time.Second // what going through them takes
	if all > own*3/2+more {
		t.Errorf("the plan takes %s within the large tables and %s by itself", all, own)
	}
}

// processorTime is what the process has had of the processor, which other work beside it changes little.
func processorTime(t *testing.T) time.Duration {
	t.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		t.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
