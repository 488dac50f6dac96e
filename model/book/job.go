package book

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"longpoint/model"
	"longpoint/model/runs"
)

// JobState is a job and how far it is.
type JobState struct {
	Name     string      `json:"job"`
	Customer string      `json:"customer,omitempty"`
	Due      string      `json:"due,omitempty"`
	State    string      `json:"state"`
	Sides    int         `json:"sides"`
	Cut      int         `json:"cut"`
	Spoilt   int         `json:"spoilt"`
	Cost     model.Money `json:"cost"` // its share of the plans by which its sides were cut
}

// The states of a job.
const (
	JobOpen      = "open"
	JobReady     = "ready"
	JobCollected = "collected"
	JobDropped   = "dropped"
)

// Jobs gives the jobs that are open or ready, by the day they are due, or all.
func (b *Book) Jobs(ctx context.Context, all bool) ([]JobState, error) {
	where := "j.state IN ('open', 'ready')"
	if all {
		where = "TRUE"
	}
	return look(ctx, b, func(t *transaction) ([]JobState, error) { return t.jobStates(where) })
}

// jobStates gives how far the jobs are that a condition takes, by the day they are due.
func (t *transaction) jobStates(where string, args ...any) (jobs []JobState, err error) {
	err = t.each(`SELECT j.name, customer, due, state, coalesce((SELECT `+countSides+` FROM frame AS f WHERE f.job = j.name), 0),
			count(c.id) FILTER (WHERE c.spoilt = 0 AND NOT f.dropped), count(c.id) FILTER (WHERE c.spoilt > 0), coalesce(sum(c.share_minor), 0)
		FROM job AS j LEFT JOIN cut AS c ON c.job = j.name LEFT JOIN frame AS f ON f.job = c.job AND f.name = c.frame
		WHERE `+where+` GROUP BY j.id ORDER BY due, j.id`, args, func(scan func(...any) error) error {
		var j JobState
		defer func() { jobs = append(jobs, j) }()
		return scan(&j.Name, &j.Customer, &j.Due, &j.State, &j.Sides, &j.Cut, &j.Spoilt, &j.Cost)
	})
	return jobs, err
}

// MarkJobs puts jobs into a state: JobCollected for those that are ready, JobDropped for those that will not be made, JobOpen to
// take that back. Those that are in it already stay.
func MarkJobs(state string, names ...string) Change {
	from := map[string]string{JobCollected: JobReady, JobDropped: JobOpen, JobOpen: JobDropped}[state]
	return Change{"jobs " + state, func(t *transaction) error {
		var changed []string
		for _, name := range names {
			was, err := t.jobState(name)
			switch {
			case err != nil:
				return err
			case was == state:
				continue
			case was != from:
				return usageError(t.book.path, fmt.Sprintf("job %s is %s, and only one that is %s can be %s", name, was, from, state), `see "longpoint jobs" for how far each is`)
			}
			if state == JobDropped {
				if err := t.inHand(func(s model.SideID) bool { return s.Job == name }); err != nil {
					return err
				}
			}
			if _, err := t.exec("UPDATE job SET state = ? WHERE name = ?", state, name); err != nil {
				return err
			}
			changed = append(changed, name)
		}
		if len(changed) > 0 {
			t.tell("%s: %s", named("job", changed), map[string]string{JobCollected: "collected", JobDropped: "dropped", JobOpen: "open again"}[state])
		}
		return nil
	}}
}

// jobState gives how far a job is.
func (t *transaction) jobState(name string) (state string, err error) {
	found, err := t.one("SELECT state FROM job WHERE name = ?", []any{name}, &state)
	if err == nil && !found {
		err = usageError(t.book.path, fmt.Sprintf("there is no job %q in the book", name), `see "longpoint jobs" for those there are`)
	}
	return state, err
}

// JobDetails is a job with its frames.
type JobDetails struct {
	JobState
	Note   string
	Match  model.Match
	Frames []FrameState
}

// FrameState is a frame of a job and how far it is.
type FrameState struct {
	model.JobFrame
	Dropped    bool
	Sides, Cut int
}

// Job gives one job with its frames, those that were dropped last.
func (b *Book) Job(ctx context.Context, name string) (d JobDetails, err error) {
	err = b.read(ctx, func(t *transaction) error {
		if _, err := t.jobState(name); err != nil {
			return err
		}
		states, err := t.jobStates("j.name = ?", name)
		if err != nil {
			return err
		}
		d.JobState = states[0]
		for _, dropped := range []bool{false, true} {
			jobs, err := t.jobs("job.name = ? AND frame.dropped = ?", name, dropped)
			if err != nil {
				return err
			}
			for _, j := range jobs {
				d.Note, d.Match = j.Note, j.Match
				for _, f := range j.Frames {
					s := FrameState{JobFrame: f, Dropped: dropped, Sides: f.Quantity * len(f.Rings) * f.Rings[0].Size.Shape.Sides}
					if err := t.row("SELECT count(*) FROM cut WHERE job = ? AND frame = ? AND spoilt = 0", name, f.ID).Scan(&s.Cut); err != nil {
						return err
					}
					d.Frames = append(d.Frames, s)
				}
			}
		}
		return nil
	})
	return d, err
}

// ChangeJob makes an open or ready job what a function makes of it. Frames that it leaves out are dropped. What is cut of the job stays
// known: a side that is as long as before stays done, another is not wanted any more, and cut again. Where fewer copies of a frame are
// wanted, those that are cut the least go.
func ChangeJob(name string, change func(*model.Job) error) Change {
	return Change{"change job", func(t *transaction) error {
		w, err := t.workshop()
		if err != nil {
			return err
		}
		was, err := t.changeable(w, name)
		if err != nil {
			return err
		}
		is := was
		is.Frames = make([]model.JobFrame, len(was.Frames))
		for i, f := range was.Frames {
			f.Rings = slices.Clone(f.Rings)
			is.Frames[i] = f
		}
		if err := change(&is); err != nil {
			return err
		}
		if err := t.canBe(w, is); err != nil {
			return err
		}
		if err := t.notInHand(was, is, w); err != nil {
			return err
		}
		t.tellChanges(was, is)
		return t.putJob(was, is, w)
	}}
}

// changeable gives a job that can be changed.
func (t *transaction) changeable(w *model.Workshop, name string) (j model.Job, err error) {
	state, err := t.jobState(name)
	if err != nil {
		return j, err
	}
	if state != JobOpen && state != JobReady {
		return j, usageError(t.book.path, fmt.Sprintf("job %s is %s and cannot be changed", name, state), `take in a new one with "longpoint take"`)
	}
	all, err := t.jobs("job.name = ? AND NOT frame.dropped", name)
	if err != nil || len(all) == 0 {
		return j, cmp.Or(err, error(usageError(t.book.path, fmt.Sprintf("job %s has no frame", name), `take in a new one with "longpoint take"`)))
	}
	return all[0], nil
}

// canBe says where a job cannot be as it is.
func (t *transaction) canBe(w *model.Workshop, j model.Job) error {
	if len(j.Frames) == 0 {
		return usageError(t.book.path, fmt.Sprintf("job %s would have no frame left", j.ID), `drop the job with "longpoint jobs --dropped"`)
	}
	alone := *w
	alone.Jobs = []model.Job{j}
	for _, f := range j.Frames {
		if _, err := f.Geometry(w.ProfileByName); err != nil || f.Quantity < 1 || f.Quantity > model.MaxQuantity {
			return cmp.Or(alone.Check(), err)
		}
	}
	return nil
}

// notInHand refuses to change what an open run is about to cut; of a frame of which fewer copies are wanted that is every side, for which copies
// go is not known before.
func (t *transaction) notInHand(was, is model.Job, w *model.Workshop) error {
	before, after := map[model.SideID]model.Length{}, map[model.SideID]model.Length{}
	if err := sidesOf(was, w, before); err != nil {
		return err
	}
	if err := sidesOf(is, w, after); err != nil {
		return err
	}
	fewer := map[string]bool{}
	for _, f := range was.Frames {
		fewer[f.ID] = slices.ContainsFunc(is.Frames, func(o model.JobFrame) bool { return o.ID == f.ID && o.Quantity < f.Quantity })
	}
	return t.inHand(func(s model.SideID) bool { return s.Job == was.ID && (fewer[s.Frame] || before[s] != after[s]) })
}

// inHand is an error where an open run is about to cut a side that matters.
func (t *transaction) inHand(matters func(model.SideID) bool) (err error) {
	failed := t.runningSides(func(s model.SideID, r runs.Run) {
		if err == nil && matters(s) {
			err = usageError(t.book.path, fmt.Sprintf("an open run is about to cut %s as it is: run %d of %s", s, r.ID, r.Profile),
				fmt.Sprintf(`end that run with "longpoint finish %d", which leaves what is not cut by then to the next plan; then say this again`, r.ID))
		}
	})
	return cmp.Or(failed, err)
}

// tellChanges writes into the diary what is different about a job.
func (t *transaction) tellChanges(was, is model.Job) {
	text := func(what, before, after string) {
		if before != after {
			t.tell("job %s: %s %s, not %s", was.ID, what, cmp.Or(after, "none"), cmp.Or(before, "none"))
		}
	}
	text("customer", was.Customer, is.Customer)
	text("due", t.day(was.Due.String()), t.day(is.Due.String()))
	text("note", was.Note, is.Note)
	text("match", string(was.Match), string(is.Match))
	for _, f := range is.Frames {
		at := slices.IndexFunc(was.Frames, func(o model.JobFrame) bool { return o.ID == f.ID })
		if at < 0 {
			t.tell("job %s: new frame %s, %s", was.ID, f.ID, t.frameWords(f))
		} else if before, after := t.frameWords(was.Frames[at]), t.frameWords(f); before != after {
			t.tell("job %s, frame %s: %s, not %s", was.ID, f.ID, after, before)
		}
	}
	for _, f := range was.Frames {
		if !slices.ContainsFunc(is.Frames, func(o model.JobFrame) bool { return o.ID == f.ID }) {
			t.tell("job %s: frame %s dropped", was.ID, f.ID)
		}
	}
}

// frameWords says what a frame is: "2 × oak-40, content 250 mm × 420 mm".
func (t *transaction) frameWords(f model.JobFrame) string {
	text := fmt.Sprintf("%d ×", f.Quantity)
	for i, r := range f.Rings {
		if i > 0 {
			text += " in"
		}
		text += " " + r.Profile
		if r.Allowance != f.Rings[0].Allowance {
			text += fmt.Sprintf(" with allowance %s", t.in(r.Allowance))
		}
	}
	size := f.Rings[0].Size
	text += fmt.Sprintf(", %s %s", size.By, t.in(size.Width))
	if size.Height != 0 {
		text += " × " + t.in(size.Height)
	}
	if size.Across {
		text += " across"
	}
	if size.Shape.Sides != 4 {
		text += fmt.Sprintf(", %d sides", size.Shape.Sides)
	}
	return text + fmt.Sprintf(", allowance %s", t.in(f.Rings[0].Allowance))
}

// putJob writes a changed job.
func (t *transaction) putJob(was, is model.Job, w *model.Workshop) error {
	if _, err := t.exec("UPDATE job SET customer = ?1, due = ?2, note = ?3, match = ?4 WHERE name = ?5 AND (customer, due, note, match) IS NOT (?1, ?2, ?3, ?4)",
		clean(is.Customer), is.Due.String(), clean(is.Note), string(is.Match), is.ID); err != nil {
		return err
	}
	for _, f := range was.Frames {
		at := slices.IndexFunc(is.Frames, func(o model.JobFrame) bool { return o.ID == f.ID })
		if at < 0 {
			if err := t.dropFrame(is.ID, f.ID); err != nil {
				return err
			}
		} else if err := t.putFrame(is.ID, f, is.Frames[at]); err != nil {
			return err
		}
	}
	for _, f := range is.Frames {
		if slices.ContainsFunc(was.Frames, func(o model.JobFrame) bool { return o.ID == f.ID }) {
			continue
		}
		if there, err := t.one("SELECT id FROM frame WHERE job = ? AND name = ?", []any{is.ID, clean(f.ID)}, new(int64)); err != nil {
			return err
		} else if there {
			return usageError(t.book.path, fmt.Sprintf("job %s had a frame %s, which was dropped", is.ID, f.ID), `give the new one another name, or take the old one up again with "longpoint jobs open"`)
		}
		if err := t.addFrame(is.ID, f); err != nil {
			return err
		}
	}
	if err := t.dropSides(is, w); err != nil {
		return err
	}
	return t.settleJob(is.ID)
}

// dropFrame takes a frame out of its job: it stays as dropped where something of it was cut.
func (t *transaction) dropFrame(job, frame string) error {
	cut, err := t.one("SELECT id FROM cut WHERE job = ? AND frame = ? LIMIT 1", []any{job, frame}, new(int64))
	if err != nil {
		return err
	}
	if cut {
		_, err := t.exec("UPDATE frame SET dropped = 1 WHERE job = ? AND name = ?", job, frame)
		return err
	}
	if _, err := t.exec("DELETE FROM ring WHERE job = ? AND frame = ?", job, frame); err != nil {
		return err
	}
	_, err = t.exec("DELETE FROM frame WHERE job = ? AND name = ?", job, frame)
	return err
}

// putFrame writes a changed frame.
func (t *transaction) putFrame(job string, was, is model.JobFrame) error {
	if is.Quantity < was.Quantity {
		if err := t.mostCutFirst(job, is.ID, was.Quantity); err != nil {
			return err
		}
	}
	if _, err := t.exec("UPDATE frame SET quantity = ?1 WHERE job = ?2 AND name = ?3 AND quantity <> ?1", is.Quantity, job, is.ID); err != nil {
		return err
	}
	same := func(a, b model.Ring) bool {
		return a.Profile == b.Profile && a.Allowance == b.Allowance && a.Size == b.Size
	}
	if slices.EqualFunc(was.Rings, is.Rings, same) {
		return nil
	}
	if _, err := t.exec("DELETE FROM ring WHERE job = ? AND frame = ?", job, is.ID); err != nil {
		return err
	}
	return t.addRings(job, is)
}

// mostCutFirst numbers the copies of a frame so that those of which more is done come first.
func (t *transaction) mostCutFirst(job, frame string, copies int) error {
	done := make([]int, copies+1)
	if err := t.each("SELECT copy, count(*) FROM cut WHERE job = ? AND frame = ? AND spoilt = 0 GROUP BY copy", []any{job, frame}, func(scan func(...any) error) error {
		var copy, n int
		if err := scan(&copy, &n); err != nil {
			return err
		}
		if copy <= copies {
			done[copy] = n
		}
		return nil
	}); err != nil {
		return err
	}
	order := make([]int, copies)
	for i := range order {
		order[i] = i + 1
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(done[b], done[a]) })
	const aside = 2 * model.MaxQuantity // copies are told apart by their numbers, so all step aside first
	for i, copy := range order {
		if copy != i+1 {
			if _, err := t.exec("UPDATE cut SET copy = ? WHERE job = ? AND frame = ? AND copy = ?", aside+i+1, job, frame, copy); err != nil {
				return err
			}
		}
	}
	_, err := t.exec("UPDATE cut SET copy = copy - ? WHERE job = ? AND frame = ? AND copy > ?", aside, job, frame, aside)
	return err
}

// dropSides makes sides that are done and not wanted any more, for the job has none such, what they are.
func (t *transaction) dropSides(j model.Job, w *model.Workshop) error {
	wanted := map[model.SideID]model.Length{}
	if err := sidesOf(j, w, wanted); err != nil {
		return err
	}
	type side struct {
		id   int64
		of   model.SideID
		long model.Length
	}
	var gone []side
	if err := t.each(`SELECT c.id, c.job, c.frame, c.copy, c.ring, c.letter, c.long_point_nm FROM cut AS c JOIN frame AS f ON f.job = c.job AND f.name = c.frame
		WHERE c.job = ? AND c.spoilt = 0 AND NOT f.dropped ORDER BY c.id`, []any{j.ID}, func(scan func(...any) error) error {
		var s side
		if err := scan(&s.id, &s.of.Job, &s.of.Frame, &s.of.Copy, &s.of.Ring, &s.of.Letter, &s.long); err != nil {
			return err
		}
		if wanted[s.of] != s.long {
			gone = append(gone, s)
		}
		return nil
	}); err != nil {
		return err
	}
	for _, s := range gone {
		if err := t.unwanted(s.id); err != nil {
			return err
		}
	}
	if len(gone) > 0 {
		t.tell("%s cut for it not wanted any more", count(len(gone), "side"))
	}
	return nil
}

// unwanted makes a side that is done one that is not wanted any more: where its run is finished, waste of its stick.
func (t *transaction) unwanted(cut int64) error {
	if _, err := t.exec(`UPDATE run_stick SET waste_nm = waste_nm + (SELECT long_point_nm FROM cut WHERE id = ?1),
			waste_minor = waste_minor + (SELECT cost_minor FROM cut WHERE id = ?1)
		WHERE state = 'cut' AND (run, number) = (SELECT run, number FROM cut WHERE id = ?1)`, cut); err != nil {
		return err
	}
	_, err := t.exec(`UPDATE cut AS c SET became = 'unwanted', cost_minor = 0, share_minor = 0, spoilt = (SELECT max(spoilt) + 1 FROM cut AS o
			WHERE o.job = c.job AND o.frame = c.frame AND o.copy = c.copy AND o.ring = c.ring AND o.letter = c.letter)
		WHERE id = ?`, cut)
	return err
}

// settleJob makes a job ready where all its sides are cut, and open again where not all are.
func (t *transaction) settleJob(name string) error {
	left, err := t.sidesLeft(name)
	if err != nil {
		return err
	}
	from, to := JobReady, JobOpen
	if left == 0 {
		from, to = JobOpen, JobReady
	}
	_, err = t.exec("UPDATE job SET state = ? WHERE name = ? AND state = ?", to, name, from)
	return err
}

// sidesLeft is how many sides of a job are not done.
func (t *transaction) sidesLeft(job string) (left int, err error) {
	err = t.row(`SELECT coalesce((SELECT `+countSides+` FROM frame AS f WHERE f.job = ?1), 0) -
		(SELECT count(*) FROM cut AS c JOIN frame AS f ON f.job = c.job AND f.name = c.frame WHERE c.job = ?1 AND c.spoilt = 0 AND NOT f.dropped)`, job).Scan(&left)
	return left, err
}

// TakeUpFrame says that a frame that was dropped will be made after all.
func TakeUpFrame(job, frame string) Change {
	return Change{"take up frame", func(t *transaction) error {
		w, err := t.workshop()
		if err != nil {
			return err
		}
		if _, err := t.changeable(w, job); err != nil {
			return err
		}
		done, err := t.exec("UPDATE frame SET dropped = 0 WHERE job = ? AND name = ? AND dropped", job, frame)
		if err != nil {
			return err
		}
		if n, err := done.RowsAffected(); err != nil {
			return err
		} else if n == 0 {
			return usageError(t.book.path, fmt.Sprintf("job %s has no frame %s that was dropped", job, frame), `see "longpoint jobs show"`)
		}
		t.tell("job %s: frame %s is to be made after all", job, frame)
		return t.settleJob(job)
	}}
}

// SplitJob gives a frame of a job, or so many copies of it (0: all), to another job: a new one for the same customer, or one that is open. What
// is cut of them goes with them; of several copies those that are cut the least go. due is the new job's day, where it is given.
func SplitJob(name, frame string, copies int, into string, due model.Date) Change {
	return Change{"split job", func(t *transaction) error {
		w, err := t.workshop()
		if err != nil {
			return err
		}
		from, err := t.changeable(w, name)
		if err != nil {
			return err
		}
		at := slices.IndexFunc(from.Frames, func(f model.JobFrame) bool { return f.ID == frame })
		if at < 0 {
			return usageError(t.book.path, fmt.Sprintf("job %s has no frame %q", name, frame), `see "longpoint jobs show"`)
		}
		f := from.Frames[at]
		if copies == 0 {
			copies = f.Quantity
		}
		switch {
		case copies < 1 || copies > f.Quantity:
			return usageError(t.book.path, fmt.Sprintf("job %s has frame %s %d times, of which %d cannot go", name, frame, f.Quantity, copies), "check the number")
		case copies == f.Quantity && len(from.Frames) == 1:
			return usageError(t.book.path, fmt.Sprintf("job %s would have no frame left", name), "leave it some of it")
		}
		if err := t.inHand(func(s model.SideID) bool { return s.Job == name && s.Frame == frame }); err != nil {
			return err
		}
		if err := t.target(from, into, frame, due); err != nil {
			return err
		}
		if copies == f.Quantity {
			_, err = t.exec("UPDATE frame SET job = ? WHERE job = ? AND name = ?", into, name, frame)
		} else {
			err = t.moveCopies(name, f, copies, into)
		}
		if err != nil {
			return err
		}
		t.tell("job %s: frame %s, %d of %d, goes to job %s", name, frame, copies, f.Quantity, into)
		if err := t.settleJob(name); err != nil {
			return err
		}
		return t.settleJob(into)
	}}
}

// target makes sure that there is a job for a frame to go to: a new one like the one it comes from, or one that is open.
func (t *transaction) target(from model.Job, into, frame string, due model.Date) error {
	var state string
	found, err := t.one("SELECT state FROM job WHERE name = ?", []any{into}, &state)
	switch {
	case err != nil:
		return err
	case !found:
		j := from
		j.ID, j.Frames = into, nil
		if !due.IsZero() {
			j.Due = due
		}
		return t.addJob(j)
	case into == from.ID || state != JobOpen && state != JobReady:
		return usageError(t.book.path, fmt.Sprintf("job %s cannot take a frame of job %s", into, from.ID), "name another, or a new one")
	case !due.IsZero():
		return usageError(t.book.path, fmt.Sprintf("job %s is there already and has a day of its own", into), "leave the day out")
	}
	if there, err := t.one("SELECT id FROM frame WHERE job = ? AND name = ?", []any{into, frame}, new(int64)); err != nil || !there {
		return err
	}
	return usageError(t.book.path, fmt.Sprintf("job %s has a frame %s already", into, frame), "name another job")
}

// moveCopies gives the copies of a frame that are cut the least to a new frame of the same name in another job.
func (t *transaction) moveCopies(job string, f model.JobFrame, copies int, into string) error {
	if err := t.mostCutFirst(job, f.ID, f.Quantity); err != nil {
		return err
	}
	stay := f.Quantity - copies
	moved := f
	moved.Quantity = copies
	if err := t.addFrame(into, moved); err != nil {
		return err
	}
	if _, err := t.exec("UPDATE cut SET job = ?, copy = copy - ? WHERE job = ? AND frame = ? AND copy > ?", into, stay, job, f.ID, stay); err != nil {
		return err
	}
	_, err := t.exec("UPDATE frame SET quantity = ? WHERE job = ? AND name = ?", stay, job, f.ID)
	return err
}
