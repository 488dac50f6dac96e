package main

import (
	"context"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/model/book"
)

// yieldWeeks gives the yield of the weeks that a book remembers, for the summary; none for a workshop's folder.
func yieldWeeks(ctx context.Context, path string) ([]sheet.Week, error) {
	if !isBook(path) {
		return nil, nil
	}
	var yields []book.Yield
	err := reading(ctx, path, func(b *book.Book) (err error) {
		yields, err = b.Yields(ctx, book.ByWeek)
		return err
	})
	return sheet.WeeksOf(yields, sheet.MostWeeks), err
}
