package main

import (
	"context"
	"fmt"
	"time"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/model/book"
)

// mostWeeks is how many weeks the summary draws the yield of: half a year.
const mostWeeks = 26

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
	return everyWeek(yields, mostWeeks), err
}

// everyWeek gives the last weeks, at most so many, up to the last of which a yield is known; those between in which nothing
// was finished have none. Yields are by ISO week, as in 2027-W06, in order.
func everyWeek(yields []book.Yield, most int) (weeks []sheet.Week) {
	known := map[string]int64{}
	last := ""
	for _, y := range yields {
		if y.Of != "" && y.Yield > 0 {
			known[y.Of], last = y.Yield, y.Of
		}
	}
	if last == "" {
		return nil
	}
	var year, number int
	if _, err := fmt.Sscanf(last, "%d-W%d", &year, &number); err != nil {
		return nil // no name of a week
	}
	// The 4th of January is in the first week of its year (ISO 8601).
	day := time.Date(year, 1, 4+7*(number-1), 0, 0, 0, 0, time.UTC)
	for left := len(known); left > 0 && len(weeks) < most; day = day.AddDate(0, 0, -7) {
		year, number := day.ISOWeek()
		name := fmt.Sprintf("%04d-W%02d", year, number)
		if known[name] > 0 {
			left--
		}
		weeks = append([]sheet.Week{{Name: name, Yield: known[name]}}, weeks...)
	}
	return weeks
}
