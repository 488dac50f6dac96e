package book

import (
	"slices"
	"testing"

	"longpoint/model"
	"longpoint/model/runs"
)

// halfCut is the square shop with sides A and B of job 101's frame done: 400 mm each, off stick S1, which is used up.
func halfCut(t *testing.T) *Book {
	t.Helper()
	b := squareShop(t)
	r := startRun(t, b, "oak-40", byHand(t, b, "A", "B"))
	cut(t, b, r.ID, 1, nil, runs.Done)
	finish(t, b, r.ID, nil)
	return b
}

// job gives a job's state.
func jobOf(t *testing.T, b *Book, name string) JobState {
	t.Helper()
	sound(t, b)
	all, err := b.Jobs(t.Context(), true)
	must(t, err)
	for _, j := range all {
		if j.Name == name {
			return j
		}
	}
	t.Fatalf("there is no job %s", name)
	return JobState{}
}

// TestChangeJob changes what is partly cut: a side that is as long as before stays done, another is waste of its stick.
func TestChangeJob(t *testing.T) {
	size := func(width, height int) func(*model.Job) error {
		return func(j *model.Job) error {
			s := &j.Frames[0].Rings[0].Size
			s.Width, s.Height = model.Length(width)*model.Millimetre, model.Length(height)*model.Millimetre
			return nil
		}
	}
	for _, c := range []struct {
		name   string
		change func(*model.Job) error
		want   JobState
	}{
		{"the customer", func(j *model.Job) error { j.Customer = "somebody else"; return nil }, JobState{Sides: 4, Cut: 2}},
		{"nothing", func(*model.Job) error { return nil }, JobState{Sides: 4, Cut: 2}},
		{"higher", size(400, 500), JobState{Sides: 4, Cut: 1, Spoilt: 1}}, // A is as long as before
		{"larger", size(500, 500), JobState{Sides: 4, Cut: 0, Spoilt: 2}},
		{"another profile", func(j *model.Job) error { j.Frames[0].Rings[0].Profile = "black-22"; return nil }, JobState{Sides: 4, Cut: 2}}, // by its outside, as long as before
		{"three of them", func(j *model.Job) error { j.Frames[0].Quantity = 3; return nil }, JobState{Sides: 12, Cut: 2}},
		{"one more frame", func(j *model.Job) error {
			j.Frames = append(j.Frames, model.JobFrame{ID: "more", Quantity: 1, Rings: slices.Clone(j.Frames[0].Rings)})
			return nil
		}, JobState{Sides: 8, Cut: 2}},
		{"another frame instead", func(j *model.Job) error {
			j.Frames = []model.JobFrame{{ID: "other", Quantity: 1, Rings: slices.Clone(j.Frames[0].Rings)}}
			return nil
		}, JobState{Sides: 4, Cut: 0}},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := halfCut(t)
			before, err := b.Yields(t.Context(), ByProfile)
			must(t, err)
			stood := jobOf(t, b, "101")
			lost, err := b.Loses(t.Context(), "101", ChangeJob("101", c.change))
			must(t, err)
			if lost.Sides != 2-c.want.Cut || lost.Cost > stood.Cost {
				t.Errorf("%+v would be lost of %+v", lost, stood)
			}
			if tried := jobOf(t, b, "101"); tried != stood {
				t.Errorf("what was only tried is done: %+v", tried)
			}
			_, err = b.Do(t.Context(), tester, ChangeJob("101", c.change))
			must(t, err)
			j := jobOf(t, b, "101")
			if j.Sides != c.want.Sides || j.Cut != c.want.Cut || j.Spoilt != c.want.Spoilt || j.State != JobOpen {
				t.Errorf("%+v, want %+v", j, c.want)
			}
			after, err := b.Yields(t.Context(), ByProfile)
			must(t, err)
			if more := after[0].Waste - before[0].Waste; more != model.Length(c.want.Spoilt)*400*model.Millimetre {
				t.Errorf("%s more waste, with %d sides not wanted", more, c.want.Spoilt)
			}
			w, _, err := b.Rest(t.Context())
			must(t, err)
			for _, r := range w.Jobs {
				if r.ID == "101" && len(r.Frames[0].Cut) != c.want.Cut {
					t.Errorf("%d sides are marked as cut, want %d", len(r.Frames[0].Cut), c.want.Cut)
				}
			}
			undoAll(t, b)
		})
	}
}

// TestChangeJobRefused leaves a job as it is where it cannot be changed so.
func TestChangeJobRefused(t *testing.T) {
	b := squareShop(t)
	r := startRun(t, b, "oak-40", byHand(t, b, "A", "B"))
	first := func(change func(*model.JobFrame)) func(*model.Job) error {
		return func(j *model.Job) error { change(&j.Frames[0]); return nil }
	}
	for _, c := range []struct {
		job    string
		change func(*model.Job) error
		kind   model.ErrorKind
		says   string
	}{
		{"999", first(func(*model.JobFrame) {}), model.BadUsage, `no job "999"`},
		{"101", first(func(f *model.JobFrame) { f.Rings[0].Size.Width = model.Metre }), model.BadUsage, "an open run is about to cut job 101, frame print, copy 1, ring 1, side A"},
		{"101", func(j *model.Job) error { j.Frames = nil; return nil }, model.BadUsage, "no frame left"},
		{"102", first(func(f *model.JobFrame) { f.Rings[0].Profile = "elm" }), model.BadInput, "no profile “elm”"},
		{"102", first(func(f *model.JobFrame) { f.Quantity = 0 }), model.BadInput, "a quantity of 0"},
		{"102", first(func(f *model.JobFrame) { f.Rings[0].Size.By, f.Rings[0].Size.Width = model.ByOutside, model.Inch }), model.BadInput, "leaves no opening"},
	} {
		_, err := b.Do(t.Context(), tester, ChangeJob(c.job, c.change))
		wantError(t, err, c.kind, c.says)
	}
	_, err := b.Do(t.Context(), tester, MarkJobs(JobDropped, "101"))
	wantError(t, err, model.BadUsage, "an open run is about to cut")
	_, err = b.Do(t.Context(), tester, SplitJob("101", "print", 0, "new", model.Date{}))
	wantError(t, err, model.BadUsage, "no frame left")
	cut(t, b, r.ID, 1, nil, runs.Done)
	finish(t, b, r.ID, nil)
	_, err = b.Do(t.Context(), tester, MarkJobs(JobDropped, "101"))
	must(t, err)
	_, err = b.Do(t.Context(), tester, ChangeJob("101", first(func(*model.JobFrame) {})))
	wantError(t, err, model.BadUsage, "is dropped and cannot be changed")
}

// TestOldPlanIsNotCut refuses to cut by a plan what its job does not want any more.
func TestOldPlanIsNotCut(t *testing.T) {
	b := squareShop(t)
	id := byHand(t, b, "A", "B")
	_, err := b.Do(t.Context(), tester, ChangeJob("101", func(j *model.Job) error { j.Frames[0].Rings[0].Size.Width += model.Millimetre; return nil }))
	must(t, err)
	_, _, err = b.StartRun(t.Context(), "oak-40", id, tester)
	wantError(t, err, model.BadUsage, "side A is not to be cut any more as plan 1 has it", `make a new one with "longpoint plan"`)
}

// TestCopies keeps those copies of a frame that are cut most, whether fewer are wanted or some go to another job.
func TestCopies(t *testing.T) {
	start := func(t *testing.T) *Book {
		b := halfCut(t)
		_, err := b.Do(t.Context(), tester, ChangeJob("101", func(j *model.Job) error { j.Frames[0].Quantity = 3; return nil }))
		must(t, err)
		_, err = b.write(t.Context(), "look", tester, func(tx *transaction) error { // what is cut is of copy 3
			_, err := tx.exec("UPDATE cut SET copy = 3 WHERE job = '101'")
			return err
		})
		must(t, err)
		return b
	}
	t.Run("fewer", func(t *testing.T) {
		b := start(t)
		_, err := b.Do(t.Context(), tester, ChangeJob("101", func(j *model.Job) error { j.Frames[0].Quantity = 2; return nil }))
		must(t, err)
		if j := jobOf(t, b, "101"); j.Sides != 8 || j.Cut != 2 || j.Spoilt != 0 {
			t.Errorf("%+v", j)
		}
		undoAll(t, b)
	})
	t.Run("split", func(t *testing.T) {
		b := start(t)
		due, err := model.ParseDate("2027-05-01")
		must(t, err)
		_, err = b.Do(t.Context(), tester, SplitJob("101", "print", 2, "101b", due))
		must(t, err)
		if one, two := jobOf(t, b, "101"), jobOf(t, b, "101b"); one.Sides != 4 || one.Cut != 2 || two.Sides != 8 || two.Cut != 0 || two.Due != "2027-05-01" || two.Customer != "walk-in" {
			t.Errorf("%+v, %+v", one, two)
		}
		undoAll(t, b)
	})
	t.Run("the cut ones go", func(t *testing.T) {
		b := start(t)
		_, err := b.Do(t.Context(), tester, ChangeJob("101", func(j *model.Job) error {
			j.Frames = append(j.Frames, model.JobFrame{ID: "other", Quantity: 1, Rings: slices.Clone(j.Frames[0].Rings)})
			return nil
		}))
		must(t, err)
		_, err = b.Do(t.Context(), tester, SplitJob("101", "print", 0, "103", model.Date{}))
		must(t, err)
		if one, two := jobOf(t, b, "101"), jobOf(t, b, "103"); one.Sides != 4 || one.Cut != 0 || two.Sides != 18 || two.Cut != 2 {
			t.Errorf("%+v, %+v", one, two)
		}
		undoAll(t, b)
	})
}

// TestDropFrame drops a frame of which some is cut, which stays known, and takes it up again.
func TestDropFrame(t *testing.T) {
	b := halfCut(t)
	_, err := b.Do(t.Context(), tester, ChangeJob("101", func(j *model.Job) error {
		j.Frames = append(j.Frames, model.JobFrame{ID: "other", Quantity: 1, Rings: slices.Clone(j.Frames[0].Rings)})
		return nil
	}))
	must(t, err)
	without := func(id string) func(*model.Job) error {
		return func(j *model.Job) error {
			j.Frames = slices.DeleteFunc(j.Frames, func(f model.JobFrame) bool { return f.ID == id })
			return nil
		}
	}
	_, err = b.Do(t.Context(), tester, ChangeJob("101", without("print")))
	must(t, err)
	if j := jobOf(t, b, "101"); j.Sides != 4 || j.Cut != 0 || j.State != JobOpen {
		t.Errorf("%+v", j)
	}
	_, err = b.Do(t.Context(), tester, TakeUpFrame("101", "print"))
	must(t, err)
	if j := jobOf(t, b, "101"); j.Sides != 8 || j.Cut != 2 {
		t.Errorf("%+v", j)
	}
	_, err = b.Do(t.Context(), tester, TakeUpFrame("101", "print"))
	wantError(t, err, model.BadUsage, "no frame print that was dropped")
	_, err = b.Do(t.Context(), tester, ChangeJob("101", without("other"))) // of which nothing is cut: it is gone
	must(t, err)
	_, err = b.Do(t.Context(), tester, TakeUpFrame("101", "other"))
	wantError(t, err, model.BadUsage, "no frame other")
	undoAll(t, b)
}

// TestUnevenCopies has three copies of a frame of which the last is cut most and the first a little: both come before the one that is not cut.
func TestUnevenCopies(t *testing.T) {
	b := squareShop(t)
	r := startRun(t, b, "oak-40", byHand(t, b, "A", "B", "C"))
	cut(t, b, r.ID, 1, nil, runs.Done)
	finish(t, b, r.ID, nil)
	do(t, b, ChangeJob("101", func(j *model.Job) error { j.Frames[0].Quantity = 3; return nil }))
	_, err := b.write(t.Context(), "look", tester, func(tx *transaction) error {
		_, err := tx.exec("UPDATE cut SET copy = 3 WHERE job = '101' AND letter <> 'C'")
		return err
	})
	must(t, err)
	do(t, b, ChangeJob("101", func(j *model.Job) error { j.Frames[0].Quantity = 2; return nil }))
	if j := jobOf(t, b, "101"); j.Sides != 8 || j.Cut != 3 || j.Spoilt != 0 {
		t.Errorf("%+v", j)
	}
	undoAll(t, b)
}
