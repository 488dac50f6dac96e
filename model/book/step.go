package book

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"time"

	"longpoint/model"
	"longpoint/model/runs"
)

// By says who makes a step and why.
type By struct {
	Who string
	Why string
	// Key, where it is not empty, names what was sent: a second time under the same key nothing is done, and the error is ErrSent.
	// Whether it changed anything the first time makes no difference.
	Key string
}

// transaction is a view of the book, and in a step what changes it.
type transaction struct {
	tx   *sql.Tx
	ctx  context.Context
	book *Book
	step int64 // 0: only reading
	now  time.Time
	told []string // what the step does, for the diary
	// runPlans are the plans of runs that were read, by their numbers.
	runPlans map[int64]*runs.Plan
	// unit, currency and dates are the workshop's once units has read them.
	unit     model.Unit
	currency model.Currency
	dates    model.DateOrder
	// unordered are plans of which nothing counts as ordered; quoting: nor was any of it ever sent, as far as joinOpen goes.
	unordered []int64
	quoting   bool
	// failed is an error of a function that gives none: words in a unit that could not be read.
	failed error
	// restored: the history was put in place of the step's own, which is none.
	restored bool
}

// errDry ends a step that was only tried.
var errDry = errors.New("only tried")

// write makes one step of what a function does, or nothing at all. The step's number is 0 where it changed nothing.
func (b *Book) write(ctx context.Context, kind string, by By, f func(*transaction) error) (step int64, err error) {
	tx, err := b.db.BeginTx(ctx, nil)
	if err != nil {
		return 0, explain(b.path, err)
	}
	defer tx.Rollback()
	t := &transaction{tx: tx, ctx: ctx, book: b, now: b.Now().Truncate(time.Second)}
	if sent, err := t.isSent(by.Key); err != nil || sent {
		return 0, cmp.Or(explain(b.path, err), error(ErrSent))
	}
	if err := t.begin(kind, by); err != nil {
		return 0, explain(b.path, err)
	}
	if err := t.do(f); err != nil {
		return 0, explain(b.path, err)
	}
	changed, err := t.end()
	if err != nil || !changed && by.Key == "" {
		return 0, explain(b.path, err)
	}
	if err := t.keepKey(by.Key); err != nil {
		return 0, explain(b.path, err)
	}
	if err := tx.Commit(); err != nil {
		if ctx.Err() != nil { // database/sql has taken it back already, and says no more than that
			err = ctx.Err()
		}
		return 0, explain(b.path, err)
	}
	if !changed {
		return 0, nil
	}
	b.committed(ctx, t)
	return t.step, nil
}

// committed tells whoever wants to know of steps that are written.
func (b *Book) committed(ctx context.Context, steps ...*transaction) {
	for _, t := range steps {
		if b.Committed != nil {
			b.Committed(t.step, strings.Join(t.told, "; "))
		}
	}
	if b.BackedUp != nil {
		if file, err := b.BackUp(ctx); file != "" || err != nil {
			b.BackedUp(file, err)
		}
	}
}

// do runs a function on the view, and gives what failed in it.
func (t *transaction) do(f func(*transaction) error) error {
	err := f(t)
	if err == nil || errors.Is(err, errDry) {
		return cmp.Or(t.failed, err)
	}
	return err
}

// Change is something that is done to a book, as part of a step.
type Change struct {
	kind string
	do   func(*transaction) error
}

// Do makes one step of changes: all of them are done, or none. fresh is false where the book was so already.
func (b *Book) Do(ctx context.Context, by By, changes ...Change) (fresh bool, err error) {
	if len(changes) == 0 {
		return false, nil
	}
	step, err := b.write(ctx, changes[0].kind, by, func(t *transaction) error {
		for _, c := range changes {
			if err := c.do(t); err != nil {
				return err
			}
		}
		return nil
	})
	return step != 0, err
}

// begin opens the step that the triggers write for.
func (t *transaction) begin(kind string, by By) error {
	done, err := t.exec("INSERT INTO step (at, who, kind, why) VALUES (?, ?, ?, ?)",
		t.now.UTC().Format(time.RFC3339), clean(by.Who), kind, clean(by.Why))
	if err != nil {
		return err
	}
	if t.step, err = done.LastInsertId(); err != nil {
		return err
	}
	_, err = t.exec("INSERT INTO open_step (id, step) VALUES (1, ?)", t.step)
	return err
}

// end closes the step and tells whether it changed anything; a step that did not is gone.
func (t *transaction) end() (changed bool, err error) {
	if t.restored {
		return true, nil
	}
	if _, err := t.exec("DELETE FROM open_step"); err != nil {
		return false, err
	}
	if err := t.row("SELECT EXISTS (SELECT 1 FROM change WHERE step = ?)", t.step).Scan(&changed); err != nil {
		return false, err
	}
	if !changed {
		_, err = t.exec("DELETE FROM step WHERE id = ?", t.step)
		return false, err
	}
	if _, err = t.exec("UPDATE step SET what = ? WHERE id = ?", clean(strings.Join(t.told, "; ")), t.step); err != nil {
		return true, err
	}
	return true, t.seal()
}

func (t *transaction) exec(query string, args ...any) (sql.Result, error) {
	return t.tx.ExecContext(t.ctx, query, args...)
}

func (t *transaction) row(query string, args ...any) *sql.Row {
	return t.tx.QueryRowContext(t.ctx, query, args...)
}

// each runs a function on every row of a query; scan reads the row.
func (t *transaction) each(query string, args []any, f func(scan func(...any) error) error) error {
	rows, err := t.tx.QueryContext(t.ctx, query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := f(rows.Scan); err != nil {
			return err
		}
	}
	return rows.Err()
}

// one reads one row into values and tells whether there is one.
func (t *transaction) one(query string, args []any, values ...any) (found bool, err error) {
	err = t.row(query, args...).Scan(values...)
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	return err == nil, err
}

// insert writes a row from pairs of column and value, and gives its id.
func (t *transaction) insert(table string, pairs ...any) (id int64, err error) {
	var names []string
	var values []any
	for i := 0; i < len(pairs); i += 2 {
		names = append(names, pairs[i].(string))
		values = append(values, pairs[i+1])
	}
	done, err := t.exec(fmt.Sprintf("INSERT INTO %s (%s) VALUES (%s)", table, strings.Join(names, ", "),
		strings.TrimSuffix(strings.Repeat("?, ", len(names)), ", ")), values...)
	if err != nil {
		return 0, err
	}
	return done.LastInsertId()
}

// today is the day of the step, where the shop is.
func (t *transaction) today() string { return t.now.Format(time.DateOnly) }

// clean makes a text one that every file format keeps: line ends are "\n", other control characters go.
func clean(text string) string {
	text = strings.ReplaceAll(text, "\r\n", "\n")
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\r':
			return '\n'
		case r == '\n' || r == '\t':
			return r
		case r < ' ' || r == 0x7f || r == 0xfffe || r == 0xffff:
			return -1
		}
		return r
	}, strings.ToValidUTF8(text, "�"))
}
