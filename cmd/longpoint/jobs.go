package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
)

// jobs is "longpoint jobs": how far the jobs are.
func (p *program) jobs() *cobra.Command {
	var sign signature
	var all, jsonOut bool
	var collected, dropped, open []string
	cmd := &cobra.Command{
		Use:   "jobs [FILE]",
		Short: "List a book's jobs and how far they are, mark and change them",
		Long: `List the jobs of the book FILE that are open or ready, by the day they are due.
A job is ready by itself when all its sides are cut. With --collected a job that
is ready has gone to its customer; with --dropped an open job will not be made;
--open takes that back. The commands below show and change one job.`,
		Example: jobsExample,
		Args:    bookArguments(),
		RunE: func(cmd *cobra.Command, args []string) error {
			var marks []book.Change
			for _, m := range []struct {
				names []string
				state string
			}{{collected, book.JobCollected}, {dropped, book.JobDropped}, {open, book.JobOpen}} {
				if len(m.names) > 0 {
					marks = append(marks, book.MarkJobs(m.state, m.names...))
				}
			}
			access := reading
			if len(marks) > 0 {
				access = p.writing
			}
			return access(cmd.Context(), args[0], func(b *book.Book) error {
				if _, err := b.Do(cmd.Context(), sign.by(), marks...); err != nil {
					return err
				}
				list, err := b.Jobs(cmd.Context(), all)
				if err != nil {
					return err
				}
				s, err := settingsOf(cmd.Context(), b)
				if err != nil {
					return err
				}
				whole, err := b.WholeCosts(cmd.Context())
				if err != nil {
					return err
				}
				answer := []jobAnswer{}
				for _, j := range list {
					one := jobAnswer{JobState: j}
					if cost, known := whole[j.Name]; known {
						one.Whole = &cost
					}
					answer = append(answer, one)
				}
				return p.answer(jsonOut, answer, jobsPage(answer, s))
			})
		},
	}
	cmd.Flags().BoolVar(&all, "all", false, "those collected and dropped as well")
	cmd.Flags().StringArrayVar(&collected, "collected", nil, "this `job` has gone to its customer; may be repeated")
	cmd.Flags().StringArrayVar(&dropped, "dropped", nil, "this `job` will not be made; may be repeated")
	cmd.Flags().StringArrayVar(&open, "open", nil, "this `job` will be made after all; may be repeated")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the jobs as JSON")
	sign.addFlags(cmd)
	cmd.AddCommand(p.jobsShow(), p.jobsChange(), p.jobsSplit(), p.jobsDrop(), p.jobsOpen())
	return cmd
}

// jobsShow is "longpoint jobs show".
func (p *program) jobsShow() *cobra.Command {
	return &cobra.Command{
		Use:   "show [FILE] JOB",
		Short: "Show a job: its frames, their sizes, what is cut",
		Long:  `Show JOB of the book FILE: its frames, what they are made of, and what is cut.`,
		Args:  bookArguments("JOB"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return reading(cmd.Context(), args[0], func(b *book.Book) error {
				s, err := settingsOf(cmd.Context(), b)
				if err != nil {
					return err
				}
				j, err := b.Job(cmd.Context(), args[1])
				if err != nil {
					return err
				}
				return p.show(jobPage(j, s))
			})
		},
	}
}

// jobPage is one job for people.
func jobPage(j book.JobDetails, s settled) string {
	title := "Job " + j.Name
	for _, part := range []string{j.Customer, j.State} {
		if part != "" {
			title += ", " + part
		}
	}
	if j.Due != "" {
		title += ", due " + s.day(j.Due)
	}
	text := paragraph(plain(title), "")
	if j.Note != "" {
		text += paragraph(plain("Note: "+j.Note), "")
	}
	if j.Match != "" {
		text += paragraph(plain("Match: "+string(j.Match)), "")
	}
	t := &table{columns: []column{words("frame"), numbers("of it"), words("profile"), words("given by"), numbers("size " + s.unit.String()),
		numbers("sides"), numbers("cut")}}
	for _, f := range j.Frames {
		for n, r := range f.Rings {
			name, many, given, size, sides, cut := cell(f.ID, 16), fmt.Sprint(f.Quantity), r.Size.By.String(), sheet.ShownAs(r.Size.By)(r.Size.Width, s.unit), fmt.Sprint(f.Sides), fmt.Sprint(f.Cut)
			if r.Size.Height != 0 {
				size += " × " + sheet.ShownAs(r.Size.By)(r.Size.Height, s.unit)
			}
			if r.Size.Across {
				given += " across"
			}
			if f.Dropped {
				sides = "dropped"
			}
			if n > 0 {
				name, many, given, size, sides, cut = "", "", fmt.Sprintf("ring %d", n+1), "", "", ""
			}
			t.add(name, many, cell(r.Profile, 14), given, size, sides, cut)
		}
	}
	return text + t.String()
}

// jobEdit is the command line of "longpoint jobs change", as typed.
type jobEdit struct {
	customer, due, note, match             string
	frame, size, given, profile, allowance string
	quantity, sides, ring                  int
	across                                 bool
	changed                                func(flag string) bool
}

// jobsChange is "longpoint jobs change".
func (p *program) jobsChange() *cobra.Command {
	var sign signature
	var e jobEdit
	cmd := &cobra.Command{
		Use:   "change [FILE] JOB",
		Short: "Change a job: its day, its customer, a frame's size, how many",
		Long: `Change an open or ready JOB of the book FILE, or one of its frames, which a job
of one frame need not name. A --frame that the job has not yet is added, with
its --profile and --size. What is cut stays known: a side that is as long as
before stays done, and one that is not is cut again. Of fewer copies those that
are cut the most stay. What an open run is about to cut cannot be changed.`,
		Args: bookArguments("JOB"),
		RunE: func(cmd *cobra.Command, args []string) error {
			e.changed = cmd.Flags().Changed
			return p.putRight(cmd, args[0], &sign, func(b *book.Book, s settled) (book.Change, func() string, error) {
				w, err := b.Workshop(cmd.Context())
				if err != nil {
					return book.Change{}, nil, err
				}
				any := false
				cmd.Flags().Visit(func(f *pflag.Flag) { any = any || f.Name != "who" && f.Name != "why" && f.Name != "frame" })
				if !any {
					return book.Change{}, nil, usage("it is not said what to change", "see the options with --help, and the job with \"longpoint jobs show\"")
				}
				change := book.ChangeJob(args[1], func(j *model.Job) error { return e.apply(j, w) })
				lost, err := b.Loses(cmd.Context(), args[1], change)
				if err != nil || lost.Sides == 0 {
					return change, nil, err
				}
				return change, func() string {
					_, did, _ := strings.Cut(p.kept, ": ")
					return fmt.Sprintf(`Written down: %s. By it %s. "longpoint undo" takes it back.`, did, text.Loses(lost, w.Currency))
				}, nil
			})
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&e.customer, "customer", "", "the customer, as a `text`")
	flags.StringVar(&e.due, "due", "", "the `date` it is due, such as 2027-03-12")
	flags.StringVar(&e.note, "note", "", "the note, as a `text`")
	flags.StringVar(&e.match, "match", "", "how sides match, as a `word`: free, lot, pair or stick")
	flags.StringVar(&e.frame, "frame", "", "this `frame`, by name; what follows is about it")
	flags.StringVar(&e.size, "size", "", "its `size`, such as \"400 x 500\"; one length for a polygon")
	flags.StringVar(&e.given, "given", "", "what the size is of, as a `word`: content, rebate, sight or outside")
	flags.IntVar(&e.sides, "sides", 0, "its `number` of sides")
	flags.BoolVar(&e.across, "across", false, "the size is the distance across flats")
	flags.StringVar(&e.profile, "profile", "", "its profile, by `name`")
	flags.StringVar(&e.allowance, "allowance", "", "its play, as a `length`")
	flags.IntVar(&e.ring, "ring", 0, "profile and allowance of this ring, a `number` from the inside")
	flags.IntVar(&e.quantity, "quantity", 0, "how many of it, as a `number`")
	sign.addFlags(cmd)
	return cmd
}

// apply makes a job what the command line says.
func (e *jobEdit) apply(j *model.Job, w *model.Workshop) (err error) {
	if e.changed("customer") {
		j.Customer = e.customer
	}
	if e.changed("note") {
		j.Note = e.note
	}
	if e.changed("match") {
		if j.Match = model.Match(e.match); !slices.Contains([]model.Match{"", model.MatchFree, model.MatchLot, model.MatchPair, model.MatchStick}, j.Match) {
			return usage(fmt.Sprintf("--match: %q is no rule of matching", e.match), "write free, lot, pair or stick")
		}
	}
	if e.changed("due") {
		if j.Due = (model.Date{}); e.due != "" {
			if j.Due, err = w.Habits.ParseDate(e.due); err != nil {
				return flagError("due", err)
			}
		}
	}
	for _, flag := range []string{"size", "given", "sides", "across", "profile", "allowance", "ring", "quantity"} {
		if e.changed(flag) {
			f, err := e.frameOf(j, w)
			if err != nil {
				return err
			}
			return e.applyFrame(f, w)
		}
	}
	return nil
}

// frameOf finds the frame that is meant, or adds it.
func (e *jobEdit) frameOf(j *model.Job, w *model.Workshop) (*model.JobFrame, error) {
	var names []string
	for i := range j.Frames {
		if j.Frames[i].ID == e.frame || e.frame == "" && len(j.Frames) == 1 {
			return &j.Frames[i], nil
		}
		names = append(names, j.Frames[i].ID)
	}
	switch {
	case e.frame == "":
		return nil, usage(fmt.Sprintf("job %s has several frames, and it is not said which: %s", j.ID, joinAnd(names)), "name it with --frame")
	case e.profile == "" || e.size == "":
		return nil, usage(fmt.Sprintf("job %s has no frame %q; it has %s", j.ID, e.frame, joinAnd(names)), "name one of these; to add it, give its --profile and --size")
	}
	j.Frames = append(j.Frames, model.JobFrame{ID: e.frame, Quantity: 1, Rings: []model.Ring{{Profile: e.profile, Allowance: w.Defaults.Allowance,
		Size: model.Size{Shape: model.Shape{Sides: 4}, By: model.ByContent}}}})
	return &j.Frames[len(j.Frames)-1], nil
}

// applyFrame makes a frame what the command line says.
func (e *jobEdit) applyFrame(f *model.JobFrame, w *model.Workshop) error {
	if e.changed("quantity") {
		f.Quantity = e.quantity
	}
	ring := max(e.ring, 1)
	if ring > len(f.Rings) {
		return usage(fmt.Sprintf("frame %s has no ring %d", f.ID, ring), fmt.Sprintf("it has %s", count(len(f.Rings), "ring", "rings")))
	}
	r := &f.Rings[ring-1]
	if e.changed("profile") {
		r.Profile = e.profile
	}
	if e.changed("allowance") {
		var err error
		if r.Allowance, err = model.ParseLength(e.allowance, w.Unit); err != nil {
			return flagError("allowance", err)
		}
	}
	size := &f.Rings[0].Size
	if e.changed("sides") {
		size.Shape.Sides = e.sides
	}
	if e.changed("given") {
		by := slices.IndexFunc(givens, func(g model.Given) bool { return g.String() == e.given })
		if by < 0 {
			return usage(fmt.Sprintf("--given: a size is not of the %q", e.given), "write content, rebate, sight or outside")
		}
		size.By = givens[by]
	}
	if e.changed("across") {
		size.Across = e.across
	}
	if !e.changed("size") {
		return nil
	}
	measures, err := model.ParseSize(e.size, w.Unit)
	if err != nil {
		return flagError("size", err)
	}
	size.Width, size.Height = measures[0], 0
	if len(measures) == 2 {
		size.Height = measures[1]
	}
	return nil
}

// givens are the sizes that a frame can be given by.
var givens = []model.Given{model.ByContent, model.ByRebate, model.BySight, model.ByOutside}

// jobsSplit is "longpoint jobs split".
func (p *program) jobsSplit() *cobra.Command {
	var sign signature
	var copies int
	var due string
	cmd := &cobra.Command{
		Use:   "split [FILE] JOB FRAME NEW",
		Short: "Give a frame of a job, or some copies of it, to another job",
		Long: `Give FRAME of JOB in the book FILE, or with --copies only some of them, to the
job NEW: a new one for the same customer, or one that is open. What is cut goes
with it. Of several copies those that are cut the least go.`,
		Args: bookArguments("JOB", "FRAME, its name,", "NEW, the other job,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.putRight(cmd, args[0], &sign, func(_ *book.Book, s settled) (change book.Change, _ func() string, err error) {
				var day model.Date
				if due != "" {
					if day, err = s.habits.ParseDate(due); err != nil {
						return change, nil, flagError("due", err)
					}
				}
				return book.SplitJob(args[1], args[2], copies, args[3], day), nil, nil
			})
		},
	}
	cmd.Flags().IntVar(&copies, "copies", 0, "only this `number` of them")
	cmd.Flags().StringVar(&due, "due", "", "the `date` the new job is due; the same day unless you say otherwise")
	sign.addFlags(cmd)
	return cmd
}

// jobsDrop is "longpoint jobs drop".
func (p *program) jobsDrop() *cobra.Command {
	var sign signature
	cmd := &cobra.Command{
		Use:   "drop [FILE] JOB [FRAME]",
		Short: "Say that a job, or a frame of it, will not be made",
		Long: `Say in the book FILE that JOB, or only FRAME of it, will not be made. What is
cut of it stays known.`,
		Args: optionalLast(bookArguments("JOB"), 3),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.putRight(cmd, args[0], &sign, func(*book.Book, settled) (book.Change, func() string, error) {
				if len(args) == 2 {
					return book.MarkJobs(book.JobDropped, args[1]), nil, nil
				}
				return book.ChangeJob(args[1], func(j *model.Job) error {
					at := slices.IndexFunc(j.Frames, func(f model.JobFrame) bool { return f.ID == args[2] })
					if at < 0 {
						return usage(fmt.Sprintf("job %s has no frame %q", j.ID, args[2]), "see \"longpoint jobs show\"")
					}
					j.Frames = slices.Delete(j.Frames, at, at+1)
					return nil
				}), nil, nil
			})
		},
	}
	sign.addFlags(cmd)
	return cmd
}

// jobsOpen is "longpoint jobs open".
func (p *program) jobsOpen() *cobra.Command {
	var sign signature
	cmd := &cobra.Command{
		Use:   "open [FILE] JOB [FRAME]",
		Short: "Say that what was dropped will be made after all",
		Long:  `Say in the book FILE that JOB, or FRAME of it, which was dropped, will be made.`,
		Args:  optionalLast(bookArguments("JOB"), 3),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.putRight(cmd, args[0], &sign, func(*book.Book, settled) (book.Change, func() string, error) {
				if len(args) == 2 {
					return book.MarkJobs(book.JobOpen, args[1]), nil, nil
				}
				return book.TakeUpFrame(args[1], args[2]), nil, nil
			})
		},
	}
	sign.addFlags(cmd)
	return cmd
}

// optionalLast takes as many arguments as a command can have, or leaves it to a check of those that it must have.
func optionalLast(check cobra.PositionalArgs, most int) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) == most {
			return nil
		}
		return check(cmd, args)
	}
}

// jobAnswer is a job as "longpoint jobs --json" prints it.
type jobAnswer struct {
	book.JobState
	Whole *model.Money `json:"whole,omitempty"` // what its moulding comes to in all, where that is known
}

// jobsPage is the list for people.
func jobsPage(list []jobAnswer, s settled) string {
	if len(list) == 0 {
		return "There are no such jobs.\n"
	}
	t := &table{columns: []column{words("job"), words("customer"), days("due", s.habits.Dates), words("state"), numbers("sides"), numbers("cut"), numbers("spoilt"),
		numbers("cost " + s.currency.Code)}}
	for _, j := range list {
		cost := "from " + j.Cost.In(s.currency)
		switch {
		case j.Whole != nil:
			cost = j.Whole.In(s.currency)
		case j.Cut == j.Sides:
			cost = j.Cost.In(s.currency)
		case j.Cut == 0 && j.Cost == 0:
			cost = "–"
		}
		t.add(cell(j.Name, 14), cell(j.Customer, 16), j.Due, j.State, fmt.Sprint(j.Sides), fmt.Sprint(j.Cut), fmt.Sprint(j.Spoilt), cost)
	}
	return t.String() + paragraph("Cost is what the job's moulding comes to, by the plans that its sides were and will be cut by; from: of what is cut, where the rest is in no plan that still holds.", "")
}
