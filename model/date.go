package model

import (
	"strings"
	"time"
)

// Date is a day of the calendar, without time or zone. The zero Date is no date.
type Date struct{ time.Time }

// firstYear is the earliest year a job can be due in: a year before it is a slip of the pen.
const firstYear = 1900

// ParseDate reads a date in the form of ISO 8601, 2026-11-24, and no other: 4/5/26 is a different day in different places.
func ParseDate(text string) (Date, error) {
	t, err := time.Parse(time.DateOnly, strings.TrimSpace(text))
	if err != nil || t.Year() < firstYear {
		return Date{}, &Error{Kind: BadInput, What: Quote(text) + " is not a date", Do: "write year-month-day, like 2026-11-24"}
	}
	return Date{t}, nil
}

// String gives the date as 2026-11-24, and "" for no date.
func (d Date) String() string {
	if d.IsZero() {
		return ""
	}
	return d.Format(time.DateOnly)
}
