package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/cmd/longpoint/text"
	"longpoint/model"
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
		Long: `Read the book FILE as a diary: its last steps day by day, with who did what, by
this computer's clock, and why. A step that was taken back says so: it did not
happen. With --stick or --job tell what became of that one, from its beginning.`,
		Example: historyExample,
		Args:    bookArguments(),
		RunE: func(cmd *cobra.Command, args []string) error {
			if stick != "" && job != "" {
				return usage("--stick and --job ask for two lives at once", "ask for one of them")
			}
			if last < 1 {
				return usage("--last must be 1 or more", `write a number, as in "longpoint history --last 20"`)
			}
			return reading(cmd.Context(), args[0], func(b *book.Book) error {
				s, err := settingsOf(cmd.Context(), b)
				if err != nil {
					return err
				}
				if stick == "" && job == "" {
					steps, err := b.Steps(cmd.Context(), last)
					if err != nil {
						return err
					}
					return p.answer(jsonOut, append([]book.Step{}, steps...), stepsPage(steps, s.habits.Dates))
				}
				life, name := b.StickLife, stick
				if job != "" {
					life, name = b.JobLife, job
				}
				events, err := life(cmd.Context(), name)
				if err != nil {
					return err
				}
				return p.answer(jsonOut, append([]book.Event{}, events...), lifePage(events, s.habits.Dates))
			})
		},
	}
	cmd.Flags().StringVar(&stick, "stick", "", "the life of this stick, by `name`")
	cmd.Flags().StringVar(&job, "job", "", "the life of this job, by `name`")
	cmd.Flags().IntVar(&last, "last", 20, "so many steps, as a `number`")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the steps as JSON")
	return cmd
}

// stepsPage is the diary: a line a step, under its day.
func stepsPage(steps []book.Step, dates model.DateOrder) string {
	if len(steps) == 0 {
		return "Nothing has been done in this book yet.\n"
	}
	events := make([]book.Event, len(steps))
	for i, s := range steps {
		events[i] = book.Event{Step: s, What: s.What}
	}
	return lifePage(events, dates)
}

// lifePage lists what happened, day by day.
func lifePage(events []book.Event, dates model.DateOrder) string {
	var b strings.Builder
	before := ""
	for _, e := range events {
		day, clock := text.LocalTime(e.Step.At, dates)
		if day != before {
			b.WriteString(day + "\n")
			before = day
		}
		line := fmt.Sprintf("step %d, %s: %s", e.Step.ID, e.Step.Who, e.What)
		if e.Step.Why != "" {
			line += " (" + e.Step.Why + ")"
		}
		if e.Step.Undone != 0 {
			line += fmt.Sprintf(" – taken back by step %d", e.Step.Undone)
		}
		b.WriteString(hanging("  "+clock, plain(line)))
	}
	return b.String()
}
