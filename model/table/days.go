package table

import (
	"fmt"
	"slices"

	"longpoint/model"
)

// dayOrder gives the order of day and month in a column, out of those in which one of its days can be read, where its other days, with the same mark between
// their numbers, leave only one; blank: they leave several, or contradict each other. The first time that it is asked it says which day shows it.
func (t *Table) dayOrder(column int, orders []model.DateOrder, today model.Date) (order model.DateOrder, reading *model.Error) {
	key := fmt.Sprint(column, orders)
	if order, known := t.orders[key]; known {
		return order, nil
	}
	left := orders
	for rec, bad := range t.way.records {
		if bad != nil {
			break
		}
		at := slices.IndexFunc(rec.cells, func(c cell) bool { return c.at < len(t.columns) && t.columns[c.at] == column && c.form == written })
		if at < 0 || rec.line <= t.heading {
			continue
		}
		c := rec.cells[at]
		own := model.DayOrders(c.text, today)
		if len(own) == 0 || own[0].Mark() != orders[0].Mark() {
			continue
		}
		left = slices.DeleteFunc(slices.Clone(left), func(o model.DateOrder) bool { return !slices.Contains(own, o) })
		if len(left) == 1 && reading == nil {
			reading = &model.Error{Kind: model.BadInput, What: fmt.Sprintf("the days of this column are read as %s, as %s shows", left[0], model.Quote(c.text)),
				Where: t.place(rec.line, c.at, t.set.Columns[column].Name), Do: "write year-month-day, such as 2026-11-24, where another is meant"}
		}
	}
	if len(left) != 1 {
		reading = nil
	} else {
		order = left[0]
	}
	if t.orders == nil {
		t.orders = map[string]model.DateOrder{}
	}
	t.orders[key] = order
	return order, reading
}
