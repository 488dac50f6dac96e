package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/cmd/longpoint/round"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/runs"
)

// finish is "longpoint finish": a run is over.
func (p *program) finish() *cobra.Command {
	var sign signature
	var jsonOut, done bool
	var left []string
	cmd := &cobra.Command{
		Use:   "finish [FILE] [RUN]",
		Short: "End a run: sticks are used, offcuts go on the rack, jobs are ready",
		Long: `End RUN, by its number or its profile, of the book FILE; without RUN the one
that is open. Sticks that were cut from are used up; what is left of them and
long enough to keep goes on the rack under a new name; sticks that nothing was
cut from go back; jobs with all their sides are ready. Finished twice, it
changes nothing. With --done what is still to cut is written down as done first.

Where nobody has said where a flaw ends, nothing behind it is kept unless --left
says how much.`,
		Example: finishExample,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 2 {
				return nil
			}
			return bookArguments()(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.writing(cmd.Context(), args[0], func(b *book.Book) error {
				run, err := runToFinish(cmd.Context(), b, args[1:])
				if err != nil {
					return err
				}
				s, err := settingsOf(cmd.Context(), b)
				if err != nil {
					return err
				}
				r, err := b.Run(cmd.Context(), run)
				if err != nil {
					return err
				}
				keep, err := leftFlag(left, r, s.unit)
				if err != nil {
					return err
				}
				var f book.Finished
				changes := []book.Change{book.FinishRun(run, keep, func(all book.Finished) { f = all })}
				if done {
					changes = append([]book.Change{book.CutRest(run)}, changes...)
				}
				fresh, err := b.Do(cmd.Context(), sign.by(), changes...)
				if err != nil {
					return err
				}
				if !fresh {
					return p.answer(jsonOut, f, fmt.Sprintf("Run %d was finished already.\n", run))
				}
				return p.answer(jsonOut, f, finishPage(args[0], run, f, s.unit))
			})
		},
	}
	cmd.Flags().StringArrayVar(&left, "left", nil, "what is left of a stick, as its name and a `length`: P1-3=850; 0: nothing")
	cmd.Flags().BoolVar(&done, "done", false, "first, all that is still to cut from the sticks in hand is done")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "what was done as JSON, lengths in nanometres")
	sign.addFlags(cmd)
	return cmd
}

// runToFinish gives the run that is named, or the only one that is open.
func runToFinish(ctx context.Context, b *book.Book, named []string) (int64, error) {
	name := ""
	if len(named) > 0 {
		name = named[0]
	}
	runs, err := runsMeant(ctx, b, name)
	switch {
	case err != nil:
		return 0, err
	case len(runs) == 0:
		return 0, usage("no run is open", `start one with "longpoint run", or name one that is finished by its number`)
	case len(runs) > 1:
		return 0, usage(fmt.Sprintf("%d runs are open", len(runs)), `name the one you mean by its number or its profile; "longpoint run" lists them`)
	}
	return runs[0], nil
}

// leftFlag reads what is left of sticks: "P1-3=850", or "2=850" by the stick's number in the run.
func leftFlag(texts []string, r runs.Run, u model.Unit) (map[int]model.Length, error) {
	keep := map[int]model.Length{}
	for _, text := range texts {
		at := strings.LastIndex(text, "=")
		n := slices.IndexFunc(r.Sticks, func(s runs.Stick) bool { return at >= 0 && s.State == "open" && s.Stick == text[:at] })
		if n < 0 {
			n = slices.IndexFunc(r.Sticks, func(s runs.Stick) bool { return at >= 0 && fmt.Sprint(s.Number) == text[:at] })
		}
		if n < 0 {
			return nil, usage(fmt.Sprintf("--left: %q does not say how much is left of which stick of run %d", text, r.ID), "write the stick's name and a length, like P1-3=850")
		}
		long, err := model.ParseLength(text[at+1:], u)
		if err != nil {
			return nil, flagError("left", err)
		}
		keep[r.Sticks[n].Number] = long
	}
	return keep, nil
}

// finishPage says what finishing did.
func finishPage(path string, run int64, f book.Finished, u model.Unit) string {
	var b strings.Builder
	for n, line := range round.Finished(run, f, u) {
		if n == 0 {
			b.WriteString(paragraph(line, ""))
			continue
		}
		b.WriteString(paragraph(plain(line), "  "))
	}
	if len(f.Missing) > 0 {
		name := shellWord(path)
		b.WriteString(paragraph(fmt.Sprintf("Sides still to cut are in the next plan: longpoint plan %s. Was the run not over? To open it again: longpoint undo %s", name, name), ""))
	}
	return b.String()
}
