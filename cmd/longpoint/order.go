package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/model/book"
)

// order is "longpoint order": the buy list has gone to the suppliers.
func (p *program) order() *cobra.Command {
	var sign signature
	var list, jsonOut bool
	var of, cancel int64
	cmd := &cobra.Command{
		Use:   "order [FILE]",
		Short: "Write down that a plan's buy list has been ordered",
		Long: `Write down in the book FILE that the buy list of its last plan, or of the one
that --plan names, has been ordered: one purchase a supplier. Longpoint sends
nothing to anybody. Done twice, it changes nothing. With --list it only shows
the purchases that are still to arrive.`,
		Example: orderExample,
		Args:    bookArguments(),
		RunE: func(cmd *cobra.Command, args []string) error {
			if cancel != 0 {
				return p.writing(cmd.Context(), args[0], func(b *book.Book) error {
					if _, err := b.CancelOrder(cmd.Context(), cancel, sign.by()); err != nil {
						return err
					}
					orders, err := b.Purchases(cmd.Context(), true)
					if err != nil {
						return err
					}
					return p.showOrders(cmd.Context(), b, orders, "Still to arrive", jsonOut)
				})
			}
			if list {
				return reading(cmd.Context(), args[0], func(b *book.Book) error {
					orders, err := b.Purchases(cmd.Context(), true)
					if err != nil {
						return err
					}
					return p.showOrders(cmd.Context(), b, orders, "Still to arrive", jsonOut)
				})
			}
			return p.writing(cmd.Context(), args[0], func(b *book.Book) error {
				orders, fresh, err := b.PlaceOrders(cmd.Context(), of, sign.by())
				if err != nil {
					return err
				}
				title := "Ordered"
				if !fresh {
					title = "Ordered already"
				}
				return p.showOrders(cmd.Context(), b, orders, title, jsonOut)
			})
		},
	}
	cmd.Flags().Int64Var(&of, "plan", 0, "of this `plan` instead of the last")
	cmd.Flags().Int64Var(&cancel, "cancel", 0, "nothing more of this `purchase` will come")
	for _, name := range []string{"plan", "cancel"} {
		cmd.Flags().Lookup(name).DefValue = ""
	}
	cmd.Flags().BoolVar(&list, "list", false, "only show what is still to arrive")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the purchases as JSON, lengths in nanometres")
	sign.addFlags(cmd)
	return cmd
}

// showOrders prints purchases.
func (p *program) showOrders(ctx context.Context, b *book.Book, orders []book.Purchase, title string, jsonOut bool) error {
	s, err := settingsOf(ctx, b)
	if err != nil {
		return err
	}
	parts := []string{}
	for _, o := range orders {
		t := &table{columns: []column{numbers("line"), words("profile"), numbers("stick " + s.unit.String()), numbers("sticks"),
			numbers("arrived"), numbers("cost " + s.currency.Code)}}
		for _, l := range o.Lines {
			t.add(fmt.Sprint(l.Number), cutShort(l.Profile, 26), near(l.Length, s.unit), fmt.Sprint(l.Sticks), fmt.Sprint(l.Arrived), l.Cost.In(s.currency))
		}
		parts = append(parts, paragraph(fmt.Sprintf("%s: purchase %d from %s, %s", title, o.ID, plain(o.Supplier), o.Placed), "")+t.String())
	}
	if len(parts) == 0 {
		parts = append(parts, title+": nothing.\n")
	}
	return p.answer(jsonOut, append([]book.Purchase{}, orders...), strings.Join(parts, "\n"))
}
