package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/model/book"
	"longpoint/model/plan"
)

// cut is "longpoint cut": what happened at the machine.
func (p *program) cut() *cobra.Command {
	var sign signature
	var jsonOut bool
	var became, flaw string
	outcomes := []string{book.Done, book.Short, book.Torn}
	cmd := &cobra.Command{
		Use:   "cut [FILE] STICK [SIDE...]",
		Short: "Write down what became of sides at the machine",
		Long: `Write down in the book FILE what became of sides in the open runs. STICK is a
stick by its name; alone it stands for all of it that is still to cut. A SIDE of
it is a letter, such as A, or the number of a cut as "longpoint run" and the cut
sheet have it. P1-3:7 is one word for cut 7 from P1-3, what the code of a label
says names a side without its stick, and a profile stands for all of its run.
Several sticks and sides may be written one after another.

They are done, or with --became short or torn, and a side that is short or torn
is to be made again. With --flaw the stick is no good from here on, and what is
still to cut of it waits for the next plan.`,
		Example: cutExample,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return nil
			}
			return bookArguments("STICK, a stick of an open run,")(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if !slices.Contains(outcomes, became) {
				return usage(fmt.Sprintf("--became: a side does not become %q", became), "write done, short or torn")
			}
			return p.writing(cmd.Context(), args[0], func(b *book.Book) error {
				d, err := b.RunDocument(cmd.Context())
				if err != nil {
					return err
				}
				picked, err := picks(d.Runs, args[1:])
				if err != nil {
					return err
				}
				var changes []book.Change
				for _, one := range picked {
					if flaw == "" {
						changes = append(changes, book.CutSides(one.run, one.stick.Number, one.places(), became))
						continue
					}
					if len(one.sides) > 0 {
						return usage("a flaw is the stick's, and sides are named as well", "write the sides down in a command of their own first")
					}
					changes = append(changes, book.FlawStick(one.run, one.stick.Number, flaw))
				}
				if _, err := b.Do(cmd.Context(), sign.by(), changes...); err != nil {
					return err
				}
				return p.showCut(cmd.Context(), b, picked, became, jsonOut)
			})
		},
	}
	cmd.Flags().StringVar(&became, "became", book.Done, "what became of them, as a `word`: done, short or torn")
	cmd.Flags().StringVar(&flaw, "flaw", "", "what is wrong with the stick, as a `text`")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the runs as JSON, lengths in nanometres")
	sign.addFlags(cmd)
	return cmd
}

// showCut says what was understood of a command, and how far stick and run are.
func (p *program) showCut(ctx context.Context, b *book.Book, picked []pick, became string, jsonOut bool) error {
	var runs []int64
	for _, one := range picked {
		if !slices.Contains(runs, one.run) {
			runs = append(runs, one.run)
		}
	}
	slices.Sort(runs)
	d, err := b.RunDocument(ctx, runs...)
	if err != nil {
		return err
	}
	if jsonOut {
		return p.answer(true, append([]book.Run{}, d.Runs...), "")
	}
	page := &planPage{d: d.Plan, unit: d.Workshop.Unit, currency: d.Workshop.Currency}
	var text strings.Builder
	for i, r := range d.Runs {
		text.WriteString(paragraph(fmt.Sprintf("Run %d, %s, in %s: %s.", r.ID, plain(r.Profile), page.unit, howFar(d, i)), ""))
		for _, one := range picked {
			if one.run == r.ID {
				text.WriteString(paragraph(plain(page.cutLine(d, i, one, became)), "  "))
			}
		}
	}
	return p.show(text.String())
}

// cutLine says what became of sides of one stick, and what is left of it: "P1-13: A 517 and C 517 done, 88 left, waste."
func (g *planPage) cutLine(d *book.RunDocument, run int, one pick, became string) string {
	r := d.Runs[run]
	now := r.Sticks[slices.IndexFunc(r.Sticks, func(s book.RunStick) bool { return s.Number == one.stick.Number })]
	var parts []string
	if told := one.told(); len(told) > 0 && now.Flaw == one.stick.Flaw {
		names := make([]string, len(told))
		for n, side := range told {
			names[n] = side.Letter + " " + toCut(side.LongPoint, g.unit)
		}
		parts = append(parts, joinAnd(names)+" "+became)
		if became != book.Done {
			parts[0] += ", to be made again"
		}
	}
	if now.Flaw != "" {
		parts = append(parts, "flaw: "+now.Flaw)
	}
	toCut := 0
	for _, side := range now.Sides {
		if side.Became == book.ToCut {
			toCut++
		}
	}
	if toCut > 0 {
		return fmt.Sprintf("%s: %s, %d to cut.", now.Stick, strings.Join(append(parts, near(now.LeftNow(), g.unit)+" left"), ", "), toCut)
	}
	for _, s := range d.Plan.Profiles[run].Sticks {
		if s.ID == now.Stick {
			for _, left := range append(slices.Clone(s.Between), s.Left) {
				parts = append(parts, g.fate(left))
			}
		}
	}
	return fmt.Sprintf("%s: %s.", now.Stick, strings.Join(parts, ", "))
}

// fate says what becomes of what is left, in a few words.
func (g *planPage) fate(left plan.Left) string {
	switch left.Becomes {
	case plan.Kept:
		return fmt.Sprintf("%s left, kept as %s", near(left.Length, g.unit), left.ID)
	case plan.Waste:
		return near(left.Length, g.unit) + " left, waste"
	}
	return "nothing left"
}
