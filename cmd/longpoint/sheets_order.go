package main

import (
	"context"
	"fmt"
	"slices"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/model/book"
)

// orderPiece makes the paper of an order of the book, with its number.
func (p *program) orderPiece(ctx context.Context, f *sheetsFlags, path string) (pieces []sheet.Piece, err error) {
	if !isBook(path) {
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
		dated, err := f.day(w.Habits)
		if err != nil {
			return err
		}
		s, err := sheet.OrderSource(w, dated, set.Paper)
		if err != nil {
			return err
		}
		order, err := sheet.OrderOf(w, all[n])
		one := s.Order(order)
		one.Kind = "orders"
		pieces = []sheet.Piece{one}
		return err
	})
	return pieces, err
}
