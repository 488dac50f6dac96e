package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"longpoint/model/book"
)

// jobs is "longpoint jobs": how far the jobs are.
func (p *program) jobs() *cobra.Command {
	var sign signature
	var all, jsonOut bool
	var collected, dropped, open []string
	cmd := &cobra.Command{
		Use:   "jobs [FILE]",
		Short: "List a book's jobs and how far they are, or mark some",
		Long: `List the jobs of the book FILE that are open or ready, by the day they are due.
A job is ready by itself when all its sides are cut. With --collected a job that
is ready has gone to its customer; with --dropped an open job will not be made;
--open takes that back.`,
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
				return p.answer(jsonOut, append([]book.JobState{}, list...), jobsPage(list, s))
			})
		},
	}
	cmd.Flags().BoolVar(&all, "all", false, "those collected and dropped as well")
	cmd.Flags().StringArrayVar(&collected, "collected", nil, "this `job` has gone to its customer; may be repeated")
	cmd.Flags().StringArrayVar(&dropped, "dropped", nil, "this `job` will not be made; may be repeated")
	cmd.Flags().StringArrayVar(&open, "open", nil, "this `job` will be made after all; may be repeated")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the jobs as JSON")
	sign.addFlags(cmd)
	return cmd
}

// jobsPage is the list for people.
func jobsPage(list []book.JobState, s settled) string {
	if len(list) == 0 {
		return "There are no such jobs.\n"
	}
	t := &table{columns: []column{words("job"), words("customer"), words("due"), words("state"), numbers("sides"), numbers("cut"), numbers("spoilt"),
		numbers("cost " + s.currency.Code)}}
	for _, j := range list {
		t.add(cutShort(j.Name, 14), cutShort(j.Customer, 16), j.Due, j.State, fmt.Sprint(j.Sides), fmt.Sprint(j.Cut), fmt.Sprint(j.Spoilt),
			j.Cost.In(s.currency))
	}
	return t.String() + paragraph("Cost is the job's share of the plans that its sides were cut by.", "")
}
