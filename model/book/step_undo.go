package book

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Step is one step of the book's history.
type Step struct {
	ID     int64  `json:"step"`
	At     string `json:"at"` // UTC
	Who    string `json:"who"`
	Kind   string `json:"kind"`
	What   string `json:"what"` // in words; of a step from before there were any its kind
	Why    string `json:"why,omitempty"`
	Undoes int64  `json:"undoes,omitempty"`    // the step that this one has taken back
	Undone int64  `json:"undone_by,omitempty"` // the step that has taken this one back
	Rows   int    `json:"rows"`                // how many rows it changed
}

// stepColumns are the columns of table step, called s, that scan reads into a step.
const stepColumns = `s.id, s.at, s.who, s.kind, iif(s.what = '', s.kind, s.what), s.why, coalesce(s.undoes, 0),
	coalesce((SELECT u.id FROM step AS u WHERE u.undoes = s.id), 0)`

// scanned are the places for stepColumns.
func (s *Step) scanned() []any {
	return []any{&s.ID, &s.At, &s.Who, &s.Kind, &s.What, &s.Why, &s.Undoes, &s.Undone}
}

// undoKind is the kind of a step that takes another back.
const undoKind = "undo"

// Undo takes the last step back that still stands, whatever it was, and gives it. Taking back is a step itself, which
// cannot be taken back. expect is the step that is meant, 0 for whichever is last: it is an error where that is another,
// and nothing is done (undone is 0) where it has been taken back already.
func (b *Book) Undo(ctx context.Context, expect int64, by By) (undone Step, err error) {
	_, err = b.write(ctx, undoKind, by, func(t *transaction) error {
		last, found, err := t.lastStanding()
		if err != nil {
			return err
		}
		if expect != 0 && (!found || last.ID != expect) {
			return t.notLast(expect, last, found)
		}
		if !found {
			return usageError(b.path, "there is nothing to undo", `see "longpoint history" for what was done`)
		}
		undone = last
		t.tell("took back step %d: %s", last.ID, last.What)
		return t.undo(last.ID)
	})
	return undone, err
}

// UndoTo takes back every step that still stands down to one, that one too, the last first: each in a step of its own, and all of them or none.
func (b *Book) UndoTo(ctx context.Context, to int64, by By) (undone []Step, err error) {
	tx, err := b.db.BeginTx(ctx, nil)
	if err != nil {
		return nil, explain(b.path, err)
	}
	defer tx.Rollback()
	now := b.Now().Truncate(time.Second)
	var steps []*transaction
	for {
		t := &transaction{tx: tx, ctx: ctx, book: b, now: now}
		if sent, err := t.isSent(by.Key); err != nil || sent {
			return nil, cmp.Or(explain(b.path, err), error(ErrSent))
		}
		last, found, err := t.lastStanding()
		if err != nil {
			return nil, explain(b.path, err)
		}
		if !found || last.ID < to {
			break
		}
		if err := t.undoStep(last, by); err != nil {
			return nil, explain(b.path, err)
		}
		undone, steps = append(undone, last), append(steps, t)
	}
	if len(undone) == 0 || undone[len(undone)-1].ID != to {
		return nil, usageError(b.path, fmt.Sprintf("there is no step %d that can be taken back", to), `see "longpoint history" for what was done`)
	}
	if err := steps[0].keepKey(by.Key); err != nil {
		return nil, explain(b.path, err)
	}
	if err := tx.Commit(); err != nil {
		return nil, explain(b.path, cmp.Or(ctx.Err(), err))
	}
	b.committed(ctx, steps...)
	return undone, nil
}

// undoStep takes back the last step in a step of its own.
func (t *transaction) undoStep(last Step, by By) error {
	if err := t.begin(undoKind, by); err != nil {
		return err
	}
	t.tell("took back step %d: %s", last.ID, last.What)
	if err := t.undo(last.ID); err != nil {
		return err
	}
	_, err := t.end()
	return err
}

// lastStanding gives the last step that is neither an undo nor undone.
func (t *transaction) lastStanding() (s Step, found bool, err error) {
	found, err = t.one("SELECT "+stepColumns+` FROM step AS s
		WHERE undoes IS NULL AND id <> ? AND NOT EXISTS (SELECT 1 FROM step WHERE undoes = s.id) ORDER BY id DESC LIMIT 1`,
		[]any{t.step}, s.scanned()...)
	return s, found, err
}

// Undoable gives the step that Undo would take back, and the very last step, which is another one where that has just taken back
// something. Both are nothing (ID 0) where there is nothing.
func (b *Book) Undoable(ctx context.Context) (standing, last Step, err error) {
	err = b.read(ctx, func(t *transaction) error {
		if standing, _, err = t.lastStanding(); err != nil {
			return err
		}
		_, err = t.one("SELECT "+stepColumns+" FROM step AS s ORDER BY id DESC LIMIT 1", nil, last.scanned()...)
		return err
	})
	return standing, last, err
}

// notLast says why a step is not the last; nothing where it has been taken back already.
func (t *transaction) notLast(expect int64, last Step, found bool) error {
	var there, undone bool
	if err := t.row("SELECT EXISTS (SELECT 1 FROM step WHERE id = ?1 AND id < ?2), EXISTS (SELECT 1 FROM step WHERE undoes = ?1)",
		expect, t.step).Scan(&there, &undone); err != nil {
		return err
	}
	switch {
	case undone:
		return nil
	case !there || !found:
		return usageError(t.book.path, fmt.Sprintf("there is no step %d to undo", expect), `see "longpoint history" for what was done`)
	}
	return usageError(t.book.path, fmt.Sprintf("step %d is not the last: step %d (%s) is", expect, last.ID, last.What),
		`take the later steps back first: "longpoint history" lists them, "longpoint undo" takes back the last`)
}

// undo puts back every row that a step changed, the last first.
func (t *transaction) undo(step int64) error {
	if err := t.sealedStep(step); err != nil {
		return err
	}
	if _, err := t.exec("PRAGMA defer_foreign_keys = ON"); err != nil {
		return err
	}
	if _, err := t.exec("UPDATE step SET undoes = ? WHERE id = ?", step, t.step); err != nil {
		return err
	}
	tables, err := tablesIn(t.ctx, t.tx)
	if err != nil {
		return err
	}
	type was struct {
		id, row int64
		table   string
		blank   bool
	}
	var changes []was
	err = t.each("SELECT id, row, tab, before IS NULL FROM change WHERE step = ? ORDER BY id DESC", []any{step}, func(scan func(...any) error) error {
		var w was
		if err := scan(&w.id, &w.row, &w.table, &w.blank); err != nil {
			return err
		}
		changes = append(changes, w)
		return nil
	})
	if err != nil {
		return err
	}
	for _, w := range changes {
		i := slices.IndexFunc(tables, func(x table) bool { return x.name == w.table })
		if i < 0 {
			return fmt.Errorf("change %d is of a table %s, which is not there", w.id, w.table)
		}
		if w.blank {
			_, err = t.exec("DELETE FROM "+w.table+" WHERE id = ?", w.row)
		} else {
			_, err = t.exec(tables[i].putBack(), w.id)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// putBack is the statement that makes a row again what change ? says it was.
func (t table) putBack() string {
	var old, set []string
	for _, c := range t.columns {
		value := "before ->> '$." + c.name + "'"
		if c.kind == blob {
			value = "unhex(" + value + ")"
		} else if c.preset != "" {
			value = "iif(json_type(before, '$." + c.name + "') IS NULL, " + c.preset + ", " + value + ")" // from before the column was
		}
		old = append(old, value)
		if c.name != "id" {
			set = append(set, c.name+" = excluded."+c.name)
		}
	}
	return fmt.Sprintf("INSERT INTO %s (%s) SELECT %s FROM change WHERE id = ? ON CONFLICT (id) DO UPDATE SET %s",
		t.name, t.names(), strings.Join(old, ", "), strings.Join(set, ", "))
}
