package main

import (
	"slices"

	"github.com/spf13/cobra"

	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/folder"
)

// take is "longpoint take": new jobs for a book.
func (p *program) take() *cobra.Command {
	var sign signature
	var jsonOut, strict bool
	var is []string
	cmd := &cobra.Command{
		Use:   "take [FILE] JOBS",
		Short: "Take new jobs into a book",
		Long: `Take the jobs of JOBS, a table with the columns of a workshop's jobs.csv as CSV,
TSV or XLSX, into the book FILE, all or none. A job that is in the book already
just so is passed over, so a list can be taken in twice. A size that is far from
all others is named, as it may be a slip; with --strict it is refused.

Where your table has headings of your own, say once with --is which column each
one is. That is kept, so that the next list needs nothing said.`,
		Example: takeExample,
		Args:    bookArguments("JOBS, the table of jobs,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.writing(cmd.Context(), args[0], func(b *book.Book) error {
				if err := notOneOf(args[1], aTable, aWorkbook); err != nil {
					return err
				}
				w, err := b.Workshop(cmd.Context())
				if err != nil {
					return err
				}
				before := w.Habits.Headings
				if w.Habits.Headings, err = folder.OwnHeadings(is, "jobs", before); err != nil {
					return err
				}
				jobs, readings, err := folder.ReadJobs(args[1], w, "longpoint take "+shellWord(args[0])+" "+shellWord(args[1])+typedHeadings(is))
				if err != nil {
					return err
				}
				all := *w
				all.Jobs, all.Readings = append(slices.Clone(w.Jobs), jobs...), readings
				if err := p.odd(&all, strict, func(where model.Place) bool { return where.File == args[1] }); err != nil {
					return err
				}
				if w.Habits.Headings != before {
					if _, err := b.Do(cmd.Context(), sign.by(), book.KeepHeadings(w.Habits.Headings)); err != nil {
						return err
					}
				}
				taken, err := b.TakeIn(cmd.Context(), jobs, sign.by())
				if err != nil {
					return err
				}
				page := "Nothing new: these jobs are in the book.\n"
				if len(taken) > 0 {
					jobs = slices.DeleteFunc(jobs, func(j model.Job) bool { return !slices.Contains(taken, j.ID) })
					page = paragraph(plain("Taken in: "+joinAnd(taken)+"."), "") + paragraph(text.TookIn(jobs, w.Unit, w.Habits.Dates), "")
				}
				return p.answer(jsonOut, map[string][]string{"taken": append([]string{}, taken...)}, page)
			})
		},
	}
	sign.addFlags(cmd)
	addHeadings(cmd, &is)
	cmd.Flags().BoolVar(&strict, "strict", false, "refuse a size that is far from all others")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the names of the jobs as JSON")
	return cmd
}

// odd warns of what is odd in the workshop's tables, at places of which a function tells that they count, or with strict makes an error
// of it.
func (p *program) odd(w *model.Workshop, strict bool, counts func(model.Place) bool) error {
	var errs model.Errors
	for _, odd := range w.Odds() {
		switch {
		case !counts(odd.Where):
		case odd.Reading:
			p.warn("%s", odd.Error)
		default:
			errs = append(errs, odd.Error)
		}
	}
	if strict {
		return errs.AsError()
	}
	for _, e := range errs {
		p.warn("%s", e)
	}
	return nil
}
