package grouping_test

import (
	"slices"
	"strings"
	"testing"

	"longpoint/model"
	"longpoint/model/grouping"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

const mm = model.Millimetre

// TestBatches: which jobs are cut together. Every job is a small frame, so that anything can be cut.
func TestBatches(t *testing.T) {
	for _, c := range []struct {
		name string
		days string
		by   grouping.Period
		want string
	}{
		{"days", "2027-01-05 2027-01-04 2027-01-05", grouping.ByDay, "2027-01-04..2027-01-04 1, 2027-01-05..2027-01-05 2"},
		{"a week from Monday to Sunday", "2027-01-04 2027-01-10 2027-01-11", grouping.ByWeek, "2027-01-04..2027-01-10 2, 2027-01-11..2027-01-11 1"},
		{"a week over the turn of the year", "2026-12-31 2027-01-01 2027-01-03", grouping.ByWeek, "2026-12-31..2027-01-03 3"},
		{"fortnights from the first job's week", "2027-01-06 2027-01-17 2027-01-18", grouping.ByFortnight, "2027-01-06..2027-01-17 2, 2027-01-18..2027-01-18 1"},
		{"months", "2027-01-31 2027-02-01 2027-02-28 2028-02-01", grouping.ByMonth, "2027-01-31..2027-01-31 1, 2027-02-01..2027-02-28 2, 2028-02-01..2028-02-01 1"},
		{"without a day", "2027-01-05 - 2027-01-06", grouping.ByDay, "..2027-01-05 2, 2027-01-06..2027-01-06 1"},
		{"nothing", "", grouping.ByDay, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := shoptest.Tiny()
			w.Jobs = nil
			for i, day := range strings.Fields(c.days) {
				w.Jobs = append(w.Jobs, shoptest.Job(string(rune('a'+i)), "", shoptest.Frame("f", 1, shoptest.Ring("ash-20", 300*mm, 300*mm))))
				if day != "-" {
					w.Jobs[i].Due = shoptest.DayOf(day)
				}
			}
			all, _, err := grouping.Compare(t.Context(), w, planner.Options{Verify: shoptest.Checker}, []grouping.Period{c.by})
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, b := range all[0].Batches {
				got = append(got, b.From+".."+b.To+" "+string(rune('0'+b.Jobs)))
			}
			if strings.Join(got, ", ") != c.want {
				t.Errorf("batches %s, want %s", strings.Join(got, ", "), c.want)
			}
		})
	}
}

// TestGroupDemo holds what must be true of any grouping, on the demo.
func TestGroupDemo(t *testing.T) {
	w := shoptest.DemoWorkshop(t)
	before := grouping.RackOf(w)
	whole := shoptest.MustMake(t, w, planner.Options{})
	all, jobs, err := grouping.Compare(t.Context(), w, planner.Options{Verify: shoptest.Checker}, grouping.Periods())
	if err != nil {
		t.Fatal(err)
	}
	for n, g := range all {
		if g.By != grouping.Periods()[n] || g.Grade != plan.Proven || !g.Complete || g.Gap != 0 {
			t.Errorf("by %s: %s, first-fit complete %t", g.By, g.Grade, g.Complete)
		}
		for _, cut := range []grouping.Outcome{g.Plan, g.FirstFit} {
			holdOutcome(t, before, cut, whole.Total.Figures)
		}
		for _, b := range g.Batches {
			if b.Plan.Figures.Cost > b.SameRack.Cost {
				t.Errorf("by %s, from %s: the plan costs %d and first-fit from the same rack %d", g.By, b.From, b.Plan.Figures.Cost, b.SameRack.Cost)
			}
		}
		if last := g.Batches[len(g.Batches)-1]; last.Plan.Rack != g.Plan.Rack || last.FirstFit.Rack != g.FirstFit.Rack {
			t.Errorf("by %s: the last batch does not leave the rack that is left", g.By)
		}
		var shares model.Money
		for _, j := range jobs {
			shares += j.Costs[n]
		}
		if shares != g.Plan.Figures.Cost {
			t.Errorf("by %s: the jobs' costs add up to %d, the batches' to %d", g.By, shares, g.Plan.Figures.Cost)
		}
	}
	// All of the demo's jobs are due in one month: that is one plan of all jobs.
	month := all[3]
	if len(month.Batches) != 1 || month.Plan.Figures != whole.Total.Figures || month.FirstFit.Figures != whole.Total.FirstFit.Figures {
		t.Errorf("by month it is\n%+v, all at once\n%+v", month.Plan.Figures, whole.Total.Figures)
	}
	if len(all[0].Batches) != 9 || len(all[1].Batches) != 2 || len(all[2].Batches) != 1 {
		t.Errorf("%d days, %d weeks, %d fortnights", len(all[0].Batches), len(all[1].Batches), len(all[2].Batches))
	}
	if all[0].Plan.Figures == month.Plan.Figures {
		t.Error("nine plans are the same as one")
	}
	for _, j := range jobs {
		if want := max(0, j.Costs[0]-slices.Min(j.Costs)); j.Gains != want {
			t.Errorf("job %s gains %d of %v", j.Job, j.Gains, j.Costs)
		}
	}
}

// holdOutcome holds an outcome's sums: every nanometre that came in lies on the rack or is used up.
func holdOutcome(t *testing.T, before grouping.Rack, o grouping.Outcome, whole plan.Figures) {
	t.Helper()
	f := o.Figures
	if f.Sides != whole.Sides || f.LongPoints != whole.LongPoints {
		t.Errorf("%d sides of %s in all, want %d of %s", f.Sides, f.LongPoints, whole.Sides, whole.LongPoints)
	}
	if o.Net != f.Paid()+before.Value-o.Rack.Value {
		t.Errorf("net %d of %+v", o.Net, o)
	}
	if o.Bought == 0 || before.Length+o.Bought != o.Rack.Length+f.UsedUp {
		t.Errorf("%s came in and %s lies there or is used up", before.Length+o.Bought, o.Rack.Length+f.UsedUp)
	}
}

// TestGroupLimits: first-fit that does not get through, a day up to which jobs are due, and what cannot be cut at all.
func TestGroupLimits(t *testing.T) {
	w := shoptest.Tiny()
	w.Offers = nil
	w.Rack = []model.Stick{{ID: "a", Profile: "ash-20", Length: 920 * mm}, {ID: "b", Profile: "ash-20", Length: 760 * mm}, {ID: "c", Profile: "ash-20", Length: 3000 * mm}}
	w.Jobs = []model.Job{shoptest.Job("1", "2027-01-08", shoptest.Frame("f", 1, shoptest.Ring("ash-20", 298*mm, 398*mm))),
		shoptest.Job("2", "2027-02-08", shoptest.Frame("f", 1, shoptest.Ring("ash-20", 298*mm, 398*mm)))}
	all, jobs, err := grouping.Compare(t.Context(), w, planner.Options{Verify: shoptest.Checker, Until: shoptest.DayOf("2027-01-31")}, []grouping.Period{grouping.ByWeek})
	if err != nil {
		t.Fatal(err)
	}
	if len(all[0].Batches) != 1 || len(jobs) != 1 || jobs[0].Job != "1" || jobs[0].Gains != 0 {
		t.Errorf("%+v, jobs %+v", all, jobs)
	}
	w.Rack = w.Rack[:2]
	all, _, err = grouping.Compare(t.Context(), w, planner.Options{Verify: shoptest.Checker, Until: shoptest.DayOf("2027-01-31")}, []grouping.Period{grouping.ByWeek})
	if err != nil {
		t.Fatal(err)
	}
	if g := all[0]; g.Complete || g.Grade != plan.Proven || g.FirstFit.Figures.Sides != 0 || g.FirstFit.Rack != grouping.RackOf(w) {
		t.Errorf("first-fit, which finds no stick for a side, gives %+v", g.FirstFit)
	}
	if _, _, err = grouping.Compare(t.Context(), w, planner.Options{Verify: shoptest.Checker}, grouping.Periods()); err == nil {
		t.Error("two racks of moulding came off one")
	}
}
