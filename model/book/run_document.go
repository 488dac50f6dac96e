package book

import (
	"context"

	"longpoint/model/plan"
	"longpoint/model/runs"
)

// RunDocument gives runs as a plan, in the order of their numbers; of none, all that are open.
func (b *Book) RunDocument(ctx context.Context, ids ...int64) (d *runs.Document, err error) {
	err = b.read(ctx, func(t *transaction) error {
		if len(ids) == 0 {
			if ids, err = t.openRuns(); err != nil {
				return err
			}
		}
		d, err = t.runDocument(ids)
		return err
	})
	return d, err
}

// openRuns gives the numbers of the runs that are not finished.
func (t *transaction) openRuns() (open []int64, err error) {
	err = t.each("SELECT id FROM run WHERE state = 'open' ORDER BY id", nil, func(scan func(...any) error) error {
		var id int64
		defer func() { open = append(open, id) }()
		return scan(&id)
	})
	return open, err
}

// eachOpenRun gives the runs that are not finished, one after another.
func (t *transaction) eachOpenRun(do func(runs.Run) error) error {
	open, err := t.openRuns()
	if err != nil {
		return err
	}
	for _, id := range open {
		r, err := t.run(id)
		if err != nil {
			return err
		}
		if err := do(r); err != nil {
			return err
		}
	}
	return nil
}

// runDocument makes a plan of runs.
func (t *transaction) runDocument(ids []int64) (*runs.Document, error) {
	d := &runs.Document{Plan: &plan.Document{Format: plan.Format}}
	for _, id := range ids {
		r, err := t.run(id)
		if err != nil {
			return nil, err
		}
		if err := t.addRun(d, r); err != nil {
			return nil, err
		}
	}
	w, err := t.workshop()
	if err != nil {
		return nil, err
	}
	jobs, sides := d.Jobs()
	w.Jobs, err = t.jobsNamed(jobs, false)
	d.Of(w, sides)
	return d, err
}

// addRun adds a run to a document, as a profile of its plan.
func (t *transaction) addRun(d *runs.Document, r runs.Run) error {
	by, err := t.runPlan(r.Now(), r.Profile)
	if err != nil {
		return err
	}
	first, err := t.runPlan(r.Plan, r.Profile)
	if err != nil {
		return err
	}
	stand, err := t.standingBefore(r)
	if err == nil {
		d.Add(r, by, first, stand)
	}
	return err
}

// standingBefore gives what is cut of a run's frames in other runs. Nothing is known of the stops.
func (t *transaction) standingBefore(r runs.Run) (plan.Standing, error) {
	w, err := t.workshop()
	if err != nil {
		return plan.Standing{}, err
	}
	stand := plan.NewStanding(w.Machine)
	jobs := map[string]bool{}
	for _, side := range r.Sides() {
		if jobs[side.Job] {
			continue
		}
		jobs[side.Job] = true
		if err := t.each("SELECT job, frame, copy, ring, letter, long_point_nm FROM cut WHERE job = ? AND run <> ? AND spoilt = 0", []any{side.Job, r.ID}, func(scan func(...any) error) error {
			var s plan.Side
			err := scan(&s.Job, &s.Frame, &s.Copy, &s.Ring, &s.Letter, &s.LongPoint)
			stand.HasCut(s)
			return err
		}); err != nil {
			return stand, err
		}
	}
	return stand, nil
}
