package book

import (
	"context"
	"errors"

	"longpoint/model"
)

// Lost is what a change takes from a job: sides that are done and not wanted any more.
type Lost struct {
	Sides int         `json:"sides"`
	Cost  model.Money `json:"cost"` // their share of the plans by which they were cut
}

// Loses says what a job would lose by a change, which is only tried.
func (b *Book) Loses(ctx context.Context, job string, change Change) (lost Lost, err error) {
	_, err = b.write(ctx, change.kind, By{Who: "nobody"}, func(t *transaction) error {
		var before, after Lost
		err := t.wantedAndDone(job, &before)
		if err == nil {
			err = change.do(t)
		}
		if err == nil {
			err = t.wantedAndDone(job, &after)
		}
		if err != nil {
			return err
		}
		lost = Lost{max(0, before.Sides-after.Sides), max(0, before.Cost-after.Cost)}
		return errDry
	})
	if errors.Is(err, errDry) {
		err = nil
	}
	return lost, err
}

// wantedAndDone adds up the sides of a job that are done and wanted.
func (t *transaction) wantedAndDone(job string, sum *Lost) error {
	return t.row(`SELECT count(*), coalesce(sum(c.share_minor), 0) FROM cut AS c JOIN frame AS f ON f.job = c.job AND f.name = c.frame
		WHERE c.job = ? AND c.spoilt = 0 AND NOT f.dropped`, job).Scan(&sum.Sides, &sum.Cost)
}
