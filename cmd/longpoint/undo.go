package main

import (
	"cmp"
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
)

// undo is "longpoint undo": the last step is taken back.
func (p *program) undo() *cobra.Command {
	var sign signature
	var jsonOut bool
	var step, to int64
	var yes bool
	cmd := &cobra.Command{
		Use:   "undo [FILE]",
		Short: "Take back the last step in a book, whatever it was",
		Long: `Take back the last step of the book FILE that still stands, whatever it was. It
says first what that is and whose, and asks; with --yes it does not. Right after
something was taken back, the step before it is taken back by its number alone
(--step): so a command that is typed twice takes back one step. With --step
nothing is asked, and it must be the last step that stands.
With --to all steps from the last down to that one are taken back, or none.`,
		Example: undoExample,
		Args:    bookArguments(),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.writing(cmd.Context(), args[0], func(b *book.Book) error {
				in, err := settingsOf(cmd.Context(), b)
				if err != nil {
					return err
				}
				if to != 0 {
					all, err := b.UndoTo(cmd.Context(), to, sign.by())
					if err != nil {
						return err
					}
					said := ""
					for _, s := range all {
						said += paragraph(plain("Taken back: "+stepWords(s, in.habits.Dates)+"."), "")
					}
					return p.answer(jsonOut, all, said)
				}
				expect, err := step, error(nil)
				if step == 0 {
					if expect, err = p.whichUndo(cmd.Context(), b, in, yes); err != nil || expect == 0 {
						return err
					}
				}
				s, err := b.Undo(cmd.Context(), expect, sign.by())
				if err != nil {
					return err
				}
				said := "Taken back: " + stepWords(s, in.habits.Dates) + "."
				if s.ID == 0 {
					said = fmt.Sprintf("Step %d was taken back already.", step)
				}
				return p.answer(jsonOut, s, paragraph(plain(said), ""))
			})
		},
	}
	cmd.Flags().BoolVar(&yes, "yes", false, "do not ask")
	cmd.Flags().Int64Var(&step, "step", 0, "this `step`, which must be the last that stands, and do not ask")
	cmd.Flags().Int64Var(&to, "to", 0, "all down to this `step`, that one too, and do not ask")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the step as JSON; with --to a list of them")
	sign.addFlags(cmd)
	return cmd
}

// whichUndo gives the step that is to be taken back, once somebody has said yes to it; 0 where somebody has said no.
func (p *program) whichUndo(ctx context.Context, b *book.Book, in settled, yes bool) (int64, error) {
	standing, last, err := b.Undoable(ctx)
	if err != nil || standing.ID == 0 {
		return 0, cmp.Or(err, error(usage("there is nothing to undo", "see \"longpoint history\"")))
	}
	again := last.ID != standing.ID // nothing has been done since something was taken back
	words, just := stepWords(standing, in.habits.Dates), text.JustUndone(standing, last)
	number := fmt.Sprintf("add --step %d", standing.ID)
	switch {
	case yes && again:
		return 0, usage(just+"; the next to take back would be "+words, number+" if you mean that one")
	case yes:
		return standing.ID, nil
	case !p.atTerminal():
		if again {
			return 0, usage(just+"; the next to take back would be "+words, number+" if you mean that one")
		}
		return 0, usage("to take back "+words+" needs a yes", "add --yes")
	}
	if !p.agreed(text.UndoQuestion(standing, last, in.habits.Dates)) {
		return 0, p.show("Nothing was taken back.\n")
	}
	return standing.ID, nil
}

// stepWords says which step one is, whose and what it did.
func stepWords(s book.Step, dates model.DateOrder) string { return text.Step(s, dates) }
