package book

import (
	"context"
	"fmt"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/runs"
)

// StartRun begins to cut a profile by a plan (0: the last): its sticks leave the rack. For a stick that the plan buys, or that was on the
// way, it takes one that has arrived of its order and does for it; where none has, the run begins without and waits for it. Where the
// run is open already it takes in what has arrived since, and fresh is false where that is nothing. Sides that are done already are left out.
func (b *Book) StartRun(ctx context.Context, profile string, planID int64, by By) (r runs.Run, fresh bool, err error) {
	step, err := b.write(ctx, "start run", by, func(t *transaction) error {
		d, id, err := t.plan(planID)
		if err != nil {
			return err
		}
		var open, of int64
		found, err := t.one("SELECT id, plan FROM run WHERE profile = ? AND state = 'open'", []any{profile}, &open, &of)
		switch {
		case err != nil:
			return err
		case found && planID != 0 && of != planID:
			return usageError(b.path, fmt.Sprintf("run %d of %s, by plan %d, is still open", open, profile, of), fmt.Sprintf(`finish it first with "longpoint finish %d"`, open))
		case found:
			if r, err = t.run(open); err != nil {
				return err
			}
			names, err := t.takeIn(r)
			if err != nil || len(names) == 0 {
				return err
			}
			r, err = t.run(open)
			r.TookIn = names
			return err
		}
		if _, err := t.planned(d, id, profile); err != nil {
			return err
		}
		if err := t.stillAbout(d, id, func(n News) bool { return n.Cut && (n.Profile == "" || n.Profile == profile) }); err != nil {
			return err
		}
		if r, err = t.startRun(profile, id); err != nil {
			return err
		}
		t.tell("began run %d: %s by plan %d, %s", r.ID, profile, id, count(len(r.Sticks), "stick"))
		for _, a := range r.Waiting {
			t.tell("it waits for %s", t.reason(a))
		}
		return nil
	})
	return r, step != 0, err
}

// hasBegun tells of a run, in a query, whether it counts as begun: it is open, or something was cut in it. One that was ended before the first cut is as if it had
// never been, and its plan can be cut by.
const hasBegun = "(run.state = 'open' OR EXISTS (SELECT 1 FROM cut WHERE cut.run = run.id))"

// planned finds a profile in a plan, and says where it cannot be cut by it.
func (t *transaction) planned(d *plan.Document, id int64, profile string) (plan.ProfilePlan, error) {
	var before int64
	if found, err := t.one("SELECT id FROM run WHERE profile = ? AND plan = ? AND "+hasBegun+" LIMIT 1", []any{profile, id}, &before); err != nil {
		return plan.ProfilePlan{}, err
	} else if found {
		return plan.ProfilePlan{}, usageError(t.book.path, fmt.Sprintf("%s was cut by plan %d already, in run %d", profile, id, before), `make a plan of what is left with "longpoint plan"`)
	}
	for _, p := range d.Profiles {
		if p.Name == profile {
			return p, nil
		}
	}
	return plan.ProfilePlan{}, usageError(t.book.path, fmt.Sprintf("plan %d has nothing to cut of profile %q", id, profile), `name a profile of that plan, which "longpoint plan" shows, or another plan`)
}

// startRun writes the run and those of its sticks that are here.
func (t *transaction) startRun(profile string, planID int64) (r runs.Run, err error) {
	p, err := t.runPlan(planID, profile)
	if err != nil {
		return r, err
	}
	toCut, err := t.toCut(p.ProfilePlan, planID)
	if err != nil {
		return r, err
	}
	f, err := t.sticksFor(p.ProfilePlan, planID, toCut, false)
	if err == nil {
		err = t.nothingHere(p.ProfilePlan, planID, toCut, f)
	}
	if err != nil {
		return r, err
	}
	run, err := t.insert("run", "plan", planID, "profile", profile, "started", t.today(), "state", "open", "strokes", max(p.Bites.Strokes, 1))
	if err != nil {
		return r, err
	}
	if _, err := t.exec("UPDATE run SET (blade, edge) = (SELECT name, edge FROM blade WHERE state = 'mounted') WHERE id = ?", run); err != nil {
		return r, err
	}
	for n, i := range toCut {
		if name := f.sticks[n].Name; name != "" {
			if err := t.join(run, p, i, name, 0); err != nil {
				return r, err
			}
		}
	}
	if err := t.nameOffcuts(run); err != nil {
		return r, err
	}
	return t.run(run)
}

// nothingHere is the error of a run that cannot begin: it names every stick of the rack that is not as the plan has it, or all where nothing is here.
func (t *transaction) nothingHere(p plan.ProfilePlan, planID int64, places []int, f found) error {
	if slices.ContainsFunc(f.sticks, func(s RackStick) bool { return s.Name != "" }) {
		return f.wrong.AsError()
	}
	mixed, err := t.mixed(p, planID, places)
	if err != nil {
		return err
	}
	errs := f.wrong
	for _, m := range mixed {
		errs = append(errs, usageError(t.book.path, fmt.Sprintf("%s: the sides are to be of one lot, and what is here for plan %d is of %s", listed(m.Frames), planID, listed(m.Lots)),
			`plan again, with the rack as it is, with "longpoint plan"`))
	}
	if len(errs) > 0 {
		return errs.AsError()
	}
	for _, g := range f.groups {
		errs = append(errs, usageError(t.book.path, fmt.Sprintf("%s: the sides are to be of one lot, and not all sticks are here that plan %d cuts them from", listed(g.frames), planID), planAgain))
	}
	for n, i := range places {
		if s := p.Sticks[i]; !slices.ContainsFunc(f.groups, func(g lotGroup) bool { return slices.Contains(g.places, n) }) {
			errs = append(errs, usageError(t.book.path, fmt.Sprintf("%s of plan %d, %s long, is not on the rack: it has not arrived, or none that arrived is so long and sound where it is cut",
				s.ID, planID, t.in(s.Length)), planAgain))
		}
	}
	return errs.AsError()
}

// toCut gives the plan's sticks, by their place in it, that have sides which are not done. A side that is not wanted any more as the plan
// has it, for its job was changed or dropped, is an error.
func (t *transaction) toCut(p plan.ProfilePlan, planID int64) (sticks []int, err error) {
	wanted, err := t.wanted()
	if err != nil {
		return nil, err
	}
	for i, s := range p.Sticks {
		left := 0
		for _, side := range s.Sides {
			id := side.SideID
			if in, err := t.doneIn(id); err != nil {
				return nil, err
			} else if in != 0 {
				continue
			}
			left++
			if wanted[id] != side.LongPoint {
				return nil, usageError(t.book.path, fmt.Sprintf("%s is not to be cut any more as plan %d has it: its job was changed or dropped", id, planID), `make a new one with "longpoint plan"`)
			}
		}
		if left > 0 {
			sticks = append(sticks, i)
		}
	}
	if len(sticks) == 0 {
		return nil, usageError(t.book.path, fmt.Sprintf("all sides of %s in plan %d are cut", p.Name, planID), `make a plan of what is left with "longpoint plan"`)
	}
	return sticks, nil
}

// wanted gives the sides of all open jobs, each with its long point.
func (t *transaction) wanted() (map[model.SideID]model.Length, error) {
	w, err := t.workshop()
	if err != nil {
		return nil, err
	}
	all := map[model.SideID]model.Length{}
	for _, j := range w.Jobs {
		if err := sidesOf(j, w, all); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// sidesOf puts the sides of a job into a map, each with its long point.
func sidesOf(j model.Job, w *model.Workshop, into map[model.SideID]model.Length) error {
	for _, f := range j.Frames {
		rings, err := f.Geometry(w.ProfileByName)
		if err != nil {
			return err
		}
		for copy := 1; copy <= f.Quantity; copy++ {
			for n, ring := range rings {
				for _, s := range ring.Sides {
					into[model.SideID{Job: j.ID, Frame: f.ID, Copy: copy, Ring: n + 1, Letter: s.Letter}] = s.LongPoint
				}
			}
		}
	}
	return nil
}

// doneIn is the run in which a side was cut; 0: it was not.
func (t *transaction) doneIn(s model.SideID) (run int64, err error) {
	_, err = t.one("SELECT run FROM cut WHERE job = ? AND frame = ? AND copy = ? AND ring = ? AND letter = ? AND spoilt = 0",
		[]any{s.Job, s.Frame, s.Copy, s.Ring, s.Letter}, &run)
	return run, err
}

// Run gives a run as it stands.
func (b *Book) Run(ctx context.Context, id int64) (runs.Run, error) {
	return look(ctx, b, func(t *transaction) (runs.Run, error) { return t.run(id) })
}

// OpenRuns gives the runs that are not finished, without their sticks.
func (b *Book) OpenRuns(ctx context.Context) (open []runs.Run, err error) {
	err = b.read(ctx, func(t *transaction) error {
		return t.each("SELECT id, plan, profile, started, state FROM run WHERE state = 'open' ORDER BY id", nil, func(scan func(...any) error) error {
			var r runs.Run
			defer func() { open = append(open, r) }()
			return scan(&r.ID, &r.Plan, &r.Profile, &r.Started, &r.State)
		})
	})
	return open, err
}

// Cut writes down what became of sides of a stick in an open run: Done, Short or Torn. No places are all that are still to
// cut. What is written down already just so stays; a side that was done can still turn out short or torn. The run is read within the step: an
// error always means that nothing is written down.
func (b *Book) Cut(ctx context.Context, run int64, stick int, places []int, became string, by By) (r runs.Run, fresh bool, err error) {
	fresh, err = b.Do(ctx, by, CutSides(run, stick, places, became), Change{"cut", func(t *transaction) (err error) {
		r, err = t.run(run)
		return err
	}})
	return r, fresh, err
}

// CutSides writes down what became of sides of a stick, as Cut does.
func CutSides(run int64, stick int, places []int, became string) Change {
	return Change{"cut", func(t *transaction) error {
		places := slices.Clone(places)
		r, s, err := t.openStick(run, stick)
		if err != nil {
			return err
		}
		if len(places) == 0 {
			for _, side := range s.ToCut() {
				places = append(places, side.Place)
			}
			if n := slices.IndexFunc(s.Sides, func(side runs.Side) bool { return side.Became == runs.PutOff }); len(places) == 0 && n >= 0 {
				places = append(places, s.Sides[n].Place) // which says why it cannot be
			}
		}
		var cut []string
		for _, place := range places {
			n := slices.IndexFunc(s.Sides, func(side runs.Side) bool { return side.Place == place })
			if n < 0 {
				return usageError(t.book.path, fmt.Sprintf("stick %d of run %d has no side %d; it has %d", stick, run, place, len(s.Sides)), `give the number that stands before the side in "longpoint run"`)
			}
			side := s.Sides[n]
			if err := t.cut(r, s, side, became); err != nil {
				return err
			}
			cut = append(cut, fmt.Sprintf("%s %s %s", side.Job, side.Letter, t.asCut(side.LongPoint)))
		}
		t.tell("run %d, %s: %s %s", run, s.Stick, listed(cut), became)
		return nil
	}}
}

// openStick gives an open run and a stick of it.
func (t *transaction) openStick(run int64, number int) (r runs.Run, s runs.Stick, err error) {
	if r, err = t.run(run); err != nil {
		return r, s, err
	}
	if r.State != "open" {
		return r, s, usageError(t.book.path, fmt.Sprintf("run %d is finished", run), `take the finish back with "longpoint undo" first, if something in it is wrong`)
	}
	for _, s := range r.Sticks {
		if s.Number == number && s.State != "returned" {
			return r, s, nil
		}
	}
	return r, s, usageError(t.book.path, fmt.Sprintf("run %d has no stick %d", run, number), fmt.Sprintf(`see "longpoint run" for the sticks of run %d`, run))
}

// cut writes down one side.
func (t *transaction) cut(r runs.Run, s runs.Stick, side runs.Side, became string) (err error) {
	refuse := func(what, do string) error {
		return usageError(t.book.path, fmt.Sprintf("run %d, stick %d, side %d (%s) %s", r.ID, s.Number, side.Place, side.SideID, what), do)
	}
	switch {
	case side.Became == became:
		return nil
	case side.Became == runs.Before:
		return refuse("was cut in another run already", `see "longpoint run" for what is still to cut`)
	case side.Became == runs.PutOff:
		return refuse("cannot be cut from this stick: "+s.Flaw, `take that back with "longpoint undo" first, if the stick is good after all`)
	case side.Became != runs.ToCut && became == runs.Done || side.Became == runs.Short || side.Became == runs.Torn || side.Became == runs.Unwanted:
		return refuse("is "+side.Became+" already", `take that step back with "longpoint undo", if it was a slip`)
	}
	spoilt, cost, pays := 0, model.Money(0), model.Money(0)
	if became == runs.Done {
		var all model.Money
		if err := t.row("SELECT cost_minor FROM stick WHERE name = ?", s.Stick).Scan(&all); err != nil {
			return err
		}
		cost = plan.Part(all, side.LongPoint, s.Length)
		if pays, err = t.pays(r, s, side.SideID); err != nil {
			return err
		}
	} else if err := t.row("SELECT coalesce(max(spoilt), 0) + 1 FROM cut WHERE job = ? AND frame = ? AND copy = ? AND ring = ? AND letter = ?",
		side.Job, side.Frame, side.Copy, side.Ring, side.Letter).Scan(&spoilt); err != nil {
		return err
	}
	if side.Became == runs.Done { // and is so no longer
		if _, err := t.exec("UPDATE cut SET spoilt = ?, became = ?, cost_minor = 0, share_minor = 0 WHERE run = ? AND number = ? AND place = ?", spoilt, became, r.ID, s.Number, side.Place); err != nil {
			return err
		}
		return t.settleWaste(r.ID, s)
	}
	_, err = t.insert("cut", "run", r.ID, "number", s.Number, "place", side.Place, "job", side.Job, "frame", side.Frame, "copy", side.Copy,
		"ring", side.Ring, "letter", side.Letter, "long_point_nm", side.LongPoint, "takes_nm", side.As.Takes,
		"cost_minor", cost, "share_minor", pays, "spoilt", spoilt, "became", became, "plan", s.By.ID, "start_nm", side.As.Start)
	return err
}

// pays is what a side's job pays for it. A mishap changes nothing about that: where the plan that the run began by has the side, it counts.
func (t *transaction) pays(r runs.Run, s runs.Stick, side model.SideID) (model.Money, error) {
	first, err := t.runPlan(r.Plan, r.Profile)
	if err != nil {
		return 0, err
	}
	if pays, there := first.ShareOf(side); there {
		return pays, nil
	}
	pays, _ := s.By.ShareOf(side)
	return pays, nil
}
