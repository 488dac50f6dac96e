package book

import (
	"context"
	"fmt"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/runs"
)

// Finished says what finishing a run did.
type Finished struct {
	Offcuts  []runs.Offcut  `json:"offcuts"`  // new on the rack
	Used     []string       `json:"used"`     // sticks
	Returned []string       `json:"returned"` // sticks that nothing was cut from
	Ready    []string       `json:"ready"`    // jobs that all sides are cut of
	Missing  []model.SideID `json:"missing"`  // sides that are still to cut, or to cut again
}

// Finish ends a run: what was cut is used, what is left of a stick and long enough to keep goes on the rack under a new
// name, sticks that nothing was cut from go back, and jobs with all their sides are ready. keep gives, by the stick's
// number in the run, the length of what is left where that is to be kept otherwise than by the rule: 0 for not at all, and a
// length as measured for a stick with a flaw. A run that is finished stays as it is, and fresh is false.
func (b *Book) Finish(ctx context.Context, run int64, keep map[int]model.Length, by By) (f Finished, fresh bool, err error) {
	fresh, err = b.Do(ctx, by, FinishRun(run, keep, func(done Finished) { f = done }))
	return f, fresh, err
}

// FinishRun ends a run as Finish does, and gives told what it did.
func FinishRun(run int64, keep map[int]model.Length, told func(Finished)) Change {
	return Change{"finish run", func(t *transaction) error {
		f := Finished{[]runs.Offcut{}, []string{}, []string{}, []string{}, []model.SideID{}} // lists of nothing, not null, in JSON
		defer func() { told(f) }()
		r, err := t.run(run)
		if err != nil || r.State != "open" {
			return err
		}
		for number := range keep {
			if !slices.ContainsFunc(r.Sticks, func(s runs.Stick) bool { return s.Number == number }) {
				return usageError(t.book.path, fmt.Sprintf("run %d has no stick %d", run, number), "give the number of a stick of this run")
			}
		}
		for _, s := range r.Sticks {
			if err := t.finishStick(r, s, keep, &f); err != nil {
				return err
			}
		}
		// One chop at the head of each stick that was cut from, and one behind each side.
		if _, err := t.exec(`UPDATE run SET state = 'finished', finished = ?1,
			chops = (SELECT coalesce(sum(n + 1), 0) FROM (SELECT count(*) AS n FROM cut WHERE run = ?2 GROUP BY number)) WHERE id = ?2`, t.today(), run); err != nil {
			return err
		}
		if err := t.finishJobs(r, &f); err != nil {
			return err
		}
		if len(f.Missing) > 0 {
			if err := t.settle(run); err != nil {
				return err
			}
		}
		t.tellFinished(r, f)
		return nil
	}}
}

// CutRest writes down that all sides that are still to cut from the sticks in hand of an open run are done.
func CutRest(run int64) Change {
	return Change{"cut", func(t *transaction) error {
		r, err := t.run(run)
		if err != nil || r.State != "open" {
			return err
		}
		for _, s := range r.Sticks {
			if len(s.ToCut()) > 0 {
				if err := CutSides(run, s.Number, nil, runs.Done).do(t); err != nil {
					return err
				}
			}
		}
		return nil
	}}
}

// tellFinished writes into the diary what finishing a run did.
func (t *transaction) tellFinished(r runs.Run, f Finished) {
	t.tell("finished run %d, %s: %s used up", r.ID, r.Profile, count(len(f.Used), "stick"))
	for _, o := range f.Offcuts {
		t.tell("%s, %s, kept of %s", o.Name, t.near(o.Length), o.Of)
	}
	if len(f.Returned) > 0 {
		t.tell("back on the rack uncut: %s", listed(f.Returned))
	}
	if len(f.Missing) > 0 {
		t.tell("%s still to cut", count(len(f.Missing), "side"))
	}
	if len(f.Ready) > 0 {
		t.tell("%s ready", named("job", f.Ready))
	}
}

// tally is what came off a stick.
type tally struct {
	sides             int
	longPoints, takes model.Length
	cost              model.Money // of the sides done
	supplier          string
}

// tally adds up what came off a stick.
func (t *transaction) tally(run int64, s runs.Stick) (c tally, err error) {
	err = t.row(`SELECT count(*), coalesce(sum(iif(spoilt = 0, long_point_nm, 0)), 0), coalesce(sum(takes_nm), 0), coalesce(sum(cost_minor), 0),
			(SELECT supplier FROM stick WHERE name = ?3)
		FROM cut WHERE run = ?1 AND number = ?2`, run, s.Number, s.Stick).Scan(&c.sides, &c.longPoints, &c.takes, &c.cost, &c.supplier)
	return c, err
}

// finishStick books one stick, unless that is done: its offcut was wanted again while the run went on.
func (t *transaction) finishStick(r runs.Run, s runs.Stick, keep map[int]model.Length, f *Finished) error {
	if s.State != "open" {
		if s.State == "cut" {
			f.Used = append(f.Used, s.Stick)
		}
		return nil
	}
	c, err := t.tally(r.ID, s)
	if err != nil {
		return err
	}
	wish, wished := keep[s.Number]
	if c.sides == 0 && !wished && (s.Flaw == "" || s.WorthKeeping(model.Span{To: s.Length})) {
		f.Returned = append(f.Returned, s.Stick)
		return t.returnStick(r.ID, s)
	}
	pieces := s.Left()
	last := &pieces[len(pieces)-1]
	if wished { // what the framer measured at the tail
		*last = model.Span{From: s.Length - wish, To: s.Length}
	}
	kept, waste := model.Length(0), s.Cost-c.cost
	for i, p := range pieces {
		isTail := i == len(pieces)-1
		if p.Length() < 0 || kept+p.Length() > s.Length-c.takes || p.Length() == s.Length && wished {
			return usageError(t.book.path, fmt.Sprintf("%s cannot be left of stick %d (%s): it is %s long and its sides take %s", t.in(p.Length()), s.Number, s.Stick, t.in(s.Length), t.in(c.takes)),
				"measure what is left again")
		}
		if p.Length() == 0 || !(wished && isTail) && !s.WorthKeeping(p) {
			continue
		}
		cost := plan.Part(s.Cost, p.Length(), s.Length)
		kept, waste = kept+p.Length(), waste-cost
		if err := t.keepOffcut(r, s, c.supplier, p, s.OffcutOf(i, len(pieces)), cost, f); err != nil {
			return err
		}
	}
	if _, err := t.exec("UPDATE run_stick SET state = 'cut', kept_nm = ?, waste_nm = ?, waste_minor = ? WHERE run = ? AND number = ?",
		kept, s.Length-c.longPoints-kept, waste, r.ID, s.Number); err != nil {
		return err
	}
	f.Used = append(f.Used, s.Stick)
	_, err = t.exec("UPDATE stick SET state = 'used' WHERE name = ?", s.Stick)
	return err
}

// returnStick lays a stick of a run back on the rack.
func (t *transaction) returnStick(run int64, s runs.Stick) error {
	if _, err := t.exec("UPDATE run_stick SET state = 'returned' WHERE run = ? AND number = ?", run, s.Number); err != nil {
		return err
	}
	_, err := t.exec("UPDATE stick SET state = 'rack' WHERE name = ?", s.Stick)
	return err
}

// settleWaste puts the waste of a stick right that is booked already and of which a side was found to be spoilt after all.
func (t *transaction) settleWaste(run int64, s runs.Stick) error {
	if s.State != "cut" {
		return nil
	}
	_, err := t.exec(`UPDATE run_stick AS r SET
		waste_nm = ?1 - kept_nm - (SELECT coalesce(sum(long_point_nm), 0) FROM cut WHERE run = r.run AND number = r.number AND spoilt = 0),
		waste_minor = ?2 - (SELECT coalesce(sum(cost_minor), 0) FROM cut WHERE run = r.run AND number = r.number)
			- (SELECT coalesce(sum(cost_minor), 0) FROM stick WHERE parent = r.stick)
		WHERE run = ?3 AND number = ?4`, s.Length, s.Cost, run, s.Number)
	return err
}

// keepOffcut puts a piece of a stick on the rack, with the damage that is in it.
func (t *transaction) keepOffcut(r runs.Run, s runs.Stick, supplier string, piece model.Span, name string, cost model.Money, f *Finished) (err error) {
	if name == "" {
		if name, err = t.offcutName(""); err != nil {
			return err
		}
	}
	damage := s.DamageIn(piece)
	if len(damage) == 1 && damage[0] == (model.Span{To: piece.Length()}) { // it was measured, and so is good
		damage = nil
	}
	o := runs.Offcut{Name: name, Of: s.Stick, Place: s.Place, Length: piece.Length()}
	_, err = t.insert("stick", "name", o.Name, "profile", r.Profile, "origin", "offcut", "parent", s.Stick, "supplier", supplier, "lot", s.Lot,
		"place", s.Place, "length_nm", o.Length, "cost_minor", cost, "offcut", 1, "damage_nm", spansText(damage))
	f.Offcuts = append(f.Offcuts, o)
	return err
}

// finishJobs makes the jobs of a run ready that all sides are cut of, and lists the sides of the run that are not.
func (t *transaction) finishJobs(r runs.Run, f *Finished) error {
	var jobs []string
	for _, side := range r.Sides() {
		if !slices.Contains(jobs, side.Job) {
			jobs = append(jobs, side.Job)
		}
		if side.Became == runs.Done || side.Became == runs.Before || slices.Contains(f.Missing, side.SideID) {
			continue
		}
		if in, err := t.doneIn(side.SideID); err != nil {
			return err
		} else if in == 0 {
			f.Missing = append(f.Missing, side.SideID)
		}
	}
	for _, job := range jobs {
		left, err := t.sidesLeft(job)
		if err != nil {
			return err
		}
		if left != 0 {
			continue
		}
		done, err := t.exec("UPDATE job SET state = 'ready' WHERE name = ? AND state = 'open'", job)
		if err != nil {
			return err
		}
		if n, err := done.RowsAffected(); err != nil {
			return err
		} else if n > 0 {
			f.Ready = append(f.Ready, job)
		}
	}
	return nil
}
