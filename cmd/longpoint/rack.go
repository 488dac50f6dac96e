package main

import (
	"strings"

	"github.com/spf13/cobra"

	"longpoint/model"
	"longpoint/model/book"
)

// rack is "longpoint rack": what lies on the rack.
func (p *program) rack() *cobra.Command {
	var sign signature
	var jsonOut bool
	var only string
	var discard []string
	cmd := &cobra.Command{
		Use:   "rack [FILE]",
		Short: "List a book's sticks and offcuts, or discard some",
		Long: `List the sticks and offcuts on the rack of the book FILE, and those in open
runs. With --discard a stick is taken off the rack for good first; what it cost
is waste.`,
		Example: rackExample,
		Args:    bookArguments(),
		RunE: func(cmd *cobra.Command, args []string) error {
			open := reading
			if len(discard) > 0 {
				open = p.writing
			}
			return open(cmd.Context(), args[0], func(b *book.Book) error {
				if len(discard) > 0 {
					if _, err := b.Do(cmd.Context(), sign.by(), book.Discard(discard...)); err != nil {
						return err
					}
				}
				all, err := b.Rack(cmd.Context())
				if err != nil {
					return err
				}
				s, err := settingsOf(cmd.Context(), b)
				if err != nil {
					return err
				}
				shown := []book.RackStick{}
				for _, stick := range all {
					if only == "" || stick.Profile == only {
						shown = append(shown, stick)
					}
				}
				return p.answer(jsonOut, shown, rackPage(shown, s))
			})
		},
	}
	cmd.Flags().StringVar(&only, "profile", "", "only this profile, by `name`")
	cmd.Flags().StringArrayVar(&discard, "discard", nil, "discard this `stick`, by name; may be repeated")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the sticks as JSON, lengths in nanometres")
	sign.addFlags(cmd)
	return cmd
}

// rackPage is the rack for people.
func rackPage(all []book.RackStick, s settled) string {
	if len(all) == 0 {
		return "There is nothing on the rack.\n"
	}
	t := &table{columns: []column{words("profile"), words("stick"), numbers("length " + s.unit.String()), numbers("cost " + s.currency.Code),
		words("place"), words("what it is")}}
	var total model.Money
	for _, stick := range all {
		what := []string{}
		if stick.Offcut {
			what = append(what, "offcut")
		}
		if stick.State == "run" {
			what = append(what, "in a run")
		}
		if len(stick.Damage) > 0 {
			what = append(what, "damaged")
		}
		if stick.Lot != "" {
			what = append(what, "lot "+stick.Lot)
		}
		total += stick.Cost
		t.add(cutShort(stick.Profile, 14), cutShort(stick.Name, 14), near(stick.Length, s.unit), stick.Cost.In(s.currency),
			cutShort(stick.Place, 12), cutShort(strings.Join(what, ", "), 18))
	}
	t.foot = []string{"all", count(len(all), "stick", "sticks"), "", total.In(s.currency), "", ""}
	return t.String() + paragraph("Cost is the money that is in a stick: what was paid for it, or what it was worth when it came "+
		"into the book, and of an offcut its share.", "")
}
