package book

import (
	"context"
	"fmt"
	"slices"

	"longpoint/model"
)

// Finished says what finishing a run did.
type Finished struct {
	Offcuts  []Offcut `json:"offcuts"`  // new on the rack
	Used     []string `json:"used"`     // sticks
	Returned []string `json:"returned"` // sticks that nothing was cut from
	Ready    []string `json:"ready"`    // jobs that all sides are cut of
	Missing  []Side   `json:"missing"`  // sides that are still to cut, or to cut again
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
	f = Finished{[]Offcut{}, []string{}, []string{}, []string{}, []Side{}} // lists of nothing, not null, in JSON
	step, err := b.write(ctx, "finish run", by, func(t *Tx) error {
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
		return t.finishJobs(r, &f)
	})
	return f, step != 0, err
}

// finishStick books one stick and gives the chops it took: one at the head and one behind each side.
func (t *Tx) finishStick(r Run, s RunStick, keep map[int]model.Length, f *Finished) (chops int, err error) {
	var sides int
	var longPoints, takes, head, threshold model.Length
	var cost, all model.Money
	if err := t.row(`SELECT count(*), coalesce(sum(iif(spoilt = 0, long_point_nm, 0)), 0), coalesce(sum(takes_nm), 0), coalesce(sum(cost_minor), 0)
		FROM cut WHERE run = ? AND number = ?`, r.ID, s.Number).Scan(&sides, &longPoints, &takes, &cost); err != nil {
		return 0, err
	}
	if err := t.row(`SELECT r.head_nm, s.cost_minor, p.keep_nm FROM run_stick AS r JOIN stick AS s ON s.name = r.stick JOIN profile AS p ON p.name = s.profile
		WHERE r.run = ? AND r.number = ?`, r.ID, s.Number).Scan(&head, &all, &threshold); err != nil {
		return 0, err
	}
	wish, wished := keep[s.Number]
	if sides == 0 && s.Flaw == "" && !wished {
		if _, err := t.exec("UPDATE run_stick SET state = 'returned' WHERE run = ? AND number = ?", r.ID, s.Number); err != nil {
			return 0, err
		}
		_, err := t.exec("UPDATE stick SET state = 'rack' WHERE name = ?", s.Stick)
		f.Returned = append(f.Returned, s.Stick)
		return 0, err
	}
	left := max(s.Length-head-takes, 0)
	kept := left
	if s.Flaw != "" || kept < threshold {
		kept = 0
	}
	if wished {
		kept = wish
	}
	if most := s.Length - takes; kept < 0 || kept > most || kept == s.Length {
		return 0, usageError(t.book.path, fmt.Sprintf("%s cannot be left of stick %d (%s): it is %s long and its sides take %s", kept, s.Number, s.Stick, s.Length, takes),
			"measure what is left again")
	}
	forKept := share(all, kept, s.Length)
	if _, err := t.exec("UPDATE run_stick SET state = 'cut', kept_nm = ?, waste_nm = ?, waste_minor = ? WHERE run = ? AND number = ?",
		kept, s.Length-longPoints-kept, all-cost-forKept, r.ID, s.Number); err != nil {
		return 0, err
	}
	if _, err := t.exec("UPDATE stick SET state = 'used' WHERE name = ?", s.Stick); err != nil {
		return 0, err
	}
	f.Used = append(f.Used, s.Stick)
	if kept > 0 {
		if err := t.keepOffcut(r, s, kept, forKept, f); err != nil {
			return 0, err
		}
	}
	if sides == 0 {
		return 0, nil
	}
	return sides + 1, nil
}

// keepOffcut puts what is left of a stick, its tail, on the rack.
func (t *Tx) keepOffcut(r Run, s RunStick, kept model.Length, cost model.Money, f *Finished) error {
	name, err := t.offcutName(r.offcuts[s.Number])
	if err != nil {
		return err
	}
	o := Offcut{Name: name, Of: s.Stick, Place: s.Place, Length: kept}
	var profile, supplier, lot, damage string
	if err := t.row("SELECT profile, supplier, lot, damage_nm FROM stick WHERE name = ?", s.Stick).Scan(&profile, &supplier, &lot, &damage); err != nil {
		return err
	}
	spoilt, err := parseSpans(damage)
	if err != nil {
		return err
	}
	_, err = t.insert("stick", "name", o.Name, "profile", profile, "origin", "offcut", "parent", s.Stick, "supplier", supplier, "lot", lot,
		"place", s.Place, "length_nm", kept, "cost_minor", cost, "offcut", 1, "damage_nm", spansText(tailSpans(spoilt, s.Length-kept)))
	f.Offcuts = append(f.Offcuts, o)
	return err
}

// offcutName gives the name that the plan has for an offcut where nothing was ever called so, and else "offcut" and a number above
// that of the last.
func (t *Tx) offcutName(planned string) (name string, err error) {
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
func (t *Tx) finishJobs(r Run, f *Finished) error {
	var jobs []string
	for _, s := range r.Sticks {
		for _, side := range s.Sides {
			if !slices.Contains(jobs, side.Job) {
				jobs = append(jobs, side.Job)
			}
			if side.Became == Done || side.Became == Before {
				continue
			}
			if in, err := t.doneIn(side.Side); err != nil {
				return err
			} else if in == 0 {
				f.Missing = append(f.Missing, side.Side)
			}
		}
	}
	for _, job := range jobs {
		var left int
		if err := t.row(`SELECT coalesce((SELECT `+countSides+` FROM frame AS f WHERE f.job = ?1), 0) - (SELECT count(*) FROM cut WHERE job = ?1 AND spoilt = 0)`, job).Scan(&left); err != nil {
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
