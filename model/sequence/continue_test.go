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
		again, err := planner.Remake(t.Context(), w, d, events, planner.Options{CutOrder: order, Verify: shoptest.Checker})
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
		if _, _, ok := sequence.Continue(w, p.Name, p.Run.Order, p.Sticks, cuts, nil); ok != want {
			t.Errorf("from stop %d: %t", stop, ok)
		}
	}
	sticks, run, ok := sequence.Continue(w, p.Name, p.Run.Order, p.Sticks, p.Run.Cuts, nil)
	if !ok || len(run.Cuts) != len(p.Run.Cuts) || run.Settings != p.Run.Settings || run.PickUps != p.Run.PickUps || len(sticks) != len(p.Sticks) {
		t.Errorf("with nothing more to cut the run is %+v, and was %+v", run, p.Run)
	}
}
