package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"longpoint/model"
	"longpoint/model/book"
)

// receive is "longpoint receive": what has arrived goes on the rack.
func (p *program) receive() *cobra.Command {
	var sign signature
	var jsonOut bool
	var r book.Receipt
	var a book.Arrival
	var long, damage string
	cmd := &cobra.Command{
		Use:   "receive [FILE] PURCHASE",
		Short: "Put what has arrived of a purchase on the rack",
		Long: `Put what has arrived of PURCHASE, by its number, on the rack of the book FILE:
everything that is still to come, as ordered; or with --line only sticks of that
line, of the length and with the damage that they have. Each stick gets a name,
to be written on it. Received twice, it changes nothing.

Damage is where no side may lie, measured from the stick's head.`,
		Example: receiveExample,
		Args:    bookArguments("PURCHASE, its number,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			purchase, err := number(args[1], "a purchase")
			if err != nil {
				return err
			}
			if a.Line == 0 && (a.Sticks != 0 || long != "" || damage != "") {
				return usage("--sticks, --length and --damage speak of one line of the purchase", "say which with --line")
			}
			return p.writing(cmd.Context(), args[0], func(b *book.Book) error {
				s, err := settingsOf(cmd.Context(), b)
				if err != nil {
					return err
				}
				if a.Line > 0 {
					a.Sticks = max(a.Sticks, 1)
					if damage != "" {
						if a.Damage, err = model.ParseSpans(damage, s.unit); err != nil {
							return flagError("damage", err)
						}
					}
					if long != "" {
						if a.Length, err = model.ParseLength(long, s.unit); err != nil {
							return flagError("length", err)
						}
					}
					r.Arrivals = []book.Arrival{a}
				}
				names, err := b.Receive(cmd.Context(), purchase, r, sign.by())
				if err != nil {
					return err
				}
				text := fmt.Sprintf("On the rack: %s. Write the names on the sticks.", joinAnd(names))
				if len(names) == 0 {
					text = fmt.Sprintf("Purchase %d has arrived already.", purchase)
				}
				return p.answer(jsonOut, map[string][]string{"sticks": append([]string{}, names...)}, paragraph(text, ""))
			})
		},
	}
	flags := cmd.Flags()
	flags.IntVar(&a.Line, "line", 0, "only sticks of this `line` of the purchase")
	flags.IntVar(&a.Sticks, "sticks", 0, "how many of them, as a `number`; 1 unless you say otherwise")
	for _, name := range []string{"line", "sticks"} {
		flags.Lookup(name).DefValue = ""
	}
	flags.StringVar(&long, "length", "", "how long each of them is, as a `length`; as ordered unless you say otherwise")
	flags.StringVar(&damage, "damage", "", "where no side may lie, as `parts` such as \"0 to 20; 1200 to 1260\"")
	flags.StringVar(&r.Lot, "lot", "", "the lot they are of, by `name`")
	flags.StringVar(&r.Place, "place", "", "the `place` on the rack")
	flags.BoolVar(&r.Complete, "complete", false, "what has not arrived will not come")
	flags.BoolVar(&jsonOut, "json", false, "the names of the sticks as JSON")
	sign.addFlags(cmd)
	return cmd
}
