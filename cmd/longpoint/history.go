package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"longpoint/model/book"
)

// history is "longpoint history": what was done, by whom and why.
func (p *program) history() *cobra.Command {
	var jsonOut bool
	var stick, job string
	var last int
	cmd := &cobra.Command{
		Use:   "history [FILE]",
		Short: "Tell what was done in a book, or the life of a stick or a job",
		Long: `List the last steps of the book FILE, the last first: who made it, when (UTC)
and why. With --stick or --job tell what became of that one, from its beginning.`,
		Example: historyExample,
		Args:    bookArguments(),
		RunE: func(cmd *cobra.Command, args []string) error {
			if stick != "" && job != "" {
				return usage("--stick and --job ask for two lives at once", "ask for one of them")
			}
			if last < 1 {
				return usage("--last must be 1 or more", "write a number such as 20")
			}
			return reading(cmd.Context(), args[0], func(b *book.Book) error {
				if stick == "" && job == "" {
					steps, err := b.Steps(cmd.Context(), last)
					if err != nil {
						return err
					}
					return p.answer(jsonOut, append([]book.Step{}, steps...), stepsPage(steps))
				}
				life, name := b.StickLife, stick
				if job != "" {
					life, name = b.JobLife, job
				}
				events, err := life(cmd.Context(), name)
				if err != nil {
					return err
				}
				return p.answer(jsonOut, append([]book.Event{}, events...), lifePage(events))
			})
		},
	}
	cmd.Flags().StringVar(&stick, "stick", "", "the life of this stick, by `name`")
	cmd.Flags().StringVar(&job, "job", "", "the life of this job, by `name`")
	cmd.Flags().IntVar(&last, "last", 20, "so many steps, as a `number`")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the steps as JSON")
	return cmd
}

// stepsPage lists steps.
func stepsPage(steps []book.Step) string {
	if len(steps) == 0 {
		return "Nothing has been done in this book yet.\n"
	}
	t := &table{columns: []column{numbers("step"), words("when (UTC)"), words("who"), words("what"), words("why")}}
	for _, s := range steps {
		what := s.Kind
		if s.Undoes > 0 {
			what = fmt.Sprintf("undo of %d", s.Undoes)
		}
		if s.Undone {
			what += " (undone)"
		}
		t.add(fmt.Sprint(s.ID), s.At, cutShort(s.Who, 12), cutShort(what, 22), cutShort(s.Why, 16))
	}
	return t.String()
}

// lifePage lists what happened to one thing.
func lifePage(events []book.Event) string {
	text := ""
	for _, e := range events {
		text += paragraph(plain(fmt.Sprintf("%s, step %d, %s: %s", e.Step.At, e.Step.ID, e.Step.Who, e.What)), "  ")
	}
	return text
}
