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

// receiving is the command line of "longpoint receive", as typed.
type receiving struct {
	receipt      book.Receipt
	line, sticks int
	lengths      []string
	damage, paid string
	counted      bool // --sticks is given
}

// receive is "longpoint receive": what has arrived goes on the rack.
func (p *program) receive() *cobra.Command {
	var sign signature
	var jsonOut bool
	var f receiving
	cmd := &cobra.Command{
		Use:   "receive [FILE] ORDER",
		Short: "Put what has arrived of an order on the rack",
		Long: `Put what has arrived of ORDER, by its number, on the rack of the book FILE:
everything that is still to come, as ordered; or with --line, which an order of
one line does not need, what has come of that: how many sticks, how long and
with what damage. Each stick gets a name, to be written on it. What is missing
is still to come, unless --complete says that no more of that line will.

Typed twice on one day it does nothing the second time. More than was ordered is
taken with --more. Damage is where no side may lie, measured from the stick's
head. Where frames are matched by lot, what came of one line is one lot unless
--lot says otherwise.`,
		Example: receiveExample,
		Args:    bookArguments("ORDER, its number,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			order, err := number(args[1], "an order")
			if err != nil {
				return err
			}
			f.counted = cmd.Flags().Changed("sticks")
			ctx := cmd.Context()
			return p.writing(ctx, args[0], func(b *book.Book) error {
				s, err := settingsOf(ctx, b)
				if err != nil {
					return err
				}
				receipt, err := f.read(ctx, b, order, s)
				if err != nil {
					return err
				}
				names, err := b.Receive(ctx, order, receipt, sign.by())
				if err != nil {
					return err
				}
				o, err := b.Purchase(ctx, order)
				if err != nil {
					return err
				}
				others, err := b.Purchases(ctx, false)
				if err != nil {
					return err
				}
				rack, err := b.Rack(ctx)
				if err != nil {
					return err
				}
				wait, err := waitedFor(ctx, b)
				if err != nil {
					return err
				}
				mixed, err := b.MixedLots(ctx)
				if err != nil {
					return err
				}
				for _, mind := range round.Mixed(mixed) {
					p.warn("%s", mind)
				}
				return p.answer(jsonOut, map[string]any{"sticks": append([]string{}, names...), "order": o, "mixed_lots": append([]book.Mixed{}, mixed...)}, receivedPage(names, rack, o, others, s)+wait)
			})
		},
	}
	flags := cmd.Flags()
	flags.IntVar(&f.line, "line", 0, "only sticks of this `line` of the order")
	flags.IntVar(&f.sticks, "sticks", 0, "how many of them, as a `number`; 1 unless you say otherwise")
	flags.StringArrayVar(&f.lengths, "length", nil, "how long they are, as a `length`; as ordered unless you say otherwise; repeated, one stick each")
	flags.StringVar(&f.damage, "damage", "", "where no side may lie, as `parts` such as \"0 to 20; 1200 to 1260\"")
	flags.StringVar(&f.receipt.Lot, "lot", "", "the lot they are of, by `name`")
	flags.StringVar(&f.receipt.Place, "place", "", "the `place` on the rack")
	flags.BoolVar(&f.receipt.Complete, "complete", false, "what has not arrived of the line will not come")
	flags.BoolVar(&f.receipt.More, "more", false, "more has come than was ordered")
	flags.StringVar(&f.paid, "paid", "", "what each stick beyond the order costs, as an `amount`; as the others unless you say otherwise")
	flags.BoolVar(&f.receipt.Again, "again", false, "as many have come once more today")
	flags.BoolVar(&jsonOut, "json", false, "the names of the sticks and the order as JSON")
	sign.addFlags(cmd)
	return cmd
}

// waitedFor says which open runs go on with what has come.
func waitedFor(ctx context.Context, b *book.Book) (text string, err error) {
	open, err := b.OpenRuns(ctx)
	for _, run := range open {
		r, err := b.Run(ctx, run.ID)
		if err != nil {
			return "", err
		}
		if slices.ContainsFunc(r.Waiting, func(a runs.Awaited) bool { return a.Here || a.Gone }) {
			text += paragraph(plain(fmt.Sprintf("Run %d waits for some of this: longpoint run %s goes on with it.", r.ID, shellWord(r.Profile))), "  ")
		}
	}
	return text, err
}

// read understands the command line.
func (f *receiving) read(ctx context.Context, b *book.Book, order int64, s settled) (r book.Receipt, err error) {
	r = f.receipt
	if r.Paid, err = moneyFlag("paid", f.paid, s.currency); err != nil {
		return r, err
	}
	if f.line == 0 && !f.counted && len(f.lengths) == 0 && f.damage == "" && !r.Complete && !r.More {
		return r, nil
	}
	if f.line == 0 {
		o, err := b.Purchase(ctx, order)
		if err != nil {
			return r, err
		}
		if len(o.Lines) != 1 {
			return r, usage(fmt.Sprintf("order %d has %d lines, and it is not said which", order, len(o.Lines)), `name it with --line; "longpoint order --list" shows them`)
		}
		f.line = o.Lines[0].Number
	}
	a := book.Arrival{Line: f.line, Sticks: f.sticks}
	if f.damage != "" {
		if a.Damage, err = model.ParseSpans(f.damage, s.unit); err != nil {
			return r, flagError("damage", err)
		}
	}
	if len(f.lengths) > 1 && f.counted && f.sticks != len(f.lengths) {
		return r, usage(fmt.Sprintf("--sticks says %d, and there are %d lengths", f.sticks, len(f.lengths)), "give one length for each stick, or one for all")
	}
	if !f.counted && len(f.lengths) < 2 {
		a.Sticks = 1
	}
	if len(f.lengths) == 0 {
		r.Arrivals = []book.Arrival{a}
	}
	for _, text := range f.lengths {
		one := a
		if len(f.lengths) > 1 {
			one.Sticks = 1
		}
		if one.Length, err = model.ParseLength(text, s.unit); err != nil {
			return r, flagError("length", err)
		}
		r.Arrivals = append(r.Arrivals, one)
	}
	return r, nil
}

// firstOf tells whether sticks that have just come with an order are the first that come of what its plans buy: what is to be said of labels is said once.
func firstOf(names []string, o book.Purchase, all []book.Purchase) bool {
	plans, arrived := map[int64]bool{}, 0
	for _, l := range o.Lines {
		plans[l.Plan], arrived = true, arrived+l.Arrived
	}
	delete(plans, 0)
	for _, other := range all {
		for _, l := range other.Lines {
			if other.ID != o.ID && plans[l.Plan] {
				arrived += l.Arrived
			}
		}
	}
	return len(plans) > 0 && arrived == len(names)
}

// receivedPage says what went on the rack, and what of the order is still to come. all are all orders.
func receivedPage(names []string, rack []book.RackStick, o book.Purchase, all []book.Purchase, s settled) string {
	var kinds []string // profile and length, in the order of the names
	alike := map[string][]string{}
	for _, name := range names {
		for _, stick := range rack {
			if stick.Name != name {
				continue
			}
			kind := stick.Profile + ", " + stick.Length.Near(s.unit)
			if alike[kind] == nil {
				kinds = append(kinds, kind)
			}
			alike[kind] = append(alike[kind], name)
		}
	}
	text := ""
	labels := ""
	if firstOf(names, o, all) {
		labels = "Labels with \"new\" and a number were printed before the order was sent: print\nthose again.\n"
	}
	switch len(kinds) {
	case 0:
	case 1:
		text = paragraph(fmt.Sprintf("On the rack: %s. Write the names on the sticks.", joinAnd(names)), "") + labels
	default:
		text = "On the rack; write the names on the sticks:\n"
		for _, kind := range kinds {
			text += "  " + strings.TrimSuffix(paragraph(plain(kind+": "+joinAnd(alike[kind])), "    "), "\n") + "\n"
		}
		text += labels
	}
	if o.State == book.Placed {
		var rest []string
		for _, l := range o.Lines {
			if n := l.ToCome(); n > 0 {
				rest = append(rest, fmt.Sprintf("%d × %s %s", n, l.Length.Near(s.unit), l.Profile))
			}
		}
		return text + paragraph(plain(fmt.Sprintf("Still to come of order %d: %s.", o.ID, joinAnd(rest))), "")
	}
	if len(names) == 0 {
		return fmt.Sprintf("Order %d has arrived already.\n", o.ID)
	}
	return text
}
