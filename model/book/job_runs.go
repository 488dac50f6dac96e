package book

import (
	"context"

	"longpoint/model"
	"longpoint/model/runs"
)

// JobRun is a job's part in an open run.
type JobRun struct {
	Run     int64       `json:"run"`
	Profile string      `json:"profile"`
	Plan    int64       `json:"plan"` // by which the run was started
	Sides   int         `json:"sides"`
	Cut     int         `json:"cut"`
	Share   model.Money `json:"share"`   // the job's, of what that plan costs of the profile
	Charged model.Money `json:"charged"` // what of the job's cost its sides have that this run has cut
}

// JobRuns gives a job's part in the open runs.
func (b *Book) JobRuns(ctx context.Context, name string) ([]JobRun, error) {
	return look(ctx, b, func(t *transaction) (all []JobRun, err error) {
		err = t.eachOpenRun(func(r runs.Run) error {
			in, err := t.jobRun(r, name)
			if in.Sides > 0 {
				all = append(all, in)
			}
			return err
		})
		return all, err
	})
}

// jobRun gives a job's part in a run. A side that is to be made again counts once.
func (t *transaction) jobRun(r runs.Run, name string) (JobRun, error) {
	in := JobRun{Run: r.ID, Profile: r.Profile, Plan: r.Plan}
	done := map[model.SideID]bool{}
	for _, side := range r.Sides() {
		if side.Job == name && side.Became != runs.Unwanted {
			done[side.SideID] = done[side.SideID] || side.Became == runs.Done || side.Became == runs.Before
		}
	}
	for _, cut := range done {
		in.Sides++
		if cut {
			in.Cut++
		}
	}
	by, err := t.runPlan(r.Plan, r.Profile)
	if err != nil {
		return in, err
	}
	for _, share := range by.Jobs {
		if share.Job == name {
			in.Share = share.Cost
		}
	}
	return in, t.row("SELECT coalesce(sum(share_minor), 0) FROM cut WHERE run = ? AND job = ?", r.ID, name).Scan(&in.Charged)
}
