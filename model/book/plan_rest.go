package book

import (
	"context"
	"slices"

	"longpoint/model"
	"longpoint/model/runs"
)

// Rest gives the shop as it stands with what is left to cut: the frames that are wholly cut are left out, and the sides that
// are done of the others are marked (model.JobFrame.Cut) and listed, together with those that an open run is about to cut.
// Sticks that were used, are in a run or are awaited by one are gone from the rack. Of what suppliers ask of an order that is off which is in an open one already.
func (b *Book) Rest(ctx context.Context) (w *model.Workshop, done []model.SideID, err error) {
	err = b.read(ctx, func(t *transaction) error {
		w, done, err = t.rest()
		return err
	})
	return w, done, err
}

// RestFor gives what Rest does as if nothing of a plan's buy list were ordered, and nothing had come of it: what that plan was made for, if nothing else has
// changed since.
func (b *Book) RestFor(ctx context.Context, planID int64) (*model.Workshop, error) {
	return look(ctx, b, func(t *transaction) (*model.Workshop, error) {
		t.unordered = []int64{planID}
		w, _, err := t.rest()
		return w, err
	})
}

// rest gives what Rest does.
func (t *transaction) rest() (w *model.Workshop, done []model.SideID, err error) {
	if w, err = t.workshop(); err != nil {
		return nil, nil, err
	}
	if err := t.joinOpen(w); err != nil {
		return nil, nil, err
	}
	if err := t.each("SELECT name FROM stick WHERE origin = 'offcut' AND state <> 'rack'", nil, func(scan func(...any) error) error {
		var name string
		err := scan(&name)
		w.Gone = append(w.Gone, name)
		return err
	}); err != nil {
		return nil, nil, err
	}
	cut := map[model.SideID]map[model.SideID]bool{}
	take := func(s model.SideID) {
		at := s.OfLine()
		if cut[at] == nil {
			cut[at] = map[model.SideID]bool{}
		}
		if !cut[at][s] {
			cut[at][s] = true
			done = append(done, s)
		}
	}
	if err := t.doneSides(take); err != nil {
		return nil, nil, err
	}
	if err := t.runningSides(func(s model.SideID, _ runs.Run) { take(s) }); err != nil {
		return nil, nil, err
	}
	if err := t.withoutAwaited(w); err != nil {
		return nil, nil, err
	}
	jobs, whole := unfinished(w.Jobs, cut)
	w.Jobs = jobs
	done = slices.DeleteFunc(done, func(s model.SideID) bool { return whole[s.OfLine()] })
	mark(w.Jobs, done)
	return w, done, t.readPaid(w)
}

// withoutAwaited takes the sticks from the rack, here or on the way, that an open run waits for.
func (t *transaction) withoutAwaited(w *model.Workshop) error {
	return t.eachOpenRun(func(r runs.Run) error {
		for _, a := range r.Waiting {
			if a.Order != 0 || a.Here || a.Together {
				w.Rack = slices.DeleteFunc(w.Rack, func(s model.Stick) bool { return s.ID == a.Stick })
			}
		}
		return nil
	})
}

// mark says of each frame which of its sides are cut.
func mark(jobs []model.Job, done []model.SideID) {
	cut := map[model.SideID][]model.SideID{}
	for _, s := range done {
		cut[s.OfLine()] = append(cut[s.OfLine()], s)
	}
	for j := range jobs {
		for f := range jobs[j].Frames {
			frame := &jobs[j].Frames[f]
			frame.Cut = cut[model.SideID{Job: jobs[j].ID, Frame: frame.ID}]
		}
	}
}

// doneSides gives the sides of open jobs that are done.
func (t *transaction) doneSides(take func(model.SideID)) error {
	return t.each(`SELECT c.job, c.frame, c.copy, c.ring, c.letter FROM job AS j JOIN cut AS c ON c.job = j.name
		WHERE j.state = 'open' AND c.spoilt = 0 ORDER BY c.id`, nil, func(scan func(...any) error) error {
		var s model.SideID
		if err := scan(&s.Job, &s.Frame, &s.Copy, &s.Ring, &s.Letter); err != nil {
			return err
		}
		take(s)
		return nil
	})
}

// runningSides gives the sides that open runs are about to cut.
func (t *transaction) runningSides(take func(model.SideID, runs.Run)) error {
	return t.eachOpenRun(func(r runs.Run) error {
		for _, side := range r.Sides() {
			if side.Became == runs.ToCut || side.Became == runs.Waits {
				take(side.SideID, r)
			}
		}
		return nil
	})
}

// unfinished leaves out the frames that all sides are cut of, and the jobs without any other.
func unfinished(jobs []model.Job, cut map[model.SideID]map[model.SideID]bool) (rest []model.Job, whole map[model.SideID]bool) {
	whole = map[model.SideID]bool{}
	for _, j := range jobs {
		var frames []model.JobFrame
		for _, f := range j.Frames {
			at := model.SideID{Job: j.ID, Frame: f.ID}
			if len(cut[at]) == f.Quantity*len(f.Rings)*f.Rings[0].Size.Shape.Sides {
				whole[at] = true
				continue
			}
			frames = append(frames, f)
		}
		if j.Frames = frames; len(frames) > 0 {
			rest = append(rest, j)
		}
	}
	return rest, whole
}
