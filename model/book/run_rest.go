package book

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"longpoint/model"
	"longpoint/model/runs"
)

// RunRest gives the rest of a run as it is once some changes are made, which are not made by this.
func (b *Book) RunRest(ctx context.Context, run int64, changes ...Change) (rest *runs.Rest, err error) {
	_, err = b.write(ctx, "look", By{}, func(t *transaction) error {
		r, err := t.run(run)
		if err != nil {
			return err
		}
		kept := r.ToKeep()
		for _, c := range changes {
			if err := c.do(t); err != nil {
				return err
			}
		}
		if r, err = t.run(run); err != nil {
			return err
		}
		if rest, err = t.runRest(r); err != nil {
			return err
		}
		rest.Kept = kept
		if rest.CutFrom, err = t.cutFrom(); err != nil {
			return err
		}
		return errDry
	})
	if errors.Is(err, errDry) {
		return rest, nil
	}
	return nil, err
}

// lastStep is the step before this one.
func (t *transaction) lastStep() (step int64, err error) {
	err = t.row("SELECT coalesce(max(id), 0) FROM step WHERE id < ?", t.step).Scan(&step)
	return step, err
}

// runRest makes the rest of a run.
func (t *transaction) runRest(r runs.Run) (*runs.Rest, error) {
	by, err := t.runPlan(r.Now(), r.Profile)
	if err != nil {
		return nil, err
	}
	w, err := t.shopOf(r, by)
	if err != nil {
		return nil, err
	}
	stand, err := t.standingBefore(r)
	if err != nil {
		return nil, err
	}
	rest := r.RestOf(w, by, stand)
	if rest.Step, err = t.lastStep(); err != nil {
		return nil, err
	}
	return rest, t.onlyRest(r, rest)
}

// shopOf gives the shop with a run's sticks on its rack, as much of each as is left.
func (t *transaction) shopOf(r runs.Run, by *runs.Plan) (*model.Workshop, error) {
	w, err := t.workshopThat(fmt.Sprintf("state = 'rack' OR name IN (SELECT stick FROM run_stick WHERE run = %d AND state = 'open')", r.ID))
	if err != nil {
		return nil, err
	}
	if err := t.joinOpen(w); err != nil {
		return nil, err
	}
	r.LayOn(w, by)
	return w, nil
}

// onlyRest leaves of the jobs only the run's sides that are not done, and those that the plan of the rest has, done or not.
func (t *transaction) onlyRest(r runs.Run, rest *runs.Rest) error {
	wanted, err := t.wanted()
	if err != nil {
		return err
	}
	uncut := map[model.SideID]bool{}
	var jobs []string
	for _, side := range r.Sides() {
		if !slices.Contains(jobs, side.Job) {
			jobs = append(jobs, side.Job)
		}
		if side.Became == runs.Done || side.Became == runs.Before || wanted[side.SideID] != side.LongPoint {
			continue
		}
		if in, err := t.doneIn(side.SideID); err != nil {
			return err
		} else if in == 0 {
			uncut[side.SideID] = true
		}
	}
	for _, s := range rest.Plan.Profiles[0].Sticks {
		for _, side := range s.Sides {
			uncut[side.SideID] = true
		}
	}
	w := rest.Workshop
	if w.Jobs, err = t.jobsNamed(jobs, true); err != nil {
		return err
	}
	all := map[model.SideID]model.Length{}
	for _, j := range w.Jobs {
		if err := sidesOf(j, w, all); err != nil {
			return err
		}
	}
	var cut []model.SideID
	for id := range all {
		if !uncut[id] {
			cut = append(cut, id)
		}
	}
	w.Jobs = model.MarkCut(w.Jobs, cut)
	return t.nameLots(w)
}
