package page

import (
	"bytes"
	"fmt"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/folder"
	"longpoint/model/table"
)

var jobRoutes = []route{
	{method: "GET", path: "/jobs", do: (*call).jobsPage, shop: true},
	{method: "GET", path: "/jobs/new", do: (*call).newJob, shop: true},
	{method: "POST", path: "/jobs/new", do: (*call).takeJob, shop: true},
	{method: "GET", path: "/jobs/paste", do: (*call).pastePage, shop: true},
	{method: "POST", path: "/jobs/paste", do: (*call).pasteJobs, shop: true, large: true},
	{method: "POST", path: "/jobs/mark", do: (*call).markJobs},
	{method: "GET", path: "/jobs/of/{job}", do: (*call).jobPage, shop: true},
	{method: "GET", path: "/jobs/of/{job}/change", do: (*call).changeJobPage, shop: true},
	{method: "POST", path: "/jobs/of/{job}/change", do: (*call).changeJob, shop: true},
	{method: "POST", path: "/jobs/of/{job}/frame", do: (*call).frameOfJob},
	{method: "POST", path: "/jobs/of/{job}/split", do: (*call).splitJob},
	{method: "GET", path: "/jobs/of/{job}/quote", do: (*call).quotePage},
}

// jobPath is the address of a job's page.
func jobPath(name string) string { return "/jobs/of/" + url.PathEscape(name) }

// jobsPage lists the jobs.
func (c *call) jobsPage() error {
	all := c.query("all") != ""
	list, err := c.s.Book.Jobs(c.ctx, all)
	if err != nil {
		return err
	}
	whole, err := c.s.Book.WholeCosts(c.ctx)
	if err != nil {
		return err
	}
	return c.show("jobs", "Jobs", map[string]any{"Jobs": list, "Whole": whole, "All": all})
}

// markJobs puts jobs into a state.
func (c *call) markJobs() error {
	names, state := c.r.PostForm["job"], c.form("state")
	if len(names) == 0 {
		return usage("no job is ticked", "tick those that are meant")
	}
	if !slices.Contains([]string{book.JobCollected, book.JobDropped, book.JobOpen}, state) {
		return usage("a job cannot be marked as "+model.Quote(state), "use the buttons of the page")
	}
	_, err := c.s.Book.Do(c.ctx, c.by, book.MarkJobs(state, names...))
	path := "/jobs"
	if len(names) == 1 && c.form("from") == "job" {
		path = jobPath(names[0])
	}
	word := state
	if state == book.JobOpen {
		word = "to be made after all"
	}
	return c.done(err, path, "%s", text.JoinAnd(names)+": "+word+".")
}

// jobPage shows one job.
func (c *call) jobPage() error {
	j, err := c.s.Book.Job(c.ctx, c.r.PathValue("job"))
	if err != nil {
		return err
	}
	life, err := c.s.Book.JobLife(c.ctx, j.Name)
	if err != nil {
		return err
	}
	frames := []shownFrame{}
	for _, f := range j.Frames {
		frames = append(frames, c.shownFrame(c.workshop, f.JobFrame, len(frames)))
	}
	return c.show("job", "Job "+j.Name, map[string]any{"Job": j, "Frames": frames, "Life": life})
}

// newJob is the empty form.
func (c *call) newJob() error {
	return c.show("jobform", "A new job", c.jobForm(c.workshop, newJobTyped()))
}

// takeJob takes in the job that was typed, or shows the form again: with what is wrong, with the frames drawn, with room for one more.
func (c *call) takeJob() error {
	return c.withJob("A new job", func(j model.Job) error {
		taken, err := c.s.Book.TakeIn(c.ctx, []model.Job{j}, c.by)
		switch {
		case err == nil && len(taken) == 0:
			return c.done(nil, jobPath(j.ID), "Nothing new: this job is in the book.")
		case err == nil && c.form("do") == "next":
			return c.done(nil, "/jobs/new", "Taken in: %s.", j.ID)
		}
		return c.done(err, jobPath(j.ID), "Taken in: %s.", j.ID)
	})
}

// changeJobPage is the form with a job in it.
func (c *call) changeJobPage() error {
	j, err := c.s.Book.Job(c.ctx, c.r.PathValue("job"))
	if err != nil {
		return err
	}
	return c.show("jobform", "Change job "+j.Name, c.jobForm(c.workshop, c.typedOf(j)))
}

// changeJob makes a job what was typed.
func (c *call) changeJob() error {
	name := c.r.PathValue("job")
	return c.withJob("Change job "+name, func(j model.Job) error {
		change := book.ChangeJob(name, func(was *model.Job) error {
			j.ID, j.Where = was.ID, was.Where
			for i, f := range j.Frames {
				for _, before := range was.Frames {
					if before.ID == f.ID {
						j.Frames[i].Cut = before.Cut
					}
				}
			}
			*was = j
			return nil
		})
		lost, err := c.s.Book.Loses(c.ctx, name, change)
		if err == nil && lost.Sides > 0 && c.form("sure") != fmt.Sprint(lost.Sides) {
			form := c.jobForm(c.workshop, c.typedJob())
			form.Lost, form.LostSides = text.Loses(lost, c.currency), lost.Sides
			return c.show("jobform", "Change job "+name, form)
		}
		if err == nil {
			_, err = c.s.Book.Do(c.ctx, c.by, change)
		}
		return c.done(err, jobPath(name), "Written down.")
	})
}

// withJob reads the form of a job and does something with it, or shows the form again.
func (c *call) withJob(title string, do func(j model.Job) error) error {
	typed := c.typedJob()
	if c.form("do") == "more" {
		typed.Rows = append(typed.Rows, typed.emptyRow())
	}
	if d := c.form("do"); d == "draw" || d == "more" {
		return c.show("jobform", title, c.jobForm(c.workshop, typed))
	}
	if c.form("do") == "quote" {
		return c.quoteTyped(title, typed)
	}
	jobs, _, err := folder.JobsOf(folder.TypedTable, typed.table(), c.workshop)
	if err == nil && len(jobs) != 1 {
		err = usage("there is no frame with a size", "give at least one its width and height")
	}
	if err == nil {
		err = do(jobs[0])
	}
	if err == nil {
		return nil
	}
	form := c.jobForm(c.workshop, typed)
	form.wrong(err)
	return c.showAs(status(err), "jobform", title, form)
}

// quoteTyped shows what the frames of the form come to, which are no job yet: neither a name nor a day is needed for that.
func (c *call) quoteTyped(title string, typed *typedJob) error {
	const name = "this job"
	alone := &typedJob{Job: map[string]string{"job": name, "due": c.s.Book.Now().Format(time.DateOnly), "match": typed.Job["match"]}, Rows: typed.Rows}
	form := c.jobForm(c.workshop, typed)
	jobs, _, err := folder.JobsOf(folder.TypedTable, alone.table(), c.workshop)
	if err == nil && len(jobs) != 1 {
		err = usage("there is no frame with a size", "give at least one its width and height")
	}
	if err == nil {
		var w *model.Workshop
		if w, _, err = c.s.Book.Rest(c.ctx); err == nil {
			form.Quote, err = c.quotation(w, jobs[0])
		}
	}
	if err != nil {
		form.wrong(err)
		return c.showAs(status(err), "jobform", title, form)
	}
	return c.show("jobform", title, form)
}

// pastePage takes a table of jobs.
func (c *call) pastePage() error {
	return c.show("paste", "Jobs from a table", map[string]any{"Cells": "", "Is": "", "Again": nil})
}

// pasteJobs takes in a table of jobs that was pasted or sent as a file.
func (c *call) pasteJobs() error {
	name, cells, kept := "pasted.csv", []byte(c.r.PostForm.Get("cells")), c.r.PostForm.Get("cells")
	files, chosen, err := c.uploads("file")
	if err != nil {
		return err
	}
	var back []upload
	if len(files) > 0 && (chosen || strings.TrimSpace(kept) == "") {
		name, cells = files[0].Name, files[0].Data
		if kept = c.asCells(name, cells); kept == "" {
			back = again(files)
		}
	}
	if len(strings.TrimSpace(string(cells))) == 0 {
		return usage("there are no cells", "paste the table, or choose a file")
	}
	w := *c.workshop
	own, err := folder.OwnHeadings(parted(c.form("is")), "jobs", w.Habits.Headings)
	var jobs []model.Job
	var readings []*model.Error
	if err == nil {
		w.Habits.Headings = own
		jobs, readings, err = folder.JobsOf(name, cells, &w)
	}
	if err == nil && own != c.workshop.Habits.Headings {
		by := c.by
		by.Key += "-h"
		_, err = c.s.Book.Do(c.ctx, by, book.KeepHeadings(own))
		err = unlessSent(err)
	}
	taken := []string{}
	if err == nil {
		taken, err = c.s.Book.TakeIn(c.ctx, jobs, c.by)
	}
	if err != nil {
		if e := c.done(err, "/jobs", ""); e == nil {
			return nil
		}
		return c.showAs(status(err), "paste", "Jobs from a table", map[string]any{"Cells": kept, "Again": back, "Is": c.headings(c.leaves(err)), "Wrong": c.leaves(err)})
	}
	if len(taken) == 0 {
		return c.done(nil, "/jobs", "Nothing new: these jobs are in the book.")
	}
	new := slices.DeleteFunc(slices.Clone(jobs), func(j model.Job) bool { return !slices.Contains(taken, j.ID) })
	said := "Taken in: " + text.JoinAnd(taken) + ". " + text.TookIn(new, c.unit, c.dates)
	all := *c.workshop
	all.Jobs, all.Readings = append(slices.Clone(c.workshop.Jobs), jobs...), readings
	for _, odd := range all.Odds() {
		if odd.Where.File == name {
			said += " Mind: " + toClick(odd.Error.Error()) + "."
		}
	}
	return c.done(nil, "/jobs", "%s", said)
}

// asCells gives a file that was sent as cells to be put right and sent again, a workbook of one sheet too; empty: it is no text, or too much of it.
func (c *call) asCells(name string, file []byte) string {
	if bytes.HasPrefix(file, []byte("PK")) {
		book, bad := table.FromBytes(name, file, table.Ordinary())
		if bad != nil {
			return ""
		}
		decimal := ""
		if c.workshop != nil {
			decimal = c.workshop.Habits.Decimal
		}
		return book.Cells(decimal)
	}
	const most = 200_000 // bytes
	text := strings.TrimPrefix(string(file), "\ufeff")
	if len(file) > most || !utf8.ValidString(text) || strings.ContainsRune(text, 0) {
		return ""
	}
	return text
}

// headingsProposed is what an error proposes to write as headings of one's own.
var headingsProposed = regexp.MustCompile(`write (.+) in the field for headings of your own`)

// headings gives the headings of one's own that were typed, with those that errors propose.
func (c *call) headings(wrong []*model.Error) string {
	all := parted(c.form("is"))
	for _, e := range wrong {
		if m := headingsProposed.FindStringSubmatch(e.Do); m != nil {
			for _, one := range parted(m[1]) {
				if !slices.Contains(all, one) {
					all = append(all, one)
				}
			}
		}
	}
	return strings.Join(all, "; ")
}

// frameOfJob drops a frame, or takes it up again.
func (c *call) frameOfJob() error {
	job, frame := c.r.PathValue("job"), c.form("frame")
	if c.form("do") == "take up" {
		_, err := c.s.Book.Do(c.ctx, c.by, book.TakeUpFrame(job, frame))
		return c.done(err, jobPath(job), "Frame %s will be made after all.", frame)
	}
	_, err := c.s.Book.Do(c.ctx, c.by, book.ChangeJob(job, func(j *model.Job) error {
		at := slices.IndexFunc(j.Frames, func(f model.JobFrame) bool { return f.ID == frame })
		if at < 0 {
			return usage("job "+j.ID+" has no frame "+model.Quote(frame), "choose one of its own")
		}
		j.Frames = slices.Delete(j.Frames, at, at+1)
		return nil
	}))
	return c.done(err, jobPath(job), "Frame %s will not be made.", frame)
}

// splitJob gives copies of a frame to another job.
func (c *call) splitJob() (err error) {
	var due model.Date
	if c.form("due") != "" {
		if due, err = model.ParseDate(c.form("due")); err != nil {
			return err
		}
	}
	copies, err := c.count("copies", 0)
	if err != nil {
		return err
	}
	into := c.form("into")
	_, err = c.s.Book.Do(c.ctx, c.by, book.SplitJob(c.r.PathValue("job"), c.form("frame"), copies, into, due))
	return c.done(err, jobPath(into), "It is in job %s now.", into)
}
