package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"longpoint/model/book"
	"longpoint/model/plan"
)

// yield is "longpoint yield": what became of the moulding.
func (p *program) yield() *cobra.Command {
	var jsonOut bool
	by := string(book.ByProfile)
	cmd := &cobra.Command{
		Use:   "yield [FILE]",
		Short: "Add up yield and waste of what was cut, with what waste cost",
		Long: `Add up what became of the moulding in the finished runs of the book FILE, and of
what was discarded: by profile, by week (ISO 8601), or by supplier. Yield is
the share of the length used up that is long points of sides that are done; an
offcut that was kept is not used up. The rest is waste: trims, mitre losses,
shaves, short ends and spoilt sides.`,
		Example: yieldExample,
		Args:    bookArguments(),
		RunE: func(cmd *cobra.Command, args []string) error {
			return reading(cmd.Context(), args[0], func(b *book.Book) error {
				all, err := b.Yields(cmd.Context(), book.YieldBy(by))
				if err != nil {
					return err
				}
				s, err := settingsOf(cmd.Context(), b)
				if err != nil {
					return err
				}
				return p.answer(jsonOut, append([]book.Yield{}, all...), yieldPage(all, by, s))
			})
		},
	}
	cmd.Flags().StringVar(&by, "by", by, "add up by this `word`: profile, week or supplier")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the sums as JSON, lengths in nanometres")
	return cmd
}

// yieldPage is the table for people.
func yieldPage(all []book.Yield, by string, s settled) string {
	if len(all) == 0 {
		return "No run has been finished yet.\n"
	}
	t := &table{columns: []column{words(by), numbers("sticks"), numbers("used up " + s.unit.String()), numbers("waste " + s.unit.String()),
		numbers("yield %"), numbers("spoilt"), numbers("waste " + s.currency.Code)}}
	for _, y := range all {
		name := y.Of
		if name == "" {
			name = "not known"
		}
		t.add(cell(name, 20), fmt.Sprint(y.Sticks), near(y.UsedUp, s.unit), near(y.Waste, s.unit),
			percent(plan.Figures{Yield: y.Yield}), fmt.Sprint(y.Spoilt), y.WasteCost.In(s.currency))
	}
	return t.String()
}
