package book

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"longpoint/model/whole"
)

// Repair is what mends a book.
type Repair struct {
	Do    []string  `json:"do"`    // what is done, or would be; none: nothing need be
	Aside []string  `json:"aside"` // the files that were put aside
	Left  []Finding `json:"left"`  // what no repair mends: then nothing is done
}

// remedy is a way to mend a book: what it does, and the book that it makes, which lies in a folder of its own.
type remedy struct {
	do     []string
	log    bool   // nothing but the log is put aside
	mended string // the book that takes the place of the present one; empty: none does
}

// Mend finds what would mend a book, and does so where really is set. A log that is not the book's own is put aside. A book whose file, tables or triggers are
// damaged is written anew from its rows. Nothing is done unless the outcome is sound, and what was there is kept under another name. Errors are of
// kind BadUsage where somebody is at work in the book.
func Mend(ctx context.Context, path string, really bool) (r Repair, err error) {
	if err := identify(path); err != nil {
		return r, err
	}
	there, err := lookBeside(path)
	if err != nil {
		return r, explain(path, err)
	}
	if there.live {
		return r, atWorkIn(path)
	}
	dir, remove, err := whole.Apart(filepath.Dir(path))
	if err != nil {
		return r, explain(path, err)
	}
	defer remove()
	unlock, err := alone(path)
	if err != nil {
		return r, err
	}
	defer unlock()
	m, left, err := findRemedy(ctx, path, dir, there.log)
	if err != nil {
		return r, explain(path, err)
	}
	if r.Left = left; len(left) > 0 {
		return r, nil
	}
	if r.Do = m.do; !really || len(m.do) == 0 {
		return r, nil
	}
	r.Aside, err = m.take(ctx, path)
	return r, err
}

// atWorkIn is the error of a book that somebody has open.
func atWorkIn(path string) error {
	return usageError(path, "somebody is at work in this book", "stop every other Longpoint that has it open, and try again")
}

// findRemedy tries what mends a book, on copies in a folder.
func findRemedy(ctx context.Context, path, dir string, log bool) (m remedy, left []Finding, err error) {
	tries := []bool{false}
	if log {
		tries = []bool{true, false}
	}
	for n, with := range tries {
		copied := filepath.Join(dir, fmt.Sprint(n), apart)
		if err := copyWith(path, copied, with); err != nil {
			return m, nil, err
		}
		found, failed := checkCopy(ctx, copied)
		if failed == nil && len(found) == 0 {
			if n > 0 {
				m.do, m.log = []string{"put the log " + path + logEnding + " aside, which is not the book's own"}, true
			}
			return m, nil, nil
		}
		if n == 0 {
			left = append(found, unchecked(failed)...)
		}
	}
	for n, with := range tries {
		copied, mended := filepath.Join(dir, fmt.Sprint(n), apart), filepath.Join(dir, fmt.Sprint(n), "mended")
		if err := writeAnew(ctx, copied, mended); err != nil {
			if ctx.Err() != nil {
				return m, nil, ctx.Err()
			}
			continue
		}
		if found, failed := checkCopy(ctx, mended); failed == nil && len(found) == 0 {
			m.mended = mended
			m.do = []string{"write the book anew from its rows, which are all there as its steps have left them"}
			if log && !with {
				m.do = append(m.do, "leave the log out, which is not the book's own")
			}
			return m, nil, nil
		}
	}
	return m, left, ctx.Err()
}

// copyWith copies a book, with its log or without it, into a new folder.
func copyWith(path, to string, log bool) error {
	const own = 0o700
	if err := os.Mkdir(filepath.Dir(to), own); err != nil {
		return err
	}
	if err := copyFile(path, to); err != nil || !log {
		return err
	}
	return copyFile(path+logEnding, to+logEnding)
}

// unchecked is the finding of what could not be checked.
func unchecked(err error) []Finding {
	if err == nil {
		return nil
	}
	return []Finding{{"the book", "it cannot be checked: " + err.Error()}}
}

// checkCopy checks a copy in which nobody else is at work.
func checkCopy(ctx context.Context, path string) ([]Finding, error) {
	c, err := connect(path, readOnly)
	if err != nil {
		return nil, err
	}
	defer c.db.Close()
	return c.Check(ctx)
}

// writeAnew makes a new book of the rows of a damaged one.
func writeAnew(ctx context.Context, damaged, young string) (err error) {
	old, err := connect(damaged, readOnly)
	if err != nil {
		return err
	}
	err = old.upToDate(ctx, readOnly)
	if err := errors.Join(err, old.db.Close()); err != nil {
		return err
	}
	b, err := connect(young, readWrite)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, b.db.Close()) }()
	if err := migrate(ctx, b.db); err != nil {
		return err
	}
	b.db.SetMaxOpenConns(1) // what is attached is so to one connection
	for _, do := range []string{"PRAGMA foreign_keys = OFF", "ATTACH DATABASE '" + strings.ReplaceAll(damaged, "'", "''") + "' AS damaged"} {
		if _, err := b.db.ExecContext(ctx, do); err != nil {
			return err
		}
	}
	if err := b.takeRows(ctx); err != nil {
		return err
	}
	if _, err := b.db.ExecContext(ctx, "DETACH DATABASE damaged"); err != nil {
		return err
	}
	return b.settle(ctx)
}

// takeRows takes the rows of the attached damaged book over, all but what was left open.
func (b *Book) takeRows(ctx context.Context) error {
	tx, err := b.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	tables, err := tablesIn(ctx, tx)
	if err != nil {
		return err
	}
	for _, t := range tables {
		for _, event := range []string{"insert", "update", "delete"} {
			if _, err := tx.ExecContext(ctx, fmt.Sprintf("DROP TRIGGER log_%s_%s", t.name, event)); err != nil {
				return err
			}
		}
	}
	for _, name := range append([]string{"step", "change", "seal", "press", "backup"}, keys...) {
		columns, err := columnsOf(ctx, tx, name)
		if err != nil {
			return err
		}
		names := table{name, columns}.names()
		if _, err := tx.ExecContext(ctx, fmt.Sprintf("INSERT INTO main.%[1]s (%[2]s) SELECT %[2]s FROM damaged.%[1]s NOT INDEXED", name, names)); err != nil {
			if _, err = tx.ExecContext(ctx, fmt.Sprintf("INSERT INTO main.%[1]s (%[2]s) SELECT %[2]s FROM damaged.%[1]s", name, names)); err != nil { // a view
				return err
			}
		}
	}
	if _, err := tx.ExecContext(ctx, "DELETE FROM step WHERE id NOT IN (SELECT step FROM seal) AND id NOT IN (SELECT step FROM change)"); err != nil {
		return err
	}
	if err := writeTriggers(ctx, tx); err != nil {
		return err
	}
	return tx.Commit()
}

// take does what mends the book, and gives what was put aside.
func (m remedy) take(ctx context.Context, path string) (aside []string, err error) {
	if m.log {
		name, err := freeName(path + logEnding + "." + time.Now().Format("2006-01-02"))
		if err != nil {
			return nil, explain(path, err)
		}
		if err := os.Rename(path+logEnding, name); err != nil {
			return nil, explain(path, err)
		}
		if err := os.Remove(path + sharedEnding); err != nil && !errors.Is(err, os.ErrNotExist) {
			return []string{name}, explain(path, err)
		}
		return []string{name}, explain(path, whole.Sync(filepath.Dir(path)))
	}
	old, err := putInPlace(m.mended, path)
	if old != "" {
		aside = []string{old}
	}
	return aside, err
}

// freeName gives a name that nothing has yet: the one that is asked for, or with a number behind it.
func freeName(name string) (string, error) {
	for n, free := 2, name; ; n++ {
		if _, err := os.Lstat(free); errors.Is(err, os.ErrNotExist) {
			return free, nil
		} else if err != nil {
			return "", err
		}
		free = fmt.Sprintf("%s-%d", name, n)
	}
}
