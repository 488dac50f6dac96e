package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"longpoint/model/book"
	"longpoint/model/folder"
)

// take is "longpoint take": new jobs for a book.
func (p *program) take() *cobra.Command {
	var sign signature
	var jsonOut bool
	cmd := &cobra.Command{
		Use:   "take [FILE] JOBS.csv",
		Short: "Take new jobs into a book",
		Long: `Take the jobs of JOBS.csv, a table in the form of a workshop's jobs.csv, into
the book FILE, all or none. A job that is in the book already just so is passed
over, so a list can be taken in twice.`,
		Example: takeExample,
		Args:    bookArguments("JOBS.csv, the jobs,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.writing(cmd.Context(), args[0], func(b *book.Book) error {
				w, err := b.Workshop(cmd.Context())
				if err != nil {
					return err
				}
				jobs, err := folder.ReadJobs(args[1], w)
				if err != nil {
					return err
				}
				taken, err := b.TakeIn(cmd.Context(), jobs, sign.by())
				if err != nil {
					return err
				}
				text := fmt.Sprintf("Taken in: %s.", joinAnd(taken))
				if len(taken) == 0 {
					text = "Nothing new: these jobs are in the book."
				}
				return p.answer(jsonOut, map[string][]string{"taken": append([]string{}, taken...)}, paragraph(plain(text), ""))
			})
		},
	}
	sign.addFlags(cmd)
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the names of the jobs as JSON")
	return cmd
}
