package sequence_test

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/sequence"
	"longpoint/model/shoptest"
)

const mm = model.Millimetre

// TestDemoRuns orders the demo's cuts for one to three stops: no pair is split, and fewer settings are needed than first
// come, in all and for every profile.
func TestDemoRuns(t *testing.T) {
	w := shoptest.ReadDemo(t)
	for _, stops := range []int{1, 2, 3} {
		w.Machine.Limits.Stops = stops
		var settings [2]int
		firstCome := 0
		for i, how := range []string{plan.StickByStick, plan.StopByStop} {
			d := shoptest.MustMake(t, w, planner.Options{CutOrder: how})
			for _, f := range shoptest.MustAudit(t, w, d) {
				t.Errorf("audit: %s", f)
			}
			firstCome = 0
			for n := range d.Profiles {
				p := &d.Profiles[n]
				shoptest.HoldRun(t, w, p)
				if p.Run.Order != how || p.Run.Stops != stops {
					t.Errorf("%s: %s with %d stops", p.Name, p.Run.Order, p.Run.Stops)
				}
				if p.Run.Settings > p.Run.FirstCome {
					t.Errorf("%s, %s: %d settings and %d first come", p.Name, how, p.Run.Settings, p.Run.FirstCome)
				}
				other := sequence.Other(w, p)
				if other.Order == how || other.FirstCome != p.Run.FirstCome {
					t.Errorf("%s: the other order is %+v", p.Name, other)
				}
				settings[i] += p.Run.Settings
				firstCome += p.Run.FirstCome
			}
		}
		if settings[1] > settings[0] || settings[0] >= firstCome {
			t.Errorf("%d stops: %d settings stick by stick, %d stop by stop, %d first come", stops, settings[0], settings[1], firstCome)
		}
		t.Logf("%d stops: %d settings stick by stick, %d stop by stop, %d first come", stops, settings[0], settings[1], firstCome)
	}
}

// lengthsOn lists what is cut from each stick of a plan, in no order.
func lengthsOn(d *plan.Document) string {
	var sticks []string
	for _, p := range d.Profiles {
		for _, s := range p.Sticks {
			var lengths []string
			for _, side := range s.Sides {
				lengths = append(lengths, side.LongPoint.String())
			}
			slices.Sort(lengths)
			sticks = append(sticks, fmt.Sprint(p.Name, s.From, s.Length, lengths))
		}
	}
	slices.Sort(sticks)
	return fmt.Sprint(sticks)
}

// TestOtherOrder makes the plan in both orders, which have the same sticks, and finds the figures of each from the other's
// document. The search for fewer sticks has a clock, so that on a busy machine another plan may come of it: then it is made
// again.
func TestOtherOrder(t *testing.T) {
	w := shoptest.ReadDemo(t)
	sticks := shoptest.MustMake(t, w, planner.Options{CutOrder: plan.StickByStick})
	stops := shoptest.MustMake(t, w, planner.Options{CutOrder: plan.StopByStop})
	for tries := 0; lengthsOn(sticks) != lengthsOn(stops); tries++ {
		if tries == 10 {
			t.Fatal("the plans have other sticks in one order than in the other")
		}
		sticks = shoptest.MustMake(t, w, planner.Options{CutOrder: plan.StickByStick})
		stops = shoptest.MustMake(t, w, planner.Options{CutOrder: plan.StopByStop})
	}
	same := func(a, b plan.Run) bool {
		return a.Order == b.Order && a.Settings == b.Settings && a.Least == b.Least && a.PickUps == b.PickUps && a.FirstCome == b.FirstCome
	}
	for i := range sticks.Profiles {
		a, b := &sticks.Profiles[i], &stops.Profiles[i]
		if other := sequence.Other(w, a); !same(other, b.Run) {
			t.Errorf("%s: stop by stop is %+v from one document and other than in the other", a.Name, other)
		}
		if other := sequence.Other(w, b); !same(other, a.Run) {
			t.Errorf("%s: stick by stick is %+v from one document and other than in the other", a.Name, other)
		}
	}
}

// TestRunByHand orders the cuts of the tiny workshop: see TestTinyByHand for its plan, 4 × 430 and 3 × 330 from one stick and
// 330 from another. With one stop each length is set once: 430 first, then 330, which stands until the second stick.
func TestRunByHand(t *testing.T) {
	p := shoptest.MustMake(t, shoptest.Tiny(), planner.Options{}).Profiles[0]
	if p.Run.Settings != 2 || p.Run.Least != 2 || p.Run.FirstCome != 2 || p.Run.PickUps != 0 || p.Run.Stops != 1 {
		t.Errorf("%+v", p.Run)
	}
	for n, want := range []plan.Cut{
		{Stick: 0, Side: 0, Stop: 1, Placed: true, Left: (3000 - 20 - 436) * mm},
		{Stick: 0, Side: 1, Stop: 1, Left: (3000 - 20 - 2*436) * mm},
		{Stick: 0, Side: 2, Stop: 1, Left: (3000 - 20 - 3*436) * mm},
		{Stick: 0, Side: 3, Stop: 1, Left: (3000 - 20 - 4*436) * mm},
		{Stick: 0, Side: 4, Stop: 1, Placed: true, Left: (3000 - 20 - 4*436 - 336) * mm},
		{Stick: 0, Side: 5, Stop: 1, Left: (3000 - 20 - 4*436 - 2*336) * mm},
		{Stick: 0, Side: 6, Stop: 1, Left: 228 * mm},
		{Stick: 1, Side: 0, Stop: 1, Left: 44 * mm},
	} {
		if p.Run.Cuts[n] != want {
			t.Errorf("cut %d: %+v, not %+v", n+1, p.Run.Cuts[n], want)
		}
	}
}

// TestSetUpNote carries the note that the framer made for a profile into the document.
func TestSetUpNote(t *testing.T) {
	w := shoptest.Tiny()
	w.Profiles[0].SetUp = "rest at 3, block at 40 mm"
	d := shoptest.MustMake(t, w, planner.Options{})
	if d.Profiles[0].SetUp != w.Profiles[0].SetUp || len(shoptest.MustAudit(t, w, d)) > 0 {
		t.Errorf("the note is %q, findings %v", d.Profiles[0].SetUp, shoptest.MustAudit(t, w, d))
	}
	w.Profiles[0].SetUp = ""
	if f := shoptest.MustAudit(t, w, d); len(f) != 1 || f[0].Code != "profile" {
		t.Errorf("a note that is not the workshop's: %v", f)
	}
}

// TestRandomRuns orders the cuts of random workshops, with up to three stops and a gap: no pair is ever split.
func TestRandomRuns(t *testing.T) {
	for range 3 { // a hundred each
		rapid.Check(t, randomRun)
	}
}

func randomRun(t *rapid.T) {
	w := shoptest.RandomWorkshop(t)
	w.Machine.Limits.Stops = rapid.IntRange(0, 3).Draw(t, "stops")
	w.Machine.Limits.StopGap = model.OptionalLength{Length: model.Length(rapid.IntRange(0, 120).Draw(t, "gap")) * mm, Given: true}
	how := rapid.SampledFrom([]string{plan.StickByStick, plan.StopByStop}).Draw(t, "order")
	d, err := planner.Make(t.Context(), w, planner.Options{CutOrder: how})
	if err != nil {
		return // TestRandomWorkshops looks at the errors
	}
	for i := range d.Profiles {
		shoptest.HoldRun(t, w, &d.Profiles[i])
	}
}

// TestFromTheHead: what lies before damage comes off a stick before what lies behind it, though the longest sides, which come first otherwise, lie behind.
func TestFromTheHead(t *testing.T) {
	w := shoptest.Tiny()
	w.Machine.Limits.Stops = 1
	side := func(letter string, start, long model.Length) plan.Side {
		return plan.Side{SideID: model.SideID{Job: "101", Frame: "a", Copy: 1, Ring: 1, Letter: letter}, LongPoint: long, Takes: long + 6*mm, Start: start + 3*mm}
	}
	sticks := []plan.Stick{{ID: "r1", From: plan.FromRack, Length: 2000 * mm, Damage: []model.Span{{From: 760 * mm, To: 800 * mm}},
		Sides: []plan.Side{side("B", 20*mm, 330*mm), side("D", 356*mm, 330*mm), side("A", 800*mm, 430*mm), side("C", 1236*mm, 430*mm)}}}
	for _, order := range []string{plan.StickByStick, plan.StopByStop} {
		laid, run := sequence.Memory(nil).PutInOrder(w, "ash-20", order, sticks, func(plan.Side) model.Length { return 3 * mm })
		var letters string
		for _, c := range run.Cuts {
			letters += laid[c.Stick].Sides[c.Side].Letter
		}
		if letters != "BDAC" || run.Settings != 2 || run.PickUps != 0 {
			t.Errorf("%s: %s with %d settings and %d pick-ups", order, letters, run.Settings, run.PickUps)
		}
	}
}
