package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"sync/atomic"
	"time"

	_ "modernc.org/sqlite" // the driver "sqlite"
)

// Book is an open book. Its methods may be called from several goroutines.
type Book struct {
	path string
	db   *sql.DB
	// Now gives the time that steps are marked with; it is not to be changed while methods run.
	Now func() time.Time
	// Committed, where it is not nil, is told of every step that is in the book for good, and what it did.
	Committed func(step int64, what string)

	lastPlan atomic.Pointer[unpacked]
}

// BusyTime is how long a writer waits for another before it gives up: far longer than any step takes but an import of
// years.
const BusyTime = 10 * time.Second

// access says what a connection may do.
type access uint8

const (
	readWrite access = iota
	readOnly         // other processes may write
	frozen           // nobody writes: the file lies where nobody can
)

// Create makes a new, empty book at a path where nothing is yet, and fills it with fill where that is not nil. The file
// appears whole, or not at all. The caller opens it.
func Create(ctx context.Context, path string, fill func(*Book) error) (err error) {
	if _, err := os.Lstat(path); err == nil {
		return usageError(path, "there is something of this name already", "name a file that is not there yet")
	} else if !errors.Is(err, os.ErrNotExist) {
		return explain(path, err)
	}
	dir, err := os.MkdirTemp(filepath.Dir(path), ".longpoint-new-")
	if err != nil {
		return explain(path, err)
	}
	defer os.RemoveAll(dir)
	young := filepath.Join(dir, "book")
	b, err := connect(young, readWrite)
	if err != nil {
		return explain(path, err)
	}
	b.path = path // for messages
	defer b.db.Close()
	if err := migrate(ctx, b.db); err != nil {
		return explain(path, err)
	}
	if fill != nil {
		if err := fill(b); err != nil {
			return err
		}
	}
	if err := b.settle(ctx); err != nil {
		return explain(path, err)
	}
	if err := b.db.Close(); err != nil {
		return explain(path, err)
	}
	if err := syncFile(young); err != nil {
		return explain(path, err)
	}
	return explain(path, giveName(young, path))
}

// giveName gives a file that is whole and on the disk its name, and never takes the place of another file, as a rename would. Where the
// file system knows no second names (FAT), the name is taken first with an empty file.
func giveName(young, path string) error {
	if err := os.Link(young, path); errors.Is(err, fs.ErrExist) {
		return err
	} else if err != nil {
		taken, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
		if err != nil {
			return err
		}
		if err := errors.Join(taken.Close(), os.Rename(young, path)); err != nil {
			return errors.Join(err, os.Remove(path))
		}
	}
	return syncFolder(filepath.Dir(path))
}

// settle takes the log into the file, so that the file is the whole book. Closing would do so too, but would not say where it
// could not, such as on a disk that is full.
func (b *Book) settle(ctx context.Context) error {
	var busy, pages, taken int
	if err := b.db.QueryRowContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)").Scan(&busy, &pages, &taken); err != nil {
		return err
	}
	if busy != 0 || pages != taken {
		return fmt.Errorf("%w: busy %d, %d pages of %d", errNotTaken, busy, taken, pages)
	}
	return nil
}

// errNotTaken is the error of a log that could not be taken into the file, such as where somebody is at work in the book.
var errNotTaken = errors.New("the log was not taken into the file")

// syncFolder makes sure that a name is on the disk. Windows has no such thing for a folder, and writes names down by itself.
func syncFolder(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer d.Close()
	return d.Sync()
}

// Open opens a book to read and write. A book of an older version is copied first (BackupName says where to) and then
// brought up to date.
func Open(ctx context.Context, path string) (*Book, error) {
	return open(ctx, path, readWrite, (*Book).trust)
}

// OpenToCheck is Open for a book that may be damaged: nothing but its version is looked at. It may not be written in.
func OpenToCheck(ctx context.Context, path string) (*Book, error) {
	return open(ctx, path, readWrite, func(*Book, context.Context) error { return nil })
}

// OpenToRead opens a book to read. It needs no right to write, and an older version is read only after Open has brought it
// up to date.
func OpenToRead(ctx context.Context, path string) (*Book, error) {
	b, err := open(ctx, path, readOnly, (*Book).trust)
	if err != nil && isReadOnly(err) && !logBeside(path) {
		return open(ctx, path, frozen, (*Book).trust)
	}
	return b, err
}

func open(ctx context.Context, path string, a access, trust func(*Book, context.Context) error) (*Book, error) {
	if err := identify(path); err != nil {
		return nil, err
	}
	b, err := connect(path, a)
	if err != nil {
		return nil, explain(path, err)
	}
	if err := b.upToDate(ctx, a); err != nil {
		b.db.Close()
		return nil, explain(path, err)
	}
	if err := trust(b, ctx); err != nil {
		b.db.Close()
		return nil, explain(path, err)
	}
	return b, nil
}

// Close closes the book.
func (b *Book) Close() error { return explain(b.path, b.db.Close()) }

// Path is the book's file as it was named.
func (b *Book) Path() string { return b.path }

// connect opens a database file without a look at what is in it.
func connect(path string, a access) (*Book, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	q := url.Values{"_txlock": {"immediate"}}
	pragmas := []string{fmt.Sprintf("busy_timeout(%d)", BusyTime.Milliseconds()), "foreign_keys(1)"}
	switch a {
	case readWrite:
		pragmas = append(pragmas, "journal_mode(wal)", "synchronous(full)")
		q.Set("mode", "rwc")
	case readOnly:
		q.Set("mode", "ro")
	case frozen:
		q.Set("mode", "ro")
		q.Set("immutable", "1")
	}
	q["_pragma"] = pragmas
	full = filepath.ToSlash(full)
	if filepath.VolumeName(full) != "" { // C:/shop.book is the path /C:/shop.book of an address
		full = "/" + full
	}
	at := url.URL{Scheme: "file", Path: full, RawQuery: q.Encode()}
	db, err := sql.Open("sqlite", at.String())
	if err != nil {
		return nil, err
	}
	db.SetMaxIdleConns(idleConnections)
	return &Book{path: path, db: db, Now: time.Now}, nil
}

// idleConnections are kept open for those who come next: a connection costs more than most of what is asked on it.
const idleConnections = 16

// read runs a function on one unchanging view of the book.
func (b *Book) read(ctx context.Context, f func(*transaction) error) error {
	tx, err := b.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return explain(b.path, err)
	}
	defer tx.Rollback()
	t := &transaction{tx: tx, ctx: ctx, book: b}
	return explain(b.path, t.do(f))
}

// look is read for what gives one thing.
func look[T any](ctx context.Context, b *Book, f func(*transaction) (T, error)) (found T, err error) {
	err = b.read(ctx, func(t *transaction) error {
		found, err = f(t)
		return err
	})
	return found, err
}
