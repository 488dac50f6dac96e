package sequence_test

import (
	"errors"
	"math/rand/v2"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/sequence"
	"longpoint/model/shoptest"
)

// TestContinue goes on with runs in which a side was torn: the run of the remade plan cuts each side once and keeps what belongs together at one setting, and
// what is still to be cut of kept sticks comes in the order in which it came before.
func TestContinue(t *testing.T) {
	remade, none := 0, 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 31))
		w := shoptest.SmallWorkshop(r)
		w.Machine.Limits.Stops = 1 + r.IntN(3)
		if r.IntN(2) == 0 {
			w.Machine.Limits.StopGap = model.OptionalLength{Length: 60 * mm, Given: true}
		}
		for j := range w.Jobs {
			w.Jobs[j].Frames[0].Quantity = 1 + r.IntN(3)
		}
		if w.Check() != nil {
			continue
		}
		order := []string{plan.StickByStick, plan.StopByStop}[r.IntN(2)]
		d, err := planner.Make(t.Context(), w, planner.Options{CutOrder: order, Verify: shoptest.Checker})
		if err != nil {
			continue // a side is longer than any stick
		}
		p := d.Profiles[r.IntN(len(d.Profiles))]
		s := p.Sticks[r.IntN(len(p.Sticks))]
		events := shoptest.TornAfter(p.Name, s.ID, 1+r.IntN(len(s.Sides)))
		again, err := planner.Remake(t.Context(), w, d, events, planner.Options{CutOrder: order, Verify: shoptest.Checker, TimeLimit: shoptest.Ample})
		if errs := (*model.Error)(nil); errors.As(err, &errs) && errs.Kind == model.CannotCut {
			none++
			continue
		}
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		remade++
		for n := range again.Plan.Profiles {
			p := &again.Plan.Profiles[n]
			shoptest.HoldRun(t, w, p)
			if p.Run.Order != order {
				t.Errorf("the order is %s, and was %s", p.Run.Order, order)
			}
		}
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
	t.Logf("%d remade, %d cannot be cut", remade, none)
	if remade < 20 {
		t.Errorf("only %d runs were remade", remade)
	}
}

// TestContinueFromUnknownStop refuses a run that places a stop which the machine does not have.
func TestContinueFromUnknownStop(t *testing.T) {
	w, d := shoptest.Hall(t)
	p := d.Profiles[0]
	for stop, want := range map[int]bool{0: false, 1: true, 2: false} {
		cuts := append([]plan.Cut{}, p.Run.Cuts...)
		for i := range cuts {
			cuts[i].Stop = max(stop, 1)
		}
		cuts[len(cuts)-1].Stop = stop
		if _, _, ok := sequence.Continue(w, p.Name, p.Run.Order, p.Sticks, cuts, nil, nil); ok != want {
			t.Errorf("from stop %d: %t", stop, ok)
		}
	}
	sticks, run, ok := sequence.Continue(w, p.Name, p.Run.Order, p.Sticks, p.Run.Cuts, nil, nil)
	if !ok || len(run.Cuts) != len(p.Run.Cuts) || run.Settings != p.Run.Settings || run.PickUps != p.Run.PickUps || len(sticks) != len(p.Sticks) {
		t.Errorf("with nothing more to cut the run is %+v, and was %+v", run, p.Run)
	}
}

// TestContinueInHand: the stick in the machine is cut first, though another stick's sides were laid out before it; not where equal sides of a frame would
// then come from two settings.
func TestContinueInHand(t *testing.T) {
	w := shoptest.Tiny()
	w.Machine.Limits.Stops = 1
	w.Rack = []model.Stick{{ID: "r1", Profile: "ash-20", Length: 1800 * mm}, {ID: "r2", Profile: "ash-20", Length: 1000 * mm, Begun: 20 * mm}}
	side := func(job, letter string, start, long model.Length) plan.Side {
		return plan.Side{SideID: model.SideID{Job: job, Frame: "a", Copy: 1, Ring: 1, Letter: letter}, LongPoint: long, Takes: long + 6*mm, Start: start + 3*mm}
	}
	for _, row := range []struct {
		name string
		of   string // the job of the two sides on the begun stick
		want string // the stick of the first cut
	}{{"two frames", "102", "r2"}, {"one frame", "101", "r1"}} {
		sticks := []plan.Stick{
			{ID: "r1", From: plan.FromRack, Length: 1800 * mm, Sides: []plan.Side{side("101", "A", 20*mm, 430*mm), side("101", "B", 456*mm, 330*mm)}},
			{ID: "r2", From: plan.FromRack, Length: 1000 * mm, Sides: []plan.Side{side(row.of, "D", 20*mm, 330*mm), side("102", "C", 356*mm, 430*mm)}}}
		laid, run, ok := sequence.Continue(w, "ash-20", plan.StickByStick, sticks, nil,
			[]plan.Cut{{Stick: 0, Side: 0, Stop: 1}, {Stick: 0, Side: 1, Stop: 1}, {Stick: 1, Side: 0, Stop: 1}, {Stick: 1, Side: 1, Stop: 1}}, nil)
		if !ok {
			t.Errorf("%s: no run", row.name)
			continue
		}
		if first := laid[run.Cuts[0].Stick].ID; first != row.want {
			t.Errorf("%s: %s is cut first, want %s", row.name, first, row.want)
		}
	}
}

// TestContinueAtStandingStop: a side that is to be cut again, alone on a stick of the rest, is cut while the stop stands at its length for sides that are
// marked out, and not at the end of the run with a setting of its own.
func TestContinueAtStandingStop(t *testing.T) {
	w := shoptest.Tiny()
	w.Machine.Limits.Stops = 1
	side := func(job, letter string, start, long model.Length) plan.Side {
		return plan.Side{SideID: model.SideID{Job: job, Frame: "a", Copy: 1, Ring: 1, Letter: letter}, LongPoint: long, Takes: long + 6*mm, Start: start + 3*mm}
	}
	sticks := []plan.Stick{
		{ID: "r1", From: plan.FromRack, Length: 1800 * mm, Sides: []plan.Side{side("101", "A", 20*mm, 430*mm), side("101", "C", 456*mm, 430*mm)}},
		{ID: "r2", From: plan.FromRack, Length: 1800 * mm, Sides: []plan.Side{side("101", "B", 20*mm, 330*mm), side("101", "D", 356*mm, 330*mm)}},
		{ID: "r3", From: plan.FromRack, Length: 1000 * mm, Sides: []plan.Side{side("102", "B", 20*mm, 250*mm), side("102", "A", 276*mm, 430*mm)}}}
	w.Rack = nil
	for _, s := range sticks {
		w.Rack = append(w.Rack, model.Stick{ID: s.ID, Profile: "ash-20", Length: s.Length})
	}
	laid, run, ok := sequence.Continue(w, "ash-20", plan.StickByStick, sticks,
		[]plan.Cut{{Stick: 0, Side: 0, Stop: 1}, {Stick: 0, Side: 1, Stop: 1}, {Stick: 1, Side: 0, Stop: 1}, {Stick: 1, Side: 1, Stop: 1}},
		[]plan.Cut{{Stick: 2, Side: 0, Stop: 1}, {Stick: 2, Side: 1, Stop: 1}}, nil)
	var order string
	for _, c := range run.Cuts {
		order += " " + laid[c.Stick].ID + laid[c.Stick].Sides[c.Side].Letter
	}
	if want := " r1A r1C r3A r3B r2B r2D"; !ok || order != want || run.Settings != 3 || run.PickUps != 0 {
		t.Errorf("%t: cut in the order%s with %d settings and %d pick-ups, want%s with 3 and none", ok, order, run.Settings, run.PickUps, want)
	}
}

// TestContinueWhileItStands: a side that tore is cut again at once, off another stick, while the stop stands as its equal was cut; where that is not known, or
// a stick is half cut, it comes at the end and is set by its equal.
func TestContinueWhileItStands(t *testing.T) {
	side := func(job, letter string, start, long model.Length) plan.Side {
		return plan.Side{SideID: model.SideID{Job: job, Frame: "a", Copy: 1, Ring: 1, Letter: letter}, Of: 4, LongPoint: long, Takes: long + 6*mm, Start: start + 3*mm}
	}
	sticks := []plan.Stick{
		{ID: "r1", From: plan.FromRack, Length: 1800 * mm, Sides: []plan.Side{side("101", "A", 20*mm, 430*mm), side("101", "C", 456*mm, 430*mm)}},
		{ID: "r2", From: plan.FromRack, Length: 1000 * mm, Sides: []plan.Side{side("102", "D", 20*mm, 330*mm)}}}
	for _, row := range []struct {
		name   string
		known  bool
		inHand string
		want   string
	}{{"the stop stands", true, "", "r2 r1"}, {"nobody knows", false, "", "r1 r2"}, {"a stick is half cut", true, "r1", "r1 r2"}} {
		w := shoptest.Tiny()
		w.Machine.Limits.Stops = 1
		w.Rack = nil
		for _, s := range sticks {
			w.Rack = append(w.Rack, model.Stick{ID: s.ID, Profile: "ash-20", Length: s.Length})
		}
		var from *plan.AtMachine
		if row.known {
			s := plan.NewStanding(w.Machine)
			s.Cut(1, side("102", "B", 0, 330*mm))
			from = &plan.AtMachine{Stand: s, Stick: row.inHand}
		}
		laid, _, ok := sequence.Continue(w, "ash-20", plan.StickByStick, sticks, []plan.Cut{{Stick: 0, Side: 0, Stop: 1}, {Stick: 0, Side: 1, Stop: 1}}, []plan.Cut{{Stick: 1, Side: 0, Stop: 1}}, from)
		if got := laid[0].ID + " " + laid[1].ID; !ok || got != row.want {
			t.Errorf("%s: %s, want %s", row.name, got, row.want)
		}
	}
}

// TestContinueAfterTear is a newcomer's case: of two equal sides at 331 mm the second tore, as the last of its stick, which is still in the machine. It is cut
// again at once, while the stop stands; then comes the other stick as it is marked out: two settings.
func TestContinueAfterTear(t *testing.T) {
	w := shoptest.Tiny()
	w.Machine.Limits.Stops = 1
	side := func(job, letter string, start, long model.Length) plan.Side {
		return plan.Side{SideID: model.SideID{Job: job, Frame: "a", Copy: 1, Ring: 1, Letter: letter}, Of: 4, LongPoint: long, Takes: long + 6*mm, Start: start + 3*mm}
	}
	marked := plan.Stick{ID: "s2", From: plan.FromRack, Length: 3000 * mm}
	var old []plan.Cut
	at := model.Length(0)
	for n, long := range []model.Length{331, 331, 271, 271, 431, 431} {
		marked.Sides = append(marked.Sides, side("102", string("BDACEG"[n]), at, long*mm))
		at += long*mm + 6*mm
		old = append(old, plan.Cut{Stick: 0, Side: n, Stop: 1})
	}
	sticks := []plan.Stick{marked, {ID: "s1", From: plan.FromRack, Length: 712 * mm, Sides: []plan.Side{side("101", "D", 0, 331*mm)}}}
	w.Rack = []model.Stick{{ID: "s1", Profile: "ash-20", Length: 712 * mm}, {ID: "s2", Profile: "ash-20", Length: 3000 * mm}}
	stand := plan.NewStanding(w.Machine)
	stand.Cut(1, side("101", "B", 0, 331*mm))
	laid, run, ok := sequence.Continue(w, "ash-20", plan.StickByStick, sticks, old, []plan.Cut{{Stick: 1, Side: 0, Stop: 1}}, &plan.AtMachine{Stand: stand, Stick: "s1"})
	if !ok || laid[0].ID != "s1" || run.PickUps != 0 || run.Settings != 3 || run.Cuts[0].By != "" { // the run counts the one that stands
		t.Errorf("%t: %s first, %d settings, %d pick-ups, set by %q", ok, laid[0].ID, run.Settings, run.PickUps, run.Cuts[0].By)
	}
	for n, s := range laid[1].Sides {
		if s.SideID != marked.Sides[n].SideID {
			t.Errorf("side %d of what stays marked out is %s, and was %s", n+1, s.SideID, marked.Sides[n].SideID)
		}
	}
}
