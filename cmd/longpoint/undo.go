package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"longpoint/model/book"
)

// undo is "longpoint undo": the last step is taken back.
func (p *program) undo() *cobra.Command {
	var sign signature
	var jsonOut bool
	var step int64
	cmd := &cobra.Command{
		Use:   "undo [FILE]",
		Short: "Take back the last step in a book, whatever it was",
		Long: `Take back the last step of the book FILE that still stands, whatever it was.
Undo once more takes back the one before it. With --step it must be that step,
so that the command can be repeated without taking back more.`,
		Example: undoExample,
		Args:    bookArguments(),
		RunE: func(cmd *cobra.Command, args []string) error {
			return writing(cmd.Context(), args[0], func(b *book.Book) error {
				s, err := b.Undo(cmd.Context(), step, sign.by())
				if err != nil {
					return err
				}
				text := fmt.Sprintf("Undone: step %d, %s.", s.ID, s.Kind)
				if s.ID == 0 {
					text = fmt.Sprintf("Step %d was undone already.", step)
				}
				return p.answer(jsonOut, s, text+"\n")
			})
		},
	}
	cmd.Flags().Int64Var(&step, "step", 0, "only if this `step` is the last")
	cmd.Flags().Lookup("step").DefValue = ""
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the step as JSON")
	sign.addFlags(cmd)
	return cmd
}
