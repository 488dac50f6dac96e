package main

import (
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"longpoint/model/book"
)

// cut is "longpoint cut": what happened at the machine.
func (p *program) cut() *cobra.Command {
	var sign signature
	var jsonOut bool
	var became, flaw string
	outcomes := []string{book.Done, book.Short, book.Torn}
	cmd := &cobra.Command{
		Use:   "cut [FILE] RUN STICK [SIDE...]",
		Short: "Write down what became of sides at the machine",
		Long: `Write down in the book FILE what became of sides of STICK in RUN, both by their
numbers as "longpoint run" shows them: of the sides that are named, or of all
that are still to cut. They are done, or with --became short or torn, and a side
that is short or torn is to be made again. With --flaw the stick is no good from
here on, and what is still to cut of it waits for the next plan.`,
		Example: cutExample,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 3 {
				return nil
			}
			return bookArguments("RUN, its number,", "STICK, its number in the run,")(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if !slices.Contains(outcomes, became) {
				return usage(fmt.Sprintf("--became: a side does not become %q", became), "write done, short or torn")
			}
			run, err := number(args[1], "a run")
			if err != nil {
				return err
			}
			stick, err := number(args[2], "a stick of a run")
			if err != nil {
				return err
			}
			var sides []int
			for _, text := range args[3:] {
				n, err := number(text, "a side of a stick")
				if err != nil {
					return err
				}
				sides = append(sides, int(n))
			}
			return p.writing(cmd.Context(), args[0], func(b *book.Book) error {
				if flaw != "" {
					if len(sides) > 0 {
						return usage("a flaw is the stick's, and sides are named as well", "write the sides down in a command of their own first")
					}
					if _, err := b.Flaw(cmd.Context(), run, int(stick), flaw, sign.by()); err != nil {
						return err
					}
					r, err := b.Run(cmd.Context(), run)
					if err != nil {
						return err
					}
					return p.answer(jsonOut, r, cutPage(r, int(stick)))
				}
				r, _, err := b.Cut(cmd.Context(), run, int(stick), sides, became, sign.by())
				if err != nil {
					return err
				}
				return p.answer(jsonOut, r, cutPage(r, int(stick)))
			})
		},
	}
	cmd.Flags().StringVar(&became, "became", book.Done, "what became of them, as a `word`: done, short or torn")
	cmd.Flags().StringVar(&flaw, "flaw", "", "what is wrong with the stick, as a `text`")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the run as JSON, lengths in nanometres")
	sign.addFlags(cmd)
	return cmd
}

// cutPage says how far a stick and its run are.
func cutPage(r book.Run, stick int) string {
	tell := func(all []book.RunStick) string {
		n := map[string]int{}
		for _, s := range all {
			for _, side := range s.Sides {
				n[side.Became]++
			}
		}
		text := fmt.Sprintf("%d done", n[book.Done]+n[book.Before])
		for _, word := range []string{book.Short, book.Torn, book.ToCut} {
			if n[word] > 0 {
				text += fmt.Sprintf(", %d %s", n[word], word)
			}
		}
		return text
	}
	text := ""
	for _, s := range r.Sticks {
		if s.Number == stick {
			text = fmt.Sprintf("Run %d, stick %d: %s", r.ID, stick, tell([]book.RunStick{s}))
			if s.Flaw != "" {
				text += "; flaw: " + s.Flaw
			}
		}
	}
	return paragraph(plain(text+". The whole run: "+tell(r.Sticks)+"."), "")
}
