package plan_test

import (
	"bytes"
	"errors"
	"fmt"
	"testing"
	"time"

	"pgregory.net/rapid"

	"longpoint/model"
	"longpoint/model/plan"
)

// TestRandomWorkshops plans random workshops: every plan passes its audit, costs no more than first-fit, and survives
// being written and read. What cannot be planned is said to be so, and not called a fault of ours;
// only a search that ran out of its time may know neither.
func TestRandomWorkshops(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := randomWorkshop(t)
		o := plan.Options{Verify: checker, TimeLimit: 50 * time.Millisecond}
		if rapid.Bool().Draw(t, "until a day") {
			o.Until = dayOf("2027-01-02")
		}
		d, err := plan.Make(t.Context(), w, o)
		if err != nil {
			var errs model.Errors
			if !errors.As(err, &errs) {
				t.Fatalf("an error that is not of package model: %v", err)
			}
			for _, e := range errs {
				if e.Kind != model.CannotCut && !errors.Is(e, plan.ErrNoPlan) {
					t.Fatalf("kind %d: %s", e.Kind, e)
				}
			}
			return
		}
		findings, err := plan.Audit(t.Context(), w, d, checker)
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

// randomWorkshop draws a workshop that passes its own check.
func randomWorkshop(t *rapid.T) *model.Workshop {
	length := func(name string, from, to int) model.Length {
		const tenth = mm / 10
		return model.Length(rapid.IntRange(10*from, 10*to).Draw(t, name)) * tenth
	}
	w := &model.Workshop{Name: "Random", Unit: model.Inches, Currency: model.Currency{Code: "EUR", Decimals: 2},
		Defaults: model.Defaults{RackShare: rapid.IntRange(0, 100).Draw(t, "rack share")},
		Machine: model.Machine{Type: rapid.SampledFrom([]model.MachineType{model.Guillotine, model.Saw}).Draw(t, "machine"),
			Overrun: length("overrun", 0, 2), Kerf: length("kerf", 0, 4), Shave: length("shave", 0, 3),
			HeadTrim: length("head trim", 0, 40), TailTrim: length("tail trim", 0, 40),
			Bite: 8 * mm, FinishingBite: 2 * mm}}
	if rapid.Bool().Draw(t, "limits") {
		w.Machine.Limits.ShortestSide = model.OptionalLength{Length: 300 * mm, Given: true}
		w.Machine.Limits.Stops = 2
		w.Machine.Limits.StopGap = model.OptionalLength{Length: 50 * mm, Given: true}
	}
	for p := range rapid.IntRange(1, 3).Draw(t, "profiles") {
		profile := model.Profile{Name: fmt.Sprintf("p%d", p), Width: length("width", 10, 60)}
		profile.Rebate = profile.Width / 3
		profile.Keep = length("keep", 0, 400)
		w.Profiles = append(w.Profiles, profile)
		for n := range rapid.SampledFrom([]int{2, 3, 1, 0}).Draw(t, "offers") {
			w.Offers = append(w.Offers, model.Offer{Supplier: fmt.Sprintf("s%d", n%2), Profile: profile.Name,
				Length: 10 * length("stick length", 120, 400), Price: model.Money(rapid.IntRange(0, 3000).Draw(t, "price"))})
		}
		for n := range rapid.IntRange(1, 5).Draw(t, "rack") {
			s := model.Stick{ID: fmt.Sprintf("r%d-%d", p, n), Profile: profile.Name, Length: 100 * length("rack length", 1, 30)}
			if rapid.Bool().Draw(t, "valued") {
				s.Value = model.OptionalMoney{Amount: model.Money(rapid.IntRange(0, 1500).Draw(t, "value")), Given: true}
			}
			w.Rack = append(w.Rack, s)
		}
	}
	for j := range rapid.IntRange(1, 3).Draw(t, "jobs") {
		var frames []model.JobFrame
		for f := range rapid.IntRange(1, 2).Draw(t, "frames") {
			frames = append(frames, randomFrame(t, w, fmt.Sprintf("f%d", f), length))
		}
		due := rapid.SampledFrom([]string{"", "2027-01-01", "2027-01-02", "2027-01-03"}).Draw(t, "due")
		w.Jobs = append(w.Jobs, job(fmt.Sprintf("j%d", j), due, frames...))
	}
	return w
}

// randomFrame draws a frame of one or two rings, rectangular or not.
func randomFrame(t *rapid.T, w *model.Workshop, id string, length func(string, int, int) model.Length) model.JobFrame {
	profile := func() string { return rapid.SampledFrom(w.Profiles).Draw(t, "profile").Name }
	sides := rapid.SampledFrom([]int{4, 4, 4, 3, 6, 8}).Draw(t, "sides")
	r := ring(profile(), length("side", 150, 600), length("height", 150, 900))
	r.Size.Shape.Sides = sides
	if sides != 4 {
		r.Size.Height = 0
	}
	rings := []model.Ring{r}
	if rapid.Bool().Draw(t, "nested") {
		rings = append(rings, model.Ring{Profile: profile(), Allowance: 1 * mm})
	}
	return frame(id, rapid.IntRange(1, 3).Draw(t, "quantity"), rings...)
}

// TestRandomBuying does the same with all that suppliers, the rack and matching can ask for, cut in either order with up to three
// stops: no pair is split.
func TestRandomBuying(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := randomWorkshop(t)
		complicate(t, w)
		w.Machine.Limits.Stops = rapid.IntRange(0, 3).Draw(t, "stops")
		w.Machine.Limits.StopGap = model.OptionalLength{Length: model.Length(rapid.IntRange(0, 120).Draw(t, "gap")) * mm, Given: true}
		if err := w.Check(); err != nil {
			t.Skip(err)
		}
		o := plan.Options{Verify: checker, TimeLimit: 50 * time.Millisecond, On: dayOf("2027-01-02"),
			Order: rapid.SampledFrom([]string{plan.StickByStick, plan.StopByStop}).Draw(t, "order")}
		d, err := plan.Make(t.Context(), w, o)
		if err != nil {
			var errs model.Errors
			if !errors.As(err, &errs) {
				t.Fatalf("an error that is not of package model: %v", err)
			}
			for _, e := range errs {
				if e.Kind != model.CannotCut && !errors.Is(e, plan.ErrNoPlan) {
					t.Fatalf("kind %d: %s", e.Kind, e)
				}
			}
			return
		}
		findings, err := plan.Audit(t.Context(), w, d, checker)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range findings {
			t.Errorf("%s %s", f.Code, f)
		}
		for n := range d.Profiles {
			holdRun(t, w, &d.Profiles[n])
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
			o.Until = dayOf(fmt.Sprintf("2027-01-0%d", 1+few("day", 3)))
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
				LeastSticks: few("least sticks", 6), LeastMoney: model.OptionalMoney{Amount: model.Money(few("least money", 5000)), Given: few("least", 1) == 0}})
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
