package book

import (
	"slices"
	"strings"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/runs"
)

// planOf plans what is left to cut in a book.
func planOf(t *testing.T, b *Book) *plan.Document {
	t.Helper()
	w, _, err := b.Rest(t.Context())
	must(t, err)
	d, err := planner.Make(t.Context(), w, planner.Options{MadeWith: "test"})
	must(t, err)
	return d
}

// TestWeek goes round a week: plan, order, receive, cut, finish; each command twice, for the second must do nothing.
func TestWeek(t *testing.T) {
	b := newShop(t)
	ctx := t.Context()
	d := planOf(t, b)
	id := keepPlan(t, b, d)
	if again, err := b.KeepPlan(ctx, d, tester); err != nil || again != id {
		t.Errorf("kept again as %d, error %v", again, err)
	}
	orders, fresh, err := b.PlaceOrders(ctx, 0, false, tester)
	must(t, err)
	if !fresh || len(orders) != 1 || orders[0].Supplier != "Invented Timber" {
		t.Fatalf("orders %+v", orders)
	}
	if twice, fresh, err := b.PlaceOrders(ctx, id, false, tester); err != nil || fresh || len(twice) != 1 {
		t.Errorf("ordered again: %+v, fresh %t, error %v", twice, fresh, err)
	}
	early, fresh, err := b.StartRun(ctx, "oak-40", id, tester) // with what is here
	must(t, err)
	if !fresh || len(early.Sticks) == 0 || len(early.Waiting) == 0 || early.Waiting[0].Order != orders[0].ID {
		t.Errorf("begun early: %+v", early)
	}
	_, err = b.Undo(ctx, 0, tester)
	must(t, err)
	names := receive(t, b, orders[0].ID, Receipt{})
	total := 0
	for _, l := range orders[0].Lines {
		total += l.Sticks
	}
	if len(names) != total {
		t.Errorf("%d sticks arrived, want %d", len(names), total)
	}
	if names, err := b.Receive(ctx, orders[0].ID, Receipt{}, tester); err != nil || len(names) > 0 {
		t.Errorf("received again: %v, error %v", names, err)
	}
	sound(t, b)
	var ready []string
	for _, p := range d.Profiles {
		r, fresh, err := b.StartRun(ctx, p.Name, id, tester)
		must(t, err)
		if same, again, err := b.StartRun(ctx, p.Name, id, tester); err != nil || !fresh || again || same.ID != r.ID {
			t.Errorf("started again: run %d and %d, error %v", r.ID, same.ID, err)
		}
		for _, s := range r.Sticks {
			_, fresh, err := b.Cut(ctx, r.ID, s.Number, nil, runs.Done, tester)
			must(t, err)
			if _, again, err := b.Cut(ctx, r.ID, s.Number, nil, runs.Done, tester); err != nil || !fresh || again {
				t.Errorf("cut again: error %v", err)
			}
		}
		f, fresh, err := b.Finish(ctx, r.ID, nil, tester)
		must(t, err)
		if _, again, err := b.Finish(ctx, r.ID, nil, tester); err != nil || !fresh || again {
			t.Errorf("finished again: error %v", err)
		}
		ready = append(ready, f.Ready...)
		kept := 0
		for _, s := range p.Sticks {
			if s.Left.Becomes == plan.Kept {
				kept++
			}
		}
		for _, o := range f.Offcuts {
			if !slices.ContainsFunc(p.Sticks, func(s plan.Stick) bool { return s.Left.ID == o.Name && s.Left.Length == o.Length }) {
				t.Errorf("offcut %+v is not called as in the plan", o)
			}
		}
		if len(f.Offcuts) != kept || len(f.Used) != len(p.Sticks) || len(f.Missing) > 0 || len(f.Returned) > 0 {
			t.Errorf("finished %+v, want %d offcuts of %d sticks", f, kept, len(p.Sticks))
		}
	}
	if len(ready) != 3 {
		t.Errorf("ready: %v", ready)
	}
	sound(t, b)
	_, err = b.Do(ctx, tester, MarkJobs(JobCollected, ready...))
	must(t, err)
	w, done, err := b.Rest(ctx)
	must(t, err)
	if len(w.Jobs) != 0 || len(done) != 0 {
		t.Errorf("left: %v, %v", w.Jobs, done)
	}
	yields, err := b.Yields(ctx, ByProfile)
	must(t, err)
	if len(yields) != len(d.Profiles) {
		t.Fatalf("yields %+v", yields)
	}
	for _, y := range yields {
		for _, p := range d.Profiles {
			if p.Name == y.Of && (y.Yield != p.Figures.Yield || y.Waste != p.Figures.Waste) {
				t.Errorf("%s: the book has yield %d and waste %s, the plan %d and %s", y.Of, y.Yield, y.Waste, p.Figures.Yield, p.Figures.Waste)
			}
		}
	}
	for _, by := range []YieldBy{ByWeek, BySupplier} {
		again, err := b.Yields(ctx, by)
		must(t, err)
		var a, z model.Money
		for _, y := range yields {
			a += y.WasteCost
		}
		for _, y := range again {
			z += y.WasteCost
		}
		if a != z || a == 0 {
			t.Errorf("waste by profile %d, by %s %d", a, by, z)
		}
	}
}

// TestMishaps spoils sides and sticks, and plans and cuts the rest.
func TestMishaps(t *testing.T) {
	b := newShop(t)
	ctx := t.Context()
	d := planOf(t, b)
	id := keepPlan(t, b, d)
	orders := placeOrders(t, b, id, false)
	receive(t, b, orders[0].ID, Receipt{})
	r := startRun(t, b, "oak-40", id)
	first, last := r.Sticks[0], r.Sticks[len(r.Sticks)-1]
	cut(t, b, r.ID, first.Number, []int{1}, runs.Short)
	_, _, err := b.Cut(ctx, r.ID, first.Number, []int{1}, runs.Done, tester)
	wantError(t, err, model.BadUsage, "is short already")
	cut(t, b, r.ID, first.Number, nil, runs.Done)
	cut(t, b, r.ID, first.Number, []int{2}, runs.Torn)
	_, _, err = b.Cut(ctx, r.ID, 99, nil, runs.Done, tester)
	wantError(t, err, model.BadUsage, "no stick 99")
	_, _, err = b.Cut(ctx, r.ID, first.Number, []int{77}, runs.Done, tester)
	wantError(t, err, model.BadUsage, "no side 77")
	_, err = b.Flaw(ctx, r.ID, last.Number, "knot", tester)
	must(t, err)
	_, _, err = b.Cut(ctx, r.ID, last.Number, nil, runs.Done, tester)
	wantError(t, err, model.BadUsage, "knot")
	_, _, err = b.Finish(ctx, r.ID, map[int]model.Length{last.Number: 9 * model.Metre}, tester)
	wantError(t, err, model.BadUsage, "cannot be left")
	f := finish(t, b, r.ID, map[int]model.Length{last.Number: 350 * model.Millimetre})
	sound(t, b)
	if len(f.Missing) != 2+len(last.Sides) {
		t.Errorf("missing %v", f.Missing)
	}
	_, _, err = b.StartRun(ctx, "oak-40", id, tester)
	wantError(t, err, model.BadUsage, "was cut by plan")
	w, done, err := b.Rest(ctx)
	must(t, err)
	if len(w.Jobs) != 3 || len(done) == 0 {
		t.Errorf("rest: %d jobs, done %v", len(w.Jobs), done)
	}
	life, err := b.StickLife(ctx, last.Stick)
	must(t, err)
	if text := life[len(life)-1].What; !strings.Contains(text, "0 sides done, 0 spoilt, 350 mm kept") {
		t.Errorf("its life ends with %q", text)
	}
	// The rest by a new plan, which has only what is not done.
	d = planOf(t, b)
	const all = 26 // sides in the shop's jobs
	if sides := d.Total.Figures.Sides; sides != all-len(done) {
		t.Errorf("%d sides are planned again, of %d with %d done", sides, all, len(done))
	}
	if minds := planner.UnmatchedFrames(w, d.Profiles, nil); !slices.ContainsFunc(minds, func(m string) bool { return strings.HasPrefix(m, "job "+first.Sides[1].Job+", ") }) {
		t.Errorf("of job %s a side must match what is cut, and the plan's minds are %q", first.Sides[1].Job, minds)
	}
	again := keepPlan(t, b, d)
	orders = placeOrders(t, b, again, false)
	for _, o := range orders {
		receive(t, b, o.ID, Receipt{})
	}
	for _, p := range d.Profiles {
		r := startRun(t, b, p.Name, again)
		for _, s := range r.Sticks {
			cut(t, b, r.ID, s.Number, nil, runs.Done)
		}
		finish(t, b, r.ID, nil)
	}
	sound(t, b)
	jobs, err := b.Jobs(ctx, false)
	must(t, err)
	for _, j := range jobs {
		if j.State != JobReady || j.Cut != j.Sides {
			t.Errorf("%+v", j)
		}
	}
}

// TestReceiveAsItCame receives less, more, shorter and damaged, and twice.
func TestReceiveAsItCame(t *testing.T) {
	b := newShop(t)
	ctx := t.Context()
	id := keepPlan(t, b, planOf(t, b))
	orders := placeOrders(t, b, id, false)
	o := orders[0] // 1 × 2400 mm oak-40 and 2 × 3000 mm black-22
	one := func(a Arrival) Receipt { return Receipt{Arrivals: []Arrival{a}} }
	_, err := b.Receive(ctx, o.ID, one(Arrival{Line: 1, Sticks: 99}), tester)
	wantError(t, err, model.BadUsage, "98 more than the 1 still to come", "--more")
	_, err = b.Receive(ctx, o.ID, one(Arrival{Line: 9, Sticks: 1}), tester)
	wantError(t, err, model.BadUsage, "no line 9")
	_, err = b.Receive(ctx, 77, Receipt{}, tester)
	wantError(t, err, model.BadUsage, "no order 77")
	for _, damage := range [][]model.Span{{{From: 5, To: 5}}, {{From: 5, To: 9}, {From: 8, To: 10}}, {{From: 0, To: 4 * model.Metre}}} {
		_, err = b.Receive(ctx, o.ID, one(Arrival{Line: 1, Sticks: 1, Damage: damage}), tester)
		wantError(t, err, model.BadUsage, "lie apart")
	}
	// One of two: the other line and the other stick are still to come.
	first := one(Arrival{Line: 2, Sticks: 1, Length: 2990 * model.Millimetre, Lot: "L9", Damage: []model.Span{{From: 0, To: model.Centimetre}}})
	names := receive(t, b, o.ID, first)
	life, err := b.StickLife(ctx, names[0])
	must(t, err)
	if len(life) != 1 || !strings.Contains(life[0].What, "order 1") {
		t.Errorf("%+v", life)
	}
	_, err = b.Receive(ctx, o.ID, first, tester)
	wantError(t, err, model.BadUsage, "received today already, by tester", "P1-2", "--again")
	// Nothing more of that line will come, and one too many of the other, which costs as much as the first.
	rest := one(Arrival{Line: 2, Sticks: 0})
	rest.Complete = true
	receive(t, b, o.ID, rest)
	state := func() Purchase {
		t.Helper()
		sound(t, b)
		all, err := b.Purchases(ctx, false)
		must(t, err)
		return all[0]
	}
	if now := state(); now.State != Placed || now.Open || now.Lines[0].ToCome() != 1 || now.Lines[1].ToCome() != 0 || now.Lines[1].Gone != 1 {
		t.Errorf("%+v", now)
	}
	more := one(Arrival{Line: 1, Sticks: 2})
	more.More = true
	names = receive(t, b, o.ID, more)
	if now := state(); now.State != Arrived || now.Lines[0].Extra != 1 || now.Lines[0].ToCome() != 0 {
		t.Errorf("%+v", now)
	}
	var costs []model.Money
	rack, err := b.Rack(ctx)
	must(t, err)
	for _, s := range rack {
		if slices.Contains(names, s.Name) {
			costs = append(costs, s.Cost)
		}
	}
	if !slices.Equal(costs, []model.Money{1750, 1750}) {
		t.Errorf("the two cost %v", costs)
	}
	// What was written off comes after all, once.
	late := one(Arrival{Line: 2, Sticks: 1})
	_, err = b.Receive(ctx, o.ID, late, tester)
	wantError(t, err, model.BadUsage, "1 more than the 0 still to come")
	late.More = true
	receive(t, b, o.ID, late)
	if now := state(); now.Lines[1].Gone != 0 || now.Lines[1].Extra != 0 || now.Lines[1].Arrived != 2 {
		t.Errorf("%+v", now)
	}
	undoAll(t, b)
}

// TestOrders changes an order, adds to it, and sends it, after which it is as it is.
func TestOrders(t *testing.T) {
	b := newShop(t)
	ctx := t.Context()
	id := keepPlan(t, b, planOf(t, b))
	placeOrders(t, b, id, false)
	order := func() Purchase {
		t.Helper()
		sound(t, b)
		o, err := b.Purchase(ctx, 1)
		must(t, err)
		return o
	}
	none := model.OptionalMoney{}
	_, err := b.Do(ctx, tester, AddToOrder("Invented Timber", "oak-40", 3*model.Metre, 2, none), ChangeOrder(1, 2, 3, 0, none))
	must(t, err)
	if o := order(); !o.Open || len(o.Lines) != 3 || o.Lines[2].Cost != 4200 || o.Lines[1].Sticks != 3 || o.Lines[1].Cost != 2880 {
		t.Errorf("%+v", o)
	}
	for _, c := range []struct {
		change Change
		says   string
	}{
		{AddToOrder("Invented Timber", "oak-40", 2*model.Metre, 1, none), "offers no 1 × 2000 mm oak-40"},
		{AddToOrder("Invented Timber", "elm", 2*model.Metre, 1, model.OptionalMoney{Amount: 5, Given: true}), "no profile"},
		{ChangeOrder(1, 7, 1, 0, none), "no line 7"},
		{ChangeOrder(2, 1, 1, 0, none), "no order 2"},
	} {
		_, err := b.Do(ctx, tester, ChangeOrder(1, 1, 9, 0, none), c.change) // and the first is not done either
		wantError(t, err, model.BadUsage, c.says)
	}
	_, err = b.Do(ctx, tester, ChangeOrder(1, 1, 0, 0, none))
	must(t, err)
	_, err = b.Do(ctx, tester, SendOrders())
	must(t, err)
	if o := order(); o.Open || len(o.Lines) != 2 || o.Lines[0].Number != 2 {
		t.Errorf("%+v", o)
	}
	_, err = b.Do(ctx, tester, ChangeOrder(1, 2, 9, 0, none))
	wantError(t, err, model.BadUsage, "was sent on")
	// What is ordered now goes into an order of its own.
	_, err = b.Do(ctx, tester, AddToOrder("Invented Timber", "oak-40", 3*model.Metre, 1, model.OptionalMoney{Amount: 1, Given: true}))
	must(t, err)
	_, err = b.Do(ctx, tester, ChangeOrder(2, 1, 0, 0, none))
	must(t, err)
	all, err := b.Purchases(ctx, false)
	must(t, err)
	if len(all) != 2 || all[1].State != Cancelled {
		t.Errorf("%+v", all)
	}
	undoAll(t, b)
}

// TestUndoEverything takes a whole history back.
func TestUndoEverything(t *testing.T) { undoAll(t, usedShop(t)) }

// undoAll takes back step by step all that was done in a book, which must be sound after each and empty in the end.
func undoAll(t *testing.T, b *Book) {
	t.Helper()
	steps, err := b.Steps(t.Context(), 1000)
	must(t, err)
	standing := 0
	for _, s := range steps {
		if s.Undoes == 0 && s.Undone == 0 {
			standing++
		}
	}
	for ; standing > 0; standing-- {
		_, err := b.Undo(t.Context(), 0, tester)
		must(t, err)
		sound(t, b)
	}
	_, err = b.Undo(t.Context(), 0, tester)
	wantError(t, err, model.BadUsage, "nothing to undo")
	for _, k := range keys {
		var n int
		must(t, b.db.QueryRow("SELECT count(*) FROM "+k).Scan(&n))
		if n != 0 {
			t.Errorf("table %s still has %d rows", k, n)
		}
	}
}

// TestUndoOf says which step is meant, so that it can be repeated.
func TestUndoOf(t *testing.T) {
	b := newShop(t)
	_, err := b.Do(t.Context(), tester, Discard("S1"))
	must(t, err)
	_, err = b.Do(t.Context(), tester, Discard("S2"))
	must(t, err)
	_, err = b.Undo(t.Context(), 2, tester)
	wantError(t, err, model.BadUsage, "step 2 is not the last")
	_, err = b.Undo(t.Context(), 42, tester)
	wantError(t, err, model.BadUsage, "no step 42")
	for i := range 2 {
		s, err := b.Undo(t.Context(), 3, tester)
		must(t, err)
		if want := []int64{3, 0}[i]; s.ID != want {
			t.Errorf("undone %d, want %d", s.ID, want)
		}
	}
	rack, err := b.Rack(t.Context())
	must(t, err)
	if len(rack) != 3 {
		t.Errorf("%d sticks on the rack", len(rack))
	}
}

// TestBlades counts chops from runs and reminds.
func TestBlades(t *testing.T) {
	b := usedShop(t)
	ctx := t.Context()
	all, err := b.Blades(ctx)
	must(t, err)
	var chops, bites int
	must(t, b.db.QueryRow("SELECT sum(chops), sum(chops * strokes) FROM run").Scan(&chops, &bites))
	if len(all) != 1 || all[0].Edges[0] != (Edge{chops, bites}) || chops == 0 || all[0].State != "mounted" || len(all[0].Due) > 0 {
		t.Errorf("%+v, want %d chops and %d bites", all, chops, bites)
	}
	_, err = b.Do(ctx, tester, Remind("set A", 0, chops))
	must(t, err)
	if all, err = b.Blades(ctx); err != nil || len(all[0].Due) != 1 {
		t.Errorf("no reminder: %+v, error %v", all, err)
	}
	_, err = b.Do(ctx, tester, Sharpen("set A", 40*model.Millimetre))
	wantError(t, err, model.BadUsage, "cannot be 40 mm")
	for range 2 {
		_, err = b.Do(ctx, tester, Sharpen("set A", 29*model.Millimetre))
		must(t, err)
	}
	if all, err = b.Blades(ctx); err != nil || all[0].Edges[0].Chops != 0 || all[0].Sharpenings != 2 || all[0].Height != 29*model.Millimetre || len(all[0].Due) > 0 {
		t.Errorf("%+v, error %v", all, err)
	}
	_, err = b.Do(ctx, tester, MountBlade("set Z"))
	wantError(t, err, model.BadUsage, "no blade set")
	sound(t, b)
}
