package main

import (
	"context"
	"fmt"
	"slices"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/plan"
)

// orderPiece makes the paper of an order of the book, with its number.
func (p *program) orderPiece(ctx context.Context, f *sheetsFlags, dated model.Date, path string) (pieces []namedPiece, err error) {
	if !book.IsBook(path) {
		return nil, usage("--order is for an order of a book", "leave it out, and the orders of the plan are printed")
	}
	err = reading(ctx, path, func(b *book.Book) error {
		w, err := b.Workshop(ctx)
		if err != nil {
			return err
		}
		all, err := b.Purchases(ctx, false)
		if err != nil {
			return err
		}
		n := slices.IndexFunc(all, func(o book.Purchase) bool { return o.ID == f.order })
		if n < 0 {
			return usage(fmt.Sprintf("there is no order %d in the book", f.order), `see "longpoint order --list" for those that are to come`)
		}
		set, err := f.print.over(w.Printing)
		if err != nil {
			return err
		}
		s, err := sheet.NewSource(w, &plan.Document{Workshop: w.Name, Unit: w.Unit.String(), Currency: plan.Currency(w.Currency)}, dated, set.paper)
		if err != nil {
			return err
		}
		order, err := printedOrder(w, all[n])
		pieces = []namedPiece{{s.Order(order), "orders"}}
		return err
	})
	return pieces, err
}

// printedOrder gives an order of the book as it is printed.
func printedOrder(w *model.Workshop, o book.Purchase) (sheet.Order, error) {
	var day model.Date
	var err error
	if o.Placed != "" {
		day, err = model.ParseDate(o.Placed)
	}
	out := sheet.Order{Number: fmt.Sprint(o.ID), Supplier: o.Supplier, Day: day, Expected: o.Expected, Delivery: o.Delivery}
	for _, l := range o.Lines {
		if sticks := l.Sticks - l.Gone; sticks > 0 {
			out.Lines = append(out.Lines, orderedLine(w, o.Supplier, l))
		}
	}
	return out, err
}

// orderedLine gives a line of an order with how it is sold, by the offer at which so many sticks cost just so much. Where there is
// no such offer any more, nothing is said of bundles and of the price of each.
func orderedLine(w *model.Workshop, supplier string, l book.PurchaseLine) plan.Purchase {
	line := plan.Purchase{Supplier: supplier, Profile: l.Profile, Length: l.Length, Count: l.Sticks, Cost: l.Cost}
	for _, o := range w.Offers {
		bundle := o.PerBundle()
		if o.Supplier != supplier || o.Profile != l.Profile || o.Length != l.Length || l.Sticks%bundle != 0 || o.Price*model.Money(l.Sticks/bundle) != l.Cost {
			continue
		}
		line.Price, line.Longest = o.Price, o.Longest
		if bundle > 1 {
			line.Bundle = bundle
		}
		return line
	}
	return line
}
