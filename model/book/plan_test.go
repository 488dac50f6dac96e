package book

import (
	"slices"
	"testing"

	"longpoint/model"
	"longpoint/model/runs"
)

// TestToStart: a plan's profiles can be started until a run of each was; a plan that is no rest is of no run; and a plan is about the book until
// something is changed that it would be cut wrong by.
func TestToStart(t *testing.T) {
	b := newShop(t)
	ctx := t.Context()
	d := planOf(t, b)
	id := keepPlan(t, b, d)
	all, err := b.ToStart(ctx, id)
	must(t, err)
	if want := len(d.Profiles); len(all) != want {
		t.Fatalf("%v can be started, want %d profiles", all, want)
	}
	if run, open, err := b.RestOf(ctx, id); err != nil || run != 0 || open {
		t.Errorf("the rest of run %d, open %t: %v", run, open, err)
	}
	must(t, b.StillAbout(ctx, id))

	r := startRun(t, b, all[0], id)
	left, err := b.ToStart(ctx, id)
	must(t, err)
	if slices.Contains(left, all[0]) || len(left) != len(all)-1 {
		t.Errorf("with a run of %s, %v can be started", all[0], left)
	}
	for _, a := range r.Waiting {
		if !a.ToOrder() {
			t.Errorf("%s is not ordered and not to be ordered", a.Stick)
		}
	}
	for _, s := range r.Sticks {
		if keeps := s.Keeps(); len(keeps) != 1 || keeps[0] != s.Length {
			t.Errorf("of %s, which nothing was cut from, %v goes back", s.Stick, keeps)
		}
	}

	// A run that is ended before the first cut is as if it had never been.
	finish(t, b, r.ID, nil)
	if left, err = b.ToStart(ctx, id); err != nil || !slices.Equal(left, all) {
		t.Errorf("%v can be started, %v, want %v", left, err, all)
	}
	again, fresh, err := b.StartRun(ctx, all[0], id, tester)
	must(t, err)
	if !fresh || again.ID == r.ID || len(again.Sticks) != len(r.Sticks) {
		t.Errorf("the run begins again as %+v", again)
	}
	first := again.Sticks[0]
	cut(t, b, again.ID, first.Number, []int{1}, runs.Torn)
	finish(t, b, again.ID, nil)
	_, _, err = b.StartRun(ctx, all[0], id, tester)
	wantError(t, err, model.BadUsage, "was cut by plan")
	sound(t, b)

	_, err = b.write(ctx, "set", tester, func(t *transaction) error {
		_, err := t.exec("UPDATE workshop SET overrun_nm = overrun_nm + 1000")
		return err
	})
	must(t, err)
	demand(t, "printing", b.StillAbout(ctx, id), false, "the overrun was changed")
}
