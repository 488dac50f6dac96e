package text

import (
	"longpoint/model"
	"longpoint/model/book"
)

// Loses says what a job loses by a change.
func Loses(l book.Lost, c model.Currency) string {
	if l.Sides == 1 {
		return "1 finished side is spoilt, for the job needs it no more; its part of the job's cost, " + l.Cost.With(c) + ", is lost"
	}
	return Count(l.Sides, "finished side", "finished sides") + " are spoilt, for the job needs them no more; their part of the job's cost, " + l.Cost.With(c) + ", is lost"
}
