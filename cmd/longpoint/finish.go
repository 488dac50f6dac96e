package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/model"
	"longpoint/model/book"
)

// finish is "longpoint finish": a run is over.
func (p *program) finish() *cobra.Command {
	var sign signature
	var jsonOut bool
	var left []string
	cmd := &cobra.Command{
		Use:   "finish [FILE] RUN",
		Short: "End a run: sticks are used, offcuts go on the rack, jobs are ready",
		Long: `End RUN, by its number, of the book FILE. Sticks that were cut from are used up;
what is left of them and long enough to keep goes on the rack under a new name;
sticks that nothing was cut from go back; jobs with all their sides are ready.
Finished twice, it changes nothing.

Of a stick with a flaw nothing is kept, unless --left says how much.`,
		Example: finishExample,
		Args:    bookArguments("RUN, its number,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			run, err := number(args[1], "a run")
			if err != nil {
				return err
			}
			return p.writing(cmd.Context(), args[0], func(b *book.Book) error {
				s, err := settingsOf(cmd.Context(), b)
				if err != nil {
					return err
				}
				keep, err := leftFlag(left, s.unit)
				if err != nil {
					return err
				}
				f, fresh, err := b.Finish(cmd.Context(), run, keep, sign.by())
				if err != nil {
					return err
				}
				if !fresh {
					return p.answer(jsonOut, f, fmt.Sprintf("Run %d was finished already.\n", run))
				}
				return p.answer(jsonOut, f, finishPage(run, f, s.unit))
			})
		},
	}
	cmd.Flags().StringArrayVar(&left, "left", nil, "what is left of a stick, as its number and a `length`, such as 2=850; 0: nothing; may be repeated")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "what was done as JSON, lengths in nanometres")
	sign.addFlags(cmd)
	return cmd
}

// leftFlag reads what is left of sticks: "2=850".
func leftFlag(texts []string, u model.Unit) (map[int]model.Length, error) {
	keep := map[int]model.Length{}
	for _, text := range texts {
		stick, long, two := strings.Cut(text, "=")
		n, err := strconv.Atoi(stick)
		if err != nil || !two {
			return nil, usage(fmt.Sprintf("--left: %q does not say how much is left of which stick", text), "write the stick's number in the run and a length, like 2=850")
		}
		if keep[n], err = model.ParseLength(long, u); err != nil {
			return nil, flagError("left", err)
		}
	}
	return keep, nil
}

// finishPage says what finishing did.
func finishPage(run int64, f book.Finished, u model.Unit) string {
	var b strings.Builder
	b.WriteString(paragraph(fmt.Sprintf("Run %d is finished: %s used up.", run, count(len(f.Used), "stick", "sticks")), ""))
	for _, o := range f.Offcuts {
		text := fmt.Sprintf("On the rack: %s, %s, left of %s", o.Name, o.Length.Near(u), o.Of)
		if o.Place != "" {
			text += ", at " + o.Place
		}
		b.WriteString(paragraph(plain(text+"."), "  "))
	}
	if len(f.Returned) > 0 {
		b.WriteString(paragraph(plain("Back on the rack, uncut: "+joinAnd(f.Returned)+"."), "  "))
	}
	for _, s := range f.Missing {
		b.WriteString(paragraph(plain("Still to cut: "+s.String()+"."), "  "))
	}
	if len(f.Ready) > 0 {
		b.WriteString(paragraph(plain("Ready: "+jobWord(f.Ready)+"."), "  "))
	}
	return b.String()
}

// jobWord gives "job 1" or "jobs 1 and 2".
func jobWord(names []string) string {
	if len(names) == 1 {
		return "job " + names[0]
	}
	return "jobs " + joinAnd(names)
}
