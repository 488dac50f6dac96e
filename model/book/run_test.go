package book

import (
	"fmt"
	"path/filepath"
	"slices"
	"sync"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/runs"
)

// squareShop is the small shop, in which frame print of job 101 is 400 mm square.
func squareShop(t *testing.T) *Book {
	t.Helper()
	w := smallShop()
	w.Jobs[0].Frames[0].Rings[0].Size = model.Size{Shape: model.Shape{Sides: 4}, By: model.ByOutside, Width: 400 * model.Millimetre, Height: 400 * model.Millimetre}
	path := filepath.Join(t.TempDir(), "shop.book")
	must(t, Create(t.Context(), path, func(b *Book) error { return b.Fill(t.Context(), w, tester) }))
	return openBook(t, path)
}

// byHand keeps a plan that cuts sides of job 101, frame print, from the rack's stick S1, each taking 5 mm more than its long point.
func byHand(t *testing.T, b *Book, letters ...string) (id int64) {
	t.Helper()
	p := plan.ProfilePlan{Name: "oak-40", HeadTrim: 40 * model.Millimetre, Bites: plan.Bites{Strokes: 4},
		Sticks: []plan.Stick{{ID: "S1", From: plan.FromRack, Length: 2290 * model.Millimetre}}}
	at := p.HeadTrim
	for _, l := range letters {
		p.Sticks[0].Sides = append(p.Sticks[0].Sides, plan.Side{SideID: model.SideID{Job: "101", Frame: "print", Copy: 1, Ring: 1, Letter: l},
			LongPoint: 400 * model.Millimetre, Start: at + 2_500_000, Takes: 405 * model.Millimetre})
		at += 405 * model.Millimetre
	}
	p.Sticks[0].Left = plan.Left{Length: p.Sticks[0].Length - at, Becomes: plan.Kept, ID: "offcut 1"}
	id = keepPlan(t, b, &plan.Document{Format: plan.Format, Profiles: []plan.ProfilePlan{p}})
	return id
}

// TestOneStickByHand cuts two sides from a stick that is damaged near its tail: 2290 − 40 − 2 × 405 = 1440 mm are left, in
// which the damage from 2200 to 2210 mm lies from 1350 to 1360 mm. Its 796 cents are shared by length: 139 for each side of
// 400 mm, 500 for the offcut, 18 for the waste. The blades made three chops of four bites.
func TestOneStickByHand(t *testing.T) {
	b := squareShop(t)
	ctx := t.Context()
	_, err := b.write(ctx, "look", tester, func(t *transaction) error {
		_, err := t.exec("UPDATE stick SET damage_nm = '2200000000-2210000000', cost_minor = 796 WHERE name = 'S1'")
		return err
	})
	must(t, err)
	_, err = b.Do(ctx, tester, AddBlade(Blade{Name: "set A", Height: 30 * model.Millimetre}))
	must(t, err)
	_, err = b.Do(ctx, tester, MountBlade("set A"))
	must(t, err)
	r := startRun(t, b, "oak-40", byHand(t, b, "A", "B", "C"))
	_, _, err = b.Cut(ctx, r.ID, 1, []int{1, 2}, runs.Done, tester) // and not the third
	must(t, err)
	f := finish(t, b, r.ID, nil)
	if len(f.Offcuts) != 1 || f.Offcuts[0].Length != 1440*model.Millimetre || len(f.Ready) != 0 {
		t.Errorf("%+v", f)
	}
	rack, err := b.Rack(ctx)
	must(t, err)
	for _, s := range rack {
		if s.Name != "offcut 1" {
			continue
		}
		if len(s.Damage) != 1 || s.Damage[0] != (model.Span{From: 1350 * model.Millimetre, To: 1360 * model.Millimetre}) || s.Cost != 500 || s.Of != "S1" || s.Place != "left" || !s.Offcut {
			t.Errorf("%+v", s)
		}
	}
	yields, err := b.Yields(ctx, ByProfile)
	must(t, err)
	if y := yields[0]; y.WasteCost != 18 || y.LongPoints != 800*model.Millimetre || y.UsedUp != 850*model.Millimetre || y.Yield != 941_176 {
		t.Errorf("%+v", y)
	}
	blades, err := b.Blades(ctx)
	must(t, err)
	if blades[0].Edges[0] != (Edge{3, 12}) {
		t.Errorf("%+v", blades[0])
	}
	sound(t, b)
}

// TestSideOfAnotherRun leaves out what was done in another run, and lets nobody write it down again.
func TestSideOfAnotherRun(t *testing.T) {
	b := squareShop(t)
	ctx := t.Context()
	first := byHand(t, b, "A", "B")
	r := startRun(t, b, "oak-40", first)
	cut(t, b, r.ID, 1, []int{1}, runs.Done)
	_, err := b.Flaw(ctx, r.ID, 1, "split", tester)
	must(t, err)
	finish(t, b, r.ID, nil)
	_, err = b.write(ctx, "find", tester, func(tx *transaction) error { // another S1
		if _, err := tx.exec("UPDATE stick SET name = 'old S1' WHERE name = 'S1'"); err != nil {
			return err
		}
		return tx.addStick(model.Stick{ID: "S1", Profile: "oak-40", Length: 2290 * model.Millimetre}, 100)
	})
	must(t, err)
	r = startRun(t, b, "oak-40", byHand(t, b, "A", "B", "C"))
	if became := r.Sticks[0].Sides[0].Became; became != runs.Before {
		t.Errorf("side A is %s", became)
	}
	for _, became := range []string{runs.Done, runs.Short, runs.Torn} {
		_, _, err = b.Cut(ctx, r.ID, 1, []int{1}, became, tester)
		wantError(t, err, model.BadUsage, "was cut in another run already")
	}
	cut(t, b, r.ID, 1, nil, runs.Done)
	f := finish(t, b, r.ID, nil)
	if len(f.Offcuts) != 1 || f.Offcuts[0].Length != 1440*model.Millimetre { // side A was not cut again
		t.Errorf("%+v", f)
	}
	sound(t, b)
	life, err := b.StickLife(ctx, "old S1")
	must(t, err)
	if last := life[len(life)-1].What; last != "changed: name S1 → old S1" {
		t.Errorf("its life ends with %q", last)
	}
}

// TestEveryConnection looks at what each of several connections at once was told.
func TestEveryConnection(t *testing.T) {
	b := newShop(t)
	var all sync.WaitGroup
	for range 5 {
		c, err := b.db.Conn(t.Context())
		must(t, err)
		defer c.Close()
		all.Go(func() {
			for pragma, want := range map[string]string{"foreign_keys": "1", "journal_mode": "wal", "synchronous": "2", "busy_timeout": fmt.Sprint(BusyTime.Milliseconds())} {
				var got string
				if err := c.QueryRowContext(t.Context(), "PRAGMA "+pragma).Scan(&got); err != nil || got != want {
					t.Errorf("%s is %s, want %s, error %v", pragma, got, want, err)
				}
			}
		})
	}
	all.Wait()
}

// TestDamagedStick cuts on both sides of a damaged part. When all is cut as planned, what the plan keeps before the damage goes on the
// rack as well; when something is not, only the tail does, with the damage that is in it.
func TestDamagedStick(t *testing.T) {
	mm := func(n int) model.Length { return model.Length(n) * model.Millimetre }
	for _, c := range []struct {
		name   string
		places []int
		want   []model.Length
		damage []model.Span
	}{
		{"all as planned", []int{1, 2}, []model.Length{mm(555), mm(875)}, nil},
		{"only before the damage", []int{1}, []model.Length{mm(1845)}, []model.Span{{From: mm(555), To: mm(565)}}},
		{"only behind the damage", []int{2}, []model.Length{mm(875)}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := squareShop(t)
			_, err := b.write(t.Context(), "look", tester, func(t *transaction) error {
				_, err := t.exec("UPDATE stick SET damage_nm = '1000000000-1010000000' WHERE name = 'S1'")
				return err
			})
			must(t, err)
			side := func(letter string, at model.Length) plan.Side {
				return plan.Side{SideID: model.SideID{Job: "101", Frame: "print", Copy: 1, Ring: 1, Letter: letter}, LongPoint: mm(400), Start: at + 2_500_000, Takes: mm(405)}
			}
			id, err := b.KeepPlan(t.Context(), &plan.Document{Format: plan.Format, Profiles: []plan.ProfilePlan{{Name: "oak-40", HeadTrim: mm(40),
				Sticks: []plan.Stick{{ID: "S1", From: plan.FromRack, Length: mm(2290), Sides: []plan.Side{side("A", mm(40)), side("B", mm(1010))},
					Between: []plan.Left{{Length: mm(555), Becomes: plan.Kept, ID: "offcut 1"}}, Left: plan.Left{Length: mm(875), Becomes: plan.Kept, ID: "offcut 2"}}}}}}, tester)
			must(t, err)
			r := startRun(t, b, "oak-40", id)
			cut(t, b, r.ID, 1, c.places, runs.Done)
			f := finish(t, b, r.ID, nil)
			var got []model.Length
			for _, o := range f.Offcuts {
				got = append(got, o.Length)
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("offcuts of %v, want %v", got, c.want)
			}
			rack, err := b.Rack(t.Context())
			must(t, err)
			for _, s := range rack {
				if s.Of == "S1" && len(c.damage) > 0 && !slices.Equal(s.Damage, c.damage) || s.Of == "S1" && len(c.damage) == 0 && len(s.Damage) > 0 {
					t.Errorf("%+v, want damage %v", s, c.damage)
				}
			}
			sound(t, b)
		})
	}
}

// TestNotAsOrdered cuts a stick that came 10 mm longer than ordered and is damaged where its head is trimmed off and at its very tail:
// all can be cut, and the offcut goes from the last side to the damage, which was not planned.
func TestNotAsOrdered(t *testing.T) {
	b := squareShop(t)
	mm := func(n int) model.Length { return model.Length(n) * model.Millimetre }
	id, err := b.KeepPlan(t.Context(), &plan.Document{Format: plan.Format,
		Buy: []plan.Purchase{{Supplier: "Invented Timber", Profile: "oak-40", Length: mm(3000), Count: 1, Price: 2100, Cost: 2100}},
		Profiles: []plan.ProfilePlan{{Name: "oak-40", HeadTrim: mm(40), Sticks: []plan.Stick{{ID: "new 1", From: plan.Bought, Supplier: "Invented Timber",
			Length: mm(3000), Sides: []plan.Side{{SideID: model.SideID{Job: "101", Frame: "print", Copy: 1, Ring: 1, Letter: "A"}, LongPoint: mm(400), Start: 42_500_000, Takes: mm(405)}},
			Left: plan.Left{Length: mm(2555), Becomes: plan.Kept, ID: "offcut 1"}}}}}}, tester)
	must(t, err)
	placeOrders(t, b, id, false)
	receive(t, b, 1, Receipt{Arrivals: []Arrival{{Line: 1, Sticks: 1, Length: mm(3010), Damage: []model.Span{{From: 0, To: mm(40)}, {From: mm(2990), To: mm(3010)}}}}})
	r := startRun(t, b, "oak-40", id)
	cut(t, b, r.ID, 1, nil, runs.Done)
	f := finish(t, b, r.ID, nil)
	if len(f.Offcuts) != 1 || f.Offcuts[0].Length != mm(2545) {
		t.Errorf("%+v, want an offcut of 2545 mm", f.Offcuts)
	}
	rack, err := b.Rack(t.Context())
	must(t, err)
	for _, s := range rack {
		if s.Name == "offcut 1" && len(s.Damage) > 0 {
			t.Errorf("%+v", s)
		}
	}
	sound(t, b)
}

// TestRestOfAnOpenRun leaves what an open run is about to cut out of the next plan, but not what a flaw has put off.
func TestRestOfAnOpenRun(t *testing.T) {
	b := squareShop(t)
	count := func() int {
		t.Helper()
		w, done, err := b.Rest(t.Context())
		must(t, err)
		marked := 0
		for _, j := range w.Jobs {
			for _, f := range j.Frames {
				marked += len(f.Cut)
			}
		}
		if marked != len(done) {
			t.Errorf("%d sides are marked and %d listed", marked, len(done))
		}
		return marked
	}
	r := startRun(t, b, "oak-40", byHand(t, b, "A", "B"))
	if n := count(); n != 2 {
		t.Errorf("%d sides are left out, want the 2 of the run", n)
	}
	cut(t, b, r.ID, 1, []int{1}, runs.Done)
	_, err := b.Flaw(t.Context(), r.ID, 1, "knot", tester)
	must(t, err)
	if n := count(); n != 1 {
		t.Errorf("%d sides are left out, want the 1 that is done", n)
	}
}
