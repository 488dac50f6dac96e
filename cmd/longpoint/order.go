package main

import (
	"cmp"
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/cmd/longpoint/round"
	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/plan"
)

// order is "longpoint order": what is bought from suppliers.
func (p *program) order() *cobra.Command {
	var sign signature
	var list, sent, jsonOut bool
	var of, cancel int64
	cmd := &cobra.Command{
		Use:   "order [FILE]",
		Short: "Put a plan's buy list into orders, change them, and send them",
		Long: `Put the buy list of the last plan in the book FILE, or of the one that --plan
names, into orders: one a supplier, or into the one that is open. Done twice, it
changes nothing. An order is open until it is sent: it can be changed and added
to. Longpoint sends nothing to anybody: say that you have, with "order send" or
here with --sent. With --list it only shows what is still to arrive.`,
		Example: orderExample,
		Args:    bookArguments(),
		RunE: func(cmd *cobra.Command, args []string) error {
			ctx := cmd.Context()
			if list {
				return reading(ctx, args[0], func(b *book.Book) error { return p.listOrders(ctx, b, jsonOut) })
			}
			return p.writing(ctx, args[0], func(b *book.Book) error {
				if cancel != 0 {
					if _, err := b.Do(ctx, sign.by(), book.CancelOrder(cancel)); err != nil {
						return err
					}
					return p.listOrders(ctx, b, jsonOut)
				}
				orders, fresh, err := b.PlaceOrders(ctx, of, sent, sign.by())
				if err != nil {
					return err
				}
				title := "Ordered: "
				switch {
				case len(orders) == 0 && !jsonOut:
					return p.show("Ordered: nothing, for the plan buys nothing.\n")
				case !fresh:
					title = "Ordered already: "
				}
				return p.showOrders(ctx, b, orders, title, jsonOut)
			})
		},
	}
	cmd.Flags().Int64Var(&of, "plan", 0, "of this `plan` instead of the last")
	cmd.Flags().BoolVar(&sent, "sent", false, "the orders have gone to the suppliers")
	cmd.Flags().Int64Var(&cancel, "cancel", 0, "nothing more of this `order` will come")
	cmd.Flags().BoolVar(&list, "list", false, "only show what is still to arrive")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the orders as JSON, lengths in nanometres")
	sign.addFlags(cmd)
	cmd.AddCommand(p.orderSend(), p.orderChange(), p.orderAdd())
	return cmd
}

// orderSend is "longpoint order send".
func (p *program) orderSend() *cobra.Command {
	var sign signature
	var expected string
	cmd := &cobra.Command{
		Use:   "send [FILE] [ORDER...]",
		Short: "Say that orders have gone to their suppliers",
		Long: `Write down in the book FILE that these orders, by their numbers, have gone to
their suppliers, or all that are open. From then on they cannot be changed.
Plans count on what is on the way. --expected says when it should be here, and
may be said again when the day is another; without it that is so many days after
it was sent as the supplier's delivery_days say, where these are known.`,
		Args: bookArgumentsAndMore(),
		RunE: func(cmd *cobra.Command, args []string) error {
			var ids []int64
			for _, text := range args[1:] {
				id, err := number(text, "an order")
				if err != nil {
					return err
				}
				ids = append(ids, id)
			}
			changes := []book.Change{book.SendOrders(ids...)}
			if expected != "" {
				habits, err := habitsOfBook(cmd.Context(), args[0])
				if err != nil {
					return err
				}
				on, err := habits.ParseDate(expected)
				if err != nil {
					return flagError("expected", err)
				}
				changes = append(changes, book.ExpectOrders(on, ids...))
			}
			return p.changeOrders(cmd.Context(), args[0], sign.by(), changes...)
		},
	}
	cmd.Flags().StringVar(&expected, "expected", "", "it should be here on this `date`")
	sign.addFlags(cmd)
	return cmd
}

// orderChange is "longpoint order change".
func (p *program) orderChange() *cobra.Command {
	var sign signature
	var sticks int
	var long, cost string
	cmd := &cobra.Command{
		Use:   "change [FILE] ORDER LINE",
		Short: "Change a line of an order that is not sent yet",
		Long: `Change a LINE of an ORDER in the book FILE, both by their numbers: how many
sticks, how long, what they cost in all. Without --cost they cost what the
supplier offers them for today. With --sticks 0 the line is taken out. An order
that is sent cannot be changed.`,
		Args: bookArguments("ORDER, its number,", "LINE, its number in the order,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			order, err := number(args[1], "an order")
			if err != nil {
				return err
			}
			line, err := number(args[2], "a line of an order")
			if err != nil {
				return err
			}
			if !cmd.Flags().Changed("sticks") && long == "" && cost == "" {
				return usage("it is not said what to change", `give --sticks, --length or --cost; "longpoint order --list" shows the lines`)
			}
			ctx := cmd.Context()
			return p.writing(ctx, args[0], func(b *book.Book) error {
				s, err := settingsOf(ctx, b)
				if err != nil {
					return err
				}
				l, err := optionalFlag("length", long, s.unit)
				if err != nil {
					return err
				}
				c, err := moneyFlag("cost", cost, s.currency)
				if err != nil {
					return err
				}
				if !cmd.Flags().Changed("sticks") {
					o, err := b.Purchase(ctx, order)
					if err != nil {
						return err
					}
					for _, x := range o.Lines {
						if int64(x.Number) == line {
							sticks = x.Sticks
						}
					}
				}
				if _, err := b.Do(ctx, sign.by(), book.ChangeOrder(order, int(line), sticks, l, c)); err != nil {
					return err
				}
				return p.listOrders(ctx, b, false)
			})
		},
	}
	cmd.Flags().IntVar(&sticks, "sticks", 0, "this `number` of sticks; 0: take the line out")
	cmd.Flags().StringVar(&long, "length", "", "sticks of this `length`")
	cmd.Flags().StringVar(&cost, "cost", "", "what they cost in all, as an `amount`")
	sign.addFlags(cmd)
	return cmd
}

// orderAdd is "longpoint order add".
func (p *program) orderAdd() *cobra.Command {
	var sign signature
	var sticks int
	var cost string
	cmd := &cobra.Command{
		Use:   "add [FILE] SUPPLIER PROFILE LENGTH",
		Short: "Add sticks to the order that is open with a supplier",
		Long: `Put sticks into the order from SUPPLIER that is open in the book FILE, or a new
one: of PROFILE, of a LENGTH, as many as --sticks says. Without --cost they cost
what the supplier offers them for today.`,
		Args: bookArguments("SUPPLIER", "PROFILE", "LENGTH, that of a stick,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			ctx := cmd.Context()
			return p.writing(ctx, args[0], func(b *book.Book) error {
				s, err := settingsOf(ctx, b)
				if err != nil {
					return err
				}
				l, err := model.ParseLength(args[3], s.unit)
				if err != nil {
					return asUsage(err)
				}
				c, err := moneyFlag("cost", cost, s.currency)
				if err != nil {
					return err
				}
				if _, err := b.Do(ctx, sign.by(), book.AddToOrder(args[1], args[2], l, sticks, c)); err != nil {
					return err
				}
				return p.listOrders(ctx, b, false)
			})
		},
	}
	cmd.Flags().IntVar(&sticks, "sticks", 1, "this `number` of sticks")
	cmd.Flags().StringVar(&cost, "cost", "", "what they cost in all, as an `amount`")
	sign.addFlags(cmd)
	return cmd
}

// moneyFlag reads an amount that may not be given.
func moneyFlag(name, text string, c model.Currency) (m model.OptionalMoney, err error) {
	if text == "" {
		return m, nil
	}
	m.Given = true
	if m.Amount, err = model.ParseMoney(text, c); err != nil {
		return m, flagError(name, err)
	}
	return m, nil
}

// changeOrders changes orders and lists them.
func (p *program) changeOrders(ctx context.Context, path string, by book.By, changes ...book.Change) error {
	return p.writing(ctx, path, func(b *book.Book) error {
		if _, err := b.Do(ctx, by, changes...); err != nil {
			return err
		}
		return p.listOrders(ctx, b, false)
	})
}

// listOrders shows what is still to arrive.
func (p *program) listOrders(ctx context.Context, b *book.Book, jsonOut bool) error {
	orders, err := b.Purchases(ctx, true)
	if err != nil {
		return err
	}
	return p.showOrders(ctx, b, orders, "Still to arrive: ", jsonOut)
}

// showOrders prints orders.
func (p *program) showOrders(ctx context.Context, b *book.Book, orders []book.Purchase, title string, jsonOut bool) error {
	s, err := settingsOf(ctx, b)
	if err != nil {
		return err
	}
	none, err := b.PlannedLines(ctx, orders)
	if err != nil {
		return err
	}
	parts := []string{}
	open := false
	for _, o := range orders {
		t := &table{columns: []column{numbers("line"), words("profile"), numbers("stick " + s.unit.String()), numbers("sticks"),
			numbers("arrived"), numbers("to come"), numbers("cost " + s.currency.Code)}}
		sticks, arrived, toCome, cost := 0, 0, 0, model.Money(0)
		for _, l := range o.Lines {
			left := max(l.ToCome(), 0)
			sticks, arrived, toCome, cost = sticks+l.Sticks, arrived+l.Arrived, toCome+left, cost+l.Cost
			t.add(fmt.Sprint(l.Number), cell(l.Profile, 26), near(l.Length, s.unit), fmt.Sprint(l.Sticks), fmt.Sprint(l.Arrived), fmt.Sprint(left), l.Cost.In(s.currency))
		}
		t.foot = []string{"all", "", "", fmt.Sprint(sticks), fmt.Sprint(arrived), fmt.Sprint(toCome), cost.In(s.currency)}
		when := "sent " + cmp.Or(s.day(o.Placed), "earlier")
		if o.ShouldCome != "" {
			when += ", expected " + s.day(o.ShouldCome)
		}
		if o.Open {
			when, open = "not sent yet", true
		}
		part := paragraph(fmt.Sprintf("%sorder %d%s from %s, %s", title, o.ID, called(o), plain(o.Supplier), when), "") + t.String()
		if o.Delivery > 0 {
			part += paragraph(fmt.Sprintf("Delivery is %s besides: %s in all.", o.Delivery.With(s.currency), (cost+o.Delivery).With(s.currency)), "")
		}
		if said := text.ForNoJob(none[o.ID], s.currency); said != "" {
			part += paragraph(plain(said), "")
		}
		if o.Open {
			part += paragraph(fmt.Sprintf("To print it: longpoint sheets --order %d --out order-%d", o.ID, o.ID), "")
		}
		parts = append(parts, part)
	}
	if len(parts) == 0 {
		parts = append(parts, title+"nothing.\n")
	}
	waits, err := round.Waits(ctx, b, 0)
	if err != nil {
		return err
	}
	for _, line := range plan.LateJobs(plan.AlreadyOrdered(waits), s.habits.Dates) {
		parts = append(parts, paragraph("Mind: "+plain(line), ""))
	}
	if open {
		short, err := b.ShortOrders(ctx)
		if err != nil {
			return err
		}
		for _, o := range short {
			for _, said := range text.Lacks(o, s.currency) {
				parts = append(parts, paragraph(plain(said), ""))
			}
		}
		parts = append(parts, paragraph(`Once it has gone to the supplier: longpoint order send. Until then it can be changed and added to.`, ""))
	}
	return p.answer(jsonOut, append([]book.Purchase{}, orders...), strings.Join(parts, "\n"))
}

// called gives what the shop's tables call an order, where that is not its number.
func called(o book.Purchase) string {
	if o.Called == "" || o.Called == fmt.Sprint(o.ID) {
		return ""
	}
	return " (" + plain(o.Called) + ")"
}
