package book

import (
	"context"

	"longpoint/model"
)

// Rest gives the shop as it stands with what is left to cut: the frames that are wholly cut are left out, and the sides that
// are done of the others are marked (model.JobFrame.Cut) and listed, together with those that an open run is about to cut.
// Sticks that were used or are in a run are gone from the rack.
func (b *Book) Rest(ctx context.Context) (w *model.Workshop, done []Side, err error) {
	err = b.read(ctx, func(t *transaction) error {
		if w, err = t.workshop(); err != nil {
			return err
		}
		cut := map[[2]string]map[Side]bool{}
		take := func(s Side) {
			at := [2]string{s.Job, s.Frame}
			if cut[at] == nil {
				cut[at] = map[Side]bool{}
			}
			if !cut[at][s] {
				cut[at][s] = true
				done = append(done, s)
			}
		}
		if err := t.doneSides(take); err != nil {
			return err
		}
		if err := t.runningSides(take); err != nil {
			return err
		}
		jobs, whole := unfinished(w.Jobs, cut)
		w.Jobs = jobs
		var rest []Side
		for _, s := range done {
			if !whole[[2]string{s.Job, s.Frame}] {
				rest = append(rest, s)
			}
		}
		done = rest
		mark(w.Jobs, done)
		return nil
	})
	return w, done, err
}

// mark says of each frame which of its sides are cut.
func mark(jobs []model.Job, done []Side) {
	cut := map[[2]string][]model.CutSide{}
	for _, s := range done {
		at := [2]string{s.Job, s.Frame}
		cut[at] = append(cut[at], model.CutSide{Copy: s.Copy, Ring: s.Ring, Letter: s.Letter})
	}
	for j := range jobs {
		for f := range jobs[j].Frames {
			frame := &jobs[j].Frames[f]
			frame.Cut = cut[[2]string{jobs[j].ID, frame.ID}]
		}
	}
}

// doneSides gives the sides of open jobs that are done.
func (t *transaction) doneSides(take func(Side)) error {
	return t.each(`SELECT c.job, c.frame, c.copy, c.ring, c.letter FROM job AS j JOIN cut AS c ON c.job = j.name
		WHERE j.state = 'open' AND c.spoilt = 0 ORDER BY c.id`, nil, func(scan func(...any) error) error {
		var s Side
		if err := scan(&s.Job, &s.Frame, &s.Copy, &s.Ring, &s.Letter); err != nil {
			return err
		}
		take(s)
		return nil
	})
}

// runningSides gives the sides that open runs are about to cut.
func (t *transaction) runningSides(take func(Side)) error {
	var open []int64
	if err := t.each("SELECT id FROM run WHERE state = 'open' ORDER BY id", nil, func(scan func(...any) error) error {
		var id int64
		defer func() { open = append(open, id) }()
		return scan(&id)
	}); err != nil {
		return err
	}
	for _, id := range open {
		r, err := t.run(id)
		if err != nil {
			return err
		}
		for _, s := range r.Sticks {
			for _, side := range s.Sides {
				if side.Became == ToCut && s.Flaw == "" {
					take(side.Side)
				}
			}
		}
	}
	return nil
}

// unfinished leaves out the frames that all sides are cut of, and the jobs without any other.
func unfinished(jobs []model.Job, cut map[[2]string]map[Side]bool) (rest []model.Job, whole map[[2]string]bool) {
	whole = map[[2]string]bool{}
	for _, j := range jobs {
		var frames []model.JobFrame
		for _, f := range j.Frames {
			at := [2]string{j.ID, f.ID}
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
