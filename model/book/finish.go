package book

import (
	"context"
	"fmt"
	"longpoint/model"
	"longpoint/model/plan"
	"slices"
)

// Finished says what finishing a run did.
type Finished struct {
	Offcuts  []Offcut       `json:"offcuts"`  // new on the rack
	Used     []string       `json:"used"`     // sticks
	Returned []string       `json:"returned"` // sticks that nothing was cut from
	Ready    []string       `json:"ready"`    // jobs that all sides are cut of
	Missing  []model.SideID `json:"missing"`  // sides that are still to cut, or to cut again
}

// Offcut is what was kept of a stick.
type Offcut struct {
	Name   string       `json:"stick"`
	Of     string       `json:"of"`
	Place  string       `json:"place,omitempty"`
	Length model.Length `json:"length_nm"`
}

// Finish ends a run: what was cut is used, what is left of a stick and long enough to keep goes on the rack under a new
// name, sticks that nothing was cut from go back, and jobs with all their sides are ready. keep gives, by the stick's
// number in the run, the length of what is left where that is to be kept otherwise than by the rule: 0 for not at all, and a
// length as measured for a stick with a flaw. A run that is finished stays as it is, and fresh is false.
func (b *Book) Finish(ctx context.Context, run int64, keep map[int]model.Length, by By) (f Finished, fresh bool, err error) {
	f = Finished{[]Offcut{}, []string{}, []string{}, []string{}, []model.SideID{}} // lists of nothing, not null, in JSON
	step, err := b.write(ctx, "finish run", by, func(t *transaction) error {
		r, err := t.run(run)
		if err != nil || r.State != "open" {
			return err
		}
		for number := range keep {
			if !slices.ContainsFunc(r.Sticks, func(s RunStick) bool { return s.Number == number }) {
				return usageError(b.path, fmt.Sprintf("run %d has no stick %d", run, number), "give the number of a stick of this run")
			}
		}
		chops := 0
		for _, s := range r.Sticks {
			n, err := t.finishStick(r, s, keep, &f)
			if err != nil {
				return err
			}
			chops += n
		}
		if _, err := t.exec("UPDATE run SET state = 'finished', finished = ?, chops = ? WHERE id = ?", t.today(), chops, run); err != nil {
			return err
		}
		if err := t.finishJobs(r, &f); err != nil {
			return err
		}
		t.tellFinished(r, f)
		return nil
	})
	return f, step != 0, err
}

// tellFinished writes into the diary what finishing a run did.
func (t *transaction) tellFinished(r Run, f Finished) {
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

// tally is what came off a stick, and what it was before.
type tally struct {
	sides             int
	longPoints, takes model.Length
	cost              model.Money // of the sides done
	all               model.Money // of the stick
	head              model.Length
	keep              model.Length // from this length on an offcut is kept
	profile, supplier string
	lot               string
	damage            []model.Span
}

// tally adds up what came off a stick.
func (t *transaction) tally(run int64, s RunStick) (c tally, err error) {
	if err := t.row(`SELECT count(*), coalesce(sum(iif(spoilt = 0, long_point_nm, 0)), 0), coalesce(sum(takes_nm), 0), coalesce(sum(cost_minor), 0)
		FROM cut WHERE run = ? AND number = ?`, run, s.Number).Scan(&c.sides, &c.longPoints, &c.takes, &c.cost); err != nil {
		return c, err
	}
	var damage string
	if err := t.row(`SELECT r.head_nm, s.cost_minor, p.keep_nm, s.profile, s.supplier, s.lot, s.damage_nm
		FROM run_stick AS r JOIN stick AS s ON s.name = r.stick JOIN profile AS p ON p.name = s.profile
		WHERE r.run = ? AND r.number = ?`, run, s.Number).Scan(&c.head, &c.all, &c.keep, &c.profile, &c.supplier, &c.lot, &damage); err != nil {
		return c, err
	}
	c.damage, err = parseSpans(damage)
	return c, err
}

// left gives what can be kept of a stick: as planned where every side came off it, with what the stick has more than was planned at
// its tail; else its tail alone. damaged tells that there may be damage in the tail that the plan does not know of.
func (c tally) left(s RunStick, planned plan.Stick) (pieces []plan.Left, damaged bool) {
	if !slices.ContainsFunc(s.Sides, func(side RunSide) bool { return !isCut(side) }) {
		tail := planned.Left
		tail.Length += s.Length - planned.Length
		return append(slices.Clone(planned.Between), tail), len(planned.Damage) == 0 && len(c.damage) > 0
	}
	// Sides of a sound stick lie one behind the other, whichever of them were cut. Beside damage each has its own place.
	from, end := s.Length, c.head
	for i, side := range s.Sides {
		p := planned.Sides[i]
		from = min(from, slot(p))
		if isCut(side) {
			end = max(end, slot(p)+p.Takes)
		}
	}
	if len(c.damage) == 0 {
		end = from + c.takes
	}
	return []plan.Left{{Length: max(s.Length-end, 0)}}, true
}

// isCut tells whether a side came off its stick in this run.
func isCut(s RunSide) bool { return s.Became == Done || s.Became == Short || s.Became == Torn }

// finishStick books one stick and gives the chops it took: one at the head and one behind each side.
func (t *transaction) finishStick(r Run, s RunStick, keep map[int]model.Length, f *Finished) (chops int, err error) {
	c, err := t.tally(r.ID, s)
	if err != nil {
		return 0, err
	}
	wish, wished := keep[s.Number]
	if c.sides == 0 && s.Flaw == "" && !wished {
		if _, err := t.exec("UPDATE run_stick SET state = 'returned' WHERE run = ? AND number = ?", r.ID, s.Number); err != nil {
			return 0, err
		}
		_, err := t.exec("UPDATE stick SET state = 'rack' WHERE name = ?", s.Stick)
		f.Returned = append(f.Returned, s.Stick)
		return 0, err
	}
	pieces, damaged := c.left(s, r.planned(s.Number))
	last := &pieces[len(pieces)-1]
	if wished { // what the framer measured at the tail
		last.Length = wish
	}
	kept, waste := model.Length(0), c.all-c.cost
	for i, p := range pieces {
		isTail := i == len(pieces)-1
		if p.Length < 0 || kept+p.Length > s.Length-c.takes || p.Length == s.Length {
			return 0, usageError(t.book.path, fmt.Sprintf("%s cannot be left of stick %d (%s): it is %s long and its sides take %s", t.in(p.Length), s.Number, s.Stick, t.in(s.Length), t.in(c.takes)),
				"measure what is left again")
		}
		if p.Length == 0 || !(wished && isTail) && (s.Flaw != "" || c.keep == 0 || p.Length < c.keep) {
			continue
		}
		var damage []model.Span
		if damaged && isTail {
			damage = tailSpans(c.damage, s.Length-p.Length)
		}
		cost := share(c.all, p.Length, s.Length)
		kept, waste = kept+p.Length, waste-cost
		if err := t.keepOffcut(s, c, p, cost, damage, f); err != nil {
			return 0, err
		}
	}
	if _, err := t.exec("UPDATE run_stick SET state = 'cut', kept_nm = ?, waste_nm = ?, waste_minor = ? WHERE run = ? AND number = ?",
		kept, s.Length-c.longPoints-kept, waste, r.ID, s.Number); err != nil {
		return 0, err
	}
	if _, err := t.exec("UPDATE stick SET state = 'used' WHERE name = ?", s.Stick); err != nil {
		return 0, err
	}
	f.Used = append(f.Used, s.Stick)
	if c.sides == 0 {
		return 0, nil
	}
	return c.sides + 1, nil
}

// keepOffcut puts a piece of a stick on the rack.
func (t *transaction) keepOffcut(s RunStick, c tally, piece plan.Left, cost model.Money, damage []model.Span, f *Finished) error {
	name, err := t.offcutName(piece.ID)
	if err != nil {
		return err
	}
	o := Offcut{Name: name, Of: s.Stick, Place: s.Place, Length: piece.Length}
	_, err = t.insert("stick", "name", o.Name, "profile", c.profile, "origin", "offcut", "parent", s.Stick, "supplier", c.supplier, "lot", c.lot,
		"place", s.Place, "length_nm", piece.Length, "cost_minor", cost, "offcut", 1, "damage_nm", spansText(damage))
	f.Offcuts = append(f.Offcuts, o)
	return err
}

// offcutName gives the name that the plan has for an offcut where nothing was ever called so, and else "offcut" and a number above
// that of the last.
func (t *transaction) offcutName(planned string) (name string, err error) {
	if planned != "" {
		if taken, err := t.one("SELECT id FROM stick WHERE name = ?", []any{planned}, new(int64)); err != nil || !taken {
			return planned, err
		}
	}
	n := 0
	if _, err := t.one("SELECT CAST(substr(name, 8) AS INTEGER) FROM stick WHERE origin = 'offcut' AND name GLOB 'offcut [0-9]*' ORDER BY id DESC LIMIT 1", nil, &n); err != nil {
		return "", err
	}
	for taken := true; taken; {
		n++
		name = fmt.Sprintf("offcut %d", n)
		if taken, err = t.one("SELECT id FROM stick WHERE name = ?", []any{name}, new(int64)); err != nil {
			return "", err
		}
	}
	return name, nil
}

// tailSpans gives the damage of what is left of a stick when its first length is gone.
func tailSpans(all []model.Span, gone model.Length) (out []model.Span) {
	for _, s := range all {
		if s.To > gone {
			out = append(out, model.Span{From: max(s.From-gone, 0), To: s.To - gone})
		}
	}
	return out
}

// finishJobs makes the jobs of a run ready that all sides are cut of, and lists the sides of the run that are not.
func (t *transaction) finishJobs(r Run, f *Finished) error {
	var jobs []string
	for _, s := range r.Sticks {
		for _, side := range s.Sides {
			if !slices.Contains(jobs, side.Job) {
				jobs = append(jobs, side.Job)
			}
			if side.Became == Done || side.Became == Before {
				continue
			}
			if in, err := t.doneIn(side.SideID); err != nil {
				return err
			} else if in == 0 {
				f.Missing = append(f.Missing, side.SideID)
			}
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
