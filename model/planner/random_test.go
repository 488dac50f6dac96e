package planner_test

import (
	"bytes"
	"errors"
	"fmt"
	"testing"
	"time"

	"pgregory.net/rapid"

	"longpoint/model"
	"longpoint/model/audit"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

// TestRandomWorkshops plans random workshops: every plan passes its audit, costs no more than first-fit, and survives
// being written and read. What cannot be planned is said to be so, and not called a fault of ours;
// only a search that ran out of its time may know neither.
func TestRandomWorkshops(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := shoptest.RandomWorkshop(t)
		o := planner.Options{Verify: shoptest.Checker, TimeLimit: 50 * time.Millisecond}
		if rapid.Bool().Draw(t, "until a day") {
			o.Until = shoptest.DayOf("2027-01-02")
		}
		d, err := planner.Make(t.Context(), w, o)
		if err != nil {
			var errs model.Errors
			if !errors.As(err, &errs) {
				t.Fatalf("an error that is not of package model: %v", err)
			}
			for _, e := range errs {
				if e.Kind != model.CannotCut && !errors.Is(e, planner.ErrNoPlan) {
					t.Fatalf("kind %d: %s", e.Kind, e)
				}
			}
			return
		}
		findings, err := audit.Check(t.Context(), w, d, shoptest.Tools(shoptest.Checker))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range findings {
			t.Errorf("%s %s", f.Code, f)
		}
		if d.Total.FirstFit.Complete && d.Total.Figures.Cost > d.Total.FirstFit.Figures.Cost {
			t.Errorf("the plan costs %d and first-fit %d", d.Total.Figures.Cost, d.Total.FirstFit.Figures.Cost)
		}
		var text, again bytes.Buffer
		if err := d.Encode(&text); err != nil {
			t.Fatal(err)
		}
		read, err := plan.Decode(text.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		if err := read.Encode(&again); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(text.Bytes(), again.Bytes()) {
			t.Error("written, read and written again it is another document")
		}
	})
}

// TestRandomBuying does the same with all that suppliers, the rack and matching can ask for, cut in either order with up to three
// stops: no pair is split.
func TestRandomBuying(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := shoptest.RandomWorkshop(t)
		complicate(t, w)
		w.Machine.Limits.Stops = rapid.IntRange(0, 3).Draw(t, "stops")
		w.Machine.Limits.StopGap = model.OptionalLength{Length: model.Length(rapid.IntRange(0, 120).Draw(t, "gap")) * mm, Given: true}
		if err := w.Check(); err != nil {
			t.Skip(err)
		}
		o := planner.Options{Verify: shoptest.Checker, TimeLimit: 50 * time.Millisecond, On: shoptest.DayOf("2027-01-02"),
			CutOrder: rapid.SampledFrom([]string{plan.StickByStick, plan.StopByStop}).Draw(t, "order")}
		d, err := planner.Make(t.Context(), w, o)
		if err != nil {
			var errs model.Errors
			if !errors.As(err, &errs) {
				t.Fatalf("an error that is not of package model: %v", err)
			}
			for _, e := range errs {
				if e.Kind != model.CannotCut && !errors.Is(e, planner.ErrNoPlan) {
					t.Fatalf("kind %d: %s", e.Kind, e)
				}
			}
			return
		}
		findings, err := audit.Check(t.Context(), w, d, shoptest.Tools(shoptest.Checker))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range findings {
			t.Errorf("%s %s", f.Code, f)
		}
		for n := range d.Profiles {
			shoptest.HoldRun(t, w, &d.Profiles[n])
		}
	})
}

// complicate gives a random workshop bundles, breaks, terms, random lengths, last days, damage, lots, patterns, credits
// and rules of matching.
func complicate(t *rapid.T, w *model.Workshop) {
	few := func(name string, most int) int { return rapid.IntRange(0, most).Draw(t, name) }
	w.Defaults.OffcutShare = rapid.SampledFrom([]int{0, 0, 30, 100}).Draw(t, "offcut share")
	for n := range w.Profiles {
		p := &w.Profiles[n]
		p.Match = rapid.SampledFrom([]model.Match{"", model.MatchFree, model.MatchLot, model.MatchPair, model.MatchStick}).Draw(t, "match")
		if few("pattern", 5) == 0 {
			p.Repeat = model.Length(1+few("repeat", 60)) * mm
		}
	}
	for n := range w.Offers {
		o := &w.Offers[n]
		o.Supplier = rapid.SampledFrom([]string{"Hill", "Dale", "Moor"}).Draw(t, "supplier")
		o.Bundle = few("bundle", 4)
		o.Price *= model.Money(max(1, o.Bundle))
		if few("random length", 5) == 0 {
			o.Longest = o.Length + 300*mm
		}
		if few("ends", 5) == 0 {
			o.Until = shoptest.DayOf(fmt.Sprintf("2027-01-0%d", 1+few("day", 3)))
		}
		if few("break", 2) == 0 {
			cheaper := *o
			cheaper.From, cheaper.Price = 2+few("from", 3), o.Price*model.Money(50+few("off", 49))/100
			w.Offers = append(w.Offers, cheaper)
		}
	}
	for _, name := range []string{"Hill", "Dale"} {
		if few("terms", 2) > 0 {
			w.Suppliers = append(w.Suppliers, model.Supplier{Name: name, Delivery: model.Money(few("delivery", 3) * 400),
				LeastSticks: few("least sticks", 6), LeastMoney: model.OptionalMoney{Amount: model.Money(few("least money", 5000)), Given: few("least", 1) == 0},
				FreeFrom: model.OptionalMoney{Amount: model.Money(few("free from", 8000)), Given: few("free", 1) == 0}})
		}
	}
	for n := range w.Rack {
		s := &w.Rack[n]
		s.Lot = rapid.SampledFrom([]string{"", "a", "b"}).Draw(t, "lot")
		at := model.Length(0)
		for range few("damage", 2) {
			from := at + model.Length(few("sound", 800))*mm
			to := from + model.Length(1+few("bad", 60))*mm
			if to > s.Length {
				break
			}
			s.Damage = append(s.Damage, model.Span{From: from, To: to})
			at = to + mm
		}
	}
	for n := range w.Jobs {
		w.Jobs[n].Match = rapid.SampledFrom([]model.Match{"", "", model.MatchFree, model.MatchLot, model.MatchStick}).Draw(t, "job match")
	}
}
