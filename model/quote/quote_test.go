package quote_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/quote"
	"longpoint/model/shoptest"
)

const mm = model.Millimetre

// mustQuote works out a quotation, and fails the test on an error.
func mustQuote(t *testing.T, w *model.Workshop, job model.Job, recent *plan.Document) *quote.Quotation {
	t.Helper()
	q, err := quote.Job(t.Context(), w, planner.Options{Verify: shoptest.Checker, TimeLimit: time.Hour}, job, recent)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// TestQuoteByHand: tiny's two frames of 298 × 398 mm in moulding 20 mm wide with a rebate of 5 mm and 2 mm of play.
// One frame's sides take 2 · 336 + 2 · 436 = 1,544 mm of the 2,960 that can be used of a stick of 3,000 mm for 12.00; of both frames
// one side of 336 mm comes off the rack's 400 mm for 0.50, and the rest off one new stick. So the second frame adds 0.50.
func TestQuoteByHand(t *testing.T) {
	w := shoptest.Tiny()
	q := mustQuote(t, w, w.Jobs[1], nil)
	if q.Frames != 1 || q.Sides != 4 || len(q.Profiles) != 1 || q.Profiles[0].Name != "ash-20" || q.Profiles[0].Sides != 4 {
		t.Errorf("%+v", q)
	}
	// Rebate 300 × 400, long points 330 and 430; the rule: 2 (298 + 398) + 8 · 20.
	if q.Net.Length != 1520*mm || q.Rule.Length != (1392+160)*mm {
		t.Errorf("net %s, by the rule %s", q.Net.Length, q.Rule.Length)
	}
	if *q.Net.Cost != 608 || *q.Rule.Cost != 621 || *q.Profiles[0].Metre != 400 { // 4.00 a metre: 6.08, and 6.208
		t.Errorf("net %d, by the rule %d, a metre %d", *q.Net.Cost, *q.Rule.Cost, *q.Profiles[0].Metre)
	}
	if want := (quote.Marginal{With: 1250, Without: 1200, Cost: 50, Least: 50, Most: 50, Proven: true}); q.Marginal != want {
		t.Errorf("it adds %+v, want %+v", q.Marginal, want)
	}
	with := shoptest.MustMake(t, w, planner.Options{})
	if q.Yield != with.Total.Figures.Yield || q.AtYield.Length < q.Net.Length {
		t.Errorf("yield %d, of the plan %d; it uses up %s", q.Yield, with.Total.Figures.Yield, q.AtYield.Length)
	}
	if q.DualValue.None != 0 || q.DualValue.Longer != 0 {
		t.Errorf("worth %+v", q.DualValue)
	}
}

// squares is a workshop of square frames alone: eight sides of 338 mm come off a stick for 12.00, so that each is worth 1.50.
func squares() *model.Workshop {
	w := shoptest.Tiny()
	w.Rack = nil
	w.Jobs = []model.Job{shoptest.Job("1", "", shoptest.Frame("f", 3, shoptest.Ring("ash-20", 300*mm, 300*mm))), shoptest.Job("2", "", shoptest.Frame("f", 1, shoptest.Ring("ash-20", 300*mm, 300*mm)))}
	return w
}

// TestQuoteWorth: of listed lengths, of shorter and of longer ones, and of a profile that the plan does not have.
func TestQuoteWorth(t *testing.T) {
	w := squares()
	d := shoptest.MustMake(t, w, planner.Options{})
	if d.Total.Figures.Cost != 2400 {
		t.Fatalf("four frames cost %d", d.Total.Figures.Cost)
	}
	w.Profiles = append(w.Profiles, model.Profile{Name: "slip-12", Width: 12 * mm, Rebate: 6 * mm})
	w.Offers = append(w.Offers, model.Offer{Supplier: "Hill", Profile: "slip-12", Length: 2400 * mm, Price: 410})
	for _, c := range []struct {
		name   string
		job    model.Job
		recent *plan.Document
		want   quote.DualValue
	}{
		{"a job of the plan", w.Jobs[0], nil, quote.DualValue{Cost: 1800}},
		{"the same from a file", w.Jobs[0], d, quote.DualValue{Cost: 1800}},
		{"a new frame of the same size", shoptest.Job("new", "", shoptest.Frame("f", 2, shoptest.Ring("ash-20", 300*mm, 300*mm))), d, quote.DualValue{Cost: 1200}},
		{"a smaller one", shoptest.Job("new", "", shoptest.Frame("f", 2, shoptest.Ring("ash-20", 200*mm, 300*mm))), d, quote.DualValue{Cost: 1200, Longer: 4}},
		{"a larger one", shoptest.Job("new", "", shoptest.Frame("f", 2, shoptest.Ring("ash-20", 300*mm, 301*mm))), d, quote.DualValue{Cost: 600, None: 4}},
		{"another profile", shoptest.Job("new", "", shoptest.Frame("f", 1, shoptest.Ring("slip-12", 300*mm, 300*mm))), d, quote.DualValue{None: 4}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if q := mustQuote(t, w, c.job, c.recent); q.DualValue != c.want {
				t.Errorf("worth %+v, want %+v", q.DualValue, c.want)
			}
		})
	}
}

// TestQuoteMarket: where profiles are planned together, and where lots bind frames, there is no worth, and it is said why; sides in
// pairs are priced as pairs, and a problem with bundles has multipliers too, from the jobs as from a file.
func TestQuoteMarket(t *testing.T) {
	w := shoptest.Market()
	o := planner.Options{On: shoptest.DayOf("2027-01-05")}
	d := shoptest.MustMake(t, w, o)
	o.Verify = shoptest.Checker
	for name, recent := range map[string]*plan.Document{"jobs": nil, "file": d} {
		t.Run(name, func(t *testing.T) {
			for _, c := range []struct {
				profile, none string
			}{{"ash-20", quote.Together}, {"slip-12", quote.Together}, {"elm-20", ""}, {"yew-20", quote.ByLot}} {
				q, err := quote.Job(t.Context(), w, o, shoptest.Job("new", "", shoptest.Frame("f", 1, shoptest.Ring(c.profile, 298*mm, 398*mm))), recent)
				if err != nil {
					t.Fatal(err)
				}
				without := map[bool]int{true: 0, false: 4}[c.none == ""]
				if got := q.Profiles[0].NoDualValue; got != c.none || q.DualValue.None != without || (q.DualValue.Cost > 0) != (c.none == "") {
					t.Errorf("%s: no worth because %q, and it is %+v", c.profile, got, q.DualValue)
				}
				if m := q.Marginal; m.Least > m.Cost || m.Cost > m.Most || m.Cost < 0 {
					t.Errorf("%s adds %+v", c.profile, m)
				}
			}
		})
	}
}

// TestQuoteWeek takes all frames of a plain week as one job: what it adds is the whole cost, and what its sides are worth is no
// more than that, for the dual values are a bound, and not much less.
func TestQuoteWeek(t *testing.T) {
	w := shoptest.PlainWorkshop(t)
	w.Rack = nil // no limits, so that the dual values alone are the bound
	cost := shoptest.MustMake(t, w, planner.Options{}).Total.Figures.Cost
	all := model.Job{ID: "all"}
	for _, j := range w.Jobs {
		for _, f := range j.Frames {
			f.ID = j.ID + " " + f.ID
			all.Frames = append(all.Frames, f)
		}
	}
	w.Jobs = nil
	q := mustQuote(t, w, all, nil)
	if q.DualValue.None != 0 || q.DualValue.Longer != 0 || q.Sides != 294 {
		t.Errorf("%d sides, worth %+v", q.Sides, q.DualValue)
	}
	if want := (quote.Marginal{With: cost, Cost: cost, Least: cost, Most: cost, Proven: true}); q.Marginal != want {
		t.Errorf("it adds %+v, want %+v", q.Marginal, want)
	}
	if rounding := model.Money(len(q.Profiles)); q.DualValue.Cost > cost+rounding || q.DualValue.Cost < cost*9/10 || *q.Net.Cost >= cost {
		t.Errorf("worth %d, net %d, cost %d", q.DualValue.Cost, *q.Net.Cost, cost)
	}
}

// TestQuoteDemo: suppliers' terms bind the demo's profiles together, and what a job adds is still the whole plan with it less the
// whole plan without it.
func TestQuoteDemo(t *testing.T) {
	w := shoptest.DemoWorkshop(t)
	with := shoptest.MustMake(t, w, planner.Options{}).Total.Figures.Cost
	for _, id := range []string{"2711", "2706"} {
		n := slices.IndexFunc(w.Jobs, func(j model.Job) bool { return j.ID == id })
		others := *w
		others.Jobs = slices.Delete(slices.Clone(w.Jobs), n, n+1)
		without := shoptest.MustMake(t, &others, planner.Options{}).Total.Figures.Cost
		q := mustQuote(t, w, w.Jobs[n], nil)
		if q.Marginal.With != with || q.Marginal.Without != without || q.Marginal.Cost != with-without || without >= with {
			t.Errorf("job %s adds %+v; the plan with it costs %d, without it %d", id, q.Marginal, with, without)
		}
	}
}

// TestQuoteUnproven gives bounds where a search is stopped.
func TestQuoteUnproven(t *testing.T) {
	w := shoptest.Fair()
	q, err := quote.Job(t.Context(), w, planner.Options{TimeLimit: time.Hour}, w.Jobs[0], nil) // nobody checks, so that nothing is proven
	if err != nil {
		t.Fatal(err)
	}
	if m := q.Marginal; m.Proven || m.Least > m.Cost || m.Cost > m.Most {
		t.Errorf("%+v", m)
	}
}

// TestQuotePrices: a bundle is paid for as a whole, a metre's price holds where nothing is on offer, and there may be none.
func TestQuotePrices(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(w *model.Workshop)
		metre model.Money
		given bool
	}{
		{"the cheapest by length", func(w *model.Workshop) {
			w.Offers = append(w.Offers, model.Offer{Supplier: "Hill", Profile: "ash-20", Length: 2000 * mm, Price: 750})
		}, 375, true},
		{"a metre", func(w *model.Workshop) {
			w.Offers, w.Profiles[0].Metre = nil, model.OptionalMoney{Amount: 333, Given: true}
		}, 333, true},
		{"none", func(w *model.Workshop) { w.Offers = nil }, 0, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := shoptest.Tiny()
			w.Rack = append(w.Rack, model.Stick{ID: "r9", Profile: "ash-20", Length: 9000 * mm, Value: model.OptionalMoney{Amount: 1, Given: true}})
			c.spoil(w)
			q := mustQuote(t, w, w.Jobs[0], nil)
			metre := q.Profiles[0].Metre
			if (metre != nil) != c.given || (q.Net.Cost != nil) != c.given || c.given && *metre != c.metre {
				t.Errorf("a metre costs %v, the net moulding %v", metre, q.Net.Cost)
			}
		})
	}
}

// TestQuoteRefuses what cannot be cut, and a plan that cuts nothing.
func TestQuoteRefuses(t *testing.T) {
	w := shoptest.Tiny()
	for _, c := range []struct {
		name   string
		job    model.Job
		recent *plan.Document
		kind   model.ErrorKind
	}{
		{"longer than any stick", shoptest.Job("new", "", shoptest.Frame("f", 1, shoptest.Ring("ash-20", 300*mm, 3300*mm))), nil, model.CannotCut},
		{"no such profile", shoptest.Job("new", "", shoptest.Frame("f", 1, shoptest.Ring("elm-20", 300*mm, 300*mm))), nil, model.BadInput},
		{"a plan of nothing", w.Jobs[0], shoptest.MustMake(t, w, planner.Options{Until: shoptest.DayOf("2001-01-01")}), model.BadInput},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := quote.Job(t.Context(), w, planner.Options{Verify: shoptest.Checker, TimeLimit: time.Second}, c.job, c.recent)
			var e *model.Error
			if !errors.As(err, &e) || e.Kind != c.kind {
				t.Errorf("it gives %v", err)
			}
		})
	}
}
