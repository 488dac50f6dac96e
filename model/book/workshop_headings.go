package book

import "longpoint/model"

// KeepHeadings keeps what the shop calls the columns of its tables.
func KeepHeadings(h model.Headings) Change {
	return Change{"headings", func(t *transaction) error {
		changed, err := t.put("workshop", 1, []any{"headings", string(h)})
		if changed {
			t.tell("what the shop calls the columns of its tables")
		}
		return err
	}}
}
